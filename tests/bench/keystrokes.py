"""How many prompts and keys ten given tires take: `python tests/bench/keystrokes.py [FILE] [--lines]`.

Each case is typed into a consultation, until its verdict is settled and to a whole record, in three ways: one question
after another as they stand in the rules, in the free order one by one, and in the free order with as many of a prompt's
answers in one line as are read as meant, each in its shortest words. A choice put by itself is typed by its number;
Enter counts as a key. `--lines` shows the lines of the last way.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from datetime import date

from advisor.commands.decide import case_texts
from advisor.dialogue.prompt import Ask, settled_now
from advisor.dialogue.prompt_line import read_prompt_line
from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import words_for
from advisor.loader.cache import copies_folder, ready_rule_set
from advisor.loader.case_file import read_case
from advisor.loader.paths import find_rule_set
from advisor.model.case import CANT_TELL, Answer, Case, Choice, Choices, Key, Readings
from advisor.model.problems import Misread
from advisor.model.quantity import Measure
from advisor.model.ruleset import RuleSet

CASES = Path(__file__).parent / "ten_cases.yaml"
TODAY = date(2026, 3, 14)


def by_itself(ask: Ask, answer: Answer | None) -> str:
    """What is typed for the question put first, and nothing else."""
    if answer is None:
        return "skip" if ask.optional or ask.instead else "dk"
    if isinstance(answer, Choice):
        ids = [choice.id for choice in ask.question.choices]
        return str(ids.index(answer.id) + 1)
    if answer is CANT_TELL:
        return "dk"
    if isinstance(answer, Choices):
        ids = [choice.id for choice in ask.question.choices]
        return ",".join(str(ids.index(each) + 1) for each in sorted(answer.present)) or "none"
    return value_in_words(answer, ask.question).replace("°", "")


def in_a_line(asks: tuple[Ask, ...], case: Case, rules: RuleSet) -> str:
    """What is typed for a prompt in one line: as many of its answers as are read as meant."""
    lead, *others = asks
    starts = ["", *_shortest(lead, case), *_pairs(asks, case), *_all_none(asks, case, rules)]
    lines = [_line_from(text, lead, others, case, rules) for text in starts]
    return max(lines, key=lambda line: (len(_told(line, asks, rules)), -len(line)))


def _told(line: str, asks: tuple[Ask, ...], rules: RuleSet) -> set[Key]:
    with suppress(Misread):
        return set(read_prompt_line(line, {each.key: each.question for each in asks}, rules) or ()) if line else set()
    return set()


def _pairs(asks: tuple[Ask, ...], case: Case) -> Iterator[str]:
    """Both pressures as one."""
    said = [case.get(each.question.over, each.key) for each in asks if each.question.quantity == "pressure"]
    if len(said) > 1 and all(isinstance(each, Measure) for each in said[:2]):
        yield "/".join(value_in_words(each, asks[0].question).removesuffix(" psi") for each in said[:2]) + " psi"


def _all_none(asks: tuple[Ask, ...], case: Case, rules: RuleSet) -> Iterator[str]:
    """The list gone over, and nothing found."""
    line = "all looked at, none"
    told = _told(line, asks, rules)
    said = {str(case.get(each.question.over, each.key)) for each in asks if each.key in told}
    if told and said <= {"none", "no"}:
        yield line


def _line_from(text: str, lead: Ask, others: list[Ask], case: Case, rules: RuleSet) -> str:
    """A line that begins with a text for the question put first, or with nothing for it."""
    questions = {each.key: each.question for each in (lead, *others)}
    whole = (lead, *others)
    told = _told(text, whole, rules) or ({lead.key} if text else set())
    line = text
    for each in whole if text else others:
        if each.key in told:
            continue
        for more in _shortest(each, case):
            longer = f"{line}, {more}" if line else more
            with suppress(Misread):
                said = read_prompt_line(longer, questions, rules)
                if said is not None and set(said) == {*told, each.key}:
                    line, told = longer, {*told, each.key}
                    break
    return line


def _shortest(ask: Ask, case: Case) -> list[str]:
    answer = case.get(ask.question.over, ask.key)
    found = list(_words(ask, answer)) if answer is not None else list(ask.question.left_out_by)
    return sorted((text for text in found if not text.isdecimal()), key=len)


def _words(ask: Ask, answer: Answer) -> Iterator[str]:
    question = ask.question
    name = question.name.removeprefix("the ").removeprefix("injury's ")
    if isinstance(answer, Choice):
        choice = question.choice(answer.id)
        assert choice is not None
        yield from words_for(choice)
        yield from (f"{name} {word}" for word in words_for(choice))
        if answer.id == "no":
            yield f"no {name}"
    elif answer is not CANT_TELL:
        words = value_in_words(answer, question)
        yield from (words, words.replace(" ", "")) if isinstance(answer, Measure | Readings) else (words,)
        yield f"{name} {words}"


def typed(judge: Judge, case: Case, in_order: bool, together: bool) -> list[tuple[str, bool]]:
    """The lines typed, each with whether the verdict was settled after it."""
    consultation = Consultation(judge, TODAY, in_order=in_order)
    lines: list[tuple[str, bool]] = []
    while len(lines) < 80:
        if consultation.ask is None and consultation.for_the_record:
            consultation.go_on()
        ask = consultation.ask
        if ask is None:
            break
        line = in_a_line((ask, *ask.beside), case, judge.rules) if together and ask.beside else ""
        before = consultation.case
        said = consultation.answer(line) if line else []
        if not line or consultation.case == before or consultation.pending is not None:
            if consultation.pending is not None:
                consultation.back()
            line = by_itself(ask, case.get(ask.question.over, ask.key))
            said = consultation.answer(line) if line != "skip" else consultation.skip()
        assert consultation.case != before, (line, ask.question.id, said)
        lines.append((line, settled_now(consultation.judgement, judge)))
    wrong = [key for key, *_ in consultation.answered if not _as_meant(key, consultation.case, case, judge)]
    assert not wrong, wrong
    return lines


def _as_meant(key: tuple[str, int], heard: Case, case: Case, judge: Judge) -> bool:
    question = judge.rules.questions[key[0]]
    one, other = (_figures(each.get(question.over, key)) for each in (heard, case))
    return other is None or one == other


def _figures(answer: Answer | None) -> object:
    if isinstance(answer, Readings):
        return [_figures(each) for each in answer.readings]
    return (answer.low, answer.high, answer.unit) if isinstance(answer, Measure) else answer


def main() -> int:
    """Prints a line for each case and the sums."""
    words = [word for word in sys.argv[1:] if not word.startswith("--")]
    judge = Judge(ready_rule_set(find_rule_set("us-road"), copies_folder(os.environ)))
    ways = {"in the rules' order": (True, False), "free, one by one": (False, False), "free, in lines": (False, True)}
    sums = {way: [0, 0, 0, 0] for way in ways}
    print("settled after prompts / keys; whole record prompts / keys")
    for number, text in enumerate(case_texts([words[0] if words else str(CASES)]), 1):
        case = read_case(text, judge.rules, TODAY)
        print(f"{number}. {judge.judge(case).verdict}")
        for way, (in_order, together) in ways.items():
            lines = typed(judge, case, in_order, together)
            settled = next((place for place, (_, done) in enumerate(lines, 1) if done), len(lines))
            keys = [len(line) + 1 for line, _ in lines]
            found = [settled, sum(keys[:settled]), len(lines), sum(keys)]
            sums[way] = [one + other for one, other in zip(sums[way], found, strict=True)]
            print(f"   {way:20}", *(f"{each:4}" for each in found))
        if "--lines" in sys.argv:
            print(*(f"      {line}{'   | settled' if done else ''}" for line, done in lines), sep="\n")
    for way, found in sums.items():
        print(f"all {way:19}", *(f"{each:4}" for each in found))
    return 0


if __name__ == "__main__":
    sys.exit(main())
