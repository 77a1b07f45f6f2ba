"""Which drawing goes with which question, and whether there is anything to draw.

Cheap to ask, so that a face can say so after each answer: what draws is loaded only where something is drawn.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.model import inputs
from advisor.model.case import Case, Key
from advisor.model.ruleset import RuleSet

if TYPE_CHECKING:
    from advisor.engine.evaluator import Judge

#: The limit that the picture of the tread depth needs.
TREAD_LIMIT = "tread-readings"
#: Which picture goes with a question: where the tread is read, the injury's path, places on the tire.
PICTURE_OF: dict[str, str] = {
    inputs.TREAD_DEPTH: "tread",
    **dict.fromkeys((inputs.OFFSET, inputs.TREAD_WIDTH, inputs.INJURY_ANGLE, inputs.CASING_THICKNESS), "path"),
    **dict.fromkeys((inputs.CLOCK, inputs.LEAN, inputs.UNIT_LENGTH, inputs.UNIT_WIDTH), "place"),
    **dict.fromkeys(
        (inputs.REPAIR_CLOCK, inputs.REPAIR_OFFSET, inputs.REPAIR_UNIT_LENGTH, inputs.REPAIR_UNIT_WIDTH), "place"
    ),
}


#: Which small sketch stands beside a question.
SKETCH_OF: dict[str, str] = {
    inputs.INJURY_ZONE: "zone",
    inputs.INSIDE_GROOVES: "zone",
    inputs.INJURY_DEPTH: "depth",
    **dict.fromkeys((inputs.INJURY_SIZE, inputs.INJURY_LENGTH), "size"),
    inputs.INJURY_ANGLE: "angle",
    **dict.fromkeys((inputs.FINDINGS, inputs.INSIDE_SIGNS, inputs.RUN_LOW_INSIDE, inputs.DEMOUNTED), "look"),
}


def picture_of(question: str, judge: Judge) -> str:
    """Which picture shows how to answer a question: tread, path or place; empty for none."""
    found = PICTURE_OF.get(judge.rules.input_of(question), "")
    return "" if found == "tread" and TREAD_LIMIT not in judge.rules.limits else found


def anything_placed(case: Case, rules: RuleSet) -> bool:
    """Whether some injury or earlier repair has a place, so that there may be a drawing of it."""
    offset, of_repair = map(rules.question_now, (inputs.OFFSET, inputs.REPAIR_OFFSET))
    return any(offset in each for each in case.injuries) or any(of_repair in each for each in case.repairs)


def anything_to_draw(case: Case, asked: Key | None, judge: Judge) -> bool:
    """Whether a picture goes with the question put now, or something has a place."""
    return anything_placed(case, judge.rules) or (asked is not None and bool(picture_of(asked[0], judge)))


def sketch_of(question: str, judge: Judge) -> str:
    """Which small sketch stands beside a question; empty for none."""
    return SKETCH_OF.get(judge.rules.input_of(question), "")
