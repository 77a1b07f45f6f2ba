"""The way back behind a sentence that counted as said: what speaks of it, and what sets it right."""

from __future__ import annotations

import re

from msgspec.structs import replace

from advisor.dialogue.changes import capital
from advisor.dialogue.confirm_choices import NO, agrees, begins_with_yes, says_no
from advisor.dialogue.holder import Holder
from advisor.dialogue.if_counted import is_worse, once_counted
from advisor.dialogue.no_news import is_no_news
from advisor.dialogue.not_counted import NOTED_ONLY
from advisor.dialogue.prompt import Ask
from advisor.dialogue.prompt_line import parts_of, read_part
from advisor.dialogue.read_back import shown_back
from advisor.dialogue.second_look import number_asked_back
from advisor.dialogue.state import AsSaid, SessionState, View
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import NONE_WORDS, YES_OR_NO, plain, read_typed
from advisor.model import inputs
from advisor.model.problems import Misread
from advisor.model.ruleset import RuleSet
from advisor.nlu.part_runs import any_word_of
from advisor.wording.messages import Message

#: The classes of words ahead of what sets something right, and of what may stand ahead of those.
_CORRECTION, _AHEAD = "correction", "ahead-of-correction"
#: What stands behind a no that sets something right where no is no answer; a figure, which does so anywhere.
_COMMA, _FIGURE = r"\s*,\s*\w", r"[ ,]+-?\d[\d.,/]*\s*\S{0,6}$"
#: What drops a sentence, and answers nothing.
DROPS = NO - NONE_WORDS - {"n", "2"}


def drops(text: str) -> bool:
    """Whether a line only says that what was said last is to be dropped."""
    return plain(text) in DROPS


def sets_right(text: str, ask: Ask | None, rules: RuleSet) -> bool:
    """Whether a line says of itself that it sets something right, whatever was understood of it."""
    words, ahead = (any_word_of(rules.phrases.classes.get(name, ())) for name in (_CORRECTION, _AHEAD))
    if re.match(rf"\s*(?:(?:{ahead})[ ,.:;-]+)*(?:{words})\b.*\w+", text, re.I):
        return True
    yes_no = ask is not None and any(choice.id == "no" for choice in ask.question.choices)
    return not yes_no and says_no(text, _COMMA, rules)


def held(talk: Holder, text: str) -> tuple[SessionState, list[Message]]:
    """A yes or no right behind a refused line, or a yes behind one noted as said, says first what it would answer.

    Nothing waits to be confirmed there, and nothing else to be dropped.
    """
    if (asked := number_asked_back(talk, text)) is not None:
        return asked
    state, ask, word, noted = talk.state, talk.ask, plain(text), talk.state.as_said
    behind_noted = noted is not None and not (noted.held or noted.confirmed) and agrees(word)
    if not behind_noted and not (state.refused and word in YES_OR_NO):
        return state, []
    state = replace(state, refused=False, as_said=replace(noted, held=True) if noted is not None else None)
    counts = (
        "is noted; drop it takes it back, change and a name sets one right" if behind_noted else "counts for nothing"
    )
    says = f"Nothing waits here: the line before {counts}."
    nothing_else = [Message("complaint", (says,))] if behind_noted else []
    try:
        if ask is None or word not in YES_OR_NO or ask.question.kind == inputs.TEXT:
            return state, nothing_else
        answer = value_in_words(read_typed(ask.question, text), ask.question)
    except Misread:
        return state, nothing_else
    says = f"{says} {capital(word)} would answer what is asked."
    again = f"{capital(ask.title)}: {answer}. If that is meant, type it once more."
    return state, [Message("complaint", (says, again))]


def way_back(talk: Holder, noted: AsSaid, text: str) -> SessionState | None:
    """The state in which the sentence before still waits to be confirmed, where a line speaks of it; else None."""
    if talk.saved is not noted.after or talk.pending is not None or (noted.confirmed and not drops(text)):
        return None
    if not sets_right(text, talk.ask, talk.judge.rules) and not goes_back_to(talk, noted, text):
        return None
    since = (note for note in talk.state.notes[len(noted.notes) :] if note.startswith(NOTED_ONLY))
    return replace(talk.state, saved=noted.before, notes=(*noted.notes, *since), pending=noted.pending)


def goes_back_to(view: View, noted: AsSaid, text: str) -> bool:
    """Whether a line speaks of the sentence before it, which counts already, and does not just answer what is asked.

    A yes with more behind it, a no with a figure, a word that drops it, a thing of it named and not set right.
    """
    word = plain(text)
    if word in DROPS or (begins_with_yes(text) and not agrees(word)):
        return True
    if says_no(word, _FIGURE, view.judge.rules):
        return True
    counted = {one.key[0] for one in noted.pending.answers}
    if not view.listener.spoken_of(text) & counted:
        return False
    rest = _without_answers(view, text, counted)
    named = view.listener.spoken_of(rest) & counted
    heard = view.listener.hear(rest, view.state.case, view.question_key)
    told = {one.key[0] for one in (*heard.understood, *heard.proposed)}
    left_over = heard.not_understood or heard.passed_over or heard.proposed or heard.asks_back
    return bool(named - told) and bool(left_over or not told or told & counted)


def _without_answers(view: View, text: str, counted: set[str]) -> str:
    """A line without its parts that are answers by themselves to what is open, or tell nothing: crown, round hole."""
    questions, phrases = view.judge.rules.questions, view.judge.rules.phrases
    here = {key: questions[key[0]] for key in view.judgement.walk.to_ask if key[0] not in counted}
    rest = list[str]()
    for part in parts_of(text):
        try:
            answers = read_part(part, here, view.judge.rules, None, asked=False)
        except Misread:
            answers = None
        if answers is None and not is_no_news(part, phrases):
            rest.append(part)
    return ", ".join(rest)


def put_again(view: View, text: str) -> list[Message]:
    """What waits, shown back behind a bare no that would drop something bad, and that names nothing; else nothing."""
    pending = view.state.pending
    if (
        pending is None
        or plain(text) not in NO
        or not is_worse(view.judged(once_counted(view, pending)), view.judgement)
    ):
        return []
    return [Message("note", tuple(shown_back(view, pending)))]
