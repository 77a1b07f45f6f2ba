"""However it is asked why, the same reasons and the same open questions are named.

The ways: why typed, `why is it scrap?`, `why is it rejected?`, `why can it not be repaired?`, `advisor ask`, the key at
the screen and the report. Asked of every case of a rule set that is kept, and of each as it stood half answered.
"""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from functools import lru_cache

import pytest

from advisor.cli import main
from advisor.console.session_lines import message_lines
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.paths import find_rule_set
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.case import Case
from advisor.model.ruleset import Verdict
from advisor.model.saved import Saved
from advisor.tools.case_writer import case_text
from advisor.wording.verdict_card import questions_in_words
from tests.tui.driving import drive

DAY = date(2026, 3, 14)
FILES = [
    path
    for name in ("us-road", "uk-road", "de-road", "demo-shop")
    for path in sorted((find_rule_set(name) / "cases").glob("*.yaml"))[::2]
]
#: So many of a case's answers are kept where it is looked at half answered.
HALVES = (1, 4, 9, 14)
WAYS = ("why?", "why is it scrap?", "why is it refer", "why is it rejected?", "why was it turned down?")
AGAINST = ("why can it not be repaired?", "why can't it be repaired", "why not repair?")
OPEN, FURTHER, COUNTING = ("Still to answer", "Not answered yet"), "more: why", "also counting"


@lru_cache
def judge(name: str) -> Judge:
    return Judge(load_rule_set(find_rule_set(name)))


def cases() -> list[tuple[str, str, Case]]:
    """Each kept case with its name and rule set, whole and with its first answers alone."""
    found = []
    for path in FILES:
        rules = judge(path.parent.parent.name).rules
        case = read_case(next(split_cases(path.read_text(encoding="utf-8"), path.name)), rules, DAY)
        found.append((f"{path.parent.parent.name}/{path.stem}", path.parent.parent.name, case))
        few = HALVES[len(found) % len(HALVES)]
        some = {name: case.answers[name] for name in list(case.answers)[:few]}
        injuries = case.injuries if len(found) % 3 == 0 else ()
        found.append((f"{path.stem}, {few} answers", path.parent.parent.name, Case(some, (), injuries, case.today)))
    return found


CASES = cases()


def flat(text: str) -> str:
    return " ".join(text.replace("\u2800", " ").split())


def typed(consultation: Consultation, text: str) -> str:
    return flat("\n".join(line for message in say(consultation, text) for line in message_lines(message)))


def opened(consultation: Consultation, text: str) -> str:
    """What was said, and the pages that it names for what it has no room for."""
    said = text
    if FURTHER in text:
        first = int(text.partition(FURTHER)[2].split()[0])
        for number in range(first, first + int(text.partition(f" {FURTHER}")[0].rpartition("and ")[2])):
            said += " " + typed(consultation, f"why {number}")
    return said + (" " + typed(consultation, "why limits") if COUNTING in text else "")


def named(consultation: Consultation, text: str, least: Verdict | None = None) -> tuple[set[str], set[str]]:
    """The reasons that a text names, those for a verdict worse than `least` alone, and the questions it calls open."""
    now, rules = consultation.judgement, consultation.judge.rules
    reasons = [r for r in now.reasons if least is None or (r.verdict or Verdict.REPAIR) > least]
    starts = [at for word in OPEN if (at := text.find(word)) >= 0]
    rest = text[min(starts) :] if starts else ""
    return (
        {flat(reason.says) for reason in reasons if flat(reason.says) in text},
        {name for name in questions_in_words(now.missing, rules) if name in rest},
    )


def consultation_of(rules: str, case: Case) -> Consultation:
    consultation = Consultation(judge(rules), DAY)
    consultation.resume(Saved(case))
    return consultation


@pytest.mark.parametrize(("name", "rules", "case"), CASES, ids=[name for name, _, _ in CASES])
def test_every_way_of_asking_names_the_same(name, rules, case):
    consultation = consultation_of(rules, case)
    first = opened(consultation, typed(consultation, "why"))
    reasons, still = named(consultation, first)
    assert reasons == {flat(reason.says) for reason in consultation.judgement.reasons}
    assert still == (
        set()
        if consultation.judgement.settled
        else set(questions_in_words(consultation.judgement.missing, judge(rules).rules))
    )
    for way in WAYS:
        said = opened(consultation, typed(consultation, way))
        assert named(consultation, said) == (reasons, still), way
    worse, still = named(consultation, first, Verdict.REPAIR)
    for way in AGAINST:
        said = typed(consultation, way)
        if consultation.judgement.verdict is Verdict.REPAIR:
            assert "As things stand it is REPAIR" in said, way
        else:
            assert named(consultation, said, Verdict.REPAIR) == (worse, still), way


@pytest.mark.parametrize(("name", "rules", "case"), CASES[::3], ids=[name for name, _, _ in CASES[::3]])
def test_the_commands_name_the_same(name, rules, case, tmp_path, capsys):
    consultation = consultation_of(rules, case)
    reasons, still = named(consultation, opened(consultation, typed(consultation, "why")))
    file = tmp_path / "case.yaml"
    file.write_text(case_text(case, judge(rules).rules), encoding="utf-8")
    for question in ("why", "why is it scrap?"):
        assert main(["ask", str(file), question, "--rules", rules]) == 0
        assert named(consultation, opened(consultation, flat(capsys.readouterr().out))) == (reasons, still), question
    assert main(["report", str(file), "--rules", rules]) == 0
    said = flat(capsys.readouterr().out.partition("\nReasons:")[2].partition("FOR THE DRIVER")[0])
    assert named(consultation, said)[0] == reasons


def test_the_key_at_the_screen_names_the_same():
    some = [(name, case) for name, rules, case in CASES if rules == "us-road"]
    seen = []

    async def steps(screen):
        for name, case in some[:40]:
            consultation = consultation_of("us-road", case)
            first = opened(consultation, typed(consultation, "why"))
            screen.desk.consultation.resume(Saved(case))
            screen.desk.settle()
            screen.desk.transcript.clear()
            await screen.press("f2")
            said = flat(" ".join(para.text for turn in screen.desk.transcript.turns for para in turn))
            assert named(consultation, opened(consultation, said)) == named(consultation, first), name
            seen.append(name)

    drive(steps)
    assert len(seen) >= 30


@pytest.mark.parametrize("lines", [["why"], ["truck", "why"], ["truck", "drive", "why"]])
def test_where_no_ruling_brings_it_yet_none_is_spoken_of(lines):
    command = [sys.executable, "-c", "from advisor.cli import main; main(['--plain', '--in-order', '--no-journal'])"]
    said = subprocess.run(
        command, input="\n".join(lines), capture_output=True, text=True, timeout=60, check=False
    ).stdout
    page = said.split("> why\n")[1].split("Still asked:")[0]
    assert "Still to answer:" in page
    assert "The rulings that bring it" not in page and " more: why" not in page
