"""A rule set as JSON, and back. Nothing but the model's own classes can come out of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import cache, partial
from typing import Any

import msgspec

from advisor.model.ruleset import Language, RuleSet

#: What a rule set gives when it is first asked for.
_MADE_LATE = frozenset({"normalised", "language"})
_WRITTEN = tuple(name for name in RuleSet.__struct_fields__ if name not in (*_MADE_LATE, "known_digest"))


def rule_set_to_json(rules: RuleSet) -> bytes:
    """All that a rule set holds."""
    fields = {name: getattr(rules, name) for name in _WRITTEN}
    ready = {**fields, "language": rules.language(), "known_digest": rules.digest}
    return msgspec.json.encode(ready, enc_hook=exact_text)


def rule_set_from_json(data: bytes | memoryview, content: Callable[[], Mapping[str, Any]]) -> RuleSet:
    """The rule set in JSON; `content` gives the files as plain data. Raises ValueError.

    What its language holds is made, and looked at, when it is first asked for.
    """
    try:
        copy = _decoder().decode(data)
        fields = {name: getattr(copy, name) for name in (*_WRITTEN, "known_digest")}
        language = cache(partial(msgspec.json.decode, copy.language, type=Language, dec_hook=figure_of))
        return RuleSet(**fields, normalised=content, language=language)
    except (msgspec.MsgspecError, ArithmeticError) as error:
        raise ValueError("no rule set") from error


@cache
def _decoder() -> msgspec.json.Decoder[Any]:
    fields = [(each.name, each.type) for each in msgspec.structs.fields(RuleSet) if each.name not in _MADE_LATE]
    copy = msgspec.defstruct("Copy", [*fields, ("language", msgspec.Raw)], forbid_unknown_fields=True)
    return msgspec.json.Decoder(copy, dec_hook=figure_of)


def exact_text(value: Any) -> str:
    """A figure as it stands in JSON, for msgspec."""
    if isinstance(value, Fraction):
        return str(value)
    raise TypeError(f"not a part of a rule set: {type(value).__name__}")


def figure_of(kind: type, text: Any) -> Fraction:
    """The figure that a text in JSON stands for, for msgspec."""
    return Fraction(int(text)) if text.isdecimal() else Fraction(text)
