"""What turned up at the work, picked from a list: marks by Space or a letter, Enter takes them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from advisor.dialogue.work_findings import FindToPick
from advisor.tui.keymap import KeyHint
from advisor.tui.list_screen import BACK, MOVE, ListScreen
from advisor.tui.text_blocks import Para

_MARK = KeyHint("space", "Space", "mark", "mark", "Mark a find, to take several at once.")
_TAKE = KeyHint("enter", "Enter", "take", "take", "Take what is marked, or the find at the arrow.")


class FoundScreen(ListScreen[str]):
    """Gives the line that says what was found; one that ends in a blank wants its figure."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("space", "mark", "mark")]
    hints: ClassVar[tuple[KeyHint, ...]] = (MOVE, _MARK, _TAKE, BACK)

    def __init__(self, finds: Sequence[FindToPick], of: str) -> None:
        super().__init__()
        self.finds, self.of = finds, of
        self.marked = frozenset[int]()

    @property
    def count(self) -> int:
        """How many finds there are to pick."""
        return len(self.finds)

    def heading(self) -> str:
        """At which injury."""
        return f"What turned up{self.of}?"

    def sign_of(self, place: int) -> str:
        """Its letter."""
        return self.finds[place].letter

    def paras(self, place: int, at: bool) -> Iterator[Para]:
        """A find."""
        find = self.finds[place]
        mark = "[x]" if place in self.marked else "   " if find.measured else "[ ]"
        after = " (found already)" if find.there else ": then type its figure" if find.measured else ""
        lead = f"{'>' if at else ' '} {find.letter} {mark} "
        yield Para(f"{find.says}{after}", "at" if at else "", lead, "number", 0, place)

    def action_mark(self) -> None:
        """Marks the find at the arrow, or takes its mark away."""
        if not self.finds[self.at].measured:
            self.marked ^= {self.at}
            self.show()

    def take(self, place: int) -> None:
        """Gives what is marked, else the row."""
        marked = [self.finds[each].typed for each in sorted(self.marked)]
        self.dismiss(f"found {', '.join(marked) or self.finds[place].typed}")
