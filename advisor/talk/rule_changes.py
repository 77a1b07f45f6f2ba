"""What differs between two states of a rule set, entry by entry, in a few lines: for whoever just saved an edit."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from advisor.engine.wording import limit_in_words
from advisor.model.rules import Limit, RuleSet

#: Names listed of one kind; the rest is counted.
MOST_SHOWN = 6
_KINDS: Mapping[str, Callable[[RuleSet], Mapping[str, Any]]] = {
    "source": lambda rules: rules.sources,
    "limit": lambda rules: rules.limits,
    "question": lambda rules: rules.questions,
    "worked-out value": lambda rules: rules.values,
    "ending": lambda rules: rules.endings,
    "restriction": lambda rules: rules.restrictions,
    "method": lambda rules: rules.methods,
    "caution": lambda rules: rules.cautions,
    "word": lambda rules: rules.words,
    "unit": lambda rules: rules.units,
    "part": lambda rules: {part.id: part for part in rules.parts},
    "ruling": lambda rules: {ruling.id: ruling for ruling in rules.rulings()},
    "node": lambda rules: {
        node.id: (node.part, node.asks, node.optional, node.instead, node.unless, node.cant_tell, node.next)
        for node in rules.nodes.values()
    },
}


def rule_changes(old: RuleSet, new: RuleSet) -> Iterator[str]:
    """A line for each kind of entry and what was done to it; nothing where only wording aside of these changed."""
    for kind, entries in _KINDS.items():
        before, after = entries(old), entries(new)
        taken = [name for name in before if name not in after]
        added = [name for name in after if name not in before]
        changed = [name for name in after if name in before and before[name] != after[name]]
        for what, names in (("taken out", taken), ("added", added)):
            if names:
                yield f"{kind} {what}: {_listed(names)}"
        if changed:
            yield f"{kind} changed: {_listed([_named(name, before[name], after[name]) for name in changed])}"
    if old.about != new.about:
        yield "about.yaml changed"


def _named(name: str, before: Any, after: Any) -> str:
    """An entry by name; a limit with its figures, and its at-limit side where that turned."""
    if not isinstance(before, Limit) or not isinstance(after, Limit):
        return name
    figures = (limit_in_words(before), limit_in_words(after))
    says = f"{figures[0]} is now {figures[1]}" if figures[0] != figures[1] else ""
    if before.worse != after.worse:
        says = f"{says}, {after.worse or 'neither side'} is worse now".strip(", ")
    if before.at_limit_passes != after.at_limit_passes:
        says = f"{says}, the figure itself now {'passes' if after.at_limit_passes else 'fails'}".strip(", ")
    return f"{name} ({says})" if says else name


def _listed(names: list[str]) -> str:
    more = len(names) - MOST_SHOWN
    return ", ".join(names[:MOST_SHOWN]) + (f" and {more} more" if more > 0 else "")
