"""The report: what it holds, what it shows of what is not known, and that nothing typed can break the page."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from html import escape
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from advisor.cli import main
from advisor.console.printers import text_lines
from advisor.drawings.scene import Picture
from advisor.report.html import report_page
from advisor.report.small_drawing import WIDE, small_drawing
from advisor.report.style import STYLE, policy
from advisor.work.one_page import SketchPlace
from advisor.work.progress import Work, key_of
from advisor.work.record_model import report_of
from tests.laws.support import as_kept
from tests.work.work_support import case_text, judge_of, judged


def run(words: list[str]) -> int:
    return main(["report", *words])


PLACED = {"clock": '"2:00"', "offset": "-35 mm", "tread-width": "220 mm", "casing-thickness": "22 mm"}
HOSTILE = (
    "<script>alert(1)</script><img src=x onerror=alert(1)>\"'& \u202e]]></style></title><!-- {{ 7*7 }} {% raw %}{# x"
)
BARE = {"tire-class": "medium-truck", "load-range": "H", "construction": "radial", "tube": "tubeless"}
BIDI = "\u202e"


class Tags(HTMLParser):
    """Every tag and attribute of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs


def write(folder: Path, text: str) -> Path:
    file = folder / "case.yaml"
    file.write_text(text, encoding="utf-8")
    return file


def test_what_the_report_holds() -> None:
    judge = judge_of()
    judgement = judged({"wheel-position": "steer", "tread-depth": "3/32 in"}, PLACED)
    lines = "\n".join(text_lines(report_of(judgement, judge, "one.yaml", "A. Demo")))
    flat = " ".join(lines.split())
    assert "REPAIR: " in flat and "Restrictions:" in flat
    assert "The tread depth: 3/32 in" in flat, "measures stand as typed"
    assert "4/32 in" in flat and "49 CFR" in flat and "(published)" in flat, "limit, source and standing"
    assert judge.rules.about.edition in flat and judge.rules.digest in flat
    assert "Technician: A. Demo" in flat and "Signature: ___" in flat
    assert "FOR THE DRIVER" in flat and "What to do now:" in flat
    assert "Drawings, in words:" in flat and "Cross-section" in flat
    assert all(len(line) <= 78 for line in lines.split("\n"))
    for name in judgement.cautions:
        assert " ".join(judge.caution_in_words(name, judgement).split()) in flat


TRUCK_DRIVE = {"vehicle": "truck", "wheel-position": "drive", "sidewall": "275/70R22.5 148/145M"}


@pytest.mark.parametrize(
    ("answers", "found", "wanted"),
    [
        (TRUCK_DRIVE, "repair", True),
        ({**TRUCK_DRIVE, "findings": ["exposed-cord"]}, "scrap", False),
        (
            BARE | {"vehicle": "car", "wheel-position": "drive", "tire-class": "passenger", "load-range": "SL"},
            "repair",
            False,
        ),
    ],
)
def test_a_repair_under_the_carrier_rules_has_the_record_that_they_want(
    answers: dict[str, Any], found: str, wanted: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    case = {
        **BARE,
        "retread": "no",
        "found-pressure": "57 psi",
        "set-pressure": "60 psi",
        "run-low": "no",
        "demounted": "yes",
        "findings": ["none"],
        "tread-depth": "9/32 in",
        "self-supporting": "no",
        "sealant": "no",
        "earlier-repairs": [],
        **answers,
    }
    injury = {"injury-depth": "through", "injury-zone": "crown", "injury-size": "4 mm", "injury-angle": "0 deg"}
    written = as_kept({"today": "2026-03-14", "answers": case, "injuries": [{**injury, "inside-signs": ["none"]}]})
    path = tmp_path / "case.json"
    path.write_text(json.dumps(written), encoding="utf-8")
    assert run([str(path), "--html", str(tmp_path / "r.html")]) == 0
    assert run([str(path)]) == 0
    text = " ".join(capsys.readouterr().out.split())
    page = (tmp_path / "r.html").read_text(encoding="utf-8")
    assert f"{found.upper()}:" in text
    for said in ("Company number, if so marked", "Date of the repair", "Nature of the repair", "12 months", "396.3(b)"):
        assert (said in text) is (said in page) is wanted, said
    assert ("Tire size: 275/70R22.5 148/145M" in text) is wanted


def test_not_measured_is_shown_as_such() -> None:
    flat = " ".join("\n".join(text_lines(report_of(judged(), judge_of()))).split())
    assert "The injury's length: not measured" in flat
    assert "The air's temperature: not measured" in flat
    assert "The date code: not recorded" in flat
    doubtful = report_of(judged({"sealant": "cant-tell"}), judge_of())
    rows = {row.name: row for part in doubtful.parts for row in part.rows}
    assert rows["Sealant inside"].value == "can't tell" and not rows["Sealant inside"].known


def test_a_case_that_is_not_finished() -> None:
    report = report_of(judged({"tread-depth": ""}), judge_of())
    assert (report.sign, report.finished) == ("HOLD", False)
    assert "not answered yet" in "\n".join(text_lines(report))
    assert "Not everything needed was answered" in report_page([report])


@pytest.mark.parametrize(
    ("tire", "injury", "sign", "says"),
    [
        ({"tread-depth": "2/32 in"}, {}, "REFER", "retreader"),
        ({"findings": "[exposed-cord]"}, {}, "SCRAP", "Do not drive on this tire again"),
        ({}, {"injury-size": "11 mm"}, "REFER", "full-service"),
        ({"findings": "cant-tell"}, {}, "HOLD", "until it has been looked at again"),
    ],
)
def test_what_to_tell_the_driver_names_the_source(
    tire: dict[str, str], injury: dict[str, str], sign: str, says: str
) -> None:
    judgement = judged(tire, injury)
    report = report_of(judgement, judge_of())
    told = " ".join((*report.driver.why, *report.driver.now))
    assert report.sign == sign and says in told
    assert report.driver.by or sign == "HOLD"
    assert report.driver.found


def test_the_first_page_says_how_the_work_went() -> None:
    from datetime import datetime

    judge, judgement = judge_of(), judged({}, PLACED)
    plan = judge.methods.plan(judgement)
    open_ = [planned for planned in plan if not planned.shown]
    work = Work()
    for place, planned in enumerate(open_):
        early = "ticked 4 min before its 5 min were over" if planned.step.id == "dry" else ""
        work = work.ticked(key_of(planned), datetime(2026, 3, 14, 9, place), planned.method.id, early)
    work = work.with_reading(("outline", 0), "unit-batch", "B4711", None)
    report = report_of(judgement, judge, work=work)
    first, _, annex = "\n".join(text_lines(report)).partition("ANNEX")
    flat = " ".join(first.split())
    assert f"all {len(plan)} steps done" in flat and "cement and dry: 09:10 to 09:11" in flat
    assert "let it dry: ticked 4 min before its 5 min were over" in flat
    assert "unit's batch: B4711" in flat and "FOR THE DRIVER" in flat
    assert "Have the wheel nuts tightened again after 50 mi (80 km) to 100 mi (161 km)." in flat
    assert len(first.splitlines()) < 100 < len(annex.splitlines())
    page = report_page([report])
    sheet = page.partition('<section class="annex">')[0]
    for said in ("B4711", "let it dry: ticked 4 min before its 5 min were over", "09:10 to 09:11", "tear off"):
        assert said in sheet
    begun = report_of(judgement, judge, work=Work().ticked(("gauge-pair", -1), None))
    text = " ".join("\n".join(text_lines(begun)).split())
    assert (
        f"8 of {len(plan)} steps done, not finished" in text
        and "Not done, or not all of it: clean, drill and trim," in text
    )


@pytest.mark.parametrize(
    ("tire", "injury", "rule", "still"),
    [
        ({}, {"injury-size": "11 mm"}, "Puncture repair procedures", "The next shop will also ask for: the date code"),
        ({"findings": "[exposed-cord]"}, {}, "49 CFR 393.75", "Fit another tire."),
        ({"findings": "cant-tell"}, {}, "", "Measure again, as its doubt decides: what the inspection found."),
    ],
)
def test_a_refusal_says_by_which_rule_and_what_could_still_be_done(
    tire: dict[str, str], injury: dict[str, str], rule: str, still: str
) -> None:
    report = report_of(judged(tire, injury), judge_of())
    first = " ".join("\n".join(text_lines(report)).partition("ANNEX")[0].split())
    assert "What could still be done:" in first and still in first
    assert rule in first.partition("Why, and by which rule:")[2] or not rule
    assert "What could still be done" in report_page([report]).partition('<section class="annex">')[0]


def test_the_steps_bear_the_numbers_of_the_screen() -> None:
    work = Work().ticked(("cut-stem-inside", 0), None, "two-piece")
    report = report_of(judged(), judge_of(), work=work)
    assert [step.number for step in report.steps] == [0, *range(1, len(report.steps))]
    text = "\n".join(text_lines(report))
    assert "[x] Cut the stem close above the liner" in text and "[x] 1. Put the vehicle" in text


def test_the_small_drawing_shows_only_what_is_known() -> None:
    for injury, said in (
        (PLACED, "Across: crown, 10°, side not known. Round: 2:00, serial side."),
        ({"injury-angle": "0 deg"}, "Across: crown, offset not measured, 0°. Round: clock not taken."),
        ({**PLACED, "lean": "toward-shoulder"}, "Across: crown, 10°. Round"),
    ):
        page = report_page([report_of(judged({}, injury), judge_of())])
        assert said in page, injury


def test_invented_figures_are_marked() -> None:
    report = report_of(judged({}, PLACED, rules="demo-shop"), judge_of("demo-shop"))
    assert any("chart of repair units is invented" in mark for mark in report.marks)
    for text in (report_page([report]), "\n".join(text_lines(report))):
        assert text.count("invented for the demo") > 2
    assert not report_of(judged(), judge_of()).marks


def test_steps_done_stand_with_their_times() -> None:
    from datetime import datetime

    work = Work().ticked(("make-clear", 0), datetime(2026, 3, 14, 8, 5)).noted("stand number two", None, None)
    report = report_of(judged(), judge_of(), work=work)
    text = "\n".join(text_lines(report))
    assert "[x] 1. " in text and "done 2026-03-14" in text and "08:05" in text and "[ ] 2. " in text
    assert "stand number two" in text


@pytest.mark.parametrize("rules", ["us-road", "demo-shop", "uk-road", "de-road"])
def test_the_page_is_whole_and_self_contained(rules: str) -> None:
    report = report_of(judged({}, PLACED, rules=rules), judge_of(rules), "one.yaml")
    text = report_page([report, report])
    found = Tags(text)
    assert not {"script", "link", "iframe", "img", "form", "object"} & set(found.tags)
    assert not [name for name, _ in found.attributes if name.startswith("on") or name in ("src", "href", "style")]
    ids = [value for name, value in found.attributes if name == "id"]
    assert len(ids) == len(set(ids)), "two reports on one page share no id"
    assert found.tags.count("svg") == 2 * (len(report.pictures) + len(report.page.injuries))
    assert ("content", policy()) in found.attributes
    assert "url(" not in STYLE and "@import" not in STYLE and "@page" in STYLE


def test_the_policy_names_the_style_and_nothing_else() -> None:
    assert re.fullmatch(
        r"default-src 'none'; style-src 'sha256-[A-Za-z0-9+/=]{44}'; base-uri 'none'; form-action 'none'", policy()
    )
    assert policy() != policy(STYLE + " ")


def test_cautions_of_the_steps_and_figures_stand_in_the_report() -> None:
    judge, judgement = judge_of(), judged()
    flat = " ".join("\n".join(text_lines(report_of(judgement, judge))).split())
    for planned in judge.methods.plan(judgement):
        for name in planned.step.cautions:
            assert " ".join(judge.caution_in_words(name, judgement).split()) in flat, name
    hazards = {judge.rules.cautions[c].hazard for p in judge.methods.plan(judgement) for c in p.step.cautions}
    hazards |= {judge.rules.cautions[c].hazard for c in judgement.cautions}
    assert {
        "inflation",
        "stored energy",
        "solvent",
        "dust",
        "eyes",
        "hands",
        "lifting",
        "traffic",
        "authority",
    } <= hazards
    assert "Figure: 1200 rpm - fastest turning of the burr in the channel; Shop columns" in flat


def test_the_tear_off_carries_the_mark_of_what_is_invented() -> None:
    report = report_of(judged({}, PLACED, rules="demo-shop"), judge_of("demo-shop"))
    for text in (
        report_page([report]).partition("tear off)")[2],
        "\n".join(text_lines(report)).partition("FOR THE DRIVER")[2],
    ):
        assert "invented for the demo" in text


def test_the_page_is_valid_html() -> None:
    import html5lib

    for tire, technician in (({}, "A. Demo"), ({"sidewall": f"'{HOSTILE.replace(chr(39), '')}'"}, HOSTILE)):
        text = report_page([report_of(judged(tire, PLACED), judge_of(), HOSTILE, technician)])
        parser = html5lib.HTMLParser(strict=True)
        parser.parse(text)


def test_nothing_typed_can_break_the_page() -> None:
    quoted = HOSTILE.replace("'", "")
    report = report_of(
        judged({**BARE, "sidewall": f"'{quoted}'"}), judge_of(), HOSTILE, HOSTILE, Work().noted(HOSTILE, None, None)
    )
    text = report_page([report])
    plain = report_page([report_of(judged(), judge_of(), "x", "y", Work().noted("z", None, None))])
    assert "<script" not in text and "<img" not in text and "onerror=alert" not in re.sub(r"&lt;.*?&gt;", "", text)
    assert set(Tags(text).tags) == set(Tags(plain).tags)
    assert BIDI not in text and BIDI not in "\n".join(text_lines(report))
    assert "&lt;script&gt;" in text


def every_text(value: Any, text: str) -> Any:
    """A report, or a part of one, in which every text is this one; of a drawing the title."""
    if isinstance(value, str):
        return text
    if isinstance(value, tuple):
        return tuple(
            changed(each, title=text) if isinstance(each, Picture) else every_text(each, text) for each in value
        )
    names = getattr(type(value), "__match_args__", ())
    return changed(value, **{name: every_text(getattr(value, name), text) for name in names}) if names else value


def changed(value: Any, /, **changes: Any) -> Any:
    """The same part of a report with some fields changed."""
    return type(value)(**{name: changes.get(name, getattr(value, name)) for name in type(value).__match_args__})


def steers(page: str, plain: str) -> list[str]:
    """What a text did to the page: tags and attributes that the same page has not, signs that turn the line round."""
    found, like = Tags(page), Tags(plain)
    names = [(found.tags, like.tags), ([name for name, _ in found.attributes], [name for name, _ in like.attributes])]
    return [str(mine) for mine, theirs in names if mine != theirs] + ([BIDI] if BIDI in page else [])


def test_no_text_of_a_report_is_markup_or_template_wherever_it_stands() -> None:
    report = report_of(judged({"wheel-position": "steer"}, PLACED), judge_of("us-road"), "one.yaml", "A. Demo")
    done = changed(report.steps[0], done="done", notes=("noted",), holds=("held",), restrictions=("limited",))
    full = changed(report, steps=(done, *report.steps[1:]), marks=("marked",), notes=("noted",), restrictions=("x",))
    plain, page = (report_page([every_text(full, text)]) for text in ("plain", HOSTILE))
    assert steers(page, plain) == []
    assert page.count(escape("{{ 7*7 }} {% raw %}{# x")) == plain.count("plain") > 100, "it stands there as typed"
    assert "49" not in re.sub(r"<svg.*?</svg>|sha256-\S+|<style>.*?</style>", "", page, flags=re.S)
    bare = page.replace(escape("<img src=x onerror=alert(1)>").replace("&#x27;", "&#39;"), "<img onerror=x>", 1)
    assert steers(bare, plain), "the check can fail"


def test_the_page_is_the_same_however_often_it_is_made(tmp_path: Path) -> None:
    case = write(tmp_path, case_text({}, PLACED))
    command = [sys.executable, "-m", "advisor", "report", str(case), "--html", "-"]
    made = {
        subprocess.run(
            command, capture_output=True, check=True, timeout=60, env={**os.environ, "PYTHONHASHSEED": seed}
        ).stdout
        for seed in ("1", "2")
    }
    assert len(made) == 1 and b"</html>" in made.pop()


def test_the_command_writes_text_and_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case, out = write(tmp_path, case_text()), tmp_path / "page.html"
    assert run([str(case), "--technician", "A.  Demo"]) == 0
    assert "Technician: A. Demo" in capsys.readouterr().out
    assert run([str(case), "--html", str(out)]) == 0
    done = capsys.readouterr()
    assert not done.out and "Written: " in done.err
    assert out.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert run([str(case), "--html", "-"]) == 0
    assert capsys.readouterr().out.rstrip().endswith("</html>")
    assert run([str(case), "--text", "--rules", "demo-shop"]) == 0
    assert "Demo unit T2" in " ".join(capsys.readouterr().out.split())


def test_several_cases_give_several_reports(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    text = f"{case_text()}---\nanswers: {{vehicle: spaceship}}\n---\n{case_text({'tread-depth': '2/32 in'})}"
    assert run([str(write(tmp_path, text))]) == 2, "one bad case does not stop the others"
    done = capsys.readouterr()
    assert done.out.count("TIRE REPORT") == 2 and "spaceship" in done.err
    monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=SimpleNamespace(read=lambda: case_text().encode())))
    assert run(["-", "--html", "-"]) == 0
    assert capsys.readouterr().out.count('<article class="report">') == 1


@pytest.mark.parametrize(
    "words",
    [[], ["a", "b"], ["nowhere.yaml"], ["--html"], ["--colour", "x"], ["nowhere.yaml", "--technician", "x" * 200]],
)
def test_bad_input_is_said(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words) == 2
    assert capsys.readouterr().err


def test_a_page_that_cannot_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([str(write(tmp_path, case_text())), "--html", str(tmp_path / "no" / "page.html")]) == 2
    assert "can't be written" in capsys.readouterr().err


def test_the_small_drawings_captions_keep_clear_of_each_other_and_of_the_edge() -> None:
    svg = small_drawing(SketchPlace("sidewall", angle=10.5), "x")
    rows = re.findall(r'<text x="([\d.]+)" y="([\d.]+)"( text-anchor="end")? font-size="2.6">([^<]+)</text>', svg)
    assert len({y for _, y, _, _ in rows}) == len(rows) == 2
    for x, _, at_end, words in rows:
        wide = len(words) * 2.6 * 0.52
        first = float(x) - (wide if at_end else 0)
        assert first >= 0 and first + wide <= WIDE, words
