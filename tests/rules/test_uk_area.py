"""The British band and cut rule: the printed table, both sides of each edge, and what happens without the width."""

from __future__ import annotations

import copy
from datetime import date
from functools import lru_cache
from typing import Any

import pytest

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.loading.case_file import read_case, split_cases
from advisor.loading.rule_set import find_rule_set, load_rule_set
from advisor.model.rules import Verdict
from advisor.plain.json_answer import answer_of

CASE: dict[str, Any] = {
    "answers": {
        "vehicle": "car",
        "wheel-position": "drive",
        "sidewall": "205/55R16 91V",
        "load-range": "SL",
        "construction": "radial",
        "tube": "tubeless",
        "retread": "no",
        "found-pressure": "33 psi",
        "set-pressure": "33 psi",
        "run-low": "no",
        "demounted": "yes",
        "findings": ["none"],
        "tread-depth": "5 mm",
        "self-supporting": "no",
        "sealant": "no",
        "earlier-repairs": [],
    },
    "injuries": [
        {
            "injury-depth": "through",
            "injury-zone": "crown",
            "injury-size": "6 mm",
            "injury-angle": "0 deg",
            "inside-signs": ["none"],
        }
    ],
}
#: Nominal width and the band as printed, to whole millimetres, by the association's summary of BS AU 159.
PRINTED = ((125, 75), (135, 81), (145, 87), (155, 93), (165, 107), (175, 114), (185, 120), (195, 127))


@lru_cache(maxsize=1)
def judge() -> Judge:
    return Judge(load_rule_set(find_rule_set("uk-road")))


def judged(answers: dict[str, Any] | None = None, **injury: str | None) -> Judgement:
    import json

    case = copy.deepcopy(CASE)
    case["answers"] = {key: value for key, value in {**case["answers"], **(answers or {})}.items() if value is not None}
    given = {**case["injuries"][0], **{key.replace("_", "-"): value for key, value in injury.items()}}
    case["injuries"] = [{key: value for key, value in given.items() if value is not None}]
    (text,) = split_cases(json.dumps(case), "case.json")
    return judge().judge(read_case(text, judge().rules, date(2026, 3, 14)))


@pytest.mark.parametrize(("width", "printed"), PRINTED)
def test_the_band_is_the_printed_one_before_rounding(width: int, printed: int) -> None:
    sidewall = f"{width}/70R14 81T"
    answer = answer_of(judged({"sidewall": sidewall}), judge())["worked_out"]["repair-area"]
    assert abs(answer["value"] - printed) <= 0.5 and answer["unit"] == "mm"


@pytest.mark.parametrize(("width", "band"), [(155, 93.0), (165, 107.25), (195, 126.75), (205, 143.5), (225, 157.5)])
@pytest.mark.parametrize("side", [1, -1])
def test_the_edge_of_the_band_counts_the_injury_too(width: int, band: float, side: int) -> None:
    sidewall, edge = {"sidewall": f"{width}/60R16 88H"}, band / 2 - 3
    assert judged(sidewall, offset=f"{side * edge} mm").verdict is Verdict.REPAIR
    outside = judged(sidewall, offset=f"{side * (edge + 0.001):.4f} mm")
    assert (outside.verdict, outside.ending) == (Verdict.REFER, "refer-major")


def test_the_tread_width_decides_nothing() -> None:
    assert judged(offset="60 mm", tread_width="100 mm").verdict is Verdict.REPAIR


def test_doubt_about_the_offset_counts_as_outside() -> None:
    assert judged(offset="60-75 mm").ending == "refer-major"
    assert judged(offset="cant-tell").ending == "refer-major"


def test_without_the_width_what_was_said_counts() -> None:
    bare = {"sidewall": None, "tire-class": "passenger"}
    assert judged(bare, offset="90 mm").verdict is Verdict.REPAIR
    assert judged(bare, injury_zone="shoulder").ending == "refer-major"
    assert judged(bare, injury_zone=None).verdict is Verdict.HOLD


def test_the_injury_itself_may_measure_six() -> None:
    assert judged(injury_size="6 mm").verdict is Verdict.REPAIR
    assert judged(injury_size="6.1 mm").ending == "refer-major"


@pytest.mark.parametrize(
    ("sidewall", "length", "ending"),
    [
        ("205/55R16 91V", "25 mm", "refer-major"),
        ("205/55R16 91V", "25.1 mm", "scrap-cut"),
        ("265/65R17 112H", "26.5 mm", "refer-major"),
        ("265/65R17 112H", "26.6 mm", "scrap-cut"),
        (None, "25 mm", "refer-major"),
        (None, "26 mm", "refer-major"),
        ("cant-tell", "26 mm", "hold-measure-again"),
    ],
)
def test_a_cut_to_cord(sidewall: str | None, length: str, ending: str) -> None:
    answers = {"sidewall": sidewall, "tire-class": "passenger"}
    found = judged(answers, injury_depth="reaches-cord", injury_size="2 mm", injury_length=length, injury_angle=None)
    assert ending in {reason.ending for reason in found.reasons}


@pytest.mark.parametrize(
    ("depth", "verdict"), [("1.6 mm", Verdict.REPAIR), ("1.59 mm", Verdict.SCRAP), ("2/32 in", Verdict.SCRAP)]
)
def test_tread_of_a_car(depth: str, verdict: Verdict) -> None:
    assert judged({"tread-depth": depth}).verdict is verdict


HEAVY = {"vehicle": "truck", "sidewall": "295/80R22.5 152/148M", "wheel-position": "steer"}


@pytest.mark.parametrize(
    ("changes", "restrictions"),
    [
        ({"dot-code": "1015"}, ("not-steer-axle",)),
        ({"dot-code": "2019"}, ()),
        ({"dot-code": "1015", "wheel-position": "drive"}, ()),
        ({"dot-code": "1015", "vehicle": "bus"}, ("not-steer-axle", "not-minibus-single")),
        ({"dot-code": "cant-tell"}, ("not-steer-axle",)),
    ],
)
def test_ten_years_on_a_front_axle(changes: dict[str, str], restrictions: tuple[str, ...]) -> None:
    found = judged({**HEAVY, **changes})
    assert (found.verdict, found.restrictions) == (Verdict.REFER, restrictions)


def test_a_lorry_tyre_is_referred_and_worn_below_one_it_is_no_repair() -> None:
    assert judged(HEAVY).ending == "refer-heavy"
    found = judged({**HEAVY, "tread-depth": "0.9 mm"})
    assert "scrap-tread-heavy" in {reason.ending for reason in found.reasons}
