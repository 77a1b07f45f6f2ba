"""Reads a rule set that builds on another: what it may add, what it may word anew, and that it loosens nothing.

An overlay's folder holds about.yaml with `builds-on`, and any of the other files. Entries add to the base. A limit
with the base's id replaces it and may only be stricter; an ending, question, caution, restriction, word or method
with the base's id may only be worded anew, and loses no step and no caution by it. A node with the base's id adds
rulings, and may say what "can't tell" means there if that is stricter. A new node stands `after` a node of the base, on
every way on from there, or only where its `way-in` holds, and goes on as that node did.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import yaml
from msgspec import Struct
from msgspec.structs import replace

from advisor.loader.builder import Builder
from advisor.loader.path_files import read_cant_tell, read_node, read_ruling, read_when
from advisor.loader.reader import Notes, Section, closest, sections
from advisor.loader.strictness import how_looser, what_loosened
from advisor.model.problems import Place
from advisor.model.ruleset import Edge, Node, leaves

OverlayReader = Callable[[yaml.Node, Notes, Builder], None]
_END = "end"


class Before(Struct, frozen=True):
    """What the base had before an overlay's file was read."""

    entries: Mapping[str, Mapping[str, Any]]
    places: Mapping[str, Place]


_KINDS = {
    "sources.yaml": "sources",
    "limits.yaml": "limits",
    "questions.yaml": "questions",
    "values.yaml": "values",
    "endings.yaml": "endings",
    "methods.yaml": "methods",
    "cautions.yaml": "cautions",
    "restrictions.yaml": "restrictions",
}


def read_over(file: str, node: yaml.Node, notes: Notes, draft: Builder, read: OverlayReader) -> None:
    """Reads one file of an overlay into the draft that holds the base; notes what would loosen or change it."""
    if file == "about.yaml":
        _about(node, notes, draft)
        return
    if file == "paths.yaml":
        _paths(node, notes, draft)
        return
    kind = _KINDS.get(file, "")
    before = Before({kind: dict(getattr(draft, kind))} if kind else {}, dict(draft.places))
    read(node, notes, draft)
    for name, old in before.entries.get(kind, {}).items():
        new = getattr(draft, kind)[name]
        if new is not old:
            new = getattr(draft, kind)[name] = _as_before(old, new)
            _compare(file, kind, name, old, new, notes, before, draft)
    if file == "methods.yaml":
        _no_new_methods(before, notes, draft)


def _as_before(old: Any, new: Any) -> Any:
    """An entry worded anew that does not say again which side it takes, or where: as the base says."""
    kept = [name for name in ("speaks", "said_at") if hasattr(new, name) and not getattr(new, name)]
    return replace(new, **{name: getattr(old, name) for name in kept}) if kept else new


def _compare(file: str, kind: str, name: str, old: Any, new: Any, notes: Notes, before: Before, draft: Builder) -> None:
    place = notes.places.get(name, Place(notes.file))
    base = before.places.get(f"{file}#{name}", Place(file))
    if kind == "limits":
        found = how_looser(old, new, _decides(name, draft))
        if found:
            _note(notes, draft, "loosened-limit", place, f'the limit "{name}" made looser: {found}', base)
        _pass_on_basis(old.basis, new.basis, draft)
        return
    changed = what_loosened(kind, old, new)
    if changed:
        _note(notes, draft, "changed-meaning", place, f'"{name}" with {changed}, not as in the base', base)


def _decides(limit: str, draft: Builder) -> bool:
    """Whether a worked-out value goes by a limit, and a ruling, a way on or a method by that value."""
    conditions = [ruling.when for node in draft.nodes.values() for ruling in node.rulings]
    conditions += [edge.when for node in draft.nodes.values() for edge in node.next if edge.when is not None]
    conditions += [method.when for method in draft.methods.values() if method.when is not None]
    tested = {leaf.subject for condition in conditions for leaf in leaves(condition)}
    return any(limit in value.figures.values() and value.id in tested for value in draft.values.values())


def _note(notes: Notes, draft: Builder, problem_id: str, place: Place, found: str, base: Place) -> None:
    from advisor.model.problems import Problem

    expected = "a stricter figure, or the base's" if problem_id == "loosened-limit" else "other wording only"
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


def _no_new_methods(before: Before, notes: Notes, draft: Builder) -> None:
    """A method of an overlay's own could allow a lesser repair than the base does."""
    for name in draft.methods.keys() - before.entries["methods"].keys():
        place = notes.places.get(name, Place(notes.file))
        base = Place(before.places[f"methods.yaml#{next(iter(before.entries['methods']))}"].file)
        _note(notes, draft, "changed-meaning", place, f'the method "{name}", which the base does not have', base)


def _about(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """about.yaml of an overlay: what it doesn't say is as in the base; whom it defers to and cautions add up."""
    section = Section(node, notes, "about.yaml")
    base = draft.about
    if base is None:
        return
    draft.about = replace(
        base,
        id=section.text("id", True),
        title=section.text("title", True),
        edition=section.text("edition", True),
        scope=section.text("scope") or base.scope,
        not_for=_added(base.not_for, section.texts("not-for")),
        defers_to=_added(base.defers_to, section.texts("defers-to")),
        before=_added(base.before, draft.names(section, "before-you-begin", "caution")),
        always=_added(base.always, draft.names(section, "always-shown", "caution")),
        with_repair=_added(base.with_repair, draft.names(section, "shown-with-repair", "caution")),
        notes=section.texts("notes"),
        builds_on=section.text("builds-on", True),
    )
    section.finish()


def _added(first: tuple[str, ...], more: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*first, *more)))


def _paths(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """paths.yaml of an overlay: `nodes` only."""
    top = Section(node, notes, "paths.yaml")
    graph = top.node_of("nodes")
    top.finish()
    if graph is None:
        return
    overs = {part.id: part.over for part in draft.parts}
    for node_id, section in sections(graph, notes, "node"):
        old = draft.nodes.get(node_id)
        if old is None:
            _new_node(node_id, section, overs, draft)
        else:
            draft.nodes[node_id] = _added_to(old, section, overs[old.part], draft)
        section.finish()


def _added_to(old: Node, section: Section, over: str, draft: Builder) -> Node:
    """A node of the base with the overlay's rulings after its own."""
    read = (read_ruling(old.id, item, section.notes, over, draft) for item in section.items("rulings"))
    rulings = tuple(ruling for ruling in read if ruling is not None)
    cant_tell = old.cant_tell
    if section.node_of("cant-tell") is not None:
        cant_tell = read_cant_tell(section, old.asks, draft)
        if old.cant_tell.ending or old.cant_tell.counts_as or not cant_tell.ending:
            section.notes.add(
                "changed-meaning",
                section.node,
                f'"cant-tell" of {section.what} in place of the base\'s',
                "one only where the base goes on, and an ending",
                "take it out",
            )
    return replace(old, rulings=(*old.rulings, *rulings), cant_tell=cant_tell)


def _new_node(node_id: str, section: Section, overs: dict[str, str], draft: Builder) -> None:
    """A node of the overlay's own, put after one of the base; its ways on are those of that one."""
    after = section.text("after")
    home = draft.nodes.get(after)
    if after and home is None:
        section.notes.add(
            "unknown-name",
            section.node_of("after") or section.node,
            f'"{after}" as "after" of {section.what}',
            "a node of the base",
            "correct the spelling",
            closest(after, draft.nodes),
        )
    if not after:
        section.notes.add(
            "missing-key",
            section.node,
            f'{section.what} without "after"',
            'the key "after"',
            "say which node it follows",
        )
    over = overs.get(home.part, "tire") if home else "tire"
    if section.node_of("next") is not None:
        section.notes.add(
            "changed-meaning",
            section.node_of("next") or section.node,
            f'"next" of {section.what}, which could pass over questions and rulings of the base',
            "no ways on of its own: it goes on as the node that it comes after",
            "take it out; a further node of your own comes after this one",
        )
    way_in = read_when(section, "way-in", draft, over)
    ways = home.next if home else (Edge(None, _END),)
    draft.nodes[node_id] = read_node(node_id, section, overs, draft, ways)
    if home is not None:
        first = Edge(way_in, node_id)
        draft.nodes[home.id] = replace(home, next=(first, *home.next) if way_in else (first,))


def merged(base: Any, over: Any, file: str) -> Any:
    """The content of base and overlay together, for the digest: entries replace, rulings and nodes add up."""
    if file != "paths.yaml" or not isinstance(base, dict) or not isinstance(over, dict):
        return {**base, **over} if isinstance(base, dict) and isinstance(over, dict) else over
    nodes = dict(base.get("nodes", {}))
    for name, node in over.get("nodes", {}).items():
        old = nodes.get(name)
        if isinstance(old, dict) and isinstance(node, dict):
            nodes[name] = {**old, **node, "rulings": [*_listed(old), *_listed(node)]}
        else:
            nodes[name] = node
    return {**base, "nodes": nodes}


def _listed(node: Mapping[str, Any]) -> list[Any]:
    found = node.get("rulings", [])
    return found if isinstance(found, list) else [found]
