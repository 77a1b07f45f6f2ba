"""What can be wrong with something that was read, as data; faces draw it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from msgspec import Struct
from msgspec.structs import replace


class Place(Struct, frozen=True, order=True):
    """Where something stands: file as named by the user, line and column counted from 1 in characters."""

    file: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{shown(self.file)}:{self.line}:{self.column}"


class Problem(Struct, frozen=True):
    """One thing that is wrong: its stable id, where, what was found, what was expected, what to do."""

    id: str
    place: Place
    found: str
    expected: str = ""
    do: str = ""
    nearest: tuple[str, ...] = ()
    see: tuple[tuple[Place, str], ...] = ()

    def __str__(self) -> str:
        return "\n".join(self.lines())

    def lines(self) -> list[str]:
        """The problem as a block of plain lines, the first of them `file:line:column: id: found …`."""
        return [self.head, *(f"  {row}" for row in self.details())]

    @property
    def head(self) -> str:
        """`file:line:column: id: found …`."""
        return f"{self.place}: {self.id}: {shown(self.found)}"

    def details(self) -> list[str]:
        """What belongs under the head."""
        rows = [f"expected  {shown(self.expected)}"] if self.expected else []
        rows.extend(f"see       {place}  {shown(what)}" for place, what in self.see)
        if self.nearest:
            rows.append(f"nearest   {', '.join(shown(name) for name in self.nearest)}")
        if self.do:
            rows.append(f"do        {shown(self.do)}")
        return rows

    def at(self, file: str, line: int = 0) -> Problem:
        """The same problem in another file, its line counted from `line`."""
        return replace(self, place=Place(file, self.place.line + line, self.place.column))


class Problems(Exception):
    """Raised with every problem of what was read, in the order of the files."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))

    def __reduce__(self) -> tuple[type[Problems], tuple[tuple[Problem, ...]]]:
        return Problems, (self.problems,)  # what goes from process to process is the problems, not their text


class Misread(ValueError):
    """A text that could not be read as what it should be: what was found and what was expected."""

    def __init__(self, found: str, expected: str, do: str = "", nearest: Iterable[str] = ()) -> None:
        self.found, self.expected, self.do, self.nearest = found, expected, do, tuple(nearest)
        super().__init__(f"{found}; expected {expected}")


def closest(word: str, known: Iterable[str]) -> tuple[str, ...]:
    """At most three known names that look like a word."""
    from difflib import get_close_matches

    return tuple(get_close_matches(word[:80], list(dict.fromkeys(known)), n=3, cutoff=0.6))


#: Characters that could move the cursor or turn the direction of writing are shown by name instead; none is printable.
_HIDDEN = {
    **{code: f"\\x{code:02x}" for code in (*range(32), *range(127, 160))},
    **{code: f"\\u{code:04x}" for code in (0x61C, 0x200B, 0x200C, 0x200D, 0x200E, 0x200F, 0x2028, 0x2029, 0xFEFF)},
    **{code: f"\\u{code:04x}" for code in (*range(0x202A, 0x202F), *range(0x2060, 0x206A), *range(0xD800, 0xE000))},
}


def shown(text: str, most: int = 400) -> str:
    """A text made fit to be shown on one line: control and direction characters by name, cut when long."""
    cut = text if len(text) <= most else text[:most] + f"… ({len(text)} characters)"
    return cut if cut.isprintable() else cut.translate(_HIDDEN)


#: The same in JSON, which has its own way to name a sign; those below 32 it names anyway.
_HIDDEN_IN_JSON = {code: f"\\u{code:04x}" for code in _HIDDEN if code >= 127}


def json_shown(data: Any) -> str:
    """Plain data as JSON on one line, fit to be shown: what `shown` names stands as an escape."""
    from json import dumps

    text = dumps(data, ensure_ascii=False)
    return text if text.isprintable() else text.translate(_HIDDEN_IN_JSON)
