"""Where no kind of question fits: the one text of the rules that speaks of it, or what can be asked instead."""

from __future__ import annotations

from collections.abc import Iterator
from math import log

from advisor.explain.question_answers import AskedCase
from advisor.explain.question_reader import Reader, ReadQuestion, names_of, reader_of
from advisor.explain.question_words import QuestionWords
from advisor.model.asked import AskedSubject
from advisor.model.ruleset import Basis, RuleSet
from advisor.wording.blocks import Block
from advisor.wording.messages import Message
from advisor.wording.verdict_card import sources_in_words

#: A text answers where it has that share of what the question tells, by weight, and more than so many of its words.
LEAST_SHARE, LEAST_WORDS = 0.75, 2


def nearest_text(read: ReadQuestion, state: AskedCase) -> Message | None:
    """The one text of the rules that has nearly all that a question tells of; None where none has."""
    rules = state.judge.rules
    reader = reader_of(rules)
    told = set(read.words) - reader.everyday
    if len(told) <= LEAST_WORDS:
        return None
    texts = [each for each in _texts(rules) if each[0] not in _not_so(state)]
    stems = [set(reader.words.stems(text)) for _, text, _ in texts]
    weight = {word: log((len(texts) + 1) / (1 + sum(word in each for each in stems))) for word in told}
    whole = sum(weight.values())
    best = max(range(len(texts)), key=lambda place: sum(weight[word] for word in told & stems[place]))
    shared = told & stems[best]
    if len(shared) <= LEAST_WORDS or sum(weight[word] for word in shared) < LEAST_SHARE * whole:
        return None
    name, text, basis = texts[best]
    says = state.filled(text)
    block = Block(says, (sources_in_words(basis, rules),))
    return Message(
        "word",
        ("What these rules say that comes nearest:", block),
        intent="nearest",
        subject=name,
        sources=((says, basis),),
    )


def _not_so(state: AskedCase) -> set[str]:
    """The cautions that say of a tire what is not so of this one."""
    return {name for name, each in state.judge.rules.cautions.items() if each.of_this_tire} - {*state.now.cautions}


def _texts(rules: RuleSet) -> Iterator[tuple[str, str, Basis]]:
    yield from ((each.id, each.says, each.basis) for each in rules.cautions.values())
    steps = {step.id: step for method in rules.methods.values() for step in method.steps}
    yield from ((each.id, each.says, each.basis) for each in steps.values())
    yield from ((each.id, each.says, each.basis) for each in rules.answers.values() if each.says)


def cannot_answer(read: ReadQuestion, reader: Reader, state: AskedCase) -> Message:
    """That nothing in the rules answers, of which words nothing speaks, and the nearest three that can be asked."""
    offers = list(dict.fromkeys(_offers(read, reader, state)))[:3]
    words = " or ".join(f'"{word}"' for word in reader.not_known(read)[:3])
    of = f": nothing in them speaks of {words}" if words else ""
    first = f"I can't answer that from these rules{of}. I can tell you:"
    return Message(
        "complaint", (Block(first, tuple(Block(each, role="item") for each in offers)),), intent="", sources=()
    )


def _offers(read: ReadQuestion, reader: Reader, state: AskedCase) -> Iterator[str]:
    rules = state.judge.rules
    words = reader.words
    typed = _apart(read.text, words) - reader.everyday
    own = [each.subject for each in read.subjects if not each.subject.weak]
    told = [
        list(_of(each, rules)) for each in own if any(typed & _apart(name, words) for name in names_of(each, rules))
    ]
    yield from (offers[0] for offers in told if offers)
    kinds = [rules.intents[name].offer for name, _ in read.kinds if rules.intents[name].offer]
    yield from kinds[:1] if told else kinds
    yield from (offer for offers in told for offer in offers[1:])
    yield from (rules.intents[name].offer for name in ("why", "next", "tell"))


def _apart(name: str, words: QuestionWords) -> set[str]:
    return {*words.stems(name.replace("_", " ").replace("/", " "))}


def _of(subject: AskedSubject, rules: RuleSet) -> Iterator[str]:
    name = subject.name or subject.id.rpartition(":")[2].replace("-", " ")
    if subject.word:
        title = rules.words[subject.word].title
        yield f"what it is: what is {title}"
    if subject.question:
        asked = rules.questions[subject.question].name
        yield (
            f"how it is found out: how do I measure {asked}"
            if rules.questions[subject.question].how
            else f"why it is asked: why do you ask about {asked}"
        )
    if subject.limits:
        yield f"what figure counts: what is the limit for {name}"
    if subject.cautions:
        yield f"what can hurt: what is dangerous about {name}"
