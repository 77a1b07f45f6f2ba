"""Reads paths.yaml (parts and nodes of the question graph) and methods.yaml."""

from __future__ import annotations

import yaml

from advisor.loader.builder import Builder
from advisor.loader.condition_reader import read_condition
from advisor.loader.reader import Notes, Section, items_of, pairs_of, sections, text_of
from advisor.model.inputs import OVERS
from advisor.model.problems import Misread
from advisor.model.quantity import read_measure
from advisor.model.ruleset import Basis, CantTellRule, Condition, Edge, Leaf, Method, Node, Part, Ruling, Step, leaves

_END = "end"
#: Rulings, doubt and "can't tell" may bring any ending but a repair; what speaks for repair `allows` it.
GRAVE = "grave-ending"


def read_paths(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """paths.yaml: `parts` in the order they are walked, what may be asked in `any-order`, then `nodes`."""
    section = Section(node, notes, "paths.yaml")
    part_nodes = section.node_of("parts")
    overs: dict[str, str] = {}
    if part_nodes is not None:
        for part_id, part in sections(part_nodes, notes, "part"):
            read = _part(part_id, part, draft)
            overs[part_id] = read.over
            draft.parts.append(read)
            part.finish()
    free = section.node_of("any-order")
    if free is not None:
        groups = Section(free, notes, "any-order")
        for name, _, node in pairs_of(free, notes, '"any-order"'):
            questions = groups.texts(name)
            for question in questions:
                draft.refer("question", question, node, notes, f"any-order of {name}")
            draft.any_order.append(questions)
        groups.finish()
    graph = section.node_of("nodes")
    for key in ("parts", "nodes"):
        if section.node_of(key) is None:
            notes.add("missing-key", node, f'paths.yaml without "{key}"', f'the key "{key}"', "add it")
    if graph is not None:
        for node_id, each in sections(graph, notes, "node"):
            draft.nodes[node_id] = read_node(node_id, each, overs, draft)
            each.finish()
    section.finish()


def _part(part_id: str, section: Section, draft: Builder) -> Part:
    over = section.one_of("over", OVERS, "tire", True)
    return Part(
        part_id,
        over,
        draft.named(section, "starts", "node", True),
        read_when(section, "when", draft, "tire"),
        draft.named(section, "more", "question", over=over),
        section.one_of("at-least-one", ("yes", "no"), "no") == "yes",
    )


def read_when(section: Section, key: str, draft: Builder, over: str, needed: bool = False) -> Condition | None:
    """The condition under a key; None where there is none or it can't be read, which is then noted."""
    return section.take(key, lambda node, notes, what: read_condition(node, notes, what, draft, over), None, needed)


def read_node(
    node_id: str, section: Section, overs: dict[str, str], draft: Builder, ways: tuple[Edge, ...] = ()
) -> Node:
    """A node of the graph; `ways` are its ways on where its place gives them instead of its own "next"."""
    part = section.one_of("part", overs, needed=True)
    over = overs.get(part, "tire")
    asks = draft.named(section, "ask", "question", over=over)
    ruling_nodes = section.items("rulings")
    rulings = tuple(read_ruling(node_id, node, section.notes, over, draft) for node in ruling_nodes)
    cant_tell = read_cant_tell(section, asks, draft)
    optional = section.one_of("optional", ("yes", "no", "in-files"), "no")
    return Node(
        node_id,
        part,
        asks,
        optional != "no",
        draft.wording(section, "instead"),
        read_when(section, "unless", draft, over),
        cant_tell,
        tuple(ruling for ruling in rulings if ruling is not None),
        ways if ways and section.node_of("next") is None else _edges(node_id, section, over, draft),
        optional == "in-files",
    )


def read_ruling(node_id: str, node: yaml.Node, notes: Notes, over: str, draft: Builder) -> Ruling | None:
    """A ruling of a node; None where its condition can't be read, which is then noted like all that is wrong in it."""
    section = Section(node, notes, f"a ruling at {node_id}")
    when = read_when(section, "when", draft, over, True)
    ending = draft.named(section, "ending", GRAVE)
    restriction = draft.named(section, "restriction", "restriction")
    caution = draft.named(section, "caution", "caution")
    allows = section.one_of("allows", ("repair",))
    _counts_once(section, (ending, restriction, caution, allows))
    uses_limit = any(leaf.test in ("beyond", "within") for leaf in leaves(when))
    basis = draft.basis(section, needed=not uses_limit and not caution)
    doubts = draft.names(section, "doubts", "question")
    doubt, same_for, doubt_ending = _in_doubt(section, draft)
    if doubt == "never" and not caution:
        _doubt_has_to_count(section)
    ruling_id = section.text("id") or ending or restriction or caution
    because = draft.wording(section, "because", True, over)
    _note_place(notes, f"{node_id}/{ruling_id}", node)
    section.finish()
    if when is None:
        return None
    if not basis.standing:
        basis = _basis_of_limit(when, draft)
    return Ruling(
        ruling_id,
        node_id,
        when,
        because,
        basis,
        ending,
        restriction,
        caution,
        bool(allows),
        doubt or ("same" if doubts else ""),
        same_for,
        doubt_ending,
        doubts,
    )


def _counts_once(section: Section, brings: tuple[str, ...]) -> None:
    if len([name for name in brings if name]) != 1:
        section.notes.add(
            "ruling-counts-once",
            section.node,
            f"{section.what} with none or several of ending, restriction, caution and allows",
            "just one of them",
            "write a ruling for each",
        )


def _doubt_has_to_count(section: Section) -> None:
    section.notes.add(
        "doubt-never-counts",
        section.node_of("in-doubt") or section.node,
        f'"never" as "in-doubt" of {section.what}, which brings no caution',
        "same, an ending, or {same-for: [question, …]}",
        "doubt may be passed over in a caution only",
    )


def _basis_of_limit(when: Condition, draft: Builder) -> Basis:
    for leaf in leaves(when):
        if isinstance(leaf, Leaf) and leaf.test in ("beyond", "within") and leaf.operand:
            limit = draft.limits.get(leaf.operand[0])
            if limit:
                return limit.basis
    return Basis("", (), "")


def _in_doubt(section: Section, draft: Builder) -> tuple[str, frozenset[str], str]:
    """`in-doubt: same`, an ending, or `{same-for: [question, …], ending: …}`."""
    node = section.node_of("in-doubt")
    if node is None:
        return "", frozenset(), ""
    if isinstance(node, yaml.MappingNode):
        inner = Section(node, section.notes, f'"in-doubt" of {section.what}')
        names = draft.names(inner, "same-for", "question", True)
        ending = draft.named(inner, "ending", GRAVE)
        inner.finish()
        return "", frozenset(names), ending
    word = text_of(node, section.notes, "in-doubt")
    if word not in ("same", "never"):
        draft.refer(GRAVE, word, node, section.notes, f'"in-doubt" of {section.what}')
    return word, frozenset(), ""


def read_cant_tell(section: Section, asks: str, draft: Builder) -> CantTellRule:
    """`cant-tell:` an ending, `goes-on`, `{counts-as: choice or measure}` or `{ending: …, because: …}`."""
    node = section.node_of("cant-tell")
    if node is None:
        if asks:
            section.notes.add(
                "missing-cant-tell",
                section.node,
                f'{section.what} without "cant-tell"',
                "what counts when it can't be told: an ending, goes-on, or {counts-as: CHOICE}",
                "say what doubt means here; it may never count as a pass",
            )
        return CantTellRule()
    if isinstance(node, yaml.MappingNode):
        inner = Section(node, section.notes, f'"cant-tell" of {section.what}')
        counts_as = inner.text("counts-as")
        counts_node = inner.node_of("counts-as")
        if counts_node is not None:
            _counts_as(asks, counts_as, counts_node, inner, draft)
        rule = CantTellRule(draft.named(inner, "ending", GRAVE), counts_as, draft.wording(inner, "because"))
        inner.finish()
        return rule
    word = text_of(node, section.notes, "cant-tell")
    if word == "goes-on":
        return CantTellRule()
    return CantTellRule(ending=draft.refer(GRAVE, word, node, section.notes, f'"cant-tell" of {section.what}'))


def _counts_as(asks: str, says: str, node: yaml.Node, inner: Section, draft: Builder) -> None:
    """What "can't tell" counts as: a choice of the question, or a measure that it takes."""
    question = draft.questions.get(asks)
    if question is None or not question.quantity:
        draft.refer(f"choice:{asks}", says, node, inner.notes, inner.what)
        return
    try:
        read_measure(says, question.quantity)
    except Misread as error:
        inner.notes.misread("bad-figure", node, error)


def _edges(node_id: str, section: Section, over: str, draft: Builder) -> tuple[Edge, ...]:
    """`next: node`, `next: end`, or a list of `{when, go}` that ends with a `{go}`."""
    node = section.node_of("next")
    if node is None:
        section.notes.add(
            "dead-end", section.node, f'{section.what} without "next"', 'a node, or "end"', "say what comes next"
        )
        return ()
    if isinstance(node, yaml.ScalarNode):
        _note_place(section.notes, f"{node_id}/way-1", node)
        return (Edge(None, _target(text_of(node, section.notes, "next"), node, section, draft)),)
    edges = []
    for item in items_of(node, section.notes, f'"next" of {section.what}'):
        inner = Section(item, section.notes, f"a way on from {section.what}")
        when = read_when(inner, "when", draft, over)
        go_node = inner.node_of("go")
        target = _target(inner.text("go", True), go_node, section, draft) if go_node is not None else _END
        inner.finish()
        edges.append(Edge(when, target))
        _note_place(section.notes, f"{node_id}/way-{len(edges)}", item)
    open_edges = [edge for edge in edges if edge.when is None]
    if len(open_edges) != 1 or edges[-1].when is not None:
        section.notes.add(
            "ways-on",
            node,
            f"{section.what} whose ways on do not end with just one otherwise",
            "a last item with only go",
            "add {go: node} as the last item",
        )
    return tuple(edges)


def _note_place(notes: Notes, name: str, node: yaml.Node) -> None:
    """Keeps where a part of an entry stands, by the entry's name and its own."""
    notes.places[f"{name}/again" if name in notes.places else name] = notes.place(node)


def _target(name: str, node: yaml.Node, section: Section, draft: Builder) -> str:
    if name != _END:
        draft.refer("node", name, node, section.notes, f'"next" of {section.what}')
    return name


def read_methods(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """methods.yaml: when a method applies, its steps in order with figures by name."""
    for method_id, section in sections(node, notes, "method"):
        steps = [_step(item, notes, method_id, draft) for item in section.items("steps", True)]
        rank = section.text("rank", True)
        if not rank.isdigit():
            notes.add("bad-figure", section.node, f'"{rank}" as rank of {section.what}', "a whole number", "correct it")
        draft.methods[method_id] = Method(
            method_id,
            section.text("title", True),
            int(rank) if rank.isdigit() else 0,
            read_when(section, "when", draft, "injuries"),
            draft.named(section, "ending", "ending"),
            draft.wording(section, "says", True),
            draft.basis(section),
            draft.names(section, "cautions", "caution"),
            tuple(steps),
            _without(section, draft),
        )
        section.finish()


def _without(section: Section, draft: Builder) -> dict[str, str]:
    """`without: [{stages: [fill], because: …}]`: the stages that a method does not have, and why."""
    found: dict[str, str] = {}
    for node in section.items("without"):
        inner = Section(node, section.notes, f'"without" of {section.what}')
        because = inner.text("because", True)
        found |= dict.fromkeys(draft.names(inner, "stages", "stage", True), because)
        inner.finish()
    return found


def _step(node: yaml.Node, notes: Notes, method_id: str, draft: Builder) -> Step:
    section = Section(node, notes, f"a step of {method_id}")
    step = Step(
        section.text("id", True),
        draft.wording(section, "says", True),
        draft.names(section, "figures", "limit value"),
        draft.names(section, "cautions", "caution"),
        read_when(section, "when", draft, "injuries"),
        draft.basis(section),
        section.one_of("once", ("before", "after")),
        section.text("name"),
        draft.names(section, "held-by", "caution"),
        draft.names(section, "asks", "question"),
        draft.names(section, "stage", "stage"),
    )
    _note_place(notes, f"{method_id}/{step.id}", node)
    section.finish()
    return step
