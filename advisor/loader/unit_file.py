"""Reads units.yaml, a shop's chart of its own repair units; a rule set may do without one."""

from __future__ import annotations

from collections.abc import Callable

import yaml

from advisor.loader.builder import Builder
from advisor.loader.reader import Notes, Section, closest, sections, text_of
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, read_measure
from advisor.model.repair_units import UnitRow

_GROUPS = ("light", "medium-truck", "other")
_ZONES = ("crown", "shoulder", "sidewall", "bead")


def read_units(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """units.yaml: by tire group, zone, injury size and angle the unit's name, length, width and stem."""
    for row_id, section in sections(node, notes, "unit"):
        name, method = section.text("name", True), draft.named(section, "method", "method", True)
        groups, zones = _words(section, "for", _GROUPS), _words(section, "zone", _ZONES)
        injury, angle = (section.take(*one, None, needed=True) for one in (("injury", _LENGTH), ("angle", _ANGLE)))
        sizes = [section.take(key, _LENGTH, None, needed=True) for key in ("length", "width", "stem")]
        basis = draft.basis(section)
        section.finish()
        length, width, stem = sizes
        if injury and angle and length and width and stem:
            draft.units[row_id] = UnitRow(
                row_id, name, method, groups, zones, injury, angle, length, width, stem, basis
            )


def _measure(quantity: str) -> Callable[[yaml.Node, Notes, str], Measure | None]:
    def read(node: yaml.Node, notes: Notes, what: str) -> Measure | None:
        text = text_of(node, notes, what)
        try:
            return read_measure(text, quantity) if text else None
        except Misread as error:
            expected = f"{error.expected}, with a unit of {quantity}"
            notes.add("bad-figure", node, f"{error.found} as {what}", expected, error.do or "correct it", error.nearest)
            return None

    return read


_LENGTH, _ANGLE = _measure("length"), _measure("angle")


def _words(section: Section, key: str, known: tuple[str, ...]) -> tuple[str, ...]:
    words = []
    for node in section.items(key, needed=True):
        word = text_of(node, section.notes, f'"{key}" of {section.what}')
        if word in known:
            words.append(word)
        elif word:
            expected = f"one of: {', '.join(known)}"
            found = f'"{word}" as "{key}" of {section.what}'
            section.notes.add("unknown-word", node, found, expected, "correct it", closest(word, known))
    return tuple(words)
