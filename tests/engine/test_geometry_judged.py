"""Geometry through the judge: turning, mirroring, units and doubt, on seeded cases that go in as case files."""

from __future__ import annotations

import random
from fractions import Fraction
from typing import Any

import pytest

from advisor.drawings.selection import distance_lines, pictures_for
from advisor.engine.facts import NOT_APPLICABLE, OneOf
from advisor.engine.judgement_types import Judgement
from advisor.model.case import Choice
from advisor.model.quantity import Measure
from advisor.model.ruleset import Verdict
from tests.engine.geometry_support import Data, case_of, judge, judged

TRUCK = {"unit_length": "90 mm", "unit_width": "75 mm"}


def clock(minutes: int) -> str:
    minutes %= 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def drawn_case(draw: random.Random, turn: int = 0, side: int = 1, doubt: int = 0, of_round: int = 720) -> Data:
    """Two injuries and an earlier repair, the whole tire turned by `turn` minutes, its sides swapped by -1."""
    minutes = [draw.randrange(of_round) + turn for _ in range(3)]
    offsets = [draw.randint(-80, 80) for _ in range(3)]
    injuries = [
        {
            "clock": clock(minutes[each]),
            "offset": f"{side * offsets[each]} mm" if not doubt else spread(side * offsets[each], doubt),
            "tread-width": "220 mm",
            "injury-angle": f"{draw.randint(0, 50)} deg",
            "lean": draw.choice(["toward-shoulder", "toward-centre", "along-tread", "cant-tell"]),
            "casing-thickness": f"{draw.randint(10, 25)} mm",
        }
        for each in range(2)
    ]
    old = {
        "sound": "yes",
        "clock": clock(minutes[2]),
        "offset": f"{side * offsets[2]} mm",
        "unit-length": "70 mm",
        "unit-width": "60 mm",
    }
    return case_of("truck", injuries, earlier_repairs=[old], **TRUCK)


def spread(middle: int, doubt: int) -> str:
    return f"{middle - doubt} to {middle + doubt} mm"


def outcome(got: Judgement) -> tuple[Any, ...]:
    return got.verdict, got.ending, got.method, {(reason.ruling, reason.injury) for reason in got.reasons}


@pytest.mark.parametrize("seed", range(25))
def test_turning_the_whole_tire_changes_nothing(seed: int) -> None:
    still = judged(drawn_case(random.Random(seed), of_round=120))
    for turn in (1, 360, 715):
        moved = judged(drawn_case(random.Random(seed), turn, of_round=120))
        assert outcome(moved) == outcome(still)
        assert distance_lines(moved, judge()) == distance_lines(still, judge())


@pytest.mark.parametrize("seed", range(25))
def test_swapping_the_sides_keeps_the_verdict(seed: int) -> None:
    here, there = (judged(drawn_case(random.Random(seed), side=side, of_round=120)) for side in (1, -1))
    assert outcome(here) == outcome(there)
    for name in ("zone", "channel-length", "stem-length", "edge-room", "unit-cover"):
        assert here.values[f"{name}[0]"] == there.values[f"{name}[0]"]
    one, other = here.values["inner-offset[0]"], there.values["inner-offset[0]"]
    assert isinstance(one, Measure) and isinstance(other, Measure)
    assert (one.low, one.high) == (-other.high, -other.low)


@pytest.mark.parametrize("seed", range(40))
def test_a_wider_doubt_never_gives_a_better_verdict(seed: int) -> None:
    verdicts = [judged(drawn_case(random.Random(seed), doubt=doubt, of_round=90)).verdict for doubt in (0, 1, 8, 30)]
    assert verdicts == sorted(verdicts)


@pytest.mark.parametrize("seed", range(15))
def test_millimetres_and_inches_agree_to_the_last_digit_shown(seed: int) -> None:
    draw = random.Random(seed)
    offset, thick, angle = draw.randint(-60, 60), draw.randint(10, 25), draw.randint(0, 40)
    shared = {"clock": "2:00", "injury-angle": f"{angle} deg", "lean": "toward-shoulder"}
    metric = {"offset": f"{offset} mm", "casing-thickness": f"{thick} mm", "tread-width": "254 mm"}
    inches = {
        "offset": f"{Fraction(offset * 10, 254).limit_denominator(10**9).__float__():.9f} in",
        "casing-thickness": f"{thick / 25.4:.9f} in",
        "tread-width": "10 in",
    }
    for unit in ("mm", "in"):
        said = [
            [picture.says for picture in pictures_for(judged(case_of("truck", [{**shared, **each}])), judge(), unit)]
            for each in (metric, inches)
        ]
        assert said[0] == said[1]
        assert len(said[0]) == 2


def value_of(injury: Data, name: str, **answers: Any) -> object:
    return judged(case_of("truck", [{"tread-width": "220 mm", **injury}], **answers)).values[f"{name}[0]"]


SLANT = {"injury-angle": "30 deg", "casing-thickness": "22 mm", "offset": "60 mm"}


def test_zone_by_both_ends() -> None:
    assert value_of({**SLANT, "lean": "toward-shoulder"}, "zone") == Choice("shoulder")
    assert value_of({**SLANT, "lean": "toward-centre"}, "zone") == Choice("crown")
    assert value_of(SLANT, "zone") == OneOf(("crown", "shoulder"))
    assert value_of({"offset": "69-71 mm"}, "zone") == OneOf(("crown", "shoulder"))
    assert value_of({"offset": "80 mm", "injury-zone": "crown"}, "zone") == Choice("shoulder")
    assert value_of({"offset": "20 mm", "injury-zone": "shoulder"}, "zone") == Choice("shoulder")
    assert value_of({"offset": "80 mm", "injury-zone": "sidewall"}, "zone") == Choice("sidewall")


def test_an_outer_end_alone_where_no_slant_reaches_the_liner() -> None:
    assert value_of({**SLANT, "injury-depth": "reaches-cord", "lean": "toward-shoulder"}, "zone") == Choice("crown")
    assert value_of({**SLANT, "casing-thickness": "cant-tell", "lean": "along-tread"}, "zone") == Choice("crown")
    assert value_of({**SLANT, "casing-thickness": "cant-tell", "injury-angle": "0 deg"}, "zone") == Choice("crown")


def test_a_measure_of_the_slant_that_cannot_be_told_leaves_the_zone_open() -> None:
    for name in ("casing-thickness", "injury-angle"):
        zone = value_of({**SLANT, "lean": "toward-shoulder", name: "cant-tell"}, "zone")
        assert zone == OneOf(("crown", "shoulder", "sidewall"))
    car = judged(case_of("car", [{**SLANT, "tread-width": "220 mm", "casing-thickness": "cant-tell"}]))
    assert str(car.verdict) in ("hold", "scrap")


def test_a_thickness_that_cannot_be_told_counts_as_any_that_could_be_answered() -> None:
    """The question takes up to 120 mm. At 10 degrees it runs 21.16 mm: from 48 to 69.16, and half of 4; 72 is crown."""
    leaning = {"injury-angle": "10 deg", "casing-thickness": "cant-tell", "lean": "toward-shoulder"}
    assert value_of({**leaning, "offset": "48 mm"}, "zone") == Choice("crown")
    assert value_of({**leaning, "offset": "49 mm"}, "zone") == OneOf(("crown", "shoulder"))
    assert value_of({**leaning, "offset": "48 mm"}, "inner-offset") is None
    for offset, verdict in (("48 mm", "repair"), ("49 mm", "refer")):
        got = judged(case_of("truck", [{**leaning, "tread-width": "220 mm", "offset": offset}]))
        assert str(got.verdict) == verdict
        assert "inner-end-not-worked-out" in got.cautions


def test_unit_over_the_opening_and_out_of_the_shoulder() -> None:
    """4 mm at 60 degrees opens 8 mm; 30 of 90 x 75 lies across: 75 - 8 = 67. Edge: 110 - 38 - 40 - 37.5 = -5.5."""
    injury = {"offset": "40 mm", "injury-angle": "60 deg", "lean": "along-tread", "casing-thickness": "22 mm"}
    assert value_of(injury, "liner-opening") == Measure(Fraction(8), Fraction(8), "mm")
    cover, room = (value_of(injury, name, **TRUCK) for name in ("unit-cover", "edge-room"))
    assert isinstance(cover, Measure) and isinstance(room, Measure)
    assert (cover.low, cover.high) == (71, 71)
    assert (room.low, room.high) == (Fraction(-11, 2), Fraction(-11, 2))
    assert value_of(injury, "unit-cover") is NOT_APPLICABLE
    got = judged(case_of("truck", [{"tread-width": "220 mm", **injury}], **TRUCK))
    assert str(got.verdict) == "repair"
    assert "unit-over-shoulder" in got.cautions and "unit-too-small" not in got.cautions
    small = judged(case_of("truck", [{"tread-width": "220 mm", **injury}], unit_length="7 mm", unit_width="10 mm"))
    assert str(small.verdict) == "repair" and "unit-too-small" in small.cautions
    plain = judged(case_of("truck", [{"injury-zone": "crown"}]))
    assert not {"unit-too-small", "unit-over-shoulder"} & set(plain.cautions)


def test_stem_with_the_allowances_of_the_method() -> None:
    """22 mm at 60 degrees is 44 mm long; 3 to 6 mm above the liner and 3 mm above the tread come on top."""
    stem = value_of({"injury-zone": "crown", "injury-angle": "60 deg", "casing-thickness": "22 mm"}, "stem-length")
    assert isinstance(stem, Measure) and (stem.low, stem.high) == (50, 53)


def old(at: str, **more: str) -> Data:
    return {"sound": "yes", "clock": at, "offset": "0 mm", "unit-length": "70 mm", "unit-width": "60 mm", **more}


def test_known_units_that_overlap_decide_though_another_place_is_not_known() -> None:
    injuries: list[Data] = [{"injury-zone": "crown", "clock": "2:00", "offset": "0 mm"}]
    repairs = [old("2:05"), old("8:00", clock="cant-tell")]
    got = judged(case_of("truck", injuries, earlier_repairs=repairs, **TRUCK))
    assert "units-overlap-truck" in {reason.ruling for reason in got.reasons if not reason.doubt}
    far = judged(case_of("truck", injuries, earlier_repairs=[old("6:00"), old("8:00", clock="cant-tell")], **TRUCK))
    assert far.values["nearest-repair"] is None and str(far.verdict) == "hold"


def test_how_many_in_all_and_each_pair_by_name() -> None:
    injuries: list[Data] = [{"injury-zone": "crown", "clock": at, "offset": "0 mm"} for at in ("2:00", "5:00")]
    got = judged(case_of("truck", injuries, earlier_repairs=[old("8:00")], **TRUCK))
    lines = distance_lines(got, judge())
    assert lines[-1] == "3 repairs in all"
    assert {line.partition(":")[0] for line in lines[:-1]} == {
        "injury 1 and injury 2",
        "injury 1 and earlier repair 1",
        "injury 2 and earlier repair 1",
    }
    assert got.values["repairs-in-all"] == Measure(Fraction(3), Fraction(3), "times")
    assert distance_lines(judged(case_of("truck", [{"injury-zone": "crown"}])), judge()) == ()


@pytest.mark.parametrize(
    ("found", "set_pressure", "share"),
    [("80 psi", "100 psi", 80), ("5.6 bar", "7 bar", 80), ("560 kPa", "7 bar", 80), ("88 psi", "110 psi", 80)],
)
def test_eighty_percent_is_exact_in_the_unit_typed(found: str, set_pressure: str, share: int) -> None:
    case = case_of("truck", [{"injury-zone": "crown"}], found_pressure=found, set_pressure=set_pressure)
    got = judged(case)
    assert got.values["pressure-share"] == Measure(Fraction(share), Fraction(share), "%")
    assert "run-low-inspected" in got.cautions
    above = judged(case_of("truck", [{"injury-zone": "crown"}], found_pressure="88.1 psi", set_pressure="110 psi"))
    assert "run-low-inspected" not in above.cautions


def test_what_the_print_and_the_date_code_give() -> None:
    got = judged(case_of("truck", [{"injury-zone": "crown"}], dot_code="2319"))
    names = ("section-height", "revolutions-per-km", "load-single-lb", "made-between")
    figures = [str(got.values[name]) for name in names]
    assert figures[0] == "193 mm"
    assert figures[1].startswith("332.3")
    assert figures[2] == "6944.56 lb"
    assert figures[3] == "2019-06-09 to 2019-06-15"
    assert got.values["date-warning"] is NOT_APPLICABLE
    odd = judged(case_of("truck", [{"injury-zone": "crown"}], dot_code="5319"))
    assert "53" in str(odd.values["date-warning"])


def measured(draw: random.Random, low: float, high: float, unit: str, doubt: float) -> tuple[str, str]:
    """A range in a unit, and a figure within it."""
    start = round(draw.uniform(low, high - doubt), 1)
    return f"{start} to {round(start + doubt, 1)} {unit}", f"{round(draw.uniform(start, start + doubt), 2)} {unit}"


@pytest.mark.parametrize("seed", range(60))
def test_a_range_is_never_judged_better_than_a_figure_within_it(seed: int) -> None:
    """Every measure in doubt at once; `hold` is as good as doubt may get where the figure would be worse."""
    draw = random.Random(seed)
    spans = {
        "offset": (-110, 110, "mm", draw.choice([1, 10, 40])),
        "injury-angle": (0, 50, "deg", draw.choice([1, 10])),
        "casing-thickness": (8, 30, "mm", draw.choice([1, 6])),
        "tread-width": (200, 240, "mm", draw.choice([1, 10])),
        "clock": (0, 40, "deg", draw.choice([1, 5])),
    }
    lean = draw.choice(["toward-shoulder", "toward-centre", "along-tread"])
    wide: Data = {"lean": draw.choice([lean, "cant-tell"])}
    plain: Data = {"lean": lean}
    for name, (low, high, unit, doubt) in spans.items():
        wide[name], plain[name] = measured(draw, low, high, unit, doubt)
    tire, repair = draw.choice(["truck", "car"]), old(clock(draw.randrange(60)))
    open_one, sure_one = (judged(case_of(tire, [each], earlier_repairs=[repair], **TRUCK)) for each in (wide, plain))
    assert open_one.verdict >= min(Verdict.HOLD, sure_one.verdict)
    around, within = open_one.values["nearest-repair"], sure_one.values["nearest-repair"]
    assert isinstance(around, Measure) and isinstance(within, Measure)
    assert around.low - Fraction(1, 10**6) <= within.low <= around.high + Fraction(1, 10**6)


@pytest.mark.parametrize("seed", range(10))
def test_swapping_the_sides_swaps_them_in_every_picture(seed: int) -> None:
    here, there = (judged(drawn_case(random.Random(seed), side=side)) for side in (1, -1))
    for one, other in zip(pictures_for(here, judge()), pictures_for(there, judge()), strict=True):
        swapped = one.says.replace("towards the serial", "TO").replace("away from", "towards")
        assert swapped.replace("TO", "away from the serial") == other.says


@pytest.mark.parametrize(
    ("measures", "says"),
    [
        ({"offset": "55 mm", "injury-angle": "45 deg", "lean": "toward-shoulder", "casing-thickness": "22 mm"},
         "by the tape its outer end lies 55 mm inside the tread's edge, its inner end 33 mm inside it"),
        ({"offset": "-100 mm", "injury-angle": "45 deg", "lean": "toward-shoulder", "casing-thickness": "22 mm"},
         "by the tape its outer end lies 10 mm inside the tread's edge, its inner end 12 mm beyond it"),
        ({"offset": "80 mm", "injury-angle": "0"}, "by the tape it lies 30 mm inside the tread's edge"),
        ({"offset": "80 mm", "injury-angle": "10 deg"},
         "by the tape its outer end lies 30 mm inside the tread's edge, its inner end is not measured"),
    ],
)  # fmt: skip
def test_the_reason_says_where_both_ends_lie(measures: Data, says: str) -> None:
    """220 / 2 - 55 = 55; 55 + 22 x tan 45 = 77, 110 - 77 = 33; 100 + 22 = 122, 12 past 110."""
    got = judged(case_of("truck", [{"tread-width": "220 mm", **measures}]))
    (reason,) = [each for each in got.reasons if each.ruling == "outside-crown-truck"]
    assert f"({says}, less half its width of 4 mm)" in reason.says


def test_the_reason_says_where_nothing_was_measured() -> None:
    got = judged(case_of("truck", [{"injury-zone": "shoulder"}]))
    (reason,) = [each for each in got.reasons if each.ruling == "outside-crown-truck"]
    assert "counts as shoulder (not measured with a tape)" in reason.says
