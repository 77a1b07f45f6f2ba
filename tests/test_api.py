"""The public Python interface: what it says is what the command line says, and misfits are raised with every place."""

from __future__ import annotations

import doctest
import json
import subprocess
import sys
from datetime import date
from pathlib import Path

import pyarrow
import pytest

import advisor
from advisor import api
from advisor.cli import main
from advisor.loader.paths import trees_folder

DAY = date(2026, 3, 14)
ANSWERS: dict[str, object] = {
    "vehicle": "truck", "wheel-position": "steer", "sidewall": "275/70R22.5 148/145M", "tube": "tubeless",
    "retread": False, "found-pressure": "104 psi", "set-pressure": "110 psi", "run-low": False, "demounted": True,
    "findings": ["none"], "tread-depth": ["5/32 in", "3.5/32 in"], "self-supporting": False, "sealant": False,
    "earlier-repairs": [],
}  # fmt: skip
INJURY = {"injury-depth": "through", "injury-zone": "crown", "injury-size": "3/8 in", "injury-angle": "20 deg",
          "inside-signs": ["none"]}  # fmt: skip
CASE = {"answers": ANSWERS, "injuries": [INJURY]}
ROW = {**{key: value for key, value in ANSWERS.items() if key != "earlier-repairs"}, **INJURY, "earlier-repairs": "no",
       "findings": "none", "tread-depth": ["5/32 in", "3.5/32 in"], "inside-signs": "none"}  # fmt: skip


@pytest.fixture(scope="module")
def rules() -> advisor.Rules:
    return advisor.load("us-road", today=DAY)


def _decided(case: object, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    file = tmp_path / "case.json"
    file.write_text(json.dumps(case))
    assert main(["decide", str(file), "--json", "--today", DAY.isoformat()]) == 0
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def test_a_case_is_judged_as_the_command_line_judges_it(
    rules: advisor.Rules, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    judgement = rules.judge(CASE)
    assert (judgement.verdict, judgement.method, judgement.settled) == ("repair", "one-piece", True)
    assert judgement.restrictions == ("not-steer-axle",) and judgement.missing == ()
    texts = {**ANSWERS, **{key: "yes" if value else "no" for key, value in ANSWERS.items() if isinstance(value, bool)}}
    shown = _decided({"answers": texts, "injuries": [INJURY]}, tmp_path, capsys)
    assert judgement.to_json() == shown and judgement.reasons == shown["reasons"]
    assert rules.judge(rules.read(CASE)).to_json() == shown


def test_what_is_missing_comes_with_the_next_question_first(rules: advisor.Rules) -> None:
    less = {"answers": {key: value for key, value in ANSWERS.items() if key != "retread"}, "injuries": [INJURY]}
    assert rules.missing(less)[0] == "retread" and rules.judge(less).verdict == "hold"
    assert not rules.judge(less).settled
    assert rules.judge({}).missing[0] == "vehicle"


def test_a_day_of_the_case_wins_over_the_day_of_the_rules(rules: advisor.Rules) -> None:
    assert rules.read({"answers": {}}).today == DAY
    assert rules.read({"today": date(2025, 1, 2), "answers": {}}).today == date(2025, 1, 2)
    assert advisor.load("us-road").read({}).today == date.today()
    assert rules.judge(advisor.Case()).to_json()["verdict"] == "hold"


def test_what_does_not_fit_is_raised_at_once_with_the_way_to_each_value(rules: advisor.Rules) -> None:
    bad = {"answers": {**ANSWERS, "retread": "perhaps", "tread-dept": "5/32 in", "vehicle": {1}},
           "injuries": [{**INJURY, "injury-size": 3.5}]}  # fmt: skip
    with pytest.raises(advisor.Problems) as kind:
        rules.judge(bad)
    assert [each.place.file for each in kind.value.problems] == ["answers.vehicle"]
    bad["answers"]["vehicle"] = "truck"  # type: ignore[index]
    with pytest.raises(advisor.Problems) as raised:
        rules.judge(bad)
    places = {each.place.file: each.id for each in raised.value.problems}
    assert places == {"answers.retread": "bad-answer", "answers.tread-dept": "unknown-question",
                      "injuries[0].injury-size": "bad-answer"}  # fmt: skip
    assert "tread-depth" in str(raised.value)
    with pytest.raises(advisor.Problems, match="us-raod"):
        advisor.load("us-raod")


def test_a_table_is_judged_row_by_row_in_its_order(rules: advisor.Rules) -> None:
    rows = [ROW, {**ROW, "injury-zone": "sidewall"}, {**ROW, "injury-size": "wide"}, {**ROW, "retread": None}]
    found = rules.judge_table(pyarrow.Table.from_pylist(rows)).to_pylist()
    assert [row["verdict"] for row in found] == ["repair", rules.judge(_with_zone("sidewall")).verdict, None, "hold"]
    assert found[0] == {"verdict": "repair", "ending": rules.judge(CASE).ending, "method": "one-piece",
                        "restrictions": ["not-steer-axle"], "settled": True, "missing": [],
                        "problem": None}  # fmt: skip
    assert found[2]["problem"].startswith("bad-answer: ") and "injury-size" in found[2]["problem"]
    assert found[3]["missing"] == ["retread"] and found[3]["settled"] is False


def _with_zone(zone: str) -> dict[str, object]:
    return {"answers": ANSWERS, "injuries": [{**INJURY, "injury-zone": zone}]}


def test_a_column_that_is_no_question_is_refused_with_the_nearest_name(rules: advisor.Rules) -> None:
    table = pyarrow.table({"vehicle": ["car"], "tread-dept": ["5/32 in"]})
    for each in (table, table.slice(0, 0)):
        with pytest.raises(advisor.Problems, match="nearest   tread-depth"):
            rules.judge_table(each)
    assert rules.judge_table(table, {"tread-dept": "tread-depth"}).num_rows == 1
    with pytest.raises(advisor.Problems, match="kind map"):
        rules.judge_table(pyarrow.table({"vehicle": pyarrow.array([[("a", 1)]], pyarrow.map_("string", "int8"))}))


def test_rules_tell_what_they_are_and_rest_on(rules: advisor.Rules) -> None:
    assert (rules.id, rules.digest) == ("us-road", rules.judge(CASE).to_json()["rules"]["digest"])
    used = {source for reason in rules.judge(CASE).reasons for source in reason["source"]}
    assert used and used <= set(rules.sources) and all(rules.sources[name].title for name in used)
    assert advisor.load(str(trees_folder() / "demo-shop"), DAY).id == "demo-shop"


def test_importing_the_package_imports_nothing_of_it() -> None:
    code = "import advisor, sys; print(sorted(m for m in sys.modules if m.startswith('advisor')))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "['advisor', 'advisor.model', 'advisor.model.version']"
    with pytest.raises(AttributeError):
        _ = advisor.nothing  # type: ignore[attr-defined]


def test_the_example_of_its_documentation_is_true() -> None:
    found = doctest.testmod(api)
    assert found.attempted > 2 and not found.failed
