"""A picture's words as the rule set spells them."""

from __future__ import annotations

import re

from advisor.model.rules import RuleSet
from advisor.quick import replace
from advisor.tire.drawing import Label, Picture, Span


def as_spelled(picture: Picture, rules: RuleSet) -> Picture:
    """The picture with every word spelled as about.yaml's `spelled` says; without that it stays as it is."""
    spelled = dict(rules.about.spelled)
    if not spelled:
        return picture
    words = re.compile(rf"\b({'|'.join(map(re.escape, spelled))})\b")

    def own(text: str) -> str:
        return words.sub(lambda found: spelled[found[0]], text)

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
