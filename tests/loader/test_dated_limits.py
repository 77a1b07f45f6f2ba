"""A limit that changes on a day: a case is judged by its own day, wherever it is judged; what no day may be."""

from __future__ import annotations

import json
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor.cli import main
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.loader.cache import ready
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.exit_code import ExitCode
from advisor.model.ruleset import Verdict
from tests.tools.samples import edited, put, write

FROM = "from: {2027-01-01: {value: 4 mm, standing: from memory, source: made-up, clause: none, note: half}}"
LATER = f"""
limits.yaml:
  largest-hole:
    {{says: widest hole, value: 6 mm, worse: above, at-limit: passes, standing: invented for the demo, source: made-up,
     clause: none, {FROM}}}
"""
CASE = (
    "today: {day}\nanswers: {{findings: [none], sealant: 'yes', washed: 'yes'}}\n"
    "injuries: [{{size: 5 mm}}]\nends: {{verdict: {ends}}}\n"
)


def rules_in(folder: Path, **changes: Any) -> Path:
    """The small rules with the limit that changes; `changes` are put at paths of the limit."""
    rules = edited(LATER, folder / "rules")
    tree = yaml.load((rules / "limits.yaml").read_text(), Loader=yaml.BaseLoader)
    for where, value in changes.items():
        put(tree, ["largest-hole", where], value)
    write(rules / "limits.yaml", tree)
    return rules


def case_of(folder: Path, day: str) -> str:
    path = folder / f"{day}.yaml"
    path.write_text(CASE.format(day=day, ends="repair"))
    return str(path)


def test_a_case_is_judged_by_the_limit_of_its_day(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = rules_in(tmp_path)
    for day, ends, figure in (
        ("2025-06-01", "repair", None),
        ("2026-12-31", "repair", None),
        ("2027-01-01", "scrap", 4),
    ):
        main(["decide", case_of(tmp_path, day), "--rules", str(rules), "--json"])
        found = json.loads(capsys.readouterr().out)
        limits = [reason["limit"] for reason in found["reasons"] if reason["limit"]]
        assert (found["verdict"] == "scrap") is (ends == "scrap")
        assert [limit["value"] for limit in limits] == ([figure] if figure else [])
        assert all(limit["standing"] == "from memory" for limit in limits)


def test_the_ready_copy_and_the_digest_hold_the_change(tmp_path: Path) -> None:
    rules, plain = rules_in(tmp_path), edited("{}", tmp_path / "plain")
    environment = {"ADVISOR_CACHE": str(tmp_path / "copies")}
    first, again = ready(str(rules), environment), ready(str(rules), environment)
    assert first is not again and first.limits == again.limits and again.limits["largest-hole"].later
    assert first.digest == again.digest == again.on(again.days[0]).digest != load_rule_set(plain).digest


def test_a_consultation_and_a_card_go_by_the_day_and_tell_what_comes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rules = rules_in(tmp_path)
    wide = CASE.format(day="2026-06-01", ends="scrap").replace("5 mm", "7 mm")
    (tmp_path / "wide.yaml").write_text(wide)
    main(["decide", str(tmp_path / "wide.yaml"), "--rules", str(rules)])
    assert "limit 6 mm; from 2027-01-01 on it is 4 mm;" in " ".join(capsys.readouterr().out.split())
    (tmp_path / "wide.yaml").write_text(wide.replace("2026-06-01", "2025-06-01"))
    main(["decide", str(tmp_path / "wide.yaml"), "--rules", str(rules)])
    assert "from 2027" not in capsys.readouterr().out


def test_a_case_kept_beside_the_rules_ends_by_its_own_day(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = rules_in(tmp_path)
    (rules / "cases").mkdir()
    (rules / "cases" / "new.yaml").write_text(CASE.format(day="2027-03-01", ends="repair"))
    assert main(["check", str(rules)]) == ExitCode.FOUND
    assert "case-ends-otherwise: verdict scrap" in capsys.readouterr().err


def test_coverage_asks_for_a_case_of_each_period(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = rules_in(tmp_path)
    case = tmp_path / "case.yaml"
    case.write_text("rules: sample_rules\n" + CASE.format(day="2026-12-31", ends="repair"))
    main(["check", str(rules), str(case), "--coverage"])
    out = capsys.readouterr().out
    assert "bare: limit beyond largest-hole from 2027-01-01, which" in out
    assert "today: 2027-01-01" in out and "bare: limit within largest-hole," not in out


@pytest.mark.parametrize(
    ("later", "problem"),
    [
        ({"2027-02-30": {"value": "4 mm"}}, "bad-date"),
        ({"20270101": {"value": "4 mm"}}, "bad-date"),
        ({"soon": {"value": "4 mm"}}, "bad-date"),
        ({"2027-02-01": {"value": "4 mm"}, "2027-01-01": {"value": "3 mm"}}, "days-out-of-order"),
        ({"2027-02-01": {"value": "4 deg"}}, "mixed-units"),
        ({"2027-02-01": {"value": "4-5 mm"}}, "range-as-limit"),
        ({"2027-02-01": {"says": "nothing"}}, "missing-key"),
        ({"2027-02-01": {"value": "4 mm", "standing": "from memory"}}, "missing-key"),
    ],
)
def test_what_is_no_day_or_no_figure_is_a_problem_with_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], later: dict[str, Any], problem: str
) -> None:
    assert main(["check", str(rules_in(tmp_path, **{"from": later}))]) == ExitCode.BAD_INPUT
    lines = [line for line in capsys.readouterr().err.splitlines() if f": {problem}: " in line]
    assert lines and lines[0].startswith("rules/limits.yaml:") and not lines[0].startswith("rules/limits.yaml:1:")


def test_a_day_given_twice_is_a_problem(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = rules_in(tmp_path)
    text = (rules / "limits.yaml").read_text()
    (rules / "limits.yaml").write_text(text.replace("    '2027", "    '2027-01-01': {value: 3 mm}\n    '2027"))
    assert main(["check", str(rules)]) == ExitCode.BAD_INPUT
    assert "duplicate-key" in capsys.readouterr().err


def test_what_is_looser_from_a_day_on_is_told_by_check_and_compare(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    looser = rules_in(tmp_path, **{"from": {"2027-01-01": {"value": "9 mm"}}})
    assert main(["check", str(looser)]) == ExitCode.DONE
    assert "note: from 2027-01-01 on largest-hole is looser: 9 mm instead of 6 mm" in capsys.readouterr().out
    plain = edited("{}", tmp_path / "plain")
    assert main(["compare", str(plain), str(looser), "--cases", str(tmp_path / "cases")]) == ExitCode.FOUND
    before, _, after = capsys.readouterr().out.partition("FROM 2027-01-01 ON:")
    assert "LOOSER" not in before and "COULD DECIDE" not in before
    assert "no case comes out otherwise until 2027-01-01; 1 entry differs" in before
    assert "LOOSER: limit largest-hole" in after and "largest-hole: 6 mm -> 9 mm" in after
    assert "today: 2027-01-01" in next((tmp_path / "cases").glob("*looser.yaml")).read_text()


@pytest.mark.parametrize(("value", "found"), [("7 mm", True), ("5 mm", True), ("3 mm", False)])
def test_an_overlay_may_not_be_looser_than_its_base_from_any_day_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], value: str, found: bool
) -> None:
    rules_in(tmp_path)
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "about.yaml").write_text("id: shop\ntitle: Shop\nedition: 2026-11-29\nbuilds-on: rules\n")
    basis = "standing: invented for the demo, source: made-up, clause: none"
    later = f"from: {{2027-02-01: {{value: {value}}}}}"
    (shop / "limits.yaml").write_text(
        f"largest-hole: {{says: x, value: 3 mm, worse: above, at-limit: passes, {basis}, {later}}}\n"
    )
    assert (main(["check", str(shop)]) == ExitCode.BAD_INPUT) is found
    err = capsys.readouterr().err
    assert not found or ("loosened-limit" in err and f"looser from 2027-02-01 on: {value} instead of 4 mm" in err)


def test_sources_show_what_comes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["sources", "--rules", str(rules_in(tmp_path))])
    assert "from 2027-01-01 on: 4 mm (from memory)" in capsys.readouterr().out


def test_a_check_looks_at_every_period(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = rules_in(tmp_path, **{"from": {"2027-01-01": {"value": "101 mm"}}})
    main(["check", str(rules)])
    assert ": from 2027-01-01 on: " in capsys.readouterr().err


def test_words_that_stand_for_a_figure_stand_for_that_of_the_case_s_day(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = tmp_path / "us-road"
    shutil.copytree(find_rule_set("us-road"), home)
    text = (home / "limits.yaml").read_text()
    head = "wear-bar-height:\n"
    (home / "limits.yaml").write_text(text.replace(head, f"{head}  from: {{2027-01-01: {{value: 9/32 in}}}}\n"))
    for day, lowest in (("2026-12-31", "2/32 in"), ("2027-01-01", "9/32 in")):
        case = tmp_path / "case.yaml"
        case.write_text(f"answers: {{vehicle: car, tread-depth: flush}}\ntoday: {day}\n")
        main(["decide", str(case), "--rules", str(home), "--json"])
        assert json.loads(capsys.readouterr().out)["worked_out"]["lowest-tread"]["value"] == int(lowest[0])


def test_a_consultation_goes_by_its_day_even_with_rules_of_another(tmp_path: Path) -> None:
    judge = Judge(load_rule_set(rules_in(tmp_path)))
    for day, verdict in ((date(2026, 12, 31), Verdict.REPAIR), (date(2027, 1, 1), Verdict.SCRAP)):
        talk = Consultation(judge.on(date(2027, 6, 1)), day)
        for line in ("none", "yes", "yes", "5 mm", "no"):
            say(talk, line)
        assert talk.judgement.verdict is verdict
        assert talk.judge.in_words("{largest-hole}") == ("6 mm" if verdict is Verdict.REPAIR else "4 mm")
