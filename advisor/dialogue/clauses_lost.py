"""The clauses of a line that was taken of which nothing came: in no answer, in no note, and not shown back.

A line is heard as a whole, where one clause may undo another or be dropped beside it. What by itself may tell of
something bad is kept for the card then, whatever became of the rest.
"""

from __future__ import annotations

import re

from advisor.dialogue.behind_a_bare_word import bare_ahead, only_closes
from advisor.dialogue.line_parts import same_answer
from advisor.dialogue.no_news import in_bare_words, is_no_news
from advisor.dialogue.not_counted import PART_NOT_COUNTED, PASSED_OVER, SAID_IN_DOUBT, words_of_note
from advisor.dialogue.prompt import Ask
from advisor.dialogue.prompt_line import read_part
from advisor.dialogue.state import SessionState, View
from advisor.loader.answer_codec import plain
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Answer, Choices, Key, Readings, Text
from advisor.model.lexicon_entries import Phrases
from advisor.model.problems import Misread
from advisor.model.quantity import Measure
from advisor.nlu.part_runs import part_runs_of
from advisor.nlu.result import Heard
from advisor.nlu.what_weighs import NO_NEWS, looked_badly, weighs
from advisor.wording.verdict_card import question_in_words

_CLAUSES = re.compile(r"[,;]\s+|(?<=[^\W\d_])[.!]\s+|\n+")
#: What is no news behind one answer or another, and behind a yes.
_NO_NEWS_BESIDE = (*NO_NEWS, "of-figure", "of-injury", "of-wheel", "agreed", "closing", "first", "ticked")
#: The notes of single words.
_OF_WORDS = (PART_NOT_COUNTED, PASSED_OVER)


def clauses_lost(view: View, text: str, before: SessionState, ask: Ask | None) -> list[str]:
    """The clauses of a line, of several the ones that nothing came of, and those that say how badly was looked.

    `ask` is what was asked.
    """
    bare = bare_ahead(text, ask.question) if ask is not None else None
    if bare is not None and ask is not None and only_closes(bare, ask.question, view.judge.rules):
        return []
    phrases, noted = view.judge.rules.phrases, _noted(view, before)
    text = in_bare_words(text, phrases) if phrases.bare else text
    clauses = [each.strip() for each in _CLAUSES.split(text) if each.strip()]
    badly = [each for each in looked_badly(text, phrases) if not _is_noted(each, noted, phrases)]
    if len(clauses) < 2 or "?" in text:
        return badly
    shown_back = view.state.pending.heard if view.state.pending is not None else None
    return [
        each
        for each in clauses
        if each in badly
        or (
            not _is_harmless(each, phrases)
            and weighs(each, phrases)
            and not _is_noted(each, noted, phrases)
            and not _is_shown(each, shown_back, phrases)
            and not _is_taken(each, view, noted, None if ask is None or ask.confirms else ask.key)
        )
    ]


def _is_harmless(clause: str, phrases: Phrases) -> bool:
    return is_no_news(clause, phrases) or part_runs_of(phrases).made_up(clause, *_NO_NEWS_BESIDE)


def _is_noted(clause: str, noted: list[str], phrases: Phrases) -> bool:
    """Whether a note that no later answer settles holds a clause, or enough of its words to tell the same."""
    kept = [note for note in noted if not note.startswith(SAID_IN_DOUBT)]
    left = {word for note in kept if note.startswith(_OF_WORDS) for word in note.split()}
    words = " ".join(word for word in clause.casefold().split() if word in left)
    return any(clause.casefold() in note for note in kept) or bool(words and weighs(words, phrases, named=True))


def _noted(view: View, before: SessionState) -> list[str]:
    """All that was noted of a line, without the clauses that single words are quoted with."""
    return [words_of_note(note).casefold() for note in view.state.notes[len(before.notes) :]]


def _is_shown(clause: str, heard: Heard | None, phrases: Phrases) -> bool:
    """Whether what a clause tells is among what was not understood, as is shown back."""
    if heard is None:
        return False
    left = {word for each in (*heard.not_understood, *heard.passed_over) for word in each.casefold().split()}
    words = " ".join(word for word in clause.casefold().split() if word.strip(",.;") in left)
    return bool(words) and weighs(words, phrases, named=True)


def _is_taken(clause: str, view: View, noted: list[str], asked: Key | None) -> bool:
    """Whether a clause is an answer by itself that stands, waits or is noted as one in doubt."""
    rules, state = view.judge.rules, view.state
    if any(isinstance(each, Text) and plain(clause) in plain(each.text) for each in state.case.answers.values()):
        return True
    questions = {key: rules.questions[key[0]] for key in (*state.saved.order, *view.judgement.walk.to_ask)}
    try:
        said = read_part(clause, questions, rules, None, asked=True) or {}
    except Misread:
        said = {}
    if any(answer is None or _stands(key, answer, view) for key, answer in said.items()):
        return True
    heard = view.listener.hear(clause, state.case, asked)
    told = heard.understood or heard.proposed
    if not told:
        return bool(said) or any(plain(clause) == plain(each.typed) for each in _figures(view))
    figures = _figures(view)
    left = (
        one
        for one in told
        if not (_stands(one.key, one.answer, view) or any(same_answer(each, one.answer) for each in figures))
    )
    names = [question_in_words(one.key, rules).casefold() for one in left]
    return all(any(name in note for note in noted) for name in names)


def _stands(key: Key, answer: Answer, view: View) -> bool:
    """Whether an answer stands as it was said, or a worse one, or waits; of any injury, where it is one's."""
    case, waits = view.state.case, view.state.pending
    over = view.judge.rules.over_of(key[0])
    indices = range(len(case.injuries)) if over == inputs.OVER_INJURIES else (key[1],)
    held = [case.get(over, (key[0], index)) for index in indices]
    held += [each.answer for each in (*waits.answers, *waits.proposed) if each.key[0] == key[0]] if waits else []
    return any(_covers(each, answer) for each in held)


def _figures(view: View) -> list[Measure]:
    """The figures that stand or wait, of whatever they were said."""
    case, waits = view.state.case, view.state.pending
    every = [each for of in (case.answers, *case.injuries, *case.repairs) for each in of.values()]
    every += [one.answer for one in waits.answers] if waits else []
    return [each for each in every if isinstance(each, Measure)]


def _covers(stands: Answer | None, said: Answer) -> bool:
    if isinstance(stands, Choices) and isinstance(said, Choices):
        return said.present <= stands.present
    these, those = (_measures(each) for each in (stands, said))
    if these and those and all(each.quantity == these[0].quantity for each in (*these, *those)):
        low, high = min(each.low for each in _alike(these)), max(each.high for each in _alike(these))
        return all(low <= each.low and each.high <= high for each in _alike((these[0], *those))[1:])
    return stands is CANT_TELL or (stands is not None and same_answer(stands, said))


def _measures(answer: Answer | None) -> tuple[Measure, ...]:
    if isinstance(answer, Measure):
        return (answer,)
    return answer.readings if isinstance(answer, Readings) else ()


def _alike(measures: tuple[Measure, ...]) -> list[Measure]:
    return [each.to(measures[0].unit) for each in measures]
