"""The plain consultation while its rules are edited: looks at the files while it waits, says what came of it."""

from __future__ import annotations

import select
import sys
import time
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from advisor.console.session_lines import PROMPT, ask_lines, message_lines
from advisor.dialogue.event_sink import Recorder
from advisor.dialogue.hot_reload import LiveRules
from advisor.wording.messages import Message

if TYPE_CHECKING:
    pass


_LOOK_EVERY_S = 1 / 30
#: In a pipe a line waits for rules that are just being saved, so many looks at most.
MOST_LOOKS = 100


class LiveLines:
    """Looks at the files of the rules between typed lines. `recorder` gives the keeper, once there is one."""

    def __init__(self, live: LiveRules, recorder: Callable[[], Recorder | None] = lambda: None) -> None:
        self.live, self.recorder = live, recorder

    def while_waiting(self) -> None:
        """On a terminal: looks again and again until a line was typed; what there is to say shows at once."""
        if not hasattr(select, "poll"):
            return  # no waiting for a line with a time limit here; the look before each line has to do
        while not select.select([sys.stdin], [], [], _LOOK_EVERY_S)[0]:
            said = list(self._lines(self.live.look(self.recorder())))
            if said:
                sys.stdout.write("\n" + "".join(f"{line}\n" for line in said) + PROMPT)
                sys.stdout.flush()

    def before_a_line(self) -> None:
        """Before a line counts: waits until what is being saved is whole, and says what came of it."""
        looks = 0
        while self.live.watch.changed and looks < MOST_LOOKS:
            said = list(self._lines(self.live.look(self.recorder())))
            sys.stdout.write("".join(f"{line}\n" for line in said))
            looks += 1
            if not said:
                time.sleep(_LOOK_EVERY_S)

    def _lines(self, messages: list[Message]) -> Iterator[str]:
        if not messages:
            return
        for message in messages:
            yield from message_lines(message)
        consultation = self.live.consultation
        ask = consultation.ask
        yield from ask_lines(ask) if ask is not None else message_lines(Message("card", (), consultation.card()))
