"""Checks of a case that need more than one answer: an offset off the tire, a unit longer than the tire is round."""

from __future__ import annotations

import re
from datetime import date

from advisor.engine.derived.registry import tables_of
from advisor.engine.derived.tire import printed, read_print
from advisor.engine.facts import Facts
from advisor.model import inputs
from advisor.model.case import Case, Text
from advisor.model.problems import Misread, shown
from advisor.model.quantity import Measure, exactly, in_words
from advisor.model.ruleset import RuleSet

#: A measure with its place in a case file.
Labelled = tuple[str, Measure]


def impossible(case: Case, rules: RuleSet) -> list[tuple[str, str, Misread]]:
    """What cannot be true together: problem id, the answer's label, and the error."""
    offsets, lengths, names = list[Labelled](), list[Labelled](), rules.names_now
    found: list[tuple[str, str, Misread]] = []
    for measures, part, name, items in (
        (offsets, "injuries", inputs.OFFSET, case.injuries),
        (offsets, inputs.EARLIER_REPAIRS, inputs.REPAIR_OFFSET, case.repairs),
        (lengths, "", inputs.UNIT_LENGTH, (case.answers,)),
        (lengths, inputs.EARLIER_REPAIRS, inputs.REPAIR_UNIT_LENGTH, case.repairs),
    ):
        for index, each in enumerate(items):
            measure = each.get(names.get(name, name))
            if isinstance(measure, Measure):
                measures.append((_label(f"{part}[{index}]" if part else "answers", name, rules), measure))
    if offsets or lengths:
        facts = Facts(tables_of(rules), case)
        found.extend(_offsets(offsets, facts, rules))
        found.extend(_units(lengths, facts, rules))
    found.extend(_date(case, rules.question_now(inputs.DOT_CODE)))
    return found


#: Week and year as a date code has them since 2000.
_DATE = re.compile(r"\d{4}")


def check_text(name: str, text: str, today: date | None) -> None:
    """Checks a text typed as a sidewall's print or as a date code. Raises Misread where nothing of it was read."""
    if name == inputs.DOT_CODE:
        dates = [word for word in text.split() if _DATE.fullmatch(word)]
        if len(dates) > 1:
            found = f'"{shown(text, 60)}", with {len(dates)} dates in it'
            raise Misread(found, "the one date code moulded into this tire", "type that one alone, such as 2319")
        for *_, error in _date(Case(answers={name: Text(text)}, today=today), name):
            raise error
    if name == inputs.SIDEWALL and not read_print(text).tells:
        found = f'"{shown(text, 60)}", in which neither size nor load, speed or class was read'
        raise Misread(found, "what stands on the sidewall, such as 275/70R22.5 148/145M", "type it as it stands there")


def unread_words(name: str, text: str) -> tuple[str, ...]:
    """The words of a text typed as a sidewall's print that are no print; those without a figure in a date code."""
    if name == inputs.DOT_CODE:
        return tuple(word for word in text.split() if word.isalpha() and word.casefold() != "dot")
    return read_print(text).not_read if name == inputs.SIDEWALL else ()


def _offsets(offsets: list[Labelled], facts: Facts, rules: RuleSet) -> list[tuple[str, str, Misread]]:
    from advisor.domain.geometry import injury_channel

    sidewall = printed(facts) if facts.answers.get(rules.question_now(inputs.SIDEWALL)) else None
    if sidewall is None or not sidewall.nominal_width_mm or not sidewall.section_height_mm:
        return []
    width, height = exactly(sidewall.nominal_width_mm, "mm"), exactly(sidewall.section_height_mm, "mm")
    found = []
    for label, offset in offsets:
        try:
            injury_channel.check_offset(offset, width, height)
        except Misread as error:
            found.append(("impossible-measure", label, error))
    return found


def _label(part: str, name: str, rules: RuleSet) -> str:
    """An answer's place in a case file."""
    question = rules.questions.get(rules.question_now(name))
    return f"{part}.{question.key if question else name}"


def _units(lengths: list[Labelled], facts: Facts, rules: RuleSet) -> list[tuple[str, str, Misread]]:
    from advisor.domain.geometry import liner_layout

    diameter = facts.measure("overall-diameter") if lengths and "overall-diameter" in rules.values else None
    if diameter is None:
        return []
    around = liner_layout.circumference(diameter)
    return [
        (
            "impossible-measure",
            label,
            Misread(f'"{length}"', f"less than once round the tire, {in_words(around)}", "measure it again"),
        )
        for label, length in lengths
        if length.to("mm").low >= around.high
    ]


def _date(case: Case, name: str) -> list[tuple[str, str, Misread]]:
    text = getattr(case.answers.get(name), "text", "")
    if not text or case.today is None:
        return []
    from advisor.domain import dot_code

    try:
        dot_code.read_date_code(text, case.today)
    except Misread as error:
        return [("bad-date-code", f"answers.{name}", error)]
    return []
