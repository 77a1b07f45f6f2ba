"""All that a supposition states, as the ear hears it: said outright or only meant, of each injury that it is of."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from typing import TYPE_CHECKING

from msgspec.structs import replace

from advisor.engine.evaluator import Judge, label_of
from advisor.explain.asked_case import AskedCase
from advisor.explain.question_reader import forms_of, reader_of
from advisor.explain.sentence_forms import FIGURE, Forms
from advisor.explain.why_not import reading_of
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Answer, Case, Choices, Key, Readings
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, number_of, read_measure
from advisor.wording.blocks import Block
from advisor.wording.messages import Message
from advisor.wording.verdict_card import question_in_words

if TYPE_CHECKING:
    from advisor.nlu.pipeline import Listener

Supposed = list[tuple[Key, Answer]]


def said_plainly(text: str, forms: Forms) -> str:
    """What is supposed as a sentence would state it: turns out fine is is fine, neither was is it was never."""
    text = forms.around("as-it-turns-out", "^", r"\s+").sub("", text)
    text = forms.around("admits", "^", r"\s+(?:that\s+)?").sub("", text)
    text = forms.around("turns-out").sub("is", text)
    text = forms.around("driven-at-zero").sub("with no air", text) if forms.has("drove", text) else text
    return forms.around("of-neither").sub("it was never", text)


def heard_besides(said: str, told_of: Case, state: AskedCase, hearing: Listener) -> tuple[Supposed, list[str]]:
    """What the ear makes of a supposition as of a sentence, proposals too, and the words that it makes nothing of."""
    rules, forms = state.judge.rules, forms_of(state.judge.rules)
    heard = hearing.hear(said, told_of, state.asked)
    meant = {one.key: one for one in heard.proposed}
    meant |= {one.key: one for one in heard.understood if one.answer is not CANT_TELL or one.key not in meant}
    found = [(one.key, one.answer) for one in meant.values() if _is_supposed(one.key, one.answer)]
    if len(told_of.injuries) == 1 and not forms.has("one-more", said):
        first = {key[0] for key, _ in found if key[1] == 0}
        found = [((name, 0) if name not in first and at == 1 else (name, at), given) for (name, at), given in found
                 if rules.questions[name].over == inputs.OVER_INJURIES or at < 1]  # fmt: skip
    used = {word for one in meant.values() for word in re.findall(r"[\w./]+", f"{one.words} {one.hedge}".casefold())}
    left = [word for word in heard.not_understood if word.casefold() not in used]
    figured = any(reading_of(answer) is not None for _, answer in found)
    if any(word[:1].isdigit() for word in left) or (re.search(r"\d", said) and not figured):
        return [], left  # a figure that is of nothing known: what else was made of it is none
    return _of_each(found, said, state), left


def _is_supposed(key: Key, answer: Answer) -> bool:
    """Whether an answer can be what is supposed: none that can't be told, that nobody looked, or that only denies."""
    only_denies = isinstance(answer, Choices) and not answer.present and not answer.complete
    return answer is not CANT_TELL and key[0] != inputs.DEMOUNTED and not only_denies


def _of_each(found: Supposed, said: str, state: AskedCase) -> Supposed:
    """The same; what is said of both or of the units of each injury."""
    rules, every = state.judge.rules, range(len(state.case.injuries))
    if len(every) < 2 or state.injury is not None or not forms_of(rules).has("of-each", said):
        return found
    own = {key[0] for key, _ in found if key[1] == 0 and rules.questions[key[0]].over == inputs.OVER_INJURIES}
    several = {key[0] for key, _ in found if key[1] > 0}
    each = [((key[0], at), given) for key, given in found if key[0] in own - several for at in every]
    return [one for one in found if one[0][0] not in own - several] + each


def not_heard(words: Iterable[str], changes: Supposed, state: AskedCase) -> list[str]:
    """Of the words that the ear made nothing of those that tell something else than what was supposed, or by what."""
    rules, reader = state.judge.rules, reader_of(state.judge.rules)
    names = {key[0] for key, _ in changes}
    told = {stem for name in names for stem in reader.words.stems(rules.questions[name].name)}
    told |= {stem for name, each in rules.intents.items() if each.question in names for stem in reader.words_of(name)}
    told |= reader.words.of_class("looks-again")
    return [word for word in dict.fromkeys(words) if reader.tells(word) and told.isdisjoint(reader.words.stems(word))]


#: Behind a bare figure, words that make it no count of something.
_STAYS_BARE = re.compile(
    r"\s*(?:$|[^\w\s]|(?:by|x|with|and|or|to|at|on|in|if|when|long|wide|deep|across|along|apart|as|but)\b)", re.I
)
_FIGURES = re.compile(
    rf"(?<![\w.:/#-])({FIGURE})(?![\w:/-])|(?<![\w.:/#-])({FIGURE})(?=\s*(?:mm|mil|in|cm|psi|bar|kpa|deg)\b)", re.I
)


def figures_left(said: str, changes: Supposed, state: AskedCase) -> list[str]:
    """The figures of a supposition that none of its changes holds: then it is not what was supposed.

    One of something that no measure of a tire is (miles, minutes), or that counts things, is left alone.
    """
    unit, held = re.compile(rf"\s*{forms_of(state.judge.rules).unit}", re.I), set[Fraction]()
    shown = {digits for _, answer in changes for digits in re.findall(r"\d+", str(answer))}
    for _, answer in changes:
        for each in answer.readings if isinstance(answer, Readings) else (answer,):
            held |= {each.low, each.high} if isinstance(each, Measure) else set()
    left = list[str]()
    for match in _FIGURES.finditer(said):
        text = match[1] or match[2]
        of_tire = unit.match(said, match.end()) or _STAYS_BARE.match(said, match.end())
        if of_tire and text not in shown and _number(text) not in held:
            left.append(text)
    return left


def _number(text: str) -> Fraction | None:
    try:
        return number_of(text)
    except (ValueError, ZeroDivisionError):
        return None


def in_from_the_edge(text: str, state: AskedCase) -> tuple[Supposed, str]:
    """The injury so far in from the tread's edge, and that in words where its width is not known: any serves then.

    All that counts of the two is how far in it lies.
    """
    rules, forms, case = state.judge.rules, forms_of(state.judge.rules), state.case
    figure = rf"(?P<figure>{FIGURE}\s*{forms.unit})\s+"
    match = forms.around("from-the-edge", figure).search(text)
    offset, width = (rules.questions.get(rules.question_now(name)) for name in (inputs.OFFSET, inputs.TREAD_WIDTH))
    if match is None or offset is None or width is None or (len(case.injuries) != 1 and state.injury is None):
        return [], ""
    try:
        given = read_measure(match["figure"], offset.quantity)
    except Misread:
        return [], ""
    across, out = (reading_of(case.get(each.over, state.key(each))) for each in (width, offset))
    if across is not None:
        return [(state.key(offset), _exactly(across.to(given.unit).low / 2 - given.low, given))], ""
    middle = abs(out.to(given.unit).low) if out is not None else given.low
    changes: Supposed = [(state.key(offset), _exactly(middle, given))]
    changes.append((state.key(width), _exactly(2 * (middle + given.low), given)))
    return changes, f"injury {(state.injury or 0) + 1}: in from the tread's edge: {given}, for a moment only"


def _exactly(figure: Fraction, like: Measure) -> Measure:
    return Measure(figure, figure, like.unit)


def under_one_name(found: Message, changes: Supposed, name: str, judge: Judge) -> Message:
    """A what-if whose changes are shown as the one thing that was said."""
    labels = {label_of(key, judge.rules) for key, _ in changes}
    heads = tuple(f"{question_in_words(key, judge.rules)}: " for key, _ in changes)
    blocks = [each for each in found.blocks if not (isinstance(each, str) and each.startswith(heads))]
    blocks = [replace(each, text=name) if isinstance(each, Block) and each.text.startswith(heads) else each
              for each in blocks]  # fmt: skip
    parts = tuple(part for part in found.parts if part.get("field") not in labels)
    return replace(found, blocks=tuple(blocks), parts=parts)
