"""A rule set with many times its rulings: made-up ones beside it, of another kind of vehicle, which no case touches."""

from __future__ import annotations

from msgspec.structs import replace

from advisor.model.quantity import between, exactly
from advisor.model.ruleset import (
    Basis,
    CantTellRule,
    ChoiceText,
    Edge,
    Join,
    Leaf,
    Limit,
    Node,
    Part,
    Question,
    RuleSet,
    Ruling,
    Source,
)

BASIS = Basis("invented for the demo", ("made-up",), "none")
YES_NO = (ChoiceText("no", "No"), ChoiceText("yes", "Yes"))
#: A part has so many blocks: a measure with a limit, and a choice; three rulings each.
BLOCKS_A_PART = 20
RULINGS_A_BLOCK = 3


def grown(rules: RuleSet, times: int) -> RuleSet:
    """A rule set with so many times its rulings; cases that are of no `other` vehicle are judged as before."""
    lacking = (times - 1) * len(list(rules.rulings()))
    parts, questions, limits, nodes = list[Part](), dict(rules.questions), dict(rules.limits), dict(rules.nodes)
    for number in range(-(-lacking // (RULINGS_A_BLOCK * BLOCKS_A_PART))):
        part = f"made-up-{number}"
        parts.append(Part(part, "tire", f"{part}-size-0", Leaf("vehicle", "is", ("other",))))
        for block in range(BLOCKS_A_PART):
            _block(part, block, questions, limits, nodes, rules.about.when_in_doubt)
    return replace(rules, parts=(*parts, *rules.parts), questions=questions, limits=limits, nodes=nodes,
                   sources={**rules.sources, "made-up": Source("made-up", "m", "m", "m", "derived", "not seen")},
                   known_digest=f"{rules.digest}x{times}")  # fmt: skip


def _block(
    part: str, block: int, questions: dict[str, Question], limits: dict[str, Limit], nodes: dict[str, Node], hold: str
) -> None:
    size, sign, limit = f"{part}-size-{block}", f"{part}-sign-{block}", f"{part}-limit-{block}"
    limits[limit] = Limit(limit, "made up", (exactly(10 + block, "mm"),), "above", True, BASIS)
    questions[size] = Question(size, "tire", size, size, "?", "measure", "length", "mm", plausible=between(0, 99, "mm"),
                               worse="above")  # fmt: skip
    questions[sign] = Question(sign, "tire", sign, sign, "?", "choice", choices=YES_NO, worse_order=("no", "yes"))
    beyond, there = Leaf(size, "beyond", (limit,)), Leaf(sign, "is", ("yes",))
    _node(nodes, part, size, (Ruling(f"{size}-large", size, beyond, "made up", BASIS, hold),), sign)
    both = Ruling(f"{sign}-large", sign, Join("all", (beyond, there)), "made up", BASIS, hold)
    alone = Ruling(f"{sign}-there", sign, there, "made up", BASIS, hold)
    _node(nodes, part, sign, (both, alone), f"{part}-size-{block + 1}" if block + 1 < BLOCKS_A_PART else "end")


def _node(nodes: dict[str, Node], part: str, name: str, rulings: tuple[Ruling, ...], following: str) -> None:
    nodes[name] = Node(name, part, name, False, "", None, CantTellRule(rulings[0].ending), rulings,
                       (Edge(None, following),))  # fmt: skip
