"""A wet liner holds the cement; two tires of a pair that were measured; what the print says of pressure; coats."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.dialogue.talk_commands import say
from advisor.domain.sidewall.parser import printed_pressures
from advisor.engine.derived.spacing import dual_diameter, dual_girth
from advisor.model.quantity import Measure, exactly
from tests.work.test_work import at_work, said, to_step
from tests.work.work_support import case_text, judge_of, judged, step_says


def decide(words: list[str]) -> int:
    return main(["decide", *words])


#: 20 °C and 65 % have their dew point at 13.22 °C (psychrolib within 0.05 K, see test_work_figures).
AIR = {"shop-temperature": "20 C", "humidity": "65 %"}
BONDING = {"cement-channel", "cement-liner", "cement-stem", "dry", "pull-stem", "seal-over-buff"}
PRINT = (
    "275/70R22.5 148/145M LOAD RANGE H MAX LOAD SINGLE 3150 KG AT 900 KPA (130 PSI) COLD MAX LOAD DUAL 2900 KG TUBELESS"
)


def held(tire: dict[str, str]) -> set[str]:
    judgement = judged({**AIR, **tire})
    assert str(judgement.verdict) == "repair", "a wet liner holds steps, it is no verdict"
    return {planned.step.id for planned in judge_of().methods.plan(judgement) if planned.held}


@pytest.mark.parametrize(
    ("liner", "holds", "caution"),
    [
        ("13.2 C", True, "liner-wet"),
        ("13.3 C", False, "liner-cold"),
        ("16.1 C", False, "liner-cold"),
        ("16.3 C", False, ""),
        ("12-16 C", True, "liner-wet"),
        ("cant-tell", False, ""),
    ],
)
def test_bonding_waits_while_the_liner_is_at_or_below_the_dew_point(liner: str, holds: bool, caution: str) -> None:
    assert held({"liner-temperature": liner}) == (BONDING if holds else set())
    cautions = judged({**AIR, "liner-temperature": liner}).cautions
    assert not caution or caution in cautions
    assert ("liner-wet" in cautions) is holds


def test_no_reading_no_hold_and_the_two_piece_repair_too() -> None:
    assert held({}) == set()
    two = judged({**AIR, "liner-temperature": "5 C"}, {"injury-angle": "30 deg"})
    ids = {planned.step.id for planned in judge_of().methods.plan(two) if planned.held}
    assert ids == BONDING | {"place-patch"}
    spot = judged({**AIR, "liner-temperature": "5 C"}, {"injury-depth": "rubber-only"})
    assert {p.step.id for p in judge_of().methods.plan(spot) if p.held} == {"cement-cavity", "fill"}


def test_a_held_step_is_not_ticked_until_the_liner_is_warm() -> None:
    consultation = at_work(AIR)
    to_step(consultation, "cement-channel")
    assert "Caution: Stop before you cement" in said(say(consultation, "found liner temperature 4 C"))
    ticks = consultation.work.ticks
    assert "Not ticked: cement the channel. HOLD: Stop before you cement." in said(say(consultation, "tick"))
    assert consultation.work.ticks == ticks
    say(consultation, "found liner temperature 18 C")
    assert "Done" in said(say(consultation, "tick"))


def test_hold_and_cautions_in_the_json_steps(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case = tmp_path / "case.yaml"
    case.write_text(case_text({**AIR, "liner-temperature": "5 C"}))
    assert decide([str(case), "--json"]) == 0
    steps = {step["id"]: step for step in json.loads(capsys.readouterr().out)["steps"]}
    assert steps["dry"]["held"] == ["liner-wet"] and steps["buff"]["held"] == []
    assert {"id", "says"} == set(steps["buff"]["cautions"][0])
    drill = steps["drill-inside-truck"]["figures"]["drill-speed"]
    assert (drill["value"], drill["standing"], drill["source"]) == (1200, "common practice", ["shop-columns"])


@pytest.mark.parametrize(
    ("measured", "match"),
    [
        # TM 9-2610-200-14, table 2-1, page 2-8; the cases are B58 to B60 of that table's edges
        ({"own-diameter": "41 in", "pair-diameter": "40.5 in"}, True),
        ({"own-diameter": "40 in", "pair-diameter": "39.5 in"}, False),
        ({"own-diameter": "39.5 in", "pair-diameter": "40 in"}, False),
        ({"own-diameter": "52 in", "pair-diameter": "51.3 in"}, False),
        ({"own-diameter": "40 in", "pair-diameter": "39 5/8 in"}, True),
        ({"own-girth": "120 in", "pair-girth": "118 7/8 in"}, True),
        ({"own-girth": "120 in", "pair-girth": "118 3/4 in"}, False),
        ({"own-diameter": "38 in", "pair-diameter": "37.5-38 in"}, False),
    ],
)
def test_two_tires_that_were_measured(measured: dict[str, str], match: bool) -> None:
    judgement = judged(measured)
    assert str(judgement.verdict) == "repair"
    assert ("not-dual-pair" in judgement.restrictions) is not match


def test_a_pair_that_was_not_measured_restricts_nothing() -> None:
    assert "not-dual-pair" not in judged().restrictions
    assert "not-dual-pair" not in judged({"own-diameter": "41 in"}).restrictions
    assert "not-dual-pair" in judged({"own-diameter": "41 in", "pair-diameter": "cant-tell"}).restrictions


@pytest.mark.parametrize(
    ("inches", "across", "round_"),
    [
        ("29.99", "1/4", "3/4"),
        ("30", "3/8", "9/8"),
        ("40", "3/8", "9/8"),
        ("40.01", "1/2", "3/2"),
        ("50", "1/2", "3/2"),
        ("50.01", "1/2", "3/2"),
    ],
)
def test_the_rule_sets_own_rows_at_their_edges(inches: str, across: str, round_: str) -> None:
    """Above 50 in the table's 3/4 in and 1 3/4 in don't fit each other: TB 750-251 and COMAR 11.14.05.05 (g) count."""

    class Fake:
        rules = judge_of().rules

        def measure(self, name: str) -> Measure:
            return exactly(inches, "in")

        def get(self, name: str) -> object:
            return judged().walk.tire.get(name)

    limits = judge_of().rules.limits
    figures = {argument: limits[name] for argument, name in judge_of().rules.values["dual-diameter"].figures.items()}
    assert dual_diameter(Fake(), figures) == exactly(across, "in")  # type: ignore[arg-type]
    assert dual_girth(Fake(), figures) == exactly(round_, "in")  # type: ignore[arg-type]


def test_steps_of_a_pair_only_where_there_may_be_one() -> None:
    car = {"vehicle": "car", "sidewall": "205/55R16 91V TUBELESS", "found-pressure": "32 psi", "set-pressure": "33 psi"}
    for tire, pair in (({}, True), ({"wheel-position": "steer"}, False), (car, False)):
        ids = {planned.step.id for planned in judge_of().methods.plan(judged(tire))}
        assert ({"gauge-pair", "match-pair"} <= ids) is pair
        assert bool({"gauge-pair", "match-pair"} & ids) is pair


def test_pressures_in_print() -> None:
    found = printed_pressures("SINGLE 3150 KG AT 900 KPA (130 PSI) DUAL 2900 KG AT 850 KPA (123 PSI)")
    assert found.least(False, "psi") == exactly(130, "psi") and found.least(True, "psi") == exactly(123, "psi")
    assert found.least(True, "kPa") == exactly(850, "kPa")
    assert printed_pressures("MAX PRESS 51 PSI").least(False, "psi") == exactly(51, "psi")
    for nothing in ("", "275/70R22.5 148/145M", "0 PSI", "PSI 120", "12345 PSIX"):
        assert printed_pressures(nothing).least(True, "psi") is None


@pytest.mark.parametrize(("asked", "above"), [("123 psi", False), ("130 psi", False), ("131 psi", True)])
def test_never_above_the_sidewalls_figure(asked: str, above: bool) -> None:
    judgement = judged({"sidewall": f"'{PRINT}'", "set-pressure": asked, "found-pressure": "120 psi"})
    assert ("set-above-sidewall" in judgement.cautions) is above
    assert "this sidewall, at this wheel position: 130 psi" in step_says(judgement, "inflate")
    assert "not told by the print as given" in step_says(judged(), "inflate")


def test_coats_by_thickness_are_a_shops_to_say() -> None:
    thick = {"casing-thickness": "22 mm"}
    assert "3 to 5 times by the thickness of the casing, which was not measured" in step_says(
        judged(), "cement-channel"
    )
    assert "how many for that the repair material's instructions say" in step_says(judged({}, thick), "cement-channel")
    for millimetres, coats in (("12", 3), ("12.1", 4), ("19.9", 4), ("20", 5), ("11-13", 4)):
        shop = judged({}, {"casing-thickness": f"{millimetres} mm"}, rules="demo-shop")
        assert f"from inside, {coats} times" in step_says(shop, "cement-channel", "demo-shop")


def test_edge_speed_of_the_tool_in_hand() -> None:
    """pi x 0.065 m x 5000 x 60 / 1000 = 61.26 km/h."""
    says = step_says(judged({"tool-diameter": "65 mm"}), "buff")
    assert "the edge of a tool 65 mm across runs at 61.3 km/h" in says


def test_what_was_ticked_stays_ticked_in_a_referral() -> None:
    consultation = at_work()
    to_step(consultation, "drill-inside-truck")
    before = consultation.judge.methods.plan(consultation.judgement)
    done = {planned.step.id for planned in before if consultation.work.done(planned)}
    say(consultation, "found 11 mm")
    plan = consultation.judge.methods.plan(consultation.judgement)
    still = {planned.step.id for planned in plan if consultation.work.done(planned)}
    assert {"make-clear", "deflate", "demount", "inspect", "mark-injury", "object-out", "probe"} <= still
    assert still - {"measure"} <= done


def test_a_tire_that_goes_elsewhere_gets_no_air_here() -> None:
    ids = [planned.step.id for planned in judge_of().methods.plan(judged({}, {"injury-size": "11 mm"}))]
    assert not {"inflate", "mount", "set-beads", "seat-beads-truck", "stop-and-look"} & set(ids)
    assert ids[-1] == "when-back" and {"write-tire", "write-injury", "write-history", "keep-dry"} <= set(ids)
