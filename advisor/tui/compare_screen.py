"""The same tire under other rule sets, on a screen of its own: a column for each, then where and why they differ."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from textual.app import ComposeResult

from advisor.dialogue.ruleset_comparison import (
    LEAD_COLUMNS,
    NONE_LEFT,
    Judged,
    agree,
    differences,
    judged_beside,
    problem_blocks,
    table,
)
from advisor.model.problems import Problems, shown
from advisor.tui.reading_screen import ReadingScreen
from advisor.tui.status import Sign
from advisor.tui.text_blocks import BLANK, Line, Para, wrap
from advisor.wording.blocks import texts_of
from advisor.wording.verdict_card import VERDICT_SIGNS

if TYPE_CHECKING:
    from advisor.tui.presenter import Desk

_KEYS_LINE = "Esc back   Up/Down PgUp/PgDn read"


class BesideScreen(ReadingScreen[None]):
    """Shows a desk's case by its own rules and by the others that come with the program, which are read meanwhile."""

    CSS = """
    BesideScreen { layout: vertical; }
    #beside-title { height: 1; background: $surface; }
    #beside { height: 1fr; }
    #beside-keys { height: 1; background: $surface; }
    """

    def __init__(self, desk: Desk) -> None:
        super().__init__("beside")
        self.desk = desk
        self._judged: list[Judged] = []
        self._notes: list[str] = ["Reading the other rules …"]

    def compose(self) -> ComposeResult:
        """The widgets, from top to bottom."""
        own = self.desk.consultation.judge.rules.about.id
        yield Sign(f" The same tire under other rules, to compare; {own} judges here", "beside-title")
        yield self.view
        yield Sign(f" {_KEYS_LINE}", "beside-keys")

    def on_mount(self) -> None:
        """Reads the other rule sets without holding up the screen."""
        self.show()
        self.run_worker(self._read, thread=True, exit_on_error=False)

    def _read(self) -> None:
        try:
            judged, notes = judged_beside(self.desk.consultation)
        except Problems as problems:
            judged, notes = [], list(texts_of(problem_blocks(problems)))
        except Exception as error:
            judged, notes = [], [shown(f"The other rules can't be shown ({type(error).__name__}: {error})")]
        self.app.call_from_thread(self._show, judged, notes)

    def _show(self, judged: list[Judged], notes: list[str]) -> None:
        self._judged, self._notes = judged, notes if len(judged) != 1 else [NONE_LEFT]
        self.show()

    def show(self) -> None:
        """Shows what is known at the width there is."""
        width = self.view.text_width
        above = [_table_line(text) for text in table(self._judged, width)] if len(self._judged) > 1 else []
        self.view.show([*wrap([BLANK], width), *above, *wrap(self._paras(), width)], self.view.top)

    def _paras(self) -> Iterator[Para]:
        if len(self._judged) > 1:
            yield BLANK
            same = agree(self._judged)
            says = "They agree on verdict, method and restrictions." if same else "They do not agree."
            yield Para(says, "strong", indent=1)
        yield from (Para(note, "note", indent=1) for note in self._notes)
        for place, difference in enumerate(differences(self._judged) if len(self._judged) > 1 else ()):
            if place == 0:
                yield BLANK
                yield Para("Where and why they differ", "title", indent=1)
            yield Para(difference.label, "strong", indent=1)
            for rules, said in difference.says:
                yield from (Para(text, "", f"{rules}: ", "label", 3) for text in said)


_WORDS = re.compile(r"\S+|\s+")


def _table_line(text: str) -> Line:
    """A line of the table: names and ids marked, each verdict with the look of its sign."""
    name, cells = text[:LEAD_COLUMNS], text[LEAD_COLUMNS:]
    if not name.strip():
        blank = name + cells[: len(cells) - len(cells.lstrip())]
        return Line(((blank, ""), (cells.lstrip(), "")))
    if not name.startswith("verdict "):
        return Line(((name, "label"), (cells, "")))
    signs = {sign: f"sign-{sign.lower()}" for sign in VERDICT_SIGNS.values()}
    return Line(((name, "label"), *((word, signs.get(word, "")) for word in _WORDS.findall(cells))))
