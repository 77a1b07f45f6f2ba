"""Makes a tire of a plan: the same for the same name and seed, and judged as the plan says."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from msgspec.structs import replace

from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import read_case, split_cases
from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Case
from advisor.model.quantity import Measure
from advisor.model.ruleset import digest_of
from advisor.practise.chance import Chance
from advisor.practise.garage import GarageTire, garage, garage_tires, likely_answers, misfit
from advisor.practise.made_up import MadeUpTire, Where, Workshop, places_of, what_counts, with_answers
from advisor.practise.tire_plan import MIXED, PlannedTire, TirePlan, shows_item, trained_by
from advisor.tools.case_writer import case_text
from advisor.tools.coverage import Coverage


class TireMaker:
    """Makes tires of a plan."""

    def __init__(self, workshop: Workshop, plan: TirePlan, later: Callable[[], TirePlan] | None = None) -> None:
        """`later`: gives the whole plan where this one is only its beginning; it is waited for when it is needed."""
        self.workshop, self.rules, self.judge, self.plan = workshop, workshop.rules, workshop.judge, plan
        self._later = later
        self.by_item = {each.item: each for each in plan.tires}
        self._coverage = Coverage(self.rules)

    def whole(self) -> TirePlan:
        """The whole plan; waits for it where only its beginning was at hand."""
        if self._later is not None:
            self.plan, self._later = self._later(), None
            self.by_item = {each.item: each for each in self.plan.tires}
        return self.plan

    def made(self, item: str, seed: object) -> MadeUpTire:
        """The tire that shows something, dressed up by the seed. Raises KeyError for what no tire shows."""
        planned, chance = self.by_item[item], Chance("tire", self.rules.about.id, item, seed)
        (text,) = split_cases(planned.text, "practise")
        case = read_case(text, self.rules, self.workshop.day)
        shows = self._shows(planned, case)
        tire = next(each for each in garage().tires if each.id == planned.tires[0])
        case, tire = self._moved(case, tire, shows, chance.of("which"))
        case = self.workshop.varied(case, shows, _near(planned), chance.of("figures"))
        case = self.workshop.dressed(case, tire, shows, chance.of("dress"))
        case, readings = self.workshop.read(case, shows, chance.of("tool"))
        return MadeUpTire(
            name=f"{item} seed {seed}",
            rules=self.rules.about.id,
            mark=tire_mark(case, self.workshop),
            case=case,
            items=trained_by(self.judge.judge(case)),
            themes=planned.themes,
            level=planned.level,
            vehicle=tire.name,
            order=_order(chance.of("order")),
            readings=readings,
        )

    def fewest(self) -> list[str]:
        """A short row of tires that shows every ruling, limit, doubt and method that any tire of the plan shows."""
        shown = []
        for planned in self.plan.tires:
            (text,) = split_cases(planned.text, "practise")
            marks = self._coverage.marks(read_case(text, self.rules, self.workshop.day))
            shown.append((planned.item, frozenset(mark for mark in marks if mark[0] not in ("way on", "ending"))))
        return tires_to_reach(shown)

    def of_case(self, case: Case, name: str, seed: object) -> MadeUpTire:
        """A tire of a case from a file, with the readings that its figures allow."""
        judgement, chance = self.judge.judge(case), Chance("own", name, seed)
        self_same = self._same(judgement)
        changed, readings = self.workshop.read(case, self_same, chance)
        return MadeUpTire(
            name=name,
            rules=self.rules.about.id,
            mark=tire_mark(case, self.workshop),
            case=changed,
            items=trained_by(judgement),
            themes=(),
            level=2,
            vehicle="",
            order=_order(chance),
            readings=readings,
        )

    def altered(self, tire: MadeUpTire, changes: Mapping[Where, Answer | None]) -> MadeUpTire:
        """A near twin: the same tire in which one thing is otherwise."""
        case = with_answers(tire.case, changes)
        readings = {key: words for key, words in tire.readings.items() if key not in {(w[2], w[1]) for w in changes}}
        judgement = self.judge.judge(case)
        chance = Chance("twin", tire.mark)
        changed, more = self.workshop.read(
            _only_these(case, set(changes)),
            lambda part: self._same(judgement)(with_answers(case, dict(places_of(part)))),
            chance,
        )
        return replace(
            tire,
            name=f"twin of {tire.name}",
            mark=tire_mark(case, self.workshop),
            case=with_answers(case, dict(places_of(changed))),
            items=trained_by(judgement),
            readings={**readings, **more},
            twin_of=tire.mark,
        )

    def _same(self, judgement: Judgement) -> Callable[[Case], bool]:
        wanted = what_counts(judgement)
        return lambda case: what_counts(self.judge.judge(case)) == wanted

    def _shows(self, planned: PlannedTire, case: Case) -> Callable[[Case], bool]:
        kind, _, name = planned.item.partition("+")[0].partition("/")
        item, same = shows_item(kind, name, self._coverage), self._same(self.judge.judge(case))
        by_item = item if "+" not in planned.item else lambda case: True
        return lambda case: same(case) and by_item(case)

    def _moved(
        self, case: Case, tire: GarageTire, shows: Callable[[Case], bool], chance: Chance
    ) -> tuple[Case, GarageTire]:
        """The case on another tire of the garage and another wheel, where it shows the same there."""
        for other in chance.shuffled(garage_tires(self.rules)):
            for wheel in chance.shuffled(other.positions):
                moved = self._on(case, tire, other, wheel, chance)
                if not misfit(moved, self.rules) and shows(moved):
                    return moved, other
        return case, tire

    def _on(self, case: Case, tire: GarageTire, other: GarageTire, wheel: str, chance: Chance) -> Case:
        own, there = likely_answers(tire, self.rules), likely_answers(replace(other, positions=(wheel,)), self.rules)
        changes: dict[Where, Answer | None] = {}
        for name, answer in own.items():
            if case.answers.get(name) == answer and self.rules.questions[name].over == inputs.OVER_TIRE:
                changes[("tire", TIRE, name)] = there.get(name)
        sound = self.workshop.sound(replace(other, positions=(wheel,)), chance.of(other.id))
        found, should = map(self.rules.question_now, (inputs.FOUND_PRESSURE, inputs.SET_PRESSURE))
        was, now, reading = case.answers.get(should), sound.answers.get(should), case.answers.get(found)
        if isinstance(was, Measure) and isinstance(now, Measure) and was.exact and isinstance(reading, Measure):
            turns = now.to("psi").low / was.to("psi").low if was.low else 1
            here = reading.to("psi")
            changes[("tire", TIRE, should)] = now
            changes[("tire", TIRE, found)] = Measure(here.low * turns, here.high * turns, "psi")
        return with_answers(case, changes)


def _near(planned: PlannedTire) -> frozenset[str]:
    """The limits that a tire's figures come near: none where it is an easy one."""
    named = {name.partition("/")[2] for name in (planned.item, *planned.trains) if name.startswith("limit")}
    return frozenset(named) if planned.level > 1 else frozenset()


def _only_these(case: Case, wheres: set[Where]) -> Case:
    kept = Case(today=case.today, injuries=({},) * len(case.injuries), repairs=({},) * len(case.repairs))
    return with_answers(kept, {where: answer for where, answer in places_of(case) if where in wheres})


def tire_mark(case: Case, workshop: Workshop) -> str:
    """By what the same tire is known again: a hash of what is true of it, and of the rules."""
    return digest_of({"case": case_text(case, workshop.rules), "rules": workshop.rules.digest})


def _order(chance: Chance) -> tuple[str, ...]:
    return (
        f"The driver says: {chance.of('driver').pick(garage().driver)}",
        f"The boss says: {chance.of('boss').pick(garage().boss)}",
    )


def tires_to_reach(shown: Iterable[tuple[str, frozenset[tuple[str, str]]]]) -> list[str]:
    """The tire that shows most anew comes next, until nothing is left that any of them shows."""
    left = {item: set(marks) for item, marks in shown}
    row: list[str] = []
    while left:
        item = max(left, key=lambda each: len(left[each]))
        anew = left.pop(item)
        if not anew:
            break
        row.append(item)
        for marks in left.values():
            marks -= anew
    return row


def fitting(plan: TirePlan, theme: str = MIXED, level: int = 0) -> list[PlannedTire]:
    """The tires of a theme, and of a level where one is named."""
    found = [each for each in plan.tires if theme == MIXED or theme in each.themes]
    return [each for each in found if level in (0, each.level)]


def drawn(plan: TirePlan, theme: str, level: int, count: int, seed: object) -> list[str]:
    """So many tires by chance, no verdict left out for long, none twice while there are others."""
    lot, chance = fitting(plan, theme, level), Chance("drawn", plan.digest, theme, level, seed)
    by_verdict: dict[str, list[PlannedTire]] = {}
    for each in chance.shuffled(lot):
        by_verdict.setdefault(each.verdict, []).append(each)
    rows = [by_verdict[verdict] for verdict in chance.shuffled(sorted(by_verdict))]
    return _in_turn(rows, count)


def _in_turn(rows: Sequence[Iterable[PlannedTire]], count: int) -> list[str]:
    """From each row in turn; rows that are used up begin anew."""
    lots = [list(row) for row in rows]
    found: list[str] = []
    place = 0
    while lots and len(found) < count:
        lot = lots[place % len(lots)]
        found.append(lot[(place // len(lots)) % len(lot)].item)
        place += 1
    return found
