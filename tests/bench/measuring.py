"""How fast the measuring is, each time as a ratio to a stated baseline taken on the same machine in the same run.

Run as a script: python tests/bench/measuring.py. It prints a line a measurement and ends with 1 where an aim is
missed. Aims: a sidewall under 50 µs, the layout of 30 repairs under 5 ms, a terminal drawing under 20 ms.
"""

from __future__ import annotations

import re
import sys
import time
from collections.abc import Callable
from fractions import Fraction
from functools import partial
from itertools import combinations

import shapely
from ratio import noted
from shapely.affinity import rotate, translate

from advisor.domain.geometry.liner_layout import circumference, nearest, place_on_liner
from advisor.domain.sidewall.parser import read_sidewall
from advisor.drawings.render_terminal import terminal_lines
from advisor.drawings.views.cross_section import section_picture
from advisor.drawings.views.liner import PlaceMark, unrolled_picture
from advisor.model.quantity import exactly

PRINTS = (
    "275/70R22.5 148/145M LOAD RANGE H TUBELESS",
    "P215/65R16 96H",
    "LT245/75R16 E 120/116S M+S",
    "11R22.5 14PR 144/142L REGROOVABLE",
    "31x10.50R15LT LRC",
)
ROUNDS = 60
ROUND = circumference(exactly(958, "mm"), exactly(22, "mm"))
PLACES = [(Fraction(i * 47 % 720, 2), i * 7 % 80 - 40) for i in range(30)]
MARGIN = (exactly(38, "mm"), exactly("3/2", "in"))
TREAD = exactly(220, "mm")


def best(work: Callable[[], object], base: Callable[[], object]) -> tuple[float, float]:
    """The shortest times of a call of each, in seconds: short rounds by turns, so that other load falls on both."""
    times = [_calls(work), _calls(base)]
    least = [float("inf"), float("inf")]
    for _ in range(ROUNDS):
        for place, call in enumerate((work, base)):
            start = time.perf_counter()
            for _ in range(times[place]):
                call()
            least[place] = min(least[place], (time.perf_counter() - start) / times[place])
    return least[0], least[1]


def _calls(work: Callable[[], object]) -> int:
    """How many calls fill a round: about two milliseconds, so that a round is seldom broken into."""
    work()
    start = time.perf_counter()
    work()
    return max(1, min(200, round(0.002 / (time.perf_counter() - start))))


def sidewall() -> None:
    """Five prints, read."""
    for text in PRINTS:
        read_sidewall(text)


_TOKEN = re.compile(r"^(?:(P|LT)?(\d{3})/(\d{2})R(\d{2}(?:\.5)?)|(\d{2,3})(?:/(\d{2,3}))?([A-Z])|[A-Z]+|\d+PR)$")


def bare_split() -> None:
    """The baseline for a sidewall: the words split and each held against one pattern, nothing understood."""
    for text in PRINTS:
        for word in text.upper().split():
            _TOKEN.match(word)


def layout(turn: int = 0) -> None:
    """Thirty new units placed on the liner, each turned a little further, and all 435 distances."""
    units = [
        place_on_liner(
            *(exactly(at, "deg"), exactly(across, "mm"), exactly(90, "mm"), exactly(75, "mm"), ROUND),
            turn=exactly(turn * number % 180, "deg"),
        )
        for number, (at, across) in enumerate(PLACES)
    ]
    nearest(units, [], ROUND)


def by_shapely(turn: int = 0) -> None:
    """The baseline for the layout: the same by a general geometry library, with the strip's two further pictures."""
    once = float(ROUND.low)
    boxes = [
        translate(rotate(shapely.box(-45, -37.5, 45, 37.5), turn * number % 180), float(at) / 360 * once, across)
        for number, (at, across) in enumerate(PLACES)
    ]
    images = [[translate(box, turn * once, 0) for turn in (-1, 0, 1)] for box in boxes]
    for first, second in combinations(range(len(boxes)), 2):
        min(boxes[first].distance(image) for image in images[second])


def drawings() -> None:
    """A cross-section and an unrolled tread with five marks, worked out and drawn for the terminal."""
    section = section_picture(
        TREAD, exactly(22, "mm"), exactly(-35, "mm"), exactly(30, "deg"), "toward-shoulder", MARGIN
    )
    marks = [_mark(number, at, across) for number, (at, across) in enumerate(PLACES[:5], 1)]
    for picture in (section, unrolled_picture(marks, ROUND, TREAD, MARGIN)):
        terminal_lines(picture)


def _mark(number: int, at: Fraction, across: int) -> PlaceMark:
    clock, offset = exactly(at, "deg"), exactly(across, "mm")
    patch = place_on_liner(clock, offset, exactly(90, "mm"), exactly(75, "mm"), ROUND)
    return PlaceMark(f"{number}", "injury", clock, offset, patch)


def empty_sheets() -> None:
    """The baseline for the drawings: two sheets of 80 by 24 characters filled one by one and joined to lines."""
    for _ in range(2):
        sheet = [[chr(0x2800 + (column * row) % 255) for column in range(80)] for row in range(24)]
        "\n".join("".join(row) for row in sheet)


def main() -> int:
    """Measures, prints, and tells whether every aim was met."""
    rows = (
        ("a sidewall read", sidewall, bare_split, len(PRINTS), 50e-6, "split and one pattern a word"),
        ("30 repairs laid out", layout, by_shapely, 1, 5e-3, "the same distances by shapely"),
        ("30 turned repairs laid out", partial(layout, 17), partial(by_shapely, 17), 1, 5e-3, "the same by shapely"),
        ("a terminal drawing", drawings, empty_sheets, 2, 20e-3, "a sheet of characters filled and joined"),
    )
    met = True
    for name, work, baseline, each, aim, words in rows:
        spent, base = (found / each for found in best(work, baseline))
        met = met and spent < aim
        noted(name, spent / base, f"x {words}")
        print(
            f"{name}: {spent * 1e6:.0f} µs, aim {aim * 1e6:.0f} µs {'met' if spent < aim else 'MISSED'}; "
            f"{spent / base:.2f} times {words} ({base * 1e6:.0f} µs)"
        )
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main())
