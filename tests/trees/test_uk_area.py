"""The British band and cut rule: the printed table, both sides of each edge, and what happens without the width."""

from __future__ import annotations

import copy
import csv
import json
import re
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

from advisor.cli import main
from advisor.drawings.selection import picture_asked, pictures_for, places_together
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.quantity import Measure
from advisor.model.ruleset import Verdict

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
TABLE = Path(__file__).parent.parent / "tables" / "bs_au_159_minor_area.csv"


def rows() -> list[dict[str, str]]:
    """Bands by nominal width, from the association's summary of BS AU 159; every row names source and standing."""
    with TABLE.open(newline="", encoding="utf-8") as file:
        found = list(csv.DictReader(file))
    assert len(found) == 29 and all(row["source"] and row["standing"] for row in found)
    return found


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


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["nominal_section_width_mm"])
@pytest.mark.parametrize("side", [1, -1])
def test_both_sides_of_the_band_s_edge_and_of_the_largest_injury(row: dict[str, str], side: int) -> None:
    """The injury's centre and half of it have to lie within half the band (derived from the summary's table)."""
    tyre = {"sidewall": f"{row['nominal_section_width_mm']}/60R16 88H", "tire-class": "passenger"}
    largest = Fraction(row["max_injury_after_preparation_mm"])
    edge = Fraction(row["computed_T_mm"]) / 2 - largest / 2
    at = judged(tyre, offset=f"{float(side * edge)} mm", injury_size=f"{largest} mm")
    assert (at.verdict, at.method) == (Verdict.REPAIR, "one-piece")
    outside = judged(tyre, offset=f"{float(side * edge) + side * 0.01:.3f} mm", injury_size=f"{largest} mm")
    assert (outside.verdict, outside.ending) == (Verdict.REFER, "refer-major")
    smaller = judged(tyre, offset=f"{float(side * edge) + side * 0.01:.3f} mm", injury_size=f"{largest - 1} mm")
    assert smaller.verdict is Verdict.REPAIR, "a smaller injury reaches less far out"
    larger = judged(tyre, offset="0 mm", injury_size=f"{float(largest) + 0.01} mm")
    assert (larger.verdict, larger.ending) == (Verdict.REFER, "refer-major")


def test_each_share_counts_up_to_and_with_its_width() -> None:
    """The width at which a share ends still takes it, the next one above takes the next (same summary)."""
    limits = judge().rules.limits
    narrow, middle = (limits[f"area-{name}-to"].figures[0].low for name in ("narrow", "middle"))
    for width, share in ((narrow, "narrow"), (narrow + 10, "middle"), (middle, "middle"), (middle + 5, "wide")):
        found = judged({"sidewall": f"{width}/60R16 88H"}).values["repair-area"]
        assert isinstance(found, Measure)
        assert found.low == width * limits[f"area-share-{share}"].figures[0].low / 100


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


@pytest.mark.parametrize(
    ("sidewall", "length", "ending"),
    [
        (None, "26 mm", "refer-major"),
        ("cant-tell", "26 mm", "hold-measure-again"),
    ],
)
def test_a_cut_to_cord_without_the_width(sidewall: str | None, length: str, ending: str) -> None:
    answers = {"sidewall": sidewall, "tire-class": "passenger"}
    found = judged(answers, injury_depth="reaches-cord", injury_size="2 mm", injury_length=length, injury_angle=None)
    assert ending in {reason.ending for reason in found.reasons}


HEAVY = {
    "vehicle": "truck",
    "sidewall": "295/80R22.5 152/148M",
    "wheel-position": "steer",
    "found-pressure": "120 psi",
    "set-pressure": "120 psi",
}


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


def said_in(value: Any, key: str = "") -> Iterator[str]:
    """Every text of some content but words to be understood, titles of sources, names and what spells them."""
    if isinstance(value, dict):
        for name, each in value.items():
            if name not in ("also", "said", "stands-for", "phrases.yaml", "sources.yaml", "spelled", "figures-said"):
                yield from said_in(each, name)
    elif isinstance(value, list):
        for each in value:
            yield from said_in(each, key)
    elif " " in value:
        yield value


def test_a_tyre_is_a_tyre_there_in_everything_that_is_said() -> None:
    """Ids keep their spelling, and what is heard may be typed either way; no text that a user reads does."""
    texts = list(said_in(load_rule_set(find_rule_set("uk-road")).content))
    assert any("tyre" in text for text in texts)
    for text in texts:
        assert not re.search(r"\b(tires?|centers?|fibers?)\b", re.sub(r"\{[a-z-]*\}", "", text), re.IGNORECASE), text


@pytest.mark.parametrize("rules_id", ["uk-road", "de-road", "us-road"])
def test_a_drawing_spells_as_its_rules_do(rules_id: str) -> None:
    drawn = Judge(load_rule_set(find_rule_set(rules_id)))
    said = """
answers: {sidewall: 205/55R16 91V, vehicle: car}
injuries: [{clock: "2:00", offset: -35 mm, tread-width: 165 mm, casing-thickness: 12 mm, injury-angle: 20 deg,
            lean: toward-centre, injury-size: 4 mm, injury-depth: through}]
"""
    (text,) = split_cases(said, "case.yaml")
    judgement = drawn.judge(read_case(text, drawn.rules, date(2026, 11, 25)))
    sketch = picture_asked("offset", drawn)
    assert sketch is not None
    words = str([*pictures_for(judgement, drawn), *places_together(judgement, drawn), sketch])
    own, other = ("centre", "center") if rules_id != "us-road" else ("center", "centre")
    assert f"{own} line" in words and other not in words
    tire, not_tire = ("tyre", "tire") if rules_id != "us-road" else ("tire", "tyre")
    assert f"The {tire} cut across" in words and not_tire not in words.replace("entire", "")


@pytest.mark.parametrize(
    ("rules_id", "own", "other"),
    [("uk-road", "tyre", "tire"), ("de-road", "tyre", "tire"), ("us-road", "tire", "tyre")],
)
def test_a_card_a_report_and_an_answer_spell_as_their_rules_do(
    rules_id: str, own: str, other: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "case.yaml"
    case = copy.deepcopy(CASE)
    case["injuries"][0]["injury-size"] = "9 mm"
    file.write_text(json.dumps(case), encoding="utf-8")
    rules = ["--rules", rules_id]
    asked = (["ask", str(file), question, *rules] for question in ("why not repair?", "how sure?", "least change"))
    for words in (["decide", str(file), *rules], ["report", str(file), *rules], *asked):
        assert main(words) == 0
        said = capsys.readouterr().out
        assert re.search(rf"\b{own}s?\b", said, re.IGNORECASE), words
        assert not re.search(rf"\b{other}s?\b", said, re.IGNORECASE), words


def test_every_figure_says_whose_it_is_and_second_hand_where_it_is() -> None:
    for limit in judge().rules.limits.values():
        only_questioned = limit.id.startswith(("tread-new-", "set-"))  # asks for a reading again, and decides nothing
        assert limit.basis.sources and (limit.basis.standing != "from memory" or only_questioned)
        for source in limit.basis.sources:
            if judge().rules.sources[source].read != "first hand":
                assert limit.basis.standing != "published", limit.id


def test_what_is_not_asked_there_and_what_is_a_ruling_of_its_own() -> None:
    rules = judge().rules
    asked = {node.asks for node in rules.nodes.values()}
    assert "tread-width" not in asked and "load-range" not in asked
    assert {ruling.id for ruling in rules.rulings()} >= {"too-old-for-front", "vehicle-heavy", "cut-too-long"}


@pytest.mark.parametrize(
    ("changes", "findings", "ending"),
    [
        ({}, ["exposed-cord"], "scrap-damage"),
        ({}, ["bulge"], "scrap-damage"),
        ({}, ["separation"], "scrap-damage"),
        ({"retread": "regrooved"}, ["none"], "scrap-recut"),
        ({"retread": "regrooved", "vehicle": "van-or-pickup"}, ["none"], "refer-recut"),
        ({"vehicle": "truck"}, ["none"], "refer-heavy"),
        ({"vehicle": "bus"}, ["none"], "refer-heavy"),
        ({"vehicle": "trailer"}, ["none"], "refer-heavy"),
        ({"tube": "cant-tell"}, ["none"], "hold-cant-tell"),
    ],
)
def test_what_the_reports_of_the_law_bar(changes: dict[str, str], findings: list[str], ending: str) -> None:
    """Cord exposed, lumps and separation, recut tyres (Construction and Use Regulations and the test manual, as
    reported: second-hand); heavy vehicles, for which no published repair figure was found."""
    assert ending in {reason.ending for reason in judged({**changes, "findings": findings}).reasons}


def test_surface_rubber_may_be_mended_anywhere_outside_any_number_of_times() -> None:
    """The association's summary: no limit of place or number without ply damage (second-hand)."""
    for zone in ("crown", "shoulder", "sidewall"):
        found = judged(injury_depth="rubber-only", injury_zone=zone, injury_angle=None)
        assert (found.verdict, found.method) == (Verdict.REPAIR, "spot-repair"), zone


@pytest.mark.parametrize("zone", ["sidewall", "bead"])
def test_a_hole_in_the_side_is_not_approved(zone: str) -> None:
    assert judged(injury_zone=zone).ending == "scrap-place"


@pytest.mark.parametrize(
    "referred",
    [
        {"vehicle": "truck", "tire-class": "medium-truck", "sidewall": None}
        | {"found-pressure": "7 bar", "set-pressure": "7 bar"},
        {"vehicle": "trailer"},
        {"vehicle": "motorcycle"},
        {"sidewall": None, "tire-class": "other"},
        {"construction": "bias", "sidewall": None, "tire-class": "passenger"},
        {"retread": "regrooved", "vehicle": "van-or-pickup"},
        {"self-supporting": "yes"},
    ],
    ids=str,
)
def test_what_is_referred_in_any_case_is_not_asked_where_units_would_sit(referred: dict[str, Any]) -> None:
    """Only what may still make it scrap is asked; the car's own question of the same is, and not told it holds."""
    sound: dict[str, Any] = {"earlier-repairs": [{"sound": "yes", "clock": "cant-tell"}]}
    of_units = {"repair-clock", "repair-offset", "repair-unit-length", "clock", "unit-length", "unit-width"}
    found = judged({**referred, **sound})
    assert found.verdict is Verdict.REFER
    assert not of_units & {name for name, _ in found.walk.to_ask}
    assert {"findings", "inside-signs"} <= {
        name for name, _ in judged({**referred, **sound, "findings": None}, inside_signs=None).walk.to_ask
    }
    assert judged({**referred, **sound, "findings": ["bulge"]}).verdict is Verdict.SCRAP
    car = judged(sound)
    assert car.verdict is Verdict.HOLD
    assert {"repair-offset", "unit-length"} <= {name for name, _ in car.walk.to_ask}
