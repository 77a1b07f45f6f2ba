"""Derived facts of one injury: its zone, opening and path, and the repair area counted from the centre line.

The repair area is a share of the nominal section width, in three steps of width, half of it each side of the centre
line. The shares and steps are figures of the rule set. Source of the form: BS AU 159, minor repair area, as summed up
by the British tyre makers' association.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.domain import intervals
from advisor.engine.facts import NOT_APPLICABLE, Facts, LimitFigures, Value, one_of
from advisor.model import inputs
from advisor.model.case import CANT_TELL, CantTell, Choice, Readings, Text
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, exactly, in_words
from advisor.model.ruleset import Limit

if TYPE_CHECKING:
    from advisor.domain.geometry import injury_channel


#: As in `advisor.domain.geometry.zones`, the mildest first; a test holds the two together.
ZONES: tuple[str, ...] = ("crown", "shoulder", "sidewall", "bead")
NO_SHIFT = exactly(0, "mm")
_LEANS: dict[str, injury_channel.Lean] = {
    "toward-shoulder": "toward-shoulder",
    "toward-centre": "toward-centre",
    "along-tread": "along-tread",
}


def measured_zone(facts: Facts, figures: LimitFigures) -> Value | None:
    """The zone that the offsets give; the worse of the injury's two ends decides, each with half its width outwards.

    Reads
    -----
    offset, tread-width, injury-depth, injury-size, injury-length, injury-angle, casing-thickness, lean

    Figures
    -------
    crown-edge : how far in from the tread's edge the crown begins

    Returns
    -------
    crown, shoulder, sidewall, never bead; all that the doubt allows, and all three for an offset or tread width that
    can't be told. None while one of the two was not answered
    """
    return _as_choice(_measured(facts, figures))


def zone(facts: Facts, figures: LimitFigures) -> Value | None:
    """The injury's zone: the worse of what was said and what the measures give.

    In a light tire it counts whether it lies inside the outermost grooves, where rules ask that: inside, a shoulder by
    the tape is crown; not inside, it is shoulder; while nobody said, a shoulder by the tape may be crown.

    Reads
    -----
    injury-zone, inside-grooves, tire-group, and what `measured_zone` reads: offset, tread-width, injury-depth,
    injury-size, injury-length, injury-angle, casing-thickness, lean

    Figures
    -------
    crown-edge : as for `measured_zone`

    Returns
    -------
    crown, shoulder, sidewall or bead; "can't tell" leaves every zone open
    """
    from advisor.domain.geometry import injury_channel

    said = facts.get(inputs.INJURY_ZONE)
    if said is CANT_TELL:
        return _as_choice(frozenset(ZONES))
    measured = _by_grooves(_measured(facts, figures), facts)
    sets = [frozenset({said.id})] if isinstance(said, Choice) else []
    if measured is not None:
        sets.append(measured)
    return _as_choice(injury_channel.worst_zones(*sets)) if sets else None


def _by_grooves(measured: frozenset[str] | None, facts: Facts) -> frozenset[str] | None:
    """The zones by the tape, as far as the outermost grooves of a light tire leave them."""
    if facts.question(inputs.INSIDE_GROOVES) is None or facts.get("tire-group") != Choice("light"):
        return measured
    grooves = facts.get(inputs.INSIDE_GROOVES)
    tape = measured or frozenset({ZONES[0]})
    inside = frozenset(ZONES[0] if zone == ZONES[1] else zone for zone in tape)
    if grooves is None:
        return measured and measured | inside
    if isinstance(grooves, Choice) and grooves.id == "yes":
        return measured and inside
    outside = frozenset(ZONES[1] if zone == ZONES[0] else zone for zone in tape)
    return outside if isinstance(grooves, Choice) else inside | outside


def _as_choice(zones: frozenset[str] | None) -> Value | None:
    return None if zones is None else one_of(zones, ZONES)


def _measured(facts: Facts, figures: LimitFigures) -> frozenset[str] | None:
    from advisor.domain.geometry import injury_channel

    offset, tread_width = facts.get(inputs.OFFSET), facts.get(inputs.TREAD_WIDTH)
    if offset is None or tread_width is None:
        return None
    if not isinstance(offset, Measure) or not isinstance(tread_width, Measure):
        return frozenset(ZONES[:3])
    margin = figures["crown-edge"].figures
    inner = place_of_inner_end(facts)
    if inner is CANT_TELL:
        return frozenset(ZONES[:3])
    size = largest(widest_opening(facts, {}))
    ends = [offset] if inner is None else [offset, inner[0]]
    return injury_channel.worst_zones(*(injury_channel.zones_at(_edge(end, size), tread_width, margin) for end in ends))


def _edge(end: Measure, size: Measure | None) -> Measure:
    """Where an end's edge lies, seen from the center line: half its width farther out, once that is known."""
    away = intervals.size_of(end)
    return away if size is None else intervals.plus(away, half(size))


def half(measure: Measure) -> Measure:
    """Half a length, in mm."""
    here = measure.to("mm")
    return Measure(here.low / 2, here.high / 2, "mm")


def largest(size: Value | None) -> Measure | None:
    """The widest opening as one length; None where it is not known."""
    if isinstance(size, Readings):
        low = max(reading.to("mm").low for reading in size.readings)
        return Measure(low, max(reading.to("mm").high for reading in size.readings), "mm")
    return size if isinstance(size, Measure) else None


def has_inner_end(facts: Facts) -> bool:
    """Whether the injury goes through, or may do so, and so has an end on the liner."""
    return facts.get(inputs.INJURY_DEPTH) in (Choice("through"), CANT_TELL, None)


def length_over_width(facts: Facts, figures: LimitFigures) -> Value | None:
    """How much longer than wide the injury is at most; below 0 the two were swapped or misread.

    Reads
    -----
    injury-size, injury-length

    Returns
    -------
    length in mm; NOT_APPLICABLE unless both were measured
    """
    width, length = facts.measure(inputs.INJURY_SIZE), facts.measure(inputs.INJURY_LENGTH)
    if width is None or length is None:
        return NOT_APPLICABLE
    return exactly(length.to("mm").high - width.to("mm").low, "mm")


def is_straight(angle: Value | None) -> bool:
    """Whether the injury goes straight in: an angle of 0, in no doubt."""
    return isinstance(angle, Measure) and angle.low == angle.high == 0


def _any_taken(facts: Facts, question: str) -> Measure:
    """The measure that was given, or, where none was, everything that its question takes."""
    given = facts.measure(question)
    if given is not None:
        return given
    asked = facts.question(question)
    if asked is None or asked.plausible is None:
        raise LookupError(f"{question} has no plausible range")
    return asked.plausible


def lean_of(facts: Facts) -> injury_channel.Direction:
    """Which way the inner end lies from the outer; None where it was not or could not be told."""
    lean = facts.get(inputs.LEAN)
    if isinstance(lean, Measure):
        return lean
    return _LEANS.get(lean.id) if isinstance(lean, Choice) else None


def place_of_inner_end(facts: Facts) -> tuple[Measure, Measure] | CantTell | None:
    """Where the channel reaches the liner: its offset, and how far round it lies from the outer end.

    The outer end's own place where the injury ends in the casing, or where nothing tells of a slant; None without
    an offset. An angle or thickness that can't be told, or an angle still to be asked, may be any that its question
    takes; a direction not known is open both ways. CANT_TELL where an angle is too steep to be worked with.
    """
    from advisor.domain.geometry import injury_channel

    offset = facts.measure(inputs.OFFSET)
    if offset is None:
        return None
    slants = has_inner_end(facts) and not is_straight(facts.get(inputs.INJURY_ANGLE))
    if not slants or facts.get(inputs.CASING_THICKNESS) is None:
        return offset, NO_SHIFT
    angle, thickness, lean = (
        _any_taken(facts, inputs.INJURY_ANGLE),
        _any_taken(facts, inputs.CASING_THICKNESS),
        lean_of(facts),
    )
    try:
        across = injury_channel.inner_offset(offset, angle, thickness, lean)
        return across, injury_channel.inner_shift_along(angle, thickness, lean)
    except Misread:
        return CANT_TELL


def offset_of_inner_end(facts: Facts, figures: LimitFigures) -> Value | None:
    """The offset of the channel's inner end, by `injury_channel.inner_offset`.

    Reads
    -----
    injury-depth, offset, injury-angle, casing-thickness, lean

    Returns
    -------
    length in mm, + towards the serial side; None for an injury that does not go through, and where a measure that gives
    it is not known
    """
    straight = is_straight(facts.get(inputs.INJURY_ANGLE)) or lean_of(facts) == "along-tread"
    measured = facts.measure(inputs.INJURY_ANGLE) is not None and facts.measure(inputs.CASING_THICKNESS) is not None
    place = place_of_inner_end(facts) if has_inner_end(facts) and (straight or measured) else None
    return place[0].to("mm") if isinstance(place, tuple) else None


def ends_by_tape(facts: Facts, figures: LimitFigures) -> Value | None:
    """How far in from the tread's edge both ends lie, in words.

    Reads
    -----
    offset, tread-width, injury-depth, injury-size, injury-length, injury-angle, casing-thickness, lean

    Returns
    -------
    words; NOT_APPLICABLE unless offset and tread width were measured
    """
    offset, tread_width = facts.measure(inputs.OFFSET), facts.measure(inputs.TREAD_WIDTH)
    if offset is None or tread_width is None:
        return NOT_APPLICABLE
    return Text(f"by the tape {_ends_in_words(offset, tread_width, facts, figures)}{_half_on_top(facts)}")


def _ends_in_words(offset: Measure, tread_width: Measure, facts: Facts, figures: LimitFigures) -> str:
    from advisor.domain.geometry import injury_channel

    outer = _from_edge(injury_channel.distance_in(offset, tread_width))
    if not has_inner_end(facts) or is_straight(facts.get(inputs.INJURY_ANGLE)):
        return f"it lies {outer}"
    inner = offset_of_inner_end(facts, figures)
    if not isinstance(inner, Measure):
        return f"its outer end lies {outer}, its inner end is not measured"
    there = injury_channel.distance_in(inner.to(offset.compared_in), tread_width)
    return f"its outer end lies {outer}, its inner end {_from_edge(there, 'it')}"


def _half_on_top(facts: Facts) -> str:
    size = largest(widest_opening(facts, {}))
    return "" if size is None else f", less half its width of {in_words(size)}"


def _from_edge(inside: Measure, edge: str = "the tread's edge") -> str:
    if inside.high < 0:
        return f"{in_words(Measure(-inside.high, -inside.low, inside.unit))} beyond {edge}"
    return f"{in_words(inside)} inside {edge}"


def length_of_channel(facts: Facts, figures: LimitFigures) -> Value | None:
    """The length along the channel, by `injury_channel.channel_length`.

    Reads
    -----
    casing-thickness, injury-angle

    Returns
    -------
    length in mm; None also for an angle that can't be worked with
    """
    from advisor.domain.geometry import injury_channel

    thickness, angle = facts.measure(inputs.CASING_THICKNESS), facts.measure(inputs.INJURY_ANGLE)
    if thickness is None or angle is None:
        return None
    try:
        return injury_channel.channel_length(thickness, angle).to("mm")
    except Misread:
        return None


def length_of_stem(facts: Facts, figures: LimitFigures) -> Value | None:
    """The stem's length: the channel, what stands above the liner and above the tread.

    Reads
    -----
    casing-thickness, injury-angle

    Figures
    -------
    above-liner, above-tread : heights left standing

    Returns
    -------
    length in mm; None as `length_of_channel`
    """
    from advisor.domain.geometry import injury_channel

    channel = length_of_channel(facts, figures)
    if not isinstance(channel, Measure):
        return None
    return injury_channel.stem_length(channel, figures["above-liner"].figures[0], figures["above-tread"].figures[0]).to(
        "mm"
    )


def widest_opening(facts: Facts, figures: LimitFigures) -> Value | None:
    """The larger of the injury's width and length.

    Reads
    -----
    injury-size, injury-length

    Returns
    -------
    length in mm, or whatever unit was typed; both as readings where they were typed in different unit families, so that
    each is held against its own figure. A length alone counts as the width; None where the one that was asked for can't
    be told
    """
    across, along = facts.get(inputs.INJURY_SIZE), facts.get(inputs.INJURY_LENGTH)
    if not isinstance(across, Measure):
        return along if across is None and isinstance(along, Measure) else None
    if along is CANT_TELL:
        return None
    if not isinstance(along, Measure):
        return across
    if across.compared_in != along.compared_in:
        return _wider(across, along)
    there = along.to(across.unit)
    if there.high <= across.low:
        return across
    if across.high <= there.low:
        return along
    return Measure(max(across.low, there.low), max(across.high, there.high), across.unit)


def _wider(across: Measure, along: Measure) -> Value:
    """Both, where they were typed in different unit families: each is held against its own figure."""
    return Readings((across, along))


#: A band has an inside and an outside; how far outside it doesn't say, so the least of those zones stands for it.
INSIDE, OUTSIDE = "crown", "shoulder"
CUT_SIZES = ("within", "beyond")


def _share_for(width: Measure, figures: LimitFigures) -> Limit:
    for edge, share in (("narrow-to", "share-narrow"), ("middle-to", "share-middle")):
        if width.to("mm").high <= figures[edge].figures[0].to("mm").low:
            return figures[share]
    return figures["share-wide"]


def repair_area(facts: Facts, figures: LimitFigures) -> Value | None:
    """The width of the band in which a nail hole may be repaired.

    Reads
    -----
    section-width

    Figures
    -------
    narrow-to, middle-to : the widths up to which the first and the second share count, each itself included
    share-narrow, share-middle, share-wide : in %

    Returns
    -------
    length in mm, both sides of the centre line together, not rounded
    """
    width = facts.measure("section-width")
    return None if width is None else _share_of(width, _share_for(width, figures))


def _share_of(width: Measure, share: Limit) -> Measure:
    return intervals.times(width.to("mm"), share.figures[0].low / 100)


def zone_by_area(facts: Facts, figures: LimitFigures) -> Value | None:
    """The zone by the band: inside is crown; outside counts as shoulder, the least of the zones out there.

    Reads
    -----
    section-width, offset, injury-depth, injury-size, injury-length, injury-angle, casing-thickness, lean

    Figures
    -------
    narrow-to, middle-to, share-narrow, share-middle, share-wide : as for `repair_area`

    Returns
    -------
    crown where the distance from the centre line and half the injury are at most half the band (whether it may be just
    that, the share that counts says), shoulder beyond it, both where open. The worse of the two ends counts
    """
    zones = _area_measured(facts, figures)
    return None if zones is None else one_of(zones, ZONES)


def zone_in_area(facts: Facts, figures: LimitFigures) -> Value | None:
    """The zone that counts: the worse of what was said and what the band gives.

    Reads
    -----
    injury-zone, and what `zone_by_area` reads: section-width, offset, injury-depth, injury-size, injury-length,
    injury-angle, casing-thickness, lean

    Figures
    -------
    narrow-to, middle-to, share-narrow, share-middle, share-wide : as for `repair_area`

    Returns
    -------
    crown, shoulder, sidewall or bead; "can't tell" leaves every zone open
    """
    from advisor.domain.geometry import injury_channel

    said, measured = facts.get(inputs.INJURY_ZONE), _area_measured(facts, figures)
    sets = [frozenset({said.id})] if isinstance(said, Choice) else []
    if said is CANT_TELL:
        sets.append(frozenset(ZONES))
    if measured is not None:
        sets.append(measured)
    return one_of(injury_channel.worst_zones(*sets), ZONES) if sets else None


def _area_measured(facts: Facts, figures: LimitFigures) -> frozenset[str] | None:
    area, offset = repair_area(facts, figures), facts.get(inputs.OFFSET)
    if not isinstance(area, Measure) or offset is None:
        return None
    size = largest(widest_opening(facts, {}))
    if not isinstance(offset, Measure) or size is None:
        return frozenset({INSIDE, OUTSIDE}) if offset is CANT_TELL else None
    reach = intervals.plus(_ends(facts, offset), half(size))
    width = facts.measure("section-width")
    passes = width is not None and _share_for(width, figures).at_limit_passes
    sides = _sides(intervals.minus(half(area), reach), passes, INSIDE, OUTSIDE)
    return frozenset(sides | {OUTSIDE} if place_of_inner_end(facts) is CANT_TELL else sides)


def _sides(room: Measure, passes: bool, inside: str, outside: str) -> set[str]:
    """Inside, outside or both, by the room that is left; `passes` says where no room at all counts."""
    may_be_in = room.high > 0 or (room.high == 0 and passes)
    may_be_out = room.low < 0 or (room.low == 0 and not passes)
    return {name for name, possible in ((inside, may_be_in), (outside, may_be_out)) if possible}


def _ends(facts: Facts, offset: Measure) -> Measure:
    """The offset of the end that lies farther out; an inner one in doubt may be any that its measures allow."""
    outer = intervals.size_of(offset).to("mm")
    place = place_of_inner_end(facts)
    inner = intervals.size_of(place[0]).to("mm") if isinstance(place, tuple) else outer
    return Measure(max(outer.low, inner.low), max(outer.high, inner.high), "mm")


def cut_by_width(facts: Facts, figures: LimitFigures) -> Value | None:
    """Whether a cut is longer than a figure or a share of the section width, whichever is greater.

    Reads
    -----
    injury-size, injury-length, section-width

    Figures
    -------
    length : the figure
    share : in % of the section width

    Returns
    -------
    within or beyond; both where open, and beyond the figure while the width is not known. What exactly the greater one
    is, its limit says
    """
    size = largest(widest_opening(facts, {}))
    if size is None:
        return None
    length = figures["length"].figures[0].to("mm")
    width = facts.measure("section-width")
    if width is None:
        found = _sides(intervals.minus(length, size), figures["length"].at_limit_passes, *CUT_SIZES)
        return one_of(found if found == {"within"} else set(CUT_SIZES), CUT_SIZES)
    share = _share_of(width, figures["share"])
    greater, limit = (length, "length") if length.low >= share.low else (share, "share")
    return one_of(_sides(intervals.minus(greater, size), figures[limit].at_limit_passes, *CUT_SIZES), CUT_SIZES)
