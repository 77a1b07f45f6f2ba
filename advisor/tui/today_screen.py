"""Today's tires on a screen of their own: what is drying, unfinished, restricted; Enter goes into one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar

from advisor.dialogue.day_list import DayRow, day_heading, under_row
from advisor.engine.spelling_variant import spelled
from advisor.tui.keymap import KeyHint
from advisor.tui.list_screen import BACK, MOVE, ListScreen
from advisor.tui.text_blocks import Para

if TYPE_CHECKING:
    from advisor.tui.presenter import Desk

_INTO = KeyHint("enter", "Enter", "take", "go into it", "Go on with this tire; the one in hand stays as it is.")


class TodayScreen(ListScreen[DayRow]):
    """The list; gives the tire to go on with. Timers are looked at once a second."""

    hints: ClassVar[tuple[KeyHint, ...]] = (MOVE, _INTO, BACK)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.tires: list[DayRow] = desk.day_rows()

    @property
    def count(self) -> int:
        """How many tires there are."""
        return len(self.tires)

    def on_mount(self) -> None:
        """Stands at the tire in hand."""
        super().on_mount()
        self.at = next((place for place, row in enumerate(self.tires) if row.in_hand), 0)
        self.set_interval(1, self.show)
        self.show()

    def heading(self) -> str:
        """How many tires of each kind there are."""
        return spelled(day_heading(self.tires, self.desk.now()), self.desk.consultation.judge.rules)

    def paras(self, place: int, at: bool) -> Iterator[Para]:
        """A tire: its name and verdict, and how it stands."""
        row = self.tires[place]
        lead = f"{'>' if at else ' '} {place + 1} "
        here = ", in hand" if row.in_hand else ""
        yield Para(f"{row.name} - {row.sign}{here}", "at" if at else "strong", lead, "number", 0, place)
        for line in under_row(row, self.desk.now()):
            yield Para(line, "", "", "", 4, place)

    def take(self, place: int) -> None:
        """Gives the tire."""
        self.dismiss(self.tires[place])
