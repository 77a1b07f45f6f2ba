"""The question graph as text in the open formats that other programs lay out: DOT (Graphviz) and Mermaid.

Nodes and edges are those of `engine.question_graph`: questions, the end of each part, endings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from msgspec import Struct

from advisor.engine.question_graph import question_graph
from advisor.model.ruleset import Node, RuleSet, Ruling, Verdict
from advisor.tools.graph_words import OTHERWISE, short_condition
from advisor.wording.verdict_card import VERDICT_SIGNS

#: Fill and stroke by verdict; the word stands in every label as well.
COLOURS = {
    Verdict.REPAIR: ("#e4f3e8", "#0a5a2c"),
    Verdict.REFER: ("#e3eefa", "#00427a"),
    Verdict.HOLD: ("#fdf0d6", "#6e4300"),
    Verdict.SCRAP: ("#fce6e8", "#8f0014"),
}


class _Place(Struct, frozen=True):
    """A node of the text: its id, the lines of its label, the part that it stands in, and an ending's verdict."""

    id: str
    lines: tuple[str, ...]
    part: str = ""
    verdict: Verdict | None = None


def dot_text(rules: RuleSet) -> str:
    """The graph in DOT, each part a cluster."""
    rows = [f"digraph {_quoted(rules.about.id)} {{", "  rankdir=TB;", '  node [shape=box, fontname="sans-serif"];']
    places = list(_places(rules))
    for part in rules.parts:
        rows += [f"  subgraph {_quoted(f'cluster_{part.id}')} {{", f"    label={_quoted(part.id)};"]
        rows += [f"    {_quoted(each.id)} [label={_quoted(*each.lines)}];" for each in places if each.part == part.id]
        rows.append("  }")
    for each in places:
        if each.verdict is not None:
            fill, stroke = COLOURS[each.verdict]
            style = f'style=filled, fillcolor="{fill}", color="{stroke}", fontcolor="{stroke}"'
            rows.append(f"  {_quoted(each.id)} [label={_quoted(*each.lines)}, {style}];")
    for start, end, words in _edges(rules):
        label = f" [label={_quoted(words)}]" if words else ""
        rows.append(f"  {_quoted(start)} -> {_quoted(end)}{label};")
    return "\n".join([*rows, "}"]) + "\n"


def mermaid_text(rules: RuleSet) -> str:
    """The graph as a Mermaid flowchart, each part a subgraph. An id is written with `_` for `-` and `__` for `:`."""
    rows, places = ["flowchart TB"], list(_places(rules))
    for part in rules.parts:
        rows.append(f'  subgraph part_{_mermaid_id(part.id)}["{_escaped(part.id)}"]')
        rows += [f"    {_mermaid_node(each)}" for each in places if each.part == part.id]
        rows.append("  end")
    rows += [f"  {_mermaid_node(each)}:::{each.verdict}" for each in places if each.verdict is not None]
    for start, end, words in _edges(rules):
        label = f'|"{_escaped(words)}"|' if words else ""
        rows.append(f"  {_mermaid_id(start)} -->{label} {_mermaid_id(end)}")
    for verdict, (fill, stroke) in COLOURS.items():
        rows.append(f"  classDef {verdict} fill:{fill},stroke:{stroke},color:{stroke}")
    return "\n".join(rows) + "\n"


def _places(rules: RuleSet) -> Iterator[_Place]:
    for name in question_graph(rules):
        kind, _, rest = name.rpartition(":")
        if kind == "ending":
            verdict = rules.endings[rest].verdict
            yield _Place(name, (VERDICT_SIGNS[verdict], rest), verdict=verdict)
        elif kind == "part":
            yield _Place(name, (f"end of {rest}",), rest)
        else:
            node = rules.nodes[name]
            question = rules.questions.get(node.asks)
            yield _Place(name, (name, question.name if question else "not asked"), node.part)


def _edges(rules: RuleSet) -> Iterator[tuple[str, str, str]]:
    """Each edge with its condition in few words."""
    for start, end in question_graph(rules).edges:
        node = rules.nodes.get(start)
        if node is not None and end.startswith("ending:"):
            yield start, end, _brought_by(node, end.removeprefix("ending:"), rules)
        elif node is not None:
            target = "end" if end.startswith("part:") else end
            yield start, end, _way_words(node, target, rules)
        elif end.startswith("ending:"):
            yield start, end, "no ruling decides"
        else:
            when = next(part.when for part in rules.parts if part.starts == end)
            yield start, end, short_condition(when, rules) if when is not None else ""


def _way_words(node: Node, target: str, rules: RuleSet) -> str:
    if len(node.next) == 1:
        return ""
    whens = [edge.when for edge in node.next if edge.to == target]
    return "; or ".join(short_condition(when, rules) if when is not None else OTHERWISE for when in whens)


def _brought_by(node: Node, ending: str, rules: RuleSet) -> str:
    """What brings an ending at a node: a ruling's condition, so many rulings, or doubt alone."""
    certain = [ruling for ruling in node.rulings if ruling.ending == ending]
    if len(certain) == 1 and certain[0].when is not None:
        return short_condition(certain[0].when, rules)
    if certain:
        return f"{len(certain)} rulings"
    return "in doubt" if any(_doubts(ruling, ending) for ruling in node.rulings) else "can't tell"


def _doubts(ruling: Ruling, ending: str) -> bool:
    return ending in (ruling.in_doubt, ruling.doubt_ending)


def _quoted(*lines: str) -> str:
    r"""A string of DOT, its lines broken by `\n`."""
    return '"' + r"\n".join(line.replace("\\", "\\\\").replace('"', r"\"") for line in lines) + '"'


def _mermaid_node(place: _Place) -> str:
    return f'{_mermaid_id(place.id)}["{"<br/>".join(_escaped(line) for line in place.lines)}"]'


def _mermaid_id(name: str) -> str:
    """An id that Mermaid can't take for an arrow or for its own word `end`; no id of a rule set holds `_`."""
    kind, _, rest = name.rpartition(":")
    return f"{kind or 'node'}__{rest.replace('-', '_')}"


def _escaped(text: str) -> str:
    """A text as Mermaid takes it between quotes."""
    return re.sub(r'[#"<>&\\]', lambda found: f"#{ord(found[0])};", text)
