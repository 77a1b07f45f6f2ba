"""Sentences of the program, spelled as the rule set spells its words."""

from __future__ import annotations

import re

from advisor.model.ruleset import RuleSet


def spelled(text: str, rules: RuleSet) -> str:
    """A sentence with every word spelled as about.yaml's `spelled` says, in small or capital letters."""
    for word, own in rules.about.spelled:
        for case in (str, str.capitalize, str.upper):
            text = re.sub(rf"\b{re.escape(case(word))}\b", case(own), text)
    return text
