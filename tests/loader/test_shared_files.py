"""Files that rule sets share: taken in as far as they are used, worded by each set, watched with its own files."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.loader.paths import trees_folder
from advisor.loader.ruleset_loader import load_rule_set
from advisor.loader.shared import LEAVE_OUT
from advisor.model.problems import Problems
from tests.dialogue.test_watching import edit, live_on, said, save

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the British rules, with the shared files beside them."""
    shutil.copytree(trees_folder() / "common", tmp_path / "common")
    return Path(shutil.copytree(trees_folder() / "uk-road", tmp_path / "uk"))


@pytest.fixture
def shared(folder: Path) -> Path:
    return folder.parent / "common"


def asked(folder: Path | str, *answers: str) -> str:
    """What a consultation in plain lines says, started anew."""
    command = [sys.executable, "-m", "advisor", "--plain", "--in-order", "--no-journal", "--rules", str(folder)]
    done = subprocess.run(command, input="\n".join((*answers, "quit\n")), capture_output=True, text=True, cwd=ROOT)
    assert done.stderr == ""
    return " ".join(done.stdout.split())


def problems(folder: Path, capsys: pytest.CaptureFixture[str]) -> str:
    assert main(["check", str(folder)]) != 0
    return capsys.readouterr().err


def put(path: Path, text: str) -> None:
    """Adds entries to a file."""
    path.write_text((path.read_text(encoding="utf-8") if path.exists() else "") + text, encoding="utf-8")


def test_the_two_sets_ask_the_shared_questions_each_in_its_own_words() -> None:
    assert "What vehicle is the tire from?" in asked("us-road") and "Truck or truck tractor" in asked("us-road")
    assert "What vehicle is the tyre from?" in asked("uk-road") and "Lorry (goods vehicle" in asked("uk-road")
    assert "Trailer" in asked("uk-road")


def test_an_edit_of_a_shared_file_counts_at_the_next_start(folder: Path, shared: Path) -> None:
    before = asked(folder)
    edit(shared, "questions.yaml", "What vehicle is the tire from?", "Off which vehicle is this tire?")
    assert "What vehicle is the tyre from?" in before and "Off which vehicle is this tyre?" in asked(folder)


def test_a_shared_folder_put_beside_counts_at_the_next_start(tmp_path: Path) -> None:
    home = Path(shutil.copytree(trees_folder() / "uk-road", tmp_path / "uk"))
    before = asked(home)
    shutil.copytree(trees_folder() / "common", tmp_path / "common")
    edit(tmp_path / "common", "questions.yaml", "What vehicle is the tire from?", "Off which vehicle is this tire?")
    assert "What vehicle is the tyre from?" in before and "Off which vehicle is this tyre?" in asked(home)


def test_the_ready_copy_stands_until_a_shared_file_is_edited(
    folder: Path, shared: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ADVISOR_CACHE", str(tmp_path / "copies"))
    asked(folder)
    (copy,) = (tmp_path / "copies").iterdir()
    first = copy.stat().st_ino
    asked(folder)
    assert copy.stat().st_ino == first
    edit(shared, "words.yaml", "A rod with a rounded tip", "A rod with a round tip")
    asked(folder)
    assert copy.stat().st_ino != first


def test_a_shared_file_that_is_saved_counts_while_a_consultation_runs(folder: Path, shared: Path) -> None:
    live = live_on(folder, ("car",))
    edit(shared, "questions.yaml", "name: the wheel position", "name: the wheel's own position")
    said(live)
    assert live.consultation.judge.rules.questions["wheel-position"].name == "the wheel's own position"
    edit(shared, "questions.yaml", "kind: choice", "kind: chioce")
    said_now = said(live)
    assert "can't be used" in said_now and "common/" in said_now


def test_common_is_no_rule_set(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["decide", "-", "--rules", "common"]) == 2
    assert "expected  one of de-road, demo-shop, uk-road, us-road, or a folder" in capsys.readouterr().err
    assert main(["--version"]) == 0
    assert "common" not in capsys.readouterr().out


def test_what_a_set_does_not_use_is_not_in_it(folder: Path, shared: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = load_rule_set(folder)
    put(
        shared / "questions.yaml",
        "rim-colour: {name: rim, asks: Which?, kind: text, why: '{no-such-limit} says so.'}\n",
    )
    put(
        shared / "values.yaml",
        "tool-speed: {name: tool, function: edge-speed, figures: {turning: buff-speed, across: stem-above-tread}}\n",
    )
    put(shared / "words.yaml", "gribble: {title: Gribble, says: A word that stands nowhere.}\n")
    put(shared / "terms.yaml", "warm: {says: it is warm, when: {shop-temperature: {beyond: no-such}}}\n")
    after = load_rule_set(folder)
    assert {"ran-low-or-may-have"} <= after.terms.keys() and "warm" not in after.terms
    assert after.digest == before.digest and "rim-colour" not in after.questions and "gribble" not in after.words
    assert main(["check", str(folder)]) == 0
    capsys.readouterr()
    edit(folder, "about.yaml", "  - the tyre maker's policy", "  - the gribble\n  - the tyre maker's policy")
    assert "gribble" in load_rule_set(folder).words
    assert {"mean-speed", "own-girth"}.isdisjoint(after.questions) and "load-range" in after.questions


@pytest.mark.parametrize(
    ("file", "name"), [("steps.yaml", "measure-again"), ("endings.yaml", "repair-one-piece"), ("steps.yaml", "patch")]
)
def test_what_is_shared_comes_in_where_it_is_named(file: str, name: str, folder: Path, shared: Path) -> None:
    """Also an ending that only a method names; one more that nothing names stays out."""
    own = folder / file
    found = re.search(rf"^{name}:\n(?:  .*\n)+", own.read_text(encoding="utf-8"), re.M)
    assert found is not None
    before = load_rule_set(folder).digest
    own.write_text(own.read_text(encoding="utf-8").replace(found[0], ""), encoding="utf-8")
    put(shared / file, found[0] + found[0].replace(f"{name}:", "gribble:"))
    assert load_rule_set(folder).digest == before


def test_what_to_do_after_a_failed_test_is_spelled_as_the_rules_spell(folder: Path) -> None:
    fields = [f for method in load_rule_set(folder).methods.values() for step in method.steps for f in step.fields]
    failed = {field.failed for field in fields if field.failed}
    assert failed and all("tyre" in text and "tire" not in text for text in failed)


def test_moving_an_entry_between_the_set_and_the_shared_files_changes_no_digest(folder: Path, shared: Path) -> None:
    before = load_rule_set(folder).digest
    text = (shared / "questions.yaml").read_text(encoding="utf-8")
    found = re.search(r"^tube:\n(?:  .*\n)+", text, re.M)
    assert found is not None
    (shared / "questions.yaml").write_text(text.replace(found[0], ""), encoding="utf-8")
    put(folder / "questions.yaml", found[0].replace("tire", "tyre"))
    assert load_rule_set(folder).digest == before
    edit(folder, "questions.yaml", "A tube never stands in for a repair.", "A tube is no repair.")
    assert load_rule_set(folder).digest != before


def test_an_entry_says_otherwise_key_by_key_and_choice_by_choice(folder: Path) -> None:
    put(folder / "questions.yaml", "tube:\n  choices: {tube-type: With a tube}\n  leave-out: [how]\n")
    tube = load_rule_set(folder).questions["tube"]
    first, second = tube.choices
    assert (first.id, second.id, second.says) == ("tubeless", "tube-type", "With a tube")
    assert second.also and not tube.how and tube.why
    assert "With a tube" in asked(folder, "car", "front", "205/55R16 91V")


def test_a_phrase_of_the_sets_own_moves_from_the_choice_that_it_is_shared_for(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    hear = ["hear", "forklift, nail in the crown", "--rules", str(folder)]
    assert main(hear) == 0 and 'vehicle: "other"' in capsys.readouterr().out
    edit(
        folder,
        "phrases.yaml",
        "    motorcycle: [motorcycle",
        "    van-or-pickup: [forklift]\n    motorcycle: [motorcycle",
    )
    assert main(hear) == 0 and 'vehicle: "van-or-pickup"' in capsys.readouterr().out


def test_what_only_the_set_has_stands_where_its_own_file_puts_it(folder: Path) -> None:
    put(folder / "questions.yaml", "tube:\n  choices: {either: Either, tube-type: With a tube, none-such: Neither}\n")
    choices = load_rule_set(folder).questions["tube"].choices
    assert [choice.id for choice in choices] == ["tubeless", "either", "tube-type", "none-such"]


def test_left_out_choices_are_the_sets_own_alone(folder: Path) -> None:
    put(folder / "questions.yaml", "humidity:\n  leave-out: [example]\n")
    choices = "{first: {says: One, also: [two words]}, car: A car}"
    put(folder / "questions.yaml", f"self-supporting:\n  leave-out: [choices]\n  choices: {choices}\n")
    with pytest.raises(Problems) as raised:
        load_rule_set(folder)
    found = [each for each in raised.value.problems if each.place.file == "uk/paths.yaml"]
    assert found and {each.expected for each in found} == {'a choice of "self-supporting": first, car'}


def test_no_id_no_word_to_be_understood_and_no_name_between_braces_is_spelled(folder: Path, shared: Path) -> None:
    edit(folder, "about.yaml", "tire: tyre}", "tire: tyre, front: fore, found: got}")
    rules = load_rule_set(folder)
    assert "front" in (rules.questions["wheel-position"].choice("steer") or pytest.fail()).also
    assert "(fore wheels)" in (rules.questions["wheel-position"].choice("steer") or pytest.fail()).says
    assert "{found-pressure}" in rules.questions["pressure-checked"].asks
    assert "tire-class" in rules.questions and "tyres" in rules.words["dual-pair"].says


SLIPS = [
    (
        "common",
        "questions.yaml",
        "kind: choice",
        "kind: chioce",
        r'common/questions.yaml:\d+:9: unknown-word: "chioce"',
    ),
    (
        "common",
        "questions.yaml",
        "  asks: What vehicle",
        "  aks: What vehicle",
        r"common/questions.yaml:\d+:3: unknown-key",
    ),
    ("common", "values.yaml", "share: run-low-share", "share: run-low", r"common/values.yaml:\d+:\d+: unknown-name"),
    ("uk", "questions.yaml", "  asks: Is it radial", "  aks: Is it radial", r"uk/questions.yaml:\d+:3: unknown-key"),
    (
        "uk",
        "questions.yaml",
        "construction:",
        "construction:\n  leave-out: [hwo]",
        r'unknown-name: "hwo" as "leave-out"',
    ),
    (
        "uk",
        "questions.yaml",
        "construction:",
        "construction:\n  leave-out: [why, name]",
        r'missing-key: .*without "name"',
    ),
    ("uk", "words.yaml", "crown:", "crown:\n  leave-out: [says]", r"uk/words.yaml:\d+:3: unknown-key"),
    ("uk", "questions.yaml", "  asks: Is it", "  asks: Is\n  asks: Is it", r'duplicate-key: "asks" a second time'),
    ("uk", "about.yaml", "shares: common", "shares: comon", r'uk/about.yaml:\d+:9: unknown-name: "comon" as "shares"'),
    ("uk", "about.yaml", "shares: common", "shares: us-road", r'unknown-name: "us-road" as "shares"'),
]


@pytest.mark.parametrize(("home", "file", "old", "new", "told"), SLIPS)
def test_a_slip_is_told_with_the_place_where_it_stands(
    home: str, file: str, old: str, new: str, told: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit(folder.parent / home, file, old, new)
    found = problems(folder, capsys)
    assert re.search(told, found), found


@pytest.mark.parametrize(("name", "told"), [("question.yaml", "questions.yaml"), ("paths.yaml", ""), ("about.yml", "")])
def test_a_shared_file_that_nothing_reads_is_named(
    name: str, told: str, folder: Path, shared: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    save(shared / name, "a: {}\n")
    found = problems(folder, capsys)
    assert f"common/{name}:1:1: unknown-file" in found and told in found


def test_what_new_writes_elsewhere_stands_on_the_shared_files(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["new", str(tmp_path / "our-shop"), "--builds-on", "uk-road"]) == 0
    assert main(["check", str(tmp_path / "our-shop")]) == 0
    assert "What vehicle is the tyre from?" in asked(tmp_path / "our-shop")
    capsys.readouterr()


def test_schemas_of_a_set_that_shares_let_its_entries_say_only_what_is_other(folder: Path) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    import yaml

    assert main(["schemas", str(folder)]) == 0
    for file in ("questions", "values", "words"):
        schema = json.loads((folder / ".schemas" / f"{file}.json").read_text(encoding="utf-8"))
        data = yaml.load((folder / f"{file}.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)
        jsonschema.Draft7Validator(schema).validate(data)
    schema = json.loads((folder / ".schemas" / "questions.json").read_text(encoding="utf-8"))
    valid = jsonschema.Draft7Validator(schema).is_valid
    assert valid({"tube": {LEAVE_OUT: ["how"]}}) and not valid({"tube": {"hwo": "x"}})
    assert not valid({"own-question": {"asks": "Which?"}})
