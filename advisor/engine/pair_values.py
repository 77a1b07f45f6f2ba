"""Values for a dual pair: what the table allows for this tire, and whether two tires that were measured match."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.engine.facts import NOT_APPLICABLE, Facts, Figures, Value
from advisor.later import later
from advisor.model.case import CANT_TELL, Choice
from advisor.units import Measure

if TYPE_CHECKING:
    from advisor.tire import duals
else:
    duals = later("advisor.tire.duals")


def may_be_dual(facts: Facts) -> bool:
    """Whether the tire may be one of a pair: on a truck, bus or trailer, and not on a steer axle."""
    vehicle, place = facts.get("vehicle"), facts.get("wheel-position")
    heavy = vehicle in (Choice("truck"), Choice("bus"), Choice("trailer"))
    return heavy and not (vehicle != Choice("trailer") and place in (Choice("steer"), Choice("other")))


_ROWS = ("small", "medium", "large", "largest")


def _dual_rows(figures: Figures) -> list[duals.DualRow]:
    ends = [figures[name].figures[0] if name in figures else None for name in ("to-small", "to-medium", "to-large")]
    return [
        duals.DualRow(end, row != "small", figures[f"diameter-{row}"].figures, figures[f"girth-{row}"].figures)
        for row, end in zip(_ROWS, [*ends, None], strict=True)
    ]


def dual_diameter(facts: Facts, figures: Figures) -> Value | None:
    """How far the tires of a pair may differ in diameter, by the row of this tire's own diameter.

    Figures: `to-small` (itself in the next row), `to-medium`, `to-large`, `diameter-*` and `girth-*` for the rows
    small, medium, large, largest.
    """
    return _dual(facts, figures, round_too=False)


def dual_girth(facts: Facts, figures: Figures) -> Value | None:
    """How far the tires of a pair may differ round the tread. Figures as `dual-diameter`."""
    return _dual(facts, figures, round_too=True)


def _dual(facts: Facts, figures: Figures, round_too: bool) -> Value | None:
    if not may_be_dual(facts):
        return NOT_APPLICABLE
    diameter = facts.measure("overall-diameter")
    if diameter is None:
        return None
    inches = diameter.to("in")
    rows = _dual_rows(figures)
    return (duals.allowed_round if round_too else duals.allowed_difference)(inches, rows)


_MEASURED = frozenset({"own-girth", "pair-girth", "own-diameter", "pair-diameter"})


def _measured(facts: Facts, figures: Figures) -> tuple[Measure, Measure] | None:
    """What two tires measured round or across differ by, and what their row allows; in inches, the tape first.

    The larger of the two decides the row. A reading in doubt counts with its worse end.
    """
    for name, turns in (("girth", duals.diameter_of_round), ("diameter", lambda across: across)):
        own, other = facts.measure(f"own-{name}"), facts.measure(f"pair-{name}")
        if own is None or other is None:
            continue
        first, second = own.to("in"), other.to("in")
        row = duals.larger_diameter(turns(first), turns(second))
        allowed = (duals.allowed_round if name == "girth" else duals.allowed_difference)(row, _dual_rows(figures))
        if allowed is not None:
            differs, most = duals.difference(first, second).high, allowed.low
            return Measure(differs, differs, "in"), Measure(most, most, "in")
    return None


def pair_fit(facts: Facts, figures: Figures) -> Value | None:
    """Whether the two tires match: yes or no; without meaning where none was measured. Figures as `dual-diameter`."""
    if not _MEASURED & facts.answers.keys():
        return NOT_APPLICABLE
    found = _measured(facts, figures)
    if found is not None:
        return Choice("yes" if found[0].low <= found[1].low else "no")
    return None if any(facts.get(name) is CANT_TELL for name in _MEASURED) else NOT_APPLICABLE


def pair_differs(facts: Facts, figures: Figures) -> Value | None:
    """How far the two tires differ, in diameter or round the tread, as measured. Figures as `dual-diameter`."""
    found = _measured(facts, figures)
    return found[0] if found else None


def pair_may_differ(facts: Facts, figures: Figures) -> Value | None:
    """How far they may differ. Figures as `dual-diameter`."""
    found = _measured(facts, figures)
    return found[1] if found else None
