"""The drawings as paragraphs, worked out anew only when an answer, the width or the unit has changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.screens.lines import BLANK, Para
from advisor.screens.turns import message_turn

if TYPE_CHECKING:
    from advisor.screens.conversation import Conversation
    from advisor.tire.drawing import Names


class Drawn:
    """The drawings of a consultation at a width in columns."""

    def __init__(self) -> None:
        self._for: object = None
        self._paras: tuple[Para, ...] = ()

    def paras(self, conversation: Conversation, columns: int, unit: Names | None = None) -> tuple[Para, ...]:
        """The paragraphs, each drawing with its sentences, then the distances between repair units."""
        from advisor.talk.drawing_messages import drawing_messages

        consultation = conversation.consultation
        ask = consultation.ask
        now = (consultation.case, ask.key if ask else None, columns, unit)
        if now != self._for:
            messages = drawing_messages(consultation, columns - 1, unit)
            self._paras = tuple(para for message in messages for para in message_turn(message))
            self._for = now
        return self._paras[1:] if self._paras[:1] == (BLANK,) else self._paras
