"""The figures for this tire: drying, dew point, energy, edge speed, loads, dual row; held against other sources."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import psychrolib
import pytest

from advisor.domain.cement import drying, drying_in_words
from advisor.domain.compressed_air import Volume, dew_point, fall_height, settling_point, stored_energy_kj
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, between, exactly
from tests.work.work_support import judge_of, judged, step_says

_TABLE = Path(__file__).parents[1] / "tables" / "seating_figures.csv"
SEATING = list(csv.DictReader(_TABLE.read_text(encoding="utf-8").splitlines()))
BASE, COLD, DAMP = between(3, 5, "min"), exactly(20, "C"), exactly(65, "%")


@pytest.mark.parametrize(
    ("air", "damp", "least", "most"),
    [(22, 50, 3, 5), (20, 65, 3, 5), (19, 50, 5, None), (8, 65, 5, None), (22, 66, 5, None), (-3, 90, 5, None)],
)
def test_drying_grows_when_cold_or_damp(air: int, damp: int, least: int, most: int | None) -> None:
    found = drying(BASE, exactly(air, "C"), exactly(damp, "%"), COLD, DAMP)
    assert found.least == exactly(least, "min")
    assert found.most == (exactly(most, "min") if most else None)
    assert bool(found.because) is (most is None)


def test_drying_says_what_is_not_known_and_makes_up_no_figure() -> None:
    unknown = drying(BASE, None, None, COLD, DAMP)
    assert drying_in_words(unknown, air_known=False) == "3 to 5 min, longer when cold or damp"
    cold = drying(BASE, exactly(8, "C"), exactly(80, "%"), COLD, DAMP)
    assert drying_in_words(cold, True) == (
        "5 min at the least, and longer, as the air is cold (8 °C) and the air is damp (80 %)"
    )
    doubtful = drying(BASE, between(18, 22, "C"), exactly(40, "%"), COLD, DAMP)
    assert doubtful.most is None, "a reading in doubt counts with its worse end"


def test_the_same_case_at_three_temperatures() -> None:
    said = []
    for air in ("22 C", "8 C", "-3 C"):
        judgement = judged({"shop-temperature": air, "humidity": "60 %"})
        assert str(judgement.verdict) == "repair"
        said.append(step_says(judgement, "dry"))
    assert "dry 3 to 5 min." in said[0] and "at the least" not in said[0]
    assert "dry 5 min at the least, and longer, as the air is cold (8 °C)." in said[1]
    assert "cold (-3 °C)" in said[2]
    assert "Liner at least this warm: 16.9 °C" in said[0]


@pytest.mark.parametrize("air", range(-5, 41, 5))
@pytest.mark.parametrize("damp", range(30, 101, 10))
def test_dew_point_against_psychrolib(air: int, damp: int) -> None:
    """Above 0 °C within 0.05 K. Below, the library gives the frost point, over ice, which lies up to 2 K higher."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    theirs = psychrolib.GetTDewPointFromRelHum(air, damp / 100)
    ours = float(dew_point(exactly(air, "C"), exactly(damp, "%")).low)
    assert ours == pytest.approx(theirs, abs=0.05) if theirs > 0 else -2 <= ours - theirs <= 0.05


@pytest.mark.parametrize("air", range(0, 41, 4))
@pytest.mark.parametrize("damp", range(30, 101, 10))
def test_where_dew_or_frost_settles_against_psychrolib(air: int, damp: int) -> None:
    """The library gives the frost point below 0 °C: within 0.1 K, in air from 0 °C up (below that it counts humidity
    against ice)."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    theirs = psychrolib.GetTDewPointFromRelHum(air, damp / 100)
    ours = settling_point(exactly(air, "C"), exactly(damp, "%"))
    assert float(ours.low) == pytest.approx(theirs, abs=0.1)
    assert ours.low >= dew_point(exactly(air, "C"), exactly(damp, "%")).low, "never on the wet side"


def test_settling_point_in_doubt() -> None:
    wide = settling_point(between(-5, 5, "C"), exactly(60, "%"))
    for air in (-5, -1, 0, 3, 5):
        assert wide.low <= settling_point(exactly(air, "C"), exactly(60, "%")).low <= wide.high


def test_liner_is_margin_above_the_dew_point_rounded_up() -> None:
    """20 °C, 65 %: dew point 13.22 °C, and 3 K more; up to the next tenth."""
    value = judged({"shop-temperature": "20 C", "humidity": "65 %"}).values["liner-least-warm"]
    assert value == exactly("16.3", "C")
    assert judged().values["liner-least-warm"] is None


def test_stored_energy_against_coolprop() -> None:
    """Real air, from 20 °C, expanded at equal entropy to one atmosphere: within 3 % from 30 to 130 psi."""
    from CoolProp import CoolProp

    for psi in (30, 60, 90, 110, 130):
        pressure = exactly(psi, "psi")
        absolute = float(pressure.to("kPa").low) * 1000 + 101325
        mass = CoolProp.PropsSI("D", "T", 293.15, "P", absolute, "Air") * 0.1
        entropy = CoolProp.PropsSI("S", "T", 293.15, "P", absolute, "Air")
        before = CoolProp.PropsSI("U", "T", 293.15, "P", absolute, "Air")
        after = CoolProp.PropsSI("U", "S", entropy, "P", 101325, "Air")
        theirs = mass * (before - after) / 1000
        ours = float(stored_energy_kj(pressure, Volume(100.0, 100.0)).low)
        assert ours == pytest.approx(theirs, rel=0.03)


def test_stored_energy_by_hand() -> None:
    """100 l at 110 psi gauge (758.42 kPa, 859.75 absolute).

    By hand in the form E = 2.5 p V (1 - (p0 / p)^0.2857): p0 / p = 0.117854; its logarithm -2.13831, by 2 / 7
    -0.610945, so 0.542838; 2.5 x 859.75 x 0.1 x 0.457162 = 98.26 kJ.
    """
    assert float(stored_energy_kj(exactly(110, "psi"), Volume(100.0, 100.0)).low) == pytest.approx(98.26, abs=0.01)


@pytest.mark.parametrize(
    ("pressure", "ambient", "litres", "kilojoule"),
    [
        # Worked in an engineers' forum for a haul truck's tire of 4.8 m3: 130 kJ at 5 psi, 4.2 MJ at 100 psi
        # (eng-tips.com, thread 454391; p0 taken as one atmosphere)
        (exactly(5, "psi"), exactly("101.325", "kPa"), 4800, 130),
        (exactly(100, "psi"), exactly("101.325", "kPa"), 4800, 4200),
        # Worked on a page on compressed air: 300 l at 10 bar gauge against 1 bar, about 409 kJ adiabatic
        # (calculator5.snowdaycalculatornow.com, calculating-potential-energy-of-compressed-air)
        (exactly(10, "bar"), exactly(1, "bar"), 300, 409),
    ],
)
def test_stored_energy_against_published_examples(
    pressure: Measure, ambient: Measure, litres: int, kilojoule: int
) -> None:
    """Within 1 %, which is what the published figures are rounded to."""
    ours = stored_energy_kj(pressure, Volume(litres, litres), ambient)
    assert float(ours.low) == pytest.approx(kilojoule, rel=0.01)


def test_fall_height_by_hand() -> None:
    """98.0665 kJ lift 1000 kg by 10 m: 1000 kg x 9.80665 m/s2 x 10 m."""
    assert fall_height(exactly("98.0665", "kJ"), exactly(1000, "kg")) == exactly(10, "m")
    wide = fall_height(between(90, 110, "kJ"), exactly(1000, "kg"))
    assert wide.low < 10 < wide.high
    with pytest.raises(Misread):
        fall_height(exactly(1, "kJ"), exactly(0, "kg"))


def test_energy_in_words() -> None:
    judgement = judged()
    said = judge_of().caution_in_words("stored-energy", judgement)
    assert "about 98 kJ, as much as a small car (1000 kg) falling 10 m" in said
    bare = judge_of().caution_in_words("stored-energy", judged({"sidewall": "", "tire-class": "medium-truck"}))
    assert "not worked out, as it takes both size and set pressure." in bare and "small car" not in bare


def test_edge_speed_and_circumference_by_hand() -> None:
    """Edge: pi x 0.0254 m x 5000 x 60 = 23.939 km/h. Round: pi x 958 mm = 3009.6 mm (958 = 571.5 + 2 x 193.2)."""
    values = judged().values
    assert math.pi * 0.0254 * 5000 * 60 / 1000 == pytest.approx(23.939, abs=0.001)
    assert values["buff-edge-speed"] == exactly("23.9", "km/h")
    assert values["tread-round"] == exactly(3010, "mm")


@pytest.mark.parametrize(
    ("sidewall", "diameter", "girth"),
    [
        ("205/55R16 91V", None, None),
        ("225/70R19.5 128/126N", "3/8", "9/8"),
        ("275/70R22.5 148/145M", "3/8", "9/8"),
        ("11R22.5 146/143L", "1/2", "3/2"),
    ],
)
def test_dual_row_of_the_tires_own_diameter(sidewall: str, diameter: str | None, girth: str | None) -> None:
    """TM 9-2610-200-14, table 2-1, page 2-8: under 30 in 1/4 and 3/4; to 40 in 3/8 and 1 1/8; to 50 in 1/2, 1 1/2."""
    values = judged({"sidewall": sidewall, "load-range": "H"}).values
    inches = float(values["overall-diameter"].to("in").low) if isinstance(values["overall-diameter"], Measure) else 0
    if diameter is None or girth is None:
        assert inches < 30 and values["dual-diameter"] == exactly("1/4", "in")
        return
    assert (values["dual-diameter"], values["dual-girth"]) == (exactly(diameter, "in"), exactly(girth, "in"))
    assert (30 <= inches <= 40) is (diameter == "3/8")


def test_no_dual_row_on_the_steer_axle() -> None:
    values = judged({"wheel-position": "steer"}).values
    assert not isinstance(values["dual-diameter"], Measure)
    assert "dual-pair-gap" not in judged({"wheel-position": "steer"}).cautions
    assert "dual-pair-gap" in judged().cautions


@pytest.mark.parametrize("row", SEATING, ids=lambda row: row["limit"])
def test_seating_limits_and_their_places(row: dict[str, str]) -> None:
    limit = judge_of().rules.limits[row["limit"]]
    assert (str(limit.figures[0]), limit.basis.standing) == (row["figure"], row["standing"])
    assert limit.basis.clause == row["clause"] and row["source"]


@pytest.mark.parametrize(
    "name",
    [
        "drill-speed",
        "passes-inside-light",
        "passes-inside-truck",
        "passes-outside",
        "cement-coats",
        "stem-above-liner",
        "stem-above-tread",
        "buff-speed",
        "cement-dry-time",
        "one-piece-angle",
    ],
)
def test_trade_facts_are_marked(name: str) -> None:
    limit = judge_of().rules.limits[name]
    assert limit.basis.standing == "common practice" and limit.basis.clause == "none"


@pytest.mark.parametrize(
    "step",
    ["probe", "clean-liner", "drill-inside-light", "drill-inside-truck", "drill-outside", "cement-channel", "pull-stem",
     "outline", "buff", "vacuum", "cement-liner", "dry", "beads-relaxed", "place-patch", "stitch", "talc",
     "seal-over-buff", "cut-stem", "leak-check"],
)  # fmt: skip
def test_steps_of_the_trade_are_marked(step: str) -> None:
    """Common practice, no source; probing and looking for leaks are from TM 9-2610-200-14."""
    found = [each for method in judge_of().rules.methods.values() for each in method.steps if each.id == step]
    wanted = {"probe": "published", "leak-check": "derived"}.get(step, "common practice")
    assert found and {each.basis.standing for each in found} == {wanted}
    assert wanted != "common practice" or all("shop-practice" in each.basis.sources for each in found)


def test_every_step_figure_names_a_known_limit_or_value_with_standing() -> None:
    rules = judge_of().rules
    for method in rules.methods.values():
        for step in method.steps:
            assert step.basis.standing
            for name in step.figures:
                assert name in rules.limits or name in rules.values


def test_where_a_figure_is_not_known_the_instructions_say_it() -> None:
    says = step_says(judged({}, {"injury-angle": "30 deg"}), "pull-stem")
    assert "as the repair material's instructions say" in says and "not known" not in says
    measured = step_says(judged({}, {"injury-angle": "30 deg", "casing-thickness": "22 mm"}), "pull-stem")
    assert "Channel: 25.4 mm. Stem needed: 31.4 to 34.4 mm" in measured


def test_load_by_position() -> None:
    assert str(judged().values["load-by-position"]) == (
        "2900 kg (6393 lb) in a dual pair, 3150 kg (6945 lb) as a single tire"
    )
    assert str(judged({"wheel-position": "steer"}).values["load-by-position"]) == "3150 kg (6945 lb) as a single tire"
