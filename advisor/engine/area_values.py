"""Values for rules that count the repair area from the centre line by the nominal section width, and cuts by it.

The band: a share of the nominal section width, in three steps of width, half of it each side of the centre line.
The shares and steps are figures of the rule set.
Source of the form: BS AU 159, minor repair area, as summed up by the British tyre makers' association.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.engine.facts import Facts, Figures, Value, one_of
from advisor.engine.injury_values import ZONES, half, largest, place_of_inner_end, widest_opening
from advisor.later import later
from advisor.model.case import CANT_TELL, Choice
from advisor.model.rules import Limit
from advisor.units import Measure

if TYPE_CHECKING:
    from advisor.tire import path as tire_path
    from advisor.tire import spans as tire_spans
else:
    tire_path = later("advisor.tire.path")
    tire_spans = later("advisor.tire.spans")

#: A band has an inside and an outside; how far outside it doesn't say, so the least of those zones stands for it.
INSIDE, OUTSIDE = "crown", "shoulder"
CUT_SIZES = ("within", "beyond")


def _share_for(width: Measure, figures: Figures) -> Limit:
    for edge, share in (("narrow-to", "share-narrow"), ("middle-to", "share-middle")):
        if width.to("mm").high <= figures[edge].figures[0].to("mm").low:
            return figures[share]
    return figures["share-wide"]


def repair_area(facts: Facts, figures: Figures) -> Value | None:
    """The width in mm of the band in which a nail hole may be repaired; not rounded.

    Figures: `narrow-to` and `middle-to`, the widths up to which the first and second share count, each itself
    included; `share-narrow`, `share-middle`, `share-wide` in %.
    """
    width = facts.measure("section-width")
    return None if width is None else _share_of(width, _share_for(width, figures))


def _share_of(width: Measure, share: Limit) -> Measure:
    return tire_spans.times(width.to("mm"), share.figures[0].low / 100)


def zone_by_area(facts: Facts, figures: Figures) -> Value | None:
    """Crown where the injury lies inside the band, shoulder where it reaches out of it. Figures as `repair-area`.

    Inside: distance of the injury's centre from the centre line, plus half the injury, is at most half the band;
    whether it may be just that is said by the share that counts.
    The worse of the injury's two ends counts where the inner one is known.
    """
    zones = _measured(facts, figures)
    return None if zones is None else one_of(zones, ZONES)


def zone_in_area(facts: Facts, figures: Figures) -> Value | None:
    """The zone that counts: the worse of what was said and what the band gives. Figures as `repair-area`.

    "Can't tell" leaves every zone open.
    """
    said, measured = facts.get("injury-zone"), _measured(facts, figures)
    sets = [frozenset({said.id})] if isinstance(said, Choice) else []
    if said is CANT_TELL:
        sets.append(frozenset(ZONES))
    if measured is not None:
        sets.append(measured)
    return one_of(tire_path.worst_zones(*sets), ZONES) if sets else None


def _measured(facts: Facts, figures: Figures) -> frozenset[str] | None:
    area, offset = repair_area(facts, figures), facts.get("offset")
    if not isinstance(area, Measure) or offset is None:
        return None
    size = largest(widest_opening(facts, {}))
    if not isinstance(offset, Measure) or size is None:
        return frozenset({INSIDE, OUTSIDE}) if offset is CANT_TELL else None
    reach = tire_spans.plus(_ends(facts, offset), half(size))
    width = facts.measure("section-width")
    passes = width is not None and _share_for(width, figures).at_limit_passes
    sides = _sides(tire_spans.minus(half(area), reach), passes, INSIDE, OUTSIDE)
    return frozenset(sides | {OUTSIDE} if place_of_inner_end(facts) is CANT_TELL else sides)


def _sides(room: Measure, passes: bool, inside: str, outside: str) -> set[str]:
    """Inside, outside or both, by the room that is left; `passes` says where no room at all counts."""
    may_be_in = room.high > 0 or (room.high == 0 and passes)
    may_be_out = room.low < 0 or (room.low == 0 and not passes)
    return {name for name, possible in ((inside, may_be_in), (outside, may_be_out)) if possible}


def _ends(facts: Facts, offset: Measure) -> Measure:
    """The offset of the end that lies farther out; an inner one in doubt may be any that its measures allow."""
    outer = tire_spans.size_of(offset).to("mm")
    place = place_of_inner_end(facts)
    inner = tire_spans.size_of(place[0]).to("mm") if isinstance(place, tuple) else outer
    return Measure(max(outer.low, inner.low), max(outer.high, inner.high), "mm")


def cut_by_width(facts: Facts, figures: Figures) -> Value | None:
    """Whether a cut is longer than a figure or a share of the section width, whichever is greater.

    Figures: `length`, `share` in %. Its longest opening counts; what exactly the greater one is, its limit says.
    """
    size = largest(widest_opening(facts, {}))
    if size is None:
        return None
    length = figures["length"].figures[0].to("mm")
    width = facts.measure("section-width")
    if width is None:
        found = _sides(tire_spans.minus(length, size), figures["length"].at_limit_passes, *CUT_SIZES)
        return one_of(found if found == {"within"} else set(CUT_SIZES), CUT_SIZES)
    share = _share_of(width, figures["share"])
    greater, limit = (length, "length") if length.low >= share.low else (share, "share")
    return one_of(_sides(tire_spans.minus(greater, size), figures[limit].at_limit_passes, *CUT_SIZES), CUT_SIZES)
