"""What stands behind a bare yes or no to what is asked: it only closes, it takes the word back, or it tells more.

What does which is said by `parts` of phrases.yaml, for each question by the name that the program has for it.
"""

from __future__ import annotations

import re

from msgspec import Struct
from msgspec.structs import replace

from advisor.dialogue.read_back import shown_back
from advisor.dialogue.state import Pending, SessionState, View
from advisor.loader.answer_codec import NONE_WORDS, bare_choice, plain
from advisor.model import inputs
from advisor.model.case import Choice, Choices, Key
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.part_runs import part_runs_of
from advisor.nlu.result import AskBack, Understood
from advisor.nlu.what_weighs import NO_NEWS
from advisor.wording.messages import Message

_WORD_AND_TAIL = re.compile(r"\s*(?P<word>[^\W\d_]{2,})[\s,;.:!-]+(?P<tail>\S.*?)[\s.!]*", re.S)
_CLAUSES = re.compile(r"\s*[,;]\s*(?:and |but )?|(?<=[^\W\d_])[.!]\s+")
#: Ahead of a question's name in `parts`: what leaves a bare word as it is, and what takes it back.
_CLOSES, _TAKES_BACK = "still-", "but-"
#: What an exception to "no other injury" begins with, ahead of what is said of the injury; and one that it names so.
_EXCEPTION, _ONE = "exception-ahead", "one-more-ahead"


class Bare(Struct, frozen=True):
    """A bare word ahead of a line, the answer that it is, and what stands behind it."""

    word: str
    answer: Choice | Choices
    tail: str


def bare_ahead(text: str, question: Question) -> Bare | None:
    """The bare yes, no or none that a line begins with, and what stands behind it; None for any other line."""
    match = _WORD_AND_TAIL.fullmatch(text)
    if match is None:
        return None
    if question.kind == inputs.CHOICES and plain(match["word"]) in NONE_WORDS:
        return Bare(match["word"], Choices(frozenset()), match["tail"])
    choice = bare_choice(question, match["word"]) if question.kind == inputs.CHOICE else ""
    return Bare(match["word"], Choice(choice), match["tail"]) if choice else None


def only_closes(bare: Bare, question: Question, rules: RuleSet) -> bool:
    """Whether all that stands behind a bare word leaves it as it is: yes, both beads."""
    kind = f"{_CLOSES}{rules.input_of(question.id)}"
    runs = part_runs_of(rules.phrases)
    clauses = [each for each in _CLAUSES.split(bare.tail) if each]
    return any(runs.whole(each, kind) for each in clauses) and all(
        runs.whole(each, kind) or runs.made_up(each, *NO_NEWS) for each in clauses
    )


def contrary_shown_back(view: View, key: Key, bare: Bare, text: str) -> tuple[SessionState, list[Message]] | None:
    """The contrary of a bare word, shown back, where what stands behind it says so: no, just the one; None otherwise.

    Of a further injury, what is said of it goes with it.
    """
    rules = view.judge.rules
    question = rules.questions[key[0]]
    name, runs = rules.input_of(question.id), part_runs_of(rules.phrases)
    worst = question.worse_order[-1] if question.worse_order else ""
    first, *others = _CLAUSES.split(bare.tail)
    if not worst or bare.answer == Choice(worst) or not runs.begins(runs.words(first), f"{_TAKES_BACK}{name}"):
        return None
    one = Understood(key, question.over, Choice(worst), worst, text)
    further = question.id == rules.more_of(inputs.OVER_INJURIES)
    asked, case, said = key, view.state.case.with_answer(question.over, key, one.answer), bare.tail
    if further:
        asked, said = (rules.question_now(inputs.INJURY_ZONE), key[1] + 1), ", ".join((_of_one(first, rules), *others))
    heard = view.listener.hear(said, case, asked)
    told = [each for each in (*heard.understood, *heard.proposed) if each.key != key and _tells(each, further)]
    answers = (one, *(each for each in told if each in heard.understood))
    proposed = tuple(each for each in told if each in heard.proposed)
    why = f'"{first}" may take the {bare.word} back'
    heard = replace(heard, text=text, understood=answers, asks_back=(AskBack(key, why), *heard.asks_back))
    pending = Pending(heard, answers, proposed, (text,), ())
    return replace(view.state, pending=pending), [Message("note", tuple(shown_back(view, pending)))]


def _tells(one: Understood, of_injury: bool) -> bool:
    """Whether something heard goes with what is taken back: found, or of an injury where one is told."""
    if isinstance(one.answer, Choices):
        return bool(one.answer.present)
    return of_injury and one.over == inputs.OVER_INJURIES


def _of_one(first: str, rules: RuleSet) -> str:
    """What is said of a further injury, without what made it an exception and with a hole for the one."""
    runs = part_runs_of(rules.phrases)
    words = runs.words(first)
    for kind, instead in ((_EXCEPTION, ()), (_ONE, ("a", "hole"))):
        end = runs.longest(words, kind)
        words = [*instead, *words[end:]] if end else words
    return " ".join(words)
