"""Plays the consultation that a whole case would give: prompt by prompt, and where it was settled."""

from __future__ import annotations

from msgspec import Struct

from advisor.dialogue.prompt import prompt_keys, settled_now
from advisor.engine.evaluator import Judge
from advisor.model.case import Case, Key
from advisor.model.ruleset import Verdict


class WalkedPrompt(Struct, frozen=True):
    """A prompt with the questions that were answered in it, or left out; `settled`: nothing after it decides."""

    keys: tuple[Key, ...]
    settled: bool


class Walked(Struct, frozen=True):
    """A consultation played to its end. `verdict` is that of the whole case."""

    prompts: tuple[WalkedPrompt, ...]
    verdict: Verdict

    @property
    def questions(self) -> int:
        """How many questions were put."""
        return sum(len(prompt.keys) for prompt in self.prompts)

    @property
    def settled_after(self) -> tuple[int, int] | None:
        """After how many prompts, and questions, it was settled; None where it never was."""
        for number, prompt in enumerate(self.prompts, 1):
            if prompt.settled:
                return number, sum(len(each.keys) for each in self.prompts[:number])
        return None


def walked(judge: Judge, whole: Case, in_order: bool = False, told: Case | None = None) -> Walked:
    """Answers each prompt from a case; what it does not answer is left out, or passed over where it can't be.

    `told` is what of it was said ahead of the first prompt; a prompt without a question stands for it.
    """
    judge = judge.on(whole.today)
    case, aside, prompts = told or Case(today=whole.today), frozenset[Key](), list[WalkedPrompt]()
    now = judge.judge(case)
    if told is not None:
        prompts.append(WalkedPrompt((), settled_now(now, judge)))
    while keys := prompt_keys(case, now, judge, aside, in_order):
        put = list[Key]()
        for key in keys:
            visit = now.walk.to_ask.get(key) or now.walk.missing.get(key)
            if visit is None:
                continue
            question, node = judge.rules.questions[key[0]], visit.stop.node
            answer, may_be_left = whole.get(question.over, key), (node.optional and not node.told) or node.instead
            if answer is None and put and not (may_be_left and question.left_out_by):
                continue  # nothing in the line says it, so it is asked by itself
            put.append(key)
            if answer is not None:
                case = case.with_answer(question.over, key, answer)
            elif may_be_left and key not in case.skipped:
                case = case.with_skipped(key)
            else:
                aside |= {key}
            now = judge.judge(case)
            beside = any(whole.get(judge.rules.questions[name].over, (name, index)) is not None for name, index in keys)
            if answer is None and not question.left_out_by and not (may_be_left and beside):
                break  # a line by itself: skip, or can't tell
        done = not now.walk.missing and not prompt_keys(case, now, judge, aside, in_order)
        prompts.append(WalkedPrompt(tuple(put), settled_now(now, judge) or done))
    return Walked(tuple(prompts), judge.judge(whole).verdict)
