"""Random cases, whole and partial, drawn from the rule set's own questions.

Most answers of a case are those of a base case that may be repaired, so that one answer more often decides.
"""

from __future__ import annotations

import os
from fractions import Fraction
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from advisor.model.quantity import UNITS, units_for
from advisor.model.ruleset import Question
from tests.laws.support import NAIL_HOLE, TIRES, CaseData, base, rules

CANT_TELL = "cant-tell"
MOST_CHANGES = 3
#: Times more examples than usual, for a long look: ADVISOR_EXAMPLES=20.
TIMES_MORE = int(os.environ.get("ADVISOR_EXAMPLES", "1"))
SIDEWALLS = (
    "205/55R16 91V",
    "205/55R16 91H TUBELESS",
    "LT245/75R16 120/116R LOAD RANGE E",
    "275/70R22.5 148/145M",
    "275/70R22.5 148/145M LOAD RANGE H REGROOVABLE",
    "245/70R19.5 136/134M",
    "10.00-20 TUBE TYPE",
    "REGROOVABLE",
    "words that say nothing",
)
DATE_CODES = ("2319", "1117", "0819", "319")
TEXTS = {"sidewall": SIDEWALLS, "dot-code": DATE_CODES}
#: A print that agrees with each base case, for where a print is wanted that contradicts nothing.
PRINTS = {"passenger": SIDEWALLS[0], "light-truck": SIDEWALLS[2], "medium-truck": SIDEWALLS[3]}
#: Units that people type, by quantity.
TYPED_IN = {
    "length": ("mm", "in", "32nds", "cm"),
    "pressure": ("psi", "kPa", "bar"),
    "angle": ("deg",),
    "temperature": ("C", "F"),
    "share": ("%",),
}


def units_typed(quantity: str) -> tuple[str, ...]:
    """The units that people type for a quantity."""
    return TYPED_IN.get(quantity) or tuple(units_for(quantity))


def few(examples: int) -> settings:
    """Settings for a property: the same examples every time, no clock, nothing kept."""
    return settings(
        max_examples=examples * TIMES_MORE,
        derandomize=True,
        deadline=None,
        database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
    )


def questions_over(over: str) -> dict[str, Question]:
    """The questions of a part by their key in a case file."""
    return {question.key: question for question in rules().questions.values() if question.over == over}


def typed(figure: Fraction | int, unit: str) -> str:
    """A figure as typed, with its unit: `6.25 mm`, `3/8 in`."""
    if unit == "32nds":
        return f"{float(figure):.6g}/32 in"
    return f"{float(figure):.6f}".rstrip("0").rstrip(".") + f" {unit}"


def near_limits(question: Question) -> list[str]:
    """Figures on and beside every limit of the question's quantity that lies in its plausible range."""
    found = []
    plausible = question.plausible
    for limit in rules().limits.values():
        for figure in limit.figures:
            if plausible is None or figure.quantity != question.quantity or not limit.worse or not figure.exact:
                continue
            here = figure.to(plausible.unit).low
            if plausible.low <= here * Fraction(8, 10) and here * Fraction(12, 10) <= plausible.high:
                found += [typed(figure.low * share / 100, figure.unit) for share in (95, 100, 105)]
    return sorted(set(found))


@st.composite
def figures(draw: st.DrawFn, question: Question) -> tuple[Fraction, str]:
    """A plausible figure in a unit that people type."""
    plausible = question.plausible
    assert plausible is not None
    unit = draw(st.sampled_from(units_typed(question.quantity)))
    here = plausible.to(unit)
    share = Fraction(draw(st.integers(1, 199)), 200)
    figure = here.low + (here.high - here.low) * share
    if draw(st.booleans()) and UNITS[unit].quantity == "length" and here.low >= 0:
        figure = here.low + (here.high - here.low) * share**4
    return Fraction(round(figure * 1000), 1000), unit


@st.composite
def measures(draw: st.DrawFn, question: Question) -> str:
    """A measure as typed: exact, near a limit, about, or a range."""
    near = near_limits(question)
    if near and draw(st.booleans()):
        return draw(st.sampled_from(near))
    figure, unit = draw(figures(question))
    how = draw(st.sampled_from(("exact", "exact", "about", "range")))
    if how == "range" and figure > 0 and unit != "32nds":
        low = figure * Fraction(draw(st.integers(50, 99)), 100)
        return f"{typed(low, '').strip()} to {typed(figure, unit)}"
    inside = question.plausible is not None and abs(figure) * 2 < question.plausible.to(unit).high
    return f"about {typed(figure, unit)}" if how == "about" and inside and figure > 0 else typed(figure, unit)


@st.composite
def several(draw: st.DrawFn, question: Question) -> Any:
    """Findings or signs: none, some, those looked for so far, some and not sure of the rest."""
    names = [choice.id for choice in question.choices]
    some = draw(st.lists(st.sampled_from(names), unique=True, min_size=1, max_size=2))
    rest = [name for name in names if name not in some]
    return draw(
        st.sampled_from([["none"], some, {"absent": rest}, {"present": some, "absent": rest[:2]}, [*some, CANT_TELL]])
    )


def answers_to(question: Question, cant_tell: bool = True) -> st.SearchStrategy[Any]:
    """Any answer that a case file may give to a question."""
    given: st.SearchStrategy[Any]
    if question.id == "earlier-repairs":
        given = repairs()
    elif question.kind == "choice":
        given = st.sampled_from([choice.id for choice in question.choices])
    elif question.kind == "choices":
        given = several(question)
    elif question.kind == "measure":
        given = measures(question)
    elif question.kind == "readings":
        given = st.one_of(measures(question), st.lists(measures(question), min_size=2, max_size=3))
    elif question.kind == "clock":
        given = st.builds("{}:{:02}".format, st.integers(1, 12), st.sampled_from((0, 15, 30)))
    else:
        given = st.sampled_from(TEXTS[question.id])
    return st.one_of(given, given, given, st.just(CANT_TELL)) if cant_tell else given


@st.composite
def repairs(draw: st.DrawFn) -> list[dict[str, Any]]:
    """No, one or two earlier repairs."""
    return [draw(part("earlier-repairs", {"sound": "yes"}, 5)) for _ in range(draw(st.sampled_from((0, 0, 1, 2))))]


@st.composite
def part(draw: st.DrawFn, over: str, start: dict[str, Any], most: int) -> dict[str, Any]:
    """The answers of the tire, an injury or an earlier repair: a good start, some of them changed or taken out."""
    answers = dict(start)
    known = {key: question for key, question in questions_over(over).items() if not key.startswith("more-")}
    for key in draw(st.lists(st.sampled_from(sorted(known)), unique=True, max_size=most)):
        if key in answers and draw(st.integers(0, 3)) == 0:
            del answers[key]
        else:
            answers[key] = draw(answers_to(known[key]))
    return answers


PLACED = ({}, {"clock": "12:00", "offset": "0 mm"}, {"clock": "4:00", "offset": "-20 mm"})


@st.composite
def cases(draw: st.DrawFn, injuries: tuple[int, ...] = (1, 1, 2, 3, 0), most: int = MOST_CHANGES) -> CaseData:
    """A case of any tire, with up to a few answers that are not those of the base case."""
    case = base(draw(st.sampled_from(sorted(TIRES))))
    case["answers"] = draw(part("tire", case["answers"], most))
    if draw(st.booleans()):
        case["answers"] |= {"sidewall": SIDEWALLS[3], "unit-length": "70 mm", "unit-width": "60 mm"}
        if case["answers"].get("tire-class") != "medium-truck":
            case["answers"]["sidewall"] = SIDEWALLS[0]
    count = draw(st.sampled_from(injuries))
    case["injuries"] = [draw(part("injuries", {**NAIL_HOLE, **PLACED[i]}, most)) for i in range(count)]
    return case
