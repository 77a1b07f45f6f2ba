"""Where no kind of question fits: the one text of the rules that speaks of it, or what can be asked instead."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import log

from advisor.engine.templates import limit_in_words
from advisor.explain.asked_case import AskedCase
from advisor.explain.question_reader import Reader, ReadQuestion, names_of, reader_of
from advisor.explain.question_words import QuestionWords
from advisor.model.asked import AskedSubject
from advisor.model.ruleset import Basis, RuleSet
from advisor.wording.blocks import Block
from advisor.wording.messages import Message
from advisor.wording.verdict_card import sources_in_words

#: A text answers where it has that share of what the question tells, by weight, and more than so many of its words.
LEAST_SHARE, LEAST_WORDS = 0.75, 2
#: So many things are offered where nothing answers.
MOST_OFFERS = 3


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


def nearest_said(read: ReadQuestion, state: AskedCase) -> Iterator[Block]:
    """The texts of the rules that come nearest to what a question tells, the nearest first: all that they say of it.

    What is named counts beside the words themselves, so that a text that speaks of it in other words is found too.
    """
    rules, reader = state.judge.rules, reader_of(state.judge.rules)
    told = {word for word in read.words if word.isalpha()} - reader.everyday - reader.words.of_class("talk")
    own = {name: place for place, each in reversed(list(enumerate(read.subjects))) for name in _listed(each.subject)}
    texts = [
        each for each in (*_texts(rules), *_how_texts(rules), *_limit_texts(rules)) if each[0] not in _not_so(state)
    ]
    stems = [set(reader.words.stems(text)) for _, text, _ in texts]
    weight = {word: log((len(texts) + 1) / (1 + sum(word in each for each in stems))) for word in told}
    whole = sum(weight.values()) or 1

    def named(text: tuple[str, str, Basis | None]) -> float:
        share = HOW_SHARE if text[2] is None and read.kind("how-to") else NAMED_SHARE
        return share / (1 + own[text[0]]) if text[0] in own else 0

    ranked = sorted(
        (-(sum(weight[word] for word in told & each) / whole + named(text)), place)
        for place, (each, text) in enumerate(zip(stems, texts, strict=True))
    )
    for score, place in ranked[:MOST_NEAREST]:
        shared = len(told & stems[place])
        near = shared >= LEAST_WORDS or (shared and texts[place][0] in own)
        if near and -score >= LEAST_NEAR:
            _, text, basis = texts[place]
            whose = f" ({sources_in_words(basis, rules)})" if basis is not None else ""
            yield Block(f"{NEAREST}{_beginning(state.filled(text))}{whose}", role="item")


#: So many texts are offered that come near, each with that share of what the question tells; so much counts a text of
#: what is named, and how that is found out.
MOST_NEAREST, LEAST_NEAR, NAMED_SHARE, HOW_SHARE = 2, LEAST_SHARE / 2, LEAST_SHARE / 2, LEAST_SHARE
NEAREST = "nearest to it in these rules: "
#: So long a text is offered whole.
LONGEST_OFFERED = 220


def _beginning(text: str) -> str:
    """A text up to the sentence that goes past what an offer takes."""
    kept = ""
    for sentence in _SENTENCE.split(text):
        if kept and len(kept) + len(sentence) > LONGEST_OFFERED:
            break
        kept = f"{kept} {sentence}".strip()
    return kept


_SENTENCE = re.compile(r"(?<=[.:;]) (?=[A-Z])")


def _of_what_is_open(state: AskedCase) -> Iterator[Block]:
    """How the one answer is found out that is all that is open and holds the tire."""
    open_now = {key[0] for key in (*state.now.measure_again, *state.now.missing)}
    question = state.judge.rules.questions[next(iter(open_now))] if len(open_now) == 1 else None
    if question is not None and question.how:
        yield Block(f"{NEAREST}{_beginning(state.filled(f'{question.name}: {question.how}'))}", role="item")


def _listed(subject: AskedSubject) -> tuple[str, ...]:
    listed = () if subject.weak else (*subject.cautions, *subject.steps, *subject.limits)
    return (*listed, subject.question)


def _how_texts(rules: RuleSet) -> Iterator[tuple[str, str, Basis | None]]:
    yield from ((each.id, f"{each.name}: {each.how}", None) for each in rules.questions.values() if each.how)


def _limit_texts(rules: RuleSet) -> Iterator[tuple[str, str, Basis]]:
    yield from (
        (each.id, f"{each.says[:1].upper()}{each.says[1:]}: {limit_in_words(each)}", each.basis)
        for each in rules.limits.values()
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
    near = [*_of_what_is_open(state), *nearest_said(read, state)]
    near = list({each.text: each for each in near}.values())[:MOST_NEAREST]
    offers = [*near, *(Block(each, role="item") for each in dict.fromkeys(_offers(read, reader, state)))][:MOST_OFFERS]
    words = " or ".join(f'"{word}"' for word in reader.not_known(read)[:3])
    of = f": nothing in them speaks of {words}" if words else ""
    first = f"I can't answer that from these rules{of}. I can tell you:"
    return Message("complaint", (Block(first, tuple(offers)),), intent="", sources=())


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
