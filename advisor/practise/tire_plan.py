"""Which tires can be made for a rule set: one for each ruling, each side of each limit, each doubt; by construction.

What has to be shown is what the checks call covered (`tools/coverage.py`), and the cases come from the same search as
theirs. A plan is kept in the cache folder under the rules' digest; what no likely tire shows is kept with the reason.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from itertools import islice
from pathlib import Path
from zlib import crc32

import msgspec
from msgspec import Struct

from advisor.engine.judgement_types import Judgement
from advisor.journal.data_folder import make_folder, write_private
from advisor.loader.case_file import CaseText, read_case, split_cases
from advisor.loader.kept_cases import kept_texts
from advisor.model import inputs
from advisor.model.case import Case
from advisor.model.problems import Problems
from advisor.model.quantity import Measure
from advisor.model.ruleset import UNSOURCED, Limit, RuleSet, Verdict, leaves
from advisor.practise.chance import Chance
from advisor.practise.garage import garage, misfit
from advisor.practise.made_up import Workshop, few_of, like, likely_tires, places_of, with_answers
from advisor.tools.case_generation import cases_for
from advisor.tools.case_writer import case_text
from advisor.tools.coverage import Coverage, CoverageItem
from advisor.tools.verify.boundary_values import INPUTS
from advisor.tools.verify.workbench import Bench

#: What a plan is made of; another number throws kept plans away.
FORM = 3
DOUBT = "limit in doubt"
_KINDS = ("ruling", "can't tell", "limit within", "limit beyond", "limit at its figure", DOUBT)
#: What is made only where nothing else shows it already.
_BESIDES = ("method", "ending")
_MOST_TRIED = 6
_MOST_TIRES = 3
_ENOUGH = 1
_MOST_FIRST = 12
_ABOUT = {
    "size": (inputs.INJURY_SIZE, inputs.INJURY_LENGTH),
    "place": (inputs.INJURY_ZONE, inputs.OFFSET, inputs.TREAD_WIDTH),
    "angle": (inputs.INJURY_ANGLE, inputs.LEAN, inputs.CASING_THICKNESS),
    "run-low": (inputs.FOUND_PRESSURE, inputs.SET_PRESSURE, inputs.RUN_LOW, inputs.RUN_LOW_INSIDE, inputs.MEAN_SPEED),
    "earlier-repairs": (inputs.EARLIER_REPAIRS, inputs.REPAIR_SOUND, inputs.REPAIR_KIND),
    "tread": (inputs.TREAD_DEPTH,),
    "findings": (inputs.FINDINGS, inputs.INSIDE_SIGNS, inputs.SEALANT, inputs.BULGE_MARK, inputs.BULGE_HEIGHT,
                 inputs.CUT_DEPTH, inputs.INJURY_DEPTH),
    "tire": (inputs.VEHICLE, inputs.WHEEL_POSITION, inputs.SIDEWALL, inputs.TIRE_CLASS, inputs.LOAD_RANGE,
             inputs.CONSTRUCTION, inputs.TUBE, inputs.RETREAD, inputs.DOT_CODE, inputs.SELF_SUPPORTING),
}  # fmt: skip
HABIT, SEVERAL, MIXED = "law-or-habit", "several", "mixed"
#: Every theme, and what it is about.
THEMES: Mapping[str, str] = {
    "size": "how wide and how long an injury is",
    "place": "crown, shoulder, sidewall or bead",
    "angle": "how far it leans, and where it comes out",
    "run-low": "pressure, and whether it ran without enough of it",
    "earlier-repairs": "what was mended before",
    "tread": "how much tread is left",
    "findings": "what is there besides, outside and inside",
    "tire": "which tire it is, and on which wheel",
    HABIT: "whose rule it is: law, association, habit",
    SEVERAL: "more than one injury or repair",
    MIXED: "all of it",
}


def checksum(text: str) -> str:
    """By what a damaged text is known."""
    return f"{crc32(text.encode()):08x}"


class PlannedTire(Struct, frozen=True):
    """A tire that can be made: what it shows, on which tire of the garage, its few answers as a case file."""

    item: str
    text: str
    tires: tuple[str, ...]
    themes: tuple[str, ...]
    level: int
    verdict: str
    method: str
    trains: tuple[str, ...]


class TirePlan(Struct, frozen=True):
    """Every tire that can be made for a rule set; `left`: what no likely tire shows, and why."""

    form: int
    digest: str
    tires: tuple[PlannedTire, ...]
    left: Mapping[str, str]


def plan_for(workshop: Workshop, copies: Path | None, folder: Path | None = None) -> TirePlan:
    """The plan of a rule set: as it is kept, or made and kept. `folder`: where the rules stand."""
    rules = workshop.rules
    kept = copies / _plan_name(workshop) if copies is not None else None
    found = _kept_plan(kept, rules) if kept is not None else None
    if found is None:
        found = made_plan(workshop, folder)
        if kept is not None:
            with suppress(OSError):
                _keep(kept, found)
    return found


def plan_is_kept(workshop: Workshop, copies: Path | None) -> bool:
    """Whether there is a plan, so that nobody has to wait."""
    return copies is not None and (copies / _plan_name(workshop)).is_file()


def _plan_name(workshop: Workshop) -> str:
    return f"practise-{workshop.rules.about.id}-{workshop.rules.digest}-{workshop.day}.plan"


def _kept_plan(file: Path, rules: RuleSet) -> TirePlan | None:
    """A plan that is whole and of these rules; anything else is passed over, and made anew."""
    try:
        seal, _, text = file.read_text(encoding="utf-8").partition("\n")
        if seal != checksum(text):
            return None
        found = msgspec.json.decode(text, type=TirePlan)
    except (OSError, msgspec.DecodeError, ValueError):
        return None
    return found if (found.form, found.digest) == (FORM, rules.digest) else None


def _keep(file: Path, plan: TirePlan) -> None:
    text = msgspec.json.encode(plan).decode()
    make_folder(file.parent)
    write_private(file, [f"{checksum(text)}\n", text])


def made_plan(workshop: Workshop, folder: Path | None = None) -> TirePlan:
    """The plan of a rule set, made anew: each thing that can be shown by the search, then by cases kept beside it."""
    return _Making(workshop, folder).plan()


def empty_plan(workshop: Workshop) -> TirePlan:
    """A plan without a tire, for a maker that only takes cases from files."""
    return TirePlan(FORM, workshop.rules.digest, (), {})


def first_plan(workshop: Workshop, folder: Path | None, theme: str, level: int, seed: str) -> TirePlan:
    """A plan of one tire of a theme and level, made at once so that nobody waits; empty where none is found soon."""
    making = _Making(workshop, folder)
    items = Chance("first", seed).shuffled(list(making.items_about(theme)))
    for item in items[:_MOST_FIRST]:
        found = next(making.ways(item, []), None)
        if found is not None and theme in (MIXED, *found.themes) and level in (0, found.level):
            return TirePlan(FORM, workshop.rules.digest, (found,), {})
    return TirePlan(FORM, workshop.rules.digest, (), {})


class _Making:
    """What is at hand while a plan is made."""

    def __init__(self, workshop: Workshop, folder: Path | None) -> None:
        self.workshop, self.rules = workshop, workshop.rules
        self.coverage, self.bench = Coverage(self.rules), Bench(self.rules, workshop.space)
        self.quiet = self.bench.answers
        self.folder = folder
        self._beside: list[tuple[Case, set[tuple[str, str]]]] | None = None
        self.met: set[tuple[str, str]] = set()
        self.made: dict[str, Case] = {}

    def plan(self) -> TirePlan:
        tires: list[PlannedTire] = []
        left: dict[str, str] = {}
        for item in (*self._items(_KINDS), *self._items(_BESIDES)):
            if item.kind in _BESIDES and (item.kind, item.name) in self.met:
                continue
            why: list[str] = []
            found = next(self.ways(item, why), None)
            if found is None:
                left[item_id(item)] = max(set(why), key=why.count) if why else "no case of the checks shows it"
            else:
                tires.append(found)
        tires += self._several(tires)
        return TirePlan(FORM, self.rules.digest, tuple(tires), left)

    def items_about(self, theme: str) -> Iterator[CoverageItem]:
        """The rulings of a theme, by the questions of their nodes; all where the theme goes by something else."""
        about = set(_ABOUT.get(theme, ()))
        nodes = {ruling.id: self.rules.nodes[ruling.node] for ruling in self.rules.rulings()}
        for item in self._items(("ruling",)):
            if not about or self.rules.input_of(nodes[item.name].asks) in about:
                yield item

    def _items(self, kinds: Iterable[str]) -> Iterator[CoverageItem]:
        for kind in kinds:
            source = "limit within" if kind == DOUBT else kind
            for (each, _), item in self.coverage.every.items():
                if each == source:
                    yield CoverageItem(kind, item.name, item.place)

    def ways(self, item: CoverageItem, why: list[str]) -> Iterator[PlannedTire]:
        """Each likely tire that shows something; what was in the way of others is noted."""
        refused = self._refused(item)
        if refused:
            why.append(refused)
            return
        odd = self._meant_odd(item)
        for case in self._cases(item):
            found = self._on_tires(case, item, odd, why)
            if found is not None:
                yield found

    def _refused(self, item: CoverageItem) -> str:
        asked = self.rules.nodes[item.name].asks if item.kind == "can't tell" else ""
        known = self.rules.input_of(asked) if asked else ""
        if known in (inputs.DEMOUNTED, *inputs.ONE_MORE):
            return "nobody who stands before the tire can't tell that"
        return ""

    def _meant_odd(self, item: CoverageItem) -> frozenset[str]:
        """Answers that may be unlikely here: those that a ruling questions, or that it looks at alone."""
        odd: set[str] = set()
        for ruling in self.rules.rulings():
            held = {leaf.operand[0] for leaf in leaves(ruling.when) if leaf.test in ("beyond", "within")}
            named = item.name == ruling.id if item.kind == "ruling" else item.name in held
            if not named:
                continue
            odd |= set(ruling.doubts)
            if ruling.cautions and ruling.in_doubt == "never":
                odd |= {root for leaf in leaves(ruling.when) for root in self._roots(leaf.subject)}
        return frozenset(odd)

    def _roots(self, name: str) -> tuple[str, ...]:
        if name in self.rules.questions:
            return (name,)
        value = self.rules.values.get(name)
        return tuple(map(self.rules.question_now, INPUTS.get(value.function, ()))) if value is not None else ()

    def _cases(self, item: CoverageItem) -> Iterator[Case]:
        found = self._doubted(item.name) if item.kind == DOUBT else cases_for(item, self.bench)
        for case in found if item.kind == DOUBT else islice(found, _MOST_TRIED):
            if item.kind == DOUBT or self._shows(item)(case):
                yield case
        if item.kind != DOUBT:
            beside = (case for case, marks in self._kept_beside() if (item.kind, item.name) in marks)
            yield from (self._fewest(case, item) for case in islice(beside, _ENOUGH))

    def _doubted(self, limit: str) -> Iterator[Case]:
        """Tires of which a reading lies on both sides of a limit: those just made for its sides, measured less well."""
        for side in ("limit within", "limit beyond", "limit at its figure"):
            made = self.made.get(f"{side}/{limit}")
            if made is None:
                continue
            for where, answer in places_of(made):
                for reading in self.workshop.across(where, limit, made):
                    yield with_answers(made, {where: like(answer, reading)})

    def _kept_beside(self) -> list[tuple[Case, set[tuple[str, str]]]]:
        """The cases that stand beside the rules, for what no partition of answers brings about, and what they show."""
        if self._beside is None:
            self._beside = []
            for text in self._kept_texts():
                with suppress(Problems):
                    case = read_case(text, self.rules, self.workshop.day)
                    self._beside.append((case, self.coverage.marks(case)))
        return self._beside

    def _kept_texts(self) -> Iterator[CaseText]:
        """The cases of the rules' folder, and of the one that it builds on."""
        if self.folder is not None:
            yield from kept_texts(self.folder)
            if self.rules.about.builds_on:
                yield from kept_texts(self.folder.parent / self.rules.about.builds_on)

    def _fewest(self, case: Case, item: CoverageItem) -> Case:
        """A kept case with as many answers as can be taken from the quiet one, so that it fits on other tires."""
        shows = self._shows(item)
        for where, _ in few_of(case, self.quiet).items():
            quieter = with_answers(case, {where: self.quiet.get(where)})
            if where[1] <= 0 and shows(quieter):
                case = quieter
        return case

    def _shows(self, item: CoverageItem) -> Callable[[Case], bool]:
        return shows_item(item.kind, item.name, self.coverage)

    def _on_tires(self, case: Case, item: CoverageItem, odd: frozenset[str], why: list[str]) -> PlannedTire | None:
        few, shows, fit, first = few_of(case, self.quiet), self._shows(item), list[str](), None
        for tire in likely_tires(few, self.rules)[:_MOST_TIRES]:
            if len(fit) == _ENOUGH:
                break
            bare = self.workshop.on_a_tire(tire, few, Chance("plan", tire.id))
            dressed = self.workshop.dressed(bare, tire, shows, Chance("plan", tire.id)) if shows(bare) else bare
            made = self.bench.completed(dressed)
            if not shows(made):
                why.append("on no likely tire it is shown")
                continue
            likely = self.workshop.made_likely(made, shows, odd)
            if likely is None:
                why.append(f"only on an unlikely tire: {misfit(made, self.rules, odd) or 'as its case file says it'}")
                continue
            again = self._read_back(likely)
            if again is None or not shows(again):
                why.append("a case file does not say it")
                continue
            fit.append(tire.id)
            first = first or likely
        return self._planned(first, item, tuple(fit)) if first is not None else None

    def _read_back(self, case: Case) -> Case | None:
        (text,) = split_cases(case_text(case, self.rules), "practise")
        try:
            return read_case(text, self.rules, self.workshop.day)
        except Problems:
            return None

    def _planned(self, case: Case, item: CoverageItem, fit: tuple[str, ...]) -> PlannedTire:
        judgement = self.workshop.judge.judge(case)
        self.met |= self.coverage.marks(case)
        self.made[item_id(item)] = case
        return PlannedTire(
            item_id(item),
            case_text(case, self.rules),
            fit,
            themes_of(judgement, item, self.rules),
            _level(judgement, item),
            str(judgement.verdict),
            judgement.method,
            trained_by(judgement),
        )

    def _several(self, tires: list[PlannedTire]) -> Iterator[PlannedTire]:
        """Tires with one more injury, far from the first and harmless, so that the worse of the two decides."""
        for each in tires:
            if SEVERAL in each.themes or not any(name.startswith("ruling") for name in (each.item,)):
                continue
            (text,) = split_cases(each.text, "practise")
            case = read_case(text, self.rules, self.workshop.day)
            more = self._with_another(case, each)
            if more is None:
                continue
            again = self._read_back(more)
            if again is not None:
                yield msgspec.structs.replace(
                    each, item=f"{each.item}+1", text=case_text(more, self.rules), themes=(SEVERAL,), level=3
                )

    def _with_another(self, case: Case, each: PlannedTire) -> Case | None:
        rules = self.rules
        judgement = self.workshop.judge.judge(case)
        if len(case.injuries) != 1 or not any(reason.injury == 0 for reason in judgement.deciding):
            return None
        if judgement.verdict is Verdict.REPAIR:
            return None
        tire = next(tire for tire in garage().tires if tire.id == each.tires[0])
        quiet = self.workshop.sound(tire, Chance("second", each.item)).injuries[0]
        placed = {
            (inputs.OVER_INJURIES, index, rules.question_now(name)): answer
            for index, by in ((0, 60), (1, 240))
            for name, answer in self.workshop.where_it_sits(tire, by, index).items()
            if rules.question_now(name) in rules.questions
        }
        case = msgspec.structs.replace(case, injuries=(*case.injuries, dict(quiet)))
        case = with_answers(
            case, {where: a for where, a in placed.items() if case.get(where[0], (where[2], where[1])) is None}
        )
        case = self.bench.completed(self.workshop.counted(case))
        then = self.workshop.judge.judge(case)
        same = (then.verdict, then.ending) == (judgement.verdict, judgement.ending) and not then.missing
        return case if same and not misfit(case, rules) else None


def item_id(item: CoverageItem) -> str:
    """How a thing to be shown is called in a plan."""
    return f"{item.kind}/{item.name}"


def shows_item(kind: str, name: str, coverage: Coverage) -> Callable[[Case], bool]:
    """Whether a case shows something: what the checks call covered, or a doubt that decides across a limit."""

    def shows(case: Case) -> bool:
        if kind == "ruling":
            return _counts(name, coverage)(coverage.judge.judge(case))
        if kind != DOUBT:
            return (kind, name) in coverage.marks(case)
        judgement = coverage.judge.judge(case)
        return bool(judgement.measure_again) and any(_straddles(judgement, leaf, limit) for leaf in held)

    limit = coverage.rules.limits.get(name)
    conditions = [ruling.when for ruling in coverage.rules.rulings()]
    conditions += [m.when for m in coverage.rules.methods.values() if m.when is not None]
    every = dict.fromkeys(leaf for condition in conditions for leaf in leaves(condition))
    held = [leaf.subject for leaf in every if leaf.test in ("beyond", "within") and leaf.operand[0] == name]
    return shows


def _counts(ruling: str, coverage: Coverage) -> Callable[[Judgement], bool]:
    """Whether a ruling holds, a caution or one that questions answers also in doubt: as it is covered."""
    questions = any(each.doubts for each in coverage.rules.rulings() if each.id == ruling)
    return lambda now: (
        any(each.ruling == ruling and each.only_warns for each in now.caution_reasons)
        or any(each.ruling == ruling and (questions or not each.doubt) for each in now.reasons)
    )


def _straddles(judgement: Judgement, subject: str, limit: Limit | None) -> bool:
    """Whether a reading that counts here lies on both sides of a limit, and measuring it again would decide."""
    tire = judgement.walk.tire
    over = tire.rules.over_of(subject)
    for facts in tire.each(over) if over != "tire" else (tire,):
        value = facts.get(subject)
        if limit is not None and isinstance(value, Measure) and not value.exact and limit.is_beyond(value) is None:
            return True
    return False


def themes_of(judgement: Judgement, item: CoverageItem, rules: RuleSet) -> tuple[str, ...]:
    """What a tire is about: by the questions of what it is made to show, and of what decides."""
    asked = {reason.question for reason in judgement.deciding}
    if item.kind == "ruling":
        asked = {rules.nodes[r.node].asks for r in rules.rulings() if r.id == item.name} or asked
    known = {rules.input_of(name) for name in asked if name}
    found = [theme for theme, about in _ABOUT.items() if known & set(about)]
    if any(_habit(reason.basis.standing) or _law(reason.basis.sources, rules) for reason in judgement.deciding):
        found.append(HABIT)
    if len(judgement.injuries) > 1 or len(judgement.walk.tire.case.repairs) > 0:
        found.append(SEVERAL)
    return tuple(found)


def _habit(standing: str) -> bool:
    return standing in UNSOURCED


def _law(sources: Iterable[str], rules: RuleSet) -> bool:
    return any("law" in rules.sources[source].kind for source in sources)


def _level(judgement: Judgement, item: CoverageItem) -> int:
    """1 for what is plain to see, 2 for a figure, 3 for a figure just met, a doubt, or several together."""
    if item.kind in (DOUBT, "can't tell", "limit at its figure") or judgement.measure_again:
        return 3
    if len(judgement.injuries) > 1 or judgement.restrictions:
        return 3
    return 2 if item.kind.startswith("limit") or any(reason.limit for reason in judgement.deciding) else 1


def trained_by(judgement: Judgement) -> tuple[str, ...]:
    """The rulings and limits that a tire trains: those that decide, and those that bring a restriction."""
    found: dict[str, None] = {}
    counting = [reason for reason in judgement.reasons if reason.verdict is None or reason in judgement.deciding]
    for reason in counting:
        found[f"ruling/{reason.ruling}"] = None
        if reason.limit is not None:
            found[f"limit/{reason.limit.id}"] = None
    return tuple(found)
