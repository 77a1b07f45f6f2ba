"""The result as plain text, for the clipboard or a file."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from advisor.dialogue.answer_list import so_far_lines
from advisor.dialogue.session import Consultation
from advisor.model.problems import shown
from advisor.tui.prompt_bar import Refused
from advisor.tui.rendering import card_turn
from advisor.tui.text_blocks import Para, wrap
from advisor.wording.verdict_card import VERDICT_SIGNS

_WIDTH = 78


def card_text(consultation: Consultation) -> str:
    """The verdict card as things stand."""
    card = consultation.card()
    head = Para(card.headline, lead=f"{VERDICT_SIGNS[card.verdict]}: ")
    return _text((head, *card_turn(card)[2:]))


def result_text(consultation: Consultation) -> str:
    """The verdict card as things stand, and what was answered."""
    answers = tuple(Para(line, indent=2) for line in so_far_lines(consultation))
    day = consultation.today.isoformat()
    return f"{card_text(consultation)}\nWhat was answered (judged for {day}):\n{_text(answers)}"


def _text(paras: tuple[Para, ...]) -> str:
    return "".join(f"{line.text.rstrip()}\n" for line in wrap(paras, _WIDTH)).lstrip()


def default_name(now: datetime, ending: str = ".txt") -> str:
    """A file name that tells when."""
    return f"advisor-{now:%Y-%m-%d-%H%M}{ending}"


def saved_text(consultation: Consultation, name: str, page: Callable[[Consultation], str] | None) -> str:
    """What a file of this name holds, by its ending: the case, the report's page, else the text."""
    ending = Path(name).suffix.casefold()
    if ending == ".json":
        from advisor.loader.case_file import case_file_text

        return case_file_text(consultation.case, consultation.judge.rules)
    if ending in (".html", ".htm") and page is not None:
        return page(consultation)
    return result_text(consultation)


def save_folder() -> Path:
    """Where a name without a folder is saved: the current folder, but never the program's own."""
    here, own = Path.cwd(), Path(__file__).resolve().parents[2]
    return Path.home() if here == own or own in here.parents else here


def _for_its_owner(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def save(path: Path, text: str, again: bool = False) -> Path:
    """Writes a new text file; gives where it is. Raises Refused when it can't be done, or is there already.

    `again`: a name of the program's own that is there already gets a number.
    """
    name = shown(str(path), 200)
    try:
        path = save_folder() / path.expanduser()
        number = 1
        while again and path.exists():
            number += 1
            path = path.with_name(f"{Path(name).stem}-{number}{path.suffix}")
        with open(path, "x", encoding="utf-8", opener=_for_its_owner) as file:
            file.write(text)
        return path.resolve()
    except FileExistsError:
        raise Refused(f"{name} is there already and stays as it is. Type another name.") from None
    except (OSError, ValueError, RuntimeError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise Refused(f"{name} can't be written: {shown(why, 200)}. Type another name; Esc goes back.") from None
