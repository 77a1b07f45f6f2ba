"""What if: an answer changed for a moment, both verdicts side by side. The case itself stays as it is."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.engine.evaluator import Judge, label_of
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.templates import value_in_words
from advisor.explain.beside_limit import beside_tested
from advisor.explain.dependent_answers import speaks_against, withdrawn_lines
from advisor.model.case import Answer, Case, Choice, Choices, Key
from advisor.model.inputs import ONE_MORE
from advisor.model.ruleset import Verdict
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, MessagePart, findings_merged, headline
from advisor.wording.verdict_card import question_in_words, questions_in_words, sources_in_words

Substitution = tuple[Key, Answer]
#: The columns of the table: what is compared, and how it is now; a row that needs more stands by itself.
FIRST, COLUMN = 14, 24


def changed(case: Case, changes: Iterable[Substitution], judge: Judge) -> Case:
    """The case with these answers instead of those given; with one of one more injury, that it is there."""
    for key, answer in changes:
        over = judge.rules.questions[key[0]].over
        if isinstance(answer, Choices):
            answer = findings_merged(case.get(over, key), answer)
        case = case.with_answer(over, key, answer)
        for more in ONE_MORE if key[1] > 0 else ():
            if case.get(over, (more, key[1] - 1)) is not None:
                case = case.with_answer(over, (more, key[1] - 1), Choice("yes"))
    return case


def what_if(judge: Judge, case: Case, now: Judgement, changes: list[Substitution]) -> Message:
    """Both verdicts side by side and what differs; `now` is the case's judgement."""
    withdrawn = speaks_against(case, now, changes, judge)
    without = case
    for key, _ in withdrawn:
        without = without.with_answer("tire", key, None)
    supposed = changed(without, changes, judge)
    then = judge.judge(supposed)
    rules = judge.rules
    lines, parts = list[Said](), list[MessagePart]()
    for key, answer in changes:
        question = rules.questions[key[0]]
        old = case.get(question.over, key)
        was, new = (
            value_in_words(old, question) if old is not None else "not answered",
            value_in_words(answer, question),
        )
        lines.append(f"{question_in_words(key, rules)}: {was} -> {new}, for a moment only")
        parts.append({"field": label_of(key, rules), "now": was if old is not None else None, "then": new})
    lines += withdrawn_lines(withdrawn, changes, judge)
    for key, answer in withdrawn:
        parts.append({"field": label_of(key, rules), "now": str(answer), "then": None})
    rows = [_row("compared", "as it is", "what if")]
    for name, first, second in _rows(now, then):
        parts.append({"field": name, "now": first, "then": second})
        if name != "ending":
            one, two = (_in_words(name, each, judge) for each in (first, second))
            rows.append(_row(name, one, two, "*" if first != second else ""))
    lines.append(Block(str(lines.pop()), tuple(rows)))
    lines += _reasons("Counts no longer:", _apart(_all(now), _all(then)))
    lines += _reasons("Counts then:", _apart(_all(then), _all(now)))
    lines += [line for key, _ in changes for line in beside_tested(key, supposed, then, judge)]
    if _outcome(now) == _outcome(then):
        lines.append("The verdict is the same either way.")
        lines += _reasons("It still rests on:", [] if then.verdict is Verdict.REPAIR else list(then.deciding)[:3])
    elif now.ending != then.ending:
        lines.append(f"It would be {headline(then, judge)}")
        counts = _apart(_all(then), _all(now))
        still = [] if then.verdict is Verdict.REPAIR else [each for each in then.deciding if each not in counts]
        lines += _reasons("It would rest on:", still[:3])
    if then.missing and not then.settled:
        lines.append(Block("To be answered then:", tuple(questions_in_words(then.missing, rules)[:4]), "title"))
    bases = tuple((reason.says, reason.basis) for reason in (then.deciding or ()))
    if rests := tuple(dict.fromkeys(sources_in_words(basis, rules) for _, basis in bases))[:3]:
        lines.append(Block("Whose rule it is:", rests, "title"))
    lines.append("Nothing in the case was changed.")
    return Message("what-if", tuple(lines), parts=tuple(parts), sources=bases)


def _rows(now: Judgement, then: Judgement) -> Iterable[tuple[str, str, str]]:
    for name, text in (
        ("verdict", _verdict),
        ("ending", _ending),
        ("method", _method),
        ("restrictions", _limits),
        ("could end", _could),
    ):
        yield name, text(now), text(then)


def _verdict(judgement: Judgement) -> str:
    return str(judgement.verdict).upper()


def _ending(judgement: Judgement) -> str:
    return judgement.ending


def _method(judgement: Judgement) -> str:
    return judgement.method or "none"


def _limits(judgement: Judgement) -> str:
    return ", ".join(judgement.restrictions) or "none"


def _could(judgement: Judgement) -> str:
    return ", ".join(str(verdict) for verdict in judgement.could_end)


def _in_words(name: str, said: str, judge: Judge) -> str:
    """What stands in a row, without ids."""
    if name == "method" and said in judge.rules.methods:
        return judge.rules.methods[said].title.partition(" (")[0].partition(",")[0]
    return said.upper() if name == "could end" else said.replace("-", " ") if name == "restrictions" else said


def _row(name: str, first: str, second: str, mark: str = "") -> str:
    if len(first) >= COLUMN or len(second) > COLUMN:
        return f"{name:<{FIRST}}{first}{f' -> {second} {mark}' if mark else ''}"
    return f"{name:<{FIRST}}{first:<{COLUMN}} {second} {mark}".rstrip()


def _outcome(judgement: Judgement) -> tuple[object, ...]:
    return judgement.verdict, judgement.ending, judgement.method, judgement.restrictions


def _all(judgement: Judgement) -> tuple[Reason, ...]:
    warns = (reason for reason in judgement.caution_reasons if reason.only_warns)
    shown = (reason for reason in warns if not set(reason.cautions).isdisjoint(judgement.cautions))
    return (*judgement.reasons, *shown)


def _apart(these: Iterable[Reason], those: Iterable[Reason]) -> list[Reason]:
    known = {(reason.ruling, reason.key) for reason in those}
    return [reason for reason in these if (reason.ruling, reason.key) not in known]


def _reasons(title: str, reasons: list[Reason]) -> list[Block]:
    says = tuple(dict.fromkeys(reason.says for reason in reasons))
    return [Block(title, says, "title")] if says else []
