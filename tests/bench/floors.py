"""What `one_table.py` holds the program against: the same rulings as plain if/else, and as a table of a
general-purpose decision engine; and the cases, whole ones with three injuries.

Not like for like: the program also works values out, says every reason, what is missing and what could still be; these
two get worked-out values handed to them and give a verdict only.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from datetime import date
from itertools import chain, product
from typing import Any

from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts
from advisor.model.case import Case, Choice, Choices, Readings, Text
from advisor.model.quantity import Measure, read_measure
from advisor.model.ruleset import Condition, Leaf, RuleSet

TODAY = date(2026, 3, 14)
#: What a row can test; "known" holds in every case here.
TESTS = frozenset({"is", "one-of", "beyond", "has-any"})
Row = dict[str, Any]


def cases(count: int) -> list[Case]:
    """Seeded whole cases with three injuries each."""
    draw = random.Random(11)
    return [_case(draw) for _ in range(count)]


def _case(draw: random.Random) -> Case:
    def choice(*names: str) -> Choice:
        return Choice(draw.choice(names))

    tire = {
        "vehicle": choice("truck", "bus", "trailer"),
        "wheel-position": choice("steer", "drive"),
        "sidewall": Text("275/70R22.5 148/145M LOAD RANGE H"),
        "tube": choice("tubeless", "tube-type"),
        "retread": choice("no", "recapped"),
        "found-pressure": read_measure(f"{draw.randint(60, 110)} psi", "pressure"),
        "set-pressure": read_measure("110 psi", "pressure"),
        "run-low": choice("no", "no", "yes"),
        "demounted": choice("yes", "yes", "yes", "no"),
        "findings": Choices(frozenset(draw.sample(["exposed-cord", "liner-split"], draw.choice([0, 0, 0, 1])))),
        "tread-depth": Readings((read_measure(f"{draw.randint(2, 16)}/32 in", "length"),)),
        "self-supporting": choice("no", "no", "no", "yes"),
        "sealant": choice("no", "no", "no", "yes"),
        "earlier-repairs": Choice("no"),
        "unit-length": read_measure("60 mm", "length"),
        "unit-width": read_measure("50 mm", "length"),
    }
    injuries = tuple(_injury(draw, index) for index in range(3))
    return Case(tire, (), injuries, TODAY)


def _injury(draw: random.Random, index: int) -> Row:
    return {
        "injury-depth": Choice("through"),
        "injury-zone": Choice(draw.choice(["crown", "crown", "crown", "shoulder"])),
        "clock": read_measure(f"{120 * index} deg", "angle"),
        "offset": read_measure("10 mm", "length"),
        "injury-size": read_measure(f"{draw.randint(2, 13)} mm", "length"),
        "injury-angle": read_measure(f"{draw.randint(0, 40)} deg", "angle"),
        "inside-signs": Choices(frozenset(draw.sample(["rust", "separation"], draw.choice([0, 0, 0, 1])))),
        "more-injuries": Choice("no" if index == 2 else "yes"),
    }


def table(rules: RuleSet) -> list[tuple[int, list[Leaf], int]]:
    """Rulings as rows that are conjunctions: verdict, tests, and 1 where they are about an injury.

    An `any` is a row for each of its parts. What says `not` is left out: a floor may do less, never more.
    """
    rows = []
    for ruling in rules.rulings():
        over = next(part.over for part in rules.parts if part.id == rules.nodes[ruling.node].part)
        for tests in _conjunctions(ruling.when) if ruling.ending and over != "earlier-repairs" else ():
            if tests:
                rows.append((int(rules.endings[ruling.ending].verdict), tests, int(over == "injuries")))
    return rows


def _conjunctions(condition: Condition) -> list[list[Leaf]]:
    if isinstance(condition, Leaf):
        return [[]] if condition.test == "known" else [[condition]] if condition.test in TESTS else []
    parts = [_conjunctions(part) for part in condition.parts]
    if condition.how == "all":
        return [list(chain(*each)) for each in product(*parts)]
    return list(chain(*parts)) if condition.how == "any" else []


def column(leaf: Leaf) -> str:
    """The name of a fact as plain if/else and the engine's table know it."""
    return leaf.subject.replace("-", "_") + (
        "_beyond_" + leaf.operand[0].replace("-", "_") if "yond" in leaf.test else ""
    )


def flat(rules: RuleSet, judge: Judge, case: Case, rows: list[tuple[int, list[Leaf], int]]) -> list[Row]:
    """The facts handed to the other two: one row for each injury, worked-out values and all."""
    tire = judge.graph.walk(case).tire
    return [_flat(rules, tire.part("injuries", index), rows) for index in range(len(case.injuries))]


def _flat(rules: RuleSet, facts: Facts, rows: list[tuple[int, list[Leaf], int]]) -> Row:
    row: Row = {}
    for _, tests, _ in rows:
        for leaf in tests:
            value = facts.get(leaf.subject)
            if isinstance(value, Readings):
                value = value.readings[0]
            if isinstance(value, Measure):
                figure = rules.limits[leaf.operand[0]].figure_for(value)
                row[column(leaf)] = float(value.to(figure.unit).low)
            elif isinstance(value, Choices):
                row.update(
                    {
                        f"{leaf.subject.replace('-', '_')}__{n.replace('-', '_')}": n in value.present
                        for n in leaf.operand
                    }
                )
            else:
                row[column(leaf)] = value.id if isinstance(value, Choice) else ""
    return row


def if_else(rules: RuleSet, rows: list[tuple[int, list[Leaf], int]]) -> Callable[[list[Row]], int]:
    """The rows as plain if/else over one dict an injury; the text is generated, then compiled."""
    lines = ["def decide(injuries):", "    worst = 0", "    for f in injuries:"]
    for verdict, tests, _ in rows:
        terms = " and ".join(_term(rules, leaf) for leaf in tests)
        lines += [f"        if {verdict} > worst and {terms}:", f"            worst = {verdict}"]
    space: Row = {}
    exec("\n".join([*lines, "    return worst"]), space)
    decide: Callable[[list[Row]], int] = space["decide"]
    return decide


def _bound(rules: RuleSet, leaf: Leaf) -> tuple[str, float]:
    limit = rules.limits[leaf.operand[0]]
    sign = (">" if limit.worse == "above" else "<") + ("" if limit.at_limit_passes else "=")
    figure = next((figure for figure in limit.figures if figure.unit == "mm"), limit.figures[-1])
    if leaf.subject == "tread-depth":
        figure = limit.figures[0]
    return sign, float(figure.low)


def _term(rules: RuleSet, leaf: Leaf) -> str:
    if leaf.test == "beyond":
        sign, figure = _bound(rules, leaf)
        return f"isinstance(f[{column(leaf)!r}], float) and f[{column(leaf)!r}] {sign} {figure!r}"
    if leaf.test == "has-any":
        names = [f"{leaf.subject.replace('-', '_')}__{name.replace('-', '_')}" for name in leaf.operand]
        return "(" + " or ".join(f"f[{name!r}]" for name in names) + ")"
    return f"f[{column(leaf)!r}] in {tuple(leaf.operand)!r}"


def engine_table(rules: RuleSet, rows: list[tuple[int, list[Leaf], int]], sample: Row) -> Callable[[list[Row]], int]:
    """The same rows as one collecting table of the decision engine `zen-engine`."""
    import zen

    inputs = [{"id": name, "field": name, "name": name} for name in sample]
    lines = []
    for number, (verdict, tests, _) in enumerate(rows):
        for cells in _cells(rules, tests):
            lines.append(
                {
                    "_id": f"r{number}-{len(lines)}",
                    **{name: cells.get(name, "") for name in sample},
                    "out": str(verdict),
                }
            )
    content = {
        "contentType": "application/vnd.gorules.decision",
        "nodes": [
            {"id": "in", "type": "inputNode", "name": "in"},
            {"id": "t", "type": "decisionTableNode", "name": "t", "content": {
                "hitPolicy": "collect", "inputs": inputs,
                "outputs": [{"id": "out", "field": "verdict", "name": "verdict"}], "rules": lines}},
            {"id": "end", "type": "outputNode", "name": "end"},
        ],
        "edges": [
            {"id": "a", "type": "edge", "sourceId": "in", "targetId": "t"},
            {"id": "b", "type": "edge", "sourceId": "t", "targetId": "end"},
        ],
    }  # fmt: skip
    decision = zen.ZenEngine().create_decision(json.dumps(content))

    def decide(injuries: list[Row]) -> int:
        hits = (decision.evaluate(row)["result"] for row in injuries)
        return max((hit["verdict"] for found in hits for hit in found or ()), default=0)

    return decide


def _cells(rules: RuleSet, tests: list[Leaf]) -> list[Row]:
    """A ruling as rows of the table; one for each finding that it names."""
    rows: list[Row] = [{}]
    for leaf in tests:
        if leaf.test == "beyond":
            sign, figure = _bound(rules, leaf)
            rows = [{**row, column(leaf): f"{sign} {figure!r}"} for row in rows]
        elif leaf.test == "has-any":
            names = [f"{leaf.subject.replace('-', '_')}__{name.replace('-', '_')}" for name in leaf.operand]
            rows = [{**row, name: "true"} for row in rows for name in names]
        else:
            rows = [{**row, column(leaf): ", ".join(json.dumps(name) for name in leaf.operand)} for row in rows]
    return rows
