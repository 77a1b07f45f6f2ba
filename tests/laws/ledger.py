"""Plays random consultations through the plain lines and keeps its own book of what was said last about each thing."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import Any

from advisor.console.session_lines import converse
from advisor.dialogue.event_sink import Recorder
from advisor.dialogue.session import Ask, Consultation
from advisor.engine.evaluator import Judge
from advisor.loader.answer_codec import read_typed
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choices, Key, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.result import Understood
from advisor.wording.messages import findings_merged

#: What can be typed at a question of each kind or unit, as a technician would; choices come from the rule set.
FIGURES = {
    "length": ("6 mm", "1/4 in", "8-10 mm", "about 9 mm", "12 mm", "3/32 in", "100 mm", "150 mm"),
    "angle": ("10", "25 deg", "20-30 deg", "40"),
    "pressure": ("0", "80 psi", "100 psi", "60-70 psi", "7 bar"),
    "temperature": ("12 C", "50 F"),
    "percent": ("65 %",),
}
TEXTS = {
    "sidewall": ("11R22.5 144/142L LRG", "P215/65R16 96H", "275/70R22.5 148/145M", "LT245/75R16 120/116S LRE"),
    "dot-code": ("2319", "4017"),
}
SENTENCES = (
    "6 mm hole in the crown", "16 mm hole through the crown of a trailer tire", "nail in the shoulder, 8 mm",
    "bulge on the sidewall", "exposed cord and a separation", "tread 9/32", "found at 40 psi, should be 100",
    "it is a steer tire from a truck", "driven flat", "the angle is about 30 degrees",
)  # fmt: skip
#: What is hedged, or somebody else's word: proposed at most, and taken by its number or not at all.
HEDGED = (
    "maybe the hole is about 9 mm wide", "I think it's in the shoulder and maybe 12 mm", "the driver says it's 5 mm",
    "it might be in the sidewall", "truck tire, maybe driven flat", "the nail hole is 7 mm, I think 30 degrees",
)  # fmt: skip
#: What is said beside the answers; none of it may change the case.
ASIDES = (
    "why", "how", "so far", "verdict", "why not repair", "how sure", "what is crown", "ahead", "draw", "steps",
    "what if the angle were 40 degrees", "what if the hole were 3 mm", "what if it were in the sidewall",
    "least change", "why not one-piece", "answers", "sources", "take 3", "report", "beside",
)  # fmt: skip
UNKNOWN = object()
TODAY = date(2026, 3, 14)


@lru_cache(maxsize=8)
def judge_of(name: str) -> Judge:
    """One judge a rule set for all sequences; it is pure."""
    return Judge(load_rule_set(find_rule_set(name)))


@dataclass
class Ledger:
    """What was said last about each thing: an answer, UNKNOWN for can't tell, nothing where it was withdrawn.

    `left` is what was left out on purpose.
    """

    said: dict[Key, Any] = field(default_factory=dict)
    left: set[Key] = field(default_factory=set)

    def say(self, key: Key, answer: Any) -> None:
        """Books an answer."""
        self.said[key] = answer
        self.left.discard(key)

    def leave(self, key: Key) -> None:
        """Books that a question was left out."""
        self.said.pop(key, None)
        self.left.add(key)

    def differs(self, case: Case, rules: RuleSet) -> list[str]:
        """Where a case is another than this book, in words."""
        stands = answers_of(case)
        found = []
        mores = {part.over: part.more for part in rules.parts if part.more}
        implied = {
            (mores[over], index)
            for over, items in (("earlier-repairs", case.repairs), ("injuries", case.injuries))
            for index in range(len(items) - 1)
        }  # one more was told in a sentence
        for key in sorted({*self.said, *stands} - implied):
            book, has = self.said.get(key), stands.get(key)
            if book is UNKNOWN and has in (None, CANT_TELL):
                continue
            if book != has:
                found.append(f"{key}: said last {'nothing' if book is None else book}, stands {has}")
        return found

    def ask_anew(self, before: dict[Key, Any], rules: RuleSet) -> None:
        """Takes out what confirmed a figure that was changed since."""
        for node in rules.nodes.values():
            doubted = {name for ruling in node.rulings for name in ruling.doubts}
            for key in [key for key in self.said if key[0] == node.asks and self.said[key] == before.get(key)]:
                if any(self.said.get((name, key[1])) != before.get((name, key[1])) for name in doubted):
                    del self.said[key]


def answers_of(case: Case) -> dict[Key, Answer]:
    """Every answer of a case by its address."""
    found: dict[Key, Answer] = {(name, TIRE): answer for name, answer in case.answers.items()}
    for items in (case.repairs, case.injuries):
        for index, answers in enumerate(items):
            found |= {(name, index): answer for name, answer in answers.items()}
    return found


class Player:
    """Chooses the next line to type by chance, and books what it means."""

    def __init__(self, consultation: Consultation, seed: int, length: int, anew: float = 0.3) -> None:
        self.consultation = consultation
        self.random = random.Random(seed)
        self.left = length
        self.weights = (60, 8, 5, 8, 8, 6, 5, anew, 2, 5, 4)
        self.ledger = Ledger()
        self.typed: list[str] = []
        self.heard: list[str] = []
        self.count: Counter[str] = Counter()
        self._book: Any = None

    def lines(self) -> Iterator[str]:
        """The lines to type, each chosen when it is asked for."""
        while self.left > 0:
            self.left -= 1
            self.settle()
            line = self.next_line()
            self.typed.append(line)
            self.heard.clear()
            yield line
        self.settle()

    def settle(self) -> None:
        """Books the line before, where it was taken."""
        book, self._book = self._book, None
        noted = self.consultation.state.as_said
        if noted is not None and not noted.held:
            answers, doubted = list(noted.pending.answers), [one.key for one in noted.pending.proposed]

            def book() -> None:
                self._book_yes(answers, doubted)

        if book is not None and not any("Not understood" in line for line in self.heard):
            before = dict(self.ledger.said)
            book()
            if not self.typed[-1].startswith("drop"):
                self.ledger.ask_anew(before, self.consultation.judge.rules)

    def next_line(self) -> str:
        """A line: mostly an answer, now and then a withdrawal, a sentence, a question back."""
        ask = self.consultation.ask
        if self.consultation.pending is not None:
            return self._confirmed()
        what = self.random.choices(
            ("answer", "skip", "cant", "back", "change", "sentence", "aside", "anew", "drop", "hedged", "left"),
            self.weights,
        )[0]
        if ask is None and what in ("answer", "skip", "cant"):
            what = "change"
        self.count[what] += 1
        return getattr(self, f"_{what}")(ask)

    def _answer(self, ask: Ask) -> str:
        text = self.random.choice(texts_for(ask.question))
        key, answer = ask.key, read_typed(ask.question, text)
        stands = self.consultation.case.get(ask.question.over, key)
        if isinstance(stands, Choices) and isinstance(answer, Choices) and not stands.complete:
            answer = findings_merged(stands, answer)  # what was found stays found
        # a figure may be refused as impossible beside the others; a long text may be heard as a sentence
        self._book = lambda: self._is_pending() or self.ledger.say(key, answer)
        return text

    def _is_pending(self) -> bool:
        return self.consultation.pending is not None

    def _skip(self, ask: Ask) -> str:
        key = ask.key
        self._book = lambda: self.ledger.leave(key)
        return self.random.choice(("skip", "leave it out"))

    def _cant(self, ask: Ask) -> str:
        key = ask.key
        self._book = lambda: self._book_unknown(key)
        return self.random.choice(("can't tell", "no idea"))

    def _book_unknown(self, key: Key) -> None:
        self.ledger.say(key, UNKNOWN)
        if key in self.consultation.case.skipped:  # nothing rests on it: the same as leaving it out
            self.ledger.left.add(key)

    def _back(self, ask: Ask | None) -> str:
        return "back"

    def _change(self, ask: Ask | None) -> str:
        rows = len(self.consultation.listed)
        return f"change {self.random.randint(1, rows)}" if rows else "so far"

    def _left(self, ask: Ask | None) -> str:
        names = [name for _, name in self.consultation.left_out]
        return f"change {self.random.choice(names)}" if names else "answers"

    def _hedged(self, ask: Ask | None) -> str:
        return self.random.choice(HEDGED)

    def _sentence(self, ask: Ask | None) -> str:
        return self.random.choice(SENTENCES)

    def _aside(self, ask: Ask | None) -> str:
        return self.random.choice(ASIDES)

    def _anew(self, ask: Ask | None) -> str:
        self._book = lambda: (self.ledger.said.clear(), self.ledger.left.clear())
        return "start over"

    def _drop(self, ask: Ask | None) -> str:
        over = self.random.choice(("injuries", "earlier-repairs"))
        items = self.consultation.case.instances(over)
        index = self.random.randint(0, max(0, len(items) - 1))
        if index < len(items) and items[index]:
            self._book = lambda: self._book_dropped(over, index, len(items))
        return f"drop {'injury' if over == 'injuries' else 'repair'} {index + 1}"

    def _book_dropped(self, over: str, index: int, count: int) -> None:
        rules = self.consultation.judge.rules
        more = next((part.more for part in rules.parts if part.over == over and part.more), "")
        moved = {}
        for (name, place), answer in self.ledger.said.items():
            if place == TIRE or rules.questions[name].over != over or place < index:
                moved[name, place] = answer
            elif place > index:
                moved[name, place - 1] = answer
        if index and index == count - 1:
            moved.pop((more, index - 1), None)
        self.ledger.said = moved
        self.ledger.left = {
            (name, place - (place > index)) if self._is_over(name, over) else (name, place)
            for name, place in self.ledger.left
            if not (place == index and self._is_over(name, over))
        }

    def _is_over(self, name: str, over: str) -> bool:
        return self.consultation.judge.rules.questions[name].over == over

    def _confirmed(self) -> str:
        pending = self.consultation.pending
        assert pending is not None
        answers = list(pending.answers)
        doubted = [one.key for one in pending.proposed]
        take = f"take {len(answers) + self.random.randint(1, len(doubted) + 1)}" if doubted else "not 1"
        what = self.random.choice(("yes", "yes", "no", "back", "not 1", take, take))
        self.count[f"confirm {what.split()[0]}"] += 1
        if what == "yes":
            self._book = lambda: self._book_yes(answers, doubted)
        if what.startswith("take"):
            self._book = lambda: self._book_taken(answers, doubted, int(what.split()[1]) - len(answers) - 1)
        return what

    def _book_taken(self, answers: list[Understood], doubted: list[Key], place: int) -> None:
        """Books what a number took, where nothing was left to look at and all of it counts at once."""
        if self.consultation.pending is None:
            self._book_yes(answers, [key for key in doubted if key != doubted[place]])
            self.ledger.say(doubted[place], answers_of(self.consultation.case)[doubted[place]])

    def _book_yes(self, answers: list[Understood], doubted: list[Key]) -> None:
        for one in answers:
            self._book_heard(one.key, one.answer)
        stands = answers_of(self.consultation.case)
        for key in doubted:
            before, now = self.ledger.said.get(key), stands.get(key)
            if before not in (None, UNKNOWN) and now != before and in_doubt_of(before, now):
                self.ledger.say(key, UNKNOWN if now is CANT_TELL else now)

    def _book_heard(self, key: Key, answer: Answer) -> None:
        before = self.ledger.said.get(key)
        if isinstance(answer, Choices):
            answer = findings_merged(before, answer)
        self.ledger.say(key, answer)


def in_doubt_of(before: Answer, now: Answer | None) -> bool:
    """Whether an answer is the one before with a doubt: open, a wider range, more found or less looked for."""
    if isinstance(before, Measure) and isinstance(now, Measure):
        return now.low <= before.to(now.unit).low and before.to(now.unit).high <= now.high
    if isinstance(before, Choices) and isinstance(now, Choices):
        return before.present <= now.present and not now.complete
    if isinstance(before, Readings) and isinstance(now, Readings):
        return set(before.readings) <= set(now.readings)
    return now is CANT_TELL


def texts_for(question: Question) -> list[str]:
    """What may be typed at a question."""
    if question.id in TEXTS:
        return list(TEXTS[question.id])
    if question.kind == "choice":
        return [str(place) for place in range(1, len(question.choices) + 1)]
    if question.kind == "choices":
        return ["none", "none", *(str(place) for place in range(1, len(question.choices) + 1))]
    if question.kind == "readings":
        return ["9/32", "5/32", "1/32", "9/32, 8/32", "2", "8-10", "3/32 in"]
    if question.kind == "clock":
        return ["2:00", "7:30", "12:07"]
    if question.kind == "text":
        return ["something"]
    found = []
    for text in FIGURES.get(question.quantity or "", ("5",)):
        try:
            read_typed(question, text)
        except ValueError:
            continue
        found.append(text)
    return found or [question.shown_as or "5"]


@lru_cache(maxsize=500)
def played(rules: str, seed: int) -> Player:
    """One consultation of 40 lines, played once for all that is held against it."""
    return play(rules, seed)


def play(rules: str, seed: int, length: int = 40, recorder: Recorder | None = None) -> Player:
    """One consultation in plain lines, answered, withdrawn and changed by chance; the player with its book."""
    consultation = Consultation(judge_of(rules), TODAY)
    player = Player(consultation, seed, length)
    for line in converse(consultation, player.lines(), lambda text: None, recorder):
        player.heard.append(line)
    return player
