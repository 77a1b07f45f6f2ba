"""`advisor draw RULES`: nothing is left out, nothing lies over anything else, and no word rests on colour."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from functools import lru_cache
from itertools import combinations
from pathlib import Path

import pytest

from advisor.commands.draw import run
from advisor.console.graph_lines import graph_lines
from advisor.engine.decision import Judgement
from advisor.engine.evaluator import Judge
from advisor.engine.question_graph import question_graph
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, shipped
from advisor.model.ruleset import Edge, RuleSet, Verdict
from advisor.report.graph_cards_svg import Block, CardLook
from advisor.report.graph_signs import INKS, PALE, sign
from advisor.report.graph_svg import LEGIBLE, TALL, WIDE, graph_svg, letter_size
from advisor.report.svg_text import broken, text_width
from advisor.tools.graph_layout import GraphPicture, graph_picture, known_names

CASE = """
answers: {vehicle: truck, wheel-position: steer, sidewall: 275/70R22.5 148/145M, tube: tubeless, retread: "no",
  found-pressure: 104 psi, set-pressure: 110 psi, run-low: "no", demounted: "yes", findings: [none],
  tread-depth: 3.5/32 in, self-supporting: "no", sealant: "no", earlier-repairs: []}
injuries:
  - {injury-depth: through, injury-zone: crown, injury-size: 3/8 in, injury-angle: 20 deg, inside-signs: [none]}
"""
SVG = "{http://www.w3.org/2000/svg}"


@lru_cache(maxsize=8)
def rules_of(name: str) -> RuleSet:
    return load_rule_set(find_rule_set(name))


def judged(rules: RuleSet) -> Judgement:
    (text,) = split_cases(CASE, "case.yaml")
    return Judge(rules).judge(read_case(text, rules, date(2026, 3, 14)))


def drawn_edges(picture: GraphPicture) -> Iterator[tuple[str, str]]:
    """Every edge of a picture in the names of the networkx graph."""
    for part in picture.parts:
        for way in part.stretch.ways:
            yield part.cards[way.start].id, part.cards[way.end].id
        for card in part.cards:
            yield from ((card.id, f"ending:{chip.name}") for chip in card.chips if chip.name in ENDINGS)


ENDINGS: set[str] = set()


@pytest.mark.parametrize("name", shipped())
def test_every_question_way_and_ending_of_the_graph_is_drawn(name: str) -> None:
    rules = rules_of(name)
    ENDINGS.update(rules.endings)
    picture = graph_picture(rules)
    wanted = {(a, b) for a, b in question_graph(rules).edges if a in rules.nodes and not b.startswith("part:")}
    assert set(drawn_edges(picture)) == wanted
    assert {card.id for part in picture.parts for card in part.cards} == set(rules.nodes)
    assert {name for _, name, _ in picture.endings} == set(rules.endings)


@pytest.mark.parametrize("name", shipped())
def test_ways_lead_down_the_layers_and_no_two_share_a_lane(name: str) -> None:
    for part in graph_picture(rules_of(name)).parts:
        layers = [card.layer for card in part.cards]
        assert layers == sorted(layers)
        for way in part.stretch.ways:
            assert layers[way.start] < layers[way.end] and bool(way.lane) == (way.end != way.start + 1)
        for one, two in combinations([way for way in part.stretch.ways if way.lane], 2):
            apart = one.end < two.start or two.end < one.start
            assert one.lane != two.lane or apart or one.end == two.end


def test_a_loop_and_a_lost_question_are_drawn_as_such() -> None:
    rules = rules_of("us-road")
    node = rules.nodes["tube"]
    looped = replace(rules, nodes={**rules.nodes, "tube": replace(node, next=(Edge(None, "tire-class"),))})
    picture = graph_picture(looped)
    tire = picture.parts[0]
    back = [(tire.cards[way.start].id, tire.cards[way.end].id) for way in tire.stretch.ways if way.back]
    assert len(back) == 1 and {"tube", "tire-class", "construction"} & set(back[0])
    assert next(card.id for part in picture.parts for card in part.cards if not card.reached) == "retread"
    assert "no way leads here" in "\n".join(graph_lines(picture)) and "no way leads here" in graph_svg(picture)


@pytest.mark.parametrize("name", shipped())
@pytest.mark.parametrize("lighted", [False, True])
def test_the_page_is_a3_legible_and_nothing_lies_over_anything_else(name: str, lighted: bool) -> None:
    rules = rules_of(name)
    picture = graph_picture(rules, judgement=judged(rules) if lighted else None)
    page = ET.fromstring(graph_svg(picture))
    assert (page.get("width"), page.get("height")) == ("420mm", "297mm")
    assert page.findtext(f"{SVG}title") and page.findtext(f"{SVG}desc")
    assert letter_size(picture) >= LEGIBLE
    sizes = [float(text.get("font-size", 0)) for text in page.iter(f"{SVG}text")]
    assert min(sizes) >= LEGIBLE
    for text in page.iter(f"{SVG}text"):
        x, y, size = (float(text.get(key, 0)) for key in ("x", "y", "font-size"))
        before = text_width(text.text or "", size) if text.get("text-anchor") == "end" else 0
        assert x - before >= 0 and x - before + text_width(text.text or "", size) <= WIDE and size < y < TALL
    boxes = [_corners(rect) for rect in page.iter(f"{SVG}rect")][1:]
    for one, two in combinations(boxes, 2):
        apart = one[2] <= two[0] or two[2] <= one[0] or one[3] <= two[1] or two[3] <= one[1]
        assert apart, (one, two)


def _corners(rect: ET.Element) -> tuple[float, float, float, float]:
    x, y, wide, tall = (float(rect.get(key, 0)) for key in ("x", "y", "width", "height"))
    return x, y, x + wide, y + tall


def test_the_way_of_a_case_is_lit_and_nothing_else() -> None:
    rules = rules_of("us-road")
    judgement = judged(rules)
    picture = graph_picture(rules, judgement=judgement)
    cards = [card for part in picture.parts for card in part.cards]
    way = [card.id for card in sorted(cards, key=lambda card: card.step) if card.step]
    assert way == [visit.stop.node.id for visit in judgement.walk.visits]
    brought = {
        (reason.node, reason.ending or reason.restriction or "speaks for repair") for reason in judgement.reasons
    }
    assert {(card.id, chip.name) for card in cards for chip in card.chips if chip.lit} == brought
    assert [chip.name for chip in picture.ends if chip.lit] == ["repair-one-piece"]
    steps = {card.id: card.step for card in cards}
    taken = {(part.cards[a].id, part.cards[b].id) for part in picture.parts for a, b in part.lit}
    assert taken and all(steps[b] == steps[a] + 1 for a, b in taken)
    said = "\n".join(graph_lines(picture))
    assert "● tread-depth - said: 3.5/32 in" in said and "! RESTRICTS not-steer-axle (*)" in said
    assert "RESTRICTS not-steer-axle" in said and "said: 3.5/32 in" in graph_svg(picture)


def test_doubt_lights_what_only_doubt_brings() -> None:
    rules = rules_of("us-road")
    (text,) = split_cases(CASE.replace("tread-depth: 3.5/32 in", "tread-depth: 1-3 mm"), "case.yaml")
    judgement = Judge(rules).judge(read_case(text, rules, date(2026, 3, 14)))
    cards = {card.id: card for part in graph_picture(rules, judgement=judgement).parts for card in part.cards}
    lit = [(chip.name, chip.doubt) for chip in cards["tread-depth"].chips if chip.lit]
    brought = [(r.ending or r.restriction, bool(r.doubt)) for r in judgement.reasons if r.node == "tread-depth"]
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


def test_every_verdict_has_a_shape_of_its_own_and_stands_off() -> None:
    shapes = {re.sub(r"#\w+", "", sign(verdict, 0, 0, 1, INKS[verdict].dark)) for verdict in (*Verdict, None)}
    assert len(shapes) == len(Verdict) + 1
    for ink in (*INKS.values(), PALE):
        assert _contrast(ink.dark, ink.tint) >= 4.5 and _contrast("#ffffff", ink.dark) >= 4.5


def _contrast(one: str, two: str) -> float:
    """Contrast ratio by WCAG 2.2, relative luminance (published)."""
    light, dark = sorted((_luminance(one), _luminance(two)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_broken_lines_fit_and_lose_nothing_unmarked() -> None:
    text = "one two three fourfourfourfour"
    lines = broken(text, 1, 8)
    assert all(text_width(line, 1) <= 8 for line in lines) and lines[-1].endswith("…")
    assert broken("one two three", 1, 99) == ["one two three"] and broken("one two three", 1, 5, 1)[0].endswith("…")


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case, page = tmp_path / "case.yaml", tmp_path / "page.svg"
    case.write_text(CASE)
    assert run(["us-road", "--case", str(case), "--svg", str(page)]) == 0
    said = capsys.readouterr().out
    assert "The case's way is lit: REPAIR" in said and "\x1b" not in said and f"Written: {page}" in said
    assert ET.parse(page).getroot().tag == f"{SVG}svg"
    assert run(["--rules", "uk-road", "--around", "offset"]) == 0 and "(uk-road)" in capsys.readouterr().out
    assert run(["us-road", "--around", "injury-sise"]) == 2
    assert "nearest   injury-size" in capsys.readouterr().err
    assert run([str(tmp_path)]) == 2
    assert "unknown-rule-set" in capsys.readouterr().err
    assert run(["us-road", "--case", str(tmp_path / "none.yaml")]) == 2
    assert "unreadable-file" in capsys.readouterr().err


@pytest.mark.parametrize("name", shipped())
def test_a_part_broken_over_columns_shows_each_way_in_every_piece_that_it_passes(name: str) -> None:
    for part in graph_picture(rules_of(name)).parts:
        block = Block(part, CardLook(2.6, 90, 0.42))
        assert block.breaks(clean=True)[-1] == len(part.cards) == len(block.breaks(clean=False))
        for row in range(len(part.cards)):
            drawn = "".join(block.piece(row, row + 1).drawn(0, 0))
            passing = [way for way in part.stretch.ways if way.lane and way.start <= row <= way.end]
            straight = [way for way in part.stretch.ways if not way.lane and way.start == row]
            heads = re.findall(r'<path d="M[^"]+z" fill="#111111"', drawn)
            assert len(heads) == len(passing) + len(straight), (part.id, row)
            assert f"{part.id}{', continued' if row else ''}" in drawn


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437"])
def test_an_output_that_can_not_hold_the_strokes_gets_plain_ones(encoding: str) -> None:
    command = [sys.executable, "-m", "advisor", "draw", "us-road"]
    env = {**os.environ, "PYTHONIOENCODING": encoding}
    done = subprocess.run(command, capture_output=True, env=env, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    said = done.stdout.decode(encoding)
    assert "REFER section x2" in said and "`-" in said
