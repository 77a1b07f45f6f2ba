"""One case under several rule sets, side by side: what each says, and where and why they part. Faces arrange it.

The case of a consultation under other rule sets as well: its answers taken over as far as each set asks them.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.templates import fill, limit_in_words
from advisor.loader.answer_fit import fitted
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, shipped
from advisor.model.case import Key
from advisor.model.problems import Problems
from advisor.model.ruleset import Verdict
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message
from advisor.wording.verdict_card import VERDICT_SIGNS, question_in_words, questions_in_words

NONE_LEFT = "There is no other rule set to set beside this one."


def judged_beside(consultation: Consultation, names: Sequence[str] = ()) -> tuple[list[Judged], list[str]]:
    """The case by its own rules first, then by the rule sets named, or by all that come with the program.

    Also what some of them don't ask, in words. Raises Problems where one can't be read.
    """
    own = consultation.judge
    judged: list[Judged] = [(own, consultation.judgement)]
    notes: list[str] = []
    for name in names or shipped():
        judge = Judge(load_rule_set(find_rule_set(name)))
        if judge.rules.digest == own.rules.digest:
            continue
        saved, left_out = fitted(consultation.saved, judge.rules)
        judged.append((judge, judge.judge(saved.case)))
        if left_out:
            notes.append(f"{judge.rules.about.id} does not ask: {', '.join(left_out)}")
    return judged, notes


def beside_messages(consultation: Consultation, names: Sequence[str] = ()) -> list[Message]:
    """The same in the conversation."""
    try:
        judged, notes = judged_beside(consultation, names)
    except Problems as problems:
        return [Message("complaint", problem_blocks(problems))]
    if len(judged) == 1:
        return [Message("help", (NONE_LEFT,))]
    lines: list[Said] = [said_by(*each) for each in judged]
    lines.append("They agree on verdict, method and restrictions." if agree(judged) else "They do not agree.")
    lines += notes
    for difference in differences(judged):
        says = (f"{rules}: {text}" for rules, texts in difference.says for text in texts)
        lines.append(Block(f"{difference.label}:", tuple(says), "title"))
    return [Message("why", tuple(lines))]


def problem_blocks(problems: Problems) -> tuple[Block, ...]:
    """What is wrong with a rule set, a block each."""
    return tuple(Block(problem.head, tuple(problem.details())) for problem in problems.problems)


Judged = tuple[Judge, Judgement]
LEAD_COLUMNS = 14
_MOST_NAMED = 3
#: In narrower columns than this a table can't be read; then each rule set has a row of its own.
_LEAST_COLUMNS = 14


class Difference(Struct, frozen=True):
    """A question where the rule sets part: its name, and for each rule set by id what it says there."""

    label: str
    says: tuple[tuple[str, tuple[str, ...]], ...]


def agree(judged: Sequence[Judged]) -> bool:
    """Whether verdict, method and restrictions are the same under all."""
    return len({(judgement.verdict, judgement.method, judgement.restrictions) for _, judgement in judged}) == 1


def table(judged: Sequence[Judged], columns: int) -> list[str]:
    """Verdict, meaning, method, restrictions, what is open, and edition: a column for each rule set."""
    room = (columns - LEAD_COLUMNS) // len(judged) - 2
    rows = list(zip(*(_column(judge, judgement) for judge, judgement in judged), strict=True))
    if room < _LEAST_COLUMNS:
        return [line for judge, judgement in judged for line in _listed(judge, judgement, columns)]
    lines: list[str] = []
    for cells in rows:
        name = cells[0][0]
        wrapped = [textwrap.wrap(text, room, break_on_hyphens=False) or ["-"] for _, text in cells]
        for n in range(max(map(len, wrapped))):
            row = "  ".join((cell[n] if n < len(cell) else "").ljust(room) for cell in wrapped)
            lines.append(f"{(name if n == 0 else '').ljust(LEAD_COLUMNS)}{row}".rstrip())
    return lines


def _listed(judge: Judge, judgement: Judgement, columns: int) -> Iterator[str]:
    for name, text in _column(judge, judgement):
        yield from textwrap.wrap(f"{name}: {text or '-'}" if name else text, columns, subsequent_indent="  ")
    yield ""


def said_by(judge: Judge, judgement: Judgement) -> Block:
    """What one rule set says, and under it by which method and edition."""
    said = dict(_column(judge, judgement))
    names = [name for name in ("method", "restrictions", "to answer", "look again") if said[name]]
    details = (*(f"{name}: {said[name]}" for name in names), f"by {said['rules']}, edition {said['edition']}")
    return Block(f"{said['']}: {said['verdict']} - {said['that is']}", details)


def _column(judge: Judge, judgement: Judgement) -> Iterator[tuple[str, str]]:
    rules = judge.rules
    yield "", rules.about.id
    yield "rules", rules.about.title
    yield "verdict", VERDICT_SIGNS[judgement.verdict]
    yield "that is", fill(rules.endings[judgement.ending].headline, judgement.walk.tire, rules)
    yield "method", judgement.method
    yield "restrictions", ", ".join(judgement.restrictions)
    yield "to answer", _questions(judgement.missing, judge)
    yield "look again", _questions(judgement.measure_again, judge)
    yield "edition", f"{rules.about.edition} {rules.digest}"


def _questions(keys: tuple[Key, ...], judge: Judge) -> str:
    """A few questions by name, more of them by number."""
    names = questions_in_words(keys, judge.rules)
    return f"{len(names)} questions" if len(names) > _MOST_NAMED else ", ".join(names)


def differences(judged: Sequence[Judged]) -> Iterator[Difference]:
    """Every question where the rule sets' reasons differ; those that decide a verdict come first."""
    reasons = [_by_question(judgement.reasons) for _, judgement in judged]
    deciding = {reason.key for _, judgement in judged for reason in judgement.deciding}
    keys = dict.fromkeys(key for each in reasons for key in each)
    for key in sorted(keys, key=lambda key: key not in deciding):
        effects = {tuple(sorted({_effect(reason) for reason in each.get(key, [])})) for each in reasons}
        if len(effects) > 1:
            says = [
                (judge.rules.about.id, tuple(_says(each.get(key, []))))
                for (judge, _), each in zip(judged, reasons, strict=True)
            ]
            yield Difference(_label(key, judged), tuple(says))


def _by_question(reasons: Iterable[Reason]) -> dict[Key, list[Reason]]:
    found: dict[Key, list[Reason]] = {}
    for reason in reasons:
        found.setdefault(reason.key, []).append(reason)
    return found


def _label(key: Key, judged: Sequence[Judged]) -> str:
    rules = next((judge.rules for judge, _ in judged if key[0] in judge.rules.questions), None)
    return question_in_words(key, rules) if rules is not None else "everything together"


def _effect(reason: Reason) -> tuple[str, str]:
    """What a reason does, and the figure it goes by: two rule sets agree where these are the same."""
    verdict = "allows" if reason.verdict is Verdict.REPAIR else _verdict(reason.verdict)
    what = ", ".join(filter(None, (verdict, *reason.restrictions)))
    return what, limit_in_words(reason.limit) if reason.limit is not None else ""


def _verdict(verdict: Verdict | None) -> str:
    return VERDICT_SIGNS[verdict] if verdict is not None else ""


def _says(reasons: Sequence[Reason]) -> Iterator[str]:
    for reason in reasons:
        what, figure = _effect(reason)
        yield f"{what}{f' at {figure}' if figure else ''} ({reason.basis.standing}) - {reason.says}"
    if not reasons:
        yield "no ruling counts here"
