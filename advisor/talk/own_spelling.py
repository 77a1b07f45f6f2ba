"""Sentences and pictures of the program, spelled as the rule set spells its words."""

from __future__ import annotations

import re

from advisor.model.rules import RuleSet
from advisor.quick import replace
from advisor.tire.drawing import Label, Picture, Span


def spelled(text: str, rules: RuleSet) -> str:
    """A sentence with every word spelled as about.yaml's `spelled` says, in small or capital letters."""
    for word, own in rules.about.spelled:
        for case in (str, str.capitalize, str.upper):
            text = re.sub(rf"\b{re.escape(case(word))}\b", case(own), text)
    return text


def as_spelled(picture: Picture, rules: RuleSet) -> Picture:
    """The picture with every word spelled as about.yaml's `spelled` says; without that it stays as it is."""
    if not rules.about.spelled:
        return picture

    def own(text: str) -> str:
        return spelled(text, rules)

    def row(items: tuple[Label | Span, ...]) -> tuple[Label | Span, ...]:
        return tuple(replace(item, text=own(item.text)) for item in items)

    return replace(
        picture,
        title=own(picture.title),
        named=tuple(replace(name, text=own(name.text)) for name in picture.named),
        above=tuple(map(row, picture.above)),
        below=tuple(map(row, picture.below)),
        beside=tuple((place, own(text)) for place, text in picture.beside),
        notes=tuple(map(own, picture.notes)),
    )
