"""The question graph of a rule set as plain data: its parts, questions, ways on, what each can bring; a case's way lit.

The faces draw it, in a terminal or as SVG. Verdicts are told apart by word and sign, never by colour alone.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.question_graph import nodes_beside, unreached
from advisor.engine.templates import fill, value_in_words
from advisor.model import inputs
from advisor.model.case import TIRE
from advisor.model.decision_graph import END
from advisor.model.ruleset import Node, Part, RuleSet, Ruling, Verdict, leaves, tables_in
from advisor.tools.graph_words import OTHERWISE, short_condition
from advisor.tools.verify.reachability import path_order
from advisor.wording.condition_text import condition_words
from advisor.wording.verdict_card import VERDICT_SIGNS


def chips_of(node: Node, rules: RuleSet) -> list[Chip]:
    """What a node can bring, the best first, rulings before doubt."""
    found: dict[tuple[str, bool], Chip] = {}

    def add(name: str, verdict: Verdict | None, doubt: bool = False) -> None:
        there = found.get((name, doubt))
        found[name, doubt] = replace(there, count=there.count + 1) if there else Chip(name, verdict, doubt)

    for ruling in node.rulings:
        if ruling.ending:
            add(ruling.ending, rules.endings[ruling.ending].verdict)
        for name in ruling.restrictions:
            add(name, None)
        if ruling.allows:
            add(ALLOWS, Verdict.REPAIR)
        for name in {ruling.in_doubt, ruling.doubt_ending} - {"", "same", "never"}:
            add(name, rules.endings[name].verdict, doubt=True)
    if node.cant_tell.ending:
        add(node.cant_tell.ending, rules.endings[node.cant_tell.ending].verdict, doubt=True)
    return sorted(found.values(), key=lambda chip: (chip.doubt, chip.verdict is None, chip.verdict))


def lit_chips(chips: Iterable[Chip], node: str, judgement: Judgement | None, rules: RuleSet) -> Iterator[Chip]:
    """The chips with those lit that the case brought here, and what only its doubt brings."""
    brought: set[tuple[str, bool]] = set()
    for reason in judgement.reasons if judgement else ():
        if reason.node == node:
            names = ([reason.ending] if reason.ending else []) + list(reason.restrictions)
            brought |= {(name, bool(reason.doubt)) for name in names or [ALLOWS]}
    for chip in chips:
        yield replace(chip, lit=(chip.name, chip.doubt) in brought)
        brought.discard((chip.name, chip.doubt))
    for name, doubt in sorted(brought):
        verdict = rules.endings[name].verdict if name in rules.endings else None
        yield Chip(name, Verdict.REPAIR if name == ALLOWS else verdict, doubt, lit=True)


def why_chip(node: Node, chip: Chip, rules: RuleSet) -> Iterator[str]:
    """What brings a chip at a node: each ruling by id and condition."""
    for ruling in node.rulings:
        names = (ruling.ending, *ruling.restrictions, ALLOWS if ruling.allows else "")
        if chip.name in names and not chip.doubt:
            yield f"{ruling.id}: {condition_words(ruling.when, rules)}"
        if chip.doubt and chip.name in (ruling.in_doubt, ruling.doubt_ending):
            yield f"{ruling.id}, in doubt{_about(ruling)}"
    if chip.doubt and node.cant_tell.ending == chip.name:
        yield "when it can't be told"


def _about(ruling: Ruling) -> str:
    return f" about {', '.join(sorted(ruling.same_for))}" if ruling.same_for else ""


#: What is no verdict: a restriction, and a way that a case goes.
RESTRICTS = "RESTRICTS"
ALLOWS = "speaks for repair"


class Chip(Struct, frozen=True):
    """What a question can bring: a verdict's ending, or a restriction (`verdict` None).

    `doubt`: because it can't be told or is in doubt. `count` is by how many rulings. `says` stands only where one
    question is looked at closely.
    """

    name: str
    verdict: Verdict | None
    doubt: bool = False
    count: int = 1
    lit: bool = False
    says: tuple[str, ...] = ()

    @property
    def word(self) -> str:
        """The verdict as a word."""
        return RESTRICTS if self.verdict is None else VERDICT_SIGNS[self.verdict]

    @property
    def text(self) -> str:
        """Word and name, the verdict said once: `SCRAP tread`, `HOLD cant-tell`."""
        lead = f"{self.verdict}-" if self.verdict is not None else ""
        many = f" ×{self.count}" if self.count > 1 else ""
        return f"{self.word} {self.name.removeprefix(lead)}{many}"


class Way(Struct, frozen=True):
    """A way on: to a node, or to the `end` of the part. `short` is its condition in a few words, `says` all of it."""

    to: str
    short: str = ""
    says: str = ""
    lit: bool = False


class NodeCard(Struct, frozen=True):
    """A question or a bare place of rulings. `step` is when the case came by, 0 for never; `said` what it answered."""

    id: str
    name: str
    chips: tuple[Chip, ...]
    ways: tuple[Way, ...] = ()
    notes: tuple[str, ...] = ()
    asks: bool = True
    step: int = 0
    said: str = ""
    near: bool = False
    reached: bool = True


class PartPicture(Struct, frozen=True):
    """A part: its heading, and its cards in the order in which they are come to."""

    id: str
    heading: str
    cards: tuple[NodeCard, ...]


class GraphPicture(Struct, frozen=True):
    """The whole drawing, or one `around` a question or ending; `case` is what is said of the lit case.

    `headline` is that of the ending which it is around.
    """

    title: str
    parts: tuple[PartPicture, ...]
    ends: tuple[Chip, ...]
    endings: tuple[tuple[Verdict, str, str], ...]
    case: str = ""
    around: str = ""
    headline: str = ""


class _Drawn(Struct, frozen=True):
    """What is drawn: the rule set, around what, with which case's way lit; nodes by step, and those no way leads to."""

    rules: RuleSet
    around: str
    judgement: Judgement | None
    steps: Mapping[str, int]
    taken: frozenset[tuple[str, str]]
    lost: frozenset[str]
    centre: frozenset[str]


def graph_picture(rules: RuleSet, around: str = "", judgement: Judgement | None = None) -> GraphPicture:
    """The picture of a rule set: whole, or around one question or ending; with a case's path lit."""
    centre = frozenset(_centre(rules, around)) if around else frozenset()
    taken = frozenset(_taken(judgement))
    drawn = _Drawn(rules, around, judgement, _steps(judgement), taken, frozenset(unreached(rules)), centre)
    only = _only(rules, around)
    parts = []
    for part in rules.parts:
        own = [name for name, node in rules.nodes.items() if node.part == part.id]
        order = [name for name in dict.fromkeys((*path_order(part.starts, rules.nodes), *own)) if name in own]
        cards = tuple(_card(rules.nodes[name], drawn) for name in order if only is None or name in only)
        if cards:
            parts.append(PartPicture(part.id, _heading(part, rules), cards))
    about, in_words = rules.about, Judge(rules).in_words
    return GraphPicture(
        f"{about.title} ({about.id}), edition {about.edition}, digest {rules.digest}",
        tuple(parts),
        tuple(_ends(rules, judgement)) if not around else (),
        tuple((each.verdict, each.id, in_words(each.headline)) for each in rules.endings.values()),
        _case_line(rules, judgement),
        around,
        in_words(rules.endings[around].headline) if around in rules.endings else "",
    )


def known_names(rules: RuleSet) -> list[str]:
    """What a picture can be drawn around: nodes, their questions, endings, rulings, and limits that these go by."""
    every = (
        *rules.nodes,
        *rules.questions,
        *rules.endings,
        *(r.id for r in rules.rulings()),
        *rules.limits,
        *rules.tables,
    )
    return [name for name in dict.fromkeys(every) if _centre(rules, name)]


def _centre(rules: RuleSet, around: str) -> list[str]:
    """The nodes that a name stands for: itself, those that ask it or bring it, or that hold a reading against it."""
    if around in rules.endings:
        return [node.id for node in rules.nodes.values() if any(chip.name == around for chip in chips_of(node, rules))]
    return [node.id for node in rules.nodes.values() if around in {node.id, node.asks, *_held(node)}]


def _held(node: Node) -> Iterator[str]:
    """The rulings of a node, and the limits that these or its ways on go by."""
    yield from (ruling.id for ruling in node.rulings)
    for condition in (*(ruling.when for ruling in node.rulings), *(edge.when for edge in node.next)):
        yield from (leaf.operand[0] for leaf in leaves(condition) if leaf.test in ("beyond", "within"))
        yield from tables_in(condition)


def _only(rules: RuleSet, around: str) -> Collection[str] | None:
    """The nodes to be drawn; None for all of them."""
    if not around:
        return None
    centre = _centre(rules, around)
    return centre if around in rules.endings else {name for node in centre for name in nodes_beside(rules, node)}


def _heading(part: Part, rules: RuleSet) -> str:
    over = {"tire": "once", "injuries": "for each injury", inputs.OVER_REPAIRS: "for each earlier repair"}
    when = f", when {condition_words(part.when, rules)}" if part.when is not None else ""
    return f"{part.id}: {over[part.over]}{when}"


def _card(node: Node, drawn: _Drawn) -> NodeCard:
    rules, around = drawn.rules, drawn.around
    chips = chips_of(node, rules)
    if around in rules.endings:
        chips = [chip for chip in chips if chip.name == around]
    near = bool(around) and node.id in drawn.centre
    if near:
        chips = [replace(chip, says=tuple(why_chip(node, chip, rules))) for chip in chips]
    question = rules.questions.get(node.asks)
    return NodeCard(
        id=node.id,
        name=question.name if question else "not asked: rulings or ways only",
        chips=tuple(lit_chips(chips, node.id, drawn.judgement, rules)),
        ways=tuple(_ways(node, drawn)) if around not in rules.endings else (),
        notes=tuple(_notes(node, rules)) if near and around not in rules.endings else (),
        asks=bool(node.asks),
        step=drawn.steps.get(node.id, 0),
        said=_said(node, drawn.judgement, rules) if node.id in drawn.steps else "",
        near=near,
        reached=node.id not in drawn.lost,
    )


def _ways(node: Node, drawn: _Drawn) -> Iterator[Way]:
    """The ways on, those to one place together."""
    for to in dict.fromkeys(edge.to for edge in node.next):
        whens = [edge.when for edge in node.next if edge.to == to]
        lit = (node.id, to) in drawn.taken
        if len(node.next) == 1:
            yield Way(to, lit=lit)
        else:
            words = [condition_words(when, drawn.rules) if when is not None else OTHERWISE for when in whens]
            short = [short_condition(when, drawn.rules) if when is not None else OTHERWISE for when in whens]
            yield Way(to, "; or ".join(short), "; or ".join(words), lit)


def _notes(node: Node, rules: RuleSet) -> Iterator[str]:
    """What else holds at a node that is looked at closely."""
    if node.asks:
        yield f"asks: {rules.questions[node.asks].asks}"
    if node.optional:
        yield "may be left out"
    if node.unless is not None:
        yield f"not asked when {condition_words(node.unless, rules)}"
    if node.cant_tell.counts_as:
        yield f"can't tell counts as {node.cant_tell.counts_as}"
    for ruling in node.rulings:
        if ruling.cautions:
            yield f"caution {', '.join(ruling.cautions)}: {condition_words(ruling.when, rules)}"


def _ends(rules: RuleSet, judgement: Judgement | None) -> Iterator[Chip]:
    """How a case ends when no ruling decides: by a method, or because something is open."""
    names = [method.ending for method in rules.methods.values() if method.ending]
    doubts = (rules.about.when_unanswered, rules.about.when_in_doubt)
    for name in dict.fromkeys(names):
        yield Chip(name, rules.endings[name].verdict, lit=judgement is not None and judgement.ending == name)
    for name in dict.fromkeys(doubts):
        yield Chip(name, rules.endings[name].verdict, True, lit=judgement is not None and judgement.ending == name)


def _steps(judgement: Judgement | None) -> dict[str, int]:
    """When the case first came by each node, counted from 1."""
    visited = dict.fromkeys(visit.stop.node.id for visit in judgement.walk.visits) if judgement else {}
    return {name: number for number, name in enumerate(visited, 1)}


def _taken(judgement: Judgement | None) -> Iterator[tuple[str, str]]:
    """The ways that the case went, within a part and out of it."""
    for before, after in pairwise((*judgement.walk.visits, None) if judgement else ()):
        assert before is not None
        node = before.stop.node
        goes_on = after is not None and after.stop.node.part == node.part and before.facts.index == after.facts.index
        yield node.id, after.stop.node.id if goes_on and after is not None else END


def _said(node: Node, judgement: Judgement | None, rules: RuleSet) -> str:
    """What the case answers at a node, once for the tire or for each injury or earlier repair."""
    if judgement is None or not node.asks:
        return ""
    question = rules.questions[node.asks]
    said = []
    for visit in judgement.walk.visits:
        if visit.stop.node.id == node.id:
            answer = visit.facts.said(node.asks)
            none = "not answered" if visit.asked else "not asked"
            words = value_in_words(answer, question) if answer is not None else none
            number = f"{visit.facts.index + 1}: " if visit.facts.index != TIRE else ""
            said.append(f"{number}{words}")
    return said[0].partition(": ")[2] if len(said) == 1 and said[0][:3] == "1: " else "; ".join(said)


def _case_line(rules: RuleSet, judgement: Judgement | None) -> str:
    if judgement is None:
        return ""
    headline = fill(rules.endings[judgement.ending].headline, judgement.walk.tire, rules)
    return f"The case's way is lit: {VERDICT_SIGNS[judgement.verdict]}, {judgement.ending}: {headline}"
