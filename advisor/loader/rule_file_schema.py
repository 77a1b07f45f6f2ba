"""What each file of a rule set may hold, declared: the loader reads by it, and the JSON Schemas are made of it.

The words of the declaration are those of `schema_types.py`; a name is the model's own, `key` the file's where they
differ. A key more in the rule language is a line here, and its use (`build.py`, where it is not just a field of the
model).
"""

from __future__ import annotations

from typing import NamedTuple

from advisor.loader.condition_reader import LaterWhen, When
from advisor.loader.phrase_file import BARE_KINDS, CUES, PART_KINDS, WAYS, ChoiceRef, FrameRef, Phrase
from advisor.loader.schema_types import (
    QUANTITIES,
    After,
    AnyQuantity,
    Asked,
    AtBase,
    By,
    ByKey,
    Either,
    Forbidden,
    Id,
    ImpliedClause,
    ImpliedStanding,
    Keyword,
    ListOf,
    MapOf,
    Mapping,
    Needed,
    NodeId,
    Over,
    Quantity,
    Ref,
    Schema,
    String,
    Template,
    Whole,
    former_ids,
    refs,
    strings,
    templates,
    yes_no,
)
from advisor.model.inputs import CHOICE, CHOICES, FIGURE_KINDS, MEASURE, OVERS, QUESTION_KINDS, READINGS
from advisor.model.quantity import units_for
from advisor.model.ruleset import EFFORTS, FIELD_KINDS, HAZARDS, RECORD_FILLS, STANDINGS, TOPICS, Verdict

_SOURCE_KINDS = (
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
_VERDICTS = {str(verdict): verdict for verdict in Verdict}
#: Rulings, doubt and "can't tell" may bring any ending but a repair; what speaks for repair `allows` it.
_GRAVE = "grave-ending"


#: Keys that are not given without a source.
_OF_SOURCE = Needed("standing", "clause")


def _basis(required: bool | Needed = True) -> dict[str, Schema]:
    """What an entry rests on: its sources, and where they do not say it, its standing and the place in them."""
    return {
        "sources": refs("source", required=required, key="source"),
        "standing": ImpliedStanding(),
        "clause": ImpliedClause(),
    }


def _limit_basis(required: bool | Needed = True) -> dict[str, Schema]:
    """What a figure rests on: all three keys, or none of them."""
    return {
        "standing": Keyword(*STANDINGS, required=required),
        "sources": refs("source", required=required, key="source"),
        "clause": String(required=required),
    }


#: For each topic that a text touches, which side it takes.
_SPEAKS = MapOf(Keyword(*TOPICS), Keyword("for", "against", "neither"))

_ABOUT = Mapping(
    id=String(required=True),
    title=String(required=True),
    edition=String(required=True),
    scope=String(required=True),
    not_for=strings(required=True),
    defers_to=strings(required=True),
    when_unanswered=Ref(_GRAVE, required=True),
    when_in_doubt=Ref(_GRAVE, required=True),
    before=refs("caution", required=True, key="before-you-begin"),
    always=refs("caution", required=True, key="always-shown"),
    with_repair=refs("caution", required=True, key="shown-with-repair"),
    notes=strings(),
    spelled=MapOf(String(), String()),
    shares=String(),
    conflicts=ListOf(
        Mapping(
            says=String(required=True),
            sources=refs("source", required=True, key="source"),
            counts=String(required=True),
        ),
        each="a conflict",
    ),
    looked_for=ListOf(
        Mapping(says=String(required=True), where=String(required=True), instead=String(required=True)),
        each="something looked for",
    ),
    record=Mapping(
        title=String(required=True),
        term=Ref("term", required=True, key="when"),
        lines=MapOf(String(), Keyword(*RECORD_FILLS), required=True),
        keep=templates(required=True),
        **_basis(),
    ),
)

_SOURCE = Mapping(
    title=String(required=True),
    publisher=String(required=True),
    edition=String(required=True),
    kind=Keyword(*_SOURCE_KINDS, required=True),
    read=Keyword("first hand", "second hand", "not seen", required=True),
    binds=String(),
)

#: What a limit is from a day on; what is not said is as before.
_LATER = Mapping(
    figures=ListOf(AnyQuantity(), required=True, key="value"),
    says=String(),
    **_limit_basis(Needed("standing", "source", "clause")),
    note=String(),
)
_LIMIT = Mapping(
    figures=ListOf(AnyQuantity(), required=True, key="value"),
    worse=Keyword("above", "below"),
    at_limit_passes=Keyword({"passes": True, "fails": False}, default=True, required=Needed("worse"), key="at-limit"),
    says=String(required=True),
    **_limit_basis(),
    note=String(),
    formerly=former_ids("limit"),
    later=MapOf(String(), _LATER, each="{entry} from", placed=True, key="from"),
)

#: A limit chosen by the first row that holds.
_LIMIT_TABLE = Mapping(
    says=String(required=True),
    rows=ListOf(
        Mapping(when=When(anywhere=True, required=True), limit=Ref("testable-limit", required=True)),
        each="a row of {entry}",
        required=True,
        key="by",
    ),
    note=String(),
)

_TERM = Mapping(says=String(required=True), when=LaterWhen(required=True))

_CHOICE = Mapping(says=String(required=True), also=strings(), help=String(), formerly=strings())
_CHOICES = MapOf(String(), Either(String(), _CHOICE), each="choice", required=True)
_NOT_ORDERED = Mapping(
    less=Ref("choice:{entry}", required=True),
    more=Ref("choice:{entry}", required=True),
    when=When(required=True),
    because=String(required=True),
)
_OLDER_CASES = Mapping(counts_as=strings(required=True), because=Template(required=True))
#: How often each choice comes up, roughly, by weight; what is not named as often as the mean, `none` of findings too.
_LIKELY = MapOf(Ref("choice:{entry}", "none"), Whole())
_QUANTITY = Keyword(*QUANTITIES, required=True)
_SIDES = Keyword("above", "below")
_FOUND = Keyword("found")
_QUESTION = Mapping(
    over=Over(*OVERS, default="tire", key="about"),
    key=String(key="in-case"),
    kind=Keyword(*QUESTION_KINDS, required=True),
    name=String(required=True),
    asks=Template(required=True),
    quantity=By("kind", {MEASURE: _QUANTITY, READINGS: _QUANTITY}, key="of"),
    unit=By("quantity", {name: Keyword(*units_for(name), required=True) for name in QUANTITIES}),
    plausible=By("quantity", {name: Quantity(name, required=True) for name in QUANTITIES}, default=None),
    choices=By("kind", {CHOICE: _CHOICES, CHOICES: _CHOICES}, default={}),
    how=Template(),
    why=Template(required=True),
    shown_as=String(key="example"),
    left_out_by=strings(),
    worse=By("kind", {kind: _SIDES if kind in FIGURE_KINDS else _FOUND for kind in QUESTION_KINDS}),
    worse_order=refs("choice:{entry}"),
    no_order=String(),
    not_ordered=ListOf(_NOT_ORDERED),
    or_clock=By("kind", {CHOICE: yes_no()}, default=False),
    figures_said=By("kind", {READINGS: MapOf(Ref("limit"), strings())}, default={}),
    older_cases=_OLDER_CASES,
    effort=Keyword(*EFFORTS, default=EFFORTS[1]),
    prompt=String(),
    after=refs("known-question"),  # what a set does not ask is no reason to take it in
    words_for=By("kind", {MEASURE: MapOf(String(), strings())}, default={}),
    likely=By("kind", {CHOICE: _LIKELY, CHOICES: _LIKELY}, default={}),
    formerly=former_ids("question"),
)

_VALUE = Mapping(
    over=Keyword(*OVERS, default="tire", key="about"),
    function=Ref("function", required=True),
    name=String(required=True),
    figures=MapOf(String(), Ref("limit")),
    said_back=yes_no(),
    if_unknown=String(),
    reads=MapOf(String(), Ref("question value")),
)

_ENDING = Mapping(
    verdict=Keyword(_VERDICTS, default=Verdict.HOLD, required=True),
    headline=Template(required=True),
    do_now=templates(required=True),
    tell_driver=Template(required=True),
    method=Ref("method"),
    cautions=refs("caution"),
    driver_by=MapOf(Keyword(*STANDINGS), Template(), key="tell-driver-by"),
    speaks=_SPEAKS,
    formerly=former_ids("ending"),
)

_RESTRICTION = Mapping(
    says=Template(required=True),
    tell_driver=Template(required=True),
    said_at=refs("stage"),
    speaks=_SPEAKS,
    formerly=former_ids("restriction"),
)

_CAUTION = Mapping(
    hazard=Keyword(*HAZARDS, required=True),
    says=Template(required=True),
    **_basis(),
    do_now=MapOf(Keyword(*_VERDICTS), Template()),
    at_once=yes_no(),
    fits=refs("verdict ending"),
    not_with=refs("ending restriction"),
    speaks=_SPEAKS,
    formerly=former_ids("caution"),
    of_this_tire=yes_no(),
)

#: What a method may say of a step of its own: words in place of the step's, names besides those that it has.
_STEP_WORDS: dict[str, Schema] = {"name": String(), "stages": refs("stage", key="stage")}
_STEP_NAMES: dict[str, Schema] = {
    "figures": refs("limit table value"),
    "cautions": refs("caution"),
    "held_by": refs("caution"),
    "asks": refs("question"),
}
#: The fields of a step to which a method adds.
ADDED_TO_STEPS = tuple(_STEP_NAMES)
_STEP_FIELD = Mapping(
    id=String(required=True),
    name=String(required=True),
    kind=Keyword(*FIELD_KINDS, default="words"),
    kept=yes_no(),
    example=String(),
    example_by=MapOf(String(), String(), key="example-by-vehicle"),
    passes=ListOf(String()),
    fails=ListOf(String()),
    places=ListOf(String()),
    failed=String(),
)
_STEP_KEYS: dict[str, Schema] = {
    "says": Template(required=True),
    **_STEP_WORDS,
    **_STEP_NAMES,
    **_basis(),
    "when": When("injuries"),
    "once": Keyword("before", "after"),
    "done_where": When("injuries", key="done-where"),
    "waits_from": Ref("any-step", "here"),
    "waits_for": Ref("time-limit time-value"),
    "measures": refs("question"),
    "fields": ListOf(_STEP_FIELD),
    "tell_driver": Template(),
}
_STEP = Mapping(**{**_STEP_KEYS, "stages": refs("stage", required=True, key="stage")})
_STEP_HERE = Mapping(
    step=Ref("step", required=True),
    says=Template(),
    **_STEP_WORDS,
    **_STEP_NAMES,
    **_basis(_OF_SOURCE),
)
#: One written out in its method, as all were before there was steps.yaml.
_STEP_WRITTEN_OUT = Mapping(id=String(required=True), **_STEP_KEYS)
_METHOD = Mapping(
    title=String(required=True),
    rank=Whole(required=True),
    when=When("injuries"),
    ending=Ref("repair-ending", required=Needed("when", do="name the ending that this repair has, or take out when")),
    says=Template(required=True),
    **_basis(),
    cautions=refs("caution"),
    steps=ListOf(ByKey("step", _STEP_HERE, _STEP_WRITTEN_OUT), each="a step of {entry}", required=True),
    without=ListOf(Mapping(stages=refs("stage", required=True), because=String(required=True))),
    formerly=former_ids("method"),
)

_RULING = Mapping(
    id=String(),
    when=When(required=True),
    ending=Ref(_GRAVE),
    restrictions=refs("restriction", key="restriction"),
    cautions=refs("caution", key="caution"),
    allows=Keyword({"repair": True}, default=False),
    **_basis(_OF_SOURCE),
    doubts=refs("question"),
    in_doubt=Either(
        Ref(_GRAVE, "same", "never"),
        Mapping(same_for=refs("question", required=True), ending=Ref(_GRAVE)),
    ),
    because=Template(required=True, in_reach=True),
)
_RULINGS = ListOf(_RULING, each="a ruling at {entry}")
#: What can't tell brings: an ending, `goes-on`, a choice or measure that it counts as.
_CANT_TELL = (
    Ref(_GRAVE, "goes-on"),
    Mapping(counts_as=String(), ending=Ref(_GRAVE), because=Template()),
)
_SAY_WHAT = Needed(
    "ask",
    problem="missing-cant-tell",
    expected="what counts when it can't be told: an ending, goes-on, or {{counts-as: _CHOICE}}",
    do="say what doubt means here; it may never count as a pass",
)
_NODE_KEYS: dict[str, Schema] = {
    "asks": Ref("question", in_reach=True, key="ask"),
    "asked": Asked(When(), When()),
    "optional": Keyword("yes", "no", "in-files", default="no"),
    "instead": Template(),
    "cant_tell": Either(*_CANT_TELL, required=_SAY_WHAT),
    "rulings": _RULINGS,
}
_WAYS = (
    Ref("node", "end"),
    ListOf(Mapping(when=When(), go=Ref("node", "end", required=True)), each="a way on from node {entry}"),
)
_PART = Mapping(
    over=Over(*OVERS, required=True),
    asked=Asked(When("tire"), When("tire")),
    more=Ref("question", in_reach=True),
    any_order=MapOf(String(), refs("question")),
    nodes=MapOf(NodeId(), Mapping(**_NODE_KEYS, next=Either(*_WAYS)), each="node", required=True),
)
_PATHS = Mapping(parts=MapOf(Id(), _PART, each="part", required=True))

_WORD = Mapping(title=String(required=True), also=strings(), says=Template(required=True), asked_for=yes_no())

#: What people ask. Names in it are texts here: `build.py` looks them up, and passes over those of a shared entry that
#: a rule set does not have.
_INTENT = Mapping(
    said=strings(),
    stands_for=strings(),
    offer=String(),
    forms=strings(),
    not_behind=strings(),
    question=String(),
    quantities=strings(),
    means=MapOf(String(), String()),
)
_SUBJECT = Mapping(
    said=strings(),
    name=String(),
    question=String(),
    as_if=MapOf(String(), String()),
    limits=strings(),
    steps=strings(),
    cautions=strings(),
    word=String(),
    sketch=String(),
    weak=yes_no(),
    whole=yes_no(),
    of_use=yes_no(),
)
_READY = Mapping(
    about=strings(),
    kinds=strings(),
    said=strings(),
    says=String(),
    cautions=strings(),
    limits=strings(),
    steps=strings(),
    verdict=yes_no(),
    leave=String(),
    held_beside=strings(),
    of_use=yes_no(),
    first=yes_no(),
    unruled=yes_no(),
    sources=strings(key="source"),
    standing=ImpliedStanding(),
    clause=String(),
)

_PHRASE_LIST = ListOf(Phrase())
_OF_CHOICES = MapOf(Ref("question"), MapOf(ChoiceRef(), _PHRASE_LIST))
_SEVERAL = MapOf(String(), MapOf(Ref("question"), Ref("choice:{entry}")), placed=True)
_FRAMES = MapOf(Ref("question"), MapOf(FrameRef(), strings()))
_PHRASES = Mapping(
    **{key.replace("-", "_"): _OF_CHOICES for key in WAYS},
    asks=MapOf(Ref("question"), _PHRASE_LIST),
    several=_SEVERAL,
    several_doubtful=_SEVERAL,
    labels=MapOf(Ref("question"), _PHRASE_LIST),
    cues=MapOf(Keyword(*CUES), _PHRASE_LIST),
    units=MapOf(String(), Mapping(unit=String(required=True), ask=String()), each="unit"),
    spellings=MapOf(String(), _PHRASE_LIST),
    dictated=MapOf(String(), Mapping(right=String(required=True, key="for"), beside=strings(required=True))),
    only_when_asked=strings(),
    ordinary=String(),
    telling=MapOf(String(), String()),
    parts=MapOf(Keyword(*PART_KINDS), strings(), placed=True),
    bare=MapOf(Keyword(*BARE_KINDS), strings()),
    classes=MapOf(String(), strings()),
    frames=_FRAMES,
    signs=_FRAMES,
    hints=_FRAMES,
    runs=ListOf(
        Mapping(
            said=String(required=True),
            sets=yes_no(),
            drops=strings(),
            having=strings(key="with"),
        ),
        each="a run of words with figures",
    ),
    sets_right=strings(),
    none_of=strings(),
)

_UNIT = Mapping(
    name=String(required=True),
    method=Ref("method", required=True),
    groups=ListOf(Keyword("light", "medium-truck", "other"), required=True, key="for"),
    zones=ListOf(Keyword("crown", "shoulder", "sidewall", "bead"), required=True, key="zone"),
    injury=Quantity("length", required=True),
    angle=Quantity("angle", required=True),
    length=Quantity("length", required=True),
    width=Quantity("length", required=True),
    stem=Quantity("length", required=True),
    **_basis(),
)

#: An overlay says what it builds on, and may leave the rest as there.
_OVERLAY_ABOUT = Mapping(
    id=String(required=True),
    title=String(required=True),
    edition=String(required=True),
    scope=String(),
    not_for=strings(),
    defers_to=strings(),
    before=refs("caution", key="before-you-begin"),
    always=refs("caution", key="always-shown"),
    with_repair=refs("caution", key="shown-with-repair"),
    notes=strings(),
    builds_on=String(required=True),
)
_ADDED_TO_NODE = Mapping(rulings=_RULINGS, cant_tell=Either(*_CANT_TELL))
_NO_WAYS = Forbidden(
    "changed-meaning",
    "which could pass over questions and rulings of the base",
    "no ways on of its own: it goes on as the node that it comes after",
    "take it out; a further node of your own comes after this one",
)
_NEW_NODE = Mapping(after=After(required=Needed(do="say which node it follows")), **_NODE_KEYS, next=_NO_WAYS)


class Declared(NamedTuple):
    """A file: what it holds, in a line, and its schema."""

    title: str
    schema: Schema


def _entries(title: str, entry: Schema, each: str) -> Declared:
    return Declared(title, MapOf(Id(), entry, each))


#: In this order, so that an entry can be as firm as its sources, and a ruling take over the basis of its limit.
FILES = {
    "sources.yaml": _entries("the texts that limits rest on", _SOURCE, "source"),
    "about.yaml": Declared(
        "id, edition, scope, whom it defers to, what counts when an answer is missing or in doubt", _ABOUT
    ),
    "terms.yaml": _entries("conditions with a name, used by it in any other", _TERM, "term"),
    "limits.yaml": _entries(
        "every figure, with unit, source, clause and standing", ByKey("by", _LIMIT_TABLE, _LIMIT, lone=False), "limit"
    ),
    "questions.yaml": _entries("wording, kind, choices, unit, plausible range, help", _QUESTION, "question"),
    "values.yaml": _entries(
        "values worked out of answers, each by a function of the program with figures by name",
        _VALUE,
        "worked-out value",
    ),
    "endings.yaml": _entries("verdict, headline, what to do now, what to tell the driver", _ENDING, "ending"),
    "restrictions.yaml": _entries("conditions on the return to service", _RESTRICTION, "restriction"),
    "cautions.yaml": _entries("hazards and what to do about them", _CAUTION, "caution"),
    "steps.yaml": _entries("the steps of the work, with figures by name: what methods list", _STEP, "step"),
    "methods.yaml": _entries("when a method applies, its steps in order", _METHOD, "method"),
    "paths.yaml": Declared("parts in the order they are walked, what may be asked in any order, then nodes", _PATHS),
    "words.yaml": _entries("the trade's terms", _WORD, "word"),
    "intents.yaml": _entries(
        "kinds of question in the words that people ask in, and words that mean the same", _INTENT, "kind of question"
    ),
    "subjects.yaml": _entries("what a question can be about, and where these rules speak of it", _SUBJECT, "subject"),
    "answers.yaml": _entries("texts that answer what no ruling holds, each with what it rests on", _READY, "answer"),
    "phrases.yaml": Declared("words and phrases that people say, and the answers that they give", _PHRASES),
    "units.yaml": _entries(
        "by tire group, zone, injury size and angle the unit's name, length, width and stem", _UNIT, "unit"
    ),
}
#: Those of an overlay that are other than those of a rule set that stands alone.
OVERLAY_FILES = {
    "about.yaml": Declared("what the overlay builds on, and what it adds to it", _OVERLAY_ABOUT),
    "paths.yaml": Declared(
        "what is added at the base's nodes, and nodes of the overlay's own",
        Mapping(nodes=MapOf(Id(), AtBase(_ADDED_TO_NODE, _NEW_NODE), each="node")),
    ),
}
