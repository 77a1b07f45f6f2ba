"""Sentences of the program and of shared files, spelled as the rule set spells its words."""

from __future__ import annotations

import re
from collections.abc import Iterable

from advisor.model.ruleset import RuleSet


def spelled(text: str, rules: RuleSet) -> str:
    """A sentence with every word spelled as about.yaml's `spelled` says, in small or capital letters, one or many."""
    return respelled(text, rules.about.spelled)


def respelled(text: str, words: Iterable[tuple[str, str]]) -> str:
    """A text with words spelled otherwise; names between braces stay."""
    for word, own in words:
        for case in (str, str.capitalize, str.upper):
            text = re.sub(rf"\b{re.escape(case(word))}(s?)\b(?![^{{}}]*\}})", rf"{case(own)}\1", text)
    return text
