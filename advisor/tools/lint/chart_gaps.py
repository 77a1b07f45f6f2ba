"""Gaps, doubles and shrinking sizes in a shop's chart of repair units.

Held for each tire group and zone: no gap from one injury size or angle to the next, no two rows for the same injury,
no smaller unit for a larger injury, no unit for an angle at which its method is not allowed.

unit-chart (error): a chart with a gap, two rows for one injury, or a unit that shrinks as the injury grows.
Why it is bad: a gap sends a tire away that has a unit, two rows leave the choice to chance, and a unit that is too
small does not hold.
PASS:
  units.yaml:
    small: {name: Small, method: plug, for: light, zone: crown, injury: 0-3 mm, angle: 0-25 deg,
            length: 40 mm, width: 30 mm, stem: 4 mm, standing: from memory, source: made-up, clause: none}
    large: {name: Large, method: plug, for: light, zone: crown, injury: 3-6 mm, angle: 0-25 deg,
            length: 50 mm, width: 40 mm, stem: 6 mm, standing: from memory, source: made-up, clause: none}
FAIL:
  units.yaml:
    small: {name: Small, method: plug, for: light, zone: crown, injury: 0-3 mm, angle: 0-25 deg,
            length: 40 mm, width: 30 mm, stem: 4 mm, standing: from memory, source: made-up, clause: none}
    large: {name: Large, method: plug, for: light, zone: crown, injury: 4-6 mm, angle: 0-25 deg,
            length: 50 mm, width: 40 mm, stem: 6 mm, standing: from memory, source: made-up, clause: none}
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from advisor.engine.templates import limit_in_words
from advisor.model import inputs
from advisor.model.problems import Problem
from advisor.model.quantity import Measure, exactly, in_words
from advisor.model.repair_units import UnitRow
from advisor.model.ruleset import RuleSet, leaves

FILE = "units.yaml"
#: The answer by which a method's steepest injury is limited.
ANGLE = inputs.INJURY_ANGLE


def check(rules: RuleSet) -> Iterator[Problem]:
    """Every gap, overlap and shrinking size, once for each tire group and zone."""
    yield from _too_steep(rules)
    groups = {(group, zone) for row in rules.units.values() for group in row.groups for zone in row.zones}
    for group, zone in sorted(groups):
        rows = [row for row in rules.units.values() if group in row.groups and zone in row.zones]
        where = f"{group}, {zone}"
        yield from _turned_round(rows, rules)
        yield from _overlaps(rows, where, rules)
        for angle in _bands([row.angle for row in rows], "deg"):
            yield from _along_sizes(rows, angle, where, rules)
        yield from _angle_gaps(rows, where, rules)
        yield from _along_angles(rows, rules)


def _too_steep(rules: RuleSet) -> Iterator[Problem]:
    """Rows for an angle beyond the limit that their method is held to."""
    for row in rules.units.values():
        for leaf in leaves(rules.methods[row.method].when):
            limit = rules.limits[leaf.operand[0]] if leaf.test == "within" and leaf.subject == ANGLE else None
            if limit is not None and limit.is_beyond(row.largest_angle):
                found = f"{row.id} is for up to {in_words(row.largest_angle)}, with the method {row.method}"
                yield _problem(rules, row, found, f"at most {limit_in_words(limit)}, where that method ends")


def _turned_round(rows: list[UnitRow], rules: RuleSet) -> Iterator[Problem]:
    for row in rows:
        for span in (row.injury, row.angle):
            if span.low == span.high:
                yield _problem(rules, row, f"{row.id} is for {in_words(span)} alone", "a range such as 3 to 6 mm")


def _overlaps(rows: list[UnitRow], where: str, rules: RuleSet) -> Iterator[Problem]:
    for number, first in enumerate(rows):
        for second in rows[number + 1 :]:
            if _meet(first.injury, second.injury, "mm") and _meet(first.angle, second.angle, "deg"):
                found = f"{first.id} and {second.id} are for the same injuries ({where})"
                yield _problem(rules, second, found, "one unit for each injury", first)


def _along_sizes(rows: list[UnitRow], angle: Measure, where: str, rules: RuleSet) -> Iterator[Problem]:
    """Gaps between injury sizes, and shrinking units, among the rows for one band of angles."""
    here = sorted((row for row in rows if _meet(row.angle, angle, "deg")), key=lambda row: row.injury.to("mm").low)
    if here and here[0].injury.low > 0:
        yield _gap(rules, here[0], f"nothing below {in_words(_low(here[0].injury))}", angle, where)
    for smaller, larger in pairwise(here):
        if larger.injury.to("mm").low > smaller.injury.to("mm").high:
            span = f"nothing from {in_words(smaller.largest_injury)} to {in_words(_low(larger.injury))}"
            yield _gap(rules, larger, span, angle, where)
        for name in ("length", "width", "stem"):
            before, after = getattr(smaller, name), getattr(larger, name)
            if after.to("mm").high < before.to("mm").low:
                found = f"{larger.id} has a {name} of {in_words(after)}, less than {smaller.id} for a smaller injury"
                yield _problem(rules, larger, found, f"{in_words(before)} or more", smaller)


def _along_angles(rows: list[UnitRow], rules: RuleSet) -> Iterator[Problem]:
    """Units that shrink as the injury leans more: a slanting one leaves a longer opening in the liner."""
    told = set()
    for size in _bands([row.injury for row in rows], "mm"):
        here = sorted((row for row in rows if _meet(row.injury, size, "mm")), key=lambda row: row.angle.to("deg").low)
        for straighter, steeper in pairwise(here):
            for name in ("length", "width"):
                before, after = getattr(straighter, name), getattr(steeper, name)
                if after.to("mm").high < before.to("mm").low and (steeper.id, name) not in told:
                    told.add((steeper.id, name))
                    found = f"{steeper.id} has a {name} of {in_words(after)}, less than {straighter.id}"
                    yield _problem(
                        rules, steeper, f"{found} for a straighter injury", f"{in_words(before)} or more", straighter
                    )


def _angle_gaps(rows: list[UnitRow], where: str, rules: RuleSet) -> Iterator[Problem]:
    here = sorted(rows, key=lambda row: (row.angle.to("deg").low, row.angle.to("deg").high))
    reach = exactly(0, "deg")
    for row in here:
        if row.angle.to("deg").low > reach.high:
            found = f"the chart has nothing from {in_words(reach)} to {in_words(_low(row.angle))} ({where})"
            yield _problem(rules, row, found, "angles without a gap")
        if row.angle.to("deg").high > reach.high:
            reach = row.largest_angle.to("deg")


def _gap(rules: RuleSet, row: UnitRow, span: str, angle: Measure, where: str) -> Problem:
    return _problem(rules, row, f"the chart has {span} at {in_words(angle)} ({where})", "sizes without a gap")


def _bands(spans: list[Measure], unit: str) -> list[Measure]:
    """The spans cut at every end that one of them has."""
    ends = sorted({end for span in spans for end in (span.to(unit).low, span.to(unit).high)})
    return [Measure(low, high, unit) for low, high in pairwise(ends)]


def _meet(first: Measure, second: Measure, unit: str) -> bool:
    """Whether two spans share more than an end."""
    one, other = first.to(unit), second.to(unit)
    return max(one.low, other.low) < min(one.high, other.high)


def _low(span: Measure) -> Measure:
    return Measure(span.low, span.low, span.unit)


def _problem(rules: RuleSet, row: UnitRow, found: str, expected: str, other: UnitRow | None = None) -> Problem:
    see = ((rules.place_of(FILE, other.id), "the other row"),) if other else ()
    do = "correct the chart by the repair material's own"
    return Problem("unit-chart", rules.place_of(FILE, row.id), found, expected, do, see=see)
