"""How sure: every answer in doubt, whether the doubt decides, and what stays open."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from advisor.engine.evaluator import Judge, label_of
from advisor.engine.judgement_types import Judgement
from advisor.engine.spelling_variant import spelled
from advisor.explain.sensitivity import JUST, figures_against, with_figure
from advisor.explain.sufficient_reason import answered_keys
from advisor.explain.why_not import reading_of
from advisor.model.case import CANT_TELL, Case, Choices, Key, Readings
from advisor.model.quantity import Measure, in_words
from advisor.model.ruleset import UNSOURCED
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, MessagePart, headline
from advisor.wording.verdict_card import question_in_words, questions_in_words, sources_in_words

#: The standing of what is known through a report of its source.
SECOND_HAND = "second-hand"
NOTHING_IN_DOUBT = "No answer that counts here was given in doubt: every figure was given as exact."


def how_sure(judge: Judge, case: Case, now: Judgement) -> Message:
    """What is in doubt, what each doubt could bring, and how to measure better."""
    lines, parts = list[Said]((headline(now, judge),)), list[MessagePart]()
    for key in doubtful_keys(case, now, judge):
        own, part = _one(key, case, now, judge)
        lines.append(own)
        parts.append(part)
    if not parts:
        lines.append(NOTHING_IN_DOUBT)
    lines.append("Settled: nothing still to answer can change it." if now.settled else _open(now, judge))
    weak = sorted({reason.basis.standing for reason in now.deciding if reason.basis.standing in UNSOURCED})
    if weak:
        lines.append(f"It rests in part on {', '.join(weak)}: no rule or text stands behind that.")
    told = (reason.basis for reason in now.deciding if reason.basis.standing == SECOND_HAND)
    if unread := tuple(dict.fromkeys(sources_in_words(basis, judge.rules) for basis in told)):
        lines.append(Block("It rests on what is known at second hand: the texts themselves were not read.", unread))
    lines.append(
        spelled(
            "That the rules named bring this verdict is all that is said; who has the tire in front of them decides.",
            judge.rules,
        )
    )
    return Message("how-sure", tuple(lines), parts=tuple(parts))


def with_doubts(told: Message, noted: Sequence[str]) -> Message:
    """The same with what was said in doubt in a consultation, whether or not it counts."""
    if not noted:
        return told
    head, *others = (block for block in told.blocks if block != NOTHING_IN_DOUBT)
    parts = ({"said": note, "role": "said in doubt"} for note in noted)
    said = (note[:1].upper() + note[1:] for note in noted)
    return Message(told.kind, (head, *said, *others), parts=(*told.parts, *parts))


def doubtful_keys(case: Case, now: Judgement, judge: Judge) -> list[Key]:
    """The answers given as a range, as about, as can't tell, or looked at only in part."""
    rules, reached = judge.rules, now.walk.reached
    found = []
    for key in answered_keys(case, rules):
        answer = case.get(rules.questions[key[0]].over, key)
        inexact = isinstance(answer, Measure) and not answer.exact
        inexact = inexact or (isinstance(answer, Readings) and not all(each.exact for each in answer.readings))
        partly = isinstance(answer, Choices) and not answer.complete
        if key in reached and (inexact or partly or answer is CANT_TELL):
            found.append(key)
    return found


def outcomes(key: Key, case: Case, judge: Judge) -> list[tuple[str, Judgement]]:
    """The judgement at both ends of a measure in doubt and at every limit within, in rising order."""
    measure = reading_of(case.get(judge.rules.questions[key[0]].over, key))
    if measure is None:
        return []
    inside: dict[Fraction, str] = {measure.low: measure.unit, measure.high: measure.unit}
    for figure, _ in figures_against(key, case, judge):
        for place in (figure.low, figure.low + JUST, figure.low - JUST):
            here = Measure(place, place, figure.unit).to(measure.unit).low
            if measure.low < here < measure.high:
                inside[here] = measure.unit
    rows = []
    for place in sorted(inside):
        one = Measure(place, place, measure.unit)
        rows.append((in_words(one), judge.judge(with_figure(case, key, place, measure.unit, judge))))
    return rows


def _one(key: Key, case: Case, now: Judgement, judge: Judge) -> tuple[Block, MessagePart]:
    rules = judge.rules
    question = rules.questions[key[0]]
    name, answer = question_in_words(key, rules), case.get(question.over, key)
    rows = outcomes(key, case, judge)
    found = list(dict.fromkeys(_short(each) for _, each in rows))
    part: MessagePart = {
        "question": label_of(key, rules),
        "answer": str(answer),
        "outcomes": found,
        "decides": False,
        "says": "",
    }
    if not rows:
        decides = key in now.measure_again or any(key in reason.doubt for reason in now.reasons)
        part["decides"] = decides
        part["says"] = f"{name}: {answer}; {'this decides: find it out' if decides else 'that does not decide here'}"
    elif len(found) == 1:
        part["says"] = f"{name}: {answer}; the verdict stands across this whole doubt ({found[0]})"
    else:
        part["decides"] = True
        part["says"] = f"{name}: {answer}. Measure again: this decides between {' and '.join(found)}"
    how = (f"How: {judge.in_words(question.how)}",) if part["decides"] and question.how else ()
    return Block(str(part["says"]), how), part


def _short(judgement: Judgement) -> str:
    return str(judgement.verdict) + (f" ({judgement.method})" if judgement.method else "")


def _open(now: Judgement, judge: Judge) -> str:
    could = " or ".join(str(verdict).upper() for verdict in now.could_end)
    names = questions_in_words((*now.missing, *now.measure_again), judge.rules)
    return f"It could still end as {could}. Open: {'; '.join(names) or 'nothing'}."
