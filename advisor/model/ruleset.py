"""A rule set as frozen data: what the YAML says, checked, and nothing that a file could not say.

The digest of a rule set: a hash that says whether two of them mean the same.

Annotations are evaluated here: as texts each would be compiled at every start, when the ready copy is read.
"""

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from enum import IntEnum
from functools import cached_property
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace

from advisor.model.asked import AskedKind, AskedSubject, ReadyAnswer
from advisor.model.decision_graph import (
    LONE_TESTS,
    CantTellRule,
    Condition,
    Edge,
    Join,
    Leaf,
    LimitRow,
    LimitTable,
    Node,
    Part,
    Ruling,
    Term,
    leaves,
    limit_tested,
    tables_in,
    terms_in,
    written_out,
)
from advisor.model.inputs import BY_QUESTION
from advisor.model.lexicon_entries import Phrases
from advisor.model.limits import NEVER_ALONE, STANDINGS, UNSOURCED, Basis, Limit, Source
from advisor.model.problems import Place
from advisor.model.quantity import Measure
from advisor.model.repair_units import UnitRow

LENGTH = 16


def digest_of(content: Mapping[str, Any]) -> str:
    """A hash over plain data; the order of keys doesn't count. What it takes is imported when it is first asked for."""
    import hashlib
    import json

    text = json.dumps(content, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:LENGTH]


__all__ = [
    "AROUND_STAGES",
    "LONE_TESTS",
    "NEVER_ALONE",
    "REPAIR_STAGES",
    "STAGES",
    "STANDINGS",
    "TOPICS",
    "UNSOURCED",
    "About",
    "Basis",
    "CantTellRule",
    "Caution",
    "ChoiceText",
    "Condition",
    "Edge",
    "Ending",
    "Join",
    "Language",
    "Leaf",
    "Limit",
    "LimitRow",
    "LimitTable",
    "Method",
    "Node",
    "NotOrdered",
    "OlderCases",
    "Part",
    "Question",
    "Restriction",
    "RuleSet",
    "Ruling",
    "Source",
    "Step",
    "Term",
    "Verdict",
    "Word",
    "WorkedOut",
    "leaves",
    "limit_tested",
    "tables_in",
    "terms_in",
    "written_out",
]


_VERDICTS = ("repair", "refer", "hold", "scrap")


class Verdict(IntEnum):
    """The four verdicts, best first; the worst ruling decides."""

    REPAIR = 0
    REFER = 1
    HOLD = 2
    SCRAP = 3

    def __str__(self) -> str:
        return _VERDICTS[self]


class ChoiceText(Struct, frozen=True):
    """A choice of a question: id, wording, and other words for it; `formerly`: ids that it had, as of all entries."""

    id: str
    says: str
    also: tuple[str, ...] = ()
    help: str = ""
    formerly: tuple[str, ...] = ()


class NotOrdered(Struct, frozen=True):
    """Where one choice of an order is not worse than a milder one after all: the condition, and why."""

    less: str
    more: str
    when: Condition | None
    because: str


class OlderCases(Struct, frozen=True):
    """What cases from before a question was asked count as that do not answer it, as a case file writes it, and why."""

    counts_as: tuple[str, ...]
    because: str


#: What an answer takes, the least first: somebody or a plate is asked, the tire is looked at, gauged, looked at inside,
#: measured or probed.
EFFORTS = ("ask", "look", "gauge", "inside", "measure")


class Question(Struct, frozen=True):
    """Something asked. `over` is tire, earlier-repairs or injuries; `key` is its name in a case file.

    `worse` is which side of a measure is worse damage (above, below), or `found` for findings; `worse_order` lists
    choices from the least to the worst damage, `not_ordered` where two of them are not. `no_order` says why answers,
    or those that the order leaves out, are not better or worse.
    `or_clock`: a clock direction will do beside the choices. `figures_said`: words that stand for a figure;
    `figures_by`: the limit whose figure it is.
    `effort` is what an answer takes, `prompt` the name of what it is put together with, `after` what is asked ahead of
    it, `likely` how often each choice comes up, by weight: by these the order of asking goes, and nothing else.
    `words_for`: by a figure as typed the words that people type for it.
    `older_cases` is for cases kept as proof only (`loader/kept_cases.py`), never for one that somebody decides by.
    """

    id: str
    over: str
    key: str
    name: str
    asks: str
    kind: str
    quantity: str = ""
    unit: str = ""
    choices: tuple[ChoiceText, ...] = ()
    plausible: Measure | None = None
    how: str = ""
    why: str = ""
    shown_as: str = ""
    left_out_by: tuple[str, ...] = ()
    worse: str = ""
    worse_order: tuple[str, ...] = ()
    no_order: str = ""
    not_ordered: tuple[NotOrdered, ...] = ()
    or_clock: bool = False
    figures_said: Mapping[str, Measure] = field(default_factory=dict)
    older_cases: OlderCases | None = None
    figures_by: Mapping[str, str] = field(default_factory=dict)
    effort: str = "look"
    prompt: str = ""
    after: tuple[str, ...] = ()
    likely: Mapping[str, int] = field(default_factory=dict)
    words_for: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    formerly: tuple[str, ...] = ()

    def choice(self, choice_id: str) -> ChoiceText | None:
        """The choice with this id."""
        for choice in self.choices:
            if choice.id == choice_id:
                return choice
        return None

    def choice_now(self, choice_id: str) -> str:
        """The id that a choice bears now, by any that it had; the id as it is where no choice had it."""
        return next((choice.id for choice in self.choices if choice_id in choice.formerly), choice_id)


class WorkedOut(Struct, frozen=True):
    """A value worked out of answers by a named function, with figures of the rule set by argument name.

    `if_unknown` is what wording says where it could not be worked out. `reads`: by the name by which the function knows
    what it reads, the question or value of these rules that it reads instead.
    """

    id: str
    over: str
    function: str
    name: str
    figures: Mapping[str, str] = field(default_factory=dict)
    said_back: bool = False
    if_unknown: str = ""
    reads: Mapping[str, str] = field(default_factory=dict)


#: The stages of a repair, each of which a method has or says why not; then those around it.
REPAIR_STAGES = (
    "inspect",
    "mark",
    "remove",
    "probe",
    "clean",
    "prepare",
    "re-measure",
    "cement",
    "fill",
    "buff",
    "clean-dry",
    "cement-thin",
    "dry",
    "place",
    "stitch",
    "seal",
    "trim-outside",
    "check",
    "inflate",
    "leak-test",
    "record",
)
AROUND_STAGES = (
    "make-safe",
    "deflate",
    "demount",
    "outline",
    "relax-beads",
    "mount",
    "match-pair",
    "fit-wheel",
    "hand-on",
)
STAGES = (*REPAIR_STAGES, *AROUND_STAGES)
#: The stages as the work goes through them, each under the heading that it stands under in the plan.
STAGE_HEADINGS = {
    **dict.fromkeys(("make-safe", "deflate", "demount", "inspect", "mark", "remove", "probe"), "inspect and prepare"),
    "clean": "clean",
    "prepare": "drill and trim",
    "re-measure": "measure again",
    "cement": "cement",
    "fill": "fill",
    "outline": "buff",
    "buff": "buff",
    "clean-dry": "dust",
    "cement-thin": "cement and dry",
    "dry": "cement and dry",
    "relax-beads": "place and stitch",
    "place": "place and stitch",
    "stitch": "place and stitch",
    "seal": "seal",
    "trim-outside": "trim and look",
    "check": "trim and look",
    "mount": "mount and inflate",
    "inflate": "mount and inflate",
    "leak-test": "leak test",
    "match-pair": "fit the wheel",
    "fit-wheel": "fit the wheel",
    "record": "record",
    "hand-on": "hand on",
}
WORK_ORDER = tuple(STAGE_HEADINGS)
#: What a text can speak for or against, so that two on one card can be held together.
TOPICS = ("air", "repair", "road", "steer-axle", "bulge")


class Ending(Struct, frozen=True):
    """A named way for a case to end.

    `driver_by` words the driver's part otherwise where the reasons that decide have that standing; `speaks` says for
    which topics the text speaks: for, against or neither.
    """

    id: str
    verdict: Verdict
    headline: str
    do_now: tuple[str, ...]
    tell_driver: str
    method: str = ""
    cautions: tuple[str, ...] = ()
    driver_by: Mapping[str, str] = field(default_factory=dict)
    speaks: Mapping[str, str] = field(default_factory=dict)
    formerly: tuple[str, ...] = ()


class Restriction(Struct, frozen=True):
    """A condition on the return to service; it is said again at the steps of the stages in `said_at`."""

    id: str
    says: str
    tell_driver: str
    said_at: tuple[str, ...] = ()
    speaks: Mapping[str, str] = field(default_factory=dict)
    formerly: tuple[str, ...] = ()


#: What cautions are about, what hurts first ahead: common practice, no source.
HAZARDS = (
    "stored energy",
    "inflation",
    "traffic",
    "lifting",
    "eyes",
    "hands",
    "solvent",
    "dust",
    "inspection",
    "road use",
    "authority",
)
#: Those of them by which a tire bursts.
BURSTS = ("stored energy", "inflation")


class Caution(Struct, frozen=True):
    """A warning about work that can hurt someone.

    `do_now`: by verdict, the line that it puts ahead of all that is to be done. `at_once`: a consultation says it as
    soon as it counts, for something that does not fit together.
    `fits` names the verdicts and endings beside which it makes sense, every one where it is empty; `not_with` the
    endings and restrictions beside which it does not. `of_this_tire`: it says how this tire stands, so it is told only
    where the answers bring it.
    """

    id: str
    hazard: str
    says: str
    basis: Basis
    do_now: Mapping[str, str] = field(default_factory=dict)
    at_once: bool = False
    fits: tuple[str, ...] = ()
    not_with: tuple[str, ...] = ()
    speaks: Mapping[str, str] = field(default_factory=dict)
    formerly: tuple[str, ...] = ()
    of_this_tire: bool = False


#: Kinds of what is written down at a step; the last ones are quantities.
FIELD_KINDS = ("words", "use-by", "torque", "length", "pressure", "temperature")


class StepField(Struct, frozen=True):
    """Something written down at a step that is no question; `kept` for the next tire of the day as well.

    `kind`: `words`, `use-by` (a date, refused once it is past), `torque`, or a quantity, whose unit has to be typed.
    With `fails` it says whether the step passed: words that begin like one of them, unless they stand in one of the
    phrases of `passes`. `places` are words that may stand beside what it shows, `failed` is what to do then.
    `example_by` has an example of its own for a vehicle.
    """

    id: str
    name: str
    kind: str = "words"
    kept: bool = False
    example: str = ""
    example_by: Mapping[str, str] = field(default_factory=dict)
    passes: tuple[str, ...] = ()
    fails: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    failed: str = ""


class Step(Struct, frozen=True):
    """A step of a method, with the figures that it names and the stages of the work that it is.

    `once` is `before` or `after` for one that is done once for the tire, ahead of the injuries or after them all.
    `held_by` names cautions: while one of them counts, the step is not to be done. `asks` names questions whose
    answer sharpens the step's figures; where one is lacking, the walk through the work says so. `done_where` is when
    the answers show that it was done. `waits_from` names the step from whose tick this one waits, or is `here` where
    its own first tick begins the wait; `waits_for` names the figure, none where the material's instructions say it.
    `measures` names questions that are answered anew at the step, `fields` what else is written down there;
    `tell_driver` is what the driver has to know of it.
    """

    id: str
    says: str
    figures: tuple[str, ...]
    cautions: tuple[str, ...]
    when: Condition | None
    basis: Basis
    once: str = ""
    name: str = ""
    held_by: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    stages: tuple[str, ...] = ()
    done_where: Condition | None = None
    waits_from: str = ""
    waits_for: str = ""
    measures: tuple[str, ...] = ()
    fields: tuple[StepField, ...] = ()
    tell_driver: str = ""

    @property
    def title(self) -> str:
        """The step in a few words, for lists."""
        return self.name or self.id.replace("-", " ")


class Method(Struct, frozen=True):
    """A way to repair; `rank` orders methods from the least to the most.

    `without` holds the stages that it does not have, each with the reason.
    """

    id: str
    title: str
    rank: int
    when: Condition | None
    ending: str
    says: str
    basis: Basis
    cautions: tuple[str, ...]
    steps: tuple[Step, ...]
    without: Mapping[str, str] = field(default_factory=dict)
    formerly: tuple[str, ...] = ()


class Word(Struct, frozen=True):
    """A term of the trade for a newcomer; `asked_for` keeps a shared one that stands in no wording."""

    id: str
    title: str
    also: tuple[str, ...]
    says: str
    asked_for: bool = False


class Conflict(Struct, frozen=True):
    """Where sources contradict each other: what each says, and which side counts."""

    says: str
    sources: tuple[str, ...]
    counts: str


class LookedFor(Struct, frozen=True):
    """What was looked for in vain, where, and what stands in for it."""

    says: str
    where: str
    instead: str


class RecordForm(Struct, frozen=True):
    """What a law has stand in the record of a repair, where its term holds, and how long it is kept.

    `lines`: name and what fills it, or empty where it is written by hand.
    """

    title: str
    term: str
    lines: tuple[tuple[str, str], ...]
    keep: tuple[str, ...]
    basis: Basis


#: What the program can fill in of a record.
RECORD_FILLS = ("tire-size", "day", "nature", "technician", "by-hand")


class About(Struct, frozen=True):
    """What a rule set is, for what, and whom it defers to.

    `spelled`: words of the drawings and of shared files as spelled here; `shares`: the folder of those files.
    """

    id: str
    title: str
    edition: str
    scope: str
    not_for: tuple[str, ...]
    defers_to: tuple[str, ...]
    when_unanswered: str
    when_in_doubt: str
    before: tuple[str, ...]
    always: tuple[str, ...]
    with_repair: tuple[str, ...]
    notes: tuple[str, ...] = ()
    builds_on: str = ""
    spelled: tuple[tuple[str, str], ...] = ()
    shares: str = ""
    conflicts: tuple[Conflict, ...] = ()
    looked_for: tuple[LookedFor, ...] = ()
    record: RecordForm | None = None


#: What may say by which ids it was recorded formerly: the kind, and where it stands in a rule set.
RENAMABLE = {
    "question": "questions",
    "limit": "limits",
    "ending": "endings",
    "restriction": "restrictions",
    "method": "methods",
    "caution": "cautions",
}


def renamed_in(home: Any) -> dict[str, dict[str, str]]:
    """By kind, each former id of what stands in a rule set, or in the draft of one, and the id that is borne now."""
    return {
        kind: {old: name for name, entry in getattr(home, field).items() for old in entry.formerly}
        for kind, field in RENAMABLE.items()
    }


class Language(Struct, frozen=True):
    """Terms, what people say, what they ask and what that can be about, and texts that answer."""

    words: Mapping[str, Word] = field(default_factory=dict)
    phrases: Phrases = field(default_factory=Phrases)
    intents: Mapping[str, AskedKind] = field(default_factory=dict)
    subjects: Mapping[str, AskedSubject] = field(default_factory=dict)
    answers: Mapping[str, ReadyAnswer] = field(default_factory=dict)


class RuleSet(Struct, frozen=True, dict=True):
    """A whole rule set; every reference in it is known to lead somewhere.

    Its `language` comes out of a kept copy when it is first asked for: judging and asking need nothing of it.
    """

    about: About
    sources: Mapping[str, Source]
    limits: Mapping[str, Limit]
    questions: Mapping[str, Question]
    values: Mapping[str, WorkedOut]
    parts: tuple[Part, ...]
    nodes: Mapping[str, Node]
    endings: Mapping[str, Ending]
    restrictions: Mapping[str, Restriction]
    methods: Mapping[str, Method]
    cautions: Mapping[str, Caution]
    normalised: Callable[[], Mapping[str, Any]]
    language: Callable[[], Language] = Language
    places: Mapping[str, Place] = field(default_factory=dict)
    units: Mapping[str, UnitRow] = field(default_factory=dict)
    tables: Mapping[str, LimitTable] = field(default_factory=dict)
    known_digest: str = ""
    terms: Mapping[str, Term] = field(default_factory=dict)
    #: Questions that may be asked in any order, group by group: there the one that narrows most comes first.
    any_order: tuple[tuple[str, ...], ...] = ()
    #: Where an overlay names something of its base by a former id, that id, and the one as which it was read.
    read_as: tuple[tuple[Place, str, str], ...] = ()
    #: From which day on its limits are those that count; None where some change on a day to come or that has been.
    day: date | None = None

    @property
    def words(self) -> Mapping[str, Word]:
        """The terms of the trade."""
        return self.language().words

    @property
    def phrases(self) -> Phrases:
        """What people say, and what it means."""
        return self.language().phrases

    @property
    def intents(self) -> Mapping[str, AskedKind]:
        """What people ask."""
        return self.language().intents

    @property
    def subjects(self) -> Mapping[str, AskedSubject]:
        """What can be asked about."""
        return self.language().subjects

    @property
    def answers(self) -> Mapping[str, ReadyAnswer]:
        """Texts that answer."""
        return self.language().answers

    @cached_property
    def days(self) -> tuple[date, ...]:
        """The days on which a limit changes, in order; none in a rule set as it stands on one day."""
        found = {later.day for limit in self.limits.values() for later in limit.later}
        return () if self.day else tuple(sorted(found))

    @cached_property
    def periods(self) -> "tuple[RuleSet, ...]":
        """The rule set as it stands before the first of its days, and from each of them on; else just itself."""
        return tuple(_on(self, day) for day in (date.min, *self.days)) if self.days else (self,)

    def on(self, day: date | None) -> "RuleSet":
        """The rule set as it stands on a day; where none is told, as it stood before any change."""
        if not self.days:
            return self
        return self.periods[sum(each <= day for each in self.days) if day else 0]

    @cached_property
    def content(self) -> Mapping[str, Any]:
        """The files as plain data, by file name."""
        return self.normalised()

    @cached_property
    def digest(self) -> str:
        """A hash over normalised content: comments, white space, quotes and the order of keys don't count.

        Parts are walked in their order, and so are nodes that name no other one, so that these do count.
        """
        orders = {"order of parts": [part.id for part in self.parts], "order of nodes": list(self.nodes)}
        return self.known_digest or digest_of({**self.content, **orders})

    @cached_property
    def renamed(self) -> Mapping[str, Mapping[str, str]]:
        """By kind, each former id and the id that is borne now."""
        return renamed_in(self)

    @cached_property
    def by_case_key(self) -> Mapping[tuple[str, str], Question]:
        """The questions by what they are asked of and their name in a case file, now or formerly."""
        former = {(each.over, old): each for each in self.questions.values() for old in each.formerly}
        return former | {(each.over, each.key): each for each in self.questions.values()}

    @cached_property
    def names_now(self) -> Mapping[str, str]:
        """The id that a question bears in these rules, by any that it had, and by the name by which functions know it.

        The latter where every value that reads that name reads the same question, and none bears it.
        """
        fed: dict[str, set[str]] = {}
        for value in self.values.values():
            for known, name in value.reads.items():
                fed.setdefault(known, set()).add(name)
        alone = {known: name for known, names in fed.items() if len(names) == 1 for name in names}
        return {
            **{known: name for known, name in alone.items() if name in self.questions and known not in self.questions},
            **self.renamed["question"],
        }

    def question_now(self, name: str) -> str:
        """The question of these rules that an id of the program names; the name as it is where none had it."""
        return self.names_now.get(name, name)

    def read_by(self, value: WorkedOut, name: str) -> str:
        """The question or value of these rules that a function reads for what it knows by a name."""
        return value.reads.get(name) or self.question_now(name)

    def input_of(self, name: str) -> str:
        """The id by which the program knows a question (`model/inputs.py`); its own where it was not renamed."""
        question = self.questions.get(name)
        if question is None or name in BY_QUESTION:
            return name
        known = (known for known, now in self.names_now.items() if now == name and known in BY_QUESTION)
        return next((old for old in (*question.formerly, *known) if old in BY_QUESTION), name)

    def place_of(self, file: str, name: str = "") -> Place:
        """Where a file of the rule set defines a name; the head of the file when it doesn't."""
        found = self.places.get(f"{file}#{name}") or self.places.get(f"{file}#{name.partition('/')[0]}")
        return found or Place(f"{self.about.id}/{file}")

    def place_of_ruling(self, ruling: Ruling) -> Place:
        """Where a ruling stands; its node's place when the files don't tell."""
        return self.places.get(f"paths.yaml#{ruling.node}/{ruling.id}") or self.place_of("paths.yaml", ruling.node)

    def standings_of(self, ruling: Ruling) -> tuple[str, ...]:
        """The standing of a ruling; those of all rows where it rests on a limit that a table chooses."""
        tables = tables_in(ruling.when) if ruling.by_limit else ()
        rows = (row for table in tables for row in self.tables[table].rows)
        return tuple(dict.fromkeys(self.limits[row.limit].basis.standing for row in rows)) or (ruling.basis.standing,)

    def over_of(self, name: str) -> str:
        """Whether a question or worked-out value belongs to the tire, an earlier repair or an injury."""
        return self.questions[name].over if name in self.questions else self.values[name].over

    def more_of(self, over: str) -> str:
        """The question behind each injury or earlier repair that asks for one more; empty where none does."""
        return next((part.more for part in self.parts if part.over == over and part.more), "")

    def rulings(self) -> Iterator[Ruling]:
        """Every ruling, in the order of the graph's file."""
        for node in self.nodes.values():
            yield from node.rulings


def _on(rules: RuleSet, day: date) -> RuleSet:
    """A rule set with its limits as they stand on a day, and all that was taken over from them."""
    limits = {name: limit.on(day) for name, limit in rules.limits.items()}
    questions = {
        name: replace(each, figures_said={word: limits[limit].said() for word, limit in each.figures_by.items()})
        for name, each in rules.questions.items()
    }
    nodes = {
        name: replace(node, rulings=tuple(_based(ruling, limits) for ruling in node.rulings))
        for name, node in rules.nodes.items()
    }
    return replace(rules, limits=limits, questions=questions, nodes=nodes, day=day)


def _based(ruling: Ruling, limits: Mapping[str, Limit]) -> Ruling:
    """A ruling that rests on what its limit rests on."""
    tests = leaves(limit_tested(ruling.when))
    named = (leaf.operand[0] for leaf in tests if leaf.test in ("beyond", "within"))
    limit = next(named, "") if ruling.by_limit else ""
    return replace(ruling, basis=limits[limit].basis) if limit else ruling
