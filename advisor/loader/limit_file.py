"""Reads limits.yaml: every figure, with unit, source, clause and standing."""

from __future__ import annotations

import yaml

from advisor.loader.builder import Builder
from advisor.loader.reader import Notes, Section, items_of, sections, text_of
from advisor.model.problems import Misread
from advisor.model.quantity import UNITS, Measure, quantity_named, read_measure
from advisor.model.ruleset import Limit

_QUANTITIES = tuple(dict.fromkeys(unit.quantity for unit in UNITS.values()))
#: Published pairs such as 1/4 in and 6 mm differ by rounding; more than this is a slip.
FIGURES_AGREE_WITHIN = 12


def read_limits(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """limits.yaml: every figure, with unit, source, clause and standing."""
    for limit_id, section in sections(node, notes, "limit"):
        none: list[Measure | None] = []
        figures = tuple(figure for figure in section.take("value", _figures, none, True) if figure)
        worse = section.one_of("worse", ("above", "below"))
        at_limit = section.one_of("at-limit", ("passes", "fails"), needed=bool(worse))
        limit = Limit(
            limit_id,
            section.text("says", True),
            figures,
            worse,
            at_limit != "fails",
            draft.basis(section),
            section.text("note"),
        )
        _check_figures(limit, section)
        section.finish()
        if figures:
            draft.limits[limit_id] = limit
        else:
            draft.failed.add(limit_id)


def _figures(node: yaml.Node, notes: Notes, what: str) -> list[Measure | None]:
    return [_figure(item, notes, what) for item in items_of(node, notes, what)]


def _figure(node: yaml.Node, notes: Notes, what: str) -> Measure | None:
    """A figure with its unit, of whatever quantity the unit says."""
    text = text_of(node, notes, what)
    likely = quantity_named(text)
    for quantity in (likely,) if likely else _QUANTITIES:
        try:
            return read_measure(text, quantity) if text != "0" else None
        except Misread:
            continue
    if text:
        notes.add(
            "bad-figure",
            node,
            f'"{text}" as {what}',
            f"a figure with one of: {', '.join(UNITS)}",
            "write figure and unit, such as 6 mm or 80 %",
        )
    return None


def _far_apart(limit: Limit) -> bool:
    """Whether the figures printed in two units differ by more than rounding can explain."""
    if not limit.figures:
        return False
    first = limit.figures[0]
    lows = [figure.to(first.unit).low for figure in limit.figures if figure.quantity == first.quantity]
    least, most = min(lows), max(lows)
    return most - least > abs(most) * FIGURES_AGREE_WITHIN / 100


def _check_figures(limit: Limit, section: Section) -> None:
    node = section.node_of("value")
    if node is None:
        return
    if len({figure.quantity for figure in limit.figures}) > 1:
        section.notes.add(
            "mixed-units",
            node,
            f"{section.what} in units of different quantities",
            "figures of one quantity",
            "correct the units",
        )
    if len({figure.compared_in for figure in limit.figures}) < len(limit.figures):
        section.notes.add(
            "same-unit-twice",
            node,
            f"{section.what} with two figures in one unit family",
            "at most one figure in metric and one in inch units",
            "take one out",
        )
    if _far_apart(limit):
        shown_figures = " and ".join(str(figure) for figure in limit.figures)
        section.notes.add(
            "figures-apart",
            node,
            f"{section.what} with figures that do not say the same: {shown_figures}",
            f"figures within {FIGURES_AGREE_WITHIN} % of each other",
            "correct the unit or the figure",
        )
    if limit.worse and any(not figure.exact for figure in limit.figures):
        section.notes.add(
            "range-as-limit",
            node,
            f"{section.what} with a range",
            "one figure where readings are held against it",
            'give one figure or drop "worse"',
        )
