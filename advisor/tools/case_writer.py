"""Writes a case as a case file that runs: the smallest text that shows what a check found."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from itertools import chain, count
from pathlib import Path

from advisor.model import inputs
from advisor.model.case import CANT_TELL, Answer, Answers, Case, Choices, Readings
from advisor.model.problems import Place, Problem, Problems
from advisor.model.quantity import Measure, number_in_words
from advisor.model.ruleset import RuleSet


def case_text(case: Case, rules: RuleSet, rules_name: str = "") -> str:
    """The text of a case file, as the program itself would read it back."""
    lines = [f"rules: {rules_name or rules.about.id}"]
    if case.today is not None:
        lines.append(f"today: {case.today.isoformat()}")
    if case.answers or case.repairs:
        lines.append("answers:")
        lines += _answers(case.answers, rules, "  ", case.repairs)
    if case.injuries:
        lines.append("injuries:")
        for injury in case.injuries:
            lines += _item(injury, rules, "  ")
    return "\n".join(lines) + "\n"


def kept_case_text(case: Case, rules: RuleSet, ends: Mapping[str, str], proposed: bool = False) -> str:
    """The text of a case file that says how it ends, as a folder's `cases` hold it."""
    left_out = ("none",) if ends["verdict"] == "repair" else ("none", "[]")
    lines = [f"  {name}: {word}" for name, word in ends.items() if word not in left_out]
    if proposed:
        by = f"judged so by edition {rules.about.edition}; see that it is right, then take this line out"
        lines.insert(0, f"  proposed: yes  # {by}")
    return "\n".join([case_text(case, rules) + "ends:", *lines]) + "\n"


def free_name(folder: Path, name: str) -> str:
    """A name for a case file that no file of the folder has yet."""
    names = (f"{name}{more}.yaml" for more in chain([""], (f"-{number}" for number in count(2))))
    return next(each for each in names if not (folder / each).exists())


def write_case(folder: Path, name: str, text: str) -> Path:
    """Writes a case file into a folder, which is made where it isn't there. Raises Problems when that can't be."""
    path = folder / name
    try:
        folder.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        found = f"a file that can't be written: {(error.strerror or str(error)).lower()}"
        raise Problems([Problem("unwritable-file", Place(str(path)), found, "a folder that can be written")]) from None
    return path


def _answers(answers: Answers, rules: RuleSet, indent: str, repairs: Iterable[Answers] = ()) -> list[str]:
    lines = []
    items = [line for repair in repairs for line in _item(repair, rules, indent + "  ")]
    for name, answer in answers.items():
        if name == inputs.EARLIER_REPAIRS and items:
            lines += [f"{indent}{name}:", *items]
        else:
            lines.append(f"{indent}{rules.questions[name].key}: {answer_text(answer)}")
    return lines


def _item(answers: Answers, rules: RuleSet, indent: str) -> list[str]:
    rows = _answers({name: answer for name, answer in answers.items() if name not in inputs.ONE_MORE}, rules, "")
    return [f"{indent}{'  ' if number else '- '}{row}" for number, row in enumerate(rows)] or [f"{indent}- {{}}"]


def answer_text(answer: Answer) -> str:
    """An answer as a case file writes it."""
    if answer is CANT_TELL:
        return "cant-tell"
    if isinstance(answer, Choices):
        if answer.complete:
            return f"[{', '.join(sorted(answer.present)) or 'none'}]"
        if not answer.present and not answer.absent:
            return "cant-tell"
        return f"{{present: [{', '.join(sorted(answer.present))}], absent: [{', '.join(sorted(answer.absent or ()))}]}}"
    if isinstance(answer, Readings):
        return f"[{', '.join(measure_text(reading) for reading in answer.readings)}]"
    if isinstance(answer, Measure):
        return measure_text(answer)
    return json.dumps(str(answer))


def measure_text(measure: Measure) -> str:
    """A measure with its unit, written so that it reads back as the same figure where it has few digits."""
    if measure.unit == "deg" and measure.typed and ":" in measure.typed:
        return json.dumps(measure.typed)
    ends = [measure.low] if measure.exact else [measure.low, measure.high]
    return f"{' to '.join(_number(end, measure.unit) for end in ends)} {measure.unit}"


def _number(figure: object, unit: str) -> str:
    from fractions import Fraction

    value = Fraction(str(figure))
    if unit == "in" and value.denominator in (2, 4, 8, 16, 32, 64):
        return number_in_words(value, "in")
    text = f"{float(value):.6f}".rstrip("0").rstrip(".")
    return text or "0"
