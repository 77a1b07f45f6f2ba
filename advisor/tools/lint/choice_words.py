"""Words for a choice by which it cannot be answered.

A typed answer is taken where one choice of the question goes by it: by its id, what it says, or a word in `also`. In a
sentence, where nobody said which question is meant, a word of `also` is taken for the first question that has it,
unless phrases.yaml says more of it or lists it under only-when-asked.

word-for-two-choices (error): a word by which two choices of a question go.
Why it is bad: whoever types it is told that it fits several, or takes the one for the other.
PASS:
  questions.yaml: {findings/choices: {bulge: {says: A bulge, also: [swelling]}, cord: {says: Bare cord, also: [wires]}}}
FAIL:
  questions.yaml: {findings/choices: {bulge: {says: A bulge, also: [bare]}, cord: {says: Bare cord, also: [bare]}}}

word-for-two-questions (error): a word of `also` in two questions, which a sentence takes for the first of them only.
Why it is bad: what was said of the one thing becomes the answer to another, and nobody asks back.
PASS:
  questions.yaml:
    findings/choices: {bulge: {says: A bulge, also: [swelling]}, cord: {says: Bare cord}}
    grade:
      name: grade
      asks: How thick is it?
      kind: choice
      choices: {thin: {says: Thin}, thick: {says: Thick, also: [swollen]}}
      no-order: Neither is worse.
      why: It is asked for the demo.
  paths.yaml: {parts/tire/nodes/grade: {ask: grade, cant-tell: goes-on}}
FAIL:
  questions.yaml:
    findings/choices: {bulge: {says: A bulge, also: [swollen]}, cord: {says: Bare cord}}
    grade:
      name: grade
      asks: How thick is it?
      kind: choice
      choices: {thin: {says: Thin}, thick: {says: Thick, also: [swollen]}}
      no-order: Neither is worse.
      why: It is asked for the demo.
  paths.yaml: {parts/tire/nodes/grade: {ask: grade, cant-tell: goes-on}}

word-not-heard (error): a word for a choice that is read as "can't tell", as "none" or as a number in the list.
Why it is bad: whoever types it answers something else.
PASS:
  questions.yaml: {findings/choices: {bulge: {says: A bulge, also: [swelling]}, cord: {says: Bare cord}}}
FAIL:
  questions.yaml: {findings/choices: {bulge: {says: A bulge, also: [not sure]}, cord: {says: Bare cord}}}

yes-for-no (error): a choice that says no and goes by a yes, or the other way round.
Why it is bad: whoever answers the question as it is asked says the contrary.
PASS:
  questions.yaml: {sealant/choices: {"yes": {says: "Yes, some"}, "no": {says: "No, none", also: [n]}}}
FAIL:
  questions.yaml: {sealant/choices: {"yes": {says: "Yes, some", also: [n]}, "no": {says: "No, none", also: [y]}}}
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.loader.answer_codec import NONE_WORDS, OTHER_NO, OTHER_YES, is_cant_tell, plain, words_for
from advisor.model.inputs import CHOICES
from advisor.model.problems import Place, Problem
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.words_alone import words_alone


def check(rules: RuleSet) -> Iterator[Problem]:
    """Words that go for two choices, for two questions, or for none."""
    for question in rules.questions.values():
        place = rules.place_of("questions.yaml", question.id)
        yield from _in_one_question(question, place)
        yield from _not_heard(question, place)
        yield from _contrary(question, place)
    first: dict[str, str] = {}
    for word, name, choice in words_alone(rules):
        if first.setdefault(word, name) != name:
            yield Problem(
                "word-for-two-questions",
                rules.place_of("questions.yaml", name),
                f'"{word}", which goes for {choice} of {name}, and for a choice of {first[word]} too',
                "a word of one question only, or one listed under only-when-asked in phrases.yaml",
                "take it out of one of them, or list it there",
                see=((rules.place_of("questions.yaml", first[word]), "the other question"),),
            )


def _in_one_question(question: Question, place: Place) -> Iterator[Problem]:
    first: dict[str, str] = {}
    for choice in question.choices:
        for word in dict.fromkeys(words_for(choice)):
            if first.setdefault(word, choice.id) != choice.id:
                yield Problem(
                    "word-for-two-choices",
                    place,
                    f'"{word}", which goes for {first[word]} and for {choice.id} of {question.id}',
                    "a word of one choice only",
                    "take it out of one of them",
                )


def _contrary(question: Question, place: Place) -> Iterator[Problem]:
    yes, no = OTHER_YES | {"yes", "y"}, OTHER_NO | {"no", "n"}
    for choice in question.choices:
        says = plain(choice.says).partition(",")[0]
        contrary = no if says in yes else yes if says in no else frozenset()
        for word in dict.fromkeys(words_for(choice)):
            if word in contrary:
                yield Problem(
                    "yes-for-no",
                    place,
                    f'"{word}" as a word for {choice.id} of {question.id}, which says "{choice.says}"',
                    "a yes for what says yes, a no for what says no",
                    "take it out, or word the choice otherwise",
                )


def _not_heard(question: Question, place: Place) -> Iterator[Problem]:
    for choice in question.choices:
        for word in map(plain, choice.also):
            none = question.kind == CHOICES and word in NONE_WORDS
            if is_cant_tell(word) or none or (word.isascii() and word.isdigit()):
                what = '"none"' if none else "a number in the list" if word.isdigit() else '"can\'t tell"'
                yield Problem(
                    "word-not-heard",
                    place,
                    f'"{word}" as a word for {choice.id} of {question.id}, which is read as {what}',
                    "a word that means this choice alone",
                    "take it out",
                )
