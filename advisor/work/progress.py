"""The work as it goes: steps ticked, notes, timers. Frozen data; the clock is handed in, and nothing ever waits.

The work as plain data for a journal and back, exact.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.judgement_types import PlannedStep


def work_data(work: Work) -> dict[str, Any]:
    """The work as plain data: ticks, timers and notes, each as a list."""
    return {
        "ticks": [[*tick.key, _at(tick.at), tick.method] for tick in work.ticks],
        "timers": [[*timer.key, _at(timer.started), str(timer.minutes)] for timer in work.timers],
        "notes": [[note.text, _at(note.at), *(note.key or (None, None))] for note in work.notes],
    }


def work_from(data: Mapping[str, Any]) -> Work:
    """The work in plain data. Raises KeyError, TypeError or ValueError for anything else."""
    return Work(
        tuple(Tick(_key(name, index), _time(at), str(method)) for name, index, at, method in data["ticks"]),
        tuple(Note(str(text), _time(at), _key(name, index) if name is not None else None)
              for text, at, name, index in data["notes"]),
        tuple(Timer(_key(name, index), datetime.fromisoformat(started), Fraction(minutes))
              for name, index, started, minutes in data["timers"]),
    )  # fmt: skip


def _at(time: datetime | None) -> str | None:
    return time.isoformat() if time else None


def _time(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text is not None else None


def _key(name: Any, index: Any) -> StepKey:
    return str(name), int(index)


#: A step of the work: its id, and the injury that it is for (-1 for the tire).
StepKey = tuple[str, int]
FOR_TIRE = -1


class Tick(Struct, frozen=True):
    """A step that was done, of which method; `at` is None where no clock is known."""

    key: StepKey
    at: datetime | None = None
    method: str = ""


class Note(Struct, frozen=True):
    """Words noted during the work, at the step that was then in hand."""

    text: str
    at: datetime | None = None
    key: StepKey | None = None


class Timer(Struct, frozen=True):
    """A waiting time that began at `started`; it runs on by itself, whatever else is done."""

    key: StepKey
    started: datetime
    minutes: Fraction

    def left(self, now: datetime) -> timedelta:
        """What is left at `now`; zero when it is over, and never more than the whole time."""
        whole = timedelta(minutes=float(self.minutes))
        return min(max(whole - (now - self.started), timedelta()), whole)

    def over(self, now: datetime) -> bool:
        """Whether the time is up."""
        return not self.left(now)


class Work(Struct, frozen=True):
    """What has been done so far. Every change gives a new one."""

    ticks: tuple[Tick, ...] = ()
    notes: tuple[Note, ...] = ()
    timers: tuple[Timer, ...] = ()

    @property
    def begun(self) -> bool:
        """Whether anything was ticked, noted or timed."""
        return bool(self.ticks or self.notes or self.timers)

    def tick_of(self, key: StepKey) -> Tick | None:
        """The tick of a step, or None. What was done at the first injury counts where a step is for the tire."""
        keys = (key, (key[0], 0)) if key[1] == FOR_TIRE else (key,)
        return next((tick for tick in self.ticks if tick.key in keys), None)

    def ticked(self, key: StepKey, now: datetime | None, method: str = "") -> Work:
        """With a step done; one that was done keeps its time."""
        return self if self.tick_of(key) else replace(self, ticks=(*self.ticks, Tick(key, now, method)))

    def unticked(self) -> Work:
        """Without the last tick."""
        return replace(self, ticks=self.ticks[:-1])

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

    def untimed(self) -> Work:
        """Without the timers of steps that are not done; what was timed and done stays."""
        return replace(self, timers=tuple(timer for timer in self.timers if self.tick_of(timer.key)))

    def current(self, plan: Sequence[PlannedStep]) -> int | None:
        """The place of the first step that is not done, or None when all are."""
        return next((place for place, step in enumerate(plan) if not self.tick_of(key_of(step))), None)


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
