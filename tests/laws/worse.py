"""Ways in which a tire can be worse than another, as pairs of case files that differ in that alone."""

from __future__ import annotations

import copy
from collections.abc import Callable
from fractions import Fraction
from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from tests.laws.cases import cases, part, typed, units_typed
from tests.laws.support import NAIL_HOLE, CaseData, base, rules

Pair = tuple[CaseData, CaseData]
Draw = st.DrawFn


def _figures(draw: Draw, name: str) -> tuple[str, str]:
    """Two figures for a question in one unit, the lower first; often one on a limit."""
    question = rules().questions[name]
    unit = draw(st.sampled_from(units_typed(question.quantity)))
    near = [
        figure.to(unit).low
        for limit in rules().limits.values()
        if limit.worse
        for figure in limit.figures
        if figure.quantity == question.quantity and figure.to(unit).low > 0
    ]
    plausible = question.plausible
    assert plausible is not None
    here = plausible.to(unit)
    figure = draw(st.sampled_from(sorted(set(near)))) if near and draw(st.booleans()) else here.high / 30
    more = figure * Fraction(draw(st.integers(101, 300)), 100)
    assume(here.low <= figure and more <= here.high)
    return typed(figure, unit), typed(more, unit)


def _set(case: CaseData, path: tuple[Any, ...], better: Any, worse: Any) -> Pair:
    """The case with two answers at one place."""
    pair = (copy.deepcopy(case), copy.deepcopy(case))
    for each, value in zip(pair, (better, worse), strict=True):
        holder: Any = each
        for name in path[:-1]:
            holder = holder[name]
        holder[path[-1]] = value
    return pair


def _injury(draw: Draw, case: CaseData) -> int:
    return draw(st.integers(0, len(case["injuries"]) - 1))


def _higher(name: str) -> Callable[[Draw, CaseData], Pair]:
    def pair(draw: Draw, case: CaseData) -> Pair:
        low, high = _figures(draw, name)
        return _set(case, ("injuries", _injury(draw, case), name), low, high)

    return pair


def larger_angle(draw: Draw, case: CaseData) -> Pair:
    """A larger angle; where units have to be kept apart it moves the inner end, so there is one unit only."""
    case = {**case, "injuries": case["injuries"][:1], "answers": {**case["answers"], "earlier-repairs": []}}
    return _higher("injury-angle")(draw, case)


def shallower_tread(draw: Draw, case: CaseData) -> Pair:
    low, high = _figures(draw, "tread-depth")
    if draw(st.booleans()):
        return _set(case, ("answers", "tread-depth"), [high], [high, low])
    return _set(case, ("answers", "tread-depth"), high, low)


def lower_pressure(draw: Draw, case: CaseData) -> Pair:
    low, high = _figures(draw, "found-pressure")
    return _set(case, ("answers", "found-pressure"), high, low)


def higher_bulge(draw: Draw, case: CaseData) -> Pair:
    case = {**case, "answers": {**case["answers"], "findings": ["bulge"], "bulge-mark": "yes"}}
    low, high = _figures(draw, "bulge-height")
    return _set(case, ("answers", "bulge-height"), low, high)


def deeper_cut(draw: Draw, case: CaseData) -> Pair:
    index = _injury(draw, case)
    case = copy.deepcopy(case)
    case["injuries"][index] |= {"injury-depth": "rubber-only", "injury-zone": "sidewall"}
    low, high = _figures(draw, "cut-depth")
    return _set(case, ("injuries", index, "cut-depth"), low, high)


def further_out(draw: Draw, case: CaseData) -> Pair:
    """Crown, shoulder, sidewall, of an injury that goes right through."""
    index = _injury(draw, case)
    case = copy.deepcopy(case)
    case["injuries"][index]["injury-depth"] = "through"
    better, worse = draw(st.sampled_from([("crown", "shoulder"), ("crown", "sidewall"), ("shoulder", "sidewall")]))
    return _set(case, ("injuries", index, "injury-zone"), better, worse)


def further_out_by_tape(draw: Draw, case: CaseData) -> Pair:
    """A larger offset; of one injury alone, as it moves units apart."""
    case = {
        **case,
        "injuries": [dict(case["injuries"][0])],
        "answers": {**case["answers"], "earlier-repairs": []},
    }
    case["injuries"][0] |= {"injury-depth": "through", "tread-width": "220 mm"}
    near = draw(st.integers(0, 100))
    far = near + draw(st.integers(1, 30))
    return _set(case, ("injuries", 0, "offset"), f"{near} mm", f"{far} mm")


def _one_more(draw: Draw, given: Any, name: str) -> Any:
    """Several findings with one more, those looked for kept as they are."""
    assume(given != "cant-tell")
    choices = [choice.id for choice in rules().questions[name].choices]
    found = given if isinstance(given, list) else given.get("present", [])
    rest = [choice for choice in choices if choice not in found]
    more = draw(st.sampled_from(rest))
    if isinstance(given, dict):
        absent = [choice for choice in given.get("absent", []) if choice != more]
        return {"present": [*found, more], "absent": absent}
    return [*(choice for choice in found if choice != "none"), more]


def one_more_finding(draw: Draw, case: CaseData) -> Pair:
    given = case["answers"].setdefault("findings", ["none"])
    return _set(case, ("answers", "findings"), given, _one_more(draw, given, "findings"))


def one_more_sign(draw: Draw, case: CaseData) -> Pair:
    index = _injury(draw, case)
    given = case["injuries"][index].setdefault("inside-signs", ["none"])
    return _set(case, ("injuries", index, "inside-signs"), given, _one_more(draw, given, "inside-signs"))


def one_more_injury(draw: Draw, case: CaseData) -> Pair:
    more = draw(part("injuries", NAIL_HOLE, 3))
    return case, {**case, "injuries": [*case["injuries"], more]}


def one_more_trouble(draw: Draw, case: CaseData) -> Pair:
    name, better, worse = draw(
        st.sampled_from(
            [
                ("run-low", "no", "yes"),
                ("demounted", "yes", "no"),
                ("sealant", "no", "yes"),
                ("self-supporting", "no", "yes"),
                ("earlier-repairs", [{"sound": "yes"}], [{"sound": "no"}]),
                ("earlier-repairs", [], [{"sound": "no"}]),
                ("retread", "recapped", "regrooved"),
                ("retread", "no", "recapped"),
            ]
        )
    )
    return _set(case, ("answers", name), better, worse)


def closer_units(draw: Draw, case: CaseData) -> Pair:
    """Two new units on one line round the tire or across it, the second nearer to the first."""
    truck = base("medium-truck" if draw(st.booleans()) else "passenger")
    answers = truck["answers"] | {"unit-length": "70 mm", "unit-width": "60 mm"}
    answers["sidewall"] = "275/70R22.5 148/145M" if answers["vehicle"] == "truck" else "205/55R16 91V"
    near = draw(st.integers(0, 40))
    far = near + draw(st.integers(1, 20))
    across = draw(st.booleans())
    injury = {**NAIL_HOLE, "injury-zone": "crown"}
    pair = []
    for gap in (far, near):
        place = {"clock": "0 deg", "offset": f"{gap * 2} mm"} if across else {"clock": f"{gap} deg", "offset": "0 mm"}
        injuries = [{**injury, "clock": "0 deg", "offset": "0 mm"}, {**injury, **place}]
        pair.append({**truck, "answers": answers, "injuries": injuries})
    return pair[0], pair[1]


WAYS: dict[str, Callable[[Draw, CaseData], Pair]] = {
    "larger size": _higher("injury-size"),
    "larger length": _higher("injury-length"),
    "larger angle": larger_angle,
    "shallower tread": shallower_tread,
    "lower found pressure": lower_pressure,
    "higher bulge": higher_bulge,
    "deeper sidewall cut": deeper_cut,
    "further out": further_out,
    "further out by tape": further_out_by_tape,
    "one more finding": one_more_finding,
    "one more sign inside": one_more_sign,
    "one more injury": one_more_injury,
    "one more trouble": one_more_trouble,
    "closer units": closer_units,
}


@st.composite
def pairs(draw: Draw, way: str) -> Pair:
    """A case and one that is worse in this way alone."""
    return WAYS[way](draw, draw(cases(injuries=(1, 1, 2, 3))))
