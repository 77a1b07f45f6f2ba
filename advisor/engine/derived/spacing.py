"""Derived facts of what lies beside each other: repair units, neighbouring injuries, the two tires of a dual.

Of a dual pair: what the table allows for this tire, and whether two tires that were measured match. Whether one unit
could close two neighbouring injuries is said only where a rule set has a ruling about it.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from typing import TYPE_CHECKING

from msgspec import Struct

from advisor.domain import dual_pairs, intervals
from advisor.domain.geometry import unit_cover
from advisor.engine.derived.injury import NO_SHIFT, lean_of, place_of_inner_end
from advisor.engine.derived.repair_unit import unit_sizes
from advisor.engine.facts import NOT_APPLICABLE, Facts, LimitFigures, Value
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Choice
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, exactly

if TYPE_CHECKING:
    from advisor.domain.geometry import liner_layout


_ZERO = exactly(0, "mm")
_TAPE = (inputs.APART_ALONG, inputs.APART_ACROSS)


class PlacedUnit(Struct, frozen=True):
    """A repair unit, new or old: the injury or earlier repair it belongs to, and its place where that is known."""

    facts: Facts
    patch: liner_layout.Patch | None

    @property
    def new(self) -> bool:
        """Whether it is one that is still to be put in."""
        return self.facts.over == "injuries"


def placed_units(facts: Facts) -> tuple[PlacedUnit, ...]:
    """Every unit of the tire: the new ones, then the earlier repairs."""
    new = (PlacedUnit(injury, injury.step(_new_patch)) for injury in facts.each("injuries") if _needs_unit(injury))
    old = (PlacedUnit(repair, repair.step(_old_patch)) for repair in _repairs(facts))
    return (*new, *old)


def unit_gaps(facts: Facts, units: tuple[PlacedUnit, ...]) -> list[tuple[PlacedUnit, PlacedUnit, Measure]]:
    """Each pair of placed units with a new one in it, and the distance edge to edge in mm, the nearest first."""
    around = facts.step(liner_round)
    placed = [unit for unit in units if unit.patch]
    if around is None:
        return []
    new = [unit.patch for unit in placed if unit.new and unit.patch]
    old = [unit.patch for unit in placed if not unit.new and unit.patch]
    return [(placed[i], placed[j], gap) for i, j, gap in _nearest(tuple(new), tuple(old), around)]


def to_keep_apart(facts: Facts, figures: LimitFigures) -> Value | None:
    """Whether two or more units, new or old, have to be kept apart.

    Reads
    -----
    injury-depth of every injury; earlier-repairs, repair-sound of every earlier repair

    Returns
    -------
    yes or no, never None
    """
    new = sum(_needs_unit(injury) for injury in facts.each("injuries"))
    return Choice("yes" if new and new + len(_repairs(facts)) > 1 else "no")


def repairs_in_all(facts: Facts, figures: LimitFigures) -> Value | None:
    """How many repairs the tire would have in all, earlier ones too.

    Reads
    -----
    injury-depth of every injury; earlier-repairs, repair-sound of every earlier repair

    Returns
    -------
    a count; NOT_APPLICABLE where there would be one or none
    """
    new = sum(_needs_unit(injury) for injury in facts.each("injuries"))
    count = new + len(_repairs(facts))
    return exactly(count, "times") if count > 1 else NOT_APPLICABLE


def nearest_repair(facts: Facts, figures: LimitFigures) -> Value | None:
    """The smallest distance between a new unit and any other, by `liner_layout.nearest`.

    Reads
    -----
    overall-diameter; of every injury injury-depth, clock, offset, injury-angle, casing-thickness, lean, unit-length,
    unit-width, unit-turn, tire-group, zone, widest-opening; earlier-repairs, and of each repair-sound, repair-clock,
    repair-offset, repair-unit-length, repair-unit-width, repair-unit-turn; apart-along, apart-across

    Returns
    -------
    length in mm, edge to edge; 0 or less where they touch. By the tape from hole to hole where it was laid and no
    earlier repair is there, else by the places round the tire; where those are surely nearer than the tape says, what
    lies between as well. Where a place is not known, those that are known count
    only when they touch or overlap for certain, else None. NOT_APPLICABLE where nothing has to be kept apart. Without a
    casing thickness of any injury the liner counts as long as the tread: see `liner_layout.circumference`
    """
    if to_keep_apart(facts, figures) == Choice("no"):
        return NOT_APPLICABLE
    places = _by_places(facts)
    if not taped_apart(facts):
        return places
    taped = gap_by_tape(facts)
    if taped is None or places is None or places.high >= taped.low:
        return taped
    facts.at_odds(*_TAPE)
    return Measure(places.low, taped.high, "mm")


def taped_apart(facts: Facts) -> bool:
    """Whether the tape was laid between the nearest injuries, or said to tell nothing; no earlier repair is there."""
    said = [facts.said(name) if facts.question(name) is not None else None for name in _TAPE]
    none_before = facts.get(inputs.EARLIER_REPAIRS) == Choice("no")
    return none_before and (None not in said or CANT_TELL in said)


def gap_by_tape(facts: Facts) -> Measure | None:
    """The gap between the nearest new units by the tape from hole to hole, each unit as large as the largest, in mm."""
    from advisor.domain.geometry import liner_layout

    along, across = map(facts.measure, _TAPE)
    needing = [injury for injury in facts.each(inputs.OVER_INJURIES) if _needs_unit(injury)]
    sizes = [sized for injury in needing if (sized := unit_sizes(injury))]
    if along is None or across is None or not sizes or len(sizes) < len(needing):
        return None
    length, width = (_largest([pair[side] for pair in sizes]) for side in (0, 1))
    turns = [_turn_of(injury, inputs.UNIT_TURN) for injury in needing]
    if len(turns) > 2 and any(turn is not liner_layout.NO_TURN for turn in turns):
        turns = [liner_layout.ANY_TURN]  # which two of them are nearest is not said
    here = liner_layout.Patch(_ZERO, _ZERO, length, width, turns[0])
    sides = (across.to("mm"), intervals.minus(_ZERO, across.to("mm")))
    there = [liner_layout.Patch(along.to("mm"), side, length, width, turns[-1]) for side in sides]
    reach = intervals.plus(along.to("mm"), intervals.plus(length, width)).high
    strip = Measure(reach + reach, reach + reach, "mm")  # laid the shorter way: nothing comes near from behind
    gaps = [liner_layout.gap(here, each, strip) for each in there]
    return Measure(min(gap.low for gap in gaps), min(gap.high for gap in gaps), "mm")


def _largest(measures: list[Measure]) -> Measure:
    in_mm = [each.to("mm") for each in measures]
    return Measure(max(each.low for each in in_mm), max(each.high for each in in_mm), "mm")


def _by_places(facts: Facts) -> Measure | None:
    """The smallest gap by the places round the tire; None where not all are known and none touch for certain."""
    units = placed_units(facts)
    gaps = [gap for _, _, gap in unit_gaps(facts, units)]
    if not gaps:
        return None
    least = Measure(min(gap.low for gap in gaps), min(gap.high for gap in gaps), "mm")
    all_placed = all(unit.patch for unit in units)
    return least if all_placed or least.high <= 0 else None


def liner_round(facts: Facts) -> Measure | None:
    """The liner's length once round, in mm; the thickest casing measured counts, as it brings units closest."""
    from advisor.domain.geometry import liner_layout

    diameter = facts.measure("overall-diameter")
    if diameter is None:
        return None
    thick = [found for injury in facts.each("injuries") if (found := injury.measure(inputs.CASING_THICKNESS))]
    thickest = max(thick, key=lambda measure: measure.to("mm").high) if thick else None
    try:
        return liner_layout.circumference(diameter, thickest)
    except Misread:
        return None


def _needs_unit(injury: Facts) -> bool:
    """Whether an injury gets a unit on the liner: all but those known to be in the rubber only."""
    return injury.get(inputs.INJURY_DEPTH) != Choice("rubber-only")


def _repairs(facts: Facts) -> list[Facts]:
    """The earlier repairs that may stay: none where it was said so, and not those that are known to be unsound."""
    if facts.get(inputs.EARLIER_REPAIRS) == Choice("no"):
        return []
    return [repair for repair in facts.each(inputs.OVER_REPAIRS) if repair.get(inputs.REPAIR_SOUND) != Choice("no")]


def _new_patch(injury: Facts) -> liner_layout.Patch | None:
    around = injury.part(inputs.OVER_TIRE, TIRE).step(liner_round)
    clock, place = injury.measure(inputs.CLOCK), place_of_inner_end(injury)
    sizes = unit_sizes(injury)
    if around is None or clock is None or not isinstance(place, tuple) or sizes is None:
        return None
    across, shift = place
    return _patch(clock, across.to("mm"), *sizes, around, _turn_of(injury, inputs.UNIT_TURN), shift.to("mm"))


def _old_patch(repair: Facts) -> liner_layout.Patch | None:
    around = repair.part(inputs.OVER_TIRE, TIRE).step(liner_round)
    clock, offset = repair.measure(inputs.REPAIR_CLOCK), repair.measure(inputs.REPAIR_OFFSET)
    length, width = repair.measure(inputs.REPAIR_UNIT_LENGTH), repair.measure(inputs.REPAIR_UNIT_WIDTH)
    if around is None or clock is None or offset is None or length is None or width is None:
        return None
    return _patch(clock, offset, length, width, around, _turn_of(repair, inputs.REPAIR_UNIT_TURN), NO_SHIFT)


def _turn_of(facts: Facts, question: str) -> Measure:
    """How a unit is turned: square to the tread where nothing was said, any way where it can't be told.

    Only what was said is looked at: left out, it is no doubt, and must not stand for the doubt of what was measured.
    """
    from advisor.domain.geometry import liner_layout

    if facts.question(question) is None or facts.said(question) is None:
        return liner_layout.NO_TURN
    turn = facts.get(question)
    return turn if isinstance(turn, Measure) else liner_layout.ANY_TURN if turn is CANT_TELL else liner_layout.NO_TURN


@lru_cache(maxsize=256)
def _nearest(
    new: tuple[liner_layout.Patch, ...], old: tuple[liner_layout.Patch, ...], around: Measure
) -> list[tuple[int, int, Measure]]:
    from advisor.domain.geometry import liner_layout

    return liner_layout.nearest(new, old, around)


def _patch(
    clock: Measure, across: Measure, length: Measure, width: Measure, around: Measure, turn: Measure, shift: Measure
) -> liner_layout.Patch | None:
    """A unit on the liner; None where its sizes are impossible."""
    from advisor.domain.geometry import liner_layout

    try:
        return liner_layout.place_on_liner(clock, across, length, width, around, turn, shift)
    except Misread:
        return None


def joint_cover(facts: Facts, figures: LimitFigures) -> Value | None:
    """What one new unit has left over beyond two injuries' openings and the margin, by `unit_cover.joint_cover_left`.

    Reads
    -----
    overall-diameter; of every injury injury-depth, clock, offset, injury-size, injury-angle, casing-thickness, lean,
    unit-length, unit-width, unit-turn, tire-group, zone, widest-opening; earlier-repairs, and of each repair-sound,
    repair-clock, repair-offset, repair-unit-length, repair-unit-width, repair-unit-turn

    Figures
    -------
    margin : on each side

    Returns
    -------
    length in mm in the tighter of the two directions, of all pairs the most; below 0 no unit covers two. NOT_APPLICABLE
    unless at least two injuries have their place, size, angle and unit
    """
    around = facts.step(liner_round)
    placed = [unit for unit in placed_units(facts) if unit.new and unit.patch]
    if around is None or len(placed) < 2:
        return NOT_APPLICABLE
    found = [
        left
        for first, second in combinations(placed, 2)
        if (left := _left(first, second, around, figures["margin"].figures[0]))
    ]
    return Measure(max(each.low for each in found), max(each.high for each in found), "mm") if found else NOT_APPLICABLE


def _left(first: PlacedUnit, second: PlacedUnit, around: Measure, margin: Measure) -> Measure | None:
    sizes, openings = unit_sizes(first.facts), (_opening(first.facts), _opening(second.facts))
    if sizes is None or openings[0] is None or openings[1] is None or first.patch is None or second.patch is None:
        return None
    apart = (
        _shorter_way(intervals.minus(first.patch.along_mm, second.patch.along_mm), around),
        intervals.size_of(intervals.minus(first.patch.across, second.patch.across)),
    )
    along, across = unit_cover.joint_cover_left(sizes, apart, (openings[0], openings[1]), margin)
    along, across = along.to("mm"), across.to("mm")
    return Measure(min(along.low, across.low), min(along.high, across.high), "mm")


def _shorter_way(apart: Measure, around: Measure) -> Measure:
    """How far two places on the strip lie apart along it, the shorter way round."""
    turns = [intervals.size_of(intervals.plus(apart, intervals.times(around, turn))) for turn in (-1, 0, 1)]
    return Measure(min(each.low for each in turns), min(each.high for each in turns), apart.unit)


def _opening(facts: Facts) -> tuple[Measure, Measure] | None:
    from advisor.domain.geometry import injury_channel

    size, angle = facts.measure(inputs.INJURY_SIZE), facts.measure(inputs.INJURY_ANGLE)
    if size is None or angle is None:
        return None
    try:
        return unit_cover.opening_reach(injury_channel.liner_ellipse(size, angle), lean_of(facts))
    except Misread:
        return None


def may_be_dual(facts: Facts) -> bool:
    """Whether the tire may be one of a pair: on a truck, bus or trailer, and not on a steer axle."""
    vehicle, place = facts.get(inputs.VEHICLE), facts.get(inputs.WHEEL_POSITION)
    heavy = vehicle in (Choice("truck"), Choice("bus"), Choice("trailer"))
    return heavy and not (vehicle != Choice("trailer") and place in (Choice("steer"), Choice("other")))


DUAL_ROWS = ("small", "medium", "large", "largest")


def _dual_rows(figures: LimitFigures) -> list[dual_pairs.DualRow]:
    ends = [figures[name].figures[0] for name in ("to-small", "to-medium", "to-large")]
    return [
        dual_pairs.DualRow(end, row != "small", figures[f"diameter-{row}"].figures, figures[f"girth-{row}"].figures)
        for row, end in zip(DUAL_ROWS, [*ends, None], strict=True)
    ]


def dual_diameter(facts: Facts, figures: LimitFigures) -> Value | None:
    """How far the tires of a pair may differ in diameter, by the row of this tire's own diameter.

    Reads
    -----
    vehicle, wheel-position, overall-diameter

    Figures
    -------
    to-small, to-medium, to-large : diameters up to which a row counts; the first itself falls in the next row
    diameter-small, diameter-medium, diameter-large, diameter-largest : differences in diameter, by row
    girth-small, girth-medium, girth-large, girth-largest : differences round the tread, by row

    Returns
    -------
    length in in, as the table gives it; NOT_APPLICABLE where the tire is not one of a pair
    """
    return _dual(facts, figures, round_too=False)


def dual_girth(facts: Facts, figures: LimitFigures) -> Value | None:
    """How far the tires of a pair may differ round the tread, by the row of this tire's own diameter.

    Reads
    -----
    vehicle, wheel-position, overall-diameter

    Figures
    -------
    to-small, to-medium, to-large : as for `dual_diameter`
    diameter-small, diameter-medium, diameter-large, diameter-largest : as there
    girth-small, girth-medium, girth-large, girth-largest : as there

    Returns
    -------
    length in in, as the table gives it; NOT_APPLICABLE where the tire is not one of a pair
    """
    return _dual(facts, figures, round_too=True)


def _dual(facts: Facts, figures: LimitFigures, round_too: bool) -> Value | None:
    if not may_be_dual(facts):
        return NOT_APPLICABLE
    diameter = facts.measure("overall-diameter")
    if diameter is None:
        return None
    inches = diameter.to("in")
    rows = _dual_rows(figures)
    return (dual_pairs.allowed_round if round_too else dual_pairs.allowed_difference)(inches, rows)


_MEASURED = frozenset({inputs.OWN_GIRTH, inputs.PAIR_GIRTH, inputs.OWN_DIAMETER, inputs.PAIR_DIAMETER})


def _measured(facts: Facts, figures: LimitFigures) -> tuple[Measure, Measure] | None:
    """What two tires measured round or across differ by, and what their row allows; in inches, the tape first.

    The larger of the two decides the row. A reading in doubt counts with its worse end.
    """
    by_tape = (inputs.OWN_GIRTH, inputs.PAIR_GIRTH, True), (inputs.OWN_DIAMETER, inputs.PAIR_DIAMETER, False)
    for mine, others, round_it in by_tape:
        own, other = facts.measure(mine), facts.measure(others)
        if own is None or other is None:
            continue
        first, second = own.to("in"), other.to("in")
        ends = [dual_pairs.diameter_of_round(each) for each in (first, second)] if round_it else [first, second]
        row = dual_pairs.larger_diameter(*ends)
        allowed = (dual_pairs.allowed_round if round_it else dual_pairs.allowed_difference)(row, _dual_rows(figures))
        if allowed is not None:
            differs, most = dual_pairs.diameter_difference(first, second).high, allowed.low
            return Measure(differs, differs, "in"), Measure(most, most, "in")
    return None


def pair_fit(facts: Facts, figures: LimitFigures) -> Value | None:
    """Whether the two tires of a pair match as measured, round the tread or across, the tape first.

    Reads
    -----
    own-girth, pair-girth, own-diameter, pair-diameter

    Figures
    -------
    to-small, to-medium, to-large : as for `dual_diameter`
    diameter-small, diameter-medium, diameter-large, diameter-largest : as there
    girth-small, girth-medium, girth-large, girth-largest : as there

    Returns
    -------
    yes or no; a reading in doubt counts with its worse end. None where one that would give it can't be told,
    NOT_APPLICABLE where no two were measured
    """
    if all(facts.said(name) is None for name in _MEASURED):
        return NOT_APPLICABLE
    found = _measured(facts, figures)
    if found is not None:
        return Choice("yes" if found[0].low <= found[1].low else "no")
    return None if any(facts.get(name) is CANT_TELL for name in _MEASURED) else NOT_APPLICABLE


def pair_differs(facts: Facts, figures: LimitFigures) -> Value | None:
    """How far the two tires of a pair differ, round the tread or in diameter, as measured.

    Reads
    -----
    own-girth, pair-girth, own-diameter, pair-diameter

    Figures
    -------
    to-small, to-medium, to-large : as for `dual_diameter`
    diameter-small, diameter-medium, diameter-large, diameter-largest : as there
    girth-small, girth-medium, girth-large, girth-largest : as there

    Returns
    -------
    length in in, the most that the doubt allows
    """
    found = _measured(facts, figures)
    return found[0] if found else None


def pair_may_differ(facts: Facts, figures: LimitFigures) -> Value | None:
    """How far the two tires of a pair may differ, by the row of the larger one.

    Reads
    -----
    own-girth, pair-girth, own-diameter, pair-diameter

    Figures
    -------
    to-small, to-medium, to-large : as for `dual_diameter`
    diameter-small, diameter-medium, diameter-large, diameter-largest : as there
    girth-small, girth-medium, girth-large, girth-largest : as there

    Returns
    -------
    length in in, the least of the rows that may count
    """
    found = _measured(facts, figures)
    return found[1] if found else None
