"""The made-up vehicles and their tires, read once from `garage.json`: what is likely, and what goes together."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

import msgspec
from msgspec import Struct, field

from advisor.domain.sidewall.parser import read_sidewall
from advisor.model import inputs
from advisor.model.case import Answer, Case, Choice, Readings, Text
from advisor.model.quantity import Measure, exactly, quantity_named, read_measure
from advisor.model.ruleset import RuleSet


class GarageTire(Struct, frozen=True, rename="kebab"):
    """A tire as it may come in: its vehicle, print, pressures, tread in 32nds, tread width and casing in mm."""

    id: str
    name: str
    likely: dict[str, str]
    positions: tuple[str, ...]
    sidewall: str
    set: tuple[str, ...]
    tread: tuple[int, int]
    tread_width: int
    thickness: int
    unit: int


class Garage(Struct, frozen=True, rename="kebab"):
    """Everything that is made up; no figure of a rule is in it."""

    about: str
    tires: tuple[GarageTire, ...]
    sound: dict[str, str]
    hole: dict[str, tuple[str, ...]]
    goes_with: dict[str, tuple[str, ...]]
    positions_of: dict[str, tuple[str, ...]]
    set_band: dict[str, tuple[int, int]]
    tread_most: dict[str, int]
    letters: dict[str, tuple[str, ...]]
    bands: dict[str, tuple[str, str]]
    steps: dict[str, str]
    spreads: dict[str, str]
    inside: tuple[str, ...]
    driver: tuple[str, ...]
    boss: tuple[str, ...]
    no_machine: str
    extra: dict[str, str] = field(default_factory=dict)


@lru_cache(maxsize=1)
def garage() -> Garage:
    """The garage, read from its file."""
    text = resources.files("advisor.practise").joinpath("garage.json").read_bytes()
    return msgspec.json.decode(text, type=Garage)


def garage_tires(rules: RuleSet) -> tuple[GarageTire, ...]:
    """The tires of vehicles that these rules know; all of them where they ask for no vehicle."""
    known = (tire for tire in garage().tires if chosen(rules, inputs.VEHICLE, tire.likely[inputs.VEHICLE]))
    return tuple(known) or garage().tires


def chosen(rules: RuleSet, name: str, choice: str) -> Answer | None:
    """A choice by the ids that the program knows, as these rules have it; None where they have none such."""
    question = rules.questions.get(rules.question_now(name))
    if question is None or question.kind != inputs.CHOICE:
        return None
    now = question.choice_now(choice)
    return Choice(now) if question.choice(now) else None


def id_of(case: Case, rules: RuleSet, name: str) -> str:
    """The choice that a case has for one of the program's questions about the tire; empty for none."""
    answer = case.answers.get(rules.question_now(name))
    return answer.id if isinstance(answer, Choice) else ""


def class_of(case: Case, rules: RuleSet) -> str:
    """The class by the print, else by the answer."""
    printed = case.answers.get(rules.question_now(inputs.SIDEWALL))
    found = read_sidewall(printed.text).tire_class if isinstance(printed, Text) else None
    return str(found) if found else id_of(case, rules, inputs.TIRE_CLASS)


@lru_cache(maxsize=128)
def band_of(name: str) -> tuple[Measure, Measure] | None:
    """From where to where a measure of a made-up tire lies, by the question's id in the program."""
    ends = garage().bands.get(name)
    if ends is None:
        return None
    low, high = (read_measure(end, quantity_named(end)) for end in ends)
    return low, high


def likely_measures(name: str, case: Case, rules: RuleSet) -> list[Measure]:
    """Figures that a measure of such a tire is likely to have, by the question's id in the program."""
    known = garage()
    if name in known.hole:
        return [read_measure(words, quantity_named(words)) for words in known.hole[name]]
    if name in (inputs.FOUND_PRESSURE, inputs.SET_PRESSURE):
        other = inputs.SET_PRESSURE if name == inputs.FOUND_PRESSURE else inputs.FOUND_PRESSURE
        same = case.answers.get(rules.question_now(other))
        return [same] if isinstance(same, Measure) else []
    if name == inputs.TREAD_DEPTH:
        return [exactly(known.tires[0].tread[1], "32nds")]
    band = band_of(name)
    return [] if band is None else [exactly((band[0].low + band[1].to(band[0].unit).low) / 2, band[0].unit)]


def misfit(case: Case, rules: RuleSet, questioned: frozenset[str] = frozenset()) -> str:
    """Why no such tire would come in; empty for a likely one. `questioned`: answers that are meant to be odd."""
    vehicle, position = id_of(case, rules, inputs.VEHICLE), id_of(case, rules, inputs.WHEEL_POSITION)
    tire_class, known = class_of(case, rules), garage()
    odd = {rules.input_of(name) for name in questioned}
    classes, wheels = known.goes_with.get(vehicle, ()), known.positions_of.get(vehicle, ())
    if vehicle and tire_class not in ("", *classes) and not odd & {inputs.VEHICLE, inputs.TIRE_CLASS, inputs.SIDEWALL}:
        return "its class does not go with its vehicle"
    if vehicle and position not in ("", *wheels) and inputs.WHEEL_POSITION not in odd:
        return "its vehicle has no such wheel"
    if not odd & {inputs.SET_PRESSURE, inputs.FOUND_PRESSURE} and not _likely_pressures(case, rules, tire_class):
        return "no tire of its class is set to that pressure"
    if inputs.TREAD_DEPTH not in odd and not _likely_tread(case, rules, tire_class):
        return "no tire of its class has so much tread"
    letter = id_of(case, rules, inputs.LOAD_RANGE)
    if letter and inputs.LOAD_RANGE not in odd and letter not in known.letters.get(tire_class, (letter,)):
        return "its load range does not go with its class"
    return next(iter((*_unlikely_measures(case, rules, odd), *_shorter_than_wide(case, rules, odd))), "")


def _likely_pressures(case: Case, rules: RuleSet, tire_class: str) -> bool:
    low, high = garage().set_band.get(tire_class, (0, 1000))
    should = case.answers.get(rules.question_now(inputs.SET_PRESSURE))
    found = case.answers.get(rules.question_now(inputs.FOUND_PRESSURE))
    if isinstance(should, Measure) and not (low <= should.to("psi").low and should.to("psi").high <= high):
        return False
    return not isinstance(found, Measure) or found.to("psi").high <= 2 * high


def _likely_tread(case: Case, rules: RuleSet, tire_class: str) -> bool:
    depth = case.answers.get(rules.question_now(inputs.TREAD_DEPTH))
    most = exactly(garage().tread_most.get(tire_class, garage().tread_most["other"]), "32nds")
    readings = depth.readings if isinstance(depth, Readings) else ()
    return all(reading.to("32nds").high <= most.low for reading in readings)


def _shorter_than_wide(case: Case, rules: RuleSet, odd: set[str]) -> list[str]:
    size, length = map(rules.question_now, (inputs.INJURY_SIZE, inputs.INJURY_LENGTH))
    found = []
    for injury in case.injuries if not odd & {inputs.INJURY_SIZE, inputs.INJURY_LENGTH} else ():
        wide, long = injury.get(size), injury.get(length)
        if isinstance(wide, Measure) and isinstance(long, Measure) and long.to("mm").low < wide.to("mm").low:
            found.append("an injury shorter than it is wide")
    return found


def _unlikely_measures(case: Case, rules: RuleSet, odd: set[str]) -> list[str]:
    found: list[str] = []
    for over in inputs.OVERS:
        for answers in case.instances(over):
            for name, answer in answers.items():
                band = band_of(rules.input_of(name))
                measures = answer.readings if isinstance(answer, Readings) else (answer,)
                if band is None or rules.input_of(name) in odd:
                    continue
                found += [f"{rules.questions[name].name} is unlikely" for each in measures if _outside(each, band)]
    return found


def _outside(answer: Answer, band: tuple[Measure, Measure]) -> bool:
    if not isinstance(answer, Measure) or answer.quantity != band[0].quantity:
        return False
    return answer.low < band[0].to(answer.unit).low or answer.high > band[1].to(answer.unit).low


def likely_answers(tire: GarageTire, rules: RuleSet) -> Mapping[str, Answer]:
    """What is known of a garage's tire by its ids in these rules: vehicle, class, a wheel, the print."""
    found: dict[str, Answer] = {}
    wheel = {inputs.WHEEL_POSITION: tire.positions[0]}
    for name, choice in {**garage().sound, **tire.likely, **wheel}.items():
        answer = chosen(rules, name, choice)
        if answer is not None:
            found[rules.question_now(name)] = answer
    printed = rules.question_now(inputs.SIDEWALL)
    if tire.sidewall and printed in rules.questions:
        found[printed] = Text(tire.sidewall)
    return found
