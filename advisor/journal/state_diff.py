"""What changed between two states of a consultation, as entries of a journal; and entries taken back to a state."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from msgspec.structs import replace

from advisor.journal.case_data import case_data, case_from, key_data, key_from
from advisor.loader.answer_codec import read, write
from advisor.model import inputs
from advisor.model.case import TIRE, Answers, Case, Key
from advisor.model.problems import Misread
from advisor.model.saved import Saved

PARTS = inputs.OVERS
StateChange = tuple[str, dict[str, Any]]


def changes(before: Saved, after: Saved) -> list[StateChange]:
    """The entries that lead from one state to the other, exactly."""
    if before == after:
        return []
    found: list[StateChange] = []
    if after.case == Case(today=after.case.today) and before.case != after.case:
        found.append(("restart", {"today": case_data(after.case)["today"]}))
    else:
        given = {key: place for place, key in enumerate(after.order)}
        answers = _answers(before.case, after.case)
        found.extend(sorted(answers, key=lambda each: given.get(key_from(each[1]["key"]), len(given))))
        skipped = sorted(after.case.skipped - before.case.skipped)
        found.extend(("skip", {"key": key_data(key)}) for key in skipped)
    reached = _all_applied(before, found)
    if (reached.asking, reached.ended) != (after.asking, after.ended):
        step = {"asking": key_data(after.asking) if after.asking else None, "ended": after.ended}
        found.append(("step", step))
        reached = applied(reached, "step", step)
    return found if reached == after else [("case", saved_data(after))]


def _answers(before: Case, after: Case) -> Iterator[StateChange]:
    were = (before.answers,), before.repairs, before.injuries
    for over, old, new in zip(PARTS, were, ((after.answers,), after.repairs, after.injuries), strict=True):
        for index, answers in enumerate(new):
            known: Answers = old[index] if index < len(old) else {}
            if answers is known:
                continue
            for name in sorted({*answers, *known}):
                key = (name, TIRE if over == "tire" else index)
                now, was = answers.get(name), known.get(name)
                if now is not was and now != was:
                    yield _answer(over, key, answers, known)


def _answer(over: str, key: Key, answers: Answers, known: Answers) -> StateChange:
    answer = answers.get(key[0])
    data = None if answer is None else write(answer)
    body = {"over": over, "key": key_data(key), "answer": data}
    return ("change" if key[0] in known else "answer"), body


def _all_applied(saved: Saved, found: list[StateChange]) -> Saved:
    for kind, data in found:
        saved = applied(saved, kind, data)
    return saved


def applied(saved: Saved, kind: str, data: Mapping[str, Any]) -> Saved:
    """The state after an entry; entries that say nothing of the answers leave it. Raises Misread or KeyError."""
    if kind in ("answer", "change"):
        key, over = key_from(data["key"]), data["over"]
        if over not in PARTS:
            raise Misread(f'"{str(over)[:40]}"', f"one of: {', '.join(PARTS)}")
        answer = None if data["answer"] is None else read(data["answer"])
        return Saved(saved.case.with_answer(over, key, answer), _with(key, saved.order))
    if kind == "skip":
        key = key_from(data["key"])
        return replace(saved, case=saved.case.with_skipped(key), order=_with(key, saved.order), asking=None)
    if kind == "step":
        asking = None if data["asking"] is None else key_from(data["asking"])
        return replace(saved, asking=asking, ended=data["ended"] is True)
    if kind == "restart":
        return Saved(case_from({**case_data(Case()), "today": data["today"]}))
    return saved_from(data) if kind == "case" else saved


def _with(key: Key, order: tuple[Key, ...]) -> tuple[Key, ...]:
    return order if key in order else (*order, key)


def saved_data(saved: Saved) -> dict[str, Any]:
    """A whole state as plain data."""
    return {
        "case": case_data(saved.case),
        "order": [key_data(key) for key in saved.order],
        "asking": key_data(saved.asking) if saved.asking else None,
        "ended": saved.ended,
    }


def saved_from(data: Mapping[str, Any]) -> Saved:
    """The state in plain data. Raises Misread or KeyError."""
    return Saved(
        case_from(data["case"]),
        tuple(key_from(item) for item in data["order"]),
        None if data["asking"] is None else key_from(data["asking"]),
        data["ended"] is True,
    )
