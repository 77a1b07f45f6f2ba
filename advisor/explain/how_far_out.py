"""How far an injury lies inside or outside the place where the crown ends: by the band, or by the tread's edge."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from advisor.engine.facts import Facts
from advisor.explain.why_not import reading_of
from advisor.model import inputs
from advisor.model.limits import Limit
from advisor.model.quantity import Measure
from advisor.model.ruleset import RuleSet

#: The figure by which a rule set says how far in from the tread's edge the crown begins, and the worked-out band.
CROWN_EDGE, BAND = "crown-edge", "repair-area"


def border_limits(rules: RuleSet) -> set[str]:
    """The limits by which it is told where the crown ends."""
    of = (each for each in rules.values.values() if each.function == BAND or CROWN_EDGE in each.figures)
    return {name for each in of for name in each.figures.values()}


def how_far_out(injury: Facts, rules: RuleSet) -> Iterator[str]:
    """Where an injury's outer edge lies beside the end of the crown, where both are measured."""
    offset, size = reading_of(injury.get(inputs.OFFSET)), reading_of(injury.get(inputs.INJURY_SIZE))
    if offset is None or size is None:
        return
    unit = offset.unit
    edge = max(abs(offset.low), abs(offset.high)) + size.to(unit).high / 2
    for name, end in _ends(injury, rules, unit):
        apart = edge - end
        side = "outside" if apart > 0 else "inside"
        of = f"injury {injury.index + 1}: its outer edge, half its width counted in,"
        yield (
            f"{of} lies {_in_words(edge, unit)} from the center line; {name} {_in_words(end, unit)} from it: "
            f"{_in_words(abs(apart), unit)} {side}."
        )


def _ends(injury: Facts, rules: RuleSet, unit: str) -> Iterator[tuple[str, Fraction]]:
    """Where the crown ends on either side of the center line."""
    band = next((each.id for each in rules.values.values() if each.function == BAND), "")
    area = injury.get(band) if band else None
    if isinstance(area, Measure):
        yield "half the band reaches", area.to(unit).low / 2
        return
    limit = _edge_limit(rules)
    across = reading_of(injury.get(inputs.TREAD_WIDTH))
    if limit is not None and across is not None:
        least = across.to(unit)
        yield "the crown ends", least.low / 2 - limit.figure_for(across).to(unit).low


def _edge_limit(rules: RuleSet) -> Limit | None:
    names = (each.figures[CROWN_EDGE] for each in rules.values.values() if CROWN_EDGE in each.figures)
    return next((rules.limits[name] for name in names if name in rules.limits), None)


def _in_words(figure: Fraction, unit: str) -> str:
    rounded = round(figure, 1)
    return str(Measure(rounded, rounded, unit))
