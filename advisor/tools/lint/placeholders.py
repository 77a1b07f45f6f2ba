"""Names in braces that nothing can fill where they stand.

A ruling's reason knows its limit and what is known at its node; an ending, restriction, caution or method what is known
of the tire; a step also what is known of the injury; why a question is asked is said outside any case. `{limit}` is
known only in the reason of a ruling that holds a reading against one.

nothing-to-fill (error): a name in braces in a wording that can know nothing of it.
Why it is bad: the card says "not known", or shows the braces, where somebody meant a figure to stand.
PASS:
  paths.yaml: {nodes/size/rulings/hole-too-wide/because: "{size} is wider than {limit}"}
FAIL:
  paths.yaml: {nodes/washed/rulings/not-washed/because: "the liner can't be seen, {limit}"}

choice-not-filled (error): a name in braces in what a question is called, or in what one of its choices says.
Why it is bad: both are shown as they are written, in lists and reports, so the braces themselves stand there.
PASS:
  questions.yaml: {washed/choices/yes/says: "Yes, to the bare liner"}
FAIL:
  questions.yaml: {washed/choices/yes/says: "Yes, for {largest-hole}"}
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from advisor.engine.templates import names_in
from advisor.model.inputs import OVER_INJURIES, OVER_TIRE
from advisor.model.problems import Place, Problem
from advisor.model.ruleset import Node, RuleSet, limit_tested

#: What is said outside any case: it knows limits only. What is shown as it was written: it knows nothing.
NO_CASE, AS_WRITTEN = "no case", "as written"


class Wording(Struct, frozen=True):
    """A text of an entry, where it stands, and of which part of a case it knows."""

    what: str
    place: Place
    text: str
    knows: str = OVER_TIRE
    limit: bool = False
    of_choice: bool = False


def check(rules: RuleSet) -> Iterator[Problem]:
    """Names in braces that nothing fills, and braces around what is no name."""
    for wording in _wordings(rules):
        names, left = names_in(wording.text)
        wrong = [name for name in dict.fromkeys(names) if not _known(name, wording, rules)]
        for name in (*(f"{{{name}}}" for name in wrong), *left):
            if wording.of_choice:
                yield _problem("choice-not-filled", wording, name)
            else:
                yield _problem("nothing-to-fill", wording, name)


def _problem(name_of_problem: str, wording: Wording, name: str) -> Problem:
    return Problem(
        name_of_problem,
        wording.place,
        f'"{name}" in the wording of {wording.what}, where nothing is known of it',
        _expected(wording),
        "name something that is known there, or word it without",
    )


def _known(name: str, wording: Wording, rules: RuleSet) -> bool:
    if name == "limit":
        return wording.limit
    if wording.knows == AS_WRITTEN or name in rules.limits:
        return wording.knows != AS_WRITTEN
    return wording.knows != NO_CASE and rules.over_of(name) in (OVER_TIRE, wording.knows)


def _expected(wording: Wording) -> str:
    if wording.knows in (NO_CASE, AS_WRITTEN):
        return "a limit by its name" if wording.knows == NO_CASE else "words alone"
    of = "the tire" if wording.knows == OVER_TIRE else "the tire or of this injury or repair"
    return f"a limit by its name, or what is known of {of}"


def _wordings(rules: RuleSet) -> Iterator[Wording]:
    for question in rules.questions.values():
        place = rules.place_of("questions.yaml", question.id)
        what = f"the question {question.id}"
        yield from (Wording(what, place, text, question.over) for text in (question.asks, question.how))
        yield Wording(what, place, question.why, NO_CASE)
        for text in (question.name, *(choice.says for choice in question.choices)):
            yield Wording(f"a choice or the name of {what}", place, text, AS_WRITTEN, of_choice=True)
    for node in rules.nodes.values():
        yield from _of_node(node, rules)
    yield from _of_cards(rules)
    steps: dict[str, None] = {}
    for method in rules.methods.values():
        for step in method.steps:
            if step.says not in steps:
                steps[step.says] = None
                place = rules.places.get(f"steps.yaml#{step.id}") or rules.place_of("methods.yaml", method.id)
                yield Wording(f"the step {step.id}", place, step.says, OVER_INJURIES)
                yield Wording(f"the step {step.id}", place, step.tell_driver)


def _of_node(node: Node, rules: RuleSet) -> Iterator[Wording]:
    over = next(part.over for part in rules.parts if part.id == node.part)
    place, what = rules.place_of("paths.yaml", node.id), f"the node {node.id}"
    yield Wording(what, place, node.instead, AS_WRITTEN)
    yield Wording(what, place, node.cant_tell.because, over)
    for ruling in node.rulings:
        has_limit = limit_tested(ruling.when) is not None
        yield Wording(f"the ruling {ruling.id}", rules.place_of_ruling(ruling), ruling.because, over, has_limit)


def _of_cards(rules: RuleSet) -> Iterator[Wording]:
    """What is said of the tire as a whole."""
    texts: dict[str, dict[str, tuple[str, ...]]] = {
        "ending": {e.id: (e.headline, *e.do_now, e.tell_driver, *e.driver_by.values()) for e in rules.endings.values()},
        "restriction": {each.id: (each.says, each.tell_driver) for each in rules.restrictions.values()},
        "caution": {each.id: (each.says, *each.do_now.values()) for each in rules.cautions.values()},
        "method": {each.id: (each.says,) for each in rules.methods.values()},
    }
    for kind, entries in texts.items():
        for name, every in entries.items():
            place = rules.place_of(f"{kind}s.yaml", name)
            yield from (Wording(f"the {kind} {name}", place, text) for text in every)
