"""A figure that a question names by itself: in another unit, or as if it were the limit."""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextlib import suppress

from advisor.engine.conditions import limit_by
from advisor.explain.asked_case import AskedCase, status_line
from advisor.explain.beside_limit import tested_limits
from advisor.explain.figure_named import figures_named
from advisor.explain.question_reader import ReadQuestion, forms_of, reader_of
from advisor.explain.sentence_forms import FIGURE
from advisor.explain.why import limit_meaning
from advisor.explain.why_not import reading_of
from advisor.model.limits import Limit
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, quantity_named, read_measure
from advisor.model.ruleset import Verdict
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message
from advisor.wording.verdict_card import sources_in_words

#: So many limits stand in an answer.
MOST_LIMITS = 4
HOW_CONVERTED = "by what the units are (derived); a limit is held in the unit in which its source prints it"


def converted(state: AskedCase, read: ReadQuestion) -> Message | None:
    """A figure in another unit; None where none is asked for."""
    forms, means = forms_of(state.judge.rules), dict(state.judge.rules.intents["unit-asked"].means)
    unit = rf"(?:(?:{'|'.join(means)})(?!\w)|{forms.unit})"
    given = rf"(?P<figure>{FIGURE})\s*(?P<of>{unit})"
    ways = (
        forms.around("into-unit", rf"{given}\s+(?:\w+\s+)?", rf"\s+(?P<to>{unit})"),
        re.compile(rf"(?P<figure>{FIGURE})\s*(?P<of>in)\s+(?P<to>{unit})", re.IGNORECASE),
        forms.around("is-many", rf"{given}\s+(?:\w+\s+)?", rf"\s+(?P<to>{unit})"),
        forms.around("many-asked", "", rf"\s+(?P<to>{unit})\s+(?:\w+\s+){{1,2}}{given}"),
    )
    match = next(filter(None, (way.search(read.text) for way in ways)), None)
    if match is None:
        return None
    of, to = (means.get(match[name].casefold(), match[name]) for name in ("of", "to"))
    with suppress(Misread):
        measure = read_measure(f"{match['figure']} {of}", quantity_named(f" {of}"))
        one = read_measure(f"1 {to}", measure.quantity)
        there = measure.to(one.unit)
        if there.unit == measure.unit and one.low == 1:
            return None
        if one.low == 1:
            said = str(Measure(there.low, there.low, one.unit))
        else:
            said = f"{float(there.low / one.low):.2f} {to}"
        return Message("word", (Block(f"{measure} is {said}.", (HOW_CONVERTED,)),), intent="convert", sources=())
    return None


def asserted(state: AskedCase, read: ReadQuestion) -> Message | None:
    """Whether a figure that is taken for the limit is one here: what counts here, and where else the figure stands."""
    rules, forms = state.judge.rules, forms_of(state.judge.rules)
    match = forms.figure.search(read.text) or re.search(rf"(?<![\w./]){FIGURE}(?![\w./])", read.text)
    limits = list(_that_count(state, read))
    if match is None or not limits:
        return None
    given: Measure | None = None
    for limit in limits:
        with suppress(Misread):
            given = given or read_measure(match[0], limit.figures[0].quantity, str(limit.figures[0].unit))
    if given is None or (not forms.has("limit-word", read.text) and _was_answered(given, state)):
        return None
    here = [each for each in limits if each.figures[0].quantity == given.quantity][:MOST_LIMITS]
    same = [each for each in here if any(one.to(given.unit).low == given.low for one in each.figures)]
    named = {each.id: each for each in figures_named(str(given), state.judge, state.case, state.now)}
    elsewhere = [rules.limits[name] for name in named if name in rules.limits and rules.limits[name] not in here]
    if not here:
        return None
    first = f"{given} counts here for:" if same else f"No: {given} is not the limit that counts here. What counts:"
    status = [status_line(state)] if state.now.verdict is not Verdict.REPAIR else []
    blocks: list[Said] = [*status, Block(first, role="title"), *_rows(same or here, state)]
    others = [each for each in here if each not in same] if same else []
    for title, rest in (("What counts here besides:", others), (f"{given} stands in these rules for:", elsewhere)):
        blocks += [Block(title, role="title"), *_rows(rest[:MOST_LIMITS], state)] if rest else []
    sources = tuple((each.says, each.basis) for each in here)
    return Message("word", tuple(blocks), intent="asserts", sources=sources, subject=here[0].id)


def _was_answered(given: Measure, state: AskedCase) -> bool:
    """Whether a figure is one that was read on this tire."""
    answers = (answer for each in (state.case.answers, *state.case.injuries) for answer in each.values())
    readings = (reading for answer in answers if (reading := reading_of(answer)) is not None)
    return any(one.quantity == given.quantity and one.to(given.unit).low == given.low for one in readings)


def _rows(limits: Iterable[Limit], state: AskedCase) -> Iterable[Block]:
    rules = state.judge.rules
    return [
        Block(text[:1].upper() + text[1:], (sources_in_words(each.basis, rules),), role="item")
        for each in limits
        for text in (limit_meaning(each),)
    ]


def _that_count(state: AskedCase, read: ReadQuestion) -> Iterable[Limit]:
    """The limits of what is named, else of what was spoken of last, else those that decide, then all that were held."""
    rules = state.judge.rules
    last = reader_of(rules).subjects.get(state.before.subject) if state.before is not None else None
    own = [each.subject for each in read.subjects if not each.subject.weak]
    tested, found = tested_limits(state.now, rules), dict[str, Limit]()
    for subject in (*own, *([last] if last is not None and not own else [])):
        for name in subject.limits:
            limit = limit_by(rules.tables[name], state.facts, rules) if name in rules.tables else rules.limits[name]
            if limit is not None and limit.id in tested:
                found.setdefault(limit.id, limit)
    if not found:
        deciding = (reason.limit for reason in state.now.deciding or ())
        found = {limit.id: limit for limit in deciding if limit is not None}
        found |= {name: rules.limits[name] for name in sorted(tested) if name in rules.limits and name not in found}
    return found.values()
