"""What was answered and what was left out: listed with numbers, and taken up again to be changed."""

from __future__ import annotations

import re

from advisor.dialogue.answering import WAITS
from advisor.dialogue.session import Consultation
from advisor.dialogue.withdrawals import WORDS
from advisor.loader.answer_codec import LEAVES_OUT, plain
from advisor.model.case import Key
from advisor.model.problems import closest, shown
from advisor.wording.messages import Message


def so_far_lines(consultation: Consultation) -> tuple[str, ...]:
    """What was answered, numbered, then what was left out; answers that do not count now are marked."""
    rows = consultation.answered
    lines = [
        f"{number}. {name}: {answer}{'' if counts else ' (kept; does not count now)'}"
        for number, (_, name, answer, counts) in enumerate(rows, 1)
    ] or ["Nothing is answered yet."]
    left_out = enumerate(consultation.left_out, len(rows) + 1)
    return (*lines, *(f"{number}. left out: {name}" for number, (_, name) in left_out))


#: What is changed, and to what; a figure needs no word between.
_TO = re.compile(
    r"(?P<name>.+?)\s+(?:to|into)\s+(?P<to>.+)|(?P<named>.+?)\s+"
    r"(?P<figure>(?:(?:about|around|roughly|nearly|maybe)\s+)?\d\S*(?:\s+[^\d\s]+)?)",
    re.I,
)


#: The words of a name, without whose it is.
_WORDS = re.compile(r"[a-z0-9]{2,}|\d", re.I)


def change_answer(consultation: Consultation, what: str) -> list[Message]:
    """Asks an earlier question again, one that was left out as well: by its number, its name or words of its name.

    What is to be answered may stand behind it. Whether there is a further injury means the last one: those before it
    are followed by one that is described.
    """
    if consultation.pending is not None:
        return [WAITS]
    found = _meant(consultation, what)
    if len(found) == 1:
        return ask_again(consultation, found.pop())
    match = _TO.fullmatch(what)
    if match and not found:
        name, to = match["name"] or match["named"], match["to"] or match["figure"]
        found = _meant(consultation, name)
        if len(found) == 1:
            return [*ask_again(consultation, found.pop()), *consultation.answer(to)]
    if not found and (key := _left_out(consultation, what)) is not None:
        return [*ask_again(consultation, key), *consultation.skip()]
    numbers = {key: number for number, (key, _) in enumerate(consultation.listed, 1)}
    if found:
        says = (f"change {numbers[key]}: {name}" for key, name in consultation.listed if key in found)
        return [Message("complaint", ("Several answers bear that name. Type change and the number of one.", *says))]
    if what.strip():
        consultation.lose(f"change {what}")
        lines = [f'"{shown(what, 60)}" is none of the answers given, and nothing that was left out.']
    else:
        lines = ["Which one? Type change and its number."]
    nearest = closest(_bare(what), (name for name, _ in _names(consultation)))
    if nearest:
        lines.append(f"Nearest: {', '.join(nearest)}.")
    return [Message("complaint", (*lines, *so_far_lines(consultation)))]


def _left_out(consultation: Consultation, what: str) -> Key | None:
    """What is to be left out now, by its name: length leave it out, length round."""
    words = what.split()
    for place in range(1, len(words)):
        found, rest = _meant(consultation, " ".join(words[:place])), plain(" ".join(words[place:]))
        questions = consultation.judge.rules.questions
        if len(found) == 1 and (rest in LEAVES_OUT or rest in questions[min(found)[0]].left_out_by):
            return found.pop()
    return None


def _meant(consultation: Consultation, what: str) -> set[Key]:
    """The answers that a number, a name, or words that all stand in one name can mean."""
    keys, bare = [key for key, _ in consultation.listed], _bare(what)
    if what.isascii() and what.isdigit():
        return {keys[int(what[:6]) - 1]} if 1 <= int(what[:6]) <= len(keys) else set()
    names = _names(consultation)
    found = {key for name, key in names if name == bare} if bare else set()
    if len(found) > 1 and len({name for name, _ in found} & _mores(consultation)) == 1:
        found = {max(found, key=lambda key: key[1])}
    words = set(bare.split())
    return found or {key for name, key in names if words and words <= set(_WORDS.findall(name))}


def ask_again(consultation: Consultation, key: Key) -> list[Message]:
    """Asks a question again; where more of something described hangs on it, says how that is taken back."""
    said = consultation.change(key)
    rules = consultation.judge.rules
    described = consultation.case.instances(rules.over_of(key[0]))
    if key[0] not in _mores(consultation) or not described:
        return said
    word = WORDS[rules.over_of(key[0])]
    many = "1 is described and stays" if len(described) == 1 else f"{len(described)} are described and stay"
    return [*said, Message("note", (f"{many}. If one is not there, type drop {word} and its number.",))]


def _mores(consultation: Consultation) -> set[str]:
    """The questions whether there is one more."""
    return {part.more for part in consultation.judge.rules.parts if part.more}


def _names(consultation: Consultation) -> list[tuple[str, Key]]:
    """Every name an answer, or what was left out, goes by: with and without its injury, and the question's id."""
    names = []
    for key, name in consultation.listed:
        short = name.partition(": ")[2] or name
        former = consultation.judge.rules.questions[key[0]].formerly
        names += [(_bare(word), key) for word in (name, short, key[0], *former)]
    return names


def _bare(name: str) -> str:
    return plain(name).replace("-", " ").removeprefix("the ").removeprefix("injury's ")
