"""The question graph as text in the open formats that other programs lay out: DOT (Graphviz) and Mermaid.

Nodes and edges are those of `engine.question_graph`: questions, the end of each part, endings; a test holds them to it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from advisor.model.decision_graph import END
from advisor.model.ruleset import Node, RuleSet, Verdict
from advisor.tools.graph_view import GraphPicture, PartPicture, graph_picture
from advisor.tools.graph_words import short_condition
from advisor.wording.verdict_card import VERDICT_SIGNS

#: Fill and stroke by verdict; the word stands in every label as well.
COLOURS = {
    Verdict.REPAIR: ("#e4f3e8", "#0a5a2c"),
    Verdict.REFER: ("#e3eefa", "#00427a"),
    Verdict.HOLD: ("#fdf0d6", "#6e4300"),
    Verdict.SCRAP: ("#fce6e8", "#8f0014"),
}


def dot_text(rules: RuleSet) -> str:
    """The graph in DOT, each part a cluster."""
    picture = graph_picture(rules)
    rows = [f"digraph {_quoted(rules.about.id)} {{", "  rankdir=TB;", '  node [shape=box, fontname="Helvetica"];']
    for part in picture.parts:
        rows += [f"  subgraph {_quoted(f'cluster_{part.id}')} {{", f"    label={_quoted(part.id)};"]
        rows += [f"    {_quoted(name)} [label={_quoted(*lines)}];" for name, *lines in _places(part)]
        rows.append("  }")
    for verdict, name, _ in picture.endings:
        fill, stroke = COLOURS[verdict]
        style = f'style=filled, fillcolor="{fill}", color="{stroke}", fontcolor="{stroke}"'
        rows.append(f"  {_quoted(f'ending:{name}')} [label={_quoted(VERDICT_SIGNS[verdict], name)}, {style}];")
    for start, end, words in _edges(rules, picture):
        label = f" [label={_quoted(words)}]" if words else ""
        rows.append(f"  {_quoted(start)} -> {_quoted(end)}{label};")
    return "\n".join([*rows, "}"]) + "\n"


def mermaid_text(rules: RuleSet) -> str:
    """The graph as a Mermaid flowchart, each part a subgraph. An id is written with `_` for `-` and `__` for `:`."""
    picture = graph_picture(rules)
    rows = ["flowchart TB"]
    for part in picture.parts:
        rows.append(f'  subgraph part_{part.id.replace("-", "_")}["{_escaped(part.id)}"]')
        rows += [f"    {_mermaid_node(name, *lines)}" for name, *lines in _places(part)]
        rows.append("  end")
    for verdict, name, _ in picture.endings:
        rows.append(f"  {_mermaid_node(f'ending:{name}', VERDICT_SIGNS[verdict], name)}:::{verdict}")
    for start, end, words in _edges(rules, picture):
        label = f'|"{_escaped(words)}"|' if words else ""
        rows.append(f"  {_mermaid_id(start)} -->{label} {_mermaid_id(end)}")
    for each, (fill, stroke) in COLOURS.items():
        rows.append(f"  classDef {each} fill:{fill},stroke:{stroke},color:{stroke}")
    return "\n".join(rows) + "\n"


def _places(part: PartPicture) -> Iterator[tuple[str, ...]]:
    """The nodes of a part and its end, each with the lines of its label."""
    yield from ((card.id, card.id, card.name) for card in part.cards)
    yield f"part:{part.id}", f"end of {part.id}"


def _edges(rules: RuleSet, picture: GraphPicture) -> Iterator[tuple[str, str, str]]:
    """Each edge with its condition in few words."""
    for part, following in pairwise((*picture.parts, None)):
        assert part is not None
        end = f"part:{part.id}"
        for card in part.cards:
            yield from ((card.id, end if way.to == END else way.to, way.short) for way in card.ways)
            for name in dict.fromkeys(chip.name for chip in card.chips if chip.name in rules.endings):
                yield card.id, f"ending:{name}", _brought_by(rules.nodes[card.id], name, rules)
        if following is not None:
            entered = next(each for each in rules.parts if each.id == following.id)
            yield end, entered.starts, short_condition(entered.when, rules) if entered.when is not None else ""
        else:
            yield from ((end, f"ending:{chip.name}", "no ruling decides") for chip in picture.ends)


def _brought_by(node: Node, ending: str, rules: RuleSet) -> str:
    """What brings an ending at a node: a ruling's condition, so many rulings, or doubt alone."""
    certain = [ruling for ruling in node.rulings if ruling.ending == ending]
    if len(certain) == 1 and certain[0].when is not None:
        return short_condition(certain[0].when, rules)
    if certain:
        return f"{len(certain)} rulings"
    return (
        "in doubt" if any(ending in (ruling.in_doubt, ruling.doubt_ending) for ruling in node.rulings) else "can't tell"
    )


def _quoted(*lines: str) -> str:
    r"""A string of DOT, its lines broken by `\n`."""
    return '"' + r"\n".join(line.replace("\\", "\\\\").replace('"', r"\"") for line in lines) + '"'


def _mermaid_node(name: str, *lines: str) -> str:
    return f'{_mermaid_id(name)}["{"<br/>".join(_escaped(line) for line in lines)}"]'


def _mermaid_id(name: str) -> str:
    """An id that Mermaid can't take for an arrow or for its own word `end`; no id of a rule set holds `_`."""
    kind, _, rest = name.rpartition(":")
    return f"{kind or 'node'}__{rest.replace('-', '_')}"


def _escaped(text: str) -> str:
    """A text as Mermaid takes it between quotes."""
    return re.sub(r'[#"<>&\\]', lambda found: f"#{ord(found[0])};", text)
