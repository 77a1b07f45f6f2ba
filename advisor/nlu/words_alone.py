"""The other words of choices that count in a sentence by themselves."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.model import inputs
from advisor.model.lexicon_entries import folded
from advisor.model.ruleset import RuleSet

YES_NO = frozenset({"yes", "no"})


def words_alone(rules: RuleSet) -> Iterator[tuple[str, str, str]]:
    """The choices' other words that count in a sentence by themselves, each with its question and choice."""
    phrases = rules.phrases
    said = {phrase for found in phrases.says.values() for phrase in found} | phrases.labels.keys()
    said |= {phrase for phrase, roles in phrases.cues.items() if roles}
    for question in rules.questions.values():
        if {choice.id for choice in question.choices} >= YES_NO or question.over == inputs.OVER_REPAIRS:
            continue
        for choice in question.choices:
            for word in map(folded, choice.also):
                if word not in phrases.only_when_asked and len(word) >= 3 and word not in YES_NO and word not in said:
                    yield word, question.id, choice.id
