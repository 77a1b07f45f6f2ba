"""How many prompts and keys ten given tires take: `python tests/bench/keystrokes.py [FILE] [--lines]`.

Each case is typed into a consultation, until its verdict is settled and to a whole record, in four ways: one question
after another as they stand in the rules; in the free order one by one; in the free order with several answers in a line
only where that takes fewer keys; in the free order with as many of a prompt's answers in one line as are read as meant,
each in its shortest words. A choice put by itself is typed by its number;
Enter counts as a key. `--lines` shows the lines of the last way.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from datetime import date

from advisor.commands.decide import case_texts
from advisor.dialogue.prompt import Ask, settled_now
from advisor.dialogue.prompt_line import names_in_a_line, read_prompt_line
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
        return "" if ask.optional else "skip" if ask.instead else "dk"
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
    """What is typed for a prompt in one line: as many of its answers as are read as meant, in the fewest keys."""
    starts = ["", *_pairs(asks, case), *_all_none(asks, case, rules)]
    lines = [_line_from(text, asks, case, rules) for text in starts]
    return _best(lines, asks, case, rules)


def _told(line: str, asks: tuple[Ask, ...], case: Case, rules: RuleSet) -> set[Key]:
    """What a line tells of a prompt; nothing where any of it is read otherwise than it is meant."""
    found: Mapping[Key, Answer | None] = {}
    with suppress(Misread):
        found = read_prompt_line(line, {each.key: each.question for each in asks}, rules) or {} if line else {}
    meant = {each.key: case.get(each.question.over, each.key) for each in asks}
    right = all(_figures(answer) == _figures(meant[key] or _unsaid(key, asks)) for key, answer in found.items())
    return set(found) if right else set()


def _unsaid(key: Key, asks: tuple[Ask, ...]) -> Answer | None:
    """What is typed for a question that the case says nothing of: left out where that may be, else can't tell."""
    ask = next(each for each in asks if each.key == key)
    return None if ask.question.left_out_by else CANT_TELL


def _pairs(asks: tuple[Ask, ...], case: Case) -> Iterator[str]:
    """Both pressures as one."""
    said = [case.get(each.question.over, each.key) for each in asks if each.question.quantity == "pressure"]
    if len(said) > 1 and all(isinstance(each, Measure) for each in said[:2]):
        pair = "/".join(value_in_words(each, asks[0].question).removesuffix(" psi") for each in said[:2])
        yield from (pair, f"{pair} psi")


def _all_none(asks: tuple[Ask, ...], case: Case, rules: RuleSet) -> Iterator[str]:
    """The list gone over, and nothing found."""
    yield from (line for line in ("all checked none",) if _told(line, asks, case, rules))


def _line_from(text: str, asks: tuple[Ask, ...], case: Case, rules: RuleSet) -> str:
    """A line that begins with a text, with one answer more as long as all are read as meant; what can't be told last.

    Once all that is known is said, the rest is not known: the fewest keys of both ways count.
    """
    told, line, whole = _told(text, asks, case, rules), text, []
    for known in (True, False):
        while longer := _one_more(line, told, asks, case, rules, known):
            line, told = longer, _told(longer, asks, case, rules)
        whole += [f"{line}, rest dk" if line else "all dk", line]
    return _best(whole, asks, case, rules)


def _best(lines: list[str], asks: tuple[Ask, ...], case: Case, rules: RuleSet) -> str:
    """The line that tells most of what can't be left out, or is known, in the fewest keys."""
    wanted = {each.key for each in asks if not each.optional or case.get(each.question.over, each.key) is not None}
    return max(lines, key=lambda line: (len(_told(line, asks, case, rules) & wanted), -len(line)))


def _one_more(line: str, told: set[Key], asks: tuple[Ask, ...], case: Case, rules: RuleSet, known: bool) -> str:
    """The shortest line that tells one answer more; empty where none does."""
    left = [each for each in asks if each.key not in told]
    left = [each for each in left if not known or case.get(each.question.over, each.key) is not CANT_TELL]
    said = {more for each in left for more in _shortest(each, case, rules)}
    words = line.split()
    places = [(" ".join(words[:place]), " ".join(words[place:])) for place in range(len(words) + 1)]
    parts = [(ahead, more, behind) for ahead, behind in places for more in said]
    longer = {between.join(filter(None, each)) for each in parts for between in (" ", ", ")}
    tried = sorted(longer, key=lambda each: (len(each), each))
    return next((each for each in tried if told < _told(each, asks, case, rules)), "")


def _shortest(ask: Ask, case: Case, rules: RuleSet) -> list[str]:
    answer = case.get(ask.question.over, ask.key)
    found = list(_words(ask, answer, rules)) if answer is not None else list(ask.question.left_out_by)
    return sorted((text for text in found if not text.isdecimal()), key=len)


def _words(ask: Ask, answer: Answer, rules: RuleSet) -> Iterator[str]:
    question, names = ask.question, names_in_a_line(ask.question, rules)
    if isinstance(answer, Choice):
        choice = question.choice(answer.id)
        assert choice is not None
        said = words_for(choice)
        yield from (f"no {name}" for name in names if answer.id == "no")
    elif answer is CANT_TELL:
        said = ("dk",)
    elif isinstance(answer, Choices) and len(answer.present) == 1:
        found = question.choice(next(iter(answer.present)))
        assert found is not None
        said = words_for(found)
    else:
        words = value_in_words(answer, question)
        said = tuple(dict.fromkeys((words, words.replace(" ", ""), words.removesuffix(" in"))))
    yield from said
    yield from (f"{name} {word}" for name in names for word in said)


def cheapest(asks: tuple[Ask, ...], case: Case, rules: RuleSet) -> str:
    """What is typed for a prompt in the fewest keys an answer: both pressures as one, the list gone over, one alone.

    The last is the empty line.
    """
    lead = asks[0]
    alone = len(by_itself(lead, case.get(lead.question.over, lead.key))) + 1.0
    lines = [*_pairs(asks, case), *_all_none(asks, case, rules), in_a_line(asks, case, rules)]
    told = {line: len(_told(line, asks, case, rules)) for line in lines}
    each = {line: (len(line) + 1) / number for line, number in told.items() if number > 1}
    best = min(each, key=lambda line: each[line], default="")
    return best if best and each[best] < alone else ""


def typed(judge: Judge, case: Case, in_order: bool, how: Callable[..., str] | None) -> list[tuple[str, bool]]:
    """The lines typed, each with whether the verdict was settled after it; `how` makes those of several answers."""
    consultation = Consultation(judge, TODAY, in_order=in_order)
    lines: list[tuple[str, bool]] = []
    while len(lines) < 80:
        if consultation.ask is None and consultation.for_the_record:
            consultation.go_on()
        ask = consultation.ask
        if ask is None:
            break
        line = how((ask, *ask.beside), case, judge.rules) if how and ask.beside else ""
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
    ways: dict[str, tuple[bool, Callable[..., str] | None]] = {
        "in the rules' order": (True, None),
        "free, one by one": (False, None),
        "free, fewest keys": (False, cheapest),
        "free, in lines": (False, in_a_line),
    }
    sums = {way: [0, 0, 0, 0] for way in ways}
    print("settled after prompts / keys; whole record prompts / keys")
    for number, text in enumerate(case_texts([words[0] if words else str(CASES)]), 1):
        case = read_case(text, judge.rules, TODAY)
        print(f"{number}. {judge.judge(case).verdict}")
        for way, (in_order, how) in ways.items():
            lines = typed(judge, case, in_order, how)
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
