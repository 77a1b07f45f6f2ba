"""What is still open: the verdicts that may come, which answer narrows most, and why a question comes now."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.dialogue.asking_order import AskedTogether, order_of
from advisor.dialogue.prompt import settled_now
from advisor.dialogue.question_order import Narrowing, free_with, narrows_most
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.judgement_types import Judgement
from advisor.model.case import Case, Key
from advisor.model.ruleset import Verdict
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message
from advisor.wording.verdict_card import question_in_words, questions_in_words

if TYPE_CHECKING:
    from advisor.dialogue.session import Consultation


def narrowest(consultation: Consultation) -> Message:
    """What it could still be, and the open question whose answers leave the fewest verdicts."""

    return Message("help", could_be(consultation.judge, consultation.case, consultation.judgement).blocks)


def could_be(judge: Judge, case: Case, now: Judgement) -> Message:
    """The verdicts still possible, what is still to be asked, and which of it narrows most."""
    ends = " or ".join(str(verdict).upper() for verdict in now.could_end)
    lines: list[Said] = [
        f"It could still end as {ends}." if len(now.could_end) > 1 else f"It ends as {ends}, whatever is open."
    ]
    open_names = questions_in_words(now.missing, judge.rules)
    if open_names:
        lines.append(f"Still open: {'; '.join(open_names)}.")
    if now.measure_again and not open_names:
        asked = (judge.rules.questions[key[0]] for key in now.measure_again)
        how = tuple(f"{each.name}: {judge.in_words(each.how)}" for each in asked if each.how)
        lines.append(Block(f"Measure again: {'; '.join(questions_in_words(now.measure_again, judge.rules))}.", how))
    best = narrows_most(judge, case, now)
    if open_names:
        lines.append(_narrowing(best, now))
    parts = tuple({"question": label_of(key, judge.rules), "role": "open"} for key in now.missing)
    most = ({"question": label_of(best.key, judge.rules), "role": "narrows most", "left": best.left},) if best else ()
    ended = tuple({"verdict": str(verdict), "role": "possible"} for verdict in now.could_end)
    return Message("how-sure", tuple(lines), parts=(*ended, *most, *parts))


def _narrowing(best: Narrowing | None, now: Judgement) -> Said:
    if best is None:
        return "No single answer was found that would narrow it."
    leave = f"Its answers leave {best.left:.1f} of {len(now.could_end)} verdicts open on average."
    return Block(f"It narrows most to know: {best.name}.", (leave,))


def _why_now(judge: Judge, now: Judgement, prompts: list[AskedTogether]) -> Message:
    """Why a prompt comes now: what waits for it, what it takes, what comes after it."""
    keys, *others = (prompt.keys for prompt in prompts)
    rules = judge.rules
    waiting = [each for each in now.possible if each.ruling and each.keys & set(keys)]
    scrap = sum(Verdict.SCRAP in each.verdicts for each in waiting)
    total = sum(each.ruling is not None for each in now.possible)
    names = "; ".join(questions_in_words(keys, rules))
    wait = f"{len(waiting)} of the {total} rulings that could still decide wait for it; {scrap} of them may bring scrap"
    why = "of all that may come next this is expected to settle most for the least effort"
    if settled_now(now, judge):
        why = "the verdict is settled, and this is for a whole record"
    elif prompts[0].begun:
        why = "begun already, and what belongs together is finished first"
    lines = [f"{names[:1].upper()}{names[1:]}: {why}.", f"{wait}."]
    here = {key[0] for key in keys}
    to_come = dict.fromkeys(name for name, _ in now.walk.to_ask if here & {*rules.questions[name].after})
    if to_come:
        lines.append(f"It has to be known ahead of: {'; '.join(rules.questions[name].name for name in to_come)}.")
    if others:
        lines.append(f"After it: {'; '.join(questions_in_words(others[0], rules))}.")
    lines.append(
        "How often an answer comes up, and what it takes to find, is this program's own estimate. "
        "In any order the same answers bring the same verdict."
    )
    return Message("why", tuple(lines), parts=({"question": label_of(keys[0], rules), "prompt": len(keys)},))


def why_order(judge: Judge, case: Case, now: Judgement, asked: Key | None, in_order: bool = False) -> Message:
    """Why the open question comes now: it settles most, or the rules fix the order, or it narrows most of the free."""
    prompts = [] if in_order else order_of(judge).prompts(case, now, frozenset())
    key = asked or next((prompt.keys[0] for prompt in prompts if now.missing), None) or next(iter(now.missing), None)
    if key is None:
        return Message("why", ("No question is open.",))
    if prompts and key in prompts[0].keys:
        return _why_now(judge, now, prompts)
    name = question_in_words(key, judge.rules)
    free = [other for other in free_with(key, judge, now.missing) if other != key]
    if not free:
        lines = [f"{name[:1].upper()}{name[1:]} has its place by the rules: what comes later may rest on it."]
    else:
        others = "; ".join(questions_in_words(tuple(free), judge.rules))
        best = narrows_most(judge, case, now, (key, *free))
        lines = [f"The rules leave the order free between {name} and: {others}."]
        lines.append(
            f"It comes first because its answers leave the fewest verdicts open: {best.left:.1f} on average."
            if best and best.key == key
            else "None of them narrows the verdicts more than the others, so they come as they stand in the rules."
        )
    if best_of_all := narrows_most(judge, case, now):
        lines.append(f"Of all that is open, {best_of_all.name} narrows most.")
    return Message("why", tuple(lines), parts=({"question": label_of(key, judge.rules)},))
