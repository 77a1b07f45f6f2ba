"""Any case that can be read is drawn: whole lines, whole SVG, no figure gone wild."""

from __future__ import annotations

import json
import random
import xml.etree.ElementTree as ET
from datetime import date
from typing import Any

import pytest

from advisor.drawings.render_svg import sheet
from advisor.drawings.selection import distance_lines, left_out_lines, pictures_for, terminal_lines, too_close_lines
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.problems import Problems

JUDGE = Judge(load_rule_set(find_rule_set("us-road")))
DEPTHS = ("through", "through", "through", "reaches-cord", "rubber-only", "cant-tell")
SIZES = ("275/70R22.5 148/145M", "P175/65R14", "11R22.5", "445/50R22.5", "12.00R24")


class Chance:
    """Measures in doubt and not, over the whole plausible range."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(seed)

    def measure(self, low: float, high: float, unit: str) -> str:
        start = round(self.draw.uniform(low, high), 1)
        if self.draw.random() < 0.25:
            return f"{start} to {round(min(high, start + self.draw.uniform(0, (high - low) / 5)), 1)} {unit}"
        return f"{'about ' if self.draw.random() < 0.1 else ''}{start} {unit}"

    def clock(self) -> str:
        start = self.draw.randrange(720)
        ends = [start] if self.draw.random() < 0.8 else [start, (start + self.draw.randrange(200)) % 720]
        return "-".join(f"{end // 60 or 12}:{end % 60:02d}" for end in ends)

    def injury(self) -> dict[str, str]:
        leans = ("toward-shoulder", "toward-centre", "along-tread", "cant-tell", self.clock())
        measures = {
            "clock": self.clock(), "offset": self.measure(-330, 330, "mm"), "lean": self.draw.choice(leans),
            "tread-width": self.measure(60, 650, "mm"), "injury-size": self.measure(0.2, 200, "mm"),
            "injury-angle": self.measure(0, 70, "deg"), "casing-thickness": self.measure(3, 100, "mm"),
            "unit-turn": self.measure(-180, 180, "deg"),
        }  # fmt: skip
        known = {name: value for name, value in measures.items() if self.draw.random() < 0.9}
        return {"injury-depth": self.draw.choice(DEPTHS), **known}

    def repair(self) -> dict[str, str]:
        return {
            "sound": self.draw.choice(("yes", "no")), "clock": self.clock(), "offset": self.measure(-150, 150, "mm"),
            "unit-length": self.measure(6, 900, "mm"), "unit-width": self.measure(6, 400, "mm"),
        }  # fmt: skip

    def case(self) -> dict[str, Any]:
        answers: dict[str, Any] = {"vehicle": "truck", "sidewall": self.draw.choice(SIZES)}
        answers["earlier-repairs"] = [self.repair() for _ in range(self.draw.randint(0, 4))]
        if self.draw.random() < 0.8:
            answers |= {"unit-length": self.measure(6, 900, "mm"), "unit-width": self.measure(6, 400, "mm")}
        return {"answers": answers, "injuries": [self.injury() for _ in range(self.draw.randint(1, 4))]}


@pytest.mark.parametrize("seed", range(60))
def test_any_case_is_drawn_whole(seed: int) -> None:
    (text,) = split_cases(json.dumps(Chance(seed).case()), "case")
    try:
        judgement = JUDGE.judge(read_case(text, JUDGE.rules, date(2026, 3, 14)))
    except Problems as refused:
        assert all(problem.expected for problem in refused.problems)
        return
    for unit in ("mm", "in"):
        pictures = pictures_for(judgement, JUDGE, unit)  # type: ignore[arg-type]
        for picture in pictures:
            for columns, ascii_only in ((40, False), (51, True), (80, False), (118, True)):
                lines = terminal_lines(picture, columns, ascii_only)
                assert all(len(line) <= columns for line in lines), picture.title
        drawn = sheet(pictures)
        ET.fromstring(drawn)
        assert "nan" not in drawn and '"inf' not in drawn
        assert all(isinstance(line, str) for line in distance_lines(judgement, JUDGE, unit))  # type: ignore[arg-type]
    assert len(too_close_lines(judgement, JUDGE)) <= 8
    assert isinstance(left_out_lines(judgement, JUDGE), tuple)


def test_most_of_the_cases_can_be_read() -> None:
    read = 0
    for seed in range(60):
        (text,) = split_cases(json.dumps(Chance(seed).case()), "case")
        try:
            read_case(text, JUDGE.rules, date(2026, 3, 14))
            read += 1
        except Problems:
            continue
    assert read > 20
