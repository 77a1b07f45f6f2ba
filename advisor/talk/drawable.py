"""Whether there is anything to draw: cheap to ask, so that a face can say so after each answer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.model.case import Case, Key

if TYPE_CHECKING:
    from advisor.engine.judge import Judge

#: The limit that the picture of the tread depth needs.
TREAD_LIMIT = "tread-readings"
#: Which picture goes with a question: where the tread is read, the injury's path, places on the tire.
PICTURE_OF: dict[str, str] = {
    "tread-depth": "tread",
    **dict.fromkeys(("offset", "tread-width", "injury-angle", "casing-thickness"), "path"),
    **dict.fromkeys(("clock", "lean", "unit-length", "unit-width"), "place"),
    **dict.fromkeys(("repair-clock", "repair-offset", "repair-unit-length", "repair-unit-width"), "place"),
}


def picture_of(question: str, judge: Judge) -> str:
    """Which picture shows how to answer a question: tread, path or place; empty for none."""
    found = PICTURE_OF.get(question, "")
    return "" if found == "tread" and TREAD_LIMIT not in judge.rules.limits else found


def anything_placed(case: Case) -> bool:
    """Whether some injury or earlier repair has a place, so that there may be a drawing of it."""
    return any("offset" in each for each in case.injuries) or any("repair-offset" in each for each in case.repairs)


def anything_to_draw(case: Case, asked: Key | None, judge: Judge) -> bool:
    """Whether a picture goes with the question put now, or something has a place."""
    return anything_placed(case) or (asked is not None and bool(picture_of(asked[0], judge)))
