"""Both drawings, in the terminal and as SVG, from one picture."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.domain.clock import read_clock
from advisor.domain.geometry.injury_channel import Lean, zones_at
from advisor.domain.geometry.liner_layout import circumference, place_on_liner
from advisor.drawings.outlines import clipped
from advisor.drawings.render_svg import svg
from advisor.drawings.render_terminal import drawn_lines, terminal_lines
from advisor.drawings.scene import Names, Picture, Stroke, length_words
from advisor.drawings.views.cross_section import channel_picture, section_picture
from advisor.drawings.views.how_to_measure import path_sketch, place_sketch, tread_picture
from advisor.drawings.views.liner import PlaceMark, gap_words, near_picture, unrolled_picture
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, between, exactly

MARGIN = (exactly(38, "mm"), exactly("3/2", "in"))
TREAD = exactly(220, "mm")
ONCE = circumference(exactly(958, "mm"), exactly(22, "mm"))


def mm(value: int | str | Fraction) -> Measure:
    return exactly(value, "mm")


def section(
    offset: Measure,
    angle: int = 30,
    lean: Lean | None = "toward-shoulder",
    names: Names = "mm",
    size: int | None = 6,
) -> Picture:
    walls = None if size is None else mm(size)
    return section_picture(TREAD, mm(22), offset, exactly(angle, "deg"), lean, MARGIN, names, walls)


def mark(name: str, clock: str, across: int, length: int = 90, width: int = 75, turn: int = 0) -> PlaceMark:
    place, offset = read_clock(clock), mm(across)
    patch = place_on_liner(place, offset, mm(length), mm(width), ONCE, exactly(turn, "deg"))
    kind = "injury" if name.isalpha() else "earlier repair"
    return PlaceMark(name, kind, place, offset, patch, zones_at(offset, TREAD, MARGIN))


def unrolled(*marks: PlaceMark, names: Names = "mm") -> Picture:
    return unrolled_picture(marks, ONCE, TREAD, MARGIN, names)


SEAM = unrolled(mark("A", "2:00", -35), mark("B", "11:50", 20), mark("1", "0:07", 25, 140, 60, 30))
PICTURES = [
    section(mm(-35)),
    section(mm(0), lean=None, size=None),
    section(between(60, 75, "mm"), 50),
    section(mm(130)),
    section(exactly("2.5", "in"), names="in"),
    SEAM,
    unrolled(mark("2", "7:00-7:30", 0)),
    unrolled_picture([PlaceMark("A", "injury", read_clock("3:00"), mm(10))], ONCE),
    unrolled(),
    near_picture(mark("A", "12:05", -35), mark("1", "11:57", 25, 140, 60, 30), ONCE, "near", TREAD, MARGIN),
    near_picture(mark("A", "2:00", 0), mark("B", "2:20", 0), ONCE, "apart"),
    channel_picture(mm(22), exactly(30, "deg"), "along-tread", "mm", mm(6)),
    channel_picture(mm(22), between(5, 60, "deg"), read_clock("1:30"), "in"),
    section(mm(40), lean=read_clock("1:30")),
    tread_picture(3),
    path_sketch(),
    place_sketch(),
]


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize("columns", [40, 60, 80])
@pytest.mark.parametrize("ascii_only", [False, True])
def test_terminal_keeps_to_its_width_and_says_the_same(picture: Picture, columns: int, ascii_only: bool) -> None:
    lines = terminal_lines(picture, columns, ascii_only)
    assert all(len(line) <= columns for line in lines)
    assert all(line == line.rstrip() for line in lines)
    if ascii_only:
        assert all(sign.isascii() for line in drawn_lines(picture, columns, True) for sign in line)
    assert " ".join(" ".join(lines).split()).endswith(picture.says)
    assert "\n" not in picture.says


@pytest.mark.parametrize("picture", PICTURES)
def test_svg_is_whole_black_and_white_and_fetches_nothing(picture: Picture) -> None:
    text = svg(picture, "one")
    root = ET.fromstring(text)
    space = "{http://www.w3.org/2000/svg}"
    assert (root.findtext(f"{space}title"), root.findtext(f"{space}desc")) == (picture.title, picture.says)
    assert root.get("aria-labelledby") == "one-title one-desc"
    tags = {element.tag.removeprefix(space) for element in root.iter()}
    assert all(text.strip() for text in root.itertext() if text != "\n")
    assert tags <= {"svg", "title", "desc", "rect", "line", "path", "text"}
    assert set(re.findall(r'(?:fill|stroke)="([a-z#0-9]+)"', text)) <= {"black", "white", "none"}
    assert not re.search(r"href|url\(|style=|http(?!://www\.w3\.org/2000/svg\")", text)
    _, _, wide, high = map(float, root.get("viewBox", "").split())
    for line in root.iter(f"{space}line"):
        assert -0.1 <= float(line.get("x1", "-9")) <= wide + 0.1
        assert -0.1 <= float(line.get("y2", "-9")) <= high + 0.1


def test_svg_escapes_what_it_is_given() -> None:
    nasty = PlaceMark('<b>&"', "injury", read_clock("3:00"), mm(10))
    picture = unrolled_picture([nasty], ONCE)
    assert ET.fromstring(svg(picture, 'a"b')) is not None
    assert "<b>" not in svg(picture)


def test_the_channel_stands_at_its_true_angle() -> None:
    lines = section(mm(-35), 30, size=None).lines
    channel = next(line for line in lines if line.style == "thick" and line.y1 != line.y2)
    assert math.degrees(math.atan2(channel.x1 - channel.x2, channel.y2 - channel.y1)) == pytest.approx(30)
    root = ET.fromstring(svg(section(mm(-35), 30, size=None)))
    thick = (line for line in root.iter("{http://www.w3.org/2000/svg}line") if line.get("stroke-width") == "3")
    drawn = next(line for line in thick if line.get("y1") != line.get("y2"))
    x1, x2, y1, y2 = (float(drawn.get(end, "0")) for end in ("x1", "x2", "y1", "y2"))
    assert math.degrees(math.atan2(x1 - x2, y2 - y1)) == pytest.approx(30, abs=0.2)


def test_section_says_both_ends() -> None:
    assert section(mm(55), 45).says == (
        "Cross-section, serial side on the right: tread 220 mm wide, casing 22 mm thick. "
        "Outer end 55 mm from the center line towards the serial side: crown. "
        "The channel slants 45° towards the shoulder; it is 31.1 mm long. "
        "Inner end 77 mm from the center line towards the serial side: shoulder."
    )
    assert "1 1/2 in" in length_words(mm("38.1"), "in")
    assert "laid flat" in section(mm(130)).says
    assert "crown or shoulder (open)" in section(mm(60), 45, None).says
    assert " in wide" in section(mm(0), names="in").says


def test_unrolled_says_place_and_distance() -> None:
    assert "B to 1: they overlap by" in SEAM.says
    assert "A: injury at 2:00, 35 mm from the center line away from the serial side, counts as crown" in SEAM.says
    assert "1: earlier repair at 12:07" in SEAM.says
    assert "turned 30°" in SEAM.says
    assert " in apart" in unrolled(mark("A", "2:00", 0), mark("B", "6:00", 0), names="in").says
    crowd = unrolled(*(mark(name, f"{hour}:00", 0) for hour, name in enumerate("ABCDEFGH", 1)))
    assert "20 more pairs" in crowd.says


def test_a_unit_across_the_valve_shows_at_both_ends() -> None:
    picture = unrolled(mark("A", "12:00", 0))
    solid = [line for line in picture.lines if line.style == "solid" and abs(line.y1) < 60 and abs(line.y2) < 60]
    assert min(line.x1 for line in solid) == 0
    assert max(max(line.x1, line.x2) for line in solid) == pytest.approx(picture.right)
    uprights = sorted(line.x1 for line in solid if line.x1 == line.x2)
    assert uprights == pytest.approx([45, picture.right - 45])


def test_clipping() -> None:
    assert clipped(Stroke(-10, 5, 20, 5), 0, 10, 0, 10) == Stroke(0, 5, 10, 5)
    assert clipped(Stroke(-10, -5, 20, -5), 0, 10, 0, 10) is None
    assert clipped(Stroke(-10, 20, -1, 11), 0, 10, 0, 10) is None


def test_no_casing_no_section() -> None:
    with pytest.raises(Misread):
        section_picture(TREAD, mm(0), mm(0), exactly(0, "deg"), None, MARGIN)


@settings(max_examples=60)
@given(
    st.integers(-140, 140),
    st.integers(0, 79),
    st.sampled_from(["toward-shoulder", "toward-centre", "along-tread", None]),
)
def test_mirroring_the_side_mirrors_the_drawing(offset: int, angle: int, lean: Lean | None) -> None:
    here, there = section(mm(offset), angle, lean, size=None), section(mm(-offset), angle, lean, size=None)

    def ends(picture: Picture, way: int) -> set[tuple[float, ...]]:
        lines = (line for line in picture.lines if line.x1 != picture.left or line.style != "thin")
        corners = ((way * line.x1, line.y1, way * line.x2, line.y2) for line in lines)
        rows = (tuple(round(corner, 6) for corner in each) for each in corners)
        return {min(row, (*row[2:], *row[:2])) for row in rows}

    assert ends(here, 1) == ends(there, -1)
    swapped = (
        here.says.replace("towards the serial", "TO")
        .replace("away from", "towards")
        .replace("TO", "away from the serial")
    )
    assert swapped == there.says
    assert terminal_lines(here)


@pytest.mark.parametrize(
    ("gap", "words"),
    [
        (mm("0.04"), "less than 0.1 mm apart"),
        (mm("-0.04"), "they overlap by less than 0.1 mm"),
        (mm("0.1"), "0.1 mm apart"),
        (mm(0), "their edges touch"),
        (between(-3, 0, "mm"), "they may overlap or touch (open): from -3 to 0 mm"),
    ],
)
def test_a_gap_too_small_to_show_is_not_said_to_be_none(gap: Measure, words: str) -> None:
    assert gap_words(gap, "mm") == words
    assert gap_words(mm("0.2"), "in") == "less than 0.01 in apart"
