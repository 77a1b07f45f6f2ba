"""Reads the files that hold facts and wording: about, sources, limits, questions, values, endings, cautions, words."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import yaml
from msgspec.structs import replace

from advisor.loader.builder import Builder
from advisor.loader.condition_reader import read_condition
from advisor.loader.reader import Notes, Section, items_of, pairs_of, sections, text_of
from advisor.model.inputs import CLOCK_KIND, FIGURE_KINDS, OVERS, QUESTION_KINDS
from advisor.model.problems import Misread
from advisor.model.quantity import UNITS, Measure, read_measure, units_for
from advisor.model.ruleset import (
    STANDINGS,
    TOPICS,
    About,
    Caution,
    ChoiceText,
    Ending,
    NotOrdered,
    Question,
    Restriction,
    Source,
    Verdict,
    Word,
    WorkedOut,
)

SOURCE_KINDS = (
    "law",
    "state law",
    "association",
    "military manual",
    "consensus standard",
    "trade press",
    "derived",
    "memory",
    "physics",
    "house rule",
)
READ_HOW = ("first hand", "second hand", "not seen")
HAZARDS = (
    "inflation",
    "stored energy",
    "solvent",
    "dust",
    "eyes",
    "hands",
    "lifting",
    "traffic",
    "authority",
    "road use",
    "inspection",
)
#: Which side a text takes on a topic.
_SIDES = ("for", "against", "neither")
_QUANTITIES = tuple(dict.fromkeys(unit.quantity for unit in UNITS.values()))


def read_about(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """about.yaml: id, edition, scope, whom it defers to, what counts when an answer is missing or in doubt."""
    section = Section(node, notes, "about.yaml")
    draft.about = About(
        id=section.text("id", True),
        title=section.text("title", True),
        edition=section.text("edition", True),
        scope=section.text("scope", True),
        not_for=section.texts("not-for", True),
        defers_to=section.texts("defers-to", True),
        when_unanswered=draft.named(section, "when-unanswered", "ending", True),
        when_in_doubt=draft.named(section, "when-in-doubt", "ending", True),
        before=draft.names(section, "before-you-begin", "caution", True),
        always=draft.names(section, "always-shown", "caution", True),
        with_repair=draft.names(section, "shown-with-repair", "caution", True),
        notes=section.texts("notes"),
        spelled=section.take("spelled", _spelled, ()),
    )
    section.finish()


def _spelled(node: yaml.Node, notes: Notes, what: str) -> tuple[tuple[str, str], ...]:
    return tuple((word, text_of(value, notes, what)) for word, _, value in pairs_of(node, notes, what))


def read_sources(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """sources.yaml: the texts that limits rest on."""
    for source_id, section in sections(node, notes, "source"):
        draft.sources[source_id] = Source(
            source_id,
            section.text("title", True),
            section.text("publisher", True),
            section.text("edition", True),
            section.one_of("kind", SOURCE_KINDS, needed=True),
            section.one_of("read", READ_HOW, needed=True),
        )
        section.finish()


def read_questions(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """questions.yaml: wording, kind, choices, unit, plausible range, help."""
    for question_id, section in sections(node, notes, "question"):
        kind = section.one_of("kind", QUESTION_KINDS, "text", True)
        measured = kind in FIGURE_KINDS
        quantity = "angle" if kind == CLOCK_KIND else section.one_of("of", _QUANTITIES, "length", measured)
        draft.questions[question_id] = Question(
            id=question_id,
            over=section.one_of("about", OVERS, "tire"),
            key=section.text("in-case") or question_id,
            name=section.text("name", True),
            asks=draft.wording(section, "asks", True),
            kind=kind,
            quantity=quantity if measured else "",
            unit=section.one_of(
                "unit", units_for(quantity) if measured else UNITS, needed=measured and kind != CLOCK_KIND
            ),
            choices=tuple(section.take("choices", _choices, [], kind in ("choice", "choices"))),
            plausible=section.take("plausible", _plausible(quantity), None, measured and kind != CLOCK_KIND),
            how=draft.wording(section, "how"),
            why=draft.wording(section, "why", True),
            shown_as=section.text("example"),
            left_out_by=section.texts("left-out-by"),
            worse=section.one_of("worse", ("above", "below") if measured else ("found",)),
            worse_order=_worse_order(question_id, section, draft),
            no_order=section.text("no-order"),
            not_ordered=tuple(_not_ordered(question_id, section, draft)),
            or_clock=kind == "choice" and section.one_of("or-clock", ("yes", "no"), "no") == "yes",
            figures_said=section.take("figures-said", _figures_said(draft), {}) if kind == "readings" else {},
        )
        section.finish()


def _worse_order(question_id: str, section: Section, draft: Builder) -> tuple[str, ...]:
    """The choices from the least to the worst damage; those left out stand beside the order."""
    what = f'"worse-order" of {section.what}'
    names = []
    for node in section.items("worse-order"):
        word = text_of(node, section.notes, what)
        names.append(draft.refer(f"choice:{question_id}", word, node, section.notes, what))
    return tuple(names)


def _not_ordered(question_id: str, section: Section, draft: Builder) -> Iterator[NotOrdered]:
    """Where the order of two choices does not count."""
    over = section.one_of("about", OVERS, "tire")
    for node in section.items("not-ordered"):
        each = Section(node, section.notes, f'"not-ordered" of {section.what}')
        less, more = (draft.named(each, key, f"choice:{question_id}", True) for key in ("less", "more"))
        when = each.take("when", lambda at, notes, what: read_condition(at, notes, what, draft, over), None, True)
        yield NotOrdered(less, more, when, each.text("because", True))
        each.finish()


def _figures_said(draft: Builder) -> Callable[[yaml.Node, Notes, str], dict[str, Measure]]:
    """Words that stand for a limit's first figure; limits are read before questions."""

    def read(node: yaml.Node, notes: Notes, what: str) -> dict[str, Measure]:
        said: dict[str, Measure] = {}
        for name, _, value in pairs_of(node, notes, what):
            draft.refer("limit", name, node, notes, what)
            limit = draft.limits.get(name)
            words = [text_of(item, notes, what) for item in items_of(value, notes, what)]
            if limit is not None:
                figure = limit.figures[0]
                named = replace(figure, typed=f"{figure}, {limit.basis.standing}")
                said |= {word.casefold(): named for word in words}
        return said

    return read


def _choices(node: yaml.Node, notes: Notes, what: str) -> list[ChoiceText]:
    choices = []
    for choice_id, _, value in pairs_of(node, notes, what):
        if isinstance(value, yaml.MappingNode):
            section = Section(value, notes, f"choice {choice_id}")
            choices.append(
                ChoiceText(choice_id, section.text("says", True), section.texts("also"), section.text("help"))
            )
            section.finish()
        else:
            choices.append(ChoiceText(choice_id, text_of(value, notes, f"choice {choice_id}")))
    return choices


def _plausible(quantity: str) -> Callable[[yaml.Node, Notes, str], Measure | None]:
    def read(node: yaml.Node, notes: Notes, what: str) -> Measure | None:
        try:
            return read_measure(text_of(node, notes, what), quantity)
        except Misread as error:
            notes.misread("bad-figure", node, error)
            return None

    return read


def read_values(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """values.yaml: values worked out of answers, each by a function of the program with figures by name."""
    for value_id, section in sections(node, notes, "worked-out value"):
        function = draft.named(section, "function", "function", True)
        figures = {}
        figures_node = section.node_of("figures")
        if figures_node is not None:
            for argument, _, value in pairs_of(figures_node, notes, f"figures of {section.what}"):
                name = text_of(value, notes, argument)
                figures[argument] = draft.refer("limit", name, value, notes, section.what)
        over = section.one_of("about", OVERS, "tire")
        draft.values[value_id] = WorkedOut(
            value_id,
            over,
            function,
            section.text("name", True),
            figures,
            section.one_of("said-back", ("yes", "no"), "no") == "yes",
            section.text("if-unknown"),
        )
        section.finish()


def read_endings(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """endings.yaml: verdict, headline, what to do now, what to tell the driver."""
    for ending_id, section in sections(node, notes, "ending"):
        verdict = section.one_of("verdict", [str(verdict) for verdict in Verdict], "hold", True)
        draft.endings[ending_id] = Ending(
            ending_id,
            Verdict[verdict.upper()],
            draft.wording(section, "headline", True),
            draft.wordings(section, "do-now", True),
            draft.wording(section, "tell-driver", True),
            draft.named(section, "method", "method"),
            draft.names(section, "cautions", "caution"),
            _driver_by(section, draft),
            _speaks(section),
        )
        section.finish()


def _speaks(section: Section) -> dict[str, str]:
    """`speaks: {air: against}`: for each topic that the text touches, which side it takes."""
    node = section.node_of("speaks")
    if node is None:
        return {}
    inner = Section(node, section.notes, f'"speaks" of {section.what}')
    said = {topic: inner.one_of(topic, _SIDES) for topic in TOPICS}
    inner.finish()
    return {topic: side for topic, side in said.items() if side}


def _driver_by(section: Section, draft: Builder) -> dict[str, str]:
    """`tell-driver-by: {common practice: …}`: the driver's text where the reasons that decide have that standing."""
    node = section.node_of("tell-driver-by")
    if node is None:
        return {}
    inner = Section(node, section.notes, f'"tell-driver-by" of {section.what}')
    said = {standing: draft.wording(inner, standing) for standing in STANDINGS}
    inner.finish()
    return {standing: text for standing, text in said.items() if text}


def read_restrictions(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """restrictions.yaml: conditions on the return to service."""
    for restriction_id, section in sections(node, notes, "restriction"):
        draft.restrictions[restriction_id] = Restriction(
            restriction_id,
            draft.wording(section, "says", True),
            draft.wording(section, "tell-driver", True),
            draft.names(section, "said-at", "stage"),
            _speaks(section),
        )
        section.finish()


def read_cautions(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """cautions.yaml: hazards and what to do about them."""
    for caution_id, section in sections(node, notes, "caution"):
        draft.cautions[caution_id] = Caution(
            caution_id,
            section.one_of("hazard", HAZARDS, needed=True),
            draft.wording(section, "says", True),
            draft.basis(section),
            section.take("do-now", _do_now(draft), {}),
            section.one_of("at-once", ("yes", "no"), "no") == "yes",
            draft.names(section, "fits", "verdict ending"),
            draft.names(section, "not-with", "ending restriction"),
            _speaks(section),
        )
        section.finish()


def _do_now(draft: Builder) -> Callable[[yaml.Node, Notes, str], dict[str, str]]:
    """By verdict, the line that a caution puts at the head of what to do now."""

    def read(node: yaml.Node, notes: Notes, what: str) -> dict[str, str]:
        section = Section(node, notes, what)
        lines = {str(verdict): draft.wording(section, str(verdict)) for verdict in Verdict}
        section.finish()
        return {verdict: line for verdict, line in lines.items() if line}

    return read


def read_words(node: yaml.Node, notes: Notes, draft: Builder) -> None:
    """words.yaml: the trade's terms."""
    for word_id, section in sections(node, notes, "word"):
        draft.words[word_id] = Word(
            word_id, section.text("title", True), section.texts("also"), draft.wording(section, "says", True)
        )
        section.finish()
