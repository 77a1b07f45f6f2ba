"""Every node of the question graph: what can't tell means, where each choice leads, wording without loose ends."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import pytest

from advisor.engine.facts import Facts
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import fill
from advisor.model.case import TIRE, Case
from advisor.model.ruleset import Node, Question, Verdict
from tests.laws.support import NAIL_HOLE, CaseData, base, changed, judge, judged, read, rules
from tests.laws.unknown import put

CUT = {
    "injury-depth": "rubber-only",
    "injury-zone": "sidewall",
    "cut-depth": "1/32 in",
    "inside-signs": ["none"],
}
OLD = {
    "sound": "yes",
    "kind": "nail-hole",
    "clock": "6:00",
    "offset": "0 mm",
    "unit-length": "70 mm",
    "unit-width": "60 mm",
}
PLACED = {
    "injuries[0].clock": "12:00",
    "injuries[0].offset": "0 mm",
    "answers.unit-length": "70 mm",
    "answers.unit-width": "60 mm",
}


def contexts() -> Iterator[CaseData]:
    """Cases that may be repaired and that together pass by every node."""
    truck = base("medium-truck")
    yield truck
    yield changed(base("light-truck"), {"answers.dot-code": "2319"})
    yield changed(truck, {"answers.retread": "regrooved", "answers.regroove-mark": "yes"})
    bulge = {"answers.findings": ["bulge"], "answers.bulge-mark": "yes", "answers.bulge-height": "1/8 in"}
    yield changed(truck, bulge)
    yield {**base("passenger"), "injuries": [CUT]}
    full = changed(truck, {**PLACED, "answers.sidewall": "275/70R22.5 148/145M LOAD RANGE G"})
    full = changed(full, {"answers.earlier-repairs": [OLD], "answers.shop-temperature": "20 C"})
    full = changed(full, {"answers.humidity": "60 %", "injuries[1]": {**NAIL_HOLE, "clock": "3:00", "offset": "0 mm"}})
    yield full
    tape = {"offset": "20 mm", "tread-width": "220 mm", "lean": "along-tread", "casing-thickness": "20 mm"}
    taped = {key: value for key, value in NAIL_HOLE.items() if key != "injury-zone"}
    yield {**truck, "injuries": [{**taped, **tape, "injury-angle": "30 deg"}]}


CONTEXTS = [copy.deepcopy(case) for case in contexts()]
ASKING = [node for node in rules().nodes.values() if node.asks]
#: Nodes whose part ends by how long a list is; a case file says it by the list itself.
SAID_BY_THE_LIST = frozenset({"more-injuries", "more-repairs"})


def place_of(node: Node, case: CaseData) -> tuple[Any, ...] | None:
    """Where the node's answer stands in a case file, or None where it isn't answered there."""
    question = rules().questions[node.asks]
    paths = {
        "tire": ("answers", question.key),
        "injuries": ("injuries", 0, question.key),
        "earlier-repairs": ("answers", "earlier-repairs", 0, question.key),
    }
    path = paths[question.over]
    holder: Any = case
    for name in path:
        if isinstance(holder, list):
            holder = holder[name] if name < len(holder) else {}
        elif name in holder:
            holder = holder[name]
        else:
            return None
    return path


def passes(node: Node, got: Judgement) -> bool:
    """Whether a judgement's way leads by a node that asks its question."""
    return any(visit.stop.node is node and visit.asked for visit in got.walk.visits)


def met(node: Node) -> Iterator[tuple[CaseData, tuple[Any, ...]]]:
    """The contexts in which a node asks its question and has an answer."""
    for case in CONTEXTS:
        path = place_of(node, case)
        if path and passes(node, judged(case)):
            yield case, path


@pytest.mark.parametrize("case", CONTEXTS, ids=str)
def test_every_context_may_be_repaired(case: CaseData) -> None:
    got = judged(case)
    assert (got.verdict, got.missing) == (Verdict.REPAIR, ())


@pytest.mark.parametrize("node", [n for n in ASKING if n.id not in SAID_BY_THE_LIST], ids=lambda node: node.id)
def test_cant_tell_where_an_answer_is_needed_never_ends_in_repair(node: Node) -> None:
    found = [(case, path) for case, path in met(node)]
    assert found or not _asked_anywhere(node), f"no context of this test passes by {node.id}"
    for case, path in found:
        got = judged(put(case, path, "cant-tell"))
        assert got.verdict in got.could_end
        if node.cant_tell.counts_as:
            assert got.verdict == judged(put(case, path, node.cant_tell.counts_as)).verdict
        elif not node.optional and needed(node, case, path):
            assert got.verdict is not Verdict.REPAIR, f"{node.id} unknown and still a repair"


def needed(node: Node, case: CaseData, path: tuple[Any, ...]) -> bool:
    """Whether the case waits for this answer, and one of its choices would end in something else than repair."""
    if node.asks not in {name for name, _ in judged(put(case, path, None)).missing}:
        return False
    known = [choice.id for choice in rules().questions[node.asks].choices]
    return not known or any(judged(put(case, path, choice)).verdict is not Verdict.REPAIR for choice in known)


def _asked_anywhere(node: Node) -> bool:
    """Nodes whose question may also be settled by other answers need no context of their own."""
    return node.unless is None and not node.optional


def choices() -> Iterator[tuple[Node, Question, str]]:
    """Every choice of every node's question."""
    for node in ASKING:
        question = rules().questions[node.asks]
        for choice in question.choices:
            if node.id not in SAID_BY_THE_LIST and question.id != "earlier-repairs":
                yield node, question, choice.id


@pytest.mark.parametrize(("node", "question", "choice"), list(choices()), ids=lambda item: getattr(item, "id", item))
def test_each_choice_leads_somewhere(node: Node, question: Question, choice: str) -> None:
    for case, path in met(node):
        value = [choice] if question.kind == "choices" else choice
        got = judged(put(case, path, value))
        assert got.ending in rules().endings
        assert got.verdict in got.could_end
        assert got.verdict is not Verdict.REPAIR or got.method
        after = [visit.stop.node.id for visit in got.walk.visits]
        assert node.id in after


@pytest.mark.parametrize("name", ["findings", "inside-signs"])
def test_each_finding_and_sign_by_itself_stands_against_repair(name: str) -> None:
    for choice in rules().questions[name].choices:
        where = f"answers.{name}" if name == "findings" else f"injuries[0].{name}"
        for tire in ("passenger", "light-truck", "medium-truck"):
            got = judged(changed(base(tire), {where: [choice.id]}))
            assert got.verdict is not Verdict.REPAIR, f"{choice.id} on {tire}"


def test_every_node_can_be_reached_and_every_ending_is_used() -> None:
    nodes = rules().nodes
    ahead = [part.starts for part in rules().parts]
    reached = set(ahead)
    while ahead:
        following = [edge.to for edge in nodes[ahead.pop()].next if edge.to in nodes]
        ahead += [name for name in following if name not in reached]
        reached |= set(following)
    assert reached == set(nodes)
    about = rules().about
    used = {about.when_unanswered, about.when_in_doubt, *(ruling.ending for ruling in rules().rulings())}
    used |= {name for ruling in rules().rulings() for name in (ruling.in_doubt, ruling.doubt_ending)}
    used |= {node.cant_tell.ending for node in nodes.values()} | {m.ending for m in rules().methods.values()}
    assert set(rules().endings) <= used


def wording() -> Iterator[tuple[str, str, str]]:
    """Every text for people in the rule set: what it belongs to, over what it speaks, the text."""
    for question in rules().questions.values():
        for text in (
            question.asks,
            question.how,
            question.why,
            *(choice.says for choice in question.choices),
        ):
            yield f"question {question.id}", question.over, text
    for ending in rules().endings.values():
        for text in (ending.headline, ending.tell_driver, *ending.do_now):
            yield f"ending {ending.id}", "tire", text
    yield from ((f"caution {caution.id}", "tire", caution.says) for caution in rules().cautions.values())
    yield from ((f"restriction {each.id}", "tire", each.says) for each in rules().restrictions.values())
    yield from ((f"word {word.id}", "tire", word.says) for word in rules().words.values())
    for method in rules().methods.values():
        yield f"method {method.id}", "injuries", method.says
        yield from ((f"step {method.id}.{step.id}", "injuries", step.says) for step in method.steps)
    for ruling in rules().rulings():
        parts = {part.id: part.over for part in rules().parts}
        yield f"ruling {ruling.id}", parts[rules().nodes[ruling.node].part], ruling.because


@lru_cache(maxsize=8)
def facts_over(over: str) -> Facts:
    """The facts of the context in which most is known."""
    case: Case = read(CONTEXTS[-2])
    tire = judge().graph.walk(case).tire
    return tire.part(over, TIRE if over == "tire" else 0)


def test_wording_leaves_no_braces() -> None:
    limit = next(iter(rules().limits.values()))
    for what, over, text in wording():
        says = fill(text, facts_over(over), rules(), limit)
        assert "{" not in says, what
        assert "}" not in says, what


def test_a_brace_that_nothing_fills_is_left_and_so_found() -> None:
    assert "{" in fill("up to {no-such-limit}", facts_over("tire"), rules())
