"""Values worked out for one injury: its zone, its widest opening, its path through the casing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.engine.facts import NOT_APPLICABLE, Facts, Figures, Value, one_of
from advisor.errors import Misread
from advisor.later import later
from advisor.model.case import CANT_TELL, CantTell, Choice, Readings, Text
from advisor.units import Measure, exactly, in_words

if TYPE_CHECKING:
    from advisor.tire import lean as tire_lean
    from advisor.tire import path as tire_path
    from advisor.tire import spans as tire_spans
else:
    tire_path = later("advisor.tire.path")
    tire_spans = later("advisor.tire.spans")

#: As in `advisor.tire.zones`, the mildest first; a test holds the two together.
ZONES: tuple[str, ...] = ("crown", "shoulder", "sidewall", "bead")
NO_SHIFT = exactly(0, "mm")
_LEANS: dict[str, tire_lean.Lean] = {
    "toward-shoulder": "toward-shoulder",
    "toward-centre": "toward-centre",
    "along-tread": "along-tread",
}


def measured_zone(facts: Facts, figures: Figures) -> Value | None:
    """The zone that the offsets give; the worse of the injury's two ends decides, each with half its width outwards.

    Figure: `crown-edge`.
    """
    return _as_choice(_measured(facts, figures))


def zone(facts: Facts, figures: Figures) -> Value | None:
    """The injury's zone: the worse of what was said and what the measures give. Figure: `crown-edge`.

    "Can't tell" leaves every zone open.
    """
    said = facts.get("injury-zone")
    if said is CANT_TELL:
        return _as_choice(frozenset(ZONES))
    measured = _measured(facts, figures)
    sets = [frozenset({said.id})] if isinstance(said, Choice) else []
    if measured is not None:
        sets.append(measured)
    return _as_choice(tire_path.worst_zones(*sets)) if sets else None


def _as_choice(zones: frozenset[str] | None) -> Value | None:
    return None if zones is None else one_of(zones, ZONES)


def _measured(facts: Facts, figures: Figures) -> frozenset[str] | None:
    offset, tread_width = facts.get("offset"), facts.get("tread-width")
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
    return tire_path.worst_zones(*(tire_path.zones_at(_edge(end, size), tread_width, margin) for end in ends))


def _edge(end: Measure, size: Measure | None) -> Measure:
    """Where an end's edge lies, seen from the center line: half its width farther out, once that is known."""
    away = tire_spans.size_of(end)
    return away if size is None else tire_spans.plus(away, half(size))


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
    return facts.get("injury-depth") in (Choice("through"), CANT_TELL, None)


def length_over_width(facts: Facts, figures: Figures) -> Value | None:
    """How much longer than wide the injury is at most, in mm; below 0 the two were swapped or misread."""
    width, length = facts.measure("injury-size"), facts.measure("injury-length")
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
    plausible = facts.rules.questions[question].plausible
    if plausible is None:
        raise LookupError(f"{question} has no plausible range")
    return plausible


def lean_of(facts: Facts) -> tire_lean.Direction:
    """Which way the inner end lies from the outer; None where it was not or could not be told."""
    lean = facts.get("lean")
    if isinstance(lean, Measure):
        return lean
    return _LEANS.get(lean.id) if isinstance(lean, Choice) else None


def place_of_inner_end(facts: Facts) -> tuple[Measure, Measure] | CantTell | None:
    """Where the channel reaches the liner: its offset, and how far round it lies from the outer end.

    The outer end's own place where the injury ends in the casing, or where nothing tells of a slant; None without
    an offset. An angle or thickness that can't be told, or an angle still to be asked, may be any that its question
    takes; a direction not known is open both ways. CANT_TELL where an angle is too steep to be worked with.
    """
    offset = facts.measure("offset")
    if offset is None:
        return None
    slants = has_inner_end(facts) and not is_straight(facts.get("injury-angle"))
    if not slants or facts.get("casing-thickness") is None:
        return offset, NO_SHIFT
    angle, thickness, lean = _any_taken(facts, "injury-angle"), _any_taken(facts, "casing-thickness"), lean_of(facts)
    try:
        across = tire_path.inner_offset(offset, angle, thickness, lean)
        return across, tire_path.inner_shift_along(angle, thickness, lean)
    except Misread:
        return CANT_TELL


def offset_of_inner_end(facts: Facts, figures: Figures) -> Value | None:
    """The offset of the channel's inner end, in mm; None where a measure that gives it is not known."""
    straight = is_straight(facts.get("injury-angle")) or lean_of(facts) == "along-tread"
    measured = facts.measure("injury-angle") is not None and facts.measure("casing-thickness") is not None
    place = place_of_inner_end(facts) if has_inner_end(facts) and (straight or measured) else None
    return place[0].to("mm") if isinstance(place, tuple) else None


def ends_by_tape(facts: Facts, figures: Figures) -> Value | None:
    """How far in from the tread's edge both ends lie, in words; only where offset and tread width were measured."""
    offset, tread_width = facts.measure("offset"), facts.measure("tread-width")
    if offset is None or tread_width is None:
        return NOT_APPLICABLE
    return Text(f"by the tape {_ends_in_words(offset, tread_width, facts, figures)}{_half_on_top(facts)}")


def _ends_in_words(offset: Measure, tread_width: Measure, facts: Facts, figures: Figures) -> str:
    outer = _from_edge(tire_path.distance_in(offset, tread_width))
    if not has_inner_end(facts) or is_straight(facts.get("injury-angle")):
        return f"it lies {outer}"
    inner = offset_of_inner_end(facts, figures)
    if not isinstance(inner, Measure):
        return f"its outer end lies {outer}, its inner end is not measured"
    there = tire_path.distance_in(inner.to(offset.compared_in), tread_width)
    return f"its outer end lies {outer}, its inner end {_from_edge(there, 'it')}"


def _half_on_top(facts: Facts) -> str:
    size = largest(widest_opening(facts, {}))
    return "" if size is None else f", less half its width of {in_words(size)}"


def _from_edge(inside: Measure, edge: str = "the tread's edge") -> str:
    if inside.high < 0:
        return f"{in_words(Measure(-inside.high, -inside.low, inside.unit))} beyond {edge}"
    return f"{in_words(inside)} inside {edge}"


def length_of_channel(facts: Facts, figures: Figures) -> Value | None:
    """The length along the channel in mm: casing thickness over the cosine of the angle."""
    thickness, angle = facts.measure("casing-thickness"), facts.measure("injury-angle")
    if thickness is None or angle is None:
        return None
    try:
        return tire_path.channel_length(thickness, angle).to("mm")
    except Misread:
        return None


def length_of_stem(facts: Facts, figures: Figures) -> Value | None:
    """The stem's length in mm: the channel, what stands above the liner and above the tread.

    Figures: `above-liner` and `above-tread`.
    """
    channel = length_of_channel(facts, figures)
    if not isinstance(channel, Measure):
        return None
    return tire_path.stem_length(channel, figures["above-liner"].figures[0], figures["above-tread"].figures[0]).to("mm")


def widest_opening(facts: Facts, figures: Figures) -> Value | None:
    """The larger of the injury's width and length; the length counts as the width where none was measured."""
    across, along = facts.get("injury-size"), facts.get("injury-length")
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
