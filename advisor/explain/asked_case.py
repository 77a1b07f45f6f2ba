"""Where a case stands when something is asked, and the texts of the rules that an answer is made of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from msgspec import Struct

from advisor.engine.conditions import limit_by
from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts
from advisor.engine.judgement_types import Judgement, PlannedStep, Reason
from advisor.engine.templates import fill, limit_in_words
from advisor.explain.why import limit_meaning
from advisor.loader.answer_codec import read_typed
from advisor.loader.schema_types import PLACEHOLDER
from advisor.model import inputs
from advisor.model.asked import AskedSubject
from advisor.model.case import TIRE, Answer, Case, Choice, Choices, Key
from advisor.model.ruleset import (
    Basis,
    Limit,
    Question,
    Step,
    Verdict,
    leaves,
)
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, MessagePart, headline
from advisor.wording.verdict_card import (
    sources_in_words,
    where,
)

if TYPE_CHECKING:
    from advisor.nlu.pipeline import Listener

Bases = tuple[tuple[str, Basis], ...]


class AskedCase(Struct, frozen=True):
    """Where a case stands when something is asked; `injury` is the one of several that is asked about."""

    judge: Judge
    case: Case
    now: Judgement
    listener: Listener | None = None
    asked: Key | None = None
    notes: tuple[str, ...] = ()
    in_order: bool = False
    before: Message | None = None
    injury: int | None = None

    def filled(self, text: str) -> str:
        """A text of the rules with figures and answers put in; of the injury where there is just one."""
        return fill(text, self.facts, self.judge.rules)

    @property
    def facts(self) -> Facts:
        """What is known of the one injury, or of the one that is asked about, else of the tire."""
        tire = self.now.walk.tire
        injuries = tire.each("injuries")
        return injuries[self.injury or 0] if len(injuries) == 1 or self.injury is not None else tire

    @property
    def steps(self) -> tuple[PlannedStep, ...]:
        """The steps of the method for this tire; none where there is no method."""
        return tuple(self.judge.methods.plan(self.now)) if self.now.method else ()

    def key(self, question: Question) -> Key:
        """The address of a question: of the injury that is asked about, else the first, where it is about those."""
        of_injury = self.injury if question.over == inputs.OVER_INJURIES else None
        return question.id, TIRE if question.over == inputs.OVER_TIRE else of_injury or 0


def told_as(
    intent: str, blocks: Iterable[Said], bases: Bases = (), parts: Iterable[MessagePart] = (), kind: str = "word"
) -> Message | None:
    told = tuple(blocks)
    return Message(kind, told, parts=tuple(parts), intent=intent, sources=bases) if told else None


def basis_told(basis: Basis, state: AskedCase) -> str:
    return sources_in_words(basis, state.judge.rules)


def status_line(state: AskedCase) -> str:
    """How the case stands, in a line."""
    return f"As things stand: {outcome_told(state.now, state)}"


def capitalized(text: str) -> str:
    return text[:1].upper() + text[1:]


# Texts of the rules


def limit_blocks(names: Iterable[str], state: AskedCase) -> Iterator[tuple[Block, str, Basis]]:
    """Each limit that may count here, with what it rests on; of a table the row that holds, else all of them."""
    rules, seen = state.judge.rules, set[str]()
    for name in names:
        limits: list[Limit] = []
        if name in rules.tables:
            found = limit_by(rules.tables[name], state.facts, rules)
            limits = [found] if found else [rules.limits[row.limit] for row in rules.tables[name].rows]
        elif name in rules.limits:
            limits = [rules.limits[name]]
        for limit in limits:
            if limit.id not in seen:
                seen.add(limit.id)
                says = limit_meaning(limit) if limit.worse else f"{limit.says}: {limit_in_words(limit)}"
                details = [basis_told(limit.basis, state)] + ([limit.note] if limit.note else [])
                yield Block(capitalized(says), tuple(details)), limit.says, limit.basis


def caution_blocks(names: Iterable[str], state: AskedCase) -> Iterator[tuple[Block, str, Basis]]:
    """Cautions, those first that an answer of this case brings; none that speaks of an answer that was not given, or
    of how this tire stands where it does not stand so."""
    rules, case = state.judge.rules, state.case

    def given(name: str) -> bool:
        question = rules.questions[name]
        return case.get(question.over, state.key(question)) is not None

    of_answers = {
        name: [each for each in PLACEHOLDER.findall(rules.cautions[name].says) if each in rules.questions]
        for name in names
    }
    brought = state.now.cautions
    told = [
        name
        for name, of in of_answers.items()
        if name in brought or (all(map(given, of)) and not rules.cautions[name].of_this_tire)
    ]
    for name in sorted(told, key=lambda each: not (of_answers[each] and each in state.now.cautions)):
        caution = rules.cautions[name]
        says = state.judge.caution_in_words(name, state.now)
        yield Block(says, (basis_told(caution.basis, state),)), says, caution.basis


def step_named(name: str, state: AskedCase) -> Step | None:
    methods = state.judge.rules.methods
    here = [methods[state.now.method]] if state.now.method else []
    for method in (*here, *methods.values()):
        for step in method.steps:
            if step.id == name:
                return step
    return None


def step_blocks(names: Iterable[str], state: AskedCase) -> Iterator[tuple[Block, str, Basis]]:
    """Steps of the work as they read here; of two that differ by the kind of tire the one of this tire."""
    planned = {each.step.id: each.says for each in state.steps}
    found = [step for name in names if (step := step_named(name, state)) is not None]
    here = [step for step in found if step.id in planned] or found
    for step in here:
        says = planned.get(step.id) or state.filled(step.says)
        yield (
            Block(says, (basis_told(step.basis, state),), lead=capitalized(step.title)),
            step.title,
            step.basis,
        )


def word_block(subject: AskedSubject, state: AskedCase) -> Iterator[Said]:
    word = state.judge.rules.words.get(subject.word)
    if word is not None:
        yield f"{word.title}: {state.filled(word.says)}"


def sketch_lines(subject: AskedSubject, state: AskedCase) -> Iterator[Said]:
    from advisor.drawings.selection import small_sketch

    if subject.sketch:
        lines = small_sketch(subject.sketch, state.judge, 60)
        if lines:
            yield Block("", tuple("\u2800" * (len(line) - len(line.lstrip(" "))) + line.lstrip(" ") for line in lines))


def called(subject: AskedSubject, state: AskedCase) -> str:
    """What a subject is called in an answer."""
    rules = state.judge.rules
    if subject.name:
        return subject.name
    if subject.question:
        return rules.questions[subject.question].name
    return rules.words[subject.word].title if subject.word else subject.id.replace("-", " ")


def with_changed(state: AskedCase, changes: Iterable[tuple[str, str]]) -> Case:
    """The case with other answers for a moment: a choice, or one finding more."""
    case = state.case
    for name, choice in changes:
        question = state.judge.rules.questions[name]
        key = state.key(question)
        case = case.with_answer(question.over, key, given_besides(question, choice, case.get(question.over, key)))
    return case


#: The choice that stands for none of the others.
NOTHING_FOUND = "none"


def given_besides(question: Question, choice: str, old: Answer | None) -> Answer:
    """A choice as the answer; where several may be given, besides those that were."""
    if choice == NOTHING_FOUND:
        return read_typed(question, choice)
    if question.kind == "choices":
        present = old.present if isinstance(old, Choices) else frozenset[str]()
        absent = old.absent if isinstance(old, Choices) else frozenset[str]()
        return Choices(present | {choice}, None if absent is None else absent - {choice})
    return Choice(choice) if question.kind == "choice" else read_typed(question, choice)


def reasons_on(subject: AskedSubject, state: AskedCase) -> list[Reason]:
    """The rulings that look at a subject: those that hold now, and those that would where it were so."""
    rules = state.judge.rules
    rulings = {ruling.id: ruling for ruling in rules.rulings()}
    then = state.judge.judge(with_changed(state, subject.as_if.items())) if subject.as_if else state.now
    choices = set(subject.as_if.values())
    found = dict[str, Reason]()
    for reason in (*state.now.reasons, *then.reasons):
        ruling = rulings.get(reason.ruling)
        tests = list(leaves(ruling.when)) if ruling else []
        about = any(choices & set(leaf.operand) for leaf in tests) if choices else reason.question == subject.question
        if about and reason.verdict is not Verdict.REPAIR:
            found.setdefault(reason.ruling, reason)
    return list(found.values())


def reasons_told(reasons: Iterable[Reason], state: AskedCase) -> Iterator[tuple[Block, str, Basis]]:
    for reason in reasons:
        verdict = f" ({str(reason.verdict).upper()})" if reason.verdict is not None else ""
        yield (
            Block(f"{where(reason)}{reason.says}{verdict}", (basis_told(reason.basis, state),)),
            reason.says,
            reason.basis,
        )


def blocks_and_bases(found: Iterable[tuple[Block, str, Basis]]) -> tuple[list[Said], Bases]:
    rows = list(found)
    return [block for block, _, _ in rows], tuple((label, basis) for _, label, basis in rows)


def on_hold(now: Judgement) -> bool:
    """Whether something that was found holds the tire, rather than what is still to be asked."""
    return any(reason.verdict is Verdict.HOLD for reason in now.reasons)


def outcome_told(now: Judgement, state: AskedCase) -> str:
    rules, judge = state.judge.rules, state.judge
    extra = [fill(rules.restrictions[name].says, now.walk.tire, rules) for name in now.restrictions]
    return " ".join((headline(now, judge), *extra))


def deciding_bases(state: AskedCase) -> Bases:
    reasons = state.now.deciding or state.now.reasons
    return tuple((f"{where(reason)}{reason.says}", reason.basis) for reason in reasons)


def verdict_bases(state: AskedCase) -> Bases:
    """What decides, and what bars the tire from a wheel."""
    barring = (reason for reason in state.now.reasons if reason.verdict is None and state.now.restrictions)
    of_wheel = tuple((f"{where(reason)}{reason.says}", reason.basis) for reason in barring)
    return tuple(dict.fromkeys((*deciding_bases(state), *of_wheel)))
