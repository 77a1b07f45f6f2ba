"""What was read of the files of a rule set, built into the model's objects; what no single key can tell is checked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import yaml
from msgspec.structs import replace

from advisor.loader.builder import Builder
from advisor.loader.phrase_file import build_phrases
from advisor.loader.reader import Diagnostics
from advisor.loader.rule_file_schema import ADDED_TO_STEPS, FILES
from advisor.loader.schema_types import Reading, Values
from advisor.model.inputs import CLOCK_KIND, TEXT
from advisor.model.problems import Misread, Place, Problem
from advisor.model.quantity import Measure, read_measure
from advisor.model.repair_units import UnitRow
from advisor.model.ruleset import (
    About,
    Basis,
    CantTellRule,
    Caution,
    ChoiceText,
    Edge,
    Ending,
    Limit,
    Method,
    Node,
    NotOrdered,
    Part,
    Question,
    Restriction,
    Ruling,
    Source,
    Step,
    Word,
    WorkedOut,
    limit_tested,
)

#: Published pairs such as 1/4 in and 6 mm differ by rounding; more than this is a slip.
FIGURES_AGREE_WITHIN = 12
Build = Callable[[Any, Builder], None]


_END = "end"
#: What is expected where a former id leads to two, and what to do.
FORMER_ID_TAKEN = ("an id that nothing bears any more, given once", "take it out, or correct it")


def _entries(kind: str, make: Callable[..., Any]) -> Build:
    """Entries by id, each of which becomes one object of the model, or None where it can't."""

    def build(read: dict[str, Values], draft: Builder) -> None:
        home = getattr(draft, kind)
        for name, values in read.items():
            if (made := make(name, _with_basis(values), draft)) is not None:
                home[name] = made

    return build


def _just(model: Callable[..., Any]) -> Callable[..., Any]:
    """An object whose fields are just what was read."""
    return lambda name, values, draft: model(id=name, **values)


def _with_basis(values: Values) -> Values:
    if "standing" in values:
        values["basis"] = Basis(values.pop("standing"), values.pop("sources"), values.pop("clause"))
    return values


def _about(values: Values, draft: Builder) -> None:
    draft.about = About(**{**values, "spelled": tuple(values["spelled"].items())})


def _limit(name: str, values: Values, draft: Builder) -> Limit | None:
    values["figures"] = tuple(figure for figure in values["figures"] if figure)
    if not values["figures"]:
        draft.failed.add(name)
        return None
    limit = Limit(id=name, **values)
    for problem_id, wrong, expected, do in _unfit_figures(limit):
        values.problem(problem_id, "value", f"{values.what} {wrong}", expected, do)
    return limit


def _unfit_figures(limit: Limit) -> list[tuple[str, str, str, str]]:
    """What is wrong with a limit's figures: the problem, what was found, what was expected, what to do."""
    figures, found = limit.figures, []
    if len({figure.quantity for figure in figures}) > 1:
        wrong = "in units of different quantities"
        found.append(("mixed-units", wrong, "figures of one quantity", "correct the units"))
    if len({figure.compared_in for figure in figures}) < len(figures):
        expected = "at most one figure in metric and one in inch units"
        found.append(("same-unit-twice", "with two figures in one unit family", expected, "take one out"))
    if _far_apart(figures):
        wrong = f"with figures that do not say the same: {' and '.join(str(figure) for figure in figures)}"
        expected = f"figures within {FIGURES_AGREE_WITHIN} % of each other"
        found.append(("figures-apart", wrong, expected, "correct the unit or the figure"))
    if limit.worse and any(not figure.exact for figure in figures):
        expected = "one figure where readings are held against it"
        found.append(("range-as-limit", "with a range", expected, 'give one figure or drop "worse"'))
    return found


def _far_apart(figures: tuple[Measure, ...]) -> bool:
    """Whether the figures printed in two units differ by more than rounding can explain."""
    lows = [figure.to(figures[0].unit).low for figure in figures if figure.quantity == figures[0].quantity]
    return max(lows) - min(lows) > abs(max(lows)) * FIGURES_AGREE_WITHIN / 100


def _question(name: str, values: Values, draft: Builder) -> Question:
    values["key"] = values["key"] or name
    values["kind"] = values["kind"] or TEXT
    if values["kind"] == CLOCK_KIND:
        values["quantity"] = "angle"
    _check_former_choices(values["choices"])
    values["choices"] = tuple(
        ChoiceText(choice, **says) if isinstance(says, Values) else ChoiceText(choice, says)
        for choice, says in values["choices"].items()
    )
    values["not_ordered"] = tuple(NotOrdered(**each) for each in values["not_ordered"])
    values["figures_said"] = _figures_said(values["figures_said"], draft)
    return Question(id=name, **values)


def _check_former_choices(choices: dict[str, Any]) -> None:
    """No choice had an id formerly that one of the same question bears, or that another one had."""
    told = dict.fromkeys(choices, "is a choice now")
    for choice, says in choices.items():
        for old in says["formerly"] if isinstance(says, Values) else ():
            if old in told:
                found = f'"{old}" as a former id of {says.what}, which {told[old]}'
                says.problem("former-id-taken", "formerly", found, *FORMER_ID_TAKEN)
            told.setdefault(old, f"{choice} had formerly too")


def _figures_said(words: dict[str, tuple[str, ...]], draft: Builder) -> dict[str, Measure]:
    """Words that stand for a limit's first figure; limits are read before questions."""
    said: dict[str, Measure] = {}
    for name in words:
        if (limit := draft.limits.get(name)) is not None:
            figure = limit.figures[0]
            named = replace(figure, typed=f"{figure}, {limit.basis.standing}")
            said |= {word.casefold(): named for word in words[name]}
    return said


def _method(name: str, values: Values, draft: Builder) -> Method:
    listed = draft.listed[name] = values["steps"]
    seen: set[str] = set()
    for each in listed:
        step = each.get("step") or each.get("id", "")
        each.place_part(f"{name}/{step}")
        if step in seen and "step" in each:
            found, do = f'"{step}" a second time in {values.what}', "take one out; what is done twice is two steps"
            each.problem("duplicate-step", "", found, "each step once", do)
        seen.add(step)
        other, notes = draft.places.get(f"steps.yaml#{step}"), each.at.diagnostics
        if "step" not in each and other is not None and Path(other.file).parent == Path(notes.file).parent:
            _step_again(step, notes, notes.places[f"{name}/{step}"], other)
    values["steps"] = steps_of(listed, draft)
    values["without"] = {stage: each["because"] for each in values["without"] for stage in each["stages"]}
    return Method(id=name, **values)


def _terms(read: dict[str, Values], draft: Builder) -> None:
    """Terms, each read when it is first used or last of all, since they use each other and limits."""
    for name, values in read.items():
        if "when" in values.nodes:
            draft.unread[name] = values
        else:
            draft.failed.add(name)


def _step(name: str, values: Values, draft: Builder) -> Step:
    notes = values.at.diagnostics
    for method, listed in draft.listed.items():
        if any(each.get("id") == name for each in listed):
            _step_again(name, notes, notes.places[name], draft.places[f"methods.yaml#{method}/{name}"])
    return Step(id=name, **values)


def _step_again(step: str, notes: Diagnostics, at: Place, other: Place) -> None:
    """Else what one of them is given later, a caution say, would not count where the other stands."""
    found, do = f'the step "{step}" written out a second time', "list it by its id, or word it anew in its method"
    notes.problems.append(
        Problem("step-again", at, found, "each step in one place", do, see=((other, "written out here as well"),))
    )


def steps_of(listed: tuple[Values, ...], draft: Builder) -> tuple[Step, ...]:
    """The steps that a method lists; a name that leads nowhere is noted like any other."""
    made = [_step_of(_with_basis(each), draft) for each in listed]
    return tuple(step for step in made if step is not None)


def _step_of(here: Values, draft: Builder) -> Step | None:
    """A step as a method has it: its own words in place of the step's, the names that it adds ahead of the step's."""
    if "step" not in here:
        return Step(**here)
    step = draft.steps.get(here["step"])
    if step is None:
        return None
    if here["says"] and not here["basis"].standing:
        here["basis"] = step.basis  # of the base; an overlay's later one is not what these words rest on
    own = {key: here[key] for key in ("says", "name", "stages") if here[key]}
    if here["basis"].standing:
        own["basis"] = here["basis"]
    added = {key: tuple(dict.fromkeys((*here[key], *getattr(step, key)))) for key in ADDED_TO_STEPS if here[key]}
    return replace(step, **own, **added)


def _unit(name: str, values: Values, draft: Builder) -> UnitRow | None:
    for key in ("groups", "zones"):
        values[key] = tuple(word for word in values[key] if word)
    whole = all(values[key] for key in ("injury", "angle", "length", "width", "stem"))
    return UnitRow(id=name, **values) if whole else None


def _paths(values: Values, draft: Builder) -> None:
    draft.parts += [Part(id=name, **part) for name, part in values["parts"].items()]
    draft.any_order += values["any_order"].values()
    for name, node in values["nodes"].items():
        draft.nodes[name] = build_node(name, node, ways_on(name, node), draft)


def build_node(name: str, values: Values, ways: tuple[Edge, ...], draft: Builder) -> Node:
    """A node of the graph."""
    return Node(
        name,
        values["part"],
        values["asks"],
        values["optional"] != "no",
        values["instead"],
        values["unless"],
        build_cant_tell(values["cant_tell"], values["asks"], draft),
        build_rulings(name, values, draft),
        ways,
        values["optional"] == "in-files",
    )


def ways_on(name: str, values: Values) -> tuple[Edge, ...]:
    """`next: node`, `next: end`, or a list of `{when, go}` that ends with a `{go}`."""
    there = values["next"]
    if isinstance(there, str):
        if there:
            values.place_part(f"{name}/way-1", "next")
        return (Edge(None, there),) if there else ()
    for number, way in enumerate(there, 1):
        way.place_part(f"{name}/way-{number}")
    if [way["when"] is None for way in there] != [False] * (len(there) - 1) + [True]:
        found = f"{values.what} whose ways on do not end with just one otherwise"
        do = "add {go: node} as the last item"
        values.problem("ways-on", "next", found, "a last item with only go", do)
    return tuple(Edge(way["when"], way["go"] or _END) for way in there)


def build_rulings(node: str, values: Values, draft: Builder) -> tuple[Ruling, ...]:
    """The rulings of a node; one whose condition can't be read is left out, which is noted like all that is wrong."""
    made = [_ruling(node, each, draft) for each in values["rulings"]]
    return tuple(ruling for ruling in made if ruling is not None)


def _ruling(node: str, values: Values, draft: Builder) -> Ruling | None:
    doubt: Any = values["in_doubt"]
    narrowed: dict[str, Any] = doubt if isinstance(doubt, Values) else {"same_for": (), "ending": ""}
    doubt = "" if isinstance(doubt, Values) else doubt
    _check_ruling(values, doubt)
    name = values["id"] or next(iter((values["ending"], *values["restrictions"], *values["cautions"])), "")
    values.place_part(f"{node}/{name}")
    if values["when"] is None:
        return None
    _with_basis(values)
    if not values["basis"].standing:
        values["basis"] = _basis_of_limit(values["when"], draft)
    doubt = doubt or ("same" if values["doubts"] else "")
    fixed = {"id": name, "in_doubt": doubt, "same_for": frozenset(narrowed["same_for"])}
    return Ruling(node=node, **{**values, **fixed, "doubt_ending": narrowed["ending"]})


def _check_ruling(values: Values, doubt: str) -> None:
    """A ruling brings something, and rests on something: a limit that it holds a reading against, or its own."""
    bars, warns = bool(values["ending"] or values["restrictions"]), bool(values["cautions"])
    given = any(key in values.nodes for key in ("standing", "source", "clause"))
    if not (limit_tested(values["when"]) or given) and (bars or values["allows"]):
        for key in ("standing", "source", "clause"):
            values.problem("missing-key", "", f'{values.what} without "{key}"', f'the key "{key}"', "add it")
    if not (bars or warns or values["allows"]):
        found = f"{values.what} with none of ending, restriction, caution and allows"
        values.problem("ruling-brings-nothing", "", found, "one of them, or several", "say what it brings")
    elif bars and values["allows"]:
        found = f'{values.what} with "allows" beside an ending or a restriction'
        do = "write a ruling for each"
        values.problem("allows-and-bars", "allows", found, "cautions only beside allows", do)
    if doubt == "never" and (bars or values["allows"] or not warns):
        found = f'"never" as "in-doubt" of {values.what}, which brings {"no caution" if not warns else "more"}'
        expected = "same, an ending, or {same-for: [question, …]}"
        values.problem("doubt-never-counts", "in-doubt", found, expected, "doubt may be passed over in a caution only")


def _basis_of_limit(when: Any, draft: Builder) -> Basis:
    leaf = limit_tested(when)
    limit = draft.limits.get(leaf.operand[0]) if leaf and leaf.operand else None
    return limit.basis if limit else Basis("", (), "")


def build_cant_tell(read: Any, asks: str, draft: Builder) -> CantTellRule:
    """An ending, `goes-on`, `{counts-as: choice or measure}` or `{ending: …, because: …}`."""
    if not isinstance(read, Values):
        return CantTellRule(ending="" if read == "goes-on" else read)
    says, question = read["counts_as"], draft.questions.get(asks)
    if says and (question is None or not question.quantity):
        read.at.refer(f"choice:{asks}", says, read.nodes["counts-as"], read.what)
    elif says and question is not None:
        try:
            read_measure(says, question.quantity)
        except Misread as error:
            read.at.diagnostics.misread("bad-figure", read.nodes["counts-as"], error)
    return CantTellRule(**read)


_BUILDS: dict[str, Build] = {
    "about.yaml": _about,
    "sources.yaml": _entries("sources", _just(Source)),
    "terms.yaml": _terms,
    "limits.yaml": _entries("limits", _limit),
    "questions.yaml": _entries("questions", _question),
    "values.yaml": _entries("values", _just(WorkedOut)),
    "endings.yaml": _entries("endings", _just(Ending)),
    "restrictions.yaml": _entries("restrictions", _just(Restriction)),
    "cautions.yaml": _entries("cautions", _just(Caution)),
    "steps.yaml": _entries("steps", _step),
    "methods.yaml": _entries("methods", _method),
    "paths.yaml": _paths,
    "words.yaml": _entries("words", _just(Word)),
    "phrases.yaml": build_phrases,
    "units.yaml": _entries("units", _unit),
}


def read_file(name: str, node: yaml.Node, diagnostics: Diagnostics, draft: Builder) -> None:
    """Reads a file of a rule set that stands alone, or one that an overlay has like it, into the draft."""
    _BUILDS[name](FILES[name].schema.read(node, Reading(diagnostics, draft), name), draft)
