"""A rule set as JSON, and back. Nothing but the model's own classes can come out of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import cache
from typing import Any

import msgspec

from advisor.model.ruleset import RuleSet

#: What a rule set works out by itself when it is asked for.
_NOT_WRITTEN = frozenset({"normalised", "known_digest"})
_WRITTEN = tuple(name for name in RuleSet.__struct_fields__ if name not in _NOT_WRITTEN)


def rule_set_to_json(rules: RuleSet) -> bytes:
    """All that a rule set holds."""
    fields = {name: getattr(rules, name) for name in _WRITTEN}
    return msgspec.json.encode({**fields, "known_digest": rules.digest}, enc_hook=_exact)


def rule_set_from_json(data: bytes, content: Callable[[], Mapping[str, Any]]) -> RuleSet:
    """The rule set in JSON; `content` gives the files as plain data. Raises ValueError."""
    try:
        copy = _decoder().decode(data)
        return RuleSet(**{name: getattr(copy, name) for name in (*_WRITTEN, "known_digest")}, normalised=content)
    except (msgspec.MsgspecError, ArithmeticError) as error:
        raise ValueError("no rule set") from error


@cache
def _decoder() -> msgspec.json.Decoder[Any]:
    fields = [(field.name, field.type) for field in msgspec.structs.fields(RuleSet) if field.name != "normalised"]
    return msgspec.json.Decoder(msgspec.defstruct("Copy", fields, forbid_unknown_fields=True), dec_hook=_figure)


def _exact(value: Any) -> str:
    if isinstance(value, Fraction):
        return str(value)
    raise TypeError(f"not a part of a rule set: {type(value).__name__}")


def _figure(kind: type, text: Any) -> Fraction:
    return Fraction(int(text)) if text.isdecimal() else Fraction(text)
