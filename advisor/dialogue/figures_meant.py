"""Figures that are told by what stands beside them.

Both sides of a unit, one in place of another, by so much more or less, and two that were swapped.
"""

from __future__ import annotations

import re
from contextlib import suppress
from fractions import Fraction

from msgspec.structs import replace

from advisor.dialogue.figure_off import figure_is_of
from advisor.dialogue.if_counted import is_worse
from advisor.engine.judgement_types import Judgement
from advisor.explain.asked_case import AskedCase
from advisor.explain.question_reader import forms_of, reader_of
from advisor.explain.sentence_forms import FIGURE
from advisor.explain.sufficient_reason import answered_keys
from advisor.explain.why_not import reading_of
from advisor.loader.answer_codec import read_typed
from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Key
from advisor.model.problems import Misread

Meant = list[tuple[Key, Answer]]
_Read = tuple[Meant, re.Match[str] | None]
_SIDES = (inputs.UNIT_LENGTH, inputs.UNIT_WIDTH)
_PRESSURES = (inputs.FOUND_PRESSURE, inputs.SET_PRESSURE)


def meant(said: str, state: AskedCase) -> tuple[Meant, str]:
    """What the figures of a supposition are of, where the words beside them say it, and the text without them."""
    for reads in (_sides_of_unit, _in_place_of, _by_so_much, _swapped):
        found, match = reads(said, state)
        if match is not None and found:
            return found, f"{said[: match.start()]} {said[match.end() :]}".strip()
    return [], said


def _sides_of_unit(said: str, state: AskedCase) -> _Read:
    """Both sides of the unit that is named, and of no injury; where it is not said which is which, the worse way."""
    forms = forms_of(state.judge.rules)
    known = all(state.judge.rules.question_now(name) in state.judge.rules.questions for name in _SIDES)
    if not known or not forms.has("unit-named", said) or forms.has("injury-named", said):
        return [], None
    one, other = (rf"(?P<{name}>{FIGURE})\s*(?P<of_{name}>{forms.unit})?" for name in ("one", "other"))
    way = rf"(?:{forms.words('way-of-side')})"
    between = rf"\s*(?:{way}\s*)?[,x×]?\s*(?:(?:by|and|times)\s+)?"
    match = re.search(rf"{one}(?P<first>{between}){other}(?P<second>(?:\s+{way}\b)?)", said, re.IGNORECASE)
    if match is None:
        return [], None
    unit = match["of_one"] or match["of_other"] or "mm"
    pair = f"{match['one']} {match['of_one'] or unit}", f"{match['other']} {match['of_other'] or unit}"
    across = forms.has("across-tire", match["first"]) or forms.has("along-tire", match["second"])
    along = forms.has("along-tire", match["first"]) or forms.has("across-tire", match["second"])
    ways = [] if across else [_of_unit(pair, state)]
    ways += [] if along else [_of_unit((pair[1], pair[0]), state)]
    worst: Meant = ways[0] if ways else []
    for each in ways[1:]:
        worst = each if is_worse(_judged(each, state), _judged(worst, state)) else worst
    return worst, match


def _of_unit(sides: tuple[str, str], state: AskedCase) -> Meant:
    rules = state.judge.rules
    found: Meant = []
    with suppress(Misread):
        for name, text in zip(map(rules.question_now, _SIDES), sides, strict=True):
            found.append(((name, TIRE), read_typed(rules.questions[name], text)))
        return found
    return []


def _judged(changes: Meant, state: AskedCase) -> Judgement:
    case = state.case
    for key, answer in changes:
        case = case.with_answer("tire", key, answer)
    return state.judge.judge(case)


def _in_place_of(said: str, state: AskedCase) -> _Read:
    """The one answer that a figure is said not to be, with the figure that it is: 90 not 20."""
    rules, forms = state.judge.rules, forms_of(state.judge.rules)
    new, old_one = (rf"(?P<{name}>{FIGURE})\s*(?P<of_{name}>{forms.unit})?" for name in ("new", "old"))
    match = re.search(rf"{new}[\s,]+(?:{forms.words('in-place-of')})\s+{old_one}(?!\S*\d)", said, re.IGNORECASE)
    found: Meant = []
    if match is None:
        return [], None
    for key in answered_keys(state.case, rules):
        question = rules.questions[key[0]]
        old = reading_of(state.case.get(question.over, key))
        if old is None or not old.exact or question.kind not in inputs.FIGURE_KINDS:
            continue
        with suppress(Misread):
            was = reading_of(read_typed(question, f"{match['old']} {match['of_old'] or match['of_new'] or old.unit}"))
            if was is not None and was.to(old.unit).low == old.low:
                found.append(
                    (key, read_typed(question, f"{match['new']} {match['of_new'] or match['of_old'] or old.unit}"))
                )
    return (found, match) if len(found) == 1 else ([], None)


def _by_so_much(said: str, state: AskedCase) -> _Read:
    """The one answer of what is named, by so much more or less: it leaned 10 less."""
    rules, forms = state.judge.rules, forms_of(state.judge.rules)
    figure = rf"(?P<much>{FIGURE})\s*(?P<unit>{forms.unit})?\s*(?:of it\s+)?"
    for name, sign in (("so-much-more", 1), ("so-much-less", -1)):
        match = forms.around(name, figure, r"(?!\s+than)").search(said)
        read = reader_of(rules).read(said) if match is not None else None
        if match is None or read is None:
            continue
        named = {rules.question_now(figure_is_of(read, state)), *(each.subject.question for each in read.subjects)}
        keys = [key for key in answered_keys(state.case, rules) if key[0] in named - {""}]
        old = reading_of(state.case.get(rules.questions[keys[0][0]].over, keys[0])) if len(keys) == 1 else None
        by_it = len(keys) == 1 and keys[0][0] == inputs.INJURY_SIZE and not forms.has("of-width", match[0])
        if old is None or not old.exact or by_it:
            continue
        with suppress(Misread):
            given = reading_of(read_typed(rules.questions[keys[0][0]], f"{match['much']} {match['unit'] or old.unit}"))
            if given is not None:
                now = max(old.low + sign * given.to(old.unit).low, Fraction(0))
                return [(keys[0], replace(old, low=now, high=now, typed=""))], match
    return [], None


def _swapped(said: str, state: AskedCase) -> _Read:
    """The two pressures, each in place of the other; none where figures are said."""
    tire = state.case.answers
    match = forms_of(state.judge.rules).around("swapped").search(said)
    if match is None or re.search(r"\d", said) or not all(name in tire for name in _PRESSURES):
        return [], None
    return [((one, TIRE), tire[other]) for one, other in zip(_PRESSURES, reversed(_PRESSURES), strict=True)], match
