"""The work as it goes: steps ticked, notes, timers. Frozen data; the clock is handed in, and nothing ever waits.

The work as plain data for a journal and back, exact.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.judgement_types import PlannedStep


def work_data(work: Work) -> dict[str, Any]:
    """The work as plain data: ticks, timers, notes and, where there are any, readings, each as a list."""
    return {
        "ticks": [[*tick.key, _at(tick.at), tick.method, *([tick.said] if tick.said else [])] for tick in work.ticks],
        "timers": [[*timer.key, _at(timer.started), str(timer.minutes)] for timer in work.timers],
        "notes": [[note.text, _at(note.at), *(note.key or (None, None))] for note in work.notes],
        "readings": [[*each.key, each.field, each.text, _at(each.at), *_more(each)] for each in work.readings],
    }


def work_from(data: Mapping[str, Any]) -> Work:
    """The work in plain data. Raises KeyError, TypeError or ValueError for anything else."""
    return Work(
        tuple(Tick(_key(name, index), _time(at), str(method), "".join(map(str, said[:1])))
              for name, index, at, method, *said in data["ticks"]),
        tuple(Note(str(text), _time(at), _key(name, index) if name is not None else None)
              for text, at, name, index in data["notes"]),
        tuple(Timer(_key(name, index), datetime.fromisoformat(started), Fraction(minutes))
              for name, index, started, minutes in data["timers"]),
        readings_from(data),
    )  # fmt: skip


def readings_from(data: Mapping[str, Any]) -> tuple[FieldReading, ...]:
    """The readings in plain data; none where it is from before there were any."""
    return tuple(
        FieldReading(_key(name, index), str(field), str(text), _time(at), any(more[:1]), "".join(map(str, more[1:2])))
        for name, index, field, text, at, *more in data.get("readings", ())
    )


def _more(reading: FieldReading) -> list[Any]:
    """What most readings do not have: that it failed, and the method."""
    if reading.method:
        return [reading.failed, reading.method]
    return [True] if reading.failed else []


def _at(time: datetime | None) -> str | None:
    return time.isoformat() if time else None


def _time(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text is not None else None


def _key(name: Any, index: Any) -> StepKey:
    return str(name), int(index)


#: A step of the work: its id, and the injury that it is for (-1 for the tire).
StepKey = tuple[str, int]
FOR_TIRE = -1
#: The field of a step under which the minutes of a wait are kept that no figure gives.
MINUTES = "minutes"
#: The field under which is kept that a wait has begun whose minutes no figure gives; its time is the reading's own.
BEGUN = "wait begun"


class Tick(Struct, frozen=True):
    """A step that was done, of which method; `at` is None where no clock is known.

    `said` are the words where it was ticked although its wait was not over, or without what it needs.
    """

    key: StepKey
    at: datetime | None = None
    method: str = ""
    said: str = ""


class Note(Struct, frozen=True):
    """Words noted during the work, at the step that was then in hand."""

    text: str
    at: datetime | None = None
    key: StepKey | None = None


class FieldReading(Struct, frozen=True):
    """What was read at a step and is no answer: a field of the step, as typed, such as the unit's batch.

    `failed`: it says that the step did not pass. Such a one stays, whatever is read after it. `method` is the one that
    was worked by, empty where it is no longer known: a unit of one method is none of another.
    """

    key: StepKey
    field: str
    text: str
    at: datetime | None = None
    failed: bool = False
    method: str = ""


class Timer(Struct, frozen=True):
    """A waiting time that began at `started`; it runs on by itself, whatever else is done."""

    key: StepKey
    started: datetime
    minutes: Fraction

    def left(self, now: datetime) -> timedelta:
        """What is left at `now`; zero when it is over, and never more than the whole time."""
        whole = timedelta(minutes=float(self.minutes))
        return min(max(whole - (now - self.started), timedelta()), whole)

    @property
    def until(self) -> datetime:
        """When it is over."""
        return self.started + timedelta(minutes=float(self.minutes))

    def over(self, now: datetime) -> bool:
        """Whether the time is up."""
        return not self.left(now)


class Work(Struct, frozen=True):
    """What has been done so far. Every change gives a new one."""

    ticks: tuple[Tick, ...] = ()
    notes: tuple[Note, ...] = ()
    timers: tuple[Timer, ...] = ()
    readings: tuple[FieldReading, ...] = ()

    @property
    def begun(self) -> bool:
        """Whether anything was ticked, noted or timed."""
        return bool(self.ticks or self.notes or self.timers or self.readings)

    def tick_of(self, key: StepKey) -> Tick | None:
        """The tick of a step, or None. What was done at the first injury counts where a step is for the tire."""
        keys = (key, (key[0], 0)) if key[1] == FOR_TIRE else (key,)
        return next((tick for tick in self.ticks if tick.key in keys), None)

    def done(self, planned: PlannedStep) -> bool:
        """Whether a step was ticked, or the answers show that it was done."""
        return planned.shown or self.tick_of(key_of(planned)) is not None

    def ticked(self, key: StepKey, now: datetime | None, method: str = "", said: str = "") -> Work:
        """With a step done; one that was done keeps its time."""
        return self if self.tick_of(key) else replace(self, ticks=(*self.ticks, Tick(key, now, method, said)))

    def unticked(self, waiting: Iterable[StepKey] = ()) -> Work:
        """Without the last tick, and without the waits of the steps that wait from it."""
        gone = frozenset(waiting)
        timers = tuple(timer for timer in self.timers if timer.key not in gone)
        readings = tuple(each for each in self.readings if each.field != BEGUN or each.key not in gone)
        return replace(self, ticks=self.ticks[:-1], timers=timers, readings=readings)

    def noted(self, text: str, now: datetime | None, key: StepKey | None) -> Work:
        """With a note."""
        return replace(self, notes=(*self.notes, Note(text, now, key)))

    def timer_of(self, key: StepKey) -> Timer | None:
        """The timer of a step, or None."""
        return next((timer for timer in self.timers if timer.key == key), None)

    def timed(self, key: StepKey, now: datetime, minutes: Fraction) -> Work:
        """With a timer begun for a step, in place of an earlier one. Raises ValueError for no time at all."""
        if minutes <= 0:
            raise ValueError("a timer needs more than 0 minutes")
        others = tuple(timer for timer in self.timers if timer.key != key)
        return replace(self, timers=(*others, Timer(key, now, minutes)))

    def reading_of(self, key: StepKey, field: str) -> FieldReading | None:
        """What was read last of a field at a step, or None."""
        return next((each for each in reversed(self.readings) if (each.key, each.field) == (key, field)), None)

    def with_reading(self, key: StepKey, field: str, text: str, now: datetime | None, method: str = "") -> Work:
        """With a field read, in place of an earlier reading; one that failed stays beside it."""
        others = tuple(each for each in self.readings if (each.key, each.field) != (key, field) or each.failed)
        return replace(self, readings=(*others, FieldReading(key, field, text, now, method=method)))

    def with_failure(self, key: StepKey, field: str, text: str, now: datetime | None) -> Work:
        """With a reading by which a step did not pass: it is open again, and its wait begins anew."""
        return replace(
            self,
            ticks=tuple(tick for tick in self.ticks if tick.key != key),
            timers=tuple(timer for timer in self.timers if timer.key != key),
            readings=(
                *(each for each in self.readings if (each.key, each.field) != (key, BEGUN)),
                FieldReading(key, field, text, now, failed=True),
            ),
        )

    @property
    def not_passed(self) -> tuple[FieldReading, ...]:
        """The readings by which a step did not pass and that none after it made good."""
        return tuple(each for each in self.readings if each.failed and self.reading_of(each.key, each.field) is each)

    def untimed(self) -> Work:
        """Without the timers of steps that are not done; what was timed and done stays."""
        return replace(self, timers=tuple(timer for timer in self.timers if self.tick_of(timer.key)))

    def current(self, plan: Sequence[PlannedStep]) -> int | None:
        """The place of the first step that is not done, or None when all are."""
        return next((place for place, planned in enumerate(plan) if not self.done(planned)), None)


def key_of(planned: PlannedStep) -> StepKey:
    """The address of a planned step; what is done once is for the tire, however many injuries there are."""
    return planned.step.id, FOR_TIRE if planned.injury is None or planned.step.once else planned.injury


def time_left_in_words(left: timedelta) -> str:
    """A time for people: `4 min 30 s`, `12 s`, `over`; a part of a second counts as a whole one."""
    whole = timedelta(seconds=-(-left // timedelta(seconds=1)))
    if whole <= timedelta():
        return "over"
    minutes, odd = divmod(whole, timedelta(minutes=1))
    rest = odd // timedelta(seconds=1)
    parts = [f"{minutes} min"] if minutes else []
    return " ".join([*parts, *([f"{rest} s"] if rest else [])])


def empty_fields(work: Work, planned: PlannedStep) -> list[str]:
    """The names of what was to be written down at a step and was not; each without `the`."""
    key = key_of(planned)
    return [field.name.removeprefix("the ") for field in planned.step.fields if work.reading_of(key, field.id) is None]
