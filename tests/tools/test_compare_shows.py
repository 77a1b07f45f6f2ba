"""Single edits of us-road, each told by `advisor compare`: by a case that really differs, or under its own heading."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.model.exit_code import ExitCode
from tests.tools.test_compare import BASE, edition
from tests.whole_rules import whole_copy

PATHS, LIMITS, QUESTIONS = "paths.yaml", "limits.yaml", "questions.yaml"
#: What a case comes out as; the JSON answer's other fields only explain it.
OUTCOME = ("verdict", "ending", "method", "also_allowed", "restrictions")
NO_CASE = ("no case comes out otherwise", "only wording")

Edit = tuple[str, str, str]


def within(before: str, old: str, new: str, file: str = PATHS) -> Edit:
    """An edit of what stands right behind some text."""
    return file, before + old, before + new


LIGHT_SIGNS = within("- id: inside-damage-light\n            when: {inside-signs: {has-any: [", "loose-cord, ", "")
NOT_FIRST = within("vehicle: {is: bus}, wheel-position: {is: steer}, retread: {one-of: [recapped", ", regrooved", "")
LOW_TREAD = within(
    "- id: tread-low-for-steer\n            when: {tread-depth: {beyond: tread-steer}, vehicle: {one-of: [truck",
    ", bus",
    "",
)
UNLESS = within("unless: {vehicle: {", "is: trailer}", "one-of: [trailer, truck]}")
BAR = within("where it is flush with the tread\n  value: ", "2/32 in", "4/32 in", LIMITS)
SAID = within("figures-said:\n    ", "wear-bar-height", "tread-steer", QUESTIONS)
IN_DOUBT = within("load-single: {beyond: regrooved-front-load}}\n", "            in-doubt: same\n", "")
UNIT = within("", "  unit: 32nds\n  plausible: 0-40 mm", "  unit: mm\n  plausible: 0-40 mm", QUESTIONS)
OUTSIDE = within(
    "- id: outside-crown-light\n            when: {",
    "through-outside-crown: holds",
    "injury-depth: {is: through}, zone: {one-of: [shoulder, sidewall]}",
)


def led(node: str, to: str) -> Edit:
    """A node led on to another one than follows."""
    return within(f"        ask: {node}\n", "", f"        next: {to}\n")


def outcome(case: Path, rules: Path, capsys: pytest.CaptureFixture[str]) -> list[object]:
    main(["decide", str(case), "--rules", str(rules), "--json"])
    answer = json.loads(capsys.readouterr().out)
    assert not answer["problems"], answer["problems"]
    return [answer[name] for name in OUTCOME]


def compared(old: Path, new: Path, examples: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    code = main(["compare", str(old), str(new), "--cases", str(examples)])
    said = capsys.readouterr()
    assert code != ExitCode.BAD_INPUT, said.err
    return code, said.out


@pytest.mark.parametrize(
    ("edit", "heading"),
    [
        pytest.param(LIGHT_SIGNS, "LOOSER: ruling inside-damage-light", id="a sign dropped"),
        pytest.param(NOT_FIRST, "LOOSER: ruling bus-front-not-first-tread", id="a choice dropped of a restriction"),
        pytest.param(LOW_TREAD, "LOOSER: ruling tread-low-for-steer", id="a vehicle dropped of a restriction"),
        pytest.param(UNLESS, "LOOSER: question wheel-position", id="a question left out for trucks"),
        pytest.param(BAR, "LOOSER: limit wear-bar-height", id="the figure of words typed"),
        pytest.param(SAID, "LOOSER: answer tread-depth", id="another figure for words typed"),
        pytest.param(IN_DOUBT, "LOOSER: ruling truck-front-regrooved", id="doubt that no longer restricts"),
        pytest.param(led("demounted", "run-low-inside"), "LOOSER: question sealant", id="led past sealant"),
        pytest.param(OUTSIDE, "OTHER: ruling outside-crown-light", id="a zone dropped that another ruling has"),
    ],
)
def test_the_edit_is_named_and_its_example_comes_out_otherwise(
    edit: Edit, heading: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new, examples = edition(tmp_path, edit), tmp_path / "examples"
    code, out = compared(BASE, new, examples, capsys)
    assert code == heading.startswith("LOOSER") and heading in out, out
    assert not any(text in out for text in NO_CASE)
    cases = sorted(examples.iterdir())
    assert cases
    for case in cases:
        assert outcome(case, BASE, capsys) != outcome(case, new, capsys), case.read_text(encoding="utf-8")


def test_a_node_that_is_led_past_from_everywhere(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    fork = "[{when: {tread-depth: {beyond: tread-new-light}}, go: tread-checked}, {go: earlier-repairs}]"
    waits = within("        ask: tread-checked\n        ", "", "next: earlier-repairs\n        # ")
    new, examples = edition(tmp_path, led("tread-depth", fork), waits), tmp_path / "examples"
    code, out = compared(BASE, new, examples, capsys)
    assert code == 1 and "LOOSER: ruling self-supporting" in out
    assert all(outcome(case, BASE, capsys) != outcome(case, new, capsys) for case in examples.iterdir())


def test_a_question_that_a_worked_out_value_reads_where_it_is_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, examples = edition(tmp_path, (PATHS, "go: inside-grooves", "go: by-depth")), tmp_path / "examples"
    for file, entry in (
        (PATHS, r"      inside-grooves:\n(?:       .*\n)+"),
        (QUESTIONS, r"inside-grooves:\n(?: .*\n)+"),
        ("phrases.yaml", r"  inside-grooves:\n(?:    .*\n)+"),
    ):
        text = (old / file).read_text(encoding="utf-8")
        (old / file).write_text(re.sub(rf"(?m)^{entry}", "", text).replace("inside-grooves, ", ""), encoding="utf-8")
    code, out = compared(old, BASE, examples, capsys)
    assert code == 1, (code, out)
    assert "LOOSER: ruling outside-crown-light" in out and "STRICTER: ruling outside-crown-light" in out
    inside = [
        case for case in sorted(examples.iterdir()) if '"yes"' in re.findall("inside-grooves: (.*)", case.read_text())
    ]
    assert inside
    for case in inside[:3]:
        assert outcome(case, BASE, capsys)[0] == "repair"
        text = re.sub(".*inside-grooves: .*\n", "", case.read_text(encoding="utf-8"))
        case.write_text(text, encoding="utf-8")
        assert outcome(case, old, capsys)[0] == "scrap"


ASKED_AND_READ = {
    "tire: any-order: outside: gone: [tube, retread]": within("any-order: {", "outside: [tube, retread]", "MORE"),
    "tire: any-order: more: new: [found-pressure, set-pressure]": within(
        "any-order: {", "MORE", "more: [found-pressure, set-pressure]"
    ),
    "injury: more: gone: more-injuries": within("  injury:\n    over: injuries\n", "    more: more-injuries\n", ""),
    "sidewall: optional: gone: yes": within("        ask: sidewall\n", '        optional: "yes"\n', ""),
    "tread-depth: unit: 32nds -> mm": UNIT,
    "injury-size: plausible: 0.1-1000 mm -> 0.1-900 mm": within("plausible: ", "0.1-1000 mm", "0.1-900 mm", QUESTIONS),
}


def test_what_is_asked_or_read_otherwise_has_its_heading(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out = compared(BASE, edition(tmp_path, *ASKED_AND_READ.values()), tmp_path / "examples", capsys)
    asked, read = (
        out.split(f"\n{heading}:\n")[1].split("\n\n")[0] for heading in ("ASKED OTHERWISE", "READ OTHERWISE")
    )
    told = {" ".join(line.split()) for line in (asked + "\n" + read).splitlines()}
    assert set(ASKED_AND_READ) <= told, out
    assert "OTHER: part injury" in out and "no injury" in out
    assert "only wording" not in out and "no case comes out otherwise" not in out


def test_parts_walked_in_another_order_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    part = "  shop:\n" + (BASE / PATHS).read_text(encoding="utf-8").split("\n  shop:\n")[1]
    moved = ((PATHS, part, ""), (PATHS, "\n  tire:\n", f"\n{part}  tire:\n"))
    code, out = compared(BASE, edition(tmp_path, *moved), tmp_path / "examples", capsys)
    assert code == 0 and "ASKED OTHERWISE" in out and "shop" in out


def test_figures_are_told_old_to_new(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out = compared(BASE, edition(tmp_path, BAR), tmp_path / "examples", capsys)
    assert "2/32 in -> 4/32 in" in out


def test_a_caution_or_step_lost_ends_with_3_until_the_notes_name_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edits = (
        within("always-shown: [roadside-traffic, ", "lifting, ", "", "about.yaml"),
        ("methods.yaml", "    - gauge-pair\n", ""),
        within("caution: [tube-never-instead, ", "tube-flap, ", ""),
    )
    code, out = compared(BASE, edition(tmp_path, *edits), tmp_path / "examples", capsys)
    lost = " ".join(out.split("\nCAUTIONS OR STEPS LOST:\n")[1].split("\n\n")[0].split())
    assert code == 3 and "LOOSER" not in out
    assert "always-shown: no lifting any more" in lost and "spot-repair: gauge-pair: gone" in lost
    assert "ruling tube-no-repair: no tube-flap, where" in lost and "tube: tube-type" in lost
    note = "notes:\n  - Taken out to try the note; caution lifting, gauge-pair and tube-flap.\n"
    code, out = compared(BASE, edition(tmp_path / "noted", *edits, ("about.yaml", "notes:\n", note)), tmp_path, capsys)
    assert code == 0 and " ".join(out.split()).count("(named in the notes)") == 3


def test_a_check_of_the_work_that_passes_more_easily_is_told_as_lost(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edits = (("steps.yaml", "fails: [bubble, ", "fails: ["), ("steps.yaml", "        - tight\n", "        - fine\n"))
    code, out = compared(BASE, edition(tmp_path, *edits), tmp_path / "examples", capsys)
    lost = " ".join(out.split("\nCAUTIONS OR STEPS LOST:\n")[1].split("\n\n")[0].split())
    assert code == 3 and "fails: no bubble any more" in lost and "passes: no tight any more, fine put in" in lost
    edits = (("steps.yaml", "fails: [bubble, ", "fails: [bubble, drip, "), ("steps.yaml", "        - tight\n", ""))
    code, out = compared(BASE, edition(tmp_path / "stricter", *edits), tmp_path / "examples", capsys)
    assert code == 0 and "LOST" not in out and "drip put in" in out and "no tight any more" in out


def test_what_only_has_another_name_is_told_as_renamed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new, texts = edition(tmp_path), {}
    for old, name in (
        ("scrap-tread", "scrap-worn"),
        ("tread-worn-light", "worn-light"),
        ("tread-floor-light", "floor"),
    ):
        for file in new.glob("*.yaml"):
            text = texts.get(file) or file.read_text(encoding="utf-8")
            texts[file] = re.sub(rf"(?<![\w-]){old}(?![\w-])", name, text)
    for file, text in texts.items():
        file.write_text(text, encoding="utf-8")
    code, out = compared(BASE, new, tmp_path / "examples", capsys)
    assert code == 0 and "no case comes out otherwise" in out, out
    renamed = " ".join(out.split("\nRENAMED:\n")[1].split("\n\n")[0].split())
    assert "scrap-tread -> scrap-worn" in renamed and "tread-floor-light -> floor" in renamed
    assert "tread-depth: tread-worn-light -> worn-light" in renamed


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        pytest.param(
            (QUESTIONS, "words-for: {0 psi: [flat", "words-for: {30 psi: [flat"),
            ("READ OTHERWISE: found-pressure: words-for: {0 psi: [flat,", "of those that are read alike"),
            id="words that stand for another figure",
        ),
        pytest.param(
            ("cautions.yaml", "Do not top it up on the vehicle", "You may top it up on the vehicle"),
            ("WORDED OTHERWISE, OR BY ANOTHER SOURCE: top-up-on-vehicle: says: Do not", "-> You may top it up"),
            id="a text that says the contrary",
        ),
        pytest.param(
            (QUESTIONS, "  effort: measure\n  prompt: injury\n", "  effort: ask\n  prompt: injury\n"),
            ("ASKED IN ANOTHER ORDER: injury-depth: effort: measure -> ask", "and the order of asking"),
            id="what an answer takes",
        ),
    ],
)
def test_what_changes_no_case_is_shown_old_to_new(
    edit: Edit, told: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out = compared(BASE, edition(tmp_path, edit), tmp_path / "examples", capsys)
    assert all(text in " ".join(out.split()) for text in told), out


def test_the_order_of_asking_alone_is_told_though_the_content_is_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = whole_copy(tmp_path / "us-road")
    text = (new / QUESTIONS).read_text(encoding="utf-8")
    (new / QUESTIONS).write_text(text.replace("passenger: 50,", "passenger: 5,", 1), encoding="utf-8")
    code, out = compared(BASE, new, tmp_path / "examples", capsys)
    assert code == 0 and "ASKED IN ANOTHER ORDER:\n  tire-class: likely: {passenger: 50," in out, out
    assert out.endswith("the same content but for the order of asking\n")


def test_a_choice_called_by_a_plain_word_now_is_not_sought_in_what_people_say(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = edition(tmp_path)
    for file in new.glob("*.yaml"):
        text = re.sub(r"(?<![\w-])foam-ring(?=[:,}\]])", "ring", file.read_text(encoding="utf-8"))
        file.write_text(text, encoding="utf-8")
    _, out = compared(BASE, new, tmp_path / "examples", capsys)
    assert "sealant: choices: foam-ring -> ring" in out and "READ OTHERWISE" not in out, out


def test_an_edition_before_the_one_that_was_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    earlier = ("about.yaml", "edition: 2026", "edition: 2016")
    _, out = compared(BASE, edition(tmp_path, earlier, of_its_own=False), tmp_path / "examples", capsys)
    assert "\nAN EARLIER EDITION THAN BEFORE:\n  2026" in out, out
