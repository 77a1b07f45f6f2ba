"""Whether recorded or imported answers fit a rule set's questions: the same checks as for what is typed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace

from advisor.errors import Misread, shown
from advisor.loading.case_checks import impossible
from advisor.loading.plausible import LONGEST_TEXT, MOST_READINGS, checked
from advisor.measure_text import read_measure
from advisor.model.case import CANT_TELL, TIRE, Answer, Answers, Case, Choice, Choices, Key, Readings, Text
from advisor.model.rules import Question, RuleSet
from advisor.model.saved import Saved
from advisor.tire.clock import read_clock
from advisor.units import Measure


def misfits(case: Case, rules: RuleSet) -> list[str]:
    """What in a case does not fit the questions of a rule set, in words; empty where all fits."""
    found = [f"{_label(over, key)}: {error}" for over, key, error in _each_misfit(case, rules)]
    if found:
        return found
    return [f"{label}: {error}" for _, label, error in impossible(case, rules)]


def fitted(saved: Saved, rules: RuleSet) -> tuple[Saved, list[str]]:
    """A state with only what fits a rule set, and what was left out, in words."""
    left_out = []
    case, order = saved.case, saved.order
    for over, key, _ in _each_misfit(case, rules):
        left_out.append(_label(over, key))
        case = case.with_answer(over, key, None)
    known = {key for key in case.skipped if key[0] in rules.questions}
    case = replace(case, skipped=frozenset(known))
    order = tuple(key for key in order if key[0] in rules.questions)
    asking = saved.asking if saved.asking and saved.asking[0] in rules.questions else None
    return Saved(case, order, asking, saved.ended), left_out


def fitted_answers(over: str, answers: Answers, rules: RuleSet) -> Answers:
    """Only those answers of a part that fit a rule set's questions."""
    found = {}
    for name, answer in answers.items():
        with suppress(Misread):
            check_answer(name, over, answer, rules)
            found[name] = answer
    return found


def _each_misfit(case: Case, rules: RuleSet) -> Iterator[tuple[str, Key, Misread]]:
    for over in ("tire", "earlier-repairs", "injuries"):
        for index, answers in enumerate(case.instances(over)):
            for name, answer in answers.items():
                try:
                    check_answer(name, over, answer, rules)
                except Misread as error:
                    yield over, (name, TIRE if over == "tire" else index), error


def _label(over: str, key: Key) -> str:
    name = shown(key[0], 60)
    return name if over == "tire" else f"{over}[{key[1]}].{name}"


def check_answer(name: str, over: str, answer: Answer, rules: RuleSet) -> None:
    """Checks one answer against its question. Raises Misread."""
    question = rules.questions.get(name)
    if question is None or question.over != over:
        raise Misread(f'"{shown(name, 60)}"', f"a question of the rule set {rules.about.id} over {over}")
    if answer is CANT_TELL:
        return
    fits = {"choice": Choice, "choices": Choices, "measure": Measure, "readings": Readings, "text": Text}
    direction = question.or_clock and isinstance(answer, Measure)
    kind = Measure if direction else fits.get(question.kind, Measure)
    if not isinstance(answer, kind):
        raise Misread(shown(f'"{answer}"', 60), f"an answer of the kind {question.kind}")
    if isinstance(answer, Choice):
        _known(frozenset({answer.id}), question)
    elif isinstance(answer, Choices):
        _known(answer.present | (answer.absent or frozenset()), question)
        if answer.present & (answer.absent or frozenset()):
            raise Misread(shown(f'"{answer}"', 60), "each finding once")
    elif isinstance(answer, Text):
        if len(answer.text) > LONGEST_TEXT:
            raise Misread(f"{len(answer.text)} characters", f"at most {LONGEST_TEXT}")
    elif isinstance(answer, Readings):
        _readings(answer, question)
    elif isinstance(answer, Measure):
        _measure(answer, question)


def _known(names: frozenset[str], question: Question) -> None:
    unknown = names - {choice.id for choice in question.choices}
    if unknown:
        raise Misread(f'"{shown(min(unknown), 60)}"', f"one of: {', '.join(each.id for each in question.choices)}")


def _readings(answer: Readings, question: Question) -> None:
    if not 0 < len(answer.readings) <= MOST_READINGS:
        raise Misread(f"{len(answer.readings)} readings", f"1 to {MOST_READINGS}")
    for reading in answer.readings:
        _measure(reading, question)


def _measure(answer: Measure, question: Question) -> None:
    quantity = question.quantity or "angle"
    if answer.quantity != quantity:
        raise Misread(f'"{shown(str(answer), 60)}"', f"a figure of {quantity}")
    if question.kind == "clock" or question.or_clock:
        read: Measure | None = _read_again(answer, read_clock)
        if answer.unit != "deg" or not 0 <= answer.low < 360 or answer.high >= answer.low + 360:
            raise Misread(f'"{shown(str(answer), 60)}"', "a clock position")
    else:
        checked(answer, question)
        read = _read_again(answer, lambda text: read_measure(text, quantity, answer.unit))
    if read is not None and (read.low, read.high, read.unit) != (answer.low, answer.high, answer.unit):
        raise Misread(f'"{shown(answer.typed, 60)}" beside another figure', "the figure that was typed")


def _read_again(answer: Measure, read: Callable[[str], Measure]) -> Measure | None:
    """What was typed, read once more; None where it can't be, as with words heard in a sentence."""
    try:
        return read(answer.typed) if answer.typed else None
    except Misread:
        return None
