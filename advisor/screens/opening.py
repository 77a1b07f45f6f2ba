"""Reads the rules and opens the desk. Imported after the first paint only: everything heavy comes in here."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from advisor.engine.judge import Judge
from advisor.errors import Problems, shown
from advisor.loading.case_file import DEFAULT_RULES
from advisor.loading.rule_set import find_rule_set, load_rule_set
from advisor.screens.desk import Desk
from advisor.talk.consultation import Consultation


def open_desk(rules_name: str, now: Callable[[], datetime]) -> Desk:
    """A fresh consultation by a rule set. Raises Problems."""
    judge = Judge(load_rule_set(find_rule_set(rules_name or DEFAULT_RULES)))
    return Desk(Consultation(judge, now().date(), now), now)


def problems_in(error: Exception) -> str:
    """What was wrong with the rules, every problem on lines of its own."""
    if isinstance(error, Problems):
        return str(error)
    return f"The rules can't be read: {shown(f'{type(error).__name__}: {error}', 300)}"
