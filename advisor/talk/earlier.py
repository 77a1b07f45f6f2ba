"""The answers given so far: listed with numbers, and taken up again to be changed."""

from __future__ import annotations

from advisor.errors import closest, shown
from advisor.model.case import Key
from advisor.talk.consultation import Consultation
from advisor.talk.message import Message
from advisor.talk.typed import plain


def so_far_lines(consultation: Consultation) -> tuple[str, ...]:
    """What was answered, numbered; answers that do not count now are marked."""
    rows = consultation.answered
    return tuple(
        f"{number}. {name}: {answer}{'' if counts else ' (kept; does not count now)'}"
        for number, (_, name, answer, counts) in enumerate(rows, 1)
    ) or ("Nothing is answered yet.",)


def change_answer(consultation: Consultation, what: str) -> list[Message]:
    """Asks an earlier question again, named by its number in the list or by its name."""
    rows = consultation.answered
    if what.isascii() and what.isdigit() and 1 <= int(what[:6]) <= len(rows):
        return consultation.change(rows[int(what[:6]) - 1][0])
    names = _names(consultation)
    found = {key for name, key in names if name == _bare(what)} if what.strip() else set[Key]()
    if len(found) == 1:
        return consultation.change(found.pop())
    if found:
        lines = ["Several answers bear that name. Type change and the number of one."]
    elif what.strip():
        lines = [f'"{shown(what, 60)}" is none of the answers given.']
    else:
        lines = ["Which one? Type change and its number."]
    nearest = [] if found else closest(_bare(what), (name for name, _ in names))
    if nearest:
        lines.append(f"Nearest: {', '.join(nearest)}.")
    return [Message("complaint", (*lines, *so_far_lines(consultation)))]


def _names(consultation: Consultation) -> list[tuple[str, Key]]:
    """Every name an answer goes by: with and without its injury, and the question's id."""
    names = []
    for key, name, *_ in consultation.answered:
        short = name.partition(": ")[2] or name
        names += [(_bare(word), key) for word in (name, short, key[0])]
    return names


def _bare(name: str) -> str:
    return plain(name).replace("-", " ").removeprefix("the ")
