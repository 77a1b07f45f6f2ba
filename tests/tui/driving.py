"""Drives the real screen for the tests: opens the app, presses keys, reads what is to be seen."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Awaitable, Callable, Mapping
from html import unescape

from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from advisor.tui.app import AdvisorApp
from advisor.tui.presenter import Desk
from tests.laws.support import reply

SMALL, WIDE = (80, 24), (120, 40)
#: A car tire with a nail hole in the crown that may be repaired; what isn't named here is left out.
NAIL_HOLE = {
    "vehicle": "car", "wheel-position": "drive", "sidewall": "P215/65R16 96H", "tube": "tubeless", "retread": "no",
    "found-pressure": "30", "set-pressure": "33", "run-low": "no", "demounted": "yes", "sealant": "no",
    "findings": "none", "tread-depth": "9/32", "self-supporting": "no", "earlier-repairs": "no",
    "injury-depth": "through", "injury-zone": "crown", "injury-size": "6 mm", "injury-angle": "10",
    "inside-signs": "none", "more-injuries": "no",
}  # fmt: skip
#: The same, but the hole is in the sidewall.
SIDEWALL = {**NAIL_HOLE, "injury-zone": "sidewall"}
_TEXT = re.compile(r'<text class="[^"]*" x="([\d.]+)"[^>]*?clip-path="url\(#[^"]*-line-(\d+)\)">(.*?)</text>', re.S)
CELL = 12.2

Steps = Callable[["Screen"], Awaitable[None]]


class Screen:
    """The running app with its pilot."""

    def __init__(self, app: AdvisorApp, pilot: Pilot[int]) -> None:
        self.app = app
        self.pilot = pilot

    @property
    def desk(self) -> Desk:
        """The desk behind the screen."""
        desk = self.app.talk_screen.desk
        assert desk is not None
        return desk

    @property
    def line(self) -> str:
        """What the input line holds."""
        return self.app.talk_screen.line.value

    @property
    def complaint(self) -> str:
        """What is said to be wrong with the line."""
        return self.app.talk_screen.complaint.text

    @property
    def keys(self) -> str:
        """The keys shown."""
        return self.app.talk_screen.keys.text

    @property
    def asked(self) -> str:
        """The id of the open question, or an empty text."""
        ask = self.desk.consultation.ask
        return ask.key[0] if ask else ""

    async def press(self, *keys: str) -> None:
        """Presses keys one after another; waits for the last one only, since the pilot is slow in waiting."""
        for key in keys[:-1]:
            sign = {"space": " ", "enter": "\r"}.get(key, key if len(key) == 1 else None)
            self.app.post_message(events.Key(key, sign))
        await self.pilot.press(keys[-1])

    async def type(self, text: str) -> None:
        """Puts a text into the line and presses Enter."""
        self.app.talk_screen.line.insert_text_at_cursor(text)
        await self.press("enter")

    async def work_line(self, text: str) -> None:
        """Types a line into the work's own screen."""
        self.app.screen.query_one("#work-line", Input).value = text
        await self.press("enter")

    def place_of(self, choice: str) -> int:
        """The row of a choice, of none, or of leaving out."""
        for place, row in enumerate(self.desk.prompt.rows):
            if choice in (row.means, getattr(row.means, "id", "")):
                return place
        raise AssertionError(f"no row {choice} at {self.asked}")

    async def answer(self, answers: Mapping[str, str], until: str = "", by: str = "") -> None:
        """Answers one question after another, up to one of them or to the end.

        `by` typing, digits or arrows, figures typed in each way; without it past the keys, which is quicker.
        """
        if not by:
            self._answer_at_once(answers, until)
            await self.pilot.pause()
            return
        for _ in range(80):
            asked = self.asked
            if asked in (until, ""):
                return
            prompt = self.desk.prompt
            question = self.desk.consultation.ask.question
            wanted, kind = reply(answers, question), question.kind
            if by == "typing" or (wanted != "skip" and kind not in ("choice", "choices")):
                await self.type("" if wanted == "skip" else wanted)
            elif by == "digits" and prompt.rows[self.place_of(wanted)].number:
                number = prompt.rows[self.place_of(wanted)].number
                await self.press(*number, "enter")
            else:
                at = -1 if self.desk.at is None else self.desk.at
                await self.press(*["down"] * (self.place_of(wanted) - at), "enter")
            assert not self.complaint, f"{asked}: {self.complaint}"
            assert self.asked != asked, asked

    def _answer_at_once(self, answers: Mapping[str, str], until: str) -> None:
        desk = self.desk
        for _ in range(80):
            asked = self.asked
            if asked in (until, ""):
                break
            wanted = reply(answers, self.desk.consultation.ask.question)
            desk.text = "" if wanted == "skip" else wanted
            desk.enter()
            assert not desk.complaint, f"{asked}: {desk.complaint}"
            assert self.asked != asked, asked
        self.app.talk_screen.show_desk()

    async def paste(self, text: str) -> None:
        """Pastes a text."""
        self.app.talk_screen.line.post_message(events.Paste(text))
        await self.pilot.pause()

    def text(self) -> str:
        """The words on the screen, line by line."""
        return svg_text(self.app.export_screenshot())


def svg_text(svg: str) -> str:
    """The words of a picture, line by line, each where it stands."""
    rows: dict[int, list[tuple[int, str]]] = {}
    for x, row, words in _TEXT.findall(svg):
        rows.setdefault(int(row), []).append((round(float(x) / CELL), unescape(words).replace("\xa0", " ")))
    lines = []
    for row in range(max(rows, default=-1) + 1):
        line = ""
        for column, words in sorted(rows.get(row, [])):
            line = line.ljust(column) + words
        lines.append(line.rstrip())
    return normal("\n".join(lines) + "\n")


def normal(text: str) -> str:
    """A text without what changes from day to day."""
    text = re.sub(r"edition \d{4}-\d\d-\d\d", "edition YYYY-MM-DD", text)
    return re.sub(r"\b[0-9a-f]{16}\b", "0123456789abcdef", text)


def drive(
    steps: Steps,
    size: tuple[int, int] = SMALL,
    no_colour: bool = False,
    rules: str = "",
    app: AdvisorApp | None = None,
) -> AdvisorApp:
    """Opens the app, or one made otherwise, at a size, waits for the first question, carries out steps; gives it."""
    app = app or AdvisorApp(rules, no_colour=no_colour)

    async def run() -> None:
        async with app.run_test(size=size) as pilot:
            for _ in range(500):
                if app.talk_screen.desk is not None:
                    break
                await pilot.pause(0.01)
            await pilot.pause()
            await steps(Screen(app, pilot))

    asyncio.run(run())
    return app
