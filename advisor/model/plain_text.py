"""A rule set as a text of plain JSON, and back. Nothing but the model's own classes can come out of such a text."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from fractions import Fraction
from itertools import groupby
from typing import Any

from advisor.model import ruleset
from advisor.model.lexicon_entries import Given, Phrases
from advisor.model.problems import Place
from advisor.model.quantity import Measure
from advisor.model.repair_units import UnitRow

#: What a phrase gives.
_Says = tuple[Given, ...]
#: The key that says of which kind a group of values is; no name of a rule set is empty.
KIND = ""
#: What a rule set works out by itself.
_NOT_WRITTEN = ("normalised", "known_digest")


def text_of_rules(rules: ruleset.RuleSet) -> str:
    """All that a rule set holds."""
    fields = {name: getattr(rules, name) for name in type(rules).__match_args__ if name not in _NOT_WRITTEN}
    fields["places"] = {name: [place.file, place.line, place.column] for name, place in rules.places.items()}
    return json.dumps({**fields, "known_digest": rules.digest}, default=_plain, ensure_ascii=False)


def rules_of_text(text: str, content: Callable[[], Mapping[str, Any]]) -> ruleset.RuleSet:
    """The rule set in a text; `content` gives the files as plain data. Raises ValueError, KeyError or TypeError."""
    fields = json.loads(text, object_hook=_made)
    places = {name: Place(*place) for name, place in fields.pop("places").items()}
    return ruleset.RuleSet(**fields, places=places, normalised=content)


def _plain(value: Any) -> dict[str, Any]:
    if isinstance(value, Fraction):
        return {KIND: "Fraction", "of": str(value)}
    if isinstance(value, frozenset):
        return {KIND: "frozenset", "of": sorted(value)}
    kind = type(value)
    if _MAKERS.get(kind.__name__) is None:
        raise TypeError(f"not a part of a rule set: {kind.__name__}")
    fields = {name: getattr(value, name) for name in kind.__match_args__}
    if isinstance(value, Phrases):
        fields["says"] = {how: _in_runs(said) for how, said in value.says.items()}
    return {KIND: kind.__name__, **fields}


def _in_runs(said: Mapping[str, _Says]) -> list[tuple[_Says, str]]:
    """Thousands of phrases, those that follow each other with the same meaning on lines of one text."""
    runs = groupby(said, key=lambda phrase: said[phrase])
    return [(gives, "\n".join(phrases)) for gives, phrases in runs]


def _phrases(says: Mapping[str, tuple[tuple[_Says, str], ...]], **fields: Any) -> Phrases:
    every: dict[str, dict[str, _Says]] = {how: {} for how in says}
    for how, runs in says.items():
        for gives, phrases in runs:
            every[how].update(dict.fromkeys(phrases.split("\n"), gives))
    return Phrases(says=every, **fields)


def _made(group: dict[str, Any]) -> Any:
    for name, value in group.items():
        if value.__class__ is list:
            group[name] = _tuple(value)
    kind = group.pop(KIND, None)
    return group if kind is None else _MAKERS[kind](**group)


def _tuple(values: list[Any]) -> tuple[Any, ...]:
    return tuple(_tuple(value) if value.__class__ is list else value for value in values)


def _ending(verdict: int, **fields: Any) -> ruleset.Ending:
    return ruleset.Ending(verdict=ruleset.Verdict(verdict), **fields)


_MAKERS: dict[str, Callable[..., Any]] = {
    "Fraction": lambda of: Fraction(int(of)) if of.isdigit() else Fraction(of),
    "frozenset": lambda of: frozenset(of),
    "Ending": _ending,
    "Phrases": _phrases,
    **{
        made.__name__: made
        for made in (
            ruleset.About,
            ruleset.Basis,
            ruleset.CantTellRule,
            ruleset.Caution,
            ruleset.ChoiceText,
            ruleset.Edge,
            ruleset.Join,
            ruleset.Leaf,
            ruleset.Limit,
            ruleset.Method,
            ruleset.Node,
            ruleset.NotOrdered,
            ruleset.Part,
            ruleset.Question,
            ruleset.Restriction,
            ruleset.Ruling,
            ruleset.Source,
            ruleset.Step,
            ruleset.Word,
            ruleset.WorkedOut,
            Measure,
            UnitRow,
        )
    },
}
