"""What belongs to an answer and goes with it in a what-if: another vehicle's tire has another print and class."""

from __future__ import annotations

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import value_in_words
from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Case, Choice, Key

VEHICLE, WHEEL = inputs.VEHICLE, inputs.WHEEL_POSITION
#: Classes of tire that a vehicle is not built for; a light-truck tire may stand on any of them.
NOT_ON = {
    "passenger": frozenset({"truck", "bus"}),
    "medium-truck": frozenset({"car", "van-or-pickup"}),
}
#: What a tire's print says, or stands for it.
OF_PRINT = (inputs.SIDEWALL, inputs.TIRE_CLASS, inputs.LOAD_RANGE, inputs.CONSTRUCTION)

Withdrawn = list[tuple[Key, Answer]]


def speaks_against(case: Case, now: Judgement, changes: list[tuple[Key, Answer]], judge: Judge) -> Withdrawn:
    """The answers of a print that can't be the new vehicle's, to be taken as not known with it."""
    vehicle = dict(changes).get((VEHICLE, TIRE))
    if not isinstance(vehicle, Choice) or vehicle == case.answers.get(VEHICLE):
        return []
    there = now.values.get("tire-class-read") or case.answers.get(inputs.TIRE_CLASS)
    changed = {key[0] for key, _ in changes}
    if not isinstance(there, Choice) or vehicle.id not in NOT_ON.get(there.id, frozenset()):
        return _wheel(case, vehicle, changed)
    out = [((name, TIRE), case.answers[name]) for name in OF_PRINT if name in case.answers and name not in changed]
    return [*out, *_wheel(case, vehicle, changed)]


def _wheel(case: Case, vehicle: Choice, changed: set[str]) -> Withdrawn:
    """A trailer's axle on anything else, or the other way round."""
    wheel = case.answers.get(WHEEL)
    if not isinstance(wheel, Choice) or WHEEL in changed or wheel.id == "other":
        return []
    return [((WHEEL, TIRE), wheel)] if (wheel.id == "trailer") != (vehicle.id == "trailer") else []


def withdrawn_lines(withdrawn: Withdrawn, changes: list[tuple[Key, Answer]], judge: Judge) -> list[str]:
    """Each answer that goes with the vehicle, and why."""
    questions = judge.rules.questions
    if not withdrawn:
        return []
    vehicle = next(answer for key, answer in changes if key[0] == VEHICLE)
    of = value_in_words(vehicle, questions[VEHICLE])
    return [
        f"{questions[key[0]].name}: {value_in_words(answer, questions[key[0]])} speaks against that ({of}); "
        "for a moment it counts as not known"
        for key, answer in withdrawn
    ]
