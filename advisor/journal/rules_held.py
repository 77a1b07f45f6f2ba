"""Recorded verdicts held against the rules that they say they are by."""

from __future__ import annotations

from collections.abc import Callable

from advisor.engine.evaluator import Judge
from advisor.journal.case_data import case_from
from advisor.journal.events import Entry
from advisor.journal.queries import state_after
from advisor.journal.recorder import verdict_data
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import RuleSet

_HELD = ("verdict", "ending", "method", "restrictions")


class ByTheirRules:
    """Judges recorded cases again, where the rules are here in the very edition by which they were decided.

    `elsewhere` counts the consultations whose verdicts could not be held against anything.
    """

    def __init__(self, rules_by: Callable[[str], RuleSet]) -> None:
        self._rules_by = rules_by
        self._judges: dict[str, Judge | None] = {}
        self.elsewhere = 0

    def __call__(self, entries: list[Entry]) -> str:
        """What is wrong with a consultation's verdicts, with both sides, or an empty text."""
        not_known = False
        for place, entry in enumerate(entries):
            if entry.kind != "verdict":
                continue
            judge = self._judge(str(entries[0].data.get("rules", "")))
            if judge is None or judge.rules.digest != entry.rules:
                not_known = True
            elif wrong := _held(entry, entries[:place], judge):
                return wrong
        self.elsewhere += not_known
        return ""

    def _judge(self, rules_id: str) -> Judge | None:
        if rules_id not in self._judges:
            try:
                self._judges[rules_id] = Judge(self._rules_by(rules_id))
            except Misread:
                self._judges[rules_id] = None
        return self._judges[rules_id]


def _held(entry: Entry, before: list[Entry], judge: Judge) -> str:
    try:
        case = case_from(entry.data["case"])
        if state_after(before).case != case:
            return "a verdict that was given on other answers than are recorded before it"
    except (KeyError, ValueError, TypeError, AttributeError, RecursionError):
        return "a verdict on a case that can't be read"
    judged = verdict_data(case, judge.judge(case))
    told = {name: entry.data[name] for name in _HELD if name in entry.data}
    if told != {name: judged[name] for name in told}:
        return f"it says {_words(told)}; its own rules judge {_words(judged)}"
    return ""


def _words(data: dict[str, object]) -> str:
    return ", ".join(shown(str(data[name]), 60) for name in _HELD if data.get(name))
