"""The rules of a consultation while someone edits them: a saved edit counts at once, and no answer is lost by it.

What differs between two states of a rule set, entry by entry, in a few lines: for whoever just saved an edit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from msgspec.structs import replace

from advisor.dialogue.event_sink import Recorder
from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.templates import limit_in_words
from advisor.loader.answer_fit import fitted
from advisor.loader.renamed import saved_now
from advisor.loader.watcher import Watch
from advisor.model import inputs
from advisor.model.case import TIRE, Key
from advisor.model.problems import Problem, Problems
from advisor.model.ruleset import Limit, RuleSet
from advisor.model.saved import Saved
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message
from advisor.wording.verdict_card import VERDICT_SIGNS, questions_in_words, reason_blocks

#: Names listed of one kind; the rest is counted.
_MOST_SHOWN = 6
_KINDS: Mapping[str, Callable[[RuleSet], Mapping[str, Any]]] = {
    "source": lambda rules: rules.sources,
    "limit": lambda rules: rules.limits,
    "table of limits": lambda rules: rules.tables,
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
    more = len(names) - _MOST_SHOWN
    return ", ".join(names[:_MOST_SHOWN]) + (f" and {more} more" if more > 0 else "")


#: Problems shown beside the last good rules; `advisor check` shows them all.
MOST_PROBLEMS = 5


class LiveRules:
    """Watches the rules of a consultation. `flag` is a few words while the files as saved can't be used."""

    def __init__(self, consultation: Consultation, watch: Watch) -> None:
        self.consultation, self.watch = consultation, watch
        self.flag = ""
        self._kept = consultation.saved
        self._broken: tuple[Problem, ...] = ()

    def look(self, recorder: Recorder | None = None) -> list[Message]:
        """One look at the files: what there is to say where an edit was saved, else nothing."""
        return self.take(self.load(), recorder) if self.watch.ready() else []

    def load(self) -> RuleSet | Problems | None:
        """The files as saved, or what is wrong with them; None where they are being saved. May run beside the face."""
        try:
            return self.watch.load()
        except Problems as problems:
            return problems

    def take(self, loaded: RuleSet | Problems | None, recorder: Recorder | None = None) -> list[Message]:
        """Goes on by the rules loaded, or by the last good ones; gives what is to be said."""
        if loaded is None:
            return []
        if isinstance(loaded, Problems):
            return self._refuse(loaded.problems)
        messages = list(self._take(loaded))
        if recorder is not None:
            recorder.judged_by(loaded.about, loaded.digest)
        return messages

    def _refuse(self, problems: tuple[Problem, ...]) -> list[Message]:
        count = f"{len(problems)} problem{'s' if len(problems) > 1 else ''}"
        self.flag = f"RULES AS SAVED: {count}"
        if problems == self._broken:
            return []
        self._broken = problems
        about = self.consultation.judge.rules.about
        good = f"edition {about.edition}, digest {self.consultation.judge.rules.digest}"
        lines: list[Said] = [f"The rules as saved can't be used, {count}. The last good ones go on judging ({good})."]
        for problem in problems[:MOST_PROBLEMS]:
            lines.append(Block(problem.head, tuple(" ".join(detail.split()) for detail in problem.details())))
        if len(problems) > MOST_PROBLEMS:
            lines.append(f"and {len(problems) - MOST_PROBLEMS} more: advisor check shows them all")
        return [Message("note", tuple(lines))]

    def _take(self, rules: RuleSet) -> Iterator[Message]:
        consultation = self.consultation
        old, before = consultation.judge.rules, consultation.judgement
        mended, self.flag, self._broken = bool(self._broken), "", ()
        if rules.digest == old.digest:
            says = "The rules mean the same as before; comments, spacing or the order of keys changed."
            yield Message("note", ("The problems are mended; the last good rules stand." if mended else says,))
        now = consultation.saved
        self._kept = _both(self._kept, now, old) if now.order else now  # with nothing answered it was begun anew
        saved, left_out = fitted(self._kept, rules)
        consultation.judge_by(Judge(rules))
        waiting = consultation.pending.lines if consultation.pending else ()
        consultation.become(replace(consultation.state, saved=saved, pending=None))
        for line in waiting:  # heard anew by these rules
            consultation.answer(line)
        if rules.digest == old.digest:
            return
        head = (
            f"The rules were saved anew ({rules.about.id}, edition {rules.about.edition}): digest {old.digest} is now"
        )
        yield Message("note", (Block(f"{head} {rules.digest}.", tuple(rule_changes(old, rules))),))
        yield Message("note", tuple(_verdict(before, consultation.judgement, old, rules, left_out)))


def _both(kept: Saved, now: Saved, rules: RuleSet) -> Saved:
    """What was kept from before, with all that stands now in its place; what these rules don't ask stays."""
    kept, case = saved_now(kept, rules)[0], now.case
    for over in inputs.OVERS:
        for index, answers in enumerate(kept.case.instances(over)):
            for name, answer in answers.items():
                question = rules.questions.get(name)
                key: Key = (name, TIRE if over == "tire" else index)
                lost = over != "tire" and index >= len(now.case.instances(over))
                if (question is None or question.over != over) and not lost and case.get(over, key) is None:
                    case = case.with_answer(over, key, answer)
    order = tuple(dict.fromkeys((*now.order, *(key for key in kept.order if key[0] not in rules.questions))))
    return replace(now, case=case, order=order)


def _verdict(before: Judgement, now: Judgement, old: RuleSet, rules: RuleSet, left_out: list[str]) -> Iterator[Said]:
    """What the edit did to this case."""
    was, is_ = VERDICT_SIGNS[before.verdict], VERDICT_SIGNS[now.verdict]
    if (before.verdict, before.ending) == (now.verdict, now.ending):
        head = f"Verdict: still {is_} ({now.ending})"
    else:
        head = f"Verdict: {was} ({before.ending}) is now {is_} ({now.ending})"
    details = list[Said]()
    if before.method != now.method:
        details.append(f"method: {before.method or 'none'} is now {now.method or 'none'}")
    if before.restrictions != now.restrictions:
        details.append(f"restrictions: {_names(before.restrictions)} is now {_names(now.restrictions)}")
    yield Block(head, tuple(details))
    new = _not_in(now.reasons, before.reasons)
    if new:
        yield Block("New reasons:", reason_blocks(new, rules))
    gone = _not_in(before.reasons, now.reasons)
    if gone:
        yield Block("Reasons that are gone:", reason_blocks(gone, old))
    asked = [key for key in now.missing if key not in before.missing]
    if asked:
        yield f"Asked now: {', '.join(questions_in_words(tuple(asked), rules))}"
    if left_out:
        yield f"Kept, but not asked by these rules: {', '.join(left_out)}"


def _not_in(reasons: tuple[Reason, ...], others: tuple[Reason, ...]) -> list[Reason]:
    """Reasons that the others don't hold: another ruling, effect, or wording."""
    known = {_mark(reason) for reason in others}
    return [reason for reason in reasons if _mark(reason) not in known]


def _mark(reason: Reason) -> tuple[object, ...]:
    return reason.ruling, reason.key, reason.ending, reason.restrictions, reason.says, reason.figure


def _names(names: tuple[str, ...]) -> str:
    return ", ".join(names) or "none"
