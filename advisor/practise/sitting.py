"""A sitting of practice: one tire after another, what a typed line does, what is shown. Both faces speak to it.

`Sitting` is the one holder: it makes the tires and keeps what was learned. What is on the table is a frozen `Round`;
`take_line(sitting, round, text)` gives the next one with what to show, `prompt(round)` what is asked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from advisor.drawings.drawn_for import anything_placed, picture_of
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.answer_codec import plain
from advisor.model.problems import Misread, shown
from advisor.practise.feedback import ONLY_PRACTICE, TRAINS, feedback, near_twin
from advisor.practise.grading import Grade, graded, reason_questions
from advisor.practise.job import (
    LIMIT,
    METHOD,
    REASON,
    RESTRICTIONS,
    SOURCE,
    SURE,
    VERDICT,
    Job,
    back,
    decided,
    field_of,
    known_facts,
    looked_at,
    offered,
    way_typed,
)
from advisor.practise.learned import Attempt, Learned, attempt_of, due_now, figures_of, kept_record, read_record
from advisor.practise.looking import order_facts, shown_by, ways_of
from advisor.practise.made_up import MadeUpTire
from advisor.practise.picks import FreePick
from advisor.practise.tire_maker import TireMaker
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message

#: What is asked at each field.
FIELD_ASKS = {
    VERDICT: "Your verdict?",
    REASON: "Which fact decides it?",
    LIMIT: "Which figure does it rest on, from memory? With its unit; none where it rests on no figure.",
    SOURCE: "Whose rule is that?",
    METHOD: "By which method?",
    RESTRICTIONS: "Which restrictions on the return to service? Several with commas between.",
    SURE: "How sure are you of the verdict?",
}
LEAVE = frozenset({"quit", "exit", "q"})
_DECIDE = frozenset({"decide", "d", "verdict"})
_HELP = (
    ("a number", "look that way, or take that choice; the words beside it do as well"),
    ("decide", "say your own verdict; nothing of the rules' answer shows before it is whole"),
    ("facts", "all that came to light so far"),
    ("order", "the work order again"),
    ("all", "with a near twin: look at all of it, in the right order"),
    ("back", "take the last thing said back; from the verdict back to looking"),
    ("twin", "after the answer: a near twin of the tire"),
    ("draw", "after the answer: where it is, drawn"),
    ("quit", "leave; what was answered is kept where a name was given"),
)


class Round(Struct, frozen=True):
    """What is on the table: the job, which tire of how many it is, and its grade once all was said.

    `over`: nothing more is asked.
    """

    job: Job
    number: int = 1
    of: int = 0
    grade: Grade | None = None
    over: bool = False


class Sitting:
    """Makes tires, grades them, and keeps what was learned under a name, or nothing without one."""

    def __init__(
        self,
        maker: TireMaker,
        clock: Callable[[], datetime],
        record: Learned,
        folder: Path | None = None,
        fixed: Iterator[MadeUpTire] | None = None,
        free: FreePick | None = None,
        many: int = 0,
        set_line: str = "",
    ) -> None:
        """`folder` None keeps nothing; `fixed` are the tires of a set or of a file, `many` how many come in all."""
        self.maker, self.judge, self.rules = maker, maker.judge, maker.rules
        self.clock, self.record, self.folder = clock, record, folder
        self.fixed, self.free, self.many, self.set_line = fixed, free, many, set_line
        self.attempts: list[Attempt] = []
        self._shown: list[str] = []

    def begin(self) -> Round | None:
        """The first tire; None where there is none."""
        return self._next(1)

    def next(self, now: Round) -> Round:
        """The tire after this one; the round is over where none is left."""
        return self._next(now.number + 1) or replace(now, over=True)

    def _next(self, number: int) -> Round | None:
        if self.many and number > self.many:
            return None
        tire = next(self.fixed, None) if self.fixed is not None else self._picked(number)
        return Round(Job(tire), number, self.many) if tire is not None else None

    def _picked(self, number: int) -> MadeUpTire:
        assert self.free is not None
        item = self.free.item(self.maker, self.record, self.clock(), self._shown).item
        self._shown.append(item)
        return self.maker.made(item, f"{self.free.seed}-{number}")

    def grade(self, now: Round) -> Round:
        """The round with its grade; what was learned is on disk before it shows. Raises OSError or Problems.

        What another sitting kept under the same name meanwhile stays.
        """
        grade = graded(now.job, self.judge)
        attempt = attempt_of(now.job, grade, self.rules, self.clock(), self.set_line)
        before = read_record(self.folder, self.record.name) if self.folder is not None else self.record
        record = replace(before, attempts=(*before.attempts, attempt))
        if self.folder is not None:
            kept_record(self.folder, record)
        self.record = record
        self.attempts.append(attempt)
        return replace(now, grade=grade)


def head(now: Round) -> str:
    """What stands ahead of everything shown: that it is practice, and which tire it is."""
    of = f" of {now.of}" if now.of else ""
    twin = ", near twin" if now.job.tire.twin_of else ""
    return f"[Practice, made up: tire {now.number}{of}{twin}]"


def sitting_opening(sitting: Sitting) -> Message:
    """What is said before the first tire."""
    about = sitting.rules.about
    said: list[Said] = [ONLY_PRACTICE, f"By {about.title} ({about.id}), edition {about.edition}.", TRAINS]
    if sitting.set_line:
        said.append(f"A fixed set: {sitting.set_line}")
    if sitting.folder is None:
        said.append("Nothing is kept of how it goes; with --name NAME it is, and what is due comes again.")
    else:
        due = due_now(sitting.record, sitting.rules, sitting.clock())
        tried = len(sitting.record.attempts)
        said.append(
            f"Kept under the name {sitting.record.name}: {tried} tires so far, {len(due)} rulings and limits due."
        )
    said.append("You decide first; then the rules answer. Type help for what can be typed.")
    return Message("practice", tuple(said))


def order_message(now: Round, sitting: Sitting) -> Message:
    """The work order."""
    tire = now.job.tire
    facts = tuple(order_facts(tire, sitting.rules))
    vehicle = f", {tire.vehicle}" if tire.vehicle else ""
    says = tire.order if not tire.twin_of else ("Like the one before, but for one thing. Look again.",)
    return Message("practice", (head(now), Block(f"Work order{vehicle}:", (*facts, *says), "title")))


def prompt(now: Round, sitting: Sitting) -> Message:
    """What is asked now: a look or the verdict, the next part of it, or what comes after."""
    if now.grade is not None:
        return Message("practice", (head(now), "Enter for the next tire; or twin, draw, facts, quit."))
    if not now.job.deciding:
        ways = ways_of(now.job.tire, sitting.rules)
        rows = tuple(f"{number} {way.says}" for number, way in enumerate(ways, 1) if way.id not in now.job.looked)
        if not rows:
            return Message("practice", (f"{head(now)} Everything was looked at; decide.",))
        if now.job.looked or now.job.tire.twin_of:
            rows = (*rows, "all") if now.job.tire.twin_of else rows
            return Message("practice", (f"{head(now)} Look: {', '.join(rows)}; or decide.",))
        return Message("practice", (head(now), Block("Look at it, or decide:", rows, "title")))
    field = field_of(now.job)
    rows = tuple(f"{n} {each.says}" for n, each in enumerate(offered(field, now.job, sitting.rules), 1))
    return Message("practice", (head(now), Block(FIELD_ASKS[field], rows, "title")))


def take_line(sitting: Sitting, now: Round, text: str) -> tuple[Round, list[Message]]:
    """What a typed line does to a round, and what is to be shown for it. Raises OSError where nothing can be kept."""
    word = plain(text)
    if word in LEAVE:
        return replace(now, over=True), []
    if word in ("help", "?"):
        return now, [
            _said(
                now, Block("What can be typed:", tuple(Block(says, (), "entry", lead) for lead, says in _HELP), "title")
            )
        ]
    if word == "facts":
        known = tuple(known_facts(now.job, sitting.rules))
        return now, [_said(now, Block("Known so far:", known, "title"))]
    if word in ("order", "work order"):
        return now, [order_message(now, sitting)]
    if now.grade is not None:
        return _after(sitting, now, word)
    if not now.job.deciding:
        return _look(sitting, now, word, text)
    if word == "back":
        return replace(now, job=back(now.job)), []
    return _decide(sitting, now, text)


def _said(now: Round, *said: Said) -> Message:
    return Message("practice", (head(now), *said))


def _complain(now: Round, found: str, expected: str) -> tuple[Round, list[Message]]:
    return now, [Message("complaint", (f"Found {found}; expected {expected}.",))]


def _look(sitting: Sitting, now: Round, word: str, text: str) -> tuple[Round, list[Message]]:
    if word in _DECIDE:
        return replace(now, job=replace(now.job, deciding=True)), []
    if word == "all" and now.job.tire.twin_of:
        return _look_at_all(sitting, now)
    way = way_typed(text, now.job, sitting.rules)
    if way is None:
        many = len(ways_of(now.job.tire, sitting.rules))
        return _complain(now, f'"{shown(text, 60)}"', f"a number from 1 to {many}, the words beside it, or decide")
    job = looked_at(now.job, way.id)
    lines = tuple(shown_by(way.id, job.tire, job.looked, sitting.rules))
    return replace(now, job=job), [_said(now, Block(f"{way.says.capitalize()}:", lines, "title"))]


def _look_at_all(sitting: Sitting, now: Round) -> tuple[Round, list[Message]]:
    """Every way to look at a twin, in their order: the order was trained on the tire before."""
    shown_now: list[Said] = []
    for way in ways_of(now.job.tire, sitting.rules):
        if way.id not in now.job.looked:
            now = replace(now, job=looked_at(now.job, way.id))
            lines = tuple(shown_by(way.id, now.job.tire, now.job.looked, sitting.rules))
            shown_now.append(Block(f"{way.says.capitalize()}:", lines, "title"))
    return now, [_said(now, *shown_now)]


def _decide(sitting: Sitting, now: Round, text: str) -> tuple[Round, list[Message]]:
    try:
        job = decided(now.job, text, sitting.rules)
    except Misread as error:
        return _complain(now, error.found, error.expected)
    now = replace(now, job=job)
    if field_of(job):
        return now, []
    now = sitting.grade(now)
    assert now.grade is not None
    return now, [_said(now, *feedback(job, now.grade, sitting.judge)), *first_picture(now, sitting)]


def picture_message(now: Round, sitting: Sitting) -> list[Message]:
    """That there is a drawing, where there is one; a face draws it by `judgement_of`."""
    return [Message("drawing", ())] if drawable(now, sitting.judge) else []


def first_picture(now: Round, sitting: Sitting) -> list[Message]:
    """The drawing right away where what decides has a place in it; the rest is drawn when it is asked for."""
    assert now.grade is not None
    decide, _ = reason_questions(now.grade.judgement, sitting.judge)
    shown_there = any(picture_of(name, sitting.judge) not in ("", "tread") for name in decide)
    return [Message("first drawing", ())] if shown_there and drawable(now, sitting.judge) else []


def judgement_of(now: Round) -> Judgement:
    """What the rules say of the tire on the table; only once the learner has said all."""
    assert now.grade is not None
    return now.grade.judgement


def drawable(now: Round, judge: Judge) -> bool:
    """Whether the place of an injury can be drawn."""
    return now.grade is not None and anything_placed(now.job.tire.case, judge.rules)


def _after(sitting: Sitting, now: Round, word: str) -> tuple[Round, list[Message]]:
    if word == "draw":
        found = picture_message(now, sitting)
        return now, found or [_said(now, "Nothing of it has a place that could be drawn.")]
    if word == "twin":
        assert now.grade is not None
        twin = near_twin(now.job, now.grade, sitting.maker)
        if twin is None:
            return now, [_said(now, "No single fact turns this one, so it has no near twin.")]
        now = Round(Job(twin), now.number, now.of)
        return now, [order_message(now, sitting)]
    if word in ("", "next", "n"):
        now = sitting.next(now)
        return now, [] if now.over else [order_message(now, sitting)]
    return _complain(now, f'"{shown(word, 60)}"', "Enter, twin, draw, facts or quit")


def closing(sitting: Sitting) -> Message:
    """The figures of this sitting."""
    figures = figures_of(sitting.attempts)
    rows = tuple(f"{name}: {count}" for name, count in figures.items())
    said: list[Said] = [Block("[Practice, made up] This sitting:", rows, "title"), TRAINS]
    if sitting.folder is not None:
        later = due_now(sitting.record, sitting.rules, sitting.clock())
        said.insert(1, f"Due now: {len(later)} rulings and limits; they come first next time.")
    return Message("practice", tuple(said))
