"""What can be typed besides an answer: back, change, why, how, what is …, so far, stop. One home for both faces."""

from __future__ import annotations

import re
from collections.abc import Callable

from advisor.errors import shown
from advisor.loading.sections import closest
from advisor.talk.consultation import Consultation
from advisor.talk.message import Message
from advisor.talk.typed import plain
from advisor.talk.why import explain_word, what_lies_ahead, why_asked, why_verdict

HELP_LINES = (
    "Type an answer in your own units and words: 3/8 in, 10mm, 8-10 mm, about 9 mm, or a choice's number.",
    "can't tell     when it can't be told; it is never taken as no",
    "how            how to find out or measure it",
    "why ask        why this is asked",
    "why            why the verdict is what it is, as things stand",
    "what is TERM   a term of the trade explained",
    "so far         what was answered, with numbers",
    "ahead          what is still to be asked, and how it can still end",
    "back           to the answer before",
    "change NUMBER  change that answer; or: change tread depth",
    "skip           leave out a question that may be left out",
    "verdict        the verdict as things stand",
    "stop           end here with the verdict as things stand",
    "go on          take up again after stop",
    "start over     begin anew",
    "quit           leave the program",
)
_WHAT_IS = re.compile(r"(?:what is|what's|whats|what are|explain|define)\s+(?:an?\s+|the\s+)?(?P<term>.+?)\??", re.I)
_CHANGE = re.compile(r"change(?:\s+(?P<what>.+))?", re.I)


def say(consultation: Consultation, text: str) -> list[Message]:
    """What comes of a typed line: a command carried out, or an answer taken."""
    word = plain(text)
    command = _COMMANDS.get(word.rstrip("?").rstrip())
    if command is not None:
        return command(consultation)
    if match := _WHAT_IS.fullmatch(text.strip()):
        return [explain_word(match["term"], consultation.judge)]
    if match := _CHANGE.fullmatch(text.strip()):
        return _change(consultation, match["what"] or "")
    return consultation.answer(text)


def _ahead(consultation: Consultation) -> list[Message]:
    ask = consultation.ask
    if ask is None:
        return [Message("help", ("No question is open.",))]
    return [what_lies_ahead(consultation.judgement, consultation.judge, ask.node)]


def _how(consultation: Consultation) -> list[Message]:
    ask = consultation.ask
    lines = (ask.how,) if ask and ask.how else ("There is nothing more to say on how to find it out.",)
    return [Message("help", lines)]


def _why_ask(consultation: Consultation) -> list[Message]:
    ask = consultation.ask
    return [why_asked(consultation.judge, ask.key[0]) if ask else Message("help", ("No question is open.",))]


def _why(consultation: Consultation) -> list[Message]:
    return [why_verdict(consultation.judgement, consultation.judge)]


def _verdict(consultation: Consultation) -> list[Message]:
    return [Message("card", (), consultation.card())]


def so_far_lines(consultation: Consultation) -> tuple[str, ...]:
    """What was answered, numbered; answers that do not count now are marked."""
    rows = consultation.answered
    return tuple(
        f"{number}. {name}: {answer}{'' if counts else ' (kept; does not count now)'}"
        for number, (_, name, answer, counts) in enumerate(rows, 1)
    ) or ("Nothing is answered yet.",)


def _so_far(consultation: Consultation) -> list[Message]:
    return [Message("help", (*so_far_lines(consultation), consultation.standing()))]


def _change(consultation: Consultation, what: str) -> list[Message]:
    rows = consultation.answered
    if what.isdigit() and 1 <= int(what[:6]) <= len(rows):
        return consultation.change(rows[int(what[:6]) - 1][0])
    names = {name.casefold(): key for key, name, *_ in rows} | {key[0].replace("-", " "): key for key, *_ in rows}
    word = plain(what).removeprefix("the ").replace("-", " ")
    for name, key in names.items():
        if word and word in (name, name.removeprefix("the ")):
            return consultation.change(key)
    nearest = closest(word, names)
    lines = [f'"{shown(what, 60)}" is none of the answers given.' if what else "Which one? Type change and its number."]
    if nearest:
        lines.append(f"Nearest: {', '.join(nearest)}.")
    return [Message("complaint", (*lines, *so_far_lines(consultation)))]


_COMMANDS: dict[str, Callable[[Consultation], list[Message]]] = {
    "help": lambda consultation: [Message("help", HELP_LINES)],
    "ahead": _ahead,
    "what comes next": _ahead,
    "how": _how,
    "how do i measure it": _how,
    "why": _why,
    "why ask": _why_ask,
    "why do you ask": _why_ask,
    "so far": _so_far,
    "verdict": _verdict,
    "back": Consultation.back,
    "go back": Consultation.back,
    "skip": Consultation.skip,
    "measure": Consultation.skip,
    "measure it": Consultation.skip,
    "stop": Consultation.stop,
    "stop here": Consultation.stop,
    "go on": Consultation.go_on,
    "start over": Consultation.start_over,
}
