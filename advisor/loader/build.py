"""What was read of the files of a rule set, built into the model's objects; what no single key can tell is checked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import yaml
from msgspec.structs import replace

from advisor.loader.answer_codec import read_answer
from advisor.loader.asked_files import asked_kind, ready_answer, subject
from advisor.loader.builder import Builder
from advisor.loader.phrase_file import build_phrases
from advisor.loader.reader import Diagnostics
from advisor.loader.routing import asked_unless, asked_when, joined, ways_in_part
from advisor.loader.rule_file_schema import ADDED_TO_STEPS, FILES
from advisor.loader.schema_types import Reading, Values
from advisor.model.decision_graph import END
from advisor.model.inputs import CLOCK_KIND, TEXT
from advisor.model.limits import Later
from advisor.model.problems import Misread, Place, Problem, shown
from advisor.model.quantity import Measure, read_measure
from advisor.model.repair_units import UnitRow
from advisor.model.ruleset import (
    About,
    Basis,
    CantTellRule,
    Caution,
    ChoiceText,
    Condition,
    Conflict,
    Edge,
    Ending,
    Limit,
    LimitRow,
    LimitTable,
    LookedFor,
    Method,
    Node,
    NotOrdered,
    OlderCases,
    Part,
    Question,
    RecordForm,
    Restriction,
    Ruling,
    Source,
    Step,
    StepField,
    Word,
    WorkedOut,
    leaves,
    limit_tested,
)

#: Published pairs such as 1/4 in and 6 mm differ by rounding; more than this is a slip.
FIGURES_AGREE_WITHIN = 12
Build = Callable[[Any, Builder], None]

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
    values.place_part("edition", "edition")
    record = values.pop("record") or None
    if record:
        record = RecordForm(**{**_with_basis(record), "lines": tuple(record["lines"].items())})
    conflicts = tuple(Conflict(**each) for each in values.pop("conflicts"))
    looked_for = tuple(LookedFor(**each) for each in values.pop("looked_for"))
    read = {"record": record, "conflicts": conflicts, "looked_for": looked_for}
    draft.about = About(**{**values, **read, "spelled": tuple(values["spelled"].items())})


def _limit(name: str, values: Values, draft: Builder) -> Limit | None:
    if "rows" in values:
        _table(name, values, draft)
        return None
    if name in draft.tables:
        _note_other_form(values, f'the limit "{name}" in place of a table')
        return None
    values["figures"] = tuple(figure for figure in values["figures"] if figure)
    if not values["figures"]:
        draft.failed.add(name)
        return None
    changes = values.pop("later")
    limit = Limit(id=name, **values)
    for problem_id, wrong, expected, do in _unfit_figures(limit):
        values.problem(problem_id, "value", f"{values.what} {wrong}", expected, do)
    return replace(limit, later=_later(limit, changes)) if changes else limit


def _later(limit: Limit, changes: Values) -> tuple[Later, ...]:
    """What a limit is from each day on; what is not said there is as before."""
    found: list[Later] = []
    for text, each in changes.items():
        _with_basis(each)
        day = _day(text)
        figures = tuple(figure for figure in each["figures"] if figure)
        if day is None:
            _note_day(changes, text, "which is no day", "a day of the calendar, such as 2027-01-01", "bad-date")
        elif found and day <= found[-1].day:
            _note_day(changes, text, f"after {found[-1].day}", "the days in their order", "days-out-of-order")
        elif figures:
            before = found[-1].limit if found else limit
            own = {key: each[key] for key in ("says", "note") if each[key]}
            own |= {"basis": each["basis"]} if each["basis"].standing else {}
            now = replace(before, figures=figures, **own)
            _check_later(now, before, each)
            found.append(Later(day, now))
    return tuple(found)


def _check_later(now: Limit, before: Limit, each: Values) -> None:
    for problem_id, wrong, expected, do in _unfit_figures(now):
        each.problem(problem_id, "value", f"{each.what} {wrong}", expected, do)
    if now.figures[0].quantity != before.figures[0].quantity:
        found = f"{each.what} with a figure of {now.figures[0].quantity} after one of {before.figures[0].quantity}"
        each.problem("mixed-units", "value", found, "figures of one quantity", "correct the units")


def _note_day(changes: Values, text: str, wrong: str, expected: str, problem_id: str) -> None:
    found, do = f'"{shown(text, 40)}" in {changes.what}, {wrong}', "correct it"
    node = changes.nodes[text]
    key = next((key for key, value in changes.node.value if value is node), node)
    changes.at.diagnostics.add(problem_id, key, found, expected, do)


def _day(text: str) -> date | None:
    """A day written as 2027-01-01; None for anything else."""
    try:
        return date.fromisoformat(text) if len(text) == len("2027-01-01") and text.isascii() else None
    except ValueError:
        return None


def _table(name: str, values: Values, draft: Builder) -> None:
    """A limit chosen by its first row that holds; conditions that name it are read after it."""
    if name in draft.tables or name in draft.limits:
        _note_other_form(values, f'the table "{name}" in place of what the base has')
        return
    if not values["rows"] and "by" in values.nodes:
        values.problem("missing-key", "by", f"{values.what} without a row", "a row for each case", "add them")
    rows = tuple(LimitRow(**row) for row in values["rows"] if row["when"] is not None and row["limit"])
    if len(rows) < len(values["rows"]) or not rows:
        draft.failed.add(name)
    else:
        draft.tables[name] = LimitTable(name, values["says"], rows, values["note"])


def _note_other_form(values: Values, found: str) -> None:
    """An overlay makes the limits of rows stricter, and leaves the choice among them."""
    do = "take it out, or make the limit of a row stricter"
    values.problem("changed-meaning", "", found, "the base's own table", do)


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
    values.place_part(f"{name}/worse-order", "worse-order")
    values["choices"] = tuple(
        ChoiceText(choice, **says) if isinstance(says, Values) else ChoiceText(choice, says)
        for choice, says in values["choices"].items()
    )
    values["not_ordered"] = tuple(NotOrdered(**each) for each in values["not_ordered"])
    values["figures_by"] = _figures_by(values["figures_said"], draft)
    values["figures_said"] = {word: draft.limits[limit].said() for word, limit in values["figures_by"].items()}
    older = values["older_cases"]
    values["older_cases"] = OlderCases(**older) if isinstance(older, Values) else None
    question = Question(id=name, **values)
    if isinstance(older, Values) and "counts-as" in older.nodes:
        read_answer(question, older.nodes["counts-as"], older.at.diagnostics)
    return question


def _check_former_choices(choices: dict[str, Any]) -> None:
    """No choice had an id formerly that one of the same question bears, or that another one had."""
    told = dict.fromkeys(choices, "is a choice now")
    for choice, says in choices.items():
        for old in says["formerly"] if isinstance(says, Values) else ():
            if old in told:
                found = f'"{old}" as a former id of {says.what}, which {told[old]}'
                says.problem("former-id-taken", "formerly", found, *FORMER_ID_TAKEN)
            told.setdefault(old, f"{choice} had formerly too")


def _figures_by(words: dict[str, tuple[str, ...]], draft: Builder) -> dict[str, str]:
    """Words that stand for a limit's first figure, and that limit; limits are read before questions."""
    return {word.casefold(): name for name in words if name in draft.limits for word in words[name]}


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
    return Step(id=name, **{**values, "fields": _fields(values)})


def _fields(values: Values) -> tuple[StepField, ...]:
    return tuple(StepField(**each) for each in values["fields"])


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
        return Step(**{**here, "fields": _fields(here)})
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
    for name, part in values["parts"].items():
        _part(name, part, draft)


def _part(name: str, values: Values, draft: Builder) -> None:
    """A part and its nodes; it begins with the first of them, and one that asks for more has at least one."""
    nodes, more, any_order = values["nodes"], values["more"], values["any_order"]
    _check_part(values)
    draft.parts.append(Part(name, values["over"], next(iter(nodes), END), asked_when(values), more, bool(more)))
    draft.any_order += any_order.values()
    for (node, said), ways in zip(nodes.items(), ways_in_part(nodes), strict=True):
        unless = joined("any", asked_unless(values), asked_unless(said))
        draft.nodes[node] = build_node(node, said, name, unless, ways, draft)


def _check_part(values: Values) -> None:
    """A part has nodes, the first of which waits for nothing, and what may be asked in any order is asked in it."""
    nodes = values["nodes"]
    first = next(iter(nodes.values()), None)
    if first is not None and asked_when(first) is not None:
        found = f'"when" of "asked" of {first.what}, with which {values.what} begins, so that no node leads past it'
        expected = "a node before it that is always met"
        do = "put it behind one, or say it of the whole part"
        first["asked"].problem("nothing-before", "when", found, expected, do)
    asked = {node["asks"] for node in nodes.values()}
    for group in values["any_order"].values():
        if elsewhere := [question for question in group if question not in asked]:
            found = f'{", ".join(elsewhere)} in "any-order" of {values.what}, which does not ask it'
            values.problem("asked-elsewhere", "any-order", found, "questions of that part", "take it out")


def build_node(
    name: str, values: Values, part: str, unless: Condition | None, ways: tuple[Edge, ...], draft: Builder
) -> Node:
    """A node of the graph."""
    return Node(
        name,
        part,
        values["asks"],
        values["optional"] != "no",
        values["instead"],
        unless,
        build_cant_tell(values["cant_tell"], values["asks"], draft),
        build_rulings(name, values, draft),
        ways,
        values["optional"] == "in-files",
    )


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
    by_limit = not values["basis"].standing
    if by_limit:
        values["basis"] = _basis_of_limit(values["when"], draft)
    doubt = doubt or ("same" if values["doubts"] else "")
    fixed = {"id": name, "in_doubt": doubt, "same_for": tuple(sorted(narrowed["same_for"])), "by_limit": by_limit}
    return Ruling(node=node, **{**values, **fixed, "doubt_ending": narrowed["ending"]})


def _check_ruling(values: Values, doubt: str) -> None:
    """A ruling brings something, and rests on something: a limit that it holds a reading against, or its own."""
    bars, warns = bool(values["ending"] or values["restrictions"]), bool(values["cautions"])
    given = any(key in values.nodes for key in ("standing", "source", "clause"))
    if not (limit_tested(values["when"]) or given) and (bars or values["allows"]):
        values.problem("missing-key", "", f'{values.what} without "source"', 'the key "source"', "add it")
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
    tests = (leaf for leaf in leaves(limit_tested(when)) if leaf.test in ("beyond", "within") and leaf.operand)
    limit = next((draft.limits.get(leaf.operand[0]) for leaf in tests), None)
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
    "intents.yaml": _entries("intents", asked_kind),
    "subjects.yaml": _entries("subjects", subject),
    "answers.yaml": _entries("answers", ready_answer),
    "phrases.yaml": build_phrases,
    "units.yaml": _entries("units", _unit),
}


def read_file(name: str, node: yaml.Node, diagnostics: Diagnostics, draft: Builder) -> None:
    """Reads a file of a rule set that stands alone, or one that an overlay has like it, into the draft."""
    _BUILDS[name](FILES[name].schema.read(node, Reading(diagnostics, draft), name), draft)
