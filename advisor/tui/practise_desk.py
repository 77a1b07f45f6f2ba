"""What typing, picking and the keys do to a tire of practice at the screen. Knows no widget, decides nothing.

Every step is a line that `advisor.practise.sitting.take_line` takes, as in plain lines; what it gives is kept as
paragraphs: what came to light of the tire, the form of the own verdict, both verdicts side by side.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Literal

from msgspec import Struct

from advisor.drawings.drawn_for import anything_placed
from advisor.drawings.scene import Picture
from advisor.drawings.selection import picture_asked, pictures_for, terminal_lines
from advisor.model import inputs
from advisor.model.problems import Problems, shown
from advisor.practise.feedback import ONLY_PRACTICE, SIDE_BY_SIDE, TURNS_IT, UNSAFE_MISS, marks_in_words
from advisor.practise.grading import Grade
from advisor.practise.job import (
    LIMIT,
    METHOD,
    NONE,
    REASON,
    RESTRICTIONS,
    SOURCE,
    SURE,
    VERDICT,
    Own,
    field_of,
    offered,
)
from advisor.practise.learned import due_of, figures_of
from advisor.practise.looking import BY_ID, seen, ways_of
from advisor.practise.sitting import (
    FIELD_ASKS,
    Round,
    Sitting,
    closing,
    head,
    judgement_of,
    order_message,
    sitting_opening,
    take_line,
)
from advisor.tui.rendering import message_turn
from advisor.tui.text_blocks import AS_IT_IS, BLANK, Para
from advisor.tui.text_columns import TextColumn, column_paras
from advisor.wording.blocks import Block, Said, blocks_of, under
from advisor.wording.messages import Message, headline
from advisor.wording.verdict_card import VERDICT_SIGNS

PracticeStage = Literal["opening", "making", "looking", "deciding", "graded", "over"]
DECIDE, ALL, YES, NO = "decide", "all", "yes", "no"
#: The fields of the own verdict, as the form names them.
FORM_FIELDS = {
    VERDICT: "verdict", REASON: "deciding fact", LIMIT: "limit", SOURCE: "whose rule", METHOD: "method",
    RESTRICTIONS: "restrictions", SURE: "how sure",
}  # fmt: skip
MADE_UP = "[Practice, made up]"
_UNDER_WAY = "This tire is thrown away: what was looked at and said of it is not kept."
_LEAVE_ROWS = (("Yes, leave it", YES), ("No, go on with it", NO))
MAKING = "Making the tires ready. The first time under an edition that takes some seconds."
_NO_TIRE = "No tire fits that theme and level."
_HINTS: dict[PracticeStage, str] = {
    "opening": "Enter: the first tire",
    "making": "",
    "looking": "a number or arrows, then Enter",
    "deciding": "a number or arrows, then Enter; F5 takes back",
    "graded": "Enter: the next tire",
    "over": "Enter leaves",
}
_WIDEST_DRAWING, _NARROWEST_DRAWING = 100, 40


class PracticeRow(Struct, frozen=True):
    """Something to pick: what is shown, the line that it sends, its number, and whether it was looked at already."""

    says: str
    sends: str
    number: str = ""
    done: bool = False
    note: str = ""


class PracticeDesk:
    """One learner's sitting at the screen: the tire in hand, what was seen of it, what is asked for now.

    `text` is what the line holds, `complaint` what is wrong with it, `at` the row at which the arrows stand.
    """

    def __init__(self, sitting: Sitting) -> None:
        self.sitting = sitting
        self.now: Round | None = None
        self.stage: PracticeStage = "opening"
        self.told: list[Para] = []
        self.answer: tuple[Said, ...] = ()
        self.drawn_first = False
        self.text = ""
        self.complaint: tuple[str, ...] = ()
        self.at: int | None = None
        self.marked: frozenset[str] = frozenset()
        self.asks_to_leave = False
        self.leaving = False
        #: What was taken back, field by field: it stands ready to be taken again.
        self._taken_back: dict[str, tuple[str, ...]] = {}
        self._typed_limit = ""
        self._stash: tuple[str, int | None] = ("", None)

    # What can be seen

    @property
    def head(self) -> str:
        """That it is practice, and which tire it is."""
        return head(self.now) if self.now is not None and self.stage != "over" else MADE_UP

    @property
    def minutes(self) -> str:
        """How long the looking took so far."""
        if self.now is None or self.stage not in ("looking", "deciding"):
            return ""
        spent = sum(BY_ID[way].minutes for way in self.now.job.looked)
        return f"{spent} min"

    @property
    def field(self) -> str:
        """The field of the own verdict that is asked now."""
        return field_of(self.now.job) if self.now is not None and self.stage == "deciding" else ""

    @property
    def several(self) -> bool:
        """Whether rows are marked and taken together."""
        return self.field == RESTRICTIONS and not self.asks_to_leave

    @property
    def hint(self) -> str:
        """How the line is to be used now."""
        if self.asks_to_leave:
            return "1 or 2 and Enter"
        if self.field == LIMIT:
            return "a figure with its unit, or none"
        return "Space marks, Enter takes; or numbers" if self.several else _HINTS[self.stage]

    @property
    def in_hand(self) -> bool:
        """Whether a tire was begun that would be thrown away."""
        begun = self.stage == "deciding" or (self.now is not None and bool(self.now.job.looked))
        return self.stage in ("looking", "deciding") and (begun or bool(self.text.strip()))

    @property
    def rows(self) -> tuple[PracticeRow, ...]:
        """What can be picked now."""
        if self.asks_to_leave:
            return tuple(PracticeRow(says, sends, str(n)) for n, (says, sends) in enumerate(_LEAVE_ROWS, 1))
        if self.now is None:
            return ()
        if self.stage == "looking":
            ways = ways_of(self.now.job.tire, self.sitting.rules)
            looked = self.now.job.looked
            listed = (
                PracticeRow(way.says, str(n), str(n), way.id in looked, f"{way.minutes} min")
                for n, way in enumerate(ways, 1)
            )
            at_once = (PracticeRow("all of it, in order", ALL, "a"),) if self.now.job.tire.twin_of else ()
            return (*listed, *at_once, PracticeRow("decide: say your verdict", DECIDE, "d"))
        choices = offered(self.field, self.now.job, self.sitting.rules) if self.field else ()
        return tuple(PracticeRow(each.says, str(n), str(n)) for n, each in enumerate(choices, 1))

    def asked(self, width: int) -> Iterator[Para]:
        """What is asked for now, with its rows."""
        if self.asks_to_leave:
            yield Para("Leave this tire?", "ask", indent=1)
            yield Para(_UNDER_WAY, "quiet", indent=1)
        elif self.stage == "looking":
            yield Para("Look at it, or decide", "ask", indent=1)
        elif self.stage == "deciding":
            yield from self._form(width)
            yield BLANK
            yield Para(FIELD_ASKS[self.field], "ask", indent=1)
        rows = self.rows
        wide = max((len(row.number) for row in rows), default=0)
        for place, row in enumerate(rows):
            here = place == self.at
            box = self._box(row)
            lead = f"{'>' if here else ' '} {box}{row.number.rjust(wide)} "
            style = "at" if here else "quiet" if row.done else "row"
            gap = width - 1 - len(lead) - len(row.says) - len(row.note)
            if row.note and gap > 0:
                yield Para("", "", f"{lead}{row.says}{' ' * gap}{row.note}", style, 1, place)
            else:
                yield Para(row.says, style, lead, style if here else "number", 1, place)

    def _box(self, row: PracticeRow) -> str:
        if self.several:
            return "[x] " if row.sends in self.marked else "[ ] "
        if self.stage == "looking" and not self.asks_to_leave:
            return "[x] " if row.done else "    " if row.sends in (DECIDE, ALL) else "[ ] "
        return ""

    def _form(self, width: int) -> Iterator[Para]:
        """The own verdict as far as it was said."""
        assert self.now is not None
        yield Para("Your own verdict", "title", indent=1)
        own, now, limit = self.now.job.own, self.field, self._typed_limit
        said = _said_in(own, limit if own.limit_said else "") if now else {}
        for field, name in FORM_FIELDS.items():
            if field == now:
                yield Para("?", "strong", f"> {name.ljust(14)} ", "number", 1)
                return
            if any(said[field]):
                says = self._in_words(field, said[field])
                room = max(8, width - 18)
                yield Para(
                    says if len(says) <= room else f"{says[: room - 1]}…", "quiet", f"  {name.ljust(14)} ", "label", 1
                )

    def _in_words(self, field: str, said: tuple[str, ...]) -> str:
        """What was said at a field, as its choice reads."""
        assert self.now is not None
        names = {each.id: each.says for each in offered(field, self.now.job, self.sitting.rules)}
        return ", ".join(names.get(each, each).partition(":")[0] for each in said)

    def page(self, width: int) -> Iterator[Para]:
        """What stands alone on the screen: the opening, both verdicts side by side, the end."""
        if self.stage == "opening":
            yield from message_turn(sitting_opening(self.sitting))
        elif self.stage == "making":
            yield Para(ONLY_PRACTICE, indent=2)
            yield Para(MAKING, "quiet", indent=2)
        elif self.stage == "over":
            yield from () if self.now is not None else (Para(_NO_TIRE, "strong", indent=2), BLANK)
            yield from message_turn(closing(self.sitting))
            yield BLANK
            yield from learned_paras(self.sitting, width)
        elif self.now is not None and self.now.grade is not None:
            yield from self._feedback(self.now.grade, width)

    def _feedback(self, grade: Grade, width: int) -> Iterator[Para]:
        verdict = grade.judgement.verdict
        sign = VERDICT_SIGNS[verdict]
        says = headline(grade.judgement, self.sitting.judge).removeprefix(f"{sign}: ")
        yield Para(says, "strong", f" {sign} ", f"sign-{verdict}", 1)
        if grade.unsafe:
            yield Para(UNSAFE_MISS, "wrong", "! ", "wrong", 1)
        said = tuple(blocks_of(self.answer[1:]))
        titles = [block.text for block in said]
        last = TURNS_IT if TURNS_IT in titles else titles[-1]
        for block in said:
            if block.text == SIDE_BY_SIDE:
                yield BLANK
                yield from verdict_columns(grade, width)
            elif block.text != UNSAFE_MISS:
                if block.role == "title":
                    yield BLANK
                yield from message_turn(Message("practice", (block,)))
            if block.text == last:
                yield from self.first_drawing(width)

    def first_drawing(self, width: int) -> Iterator[Para]:
        """The place of what decides, once all was said; before that what was measured, without any limit."""
        if self.now is None:
            return
        if self.now.grade is None:
            judgement = self.sitting.judge.judge(seen(self.now.job.tire, self.now.job.looked, self.sitting.rules))
            if anything_placed(judgement.walk.tire.case, self.sitting.rules):
                yield from _drawn(pictures_for(judgement, self.sitting.judge, limits=False)[:1], width)
        elif self.drawn_first:
            yield from _drawn(pictures_for(judgement_of(self.now), self.sitting.judge)[:1], width)

    def drawings(self, width: int) -> Iterator[Para]:
        """All drawings there are: how it is measured and what was measured; once all was said, with the limits."""
        if self.now is None:
            return
        judge = self.sitting.judge
        if self.now.grade is not None:
            pictures = pictures_for(judgement_of(self.now), judge)
        else:
            judgement = judge.judge(seen(self.now.job.tire, self.now.job.looked, self.sitting.rules))
            asked = map(judge.rules.question_now, (inputs.OFFSET, inputs.CLOCK))
            sketches = (picture_asked(name, judge) for name in asked if name in judge.rules.questions)
            pictures = [*pictures_for(judgement, judge, limits=False), *(each for each in sketches if each)]
        yield from _drawn(pictures, width)
        if not pictures:
            yield Para("Nothing of it has a place that could be drawn.", "quiet", indent=1)

    # Typing and picking

    def take_made(self, now: Round | None, messages: list[Message]) -> None:
        """Takes a tire that was made, the first one with its order, or that there is none."""
        if now is None:
            self.stage = "over"
        else:
            self._put(now, messages or ([] if now.over else [order_message(now, self.sitting)]))

    def waits_for_a_tire(self) -> Callable[[], tuple[Round | None, list[Message]]] | None:
        """What makes the next tire where Enter asks for one: it can take a while, so it is run beside the screen."""
        if self.asks_to_leave or self.text.strip() not in ("", "next", "n"):
            return None
        if self.stage == "opening":
            return lambda: (self.sitting.begin(), [])
        now = self.now
        if self.stage == "graded" and now is not None:
            return lambda: take_line(self.sitting, now, "next")
        return None

    def enter(self) -> None:
        """Takes the line, or with an empty line the row or the marks. What is refused stays in the line."""
        self.complaint = ()
        text = self.text.strip()
        if self.asks_to_leave:
            self._leave_or_not(text)
        elif self.stage in ("opening", "over"):
            self.leaving = self.stage == "over" or text in ("quit", "exit", "q")
        elif text:
            self.send(next((row.sends for row in self.rows if row.number == text), text))
        elif self.several and self.marked:
            self.send(", ".join(sorted(self.marked, key=int)))
        elif self.row is not None:
            self.send(self.row.sends)
        elif self.rows:
            self.complaint = ("Pick a row with the arrows, or type its number.",)
        else:
            self.complaint = ("A figure with its unit; or none where it rests on no figure.",)

    def send(self, line: str) -> None:
        """Hands a line over and takes what comes of it."""
        now = self.now
        if now is None:
            return
        if line in ("quit", "exit", "q"):
            self.text = ""
            self.leave()
            return
        field = self.field
        try:
            after, messages = take_line(self.sitting, now, line)
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            self.complaint = (f"What was learned can't be kept: {shown(reason, 100)}. Enter tries again.",)
            return
        except Problems as error:
            self.complaint = tuple(str(error).splitlines())
            return
        if field == LIMIT and after.job.own.limit_said:
            self._typed_limit = line
        self._put(after, messages)

    def _put(self, now: Round, messages: list[Message]) -> None:
        """Shows what came of a line."""
        if found := [text for each in messages if each.kind == "complaint" for text in each.texts]:
            self.complaint = tuple(found)
            return
        before, self.now = self.now, now
        said = [block for each in messages if each.kind == "practice" for block in each.blocks[1:]]
        if before is None or before.job.tire is not now.job.tire:
            self._taken_back.clear()
            self.told.clear()
        if now.over:
            self.stage = "over"
        elif now.grade is not None:
            if before is not None and before.grade is not None:
                self.complaint = tuple(Message("practice", tuple(said)).texts)
            else:
                self.answer = tuple(said)
                self.drawn_first = any(each.kind == "first drawing" for each in messages)
            self.stage = "graded"
        else:
            self.stage = "deciding" if now.job.deciding else "looking"
            self._tell(said)
        self.text = ""
        self._stand(before)

    def _tell(self, said: list[Said]) -> None:
        """Adds what came to light; only the latest is not quiet."""
        self.told = [para._replace(style="quiet") if not para.style else para for para in self.told]
        for block in blocks_of(said):
            self.told.append(Para(block.said, "title", indent=1))
            self.told.extend(Para(each.said, indent=2) for each in under(block))

    def _stand(self, before: Round | None) -> None:
        """Where the arrows stand: at what was taken back, else at the first way to look, else nowhere."""
        if self.stage == "looking" and before is not None and before.job.tire is self.tire and not before.job.deciding:
            return
        self.marked, self.at = frozenset(), 0 if self.stage == "looking" else None
        if self.now is None or not self.field:
            return
        was = self._taken_back.get(self.field, ())
        places = [n for n, each in enumerate(offered(self.field, self.now.job, self.sitting.rules)) if each.id in was]
        if self.field == LIMIT:
            self.text = "".join(was)
        elif self.field == RESTRICTIONS:
            self.marked = frozenset(str(place + 1) for place in places)
        elif places:
            self.at = places[0]

    @property
    def tire(self) -> object:
        """The tire in hand."""
        return self.now.job.tire if self.now is not None else None

    def _leave_or_not(self, text: str) -> None:
        row = next((row for row in self.rows if text in (row.number, row.sends, row.sends[:1])), None)
        row = row if text else self.row
        if row is None:
            self.complaint = ("1 leaves, 2 goes on with the tire.",)
        elif row.sends == YES:
            self.leaving = True
        else:
            self.stay()

    @property
    def row(self) -> PracticeRow | None:
        """The row at which the arrows stand."""
        rows = self.rows
        return rows[self.at] if self.at is not None and self.at < len(rows) else None

    def move(self, step: int) -> bool:
        """Moves to the next or the previous row; tells whether there are rows."""
        count = len(self.rows)
        if count:
            start = (-1 if step > 0 else count) if self.at is None else self.at
            self.at = max(0, min(count - 1, start + step))
        return bool(count)

    def point(self, text: str) -> bool:
        """Stands at the row whose number is typed; tells whether that moved it. Takes nothing."""
        found = next(
            (place for place, row in enumerate(self.rows) if text.strip() and row.number == text.strip()), None
        )
        if found is None or found == self.at or self.several:
            return False
        self.at = found
        return True

    def mark(self) -> None:
        """Marks the row, or takes its mark away; no restriction goes with no other."""
        row = self.row
        if row is None:
            self.complaint = ("Move to a row with the arrows first; Space marks it.",)
        elif self.several:
            first = self.rows[0].sends
            marked = self.marked ^ {row.sends}
            self.marked = marked & {first} if row.sends == first else marked - {first}
            self.complaint = ()

    # Keys

    def back(self) -> None:
        """Takes the last thing said back; what it was stands ready to be taken again."""
        if self.stage != "deciding" or self.now is None:
            return
        own, stands = self.now.job.own, self.field
        self.send("back")
        for field, said in _said_in(own, self._typed_limit).items():
            if self.field == field != stands:
                self._taken_back[field] = said
        self._stand(None)

    def leave(self) -> None:
        """Leaves, or asks first where a tire is in hand."""
        if self.asks_to_leave:
            self.stay()
        elif self.in_hand:
            self._stash, self.asks_to_leave = (self.text, self.at), True
            self.text, self.complaint, self.at = "", (), None
        else:
            self.leaving = True

    def stay(self) -> None:
        """Goes on with the tire, everything as it was."""
        self.asks_to_leave, self.complaint = False, ()
        self.text, self.at = self._stash

    def can(self, key: str) -> bool:
        """Whether a key does anything now."""
        if self.stage == "making":
            return key == "leave"
        if self.asks_to_leave:
            return key in ("leave", "help")
        if key == "back":
            return self.stage == "deciding"
        if key == "decide":
            return self.stage == "looking"
        if key == "twin":
            return self.stage == "graded"
        if key == "draw":
            return self.stage in ("looking", "deciding", "graded")
        return True


def _said_in(own: Own, limit: str) -> dict[str, tuple[str, ...]]:
    """What was said, field by field, by the ids of its choices."""
    return {
        VERDICT: (own.verdict,), REASON: (own.reason,), LIMIT: (limit,), SOURCE: (own.source,),
        METHOD: (own.method,), SURE: (str(own.sure or ""),),
        RESTRICTIONS: () if own.restrictions is None else own.restrictions or (NONE,),
    }  # fmt: skip


def _drawn(pictures: Iterable[Picture], width: int) -> Iterator[Para]:
    room = max(_NARROWEST_DRAWING, min(_WIDEST_DRAWING, width - 1))
    for picture in pictures:
        yield BLANK
        yield from (Para(line, AS_IT_IS, indent=1) for line in terminal_lines(picture, room, False))


def verdict_columns(grade: Grade, width: int) -> Iterator[Para]:
    """Mine beside the rules', part by part; one under the other where there is no room for two columns."""
    marks = tuple(marks_in_words(grade))
    styles = {each.part: "wrong" if each.mark.isupper() else "" for each in marks}
    columns = (TextColumn("", 13), TextColumn("Yours", 2, True), TextColumn("The rules'", 2, True),
               TextColumn("", 16))  # fmt: skip
    if width >= 66:
        rows = [
            ((each.part, each.mine, each.theirs or "-", f"{each.mark}{f' ({each.note})' if each.note else ''}"),
             styles[each.part])
            for each in marks
        ]  # fmt: skip
        yield from column_paras(columns, rows, width - 1)
        return
    for each in marks:
        yield Para(each.mark, styles[each.part] or "strong", f"{each.part}: ", "label", 1)
        yield Para(each.mine, styles[each.part], "yours: ", "quiet", 3)
        if each.theirs:
            yield Para(f"{each.theirs}{f' ({each.note})' if each.note else ''}", "", "theirs: ", "quiet", 3)


def learned_paras(sitting: Sitting, width: int) -> Iterator[Para]:
    """What was learned, as a table: by ruling and limit, what is due first ahead."""
    record, rules, now = sitting.record, sitting.rules, sitting.clock()
    whose = f"kept under {record.name}" if sitting.folder is not None else "this sitting only; nothing is kept"
    yield Para(f"What was learned by {rules.about.id} ({whose})", "title", indent=1)
    own = [each for each in record.attempts if each.rules == rules.about.id]
    figures = ", ".join(f"{name} {count}" for name, count in figures_of(own).items())
    yield Para(figures, "", indent=1)
    yield BLANK
    rows = [
        ((each.item, str(each.tries), str(each.misses), str(each.unsafe),
          "now: it was changed" if each.changed else "now" if each.at <= now else f"{each.at:%Y-%m-%d}"),
         "wrong" if each.unsafe else "")
        for each in due_of(record, rules)
    ]  # fmt: skip
    if not rows:
        yield Para("Nothing yet: it is filled as tires are decided.", "quiet", indent=1)
        return
    columns = (
        TextColumn("Ruling or limit", 2, True), TextColumn("tries", 5), TextColumn("misses", 6),
        TextColumn("unsafe", 6), TextColumn("due", 11),
    )  # fmt: skip
    yield from column_paras(columns, rows, width - 1)


def help_paras(desk: PracticeDesk, keys: list[tuple[str, str]]) -> Iterator[Para]:
    """The keys that work now, and what can be typed."""
    yield Para("Keys that work now:", "title", indent=1)
    for written, says in keys:
        yield Para(says, "", written.ljust(16), "key", 2)
    yield BLANK
    if desk.now is not None:
        _, messages = take_line(desk.sitting, desk.now, "help")
        for message in messages:
            block = message.blocks[1]
            assert isinstance(block, Block)
            yield Para(block.text, "title", indent=1)
            for each in blocks_of(block.details):
                yield Para(each.text, "", each.lead.ljust(16), "key", 2)
        yield BLANK
    yield Para(ONLY_PRACTICE, "quiet", indent=1)
