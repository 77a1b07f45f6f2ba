"""Reads the rules and opens the desk. Imported after the first paint only: everything heavy comes in here."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.loader.cache import copies_folder, ready_rule_set
from advisor.loader.paths import DEFAULT_RULES, find_rule_set
from advisor.model.problems import Problems, shown
from advisor.tui.presenter import Desk

if TYPE_CHECKING:
    from advisor.loader.watcher import Watch


def open_desk(rules_name: str, now: Callable[[], datetime], watch: bool = False) -> Desk:
    """A fresh consultation by a rule set, whose files are watched where that is wanted. Raises Problems."""
    folder = find_rule_set(rules_name or DEFAULT_RULES)
    watched = _watch(folder) if watch else None
    consultation = Consultation(Judge(ready_rule_set(folder, copies_folder(os.environ))), now().date(), now)
    desk = Desk(consultation, now)
    if watched is not None:
        from advisor.dialogue.hot_reload import LiveRules

        desk.live = LiveRules(consultation, watched)
    return desk


def _watch(folder: Path) -> Watch:
    from advisor.loader.watcher import Watch

    return Watch(folder)


def problems_in(error: Exception) -> str:
    """What was wrong with the rules, every problem on lines of its own."""
    if isinstance(error, Problems):
        return str(error)
    return f"The rules can't be read: {shown(f'{type(error).__name__}: {error}', 300)}"
