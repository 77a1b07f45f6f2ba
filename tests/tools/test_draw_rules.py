"""`advisor draw RULES`: nothing is left out, nothing lies over anything else, and no word rests on colour."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import pydot
import pytest
from msgspec.structs import replace
from shapely import LineString, STRtree, box
from shapely.geometry.base import BaseGeometry

from advisor.cli import main
from advisor.console.graph_lines import graph_lines
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.question_graph import END, question_graph
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.kept_cases import with_older_answers
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, shipped
from advisor.model.ruleset import Edge, RuleSet, Verdict
from advisor.report.graph_svg import TALL, WIDE, graph_svg
from advisor.report.svg_text import broken, text_width
from advisor.tools.graph_export import COLOURS
from advisor.tools.graph_view import graph_picture, known_names
from advisor.wording.verdict_card import VERDICT_SIGNS


def run(words: list[str]) -> int:
    return main(["draw", *words])


CASE = """
answers: {vehicle: truck, wheel-position: steer, sidewall: 275/70R22.5 148/145M, tube: tubeless, retread: "no",
  found-pressure: 104 psi, set-pressure: 110 psi, run-low: "no", demounted: "yes", findings: [none],
  tread-depth: 3.5/32 in, self-supporting: "no", sealant: "no", earlier-repairs: []}
injuries:
  - {injury-depth: through, injury-zone: crown, injury-size: 3/8 in, injury-angle: 20 deg, inside-signs: [none]}
"""
SVG = "{http://www.w3.org/2000/svg}"
#: The smallest letters on the page, in mm.
LEGIBLE = 2.0
Edges = set[tuple[str, str]]


@lru_cache(maxsize=8)
def rules_of(name: str) -> RuleSet:
    return load_rule_set(find_rule_set(name))


@lru_cache(maxsize=8)
def page_of(name: str, lighted: bool = False) -> ET.Element:
    rules = rules_of(name)
    return ET.fromstring(graph_svg(graph_picture(rules, judgement=judged(rules) if lighted else None)))


def judged(rules: RuleSet) -> Judgement:
    (text,) = split_cases(CASE, "case.yaml")
    return Judge(rules).judge(with_older_answers(read_case(text, rules, date(2026, 3, 14)), rules))


def looped(rules: RuleSet) -> RuleSet:
    """The rule set with a way back, and a question that nothing leads to."""
    return replace(rules, nodes={**rules.nodes, "tube": replace(rules.nodes["tube"], next=(Edge(None, "tire-class"),))})


def written(rules: RuleSet, option: str, folder: Path) -> str:
    """What the command writes of a shipped rule set."""
    file = folder / "graph.txt"
    assert run([rules.about.id, option, str(file)]) == 0
    return file.read_text(encoding="utf-8")


# The text in open formats


@pytest.mark.parametrize("name", shipped())
def test_the_dot_text_is_read_by_another_program_and_holds_the_whole_graph(name: str, tmp_path: Path) -> None:
    rules = rules_of(name)
    (graph,) = pydot.graph_from_dot_data(written(rules, "--dot", tmp_path))
    places = {node.get_name(): node for part in [graph, *graph.get_subgraphs()] for node in part.get_nodes()}
    del places["node"]
    wanted = question_graph(rules)
    assert {unquoted(each) for each in places} == set(wanted.nodes)
    assert {(unquoted(e.get_source()), unquoted(e.get_destination())) for e in graph.get_edges()} == set(wanted.edges)
    assert {unquoted(each.get_label()) for each in graph.get_subgraphs()} == {part.id for part in rules.parts}
    for ending in rules.endings.values():
        label = unquoted(places[f'"ending:{ending.id}"'].get_label())
        assert label == rf"{VERDICT_SIGNS[ending.verdict]}\n{ending.id}"
    for node in rules.nodes.values():
        ways = [edge for edge in graph.get_edges() if unquoted(edge.get_source()) == node.id]
        assert all(edge.get_label() for edge in ways) or len(node.next) == 1
    assert max(len(unquoted(edge.get_label() or "")) for edge in graph.get_edges()) <= 200


def unquoted(text: str) -> str:
    return text.strip('"').replace(r"\"", '"')


#: Lines of a Mermaid flowchart, as far as ours go: a label stands between quotes and holds no bare sign of Mermaid's.
LABEL = r'"(?:[^"#<>&\\]|#\d+;|<br/>)*"'
MERMAID = {
    "head": re.compile(r"flowchart TB"),
    "part": re.compile(rf"  subgraph (part_\w+)\[{LABEL}\]"),
    "close": re.compile(r"  end"),
    "node": re.compile(rf" +(\w+)\[({LABEL})\](?::::(\w+))?"),
    "edge": re.compile(rf"  (\w+) -->(?:\|{LABEL}\|)? (\w+)"),
    "class": re.compile(r"  classDef (\w+) (?:(?:fill|stroke|color):#[0-9a-f]{6},?){3}"),
}


def mermaid(text: str) -> list[tuple[str, re.Match[str]]]:
    """Each line with its kind."""
    lines = []
    for line in text.splitlines():
        kind = next((kind for kind, form in MERMAID.items() if form.fullmatch(line)), "")
        found = MERMAID[kind].fullmatch(line) if kind else None
        assert found, f"no line of Mermaid: {line}"
        lines.append((kind, found))
    return lines


def from_mermaid(name: str) -> str:
    kind, _, rest = name.partition("__")
    return rest.replace("_", "-") if kind == "node" else f"{kind}:{rest.replace('_', '-')}"


@pytest.mark.parametrize("name", shipped())
def test_the_mermaid_text_keeps_its_grammar_and_holds_the_whole_graph(name: str, tmp_path: Path) -> None:
    rules, wanted = rules_of(name), question_graph(rules_of(name))
    lines = mermaid(written(rules, "--mermaid", tmp_path))
    assert [kind for kind, _ in lines].count("part") == [kind for kind, _ in lines].count("close") == len(rules.parts)
    nodes = {from_mermaid(found[1]): found for kind, found in lines if kind == "node"}
    assert set(nodes) == set(wanted.nodes)
    assert {(from_mermaid(f[1]), from_mermaid(f[2])) for kind, f in lines if kind == "edge"} == set(wanted.edges)
    for ending in rules.endings.values():
        found = nodes[f"ending:{ending.id}"]
        assert found[3] == str(ending.verdict) and VERDICT_SIGNS[ending.verdict] in found[2]
    assert {found[1] for kind, found in lines if kind == "class"} == {str(verdict) for verdict in Verdict}


def test_the_grammar_refuses_a_broken_line() -> None:
    for line in ('  a["say "no""]', "  a --> end it", '  a["1 < 2"]'):
        with pytest.raises(AssertionError):
            mermaid(line)


# The page


@pytest.mark.parametrize("name", shipped())
def test_every_question_way_and_ending_of_the_graph_is_on_the_page(name: str) -> None:
    rules = rules_of(name)
    drawn = {(each.get("data-from", ""), each.get("data-to", "")) for each in page_of(name).iter()} - {("", "")}
    last = f"part:{rules.parts[-1].id}"
    drawn = {(last if start == "the end" else start, end) for start, end in drawn}
    wanted: Edges = {(a, b) for a, b in question_graph(rules).edges}
    from_part_to_part = {(f"part:{a.id}", b.starts) for a, b in pairwise(rules.parts)}
    assert drawn == wanted - from_part_to_part | {
        (a, b) for a, b in drawn if b.removeprefix("ending:") in {SPEAKS, *rules.restrictions}
    }
    said = {text.text for text in page_of(name).iter(f"{SVG}text")}
    assert set(rules.nodes) <= said


#: What a chip can say that is no ending.
SPEAKS = "speaks for repair"


@pytest.mark.parametrize("name", shipped())
@pytest.mark.parametrize("lighted", [False, True])
def test_the_page_is_a3_legible_and_nothing_lies_over_anything_else(name: str, lighted: bool) -> None:
    page = page_of(name, lighted)
    assert (page.get("width"), page.get("height")) == ("420mm", "297mm")
    assert page.findtext(f"{SVG}title") and page.findtext(f"{SVG}desc")
    assert min(float(text.get("font-size", 0)) for text in page.iter(f"{SVG}text")) >= LEGIBLE
    paper = box(0, 0, WIDE, TALL)
    texts = [text_box(text) for text in page.iter(f"{SVG}text")]
    boxes = [box(*corners(rect)) for rect in outer_boxes(page)]
    chips = [box(*corners(rect)) for rect in page.iter(f"{SVG}rect") if rect.get("class") == "chip"]
    assert not [each.bounds for each in (*texts, *boxes) if not paper.contains(each)]
    for several in (boxes, chips, texts):
        assert not list(lying_over(several, several, 0.01))
    for number, text in enumerate(texts):
        inside = [boxes[place] for place in STRtree(boxes).query(text, "intersects")]
        assert not inside or any(each.buffer(0.01).contains(text) for each in inside), texts[number].bounds
    ways = [
        LineString([tuple(map(float, at.split())) for at in path.get("d", "")[1:].split("L")])
        for path in page.iter(f"{SVG}path")
        if path.get("class") == "way"
    ]
    assert not list(lying_over(ways, [each.buffer(-0.02) for each in boxes]))


def lying_over(
    these: list[BaseGeometry], those: list[BaseGeometry], least: float = -1
) -> Iterator[tuple[tuple[float, ...], tuple[float, ...]]]:
    """What of two lists lies over each other, but nothing over itself, by more than a least area."""
    for number, place in STRtree(those).query(these, "intersects").T:
        one, two = these[number], those[place]
        if (these is not those or number < place) and one.intersection(two).area > least:
            yield one.bounds, two.bounds


def test_what_lies_over_something_is_found() -> None:
    apart, over = [box(0, 0, 1, 1), box(1, 0, 2, 1)], [box(0, 0, 1, 1), box(0.9, 0, 2, 1)]
    assert not list(lying_over(apart, apart, 0.01)) and list(lying_over(over, over, 0.01))
    assert list(lying_over([LineString([(-1, 0.5), (3, 0.5)])], apart))


def outer_boxes(page: ET.Element) -> list[ET.Element]:
    """Headings, cards and words on ways; no chips, not the page."""
    headings = [rect for rect in page.iter(f"{SVG}rect") if rect.get("class") == "heading"]
    return headings + [rect for group in page.iter(f"{SVG}g") if (rect := group.find(f"{SVG}rect")) is not None]


def corners(rect: ET.Element) -> tuple[float, float, float, float]:
    x, y, wide, tall = (float(rect.get(key, 0)) for key in ("x", "y", "width", "height"))
    return x, y, x + wide, y + tall


def text_box(text: ET.Element) -> BaseGeometry:
    """From the foot of its letters to the top of its capitals."""
    x, y, size = (float(text.get(key, 0)) for key in ("x", "y", "font-size"))
    wider = 1.1 if text.get("font-weight") == "bold" else 1
    return box(x, y - size * 0.75, x + text_width(text.text or "", size) * wider, y + size * 0.2)


def test_every_verdict_stands_as_a_word_where_it_stands_as_a_colour() -> None:
    for group in page_of("us-road").iter(f"{SVG}g"):
        children = list(group)
        for rect, text in pairwise(children):
            if rect.get("class") == "chip":
                word = next(w for w in (*VERDICT_SIGNS.values(), "RESTRICTS") if w in (text.text or ""))
                verdict = next((v for v, sign in VERDICT_SIGNS.items() if sign == word), None)
                assert verdict is None or rect.get("fill") == COLOURS[verdict][0]
                assert bool(rect.get("stroke-dasharray")) == (text.text or "").startswith("? ")
    for tint, dark in COLOURS.values():
        assert _contrast(dark, tint) >= 4.5 and _contrast("#ffffff", dark) >= 4.5


def _contrast(one: str, two: str) -> float:
    """Contrast ratio by WCAG 2.2, relative luminance (published)."""
    light, dark = sorted((_luminance(one), _luminance(two)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_the_page_is_the_same_each_time_and_a_loop_does_not_stop_it() -> None:
    rules = rules_of("us-road")
    assert graph_svg(graph_picture(rules)) == graph_svg(graph_picture(rules))
    page = graph_svg(graph_picture(looped(rules)))
    assert 'data-from="tube" data-to="tire-class"' in page and "no way leads here" in page
    itself = replace(rules.nodes["tube"], next=(Edge(None, "tube"),))
    alone = graph_picture(replace(rules, nodes={**rules.nodes, "tube": itself}))
    assert 'data-from="tube" data-to="tube"' in graph_svg(alone)


def test_without_the_package_that_lays_it_out_it_is_said_what_to_install(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(sys.modules, "grandalf.graphs", None)
    monkeypatch.delitem(sys.modules, "advisor.report.graph_svg", raising=False)
    assert run(["us-road", "--svg", str(tmp_path / "page.svg")]) == 2
    said = capsys.readouterr().err
    assert "no-package" in said and "[graph]" in said and "--dot" in said
    assert run(["us-road", "--dot", str(tmp_path / "graph.dot")]) == 0


def test_broken_lines_fit_and_lose_nothing_unmarked() -> None:
    text = "one two three fourfourfourfour"
    lines = broken(text, 1, 8)
    assert all(text_width(line, 1) <= 8 for line in lines) and lines[-1].endswith("…")
    assert broken("one two three", 1, 99) == ["one two three"] and broken("one two three", 1, 5, 1)[0].endswith("…")


# A case's way, and what stands around a name


def _chips(reason: Reason) -> list[str]:
    return [*filter(None, (reason.ending, *reason.restrictions))] or ["speaks for repair"]


def test_the_way_of_a_case_is_lit_and_nothing_else() -> None:
    rules = rules_of("us-road")
    judgement = judged(rules)
    picture = graph_picture(rules, judgement=judgement)
    cards = [card for part in picture.parts for card in part.cards]
    way = [card.id for card in sorted(cards, key=lambda card: card.step) if card.step]
    assert way == [visit.stop.node.id for visit in judgement.walk.visits]
    brought = {(reason.node, name) for reason in judgement.reasons for name in _chips(reason)}
    assert {(card.id, chip.name) for card in cards for chip in card.chips if chip.lit} == brought
    assert [chip.name for chip in picture.ends if chip.lit] == ["repair-one-piece"]
    steps = {card.id: card.step for card in cards}
    taken = {(card.id, way.to) for card in cards for way in card.ways if way.lit}
    assert {start for start, _ in taken} == set(steps) - {name for name, step in steps.items() if not step}
    assert all(end == END or steps[end] == steps[start] + 1 for start, end in taken)
    said = "\n".join(graph_lines(picture))
    assert "● tread-depth - said: 3.5/32 in" in said and "! RESTRICTS not-steer-axle (*)" in said
    texts = [text.text for text in page_of("us-road", True).iter(f"{SVG}text")]
    assert "RESTRICTS not-steer-axle" in texts and "said: 3.5/32 in" in texts
    thick = [path for path in page_of("us-road", True).iter(f"{SVG}path") if path.get("stroke") == "#111111"]
    assert {(p.get("data-from"), p.get("data-to")) for p in thick if p.get("data-from")} == {
        (start, end if end != END else f"part:{rules.nodes[start].part}") for start, end in taken
    }


def test_doubt_lights_what_only_doubt_brings() -> None:
    rules = rules_of("us-road")
    (text,) = split_cases(CASE.replace("tread-depth: 3.5/32 in", "tread-depth: 1-3 mm"), "case.yaml")
    judgement = Judge(rules).judge(read_case(text, rules, date(2026, 3, 14)))
    cards = {card.id: card for part in graph_picture(rules, judgement=judgement).parts for card in part.cards}
    lit = [(chip.name, chip.doubt) for chip in cards["tread-depth"].chips if chip.lit]
    brought = [(n, bool(r.doubt)) for r in judgement.reasons if r.node == "tread-depth" for n in _chips(r)]
    assert sorted(lit) == sorted(set(brought)) and any(doubt for _, doubt in lit)


def test_around_one_question_each_ruling_is_in_words() -> None:
    said = " ".join("\n".join(graph_lines(graph_picture(rules_of("us-road"), "injury-size"))).split())
    assert "too-large-light: injury-depth is through and tire-group is light and widest-opening is over 1/4 in" in said
    assert "by-depth" in said and "injury-length" in said and "tread-depth" not in said.split("by-depth")[0]


def test_around_one_ending_all_that_bring_it() -> None:
    rules = rules_of("us-road")
    cards = [card.id for part in graph_picture(rules, "scrap-place-doubt").parts for card in part.cards]
    assert cards == [
        node for node in rules.nodes if "ending:scrap-place-doubt" in question_graph(rules).successors(node)
    ]


def test_around_a_ruling_or_a_limit_the_places_that_go_by_it() -> None:
    rules = rules_of("us-road")
    for name in ("too-large-light", "nail-hole-size-light", "injury-size"):
        near = [card.id for part in graph_picture(rules, name).parts for card in part.cards if card.near]
        assert near == ["injury-size"], name
    assert "crown-edge" not in known_names(rules), "only a worked-out value goes by it"
    for name in known_names(rules):
        assert any(card.near for part in graph_picture(rules, name).parts for card in part.cards), name


# In the terminal


@pytest.mark.parametrize("name", shipped())
def test_in_the_terminal_every_question_stands_after_those_that_lead_to_it(name: str) -> None:
    rules = rules_of(name)
    said = "\n".join(graph_lines(graph_picture(rules)))
    order = re.findall(r"^  ([a-z-]+) - ", said, re.MULTILINE)
    assert sorted(order) == sorted(rules.nodes)
    for node, following in pairwise(order):
        leads_to = {edge.to for edge in rules.nodes[node].next} - {END}
        assert all(order.index(node) < order.index(to) for to in leads_to)
        told = said.split(f"\n  {node} - ")[1].split(f"\n  {following} - ")[0]
        assert all(f"► to {to}" in told for to in leads_to - {following})


def test_in_the_terminal_a_loop_and_a_lost_question_are_told() -> None:
    said = "\n".join(graph_lines(graph_picture(looped(rules_of("us-road")))))
    assert "► to tire-class\n" in said
    assert said.split("  retread - ")[1].splitlines()[1].strip() == "(no way leads here)"


@pytest.mark.parametrize("columns", [60, 80, 120])
@pytest.mark.parametrize("ascii_only", [False, True])
def test_the_terminal_drawing_fits_and_reads_without_colour(columns: int, ascii_only: bool) -> None:
    picture = graph_picture(rules_of("us-road"))
    plain = list(graph_lines(picture, columns, ascii_only))
    assert all(len(line) <= columns and line == line.rstrip() for line in plain)
    assert not ascii_only or "\n".join(plain).replace("°", "").isascii()
    coloured = list(graph_lines(picture, columns, ascii_only, colour=True))
    assert [re.sub(r"\x1b\[[\d;]*m", "", line) for line in coloured] == plain != coloured
    text = "\n".join(plain)
    assert all(word in text for word in ("o REPAIR", "> REFER", "= HOLD", "x SCRAP", "! RESTRICTS"))


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case, page = tmp_path / "case.yaml", tmp_path / "page.svg"
    case.write_text(CASE)
    assert run(["us-road", "--case", str(case), "--svg", str(page)]) == 0
    said = capsys.readouterr().out
    (text,) = split_cases(CASE, "case.yaml")
    verdict = Judge(rules_of("us-road")).judge(read_case(text, rules_of("us-road"), date(2026, 3, 14))).verdict
    assert (
        f"The case's way is lit: {str(verdict).upper()}" in said and "\x1b" not in said and f"Written: {page}" in said
    )
    assert ET.parse(page).getroot().tag == f"{SVG}svg"
    assert run(["--rules", "uk-road", "--around", "offset"]) == 0 and "(uk-road)" in capsys.readouterr().out
    assert run(["us-road", "--around", "injury-sise"]) == 2
    assert "nearest   injury-size" in capsys.readouterr().err
    assert run([str(tmp_path)]) == 2
    assert "unknown-rule-set" in capsys.readouterr().err
    assert run(["us-road", "--case", str(tmp_path / "none.yaml")]) == 2
    assert "unreadable-file" in capsys.readouterr().err
    assert run([str(case), "--dot", str(tmp_path / "case.dot")]) == 2
    assert "bad-option" in capsys.readouterr().err


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437"])
def test_an_output_that_can_not_hold_the_strokes_gets_plain_ones(encoding: str) -> None:
    command = [sys.executable, "-m", "advisor", "draw", "us-road"]
    env = {**os.environ, "PYTHONIOENCODING": encoding}
    done = subprocess.run(command, capture_output=True, env=env, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    said = done.stdout.decode(encoding)
    assert "SCRAP damage x" in said and "> to load-range: otherwise" in said
