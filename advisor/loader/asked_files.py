"""intents.yaml, subjects.yaml and answers.yaml: what people ask, what it can be about, and what answers it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from advisor.loader.builder import Builder
from advisor.loader.reader import closest
from advisor.loader.schema_types import PLACEHOLDER, Values
from advisor.model.asked import AskedKind, AskedSubject, ReadyAnswer
from advisor.model.problems import shown


def homes_of_asked(draft: Builder) -> dict[str, Mapping[str, Any]]:
    """Where the names stand that these files may give under a key."""
    steps = {step.id: step for method in draft.methods.values() for step in method.steps}
    limits = {**draft.limits, **draft.tables}
    return {
        "limits": limits,
        "steps": {**draft.steps, **steps},
        "cautions": draft.cautions,
        "question": draft.questions,
        "sketch": draft.questions,
        "as-if": draft.questions,
        "word": draft.words,
        "source": draft.sources,
        "says": {**limits, **draft.questions, **draft.values},
        "held-beside": {**draft.questions, **draft.values},
    }


def asked_kind(name: str, values: Values, draft: Builder) -> AskedKind:
    """A kind of question, with what a base says of it."""
    old = draft.intents.get(name, AskedKind(name))
    _look_up(values, {"question": values["question"]}, draft)
    return AskedKind(
        name,
        (*old.said, *values["said"]),
        (*old.stands_for, *values["stands_for"]),
        values["offer"] or old.offer,
        (*old.forms, *values["forms"]),
        (*old.not_behind, *values["not_behind"]),
        values["question"] or old.question,
        (*old.quantities, *values["quantities"]),
        {**old.means, **values["means"]},
    )


def subject(name: str, values: Values, draft: Builder) -> AskedSubject:
    """Something that can be asked about."""
    _look_up(values, values, draft)
    return AskedSubject(id=name, **values)


def ready_answer(name: str, values: Values, draft: Builder) -> ReadyAnswer:
    """A ready answer; its own text says how firm it is."""
    basis = values["basis"]
    _look_up(values, {**values, "source": basis.sources, "says": PLACEHOLDER.findall(values["says"])}, draft)
    if values["says"] and not basis.standing:
        values.problem("missing-key", "", f'{values.what} without "standing"', "how firm its text is", "add it")
    return ReadyAnswer(id=name, **values)


def _look_up(values: Values, named: Mapping[str, Any], draft: Builder) -> None:
    """Notes a problem for every name that leads nowhere."""
    for key, home in homes_of_asked(draft).items():
        given: Iterable[str] = named.get(key.replace("-", "_")) or ()
        for name in (given,) if isinstance(given, str) else given:
            if name not in home:
                found, near = f'"{shown(name, 60)}" as "{key}" of {values.what}', closest(name, home)
                values.problem("unknown-name", key, found, "an id of these rules", "correct the spelling", near)
