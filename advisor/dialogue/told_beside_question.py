"""What a line that asks tells besides: clauses that state something, and what a question takes to be so on this tire.

A question never becomes an answer. A clause that states something is shown back like a sentence; what a question takes
to be so (the bulge, why is there rust, with the bead torn) is asked back, and a repair's card begins with it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import zip_longest

from advisor.dialogue.asked_of_this_tire import CLAUSE, DEFINES, IN_GENERAL, SUPPOSES, TELLS_SO, speaks_of_this_tire
from advisor.dialogue.if_counted import is_worse
from advisor.dialogue.not_counted import (
    ASKED_AND_SAID,
    ASKED_IN_GENERAL,
    ASKED_OF,
    NOT_COUNTED,
    asked_of,
    named_bad,
)
from advisor.dialogue.question_form import asks_by_form
from advisor.dialogue.session import Consultation
from advisor.dialogue.state import LONGEST_KEPT
from advisor.explain.question_reader import MOST_WORDS_BETWEEN, reader_of
from advisor.loader.answer_codec import is_cant_tell, plain
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choice, Choices
from advisor.model.problems import shown
from advisor.nlu.result import Heard
from advisor.nlu.small_words import said_pattern, said_words
from advisor.nlu.what_weighs import weighs
from advisor.wording.messages import Message

_AHEAD = said_pattern("ahead-of-what-is-told", re.IGNORECASE)
_ONE_MORE = said_pattern("one-more", re.IGNORECASE)
_WORD = re.compile(r"[^\W\d_]+")
_IF_THE = re.compile(r"\bif (?:the|this|its|it's|it is|my) ", re.I)
_AHEAD_IF = re.compile(r"^\s*(?:(?:and|so|but|ok) )*what if ", re.I)
_BECAUSE_SO = re.compile(r"\bbecause (?:it|they|this|that) (?:is|was|does|did|has|do|are|were)\b", re.I)
_WHY = said_pattern("asks-why", re.IGNORECASE)
_WHY_OF_IT = re.compile(r"(?:how come|why(?:'s|\b)).{0,8}\b(?:it|this|that|my|there|these|they)\b", re.I)
_WHATS_THE = re.compile(r"what(?:'?s| is| are) the (?:\w+ )?\w+$", re.I)
_OF_FIGURE = re.compile(r"\s*(?:(?:and|so|but|ok) )*(?:is|are|would|will)\s+(?:about |only )?\d", re.I)
_THERE = said_words("taken-as-there")
_A = frozenset({"a", "an", "any", "no", "each", "every", "such"})
_HAS = frozenset({"has", "have", "had", "got", "theres", "there's", "is", "was", "its", "it's"})


def clauses_of(line: str) -> tuple[list[str], list[str]]:
    """The clauses of a line that state something, and those that ask; none of the first in one that asks nothing."""
    stated, asked = list[str](), list[str]()
    supposes = False
    for piece in filter(None, map(str.strip, CLAUSE.split(line))):
        bare = _AHEAD.sub("", piece, count=1) if _AHEAD.match(piece) else piece
        if asks_by_form(bare) or asks_by_form(piece):
            asked.append(piece)
            supposes = bool(SUPPOSES.match(piece))
        elif SUPPOSES.match(piece) or (supposes and piece == bare):
            supposes = True
        elif bare and (not asked or (TELLS_SO.search(piece) and not piece.casefold().startswith("or "))):
            stated.append(bare.rstrip("?! "))
        supposes = supposes and not piece.endswith("?")
    return (stated, asked) if asked else ([], [])


def without_what_is_stated(line: str) -> str:
    """A line from its first clause that asks on: what is stated ahead of it is shown back by itself."""
    asked = clauses_of(line)[1]
    return line[line.find(asked[0]) :] if asked else line


def told_beside(consultation: Consultation, line: str) -> list[Message]:
    """What comes of the clauses of a question's line that state something: shown back, or kept as not understood."""
    stated = [each for each in clauses_of(line)[0] if not is_cant_tell(each) and len(plain(each)) > 1]
    said = ", ".join(stated)
    heard = consultation.listener.hear(said, consultation.case, consultation.question_key) if said else None
    if heard is None or (heard.idle and heard.injuries <= len(consultation.case.injuries)):
        return []
    if consultation.open_question is None and (at_work := _at_the_work(consultation, said)):
        return at_work
    told = (*heard.understood, *heard.proposed)
    if _is_known(consultation, heard):
        return []
    from advisor.dialogue.confirmation import listen

    found = consultation.follow(listen(consultation, said, beside=line)) if " " in said or told else []
    tells = heard.passed_over or heard.asks_back or TELLS_SO.search(said) or len(said.split()) > MOST_WORDS_BETWEEN
    if not found and tells and weighs(said, consultation.judge.rules.phrases):
        consultation.become(consultation.state.noting(f"{NOT_COUNTED}{shown(said, LONGEST_KEPT)}"))
        return [Message("note", (f'Not understood, so not counted: "{shown(said, 60)}". Say it in other words.',))]
    return found


def _is_known(consultation: Consultation, heard: Heard) -> bool:
    """Whether all that was heard stands already, or can't be told."""
    told = (*heard.understood, *heard.proposed)
    known = (one.answer in (CANT_TELL, consultation.case.get(one.over, one.key)) for one in told)
    return bool(told) and not heard.passed_over and all(known)


def kept_for_the_card(consultation: Consultation, line: str, unanswered: bool) -> bool:
    """Keeps what a question may tell of this tire, so that a repair's card begins with it; whether it may tell.

    One that asks why it is so, or supposes something, and is `unanswered` may do so by any word that weighs.
    """
    phrases, whole = consultation.judge.rules.phrases, line.rstrip("? ")
    asks_of_it = unanswered and (_WHY_OF_IT.match(whole) or _WHATS_THE.match(whole) or SUPPOSES.match(whole))
    words = speaks_of_this_tire(line, phrases) or (whole if asks_of_it and weighs(whole, phrases, named=True) else "")
    stated = ", ".join(clauses_of(line)[0])
    if not words or (stated and _is_known(consultation, consultation.listener.hear(stated, consultation.case))):
        return False
    consultation.become(consultation.state.noting(f"{ASKED_OF}{shown(words, LONGEST_KEPT)}"))
    return True


def _at_the_work(consultation: Consultation, said: str) -> list[Message]:
    from advisor.dialogue.work_commands import bare_line

    return (bare_line(consultation, said) or []) if consultation.judgement.method else []


def presumed(consultation: Consultation, line: str, supposed: str = "") -> list[Message]:
    """What comes of what a question takes to be so, where it is bad news: asked back, and kept for the card.

    `supposed` is the question that the line was answered as another answer of.
    """
    asked = clauses_of(line)[1] or [line]
    several, because = len(asked) > 1, bool(_BECAUSE_SO.search(line))
    each_in = (_presumed_in(consultation, each.rstrip("? "), several, because) for each in asked)
    words = next(filter(None, each_in), "")
    question = consultation.judge.rules.questions.get(supposed)
    figure = question is not None and question.kind in inputs.FIGURE_KINDS and bool(_OF_FIGURE.match(line))
    open_now = question is not None and not any(
        each.get(question.id) for each in (consultation.case.answers, *consultation.case.injuries)
    )
    words = words or (line.rstrip("? ") if figure and open_now else "")
    if not words:
        return []
    name = f"{question.name}: " if question is not None and figure else ""
    consultation.become(consultation.state.noting(f"{ASKED_OF}{name}{shown(words, LONGEST_KEPT)}"))
    says = f'A question counts for nothing. You spoke of this: "{shown(words, 80)}". Is it so on this tire? Say it as'
    return [Message("note", (f"{says} a sentence, or that it is not so.",))]


def _presumed_in(consultation: Consultation, asked: str, several: bool, because: bool) -> str:
    """A question that takes something bad to be so, which was not told; else an empty text."""
    figure = bool(_OF_FIGURE.match(asked))
    if IN_GENERAL.search(asked) or (DEFINES.match(asked) and not because):
        return ""
    supposes = bool(SUPPOSES.match(asked))
    if supposes and not because and not (several and _IF_THE.search(asked)):
        return ""
    heard = consultation.listener.hear(_AHEAD_IF.sub("", asked), consultation.case, facts=False)
    if heard.injuries > max(1, len(consultation.case.injuries)) or _ONE_MORE.search(asked):
        return asked
    for words, key, answer in _bad_in(consultation, asked):
        of_figure = figure and not isinstance(answer, Choice | Choices)
        there = (
            of_figure or because or _takes_as_there(asked, words, bool(_WHY.match(asked)), isinstance(answer, Choice))
        )
        if there and _is_news(consultation, key, answer):
            return asked
    in_general = consultation.judge.rules.phrases.classes.get(ASKED_IN_GENERAL, ())
    over = [word for word in heard.passed_over if word not in in_general]
    return asked if any(_takes_as_there(asked, word, bool(_WHY.match(asked))) for word in over) else ""


def _bad_in(consultation: Consultation, asked: str) -> Iterator[tuple[str, tuple[str, int], Answer]]:
    """What a question names that could be found: its words, and the answer that it would be."""
    rules = consultation.judge.rules
    heard = consultation.listener.hear(_AHEAD_IF.sub("", asked), consultation.case, facts=False)
    for one in (*heard.understood, *heard.proposed):
        yield one.words, one.key, one.answer
    read = reader_of(rules).read(asked)
    typed = plain(asked).split()
    for each in read.subjects:
        for name, choice in each.subject.as_if.items():
            question = rules.questions[name]
            words = " ".join(typed[max(0, each.at - each.words) : each.at]) or asked
            key = (name, TIRE if question.over == "tire" else max(0, len(consultation.case.injuries) - 1))
            if question.kind == "choices":
                yield words, key, Choices(frozenset({choice}), frozenset())
            elif choice == "yes":
                yield words, key, Choice(choice)


def _is_news(consultation: Consultation, key: tuple[str, int], answer: Answer) -> bool:
    """Whether an answer would be worse than what stands, or bad where nothing was said yet."""
    question = consultation.judge.rules.questions[key[0]]
    old = consultation.case.get(question.over, key)
    if isinstance(answer, Choices):
        return bool(answer.present - (old.present if isinstance(old, Choices) else frozenset()))
    if answer is CANT_TELL or old == answer:
        return False
    case = consultation.case.with_answer(question.over, key, answer)
    worst = isinstance(answer, Choice) and question.worse_order[-1:] == (answer.id,)
    return worst or is_worse(consultation.judge.judge(case), consultation.judgement)


def _takes_as_there(asked: str, words: str, why: bool, place: bool = False) -> bool:
    """Whether a question takes what some of its words name to be there: the bulge, with the bead torn, why is there.

    `place`: what is spoken of may be named farther ahead: a hole in the shoulder.
    """
    low = plain(asked)
    at = low.find(plain(words)) if words else len(low)
    ahead = low[: max(at, 0)].split()[-MOST_WORDS_BETWEEN if words else None :]
    last = low[: max(at, 0)].split() if place else ahead[-2:]
    if not _A.isdisjoint(last) and _HAS.isdisjoint(ahead) and not why:
        return False
    return why or not _THERE.isdisjoint((*ahead, *plain(words).split()[:1]))


def said_since(consultation: Consultation, before: Case, text: str) -> None:
    """Ends the notes of what was asked about that a line says something of: by the same word, by a figure for it."""
    if asks_by_form(text) or clauses_of(text)[1]:
        return
    rules, case = consultation.judge.rules, consultation.case
    said = set(_WORD.findall(text.casefold()))
    now, then = ((each.answers, *each.injuries) for each in (case, before))
    told = {
        name for each, old in zip_longest(now, then) for name, given in each.items() if given != (old or {}).get(name)
    }
    measured = tuple(
        f"{each.name}: " for each in map(rules.questions.__getitem__, told) if each.kind in inputs.FIGURE_KINDS
    )
    for words in asked_of(consultation.notes):
        if words.startswith(measured) or not named_bad(words, rules.phrases).isdisjoint(said):
            consultation.become(consultation.state.noting(f"{ASKED_AND_SAID}{words}"))
