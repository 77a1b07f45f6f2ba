"""A rule set as a text of plain JSON, and back. Nothing but the model's own classes can come out of such a text."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from advisor.errors import Place
from advisor.model import rules as model
from advisor.model.phrases import Phrases
from advisor.model.units_chart import UnitRow
from advisor.units import Measure

#: The key that says of which kind a group of values is; no name of a rule set is empty.
KIND = ""
#: What a rule set works out by itself.
_NOT_WRITTEN = ("normalised", "known_digest")


def text_of_rules(rules: model.RuleSet) -> str:
    """All that a rule set holds."""
    fields = {name: getattr(rules, name) for name in type(rules).__match_args__ if name not in _NOT_WRITTEN}
    fields["places"] = {name: [place.file, place.line, place.column] for name, place in rules.places.items()}
    return json.dumps({**fields, "known_digest": rules.digest}, default=_plain, ensure_ascii=False)


def rules_of_text(text: str, content: Callable[[], Mapping[str, Any]]) -> model.RuleSet:
    """The rule set in a text; `content` gives the files as plain data. Raises ValueError, KeyError or TypeError."""
    fields = json.loads(text, object_hook=_made)
    places = {name: Place(*place) for name, place in fields.pop("places").items()}
    return model.RuleSet(**fields, places=places, normalised=content)


def _plain(value: Any) -> dict[str, Any]:
    if isinstance(value, Fraction):
        return {KIND: "Fraction", "of": str(value)}
    if isinstance(value, frozenset):
        return {KIND: "frozenset", "of": sorted(value)}
    kind = type(value)
    if _MAKERS.get(kind.__name__) is None:
        raise TypeError(f"not a part of a rule set: {kind.__name__}")
    return {KIND: kind.__name__, **{name: getattr(value, name) for name in kind.__match_args__}}


def _made(group: dict[str, Any]) -> Any:
    for name, value in group.items():
        if value.__class__ is list:
            group[name] = _tuple(value)
    kind = group.pop(KIND, None)
    return group if kind is None else _MAKERS[kind](**group)


def _tuple(values: list[Any]) -> tuple[Any, ...]:
    return tuple(_tuple(value) if value.__class__ is list else value for value in values)


def _ending(verdict: int, **fields: Any) -> model.Ending:
    return model.Ending(verdict=model.Verdict(verdict), **fields)


_MAKERS: dict[str, Callable[..., Any]] = {
    "Fraction": lambda of: Fraction(int(of)) if of.isdigit() else Fraction(of),
    "frozenset": lambda of: frozenset(of),
    "Ending": _ending,
    **{
        made.__name__: made
        for made in (
            model.About, model.Basis, model.CantTellRule, model.Caution, model.ChoiceText, model.Edge, model.Join,
            model.Leaf, model.Limit, model.Method, model.Node, model.Part, model.Question, model.Restriction,
            model.Ruling, model.Source, model.Step, model.Word, model.WorkedOut, Measure, Phrases, UnitRow,
        )
    },
}  # fmt: skip
