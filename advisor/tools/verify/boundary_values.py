"""Answers that stand for all others: each measure is cut at its limits, so that finitely many regions are left.

A measure has, for every unit family with a figure, a region below, between and above the figures, one at each
figure itself, and a doubtful reading across each. Text and values worked out of several answers have examples, one
for each thing that their function can give.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from fractions import Fraction
from itertools import combinations

from advisor.domain.code_tables import SPEED_SYMBOLS, load_kg
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Answer, Choice, Choices, Readings, Text
from advisor.model.quantity import Measure, exactly
from advisor.model.ruleset import Limit, Question, RuleSet, leaves

#: The day on which example cases are judged.
TODAY = date(2026, 3, 14)

#: A set pressure, in psi, that any class of tire may have; the pressures found are shares of it.
SET_TO = 55

SIDEWALLS = (
    "205/55R16 91V",
    "LT245/75R16 120/116S",
    "275/70R22.5 148/145M",
    "275/70R22.5 148/145B",
    "265/65R17 112H",
)
#: Prints that tell more: of a tube, of the load range, the construction, the mark for regrooving, another class.
FULLER_SIDEWALLS = (
    "205/55R16 91V TUBELESS",
    "205/55-16 91V TUBE TYPE",
    "ST205/75R14 100M",
    "LT245/75R16 120/116S LOAD RANGE E",
    "275/70R22.5 148/145M LOAD RANGE H REGROOVABLE",
)
ODD_DATES = ("159", "5319", "R 1AB 2318")

#: What each function reads. The sidewall stands alone: what it gives, an answer can give as well.
INPUTS: dict[str, tuple[str, ...]] = {
    "tire-class": (inputs.TIRE_CLASS,),
    **dict.fromkeys(("tire-group", "nail-hole-class"), (inputs.TIRE_CLASS, inputs.LOAD_RANGE)),
    "construction": (inputs.CONSTRUCTION,),
    "load-class": (inputs.LOAD_INDEX,),
    "tube": (inputs.TUBE,),
    "age": (inputs.DOT_CODE,),
    "made-week": (inputs.DOT_CODE,),
    "made-year": (inputs.DOT_CODE,),
    "date-form": (inputs.DOT_CODE,),
    "number-kind": (inputs.DOT_CODE,),
    "lowest-tread": (inputs.TREAD_DEPTH,),
    "gone-over": (inputs.RUN_LOW_INSIDE,),
    "as-told": (inputs.REGROOVE_MARK,),
    "pressure-share": (inputs.FOUND_PRESSURE, inputs.SET_PRESSURE),
    "dew-point": (inputs.SHOP_TEMPERATURE, inputs.HUMIDITY),
    "widest-opening": (inputs.INJURY_SIZE, inputs.INJURY_LENGTH),
    "zone": (inputs.INJURY_ZONE, inputs.OFFSET, inputs.TREAD_WIDTH, inputs.INSIDE_GROOVES),
    "measured-zone": (inputs.INJURY_ZONE, inputs.OFFSET, inputs.TREAD_WIDTH),
    "zone-in-area": (inputs.INJURY_ZONE, inputs.OFFSET),
    "zone-by-area": (inputs.INJURY_ZONE, inputs.OFFSET),
    "length-over-width": (inputs.INJURY_SIZE, inputs.INJURY_LENGTH),
    "cut-by-width": (inputs.INJURY_SIZE, inputs.INJURY_LENGTH),
    **dict.fromkeys(
        (
            "printed-class",
            "printed-load-range",
            "printed-construction",
            "printed-tube",
            "regroovable-mark",
            "section-width",
            "overall-diameter",
            "load-single",
            "load-dual",
            "top-speed",
        ),
        (inputs.SIDEWALL,),
    ),
}

#: Answers that the examples of a question rest on, unless the case says otherwise; each set is tried.
CONTEXT: dict[str, tuple[dict[str, Answer], ...]] = {
    "zone": tuple({inputs.TIRE_CLASS: Choice(name)} for name in ("passenger", "medium-truck")),
    **dict.fromkeys(
        ("zone-in-area", "zone-by-area"),
        tuple(
            {inputs.SIDEWALL: Text(f"{size} 91V"), inputs.INJURY_SIZE: exactly(4, "mm")}
            for size in ("205/55R16", "155/70R14", "195/65R15")
        ),
    ),
    "cut-by-width": tuple({inputs.SIDEWALL: Text(f"{size} 91V")} for size in ("205/55R16", "265/65R17")),
}

#: Functions that print and answer decide together, with what else the examples rest on: a print that may go against it.
BESIDE_PRINT: dict[str, tuple[dict[str, Answer], ...]] = {
    **dict.fromkeys(
        ("tire-class", "tire-group", "nail-hole-class"),
        tuple({inputs.SIDEWALL: Text(print_)} for print_ in (*SIDEWALLS[:3], FULLER_SIDEWALLS[2])),
    ),
    "construction": tuple({inputs.SIDEWALL: Text(print_)} for print_ in FULLER_SIDEWALLS[:2]),
    "tube": tuple({inputs.SIDEWALL: Text(print_)} for print_ in FULLER_SIDEWALLS[:2]),
}

#: Offsets on either side of each function's edges, and at them, for the widths above.
_OFFSETS = {
    "zone": ("0", "72", "145/2", "100", "115"),
    "zone-in-area": ("0", "89/2", "45", "491/8", "62", "279/4", "70", "100"),
}
_MORE_FIGURES = {"cut-by-width": ("53/2", "27")}


def answers_for(question: Question, rules: RuleSet, limits: Iterable[Limit], function: str = "") -> list[Answer]:
    """Answers to a question that together stand for every known answer, then those in doubt, "can't tell" last."""
    known = list(_known(question, rules, list(limits), function))
    return [*dict.fromkeys(known), *dict.fromkeys(_doubtful(question, list(limits))), CANT_TELL]


def _known(question: Question, rules: RuleSet, limits: list[Limit], function: str) -> Iterator[Answer]:
    if question.kind == "choice":
        yield from (Choice(choice.id) for choice in question.choices)
    elif question.kind == "choices":
        yield Choices(frozenset())
        yield from (Choices(frozenset({choice.id})) for choice in question.choices)
    elif question.kind == "text":
        words = _sidewalls(limits) if question.id == inputs.SIDEWALL else (*_dates(limits), *ODD_DATES)
        yield from (Text(word) for word in words)
    elif question.id == inputs.OFFSET and function in _OFFSETS:
        yield from (exactly(figure, "mm") for figure in _OFFSETS[function])
    elif question.id == inputs.TREAD_WIDTH:
        yield exactly(220, "mm")
    elif question.id == inputs.SET_PRESSURE:
        yield from set_pressures(rules)
    elif question.id == inputs.FOUND_PRESSURE:
        here = list(_regions(question, limits))
        each = (found.low * of.low / SET_TO for of in set_pressures(rules) for found in here)
        most = question.plausible.to("psi").high if question.plausible else Fraction(1000)
        yield from (exactly(found, "psi") for found in each if found <= most)
    else:
        for measure in _regions(question, limits):
            yield Readings((measure,)) if question.kind == "readings" else measure
        yield from (exactly(figure, "mm") for figure in _MORE_FIGURES.get(function, ()))


def set_pressures(rules: RuleSet) -> list[Measure]:
    """The likely set pressure, then one in each region of the figures that it is held against."""
    question, every = (
        rules.questions.get(inputs.SET_PRESSURE),
        (leaf for r in rules.rulings() for leaf in leaves(r.when)),
    )
    own = [
        rules.limits[each.operand[0]] for each in every if each.subject == inputs.SET_PRESSURE and each.test == "beyond"
    ]
    return [exactly(SET_TO, "psi"), *(_regions(question, own) if question is not None and own else ())]


def _sidewalls(limits: list[Limit]) -> Iterator[str]:
    """A print for each class, and truck prints with the loads and speeds on either side of each figure and at it."""
    yield from (*SIDEWALLS, *FULLER_SIDEWALLS)
    loads = {load_kg(index): index for index in range(130, 160)}
    speeds = {Fraction(each.kmh): name for name, each in SPEED_SYMBOLS.items() if each.rank}
    for limit in limits:
        for figure in limit.figures:
            if figure.quantity == "mass":
                yield from (f"275/70R22.5 {loads[load]}M" for load in _around(figure.to("kg").low, loads))
            elif figure.quantity == "speed":
                yield from (f"275/70R22.5 148/145{speeds[v]}" for v in _around(figure.to("km/h").low, speeds))


def _around(figure: Fraction, steps: Iterable[Fraction]) -> list[Fraction]:
    """The nearest step at or below a figure, the one below that, and the nearest above."""
    ordered = sorted(steps)
    below = [step for step in ordered if step <= figure]
    return [*below[-2:], *[step for step in ordered if step > figure][:1]]


def _dates(limits: list[Limit]) -> Iterator[str]:
    """Date codes a month on either side of each age limit, and a new one."""
    days = {30}
    for limit in limits:
        years = float(limit.figures[0].low) if limit.figures[0].quantity == "time" else 0
        days |= {round(years * 365.25) - 40, round(years * 365.25) + 40} if years else set()
    for count in sorted(days):
        year, week, _ = (TODAY - timedelta(days=count)).isocalendar()
        yield f"{min(week, 52):02d}{year % 100:02d}"


def _families(question: Question, limits: list[Limit]) -> dict[str, list[Fraction]]:
    """The figures that a reading is held against, for each unit family in which it may be typed."""
    units = [question.unit or "deg"]
    found: dict[str, list[Fraction]] = {}
    if any(limit.figures[0].quantity == "share" for limit in limits):
        return {"psi": sorted({limit.figures[0].low * SET_TO / 100 for limit in limits})}
    units += [figure.unit for limit in limits for figure in limit.figures]
    for unit in dict.fromkeys(Measure(Fraction(0), Fraction(0), unit).compared_in for unit in units):
        like = Measure(Fraction(0), Fraction(0), unit)
        if all(limit.figures[0].quantity == like.quantity for limit in limits):
            found[unit] = sorted({limit.figure_for(like).to(unit).low for limit in limits})
    return found or {units[0]: []}


def _regions(question: Question, limits: list[Limit]) -> Iterator[Measure]:
    for unit, cuts in _families(question, limits).items():
        for low, high in _stretches(question, unit, cuts):
            yield exactly(low, unit) if low == high else exactly((low + high) / 2, unit)


def _stretches(question: Question, unit: str, cuts: list[Fraction]) -> Iterator[tuple[Fraction, Fraction]]:
    """Each figure as a point, and the open stretch on either side of it, inside the plausible range."""
    least, most = Fraction(0), Fraction(360 if question.kind == inputs.CLOCK_KIND else 1000)
    if question.plausible is not None and question.plausible.quantity == Measure(least, least, unit).quantity:
        plausible = question.plausible.to(unit)
        least, most = plausible.low, plausible.high
    inside = [cut for cut in cuts if least <= cut <= most]
    for below, above in zip([least, *inside], [*inside, most], strict=True):
        if below < above:
            yield below, above
        if above in inside:
            yield above, above


def _doubtful(question: Question, limits: list[Limit]) -> Iterator[Answer]:
    """A reading from each region to each farther one; those that begin or end at a figure itself see no more."""
    if question.kind not in ("measure", "readings") or question.id in (
        inputs.TREAD_WIDTH,
        inputs.SET_PRESSURE,
        inputs.OFFSET,
    ):
        return
    for unit, cuts in _families(question, limits).items():
        regions = list(_stretches(question, unit, cuts))
        ends = [(low + high) / 2 for low, high in regions if low < high or (low, high) in (regions[0], regions[-1])]
        for low, high in combinations(ends, 2):
            measure = Measure(low, high, unit)
            yield Readings((measure,)) if question.kind == "readings" else measure
