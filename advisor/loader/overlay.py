"""Reads a rule set that builds on another: what it may add, what it may word anew, and that it loosens nothing.

An overlay's folder holds about.yaml with `builds-on`, and any of the other files. Entries add to the base. A limit
with the base's id replaces it and may only be stricter; an ending, question, caution, restriction, word, step or method
with the base's id may only be worded anew, and loses no step and no caution by it. A node with the base's id adds
rulings, and may say what "can't tell" means there if that is stricter. A new node stands `after` a node of the base, on
every way on from there, or only once its `asked: {when: …}` holds, and goes on as that node did.
"""

from __future__ import annotations

from collections.abc import Mapping as Map
from datetime import date
from typing import Any

import yaml
from msgspec import Struct
from msgspec.structs import replace

from advisor.loader.build import Build, build_cant_tell, build_node, build_rulings, read_file, steps_of
from advisor.loader.builder import Builder
from advisor.loader.reader import Diagnostics, closest, in_file, is_empty, plain_data
from advisor.loader.routing import asked_unless, asked_when
from advisor.loader.rule_file_schema import OVERLAY_FILES
from advisor.loader.schema_types import Reading, Values
from advisor.loader.strictness import how_looser, what_loosened
from advisor.model.problems import Place
from advisor.model.ruleset import Edge, Node, leaves


class Before(Struct, frozen=True):
    """What the base had before an overlay's file was read."""

    entries: Map[str, Map[str, Any]]
    places: Map[str, Place]


_KINDS = {
    "sources.yaml": "sources",
    "limits.yaml": "limits",
    "questions.yaml": "questions",
    "values.yaml": "values",
    "endings.yaml": "endings",
    "steps.yaml": "steps",
    "methods.yaml": "methods",
    "cautions.yaml": "cautions",
    "restrictions.yaml": "restrictions",
}


def read_over(file: str, node: yaml.Node, notes: Diagnostics, draft: Builder) -> None:
    """Reads one file of an overlay into the draft that holds the base; notes what would loosen or change it."""
    if file in _BUILDS:
        _BUILDS[file](OVERLAY_FILES[file].schema.read(node, Reading(notes, draft), file), draft)
        return
    kind = _KINDS.get(file, "")
    node = _borne_now(kind, node, notes, draft)
    before = Before({kind: dict(getattr(draft, kind))} if kind else {}, dict(draft.places))
    read_file(file, node, notes, draft)
    for name, old in before.entries.get(kind, {}).items():
        new = getattr(draft, kind)[name]
        if new is not old:
            new = getattr(draft, kind)[name] = _as_before(old, new)
            _compare(file, kind, name, old, new, notes, before, draft)
    if file == "terms.yaml":
        _no_other_terms(before, notes, draft)
    elif file == "methods.yaml":
        _no_new_methods(before, notes, draft)
    elif file == "steps.yaml":
        for name, method in draft.methods.items():
            draft.methods[name] = replace(method, steps=steps_of(draft.listed[name], draft))


def _as_before(old: Any, new: Any) -> Any:
    """An entry worded anew that does not say again which side it takes, or where: as the base says."""
    kept = {name: getattr(old, name) for name in ("speaks", "said_at") if hasattr(new, name) and not getattr(new, name)}
    if getattr(old, "formerly", ()):
        kept["formerly"] = _added(old.formerly, new.formerly)
    if any(choice.formerly for choice in getattr(old, "choices", ())):
        had = {choice.id: choice.formerly for choice in old.choices}
        kept["choices"] = tuple(
            replace(choice, formerly=_added(had.get(choice.id, ()), choice.formerly)) for choice in new.choices
        )
    return replace(new, **kept) if kept else new


def _borne_now(kind: str, node: yaml.Node, notes: Diagnostics, draft: Builder) -> yaml.Node:
    """An overlay's file in which entries that stand under a former id of the base stand under the one borne now."""
    renamed = draft.renamed.get(kind[:-1], {})
    if not renamed or not isinstance(node, yaml.MappingNode):
        return node
    pairs, told = [], {str(key.value) for key, _ in node.value}
    for key, value in node.value:
        now = renamed.get(str(key.value), "")
        if now and now not in told and key.value not in getattr(draft, kind):
            draft.read_as.append((notes.place(key), str(key.value), now))
            key = yaml.ScalarNode(key.tag, now, key.start_mark, key.end_mark, key.style)
        elif now and now in told:
            found = f'"{key.value}", which is {now} now and stands there too'
            notes.add("duplicate-key", key, found, "each entry once", "keep one")
            continue
        pairs.append((key, value))
    return yaml.MappingNode(node.tag, pairs, node.start_mark, node.end_mark, node.flow_style)


#: What a limit of an overlay takes from the base's where it does not say it; the second only beside the same figure.
_TAKEN, _OF_THE_FIGURE = ("value", "worse", "at-limit", "says"), ("standing", "source", "clause", "note")


def with_base(node: yaml.Node, draft: Builder) -> yaml.Node:
    """limits.yaml of an overlay, with what it does not say of the base's limits as there.

    A figure other than the base's, or one that passes otherwise, rests on a source of its own: it takes none over.
    """
    if not isinstance(node, yaml.MappingNode):
        return node
    pairs = []
    for key, value in node.value:
        name = draft.renamed.get("limit", {}).get(str(key.value), str(key.value))
        base = draft.limit_nodes.get(name)
        pairs.append((key, _limit_over(value, *base) if base is not None else value))
    return yaml.MappingNode(node.tag, pairs, node.start_mark, node.end_mark, node.flow_style)


def _limit_over(own: yaml.Node, base: yaml.Node, file: str) -> yaml.Node:
    if not isinstance(own, yaml.MappingNode) or not isinstance(base, yaml.MappingNode):
        return own
    said = {str(key.value): plain_data(value) for key, value in own.value if not is_empty(value)}
    had = {str(key.value): plain_data(value) for key, value in base.value}
    same = all(said.get(key, had.get(key)) == had.get(key) for key in ("value", "worse", "at-limit"))
    own_basis = any(key in said for key in ("standing", "source", "clause"))
    taken = {*_TAKEN, *(_OF_THE_FIGURE if same and not own_basis else ())} - said.keys()
    more = [(in_file(key, file), in_file(value, file)) for key, value in base.value if key.value in taken]
    kept = [(key, value) for key, value in own.value if key.value not in taken]
    return yaml.MappingNode(own.tag, [*kept, *more], own.start_mark, own.end_mark, own.flow_style)


def _compare(
    file: str, kind: str, name: str, old: Any, new: Any, notes: Diagnostics, before: Before, draft: Builder
) -> None:
    place = notes.places.get(name, Place(notes.file))
    base = before.places.get(f"{file}#{name}", Place(file))
    if kind == "limits":
        for day in sorted({date.min, *(later.day for limit in (old, new) for later in limit.later)}):
            found = how_looser(old.on(day), new.on(day), _decides(name, draft))
            if found:
                since = "" if day == date.min else f" from {day} on"
                _note(notes, draft, "loosened-limit", place, f'the limit "{name}" made looser{since}: {found}', base)
                break
        _pass_on_basis(old.basis, new.basis, draft)
        return
    changed = what_loosened(kind, old, new)
    if changed:
        _note(notes, draft, "changed-meaning", place, f'"{name}" with {changed}, not as in the base', base)


def _decides(limit: str, draft: Builder) -> bool:
    """Whether words typed stand for a limit, or a value goes by it and a ruling, a way on or a method by that value."""
    if any(limit in question.figures_by.values() for question in draft.questions.values()):
        return True
    conditions = [ruling.when for node in draft.nodes.values() for ruling in node.rulings]
    conditions += [edge.when for node in draft.nodes.values() for edge in node.next if edge.when is not None]
    conditions += [method.when for method in draft.methods.values() if method.when is not None]
    tested = {leaf.subject for condition in conditions for leaf in leaves(condition)}
    return any(limit in value.figures.values() and value.id in tested for value in draft.values.values())


def _note(notes: Diagnostics, draft: Builder, problem_id: str, place: Place, found: str, base: Place) -> None:
    from advisor.model.problems import Problem

    expected = "a stricter figure, or the base's" if problem_id == "loosened-limit" else "other wording only"
    if notes.file.endswith("terms.yaml"):
        expected = "a name that the base has not"
    do = "make it stricter, or take it out; what is to be looser belongs in a rule set of its own"
    notes.problems.append(
        Problem(problem_id, place, found, expected, do, see=((base, "the base"), (place, "the overlay")))
    )


def _pass_on_basis(old: object, new: Any, draft: Builder) -> None:
    """Rulings that took over a limit's basis take over that of the limit in its place."""
    for node_id, node in draft.nodes.items():
        if any(ruling.basis is old for ruling in node.rulings):
            rulings = tuple(replace(r, basis=new) if r.basis is old else r for r in node.rulings)
            draft.nodes[node_id] = replace(node, rulings=rulings)


def _no_new_methods(before: Before, notes: Diagnostics, draft: Builder) -> None:
    """A method of an overlay's own could allow a lesser repair than the base does."""
    for name in draft.methods.keys() - before.entries["methods"].keys():
        place = notes.places.get(name, Place(notes.file))
        base = Place(before.places[f"methods.yaml#{next(iter(before.entries['methods']))}"].file)
        _note(notes, draft, "changed-meaning", place, f'the method "{name}", which the base does not have', base)


def _no_other_terms(before: Before, notes: Diagnostics, draft: Builder) -> None:
    """A term of the base under another meaning would change what its rulings say."""
    for name in draft.unread.keys() & draft.terms.keys():
        base = before.places.get(f"terms.yaml#{name}", Place("terms.yaml"))
        _note(notes, draft, "changed-meaning", notes.places[name], f'the term "{name}", which the base has', base)


def _about(values: Values, draft: Builder) -> None:
    """about.yaml of an overlay: what it doesn't say is as in the base; whom it defers to and cautions add up."""
    base = draft.about
    if base is None:
        return
    values["scope"] = values["scope"] or base.scope
    for key in ("not_for", "defers_to", "before", "always", "with_repair"):
        values[key] = _added(getattr(base, key), values[key])
    draft.about = replace(base, **values)


def _added(first: tuple[str, ...], more: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*first, *more)))


def _paths(values: Values, draft: Builder) -> None:
    """paths.yaml of an overlay: `nodes` only."""
    for name, node in values["nodes"].items():
        old = draft.nodes.get(name)
        if old is None:
            _new_node(name, node, draft)
        else:
            draft.nodes[name] = _added_to(old, node, draft)


def _added_to(old: Node, values: Values, draft: Builder) -> Node:
    """A node of the base with the overlay's rulings after its own."""
    cant_tell = old.cant_tell
    if "cant-tell" in values.nodes:
        cant_tell = build_cant_tell(values["cant_tell"], old.asks, draft)
        if old.cant_tell.ending or old.cant_tell.counts_as or not cant_tell.ending:
            found = f'"cant-tell" of {values.what} in place of the base\'s'
            expected = "one only where the base goes on, and an ending"
            values.problem("changed-meaning", "", found, expected, "take it out")
    return replace(old, rulings=(*old.rulings, *build_rulings(old.id, values, draft)), cant_tell=cant_tell)


def _new_node(name: str, values: Values, draft: Builder) -> None:
    """A node of the overlay's own, put after one of the base; its ways on are those of that one."""
    after = values["after"]
    home = draft.nodes.get(after)
    if after and home is None:
        found = f'"{after}" as "after" of {values.what}'
        near = closest(after, draft.nodes)
        values.problem("unknown-name", "after", found, "a node of the base", "correct the spelling", near)
    part, ways = (home.part, home.next) if home else ("", ())
    draft.nodes[name] = build_node(name, values, part, asked_unless(values), ways, draft)
    if home is not None:
        when = asked_when(values)
        first = Edge(when, name)
        draft.nodes[home.id] = replace(home, next=(first, *home.next) if when else (first,))
        _move_places(home, name, values.at.diagnostics.place(values["asked"].nodes["when"]) if when else None, draft)


def _move_places(home: Node, name: str, when: Place | None, draft: Builder) -> None:
    """Where ways on stand, once an overlay's node follows one, and goes on by that one's ways."""
    places = [draft.places.pop(f"paths.yaml#{home.id}/way-{number}", None) for number in range(1, len(home.next) + 1)]
    for node, found in ((home.id, [when, *places] if when else []), (name, places)):
        draft.places |= {f"paths.yaml#{node}/way-{n}": place for n, place in enumerate(found, 1) if place}


_BUILDS: dict[str, Build] = {"about.yaml": _about, "paths.yaml": _paths}


def merged(base: Any, over: Any, file: str) -> Any:
    """The content of base and overlay together, for the digest: entries replace, rulings and nodes add up."""
    if file != "paths.yaml" or not isinstance(base, dict) or not isinstance(over, dict):
        return {**base, **over} if isinstance(base, dict) and isinstance(over, dict) else over
    nodes = dict(base.get("nodes", {}))
    for name, node in over.get("nodes", {}).items():
        old = nodes.get(name)
        if isinstance(old, dict) and isinstance(node, dict):
            nodes[name] = {**old, **node, "rulings": [*listed(old, "rulings"), *listed(node, "rulings")]}
        else:
            nodes[name] = node
    return {**base, "nodes": nodes}


def listed(entry: Map[str, Any], key: str) -> list[Any]:
    """What stands behind a key as plain data; a lone text is a list of one."""
    found = entry.get(key, [])
    return found if isinstance(found, list) else [found]
