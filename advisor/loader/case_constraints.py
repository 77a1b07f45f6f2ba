"""Checks of a case that need more than one answer: an offset off the tire, a unit longer than the tire is round."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from advisor.engine.derived.registry import tables_of
from advisor.engine.derived.tire import printed, read_print
from advisor.engine.facts import Facts
from advisor.later import later
from advisor.model.case import Case, Text
from advisor.model.problems import Misread, shown
from advisor.model.quantity import Measure, exactly, in_words
from advisor.model.ruleset import RuleSet

if TYPE_CHECKING:
    from advisor.domain import dot_code
    from advisor.domain.geometry import injury_channel, liner_layout
else:
    dot_code = later("advisor.domain.dot_code")
    liner_layout = later("advisor.domain.geometry.liner_layout")
    injury_channel = later("advisor.domain.geometry.injury_channel")


def impossible(case: Case, rules: RuleSet) -> list[tuple[str, str, Misread]]:
    """What cannot be true together: problem id, the answer's label, and the error."""
    found: list[tuple[str, str, Misread]] = []
    found.extend(_offsets(case, rules))
    found.extend(_units(case, rules))
    found.extend(_date(case))
    return found


def check_text(name: str, text: str, today: date | None) -> None:
    """Checks a text typed as a sidewall's print or as a date code. Raises Misread where nothing of it was read."""
    if name == "dot-code":
        for *_, error in _date(Case(answers={name: Text(text)}, today=today)):
            raise error
    if name == "sidewall" and not read_print(text).tells:
        found = f'"{shown(text, 60)}", in which neither size nor load, speed or class was read'
        raise Misread(found, "what stands on the sidewall, such as 275/70R22.5 148/145M", "type it as it stands there")


def unread_words(name: str, text: str) -> tuple[str, ...]:
    """The words of a text typed as a sidewall's print that are no print; those without a figure in a date code."""
    if name == "dot-code":
        return tuple(word for word in text.split() if word.isalpha() and word.casefold() != "dot")
    return read_print(text).not_read if name == "sidewall" else ()


def _offsets(case: Case, rules: RuleSet) -> list[tuple[str, str, Misread]]:
    sidewall = printed(Facts(tables_of(rules), case)) if case.answers.get("sidewall") else None
    if sidewall is None or not sidewall.nominal_width_mm or not sidewall.section_height_mm:
        return []
    width, height = exactly(sidewall.nominal_width_mm, "mm"), exactly(sidewall.section_height_mm, "mm")
    offsets = [(f"injuries[{i}].offset", injury.get("offset")) for i, injury in enumerate(case.injuries)]
    offsets += [(f"earlier-repairs[{i}].offset", repair.get("repair-offset")) for i, repair in enumerate(case.repairs)]
    found = []
    for label, offset in offsets:
        if isinstance(offset, Measure):
            try:
                injury_channel.check_offset(offset, width, height)
            except Misread as error:
                found.append(("impossible-measure", label, error))
    return found


def _units(case: Case, rules: RuleSet) -> list[tuple[str, str, Misread]]:
    diameter = Facts(tables_of(rules), case).measure("overall-diameter") if "overall-diameter" in rules.values else None
    if diameter is None:
        return []
    around = liner_layout.circumference(diameter)
    lengths = [("answers.unit-length", case.answers.get("unit-length"))]
    lengths += [
        (f"earlier-repairs[{i}].unit-length", repair.get("repair-unit-length")) for i, repair in enumerate(case.repairs)
    ]
    return [
        (
            "impossible-measure",
            label,
            Misread(f'"{length}"', f"less than once round the tire, {in_words(around)}", "measure it again"),
        )
        for label, length in lengths
        if isinstance(length, Measure) and length.to("mm").low >= around.high
    ]


def _date(case: Case) -> list[tuple[str, str, Misread]]:
    code = case.answers.get("dot-code")
    text = getattr(code, "text", "")
    if not text or case.today is None:
        return []
    try:
        dot_code.read_date_code(text, case.today)
    except Misread as error:
        return [("bad-date-code", "answers.dot-code", error)]
    return []
