"""The JSON answer and the exit codes of `advisor decide`: every field, always, of the type that was promised."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given

from advisor.model.problems import Problems
from tests.laws.cases import cases, few
from tests.laws.support import CaseData, answered, base, changed
from tests.trees.boundary_table import boundary_rows

TEXT, FLAG, LIST, MAPPING, NULL = str, bool, list, dict, type(None)
FIELDS: dict[str, tuple[type, ...]] = {
    "verdict": (TEXT, NULL),
    "ending": (TEXT, NULL),
    "method": (TEXT, NULL),
    "also_allowed": (LIST,),
    "restrictions": (LIST,),
    "settled": (FLAG,),
    "could_end": (LIST,),
    "reasons": (LIST,),
    "injuries": (LIST,),
    "missing": (LIST,),
    "measure_again": (LIST,),
    "worked_out": (MAPPING,),
    "cautions": (LIST,),
    "steps": (LIST,),
    "rules": (MAPPING,),
    "passed_over": (LIST,),
    "problems": (LIST,),
}
ITEMS: dict[str, dict[str, tuple[type, ...]]] = {
    "reasons": {
        "ruling": (TEXT,),
        "question": (TEXT, NULL),
        "injury": (int, NULL),
        "answer": (TEXT,),
        "says": (TEXT,),
        "limit": (MAPPING, NULL),
    },
    "injuries": {"verdict": (TEXT,), "ending": (TEXT, NULL), "method": (TEXT, NULL), "reasons": (LIST,)},
    "cautions": {"id": (TEXT,), "says": (TEXT,)},
    "steps": {
        "id": (TEXT,),
        "method": (TEXT,),
        "injury": (int, NULL),
        "says": (TEXT,),
        "figures": (MAPPING,),
    },
}
TEXT_LISTS = ("also_allowed", "restrictions", "could_end", "missing", "measure_again")
FIGURE = {"value", "unit", "standing"}
LIMIT = {"id", "value", "unit", "standing", "source", "clause"}
TIRE_VALUES = {
    "tire-group", "section-width", "overall-diameter", "load-single", "load-dual", "top-speed", "made-week",
    "made-year", "age", "lowest-tread", "pressure-share", "repair-area", "nearest-repair", "dew-point",
    "stored-energy",
}  # fmt: skip
INJURY_VALUES = ("channel-length", "inner-offset", "zone", "stem-length")
#: The exit code that says that something could not be read.
BAD_INPUT = 2
VERDICTS = ("repair", "refer", "hold", "scrap")


def misfits(answer: dict[str, Any]) -> list[str]:
    """Everything in an answer that is not as the contract says."""
    found = [f"{name} is missing" for name in FIELDS if name not in answer]
    for name, kinds in FIELDS.items():
        if not isinstance(answer.get(name), kinds):
            found.append(f"{name} is {type(answer.get(name)).__name__}")
    if found:
        return found
    for name in TEXT_LISTS:
        found += [f"{name} holds {item!r}" for item in answer[name] if not isinstance(item, str)]
    for name, keys in ITEMS.items():
        for item in answer[name]:
            found += [f"{name}: {key}" for key, kinds in keys.items() if not isinstance(item.get(key, FIELDS), kinds)]
    limits = [reason["limit"] for reason in answer["reasons"] if reason["limit"] is not None]
    found += [f"limit {limit}" for limit in limits if not limit.keys() >= LIMIT]
    found += [f"rules: {key}" for key in ("id", "edition", "digest") if key not in answer["rules"]]
    if answer["problems"]:
        decided = [name for name in ("verdict", "ending", "method") if answer[name] is not None]
        return found + [f"{name} beside problems" for name in decided]
    return found + _judged_misfits(answer)


def _judged_misfits(answer: dict[str, Any]) -> list[str]:
    found = [f"verdict {answer['verdict']}"] if answer["verdict"] not in VERDICTS else []
    ends = [VERDICTS.index(verdict) for verdict in answer["could_end"]]
    found += ["could_end is not best first"] if ends != sorted(set(ends)) or not ends else []
    wanted = TIRE_VALUES | {f"{name}[{i}]" for i in range(len(answer["injuries"])) for name in INJURY_VALUES}
    found += [f"worked_out without {name}" for name in sorted(wanted - answer["worked_out"].keys())]
    for name, value in answer["worked_out"].items():
        if set(value) != {"value", "unit"}:
            found.append(f"worked_out {name} is {value}")
        elif isinstance(value["value"], list) and len(value["value"]) != len(("low", "high")):
            found.append(f"worked_out {name} is neither one value nor low and high")
    for step in answer["steps"]:
        found += [f"figure {name}" for name, figure in step["figures"].items() if not figure.keys() >= FIGURE]
    return found


def decide(*words: str, given: str = "", folder: Path | None = None) -> tuple[int, list[dict[str, Any]], str]:
    """`advisor decide --json` as a process: exit code, the answers, standard error."""
    command = [sys.executable, "-m", "advisor", "decide", "--json", *words]
    done = subprocess.run(command, input=given, capture_output=True, text=True, timeout=60, cwd=folder, check=False)
    assert "Traceback" not in done.stderr, done.stderr
    return done.returncode, [json.loads(line) for line in done.stdout.splitlines()], done.stderr


@pytest.mark.parametrize("row", boundary_rows()[::4], ids=lambda row: row.case)
def test_every_field_is_there_for_boundary_cases(row: Any) -> None:
    assert not misfits(json.loads(json.dumps(answered(row.data))))


@few(60)
@given(cases())
def test_every_field_is_there_for_any_case(case: CaseData) -> None:
    try:
        answer = answered(case)
    except Problems:
        assume(False)
        return
    assert not misfits(json.loads(json.dumps(answer)))


def test_misfits_are_found() -> None:
    good = answered(base("passenger"))
    assert not misfits(good)
    assert misfits({**good, "restrictions": None})
    assert misfits({key: value for key, value in good.items() if key != "steps"})
    assert misfits({**good, "could_end": ["scrap", "repair"]})
    assert misfits({**good, "worked_out": {}})
    assert misfits({**good, "problems": [{"id": "x"}]})


def test_a_zone_that_cannot_be_told_stands_between_the_best_and_the_worst() -> None:
    answer = answered(changed(base("passenger"), {"injuries[0].injury-zone": "cant-tell"}))
    assert answer["worked_out"]["zone[0]"] == {"value": ["crown", "bead"], "unit": None}
    assert not misfits(answer)


SCRAPPED = changed(base("passenger"), {"injuries[0].injury-size": "9 mm"})
MISSPELT = '{"answers": {"vehicel": "car"}}'


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """A folder with a good case, a scrapped one, an open one, a misspelt one and several documents."""
    (tmp_path / "good.json").write_text(json.dumps(base("passenger"), indent=1), encoding="utf-8")
    (tmp_path / "scrap.json").write_text(json.dumps(SCRAPPED), encoding="utf-8")
    (tmp_path / "open.yaml").write_text("answers:\n  vehicle: car\n", encoding="utf-8")
    (tmp_path / "bad.yaml").write_text("answers:\n  vehicle: car\n  tread-dept: 9/32 in\n", encoding="utf-8")
    text = "answers: {vehicle: car}\n---\nanswers: {vehicel: car}\n---\nanswers: {vehicle: bus}\n"
    (tmp_path / "three.yaml").write_text(text, encoding="utf-8")
    return tmp_path


def test_a_batch_goes_on_after_a_bad_case_and_ends_with_two(files: Path) -> None:
    names = ("good.json", "bad.yaml", "none.yaml", ".", "scrap.json", "open.yaml", "three.yaml")
    code, answers, complaints = decide(*names, folder=files)
    verdicts = [answer["verdict"] for answer in answers]
    assert code == BAD_INPUT
    assert verdicts == ["repair", None, None, None, "scrap", "hold", "hold", None, "hold"]
    assert [misfits(answer) for answer in answers] == [[]] * len(answers)
    assert "bad.yaml:3:3: unknown-question" in complaints
    problem = answers[1]["problems"][0]
    assert (problem["file"], problem["line"], problem["column"]) == ("bad.yaml", 3, 3)
    assert problem["nearest"][0] == "tread-depth"
    assert answers[7]["problems"][0]["nearest"][0] == "vehicle"


def test_hold_and_scrap_are_verdicts_and_exit_with_zero(files: Path) -> None:
    code, answers, complaints = decide("scrap.json", "open.yaml", folder=files)
    assert (code, complaints) == (0, "")
    assert [answer["verdict"] for answer in answers] == ["scrap", "hold"]
    assert answers[1]["missing"][0] == "wheel-position"
    assert "injury-size[0]" in answers[1]["missing"]


def test_several_rule_sets_give_a_line_each_in_the_order_given(files: Path) -> None:
    code, answers, _ = decide("good.json", "scrap.json", "--rules", "us-road", "--rules=us-road", folder=files)
    assert code == 0
    assert [answer["verdict"] for answer in answers] == ["repair", "repair", "scrap", "scrap"]
    assert {answer["rules"]["id"] for answer in answers} == {"us-road"}


def test_standard_input_takes_yaml_documents_and_one_json_object() -> None:
    code, answers, _ = decide("-", given="answers: {vehicle: car}\n---\nanswers: {vehicle: other}\n")
    assert (code, [answer["verdict"] for answer in answers]) == (0, ["hold", "hold"])
    code, answers, _ = decide("-", given=json.dumps(base("passenger"), indent="\t"))
    assert (code, [answer["verdict"] for answer in answers]) == (0, ["repair"])


def test_json_lines_are_judged_line_by_line() -> None:
    lines = [json.dumps(base("passenger")), json.dumps(SCRAPPED), MISSPELT, json.dumps(base("medium-truck"))]
    code, answers, _ = decide("-", given="\n".join(lines))
    assert [answer["verdict"] for answer in answers] == ["repair", "scrap", None, "repair"]
    assert code == BAD_INPUT
    assert [answer["problems"][0]["line"] for answer in answers if answer["problems"]] == [3]


def test_a_json_line_that_does_not_close_is_named_by_its_own_line() -> None:
    lines = [json.dumps(SCRAPPED), "{", json.dumps(SCRAPPED)]
    _, answers, _ = decide("-", given="\n".join(lines))
    assert [answer["verdict"] for answer in answers] == ["scrap", None, "scrap"]
    assert answers[1]["problems"][0]["line"] == len(lines[:2])


UNREADABLE = [
    ("", "no-case"),
    ("[1, 2]", "wrong-kind"),
    ("answers: [", "not-yaml"),
    (MISSPELT, "unknown-question"),
    ('{"answer": {}}', "unknown-key"),
    ('{"answers": {"vehicle": "cra"}}', "bad-answer"),
    ('{"answers": {"found-pressure": "92"}}', "bad-answer"),
    ('{"answers": {"found-pressure": "92 mm"}}', "bad-answer"),
    ('{"answers": {"tread-depth": "900 mm"}}', "bad-answer"),
    ('{"answers": {"vehicle": "car", "vehicle": "bus"}}', "duplicate-key"),
    ('{"today": "2026-02-30"}', "bad-date"),
    ('{"answers": {"dot-code": "5424"}}', "bad-date-code"),
    ('{"rules": "nowhere", "answers": {}}', "unknown-rule-set"),
]


def test_what_cannot_be_read_says_where_and_exits_with_two(tmp_path: Path) -> None:
    names = [f"{number:02}.case" for number in range(len(UNREADABLE))]
    for name, (text, _) in zip(names, UNREADABLE, strict=True):
        (tmp_path / name).write_text(text, encoding="utf-8")
    code, answers, complaints = decide(*names, folder=tmp_path)
    assert code == BAD_INPUT
    for name, (text, problem), answer in zip(names, UNREADABLE, answers, strict=True):
        assert not misfits(answer), text
        place = answer["problems"][0]
        assert (place["id"], place["file"]) == (problem, name), text
        assert f"{name}:{place['line']}:{place['column']}: {problem}" in complaints, text


def test_a_rule_set_that_is_no_name_is_a_problem() -> None:
    code, answers, _ = decide("-", given='{"rules": ["us-road"], "answers": {}}')
    assert code == BAD_INPUT
    assert answers[0]["problems"]


def test_a_good_document_ahead_of_a_broken_one_is_still_judged() -> None:
    _, answers, _ = decide("-", given="answers: {vehicle: car}\n---\nanswers: [\n")
    assert [answer["verdict"] for answer in answers] == ["hold", None]
