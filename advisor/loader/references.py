"""Checks of a rule set as a whole, once all of its files are read: ids given once, ways within a part, names taken.

Checks that every name used in a rule set leads to something of the right kind.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from advisor.engine.derived.registry import FUNCTIONS, Registered
from advisor.loader.build import FORMER_ID_TAKEN
from advisor.loader.builder import Builder, Reference
from advisor.loader.reader import FileMark, closest
from advisor.model import inputs
from advisor.model.problems import Place, Problem
from advisor.model.ruleset import RENAMABLE, STAGES, Question, Ruling, Verdict, WorkedOut, leaves, renamed_in

_TIME = "duration"
_LIST_NAMED = re.compile(r"(?<![\w-])@([\w-]+)")
#: Readings are read where a measure is.
_KIND_READ = {"readings": "measure"}
_KINDS = {
    "testable-limit": 'a limit with "worse"',
    "grave-ending": "an ending whose verdict is refer, hold or scrap",
    "repair-ending": "an ending whose verdict is repair",
    "ending": "an ending",
    "known-question": "a question",
    "time-limit": "a limit that is a time",
    "time-value": "a worked-out value that is one",
}


def homes_of(draft: Builder) -> dict[str, Mapping[str, Any]]:
    """Everything that a name may lead to, by kind."""
    return {
        "source": draft.sources,
        "limit": draft.limits,
        "table": draft.tables,
        "term": draft.terms,
        "question": draft.questions,
        "value": draft.values,
        "ending": draft.endings,
        "grave-ending": {name: each for name, each in draft.endings.items() if each.verdict is not Verdict.REPAIR},
        "repair-ending": {name: each for name, each in draft.endings.items() if each.verdict is Verdict.REPAIR},
        "restriction": draft.restrictions,
        "stage": dict.fromkeys(STAGES),
        "verdict": {str(verdict): verdict for verdict in Verdict},
        "step": draft.steps,
        "any-step": {each.id: each for method in draft.methods.values() for each in method.steps} | draft.steps,
        "method": draft.methods,
        "caution": draft.cautions,
        "node": draft.nodes,
        "function": FUNCTIONS,
        "testable-limit": {name: limit for name, limit in draft.limits.items() if limit.worse},
        "time-limit": {name: each for name, each in draft.limits.items() if each.figures[0].quantity == _TIME},
        "time-value": {name: each for name, each in draft.values.items() if _quantity_of(each) == _TIME},
        "known-question": {
            **{name: None for file, name in draft.shared if file == "questions.yaml"},
            **renamed_in(draft)["question"],
            **draft.questions,
        },
    }


def _quantity_of(value: WorkedOut) -> str:
    function = FUNCTIONS.get(value.function)
    return function.quantity if function else ""


def check_references(draft: Builder) -> Counter[str]:
    """Notes a problem for every name that leads nowhere, with the nearest names of the right kind.

    Gives how many could stand in each file.
    """
    nowhere = Counter[str]()
    homes = homes_of(draft)
    for reference in draft.references:
        kinds_named = reference.kinds.split()
        if reference.kinds.startswith("choice:"):
            _check_choice(reference, draft)
        elif reference.name in draft.failed:
            continue  # its own problem says what is wrong with it
        elif not any(reference.name in homes[kind] for kind in kinds_named):
            known = [name for kind in kinds_named for name in homes[kind]]
            kinds = " or ".join(_KINDS.get(kind, f"a {kind}") for kind in kinds_named)
            if not _told_unfit(reference, kinds_named, draft):
                former = {old: now for names in renamed_in(draft).values() for old, now in names.items()}
                _note(reference, "unknown-name", f"an id of {kinds}", known, former)
                nowhere.update({f"{kind.rpartition('-')[2]}s.yaml" for kind in kinds_named})
        elif reference.subject:
            _check_quantity(reference, draft)
        elif reference.over and not _reachable(reference, draft):
            _note(reference, "out-of-reach", f"something that is known of {_of(reference.over)}", [])
    return nowhere


def _told_unfit(reference: Reference, kinds: list[str], draft: Builder) -> bool:
    """Notes a name that is there, but lacks what it takes to be named here; whether it was one."""
    if "grave-ending" in kinds and reference.name in draft.endings:
        file, expected = "endings.yaml", f"{_KINDS['grave-ending']}; nothing may lead to a repair but its methods"
        do = "give it its verdict back, or name another ending; what speaks for a repair says allows: repair"
    elif "repair-ending" in kinds and reference.name in draft.endings:
        file, expected = "endings.yaml", f"{_KINDS['repair-ending']}; a method that applies is a repair"
        do = "give it its verdict back, or name another ending"
    elif "testable-limit" in kinds and reference.name in draft.limits:
        file, expected = "limits.yaml", f"{_KINDS['testable-limit']}, which says on which side readings are too much"
        do = "give the limit worse: above or below, and at-limit: passes or fails"
    elif "time-limit" in kinds and (reference.name in draft.limits or reference.name in draft.values):
        file = "limits.yaml" if reference.name in draft.limits else "values.yaml"
        expected, do = "a limit or worked-out value that is a time", "name the one that says how long"
    elif reference.name in draft.tables:
        file, expected = "limits.yaml", "a limit with a figure of its own; which row of a table holds is told by a case"
        do = "name the limit of a row"
    else:
        return False
    place = draft.places.get(f"{file}#{reference.name}")
    reference.notes.add(
        "unfit-name",
        reference.node,
        f'"{reference.name}" in {reference.what}',
        expected,
        do,
        see=[(place, "what stands there")] if place else [],
    )
    return True


def _check_choice(reference: Reference, draft: Builder) -> None:
    subject = reference.kinds.partition(":")[2]
    if subject in draft.questions:
        known = [choice.id for choice in draft.questions[subject].choices]
    elif subject in draft.values and draft.values[subject].function in FUNCTIONS:
        known = list(FUNCTIONS[draft.values[subject].function].outcomes)
    else:
        return
    inherited = isinstance(reference.node.start_mark, FileMark) and '"likely"' in reference.what
    if reference.name not in known and not inherited:  # a rough guess about a choice that this set leaves out
        _note(reference, "unknown-choice", f'a choice of "{subject}": {", ".join(known)}', known)


def _check_quantity(reference: Reference, draft: Builder) -> None:
    """A limit can only be held against a measure of its own quantity."""
    question, value = draft.questions.get(reference.subject), draft.values.get(reference.subject)
    function = FUNCTIONS.get(value.function) if value else None
    measured = question.quantity if question else function.quantity if function else ""
    table = draft.tables.get(reference.name)
    name = table.rows[0].limit if table else reference.name
    if name not in draft.limits:
        return
    limit = draft.limits[name].figures[0].quantity
    if (question or function) and measured != limit:
        found = f'the limit "{reference.name}" ({limit}) against "{reference.subject}" ({measured or "no measure"})'
        reference.notes.add(
            "wrong-quantity",
            reference.node,
            found,
            f"a limit and a measure of one quantity, here {measured or 'none'}",
            "hold the limit against a measure of its own kind",
        )


def check_tables(draft: Builder) -> None:
    """The limits of a table's rows are of one quantity, and the same side of them is worse."""
    for name, table in draft.tables.items():
        limits = [draft.limits[row.limit] for row in table.rows if row.limit in draft.limits]
        kinds = dict.fromkeys((limit.figures[0].quantity, limit.worse) for limit in limits)
        if len(kinds) > 1:
            told = ", ".join(f"{limit.id} ({limit.figures[0].quantity}, worse {limit.worse})" for limit in limits)
            draft.problems.append(
                Problem(
                    "rows-differ",
                    draft.places[f"limits.yaml#{name}"],
                    f'the table "{name}" with limits of different kinds: {told}',
                    "limits of one quantity, with one worse side",
                    "name others, or write two tables",
                )
            )


def _reachable(reference: Reference, draft: Builder) -> bool:
    """Whether a condition about the tire, an earlier repair or an injury can see the name, or all that a term names."""
    names = [reference.name]
    if reference.kinds == "term":
        names = [leaf.subject for leaf in leaves(draft.terms[reference.name].when)]
    homes = (draft.questions.get(name) or draft.values.get(name) for name in names)
    return all(home is None or home.over in ("tire", reference.over) for home in homes)


def _of(over: str) -> str:
    return {"tire": "the tire", "injuries": "the injury", inputs.OVER_REPAIRS: "the earlier repair"}[over]


_DO = "correct the spelling, or define it"


def _note(
    reference: Reference, problem_id: str, expected: str, known: list[str], former: Mapping[str, str] | None = None
) -> None:
    """Notes what a name stands for nothing; in a shared file the rules that share it say what it lacks."""
    now = (former or {}).get(reference.name, "")
    shared = isinstance(reference.node.start_mark, FileMark)
    nearest = [now] if now in known else closest(reference.name, known)
    do = "define it in the files of the rule set, or say there anew what names it" if shared else _DO
    reference.notes.add(
        problem_id,
        reference.node,
        f'"{reference.name}" in {reference.what}',
        expected,
        f"rename it: it is called {now} now" if now in known else do,
        nearest,
    )


def check_unique_rulings(draft: Builder) -> None:
    """Each ruling has an id of its own."""
    seen: dict[str, Ruling] = {}
    for node in draft.nodes.values():
        for ruling in node.rulings:
            first = seen.setdefault(ruling.id, ruling)
            if first is not ruling:
                draft.problems.append(
                    Problem(
                        "duplicate-ruling",
                        _place_of_second(ruling, draft),
                        f'the ruling id "{ruling.id}" at {first.node} and at {node.id}',
                        "each id once",
                        "give one of the two an id of its own (id: …)",
                        see=((draft.places[f"paths.yaml#{first.node}/{ruling.id}"], "the first"),),
                    )
                )


def _place_of_second(ruling: Ruling, draft: Builder) -> Place:
    name = f"paths.yaml#{ruling.node}/{ruling.id}"
    return draft.places.get(f"{name}/again") or draft.places[name]


def check_parts(draft: Builder) -> None:
    """A way on stays in its part, and leads back to none before it; the parts follow each other as they are listed."""
    _check_ways_back(draft)
    for node in draft.nodes.values():
        for number, edge in enumerate(node.next, 1):
            target = draft.nodes.get(edge.to)
            if target is not None and target.part != node.part:
                found = f"a way on from {node.id} (part {node.part}) to {target.id} (part {target.part})"
                here = draft.places.get(f"paths.yaml#{node.id}/way-{number}")
                draft.problems.append(
                    Problem(
                        "other-part",
                        here or draft.places[f"paths.yaml#{node.id}"],
                        found,
                        "a node of the same part, or end",
                        "end this part; the next one in the list of parts follows",
                    )
                )


def _check_ways_back(draft: Builder) -> None:
    """No way on leads to a node from which there is a way to where it begins: what walks it would never end."""
    leads = {node.id: [edge.to for edge in node.next] for node in draft.nodes.values()}
    order, told = list(draft.nodes), set[str]()
    for name in order:
        ring = _ring_from(name, leads)
        if ring and told.isdisjoint(ring):
            told |= {*ring}
            last = max(ring, key=order.index)
            back = ring[(ring.index(last) + 1) % len(ring)]
            number = leads[last].index(back) + 1
            places = (f"paths.yaml#{last}/way-{number}", f"paths.yaml#{last}")
            draft.problems.append(
                Problem(
                    "question-loop",
                    next(draft.places[each] for each in places if each in draft.places),
                    f"a way on from {last} back to {back}: {' -> '.join((*ring, name))}",
                    "ways on to nodes further on, or end",
                    "lead it on to what follows",
                )
            )


def check_word_lists(draft: Builder) -> None:
    """Each list of words, or subject, that a question in words names by @ is there."""
    known = {**draft.intents, **draft.subjects}
    asked = [
        ("intents.yaml", name, (*kind.said, *kind.forms, *kind.not_behind)) for name, kind in draft.intents.items()
    ]
    asked += [("answers.yaml", name, answer.said) for name, answer in draft.answers.items()]
    for file, name, said in asked:
        for word in dict.fromkeys(word for text in said for word in _LIST_NAMED.findall(text)):
            if word not in known:
                place, found = draft.places[f"{file}#{name}"], f'"@{word}" in {name} of {file}'
                expected, do = "an entry of intents.yaml or subjects.yaml", "correct the spelling, or add it"
                near = tuple(closest(word, known))
                draft.problems.append(Problem("unknown-name", place, found, expected, do, near))


def check_names(draft: Builder) -> None:
    """A worked-out value must not bear a question's name, nor a term either one's."""
    taken = [("values", name, "questions", "the question") for name in draft.values.keys() & draft.questions.keys()]
    for home, kind in (("questions", "the question"), ("values", "the worked-out value")):
        taken += [("terms", name, home, kind) for name in draft.terms.keys() & getattr(draft, home).keys()]
    for file, name, home, kind in taken:
        draft.problems.append(
            Problem(
                "name-taken",
                draft.places[f"{file}.yaml#{name}"],
                f'"{name}", which is {kind.replace("the", "a")} already',
                "a name of its own",
                f"rename the {'term' if file == 'terms' else 'worked-out value'}",
                see=((draft.places[f"{home}.yaml#{name}"], kind),),
            )
        )


def check_former_ids(draft: Builder) -> None:
    """A former id is borne by nothing now, and just one entry had it."""
    said: dict[tuple[str, str], Reference] = {}
    for former in draft.former:
        first = said.setdefault((former.kinds, former.name), former)
        if first is not former and not (first.what == former.what and first.notes is not former.notes):
            see = ((first.notes.place(first.node), f"{first.what} had it"),)
            _note_former(former, "which is given twice", see)
        elif taken := _borne_by(former.kinds, former.name, draft):
            place = draft.places.get(f"{taken[0]}#{taken[1]}")
            _note_former(former, f"which is borne by {taken[1]} now", ((place, "there it is"),) if place else ())
        elif former.kinds == "question" and (known := inputs.BY_QUESTION.get(former.name)):
            _check_former_input(former, known, draft)


def _check_former_input(former: Reference, known: inputs.Input, draft: Builder) -> None:
    """A question that had the id of an input of the program is what the program reads by that id."""
    question = draft.questions.get(former.what)
    if question is not None and not (question.over == known.over and _read_as_known(former.name, draft)):
        found = f'"{former.name}" as a former id of the question {former.what}, which is of another kind'
        expected = f"a question over {known.over} of the kind {_kind_of(known)}, as the program reads it"
        former.notes.add("former-id-unfit", former.node, found, expected, "take it out: it is another question")


def _kind_of(known: inputs.Input | Question) -> str:
    return f"{known.kind} ({known.quantity})" if known.quantity else known.kind


def _borne_by(kind: str, name: str, draft: Builder) -> tuple[str, str] | None:
    """The file and the entry that bears an id now, or goes by it in a case file; None where none does."""
    home = RENAMABLE[kind]
    if name in getattr(draft, home):
        return f"{home}.yaml", name
    if kind == "question":
        if name in draft.values:
            return "values.yaml", name
        had = {former.what for former in draft.former if (former.kinds, former.name) == (kind, name)}
        overs = {draft.questions[each].over for each in had if each in draft.questions}
        same = (each.id for each in draft.questions.values() if each.key == name and each.over in overs)
        if (key := next(same, "")) and key not in had:
            return f"{home}.yaml", key
    return None


def _note_former(former: Reference, wrong: str, see: Sequence[tuple[Place, str]]) -> None:
    found = f'"{former.name}" as a former id of the {former.kinds} {former.what}, {wrong}'
    former.notes.add("former-id-taken", former.node, found, *FORMER_ID_TAKEN, see=see)


def check_inputs(draft: Builder) -> None:
    """What a function of the program reads is there, by the id that the program knows it by, and of that kind.

    A question that had that id formerly will do, and one that its value's `reads` names for it.
    """
    lacking: dict[str, list[str]] = {}
    for name, value in draft.values.items():
        function = FUNCTIONS.get(value.function)
        if function is None:
            continue
        _check_reads(value, function, draft)
        _check_figures(value, function, draft)
        for read in dict.fromkeys(function.needs(value.figures)):
            if read not in (*draft.failed, *value.reads) and not _read_as_known(read, draft):
                lacking.setdefault(read, []).append(name)
    for read, values in lacking.items():
        draft.problems.append(_missing_input(read, values, draft))
    _check_rings(draft)


def _check_reads(value: WorkedOut, function: Registered, draft: Builder) -> None:
    """What a value says that it reads is something that its function reads, and of the kind that it reads."""
    place = draft.places[f"values.yaml#{value.id}"]
    for known, name in value.reads.items():
        if known not in function.known:
            what = f'"{known}" in reads of {value.id}, which its function {value.function} does not read'
            names = tuple(dict.fromkeys(function.known))
            problem = Problem(
                "unknown-input",
                place,
                what,
                f"one of: {', '.join(names)}" if names else "no reads at all",
                "correct the spelling, or take it out",
                tuple(closest(known, names)),
            )
        elif name in draft.failed or not (unlike := _unlike_known(known, name, value, draft)):
            continue
        else:
            found = f'"{name}" in reads of {value.id}, in place of "{known}", which is {unlike}'
            problem = Problem("unfit-input", place, found, _as_known(known), "name one of that kind")
        draft.problems.append(problem)


def _check_figures(value: WorkedOut, function: Registered, draft: Builder) -> None:
    """The limits that a value hands to its function are all that it needs, of the right quantity, and no others."""
    place, takes = draft.places[f"values.yaml#{value.id}"], function.takes
    for name, limit in value.figures.items():
        known = draft.limits.get(limit)
        if name not in takes:
            what = f'"{name}" in figures of {value.id}, which its function {value.function} does not take'
            expected = f"one of: {', '.join(takes)}" if takes else "no figures at all"
            near, do = tuple(closest(name, takes)), "correct the spelling, or take it out"
            draft.problems.append(Problem("unknown-input", place, what, expected, do, near))
        elif known is not None and known.figures[0].quantity != takes[name]:
            what = f'the limit "{limit}" ({known.figures[0].quantity}) as the figure "{name}" of {value.id}'
            draft.problems.append(Problem("unfit-input", place, what, f"a limit of {takes[name]}", "name one of that"))
    if lacking := function.lacks(value.figures):
        what = f'"{value.id}", whose function {value.function} needs the figure "{lacking[0]}", which is not there'
        expected = f"figures: {{{', '.join(f'{name}: LIMIT' for name in lacking)}}}"
        do = "name the limit of each, or take out what needs it"
        draft.problems.append(Problem("missing-input", place, what, expected, do))


def _unlike_known(known: str, name: str, value: WorkedOut, draft: Builder) -> str:
    """How something is unlike what a function knows by a name; an empty text where it is alike, or is not there."""
    question, other, given = draft.questions.get(name), draft.values.get(name), inputs.BY_QUESTION.get(known)
    there = question or other
    if there is None:
        return ""
    over = given.over if given is not None and given.over != inputs.OVER_TIRE else value.over
    if there.over not in (inputs.OVER_TIRE, over):
        return f"asked or worked out for {_of(there.over)}"
    if given is not None:
        if question is None:
            return "a worked-out value"
        return "" if _is_of_kind(question, given) else f"of the kind {_kind_of(question)}"
    if other is None:
        return "a question"
    wanted, gives = FUNCTIONS.get(known), FUNCTIONS.get(other.function)
    if wanted is None or gives is None:
        return ""
    if wanted.quantity != gives.quantity:
        return f"a {gives.quantity}" if gives.quantity else "no measure"
    strange = [outcome for outcome in gives.outcomes if outcome not in wanted.outcomes]
    return f"one that may be {strange[0]}" if strange else ""


def _as_known(known: str) -> str:
    given, function = inputs.BY_QUESTION.get(known), FUNCTIONS.get(known)
    if given is not None:
        return f"a question over {given.over} of the kind {_kind_of(given)}: {given.what_for}"
    measured = f" ({function.quantity})" if function is not None and function.quantity else ""
    return f"a worked-out value like {known}{measured}"


def _check_rings(draft: Builder) -> None:
    """No value reads itself by way of others."""
    reads: dict[str, list[str]] = {}
    for name, value in draft.values.items():
        function = FUNCTIONS.get(value.function)
        known = function.known if function is not None else ()
        reads[name] = [each for each in (value.reads.get(read, read) for read in known) if each in draft.values]
    for name in reads:
        ring = _ring_from(name, reads)
        if ring and name == min(ring):
            draft.problems.append(
                Problem(
                    "reads-itself",
                    draft.places[f"values.yaml#{name}"],
                    f"a value that reads itself: {' -> '.join((*ring, name))}",
                    "values that rest on answers",
                    "take one out of the ring, or let it read something else",
                )
            )


def _ring_from(name: str, reads: Mapping[str, Sequence[str]]) -> list[str]:
    """The way from a value, or a node, back to itself; nothing where there is none."""
    ways, seen = [[name]], {name}
    while ways:
        way = ways.pop()
        for following in reads.get(way[-1], ()):
            if following == name:
                return way
            if following not in seen:
                seen.add(following)
                ways.append([*way, following])
    return []


def _read_as_known(name: str, draft: Builder) -> bool:
    question, known = _question_read(name, draft), inputs.BY_QUESTION.get(name)
    if question is None or known is None:
        return question is not None or (known is None and name in draft.values)
    return _is_of_kind(question, known)


def _is_of_kind(question: Question, known: inputs.Input) -> bool:
    kinds = [_KIND_READ.get(each.kind, each.kind) for each in (question, known)]
    return question.quantity == known.quantity and kinds[0] == kinds[1]


def _question_read(name: str, draft: Builder) -> Question | None:
    return draft.questions.get(name) or draft.questions.get(renamed_in(draft)["question"].get(name, ""))


def _missing_input(name: str, values: list[str], draft: Builder) -> Problem:
    known, there = inputs.BY_QUESTION.get(name), _question_read(name, draft)
    first, *more = (draft.places[f"values.yaml#{value}"] for value in values)
    if known is None:
        expected, do = f'a worked-out value with the id "{name}"', "add it, or take out what needs it"
    else:
        expected = f'a question "{name}" of the kind {_kind_of(known)}: {known.what_for}'
        do = "give it that id and kind, or take out what needs it; one that was renamed says formerly: [that id], "
        do += "another is named at the value, reads: {that id: its own}"
    is_other = f"is of the kind {there.kind}" if there else "is not there"
    see = [(place, f'"{value}" needs it too') for place, value in zip(more, values[1:], strict=True)]
    if there:
        see.insert(0, (draft.places[f"questions.yaml#{there.id}"], "the question"))
    return Problem(
        "missing-input",
        first,
        f'"{values[0]}", whose function {draft.values[values[0]].function} reads "{name}", which {is_other}',
        expected,
        do,
        tuple(closest(name, [*draft.questions, *draft.values])) if there is None else (),
        see=tuple(see),
    )
