"""What is said to the user: a kind and lines; a face arranges them."""

from __future__ import annotations

from advisor.errors import Misread, shown
from advisor.quick import dataclass
from advisor.talk.card import Card


@dataclass(frozen=True, slots=True)
class Message:
    """Something said. `kind`: noted, reason, do, standing, complaint, card, help, why, note, work or report.

    A line that begins with two spaces belongs to the one above.
    """

    kind: str
    lines: tuple[str, ...]
    card: Card | None = None


def complaint(error: Misread) -> Message:
    """What is wrong with something typed, and what to type."""
    lines = [f"Found {error.found}; expected {error.expected}."]
    if error.nearest:
        lines.append(f"Nearest: {', '.join(shown(name) for name in error.nearest)}.")
    return Message("complaint", tuple(lines))
