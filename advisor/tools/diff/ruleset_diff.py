"""What a new edition changes for cases: each region whose verdict, method or restrictions differ, with an example.

Whatever counts otherwise (`subjects`) is looked at region by region (`regions`). Each region that differs is judged by
both rule sets; where something else outweighs the difference there, a case is looked for in which nothing does. Where
there is none, that is a proof: no case comes out otherwise by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import cycle, islice, zip_longest

from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.derived.registry import FUNCTIONS
from advisor.engine.facts import Facts, OneOf
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import CaseText
from advisor.loader.renamed import asked_as_in, asked_as_inputs
from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Answers, Case, Choice, Choices, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Node, RuleSet, Ruling, Verdict
from advisor.tools.case_writer import answer_text
from advisor.tools.diff.behind import entries_behind
from advisor.tools.diff.entries import DECIDES, RENAMED, EntryDifference, differing_entries
from advisor.tools.diff.kept import MOST_NEAR, MOST_NEAR_IN_ALL, by_fullness, near, questions_behind, read_by_both
from advisor.tools.diff.limit_use import Unshown, changed_limits, limits_in, unshown
from advisor.tools.diff.regions import Region, has_more, regions_of, states_of, unmasked, without_doubt
from advisor.tools.diff.strewn import is_read_beside, strewn_regions
from advisor.tools.diff.subjects import Manner, Sides, Subject
from advisor.tools.diff.worked_out import worked_out_otherwise
from advisor.tools.verify.case_space import Space, paired
from advisor.tools.verify.effects import Effect
from advisor.tools.verify.factors import Local
from advisor.tools.verify.partitions import State, case_with
from advisor.tools.verify.workbench import Bench

#: So many of a subject's differing regions are judged; what has more is named.
MOST_JUDGED = 400


class RuleChange(Struct, frozen=True, eq=False):
    """Regions that came out otherwise in the same way: how many, what touched them, and one example case.

    `typed` is an answer that the example needs in the words as typed: the question's name in a case file, the words.
    """

    about: str
    names: tuple[str, ...]
    before: str
    after: str
    direction: str
    regions: int
    case: Case
    example: tuple[str, ...] = ()
    typed: tuple[str, str] = ("", "")


#: What of a case comes out otherwise, the gravest first: its outcome, what is asked, its cautions, its reasons.
KINDS = OUTCOME, ASKED, CAUTIONS, REASONS = "outcome", "asked", "cautions", "reasons"


class Comparison(Struct, frozen=True, eq=False):
    """All changes of outcomes; cases in which something else is asked or other cautions or reasons are shown; every
    entry whose text differs; what is not told for certain, and figures that moved with no case to show it; values that
    are worked out otherwise where no ruling minds; the ids that what is told goes by."""

    changes: tuple[RuleChange, ...]
    asked: tuple[RuleChange, ...]
    cautions: tuple[RuleChange, ...]
    reasons: tuple[str, ...]
    entries: tuple[EntryDifference, ...]
    limits: tuple[str, ...]
    open: tuple[str, ...] = ()
    unshown: tuple[Unshown, ...] = ()
    worked_out: tuple[str, ...] = ()
    gone_by: frozenset[str] = frozenset()

    @property
    def without_effect(self) -> list[EntryDifference]:
        """The entries that could decide and are behind nothing told: every region of theirs was looked at."""
        return [entry for entry in self._not_told if not self._is_behind(entry)]

    @property
    def behind(self) -> list[EntryDifference]:
        """The entries that could decide and by way of which something told comes out otherwise."""
        return [entry for entry in self._not_told if self._is_behind(entry)]

    def _is_behind(self, entry: EntryDifference) -> bool:
        return not self.gone_by.isdisjoint(entry.path)

    @property
    def _not_told(self) -> list[EntryDifference]:
        told = {name for change in (*self.changes, *self.asked, *self.cautions) for name in change.names}
        told |= {name for about in (*self.open, *self.reasons) for name in about.split()}
        told |= {moved.limit for moved in self.unshown}
        told |= {line.partition(":")[0] for line in self.worked_out}
        return [entry for entry in self.entries_of(DECIDES) if not told & set(entry.path)]

    def entries_of(self, heading: str) -> list[EntryDifference]:
        """The differing entries under a heading."""
        return [entry for entry in self.entries if entry.heading == heading]


def compare(
    old: RuleSet,
    new: RuleSet,
    to_first_change: bool = False,
    like: Space | None = None,
    kept: Sequence[CaseText] = (),
) -> Comparison:
    """What changed for cases from one rule set to another; on wish no further than to a first change of an outcome.

    `like` saves time where one rule set is held against many: the space of the old one, paired with itself. `kept` are
    cases beside the rules, tried for what is neither shown nor proved without them.
    """
    return _Comparing(old, new, like, kept).done(to_first_change)


class _Comparing:
    """Two rule sets on benches that share their states, and what was found so far."""

    def __init__(self, old: RuleSet, new: RuleSet, like: Space | None, kept: Sequence[CaseText]) -> None:
        new = asked_as_inputs(new)
        old = asked_as_in(old, new)
        self.old, self.new = old, new
        spaces = paired(old, new, like)
        self.before = Bench(old, spaces[0])
        self.after = Bench(new, spaces[1], self.before.answers)
        self.before.renew()  # the other's quiet case may have added states
        self.found: dict[str, dict[tuple[str, str, str], RuleChange]] = {kind: {} for kind in KINDS}
        self.open: dict[str, None] = {}
        self.left_open: list[Subject] = []
        self.subjects: list[Subject] = []
        doubts = [{(ruling.id, ruling.doubts) for ruling in rules.rulings()} for rules in (old, new)]
        self.doubts = {ruling for ruling, _ in doubts[0] ^ doubts[1]}
        self.kept_texts = kept
        self.limits = tuple(sorted(changed_limits(old, new)))
        self.unsure: list[tuple[Subject, list[Region]]] = []
        self.entries = tuple(differing_entries(old, new))
        self.renamed = {entry.gone[0]: entry.path[-1] for entry in self.entries if entry.heading == RENAMED}

    def done(self, to_first_change: bool = False) -> Comparison:
        for _ in self._look_at_all():
            if to_first_change and self.found[OUTCOME]:
                break
        changes, asked, cautions, reasons = (tuple(self.found[kind].values()) for kind in KINDS)
        told_by = {name for change in (*changes, *asked, *cautions) for name in change.names}
        moved = tuple(unshown(self.old, self.new, (name for change in changes for name in change.names), told_by))
        named = {change.about for change in (*changes, *cautions)}
        told = tuple(dict.fromkeys(change.about for change in reasons if change.about not in named))
        self._not_seen({*told_by, *(each.limit for each in moved)})
        named_by_figure = {f"limit {each.limit}" for each in moved}
        left = tuple(about for about in self.open if about not in named_by_figure)
        others = sorted(self._other_values(told_by))
        values = tuple(worked_out_otherwise(others, self._quiet_first(), self.benches)) if others else ()
        gone_by = frozenset(entries_behind(told_by, (self.old, self.new)))
        return Comparison(
            changes, asked, cautions, told, self.entries, self.limits, left, moved, worked_out=values, gone_by=gone_by
        )

    def _other_values(self, told: set[str]) -> Iterator[str]:
        """The worked-out values that go by another function, input or figure and are behind nothing told."""
        for name in self.old.values.keys() & self.new.values.keys():
            one, two = (rules.values[name] for rules in (self.old, self.new))
            moved = set(two.figures.values()) & set(self.limits)
            alike = (one.function, one.reads, one.figures) == (two.function, two.reads, two.figures)
            if not (alike and not moved) and name not in told and moved.isdisjoint(told):
                yield name

    def _quiet_first(self) -> list[Case]:
        return [self.after.completed(case_with(self.before.answers)), *(case for case, _ in self._kept)]

    def _not_seen(self, told: set[str]) -> None:
        """Notes what no state of the samples can tell: a moved limit behind no change, a choice that none gives."""
        sides = [bench.space for bench in self.benches]
        held = {
            limit
            for side in sides
            for name, every in side.tested.items()
            for limit in (
                *(leaf.operand[0] for leaf in every if leaf.test in ("beyond", "within")),
                *(side.rules.values[name].figures.values() if name in side.rules.values else ()),
            )
        }
        self.open |= {f"limit {limit}": None for limit in self.limits if limit in held - told}
        for side, other in (sides, sides[::-1]):
            for name, every in side.tested.items():
                operands = {one for leaf in every if leaf not in other.tested.get(name, ()) for one in leaf.operand}
                operands -= side.rules.limits.keys()
                if operands:
                    given = {one for state in side.states(side.group_of[name]) for one in _given(state.looks[name][0])}
                    self.open |= {f"{name} {one}": None for one in sorted(operands - given)}

    def _look_at_all(self) -> Iterator[None]:
        """Looks at one thing after another."""
        for subject in Sides(self.before, self.after, self.renamed).subjects():
            self.subjects.append(subject)
            self._look_at(subject)
            yield
        for change in (*self._bare_cases(), *self._typed_words()):
            self._keep(OUTCOME, change)
            yield
        for subject, regions in self.unsure:
            tried = strewn_regions(regions, subject.asked, self.before)
            orders = cycle((self.benches, self.benches[::-1]))
            if not any(
                self._judge(each, subject, order) == OUTCOME for each, order in zip(tried, orders, strict=False)
            ):
                optional = any(node.optional for node in self._asking(subject.asked))
                if optional and is_read_beside(subject.asked, self.before):
                    self._leave_open(subject)
            yield
        yield from self._try_kept()
        yield from self._witnessed()

    def _witnessed(self) -> Iterator[None]:
        """The cases beside the rules as the last witness of what no case shows, or none that is a repair."""
        for subject in self.subjects:
            told = {kind: [c for c in self.found[kind].values() if _is_of(c, subject)] for kind in KINDS[:3]}
            mine, outcomes = any(told.values()), told[OUTCOME]
            if not mine:
                any(self._shows_kept(case, subject, both) for case, both in self._kept)
            elif outcomes and not any(str(Verdict.REPAIR) in (c.before + c.after).split() for c in outcomes):
                repairs = [(case, both) for case, both in self._kept if any(j.verdict is Verdict.REPAIR for j in both)]
                apart = (each for each in repairs if said_of_changes(each[1][0]) != said_of_changes(each[1][1]))
                any(self._shows_kept(case, subject, both) for case, both in apart)
            if not mine and not self.doubts.isdisjoint(subject.names):
                any(self._keep_case(case, subject, *both) == ASKED for case, both in self._kept)
            yield
        told_by = {name for kind in (OUTCOME, ASKED, CAUTIONS) for c in self.found[kind].values() for name in c.names}
        if self.subjects or self.limits:
            for case, both in self._kept:
                subject = self._of_reasons(*both)
                if told_by.isdisjoint(subject.names):
                    self._keep_case(case, subject, *both)
            yield

    def _of_reasons(self, first: Judgement, second: Judgement) -> Subject:
        """What two judgements differ in as a subject: the rulings that only one of them goes by, and moved limits."""
        one, two = (
            {
                (r.ruling, r.ending, r.restrictions, r.cautions, bool(r.doubt))
                for r in (*each.reasons, *each.caution_reasons)
            }
            for each in (first, self._called_as_before(second))
        )
        names = sorted({ruling for ruling, *_ in one ^ two})
        whens = [ruling.when for each in (self.old, self.new) for ruling in each.rulings() if ruling.id in names]
        used = sorted({name for each in (self.old, self.new) for name in limits_in(whens, each)} & set(self.limits))
        about = f"limit {used[0]}" if used else f"ruling {names[0]}" if names else "a case beside the rules"
        return Subject(about, (*names, *used), Local({}, lambda _: ((), ())), lambda _: [])

    def _leave_open(self, subject: Subject) -> None:
        self.open[subject.about] = None
        self.left_open.append(subject)

    def _try_kept(self) -> Iterator[None]:
        """What is left open is held against the cases beside the rules, and such as differ by one answer.

        But for limits, which are told by their figures where no region shows them.
        """
        shown: dict[str, bool] = {}
        for subject in (each for each in self.left_open if not each.about.startswith("limit ")):
            shown[subject.about] = self._shown_by_kept(subject) and shown.get(subject.about, True)
            yield
        for about in (about for about, by_a_case in shown.items() if by_a_case):
            del self.open[about]

    @cached_property
    def _kept(self) -> list[tuple[Case, tuple[Judgement, Judgement]]]:
        cases = read_by_both(self.kept_texts, self.old, self.new)
        return [(case, (self.before.judged(case), self.after.judged(case))) for case in cases]

    def _shown_by_kept(self, subject: Subject) -> bool:
        if not subject.asked and any(self._shows_kept(case, subject, both) for case, both in self._kept):
            return True
        names = {name for number in subject.of.groups for name in self.before.space.groups[number]}
        names |= {name for ruling in self._rulings(subject) for name in ruling.same_for} | {subject.asked}
        questions = sorted(questions_behind(names, self.old))

        def order(kept: tuple[Case, tuple[Judgement, Judgement]]) -> tuple[bool, bool, int]:
            return not any(_speaks_of(subject, each) for each in kept[1]), *by_fullness(kept[0], subject.asked)

        cases = [case for case, _ in sorted(self._kept, key=order)]
        if subject.asked:
            cases = [each for case in cases for each in (*_not_answered(case, subject.asked, self.new), case)]
        return any(
            self._shows_kept(case, subject, (self.before.judged(case), self.after.judged(case)))
            for case in islice(
                near(cases, questions, self.old), min(MOST_NEAR, MOST_NEAR_IN_ALL // len(self.left_open))
            )
        )

    def _rulings(self, subject: Subject) -> Iterator[Ruling]:
        return (ruling for bench in self.benches for ruling in bench.rules.rulings() if ruling.id in subject.names)

    def _shows_kept(self, case: Case, subject: Subject, both: tuple[Judgement, Judgement]) -> bool:
        """Whether a kept case comes out otherwise by a subject: it speaks of it otherwise, or is asked otherwise."""
        first, second = both
        if subject.asked:
            otherwise_by_a_limit = self.limits and said_of_changes(first) != said_of_changes(second)
            alike = otherwise_by_a_limit or _how_asked(first, subject.asked) == _how_asked(second, subject.asked)
        else:
            alike = _speaks_of(subject, first) == _speaks_of(subject, second)
        return not alike and self._keep_case(case, subject, first, second) in (OUTCOME, ASKED, CAUTIONS)

    def _look_at(self, subject: Subject) -> None:
        """Judges the regions that differ; for each manner of differing that no case shows, looks for one."""
        differing: dict[Manner, list[Region]] = {}
        for region in regions_of(subject.of, self.before):
            manner = subject.of.at(region)
            if manner[0] != manner[1]:
                differing.setdefault(manner, []).append(region)
        if has_more(subject.of) or sum(map(len, differing.values())) > MOST_JUDGED:
            self._leave_open(subject)
        shown: set[Manner] = set()
        for manner, region in islice(_in_turn(differing), MOST_JUDGED):
            kind = self._judge(region, subject, self.benches)
            if kind == OUTCOME or (kind and kind != REASONS and not subject.searches(manner)):
                shown.add(manner)
        for manner in differing:
            if manner not in shown:
                self._search(subject, manner)
        outcomes = {change.about for change in self.found[OUTCOME].values()}
        if differing and subject.about not in outcomes and (subject.asked or subject.about in self.open):
            self.unsure.append((subject, [region for regions in differing.values() for region in regions]))

    def _asking(self, question: str) -> Iterator[Node]:
        """The nodes of both rule sets that ask a question."""
        return (
            node for bench in self.benches for node in bench.rules.nodes.values() if question and node.asks == question
        )

    @property
    def benches(self) -> tuple[Bench, Bench]:
        return self.before, self.after

    def _search(self, subject: Subject, manner: Manner) -> None:
        """Looks for a case that nothing else outweighs. None at all is a proof; one that shows nothing is not."""
        tried = False
        for search in subject.searches(manner):
            order = self.benches if search.bench is self.before else self.benches[::-1]

            def shows(region: Region, order: tuple[Bench, Bench] = order) -> bool:
                return self._judge(region, subject, order) in (OUTCOME, ASKED, CAUTIONS)

            for region in unmasked(subject.of, manner.__eq__, search):
                tried = True
                others = without_doubt(subject.of, region, self._doubted(region, order), search)
                if shows(region) or any(map(shows, others)):
                    return
        if tried:
            self._leave_open(subject)

    def _doubted(self, region: Region, order: tuple[Bench, Bench]) -> set[str]:
        """What stands in the way in a region's case: questions whose doubt decides, and what was read for a value that
        came out otherwise than the region has it, as its state leaves open what brings it about."""
        states, bench = states_of(region, order), order[0]
        if states is None:
            return set()
        case = order[1].completed(bench.case(states))
        names, facts = {name for name, _ in bench.judged(case).measure_again}, Facts(bench.space.tables, case)
        for number, place in region.items():
            for name, (value, _) in bench.space.states(number)[place].looks.items():
                worked_out = bench.rules.values.get(name)
                got = facts.part(bench.space.tables.overs[name], 0).look(name)[0] if worked_out else None
                if worked_out and isinstance(got, Choice) and got != value:
                    names |= set(FUNCTIONS[worked_out.function].known)
        return names

    def _judge(self, region: Region, subject: Subject, order: tuple[Bench, Bench]) -> str:
        """Keeps what a region's case shows to be otherwise, the gravest kind; says which kind it is, if any."""
        states = states_of(region, order)
        if states is None:
            return ""
        case = order[1].completed(order[0].case(states))
        for name in (*self._left_out(region, states), *filter(None, [subject.asked])):
            case = _without(case, name)
        return self._keep_case(case, subject, self.before.judged(case), self.after.judged(case))

    def _keep_case(self, case: Case, subject: Subject, first: Judgement, second: Judgement) -> str:
        kind, before, after = _otherwise(first, self._called_as_before(second), subject.asked)
        if kind in ("", REASONS) and not self.doubts.isdisjoint(subject.names):
            told = [
                ", ".join(sorted({name for name, _ in each.measure_again})) or "nothing" for each in (first, second)
            ]
            if told[0] != told[1]:
                kind, (before, after) = ASKED, (f"measured again: {each}" for each in told)
        if kind:
            way = "" if kind != OUTCOME else direction(first, second, self.before, self.after)
            example = self._unlike(case, subject.asked)
            names = (*subject.names, *(before.split(", ") if kind == CAUTIONS and before else ()))
            self._keep(kind, RuleChange(subject.about, names, before, after, way, 1, case, example))
        if kind == ASKED:
            self._keep_cautions(case, subject, first, self._called_as_before(second))
        return kind

    def _keep_cautions(self, case: Case, subject: Subject, first: Judgement, second: Judgement) -> None:
        """Cautions that are shown, or not, where something is asked otherwise, unless they are told already."""
        lost, more = _cautions_apart(first, second)
        told = {name for c in self.found[CAUTIONS].values() for name in f"{c.before}, {c.after}".split(", ")}
        if not {*lost, *more} <= told:
            names, example = (*subject.names, *lost), self._unlike(case, subject.asked)
            lines = ", ".join(lost), ", ".join(more)
            self._keep(CAUTIONS, RuleChange(subject.about, names, *lines, "", 1, case, example))

    def _left_out(self, region: Region, states: Iterable[State]) -> frozenset[str]:
        """The questions that a region leaves out, the quiet case's own among them, but for those that a state needs."""
        silent = (self.before.space.states(number)[place].silent for number, place in region.items())
        return frozenset[str]().union(*silent) - {where[2] for state in states for where in state.context}

    def _called_as_before(self, judgement: Judgement) -> Judgement:
        """The judgement with what was renamed under its old name."""
        if not self.renamed:
            return judgement

        def names(every: Iterable[str]) -> tuple[str, ...]:
            return tuple(self.renamed.get(name, name) for name in every)

        ending, method = names((judgement.ending, judgement.method))
        shown = tuple(replace(r, cautions=names(r.cautions)) for r in judgement.caution_reasons)
        said = {"cautions": names(judgement.cautions), "caution_reasons": shown, "reasons": judgement.reasons}
        named = replace(
            judgement,
            ending=ending,
            method=method,
            restrictions=names(judgement.restrictions),
            also_allowed=names(judgement.also_allowed),
        )
        vars(named).update(said)  # what is put in words when first asked for was so under the new names
        return named

    def _keep(self, kind: str, change: RuleChange) -> None:
        key = (change.about, change.before, change.after)
        found = self.found[kind]
        found[key] = _together(found[key], change) if key in found else change

    def _unlike(self, case: Case, asked: str = "") -> tuple[str, ...]:
        """The answers of a case that differ from the quiet one's, in a few words each, and the one that it lacks."""
        quiet, questions = case_with(self.before.answers), {**self.new.questions, **self.old.questions}
        pairs = [(case.answers, quiet.answers)]
        pairs += [(each, quiet.injuries[0] if quiet.injuries else {}) for each in case.injuries]
        pairs += [(each, {}) for each in case.repairs]
        found = []
        for item, base in pairs:
            for name in dict.fromkeys((*item, *base)):
                if name not in inputs.ONE_MORE and item.get(name) != base.get(name):
                    answer = item.get(name)
                    word = "not answered" if answer is None else answer_text(answer).strip('"')
                    found.append(f"{questions[name].key}: {word}")
        if quiet.injuries and not case.injuries:
            found.append("no injury")
        lacking = f"{questions[asked].key}: not answered" if asked else ""
        return tuple(dict.fromkeys(filter(None, (*found, lacking)))) or ("nothing unusual",)

    def _bare_cases(self) -> Iterator[RuleChange]:
        """What is walked, or said of nothing answered, otherwise: cases without an injury, a repair, any answer."""
        old, new = self.old, self.new
        if old.parts == new.parts and old.about.when_unanswered == new.about.when_unanswered:
            return
        quiet = self.after.completed(case_with(self.before.answers))
        about = next((f"part {a.id}" for a, b in zip_longest(old.parts, new.parts) if a and a != b), "no answer")
        for case in (replace(quiet, injuries=()), replace(quiet, repairs=()), Case(today=quiet.today)):
            change = self._change(about, (about.rpartition(" ")[2],), case, case)
            if change is not None:
                yield change

    def _change(self, about: str, names: tuple[str, ...], one: Case, two: Case) -> RuleChange | None:
        first, second = self.before.judged(one), self.after.judged(two)
        before, after = said_of_changes(first), said_of_changes(self._called_as_before(second))
        if before == after:
            return None
        way = direction(first, second, self.before, self.after)
        return RuleChange(about, names, before, after, way, 1, one, self._unlike(one))

    def _typed_words(self) -> Iterator[RuleChange]:
        """What comes out otherwise where words that may be typed stand for another figure."""
        for name in self.old.questions.keys() & self.new.questions.keys():
            one, two = self.old.questions[name], self.new.questions[name]
            figures: dict[tuple[Measure, Measure], tuple[str, Measure, Measure]] = {}
            for word in sorted(one.figures_said.keys() & two.figures_said.keys()):
                before, after = one.figures_said[word], two.figures_said[word]
                if (before.low, before.unit) != (after.low, after.unit):
                    figures.setdefault((before, after), (word, before, after))
            every = (change for word, *read in figures.values() for change in self._typed(name, word, *read))
            yield from _first_of_each_direction(every)

    def _typed(self, name: str, word: str, before: Measure, after: Measure) -> Iterator[RuleChange]:
        question, moved = self.old.questions[name], sorted(self._limits_said(name))
        about = f"limit {moved[0]}" if moved else f"answer {name}"
        seen: set[str] = set()
        for effect in self._resting_on(name):
            for region in regions_of(effect, self.before):
                states = states_of(region, self.benches)
                if states is None:
                    continue
                case = self.before.case(states)
                place = name, -1 if question.over == "tire" else 0
                one, two = (
                    case.with_answer(question.over, place, _read(each, question.kind)) for each in (before, after)
                )
                if repr(one) not in seen:
                    seen.add(repr(one))
                    change = self._change(about, (name, *moved), one, two)
                    if change is not None:
                        example = tuple(
                            f"{question.key}: {word}" if e.startswith(f"{question.key}:") else e for e in change.example
                        )
                        yield replace(change, typed=(question.key, word), example=example)

    def _limits_said(self, name: str) -> Iterable[str]:
        """The limits whose own figure moved, among those that words typed for a question stand for."""
        files = [
            rules.content["questions.yaml"].get(name, {}).get("figures-said", {}) for rules in (self.old, self.new)
        ]
        return set(files[0]) & set(changed_limits(self.old, self.new)) if files[0] == files[1] else ()

    def _resting_on(self, question: str) -> list[Effect]:
        space = self.before.space
        number = space.home.get(question, -1)
        return [effect for effect in self.before.effects.touching.get(number, ()) if effect.ruling is not None]


def _is_of(change: RuleChange, subject: Subject) -> bool:
    return change.about == subject.about or change.names == subject.names


def _speaks_of(subject: Subject, judgement: Judgement) -> list[tuple[object, ...]]:
    """What a judgement says by a subject: its rulings' reasons, the restrictions and cautions that they bring."""
    reasons = (*judgement.reasons, *judgement.caution_reasons)
    said: list[tuple[object, ...]] = [
        (r.ruling, r.ending, r.restrictions, r.cautions, bool(r.doubt)) for r in reasons if r.ruling in subject.names
    ]
    methods = [name for name in (judgement.method, *judgement.also_allowed) if name in subject.names]
    return [*said, *((name,) for name in methods), *((n,) for n, _ in judgement.measure_again if n in subject.names)]


def _first_of_each_direction(changes: Iterable[RuleChange]) -> Iterator[RuleChange]:
    """The first change that is looser and the first that is stricter; it is not looked further than need be."""
    found: set[str] = set()
    for change in changes:
        if change.direction not in found and change.direction != "other":
            found.add(change.direction)
            yield change
            if len(found) == 2:
                return


def _given(value: object) -> Iterable[str]:
    """The choices that a value is, or may be."""
    if isinstance(value, Choices):
        return value.present
    return (value.id,) if isinstance(value, Choice) else value.possible if isinstance(value, OneOf) else ()


def _read(measure: Measure, kind: str) -> Answer:
    return Readings((measure,)) if kind == "readings" else measure


def _in_turn(differing: dict[Manner, list[Region]]) -> Iterator[tuple[Manner, Region]]:
    """A region of each manner of differing, then another of each, and so on."""
    for turn in zip_longest(*([(manner, region) for region in regions] for manner, regions in differing.items())):
        yield from (each for each in turn if each is not None)


def _without(case: Case, question: str) -> Case:
    """The case with no answer to a question."""

    def left(item: Answers) -> Answers:
        return {name: answer for name, answer in item.items() if name != question}

    repairs, injuries = (tuple(left(each) for each in items) for items in (case.repairs, case.injuries))
    return replace(case, answers=left(case.answers), repairs=repairs, injuries=injuries)


def _not_answered(case: Case, question: str, rules: RuleSet) -> Iterator[Case]:
    """The case with no answer to a question, and with that left out on purpose."""
    yield _without(case, question)
    over = rules.questions[question].over if question in rules.questions else ""
    for index, _ in enumerate(case.instances(over) if over else ()):
        yield case.with_skipped((question, TIRE if over == "tire" else index))


def _otherwise(first: Judgement, second: Judgement, asked: str) -> tuple[str, str, str]:
    """The gravest kind in which two judgements differ, and what each says; nothing where they are alike."""
    one, two = said_of_changes(first), said_of_changes(second)
    if one != two:
        return OUTCOME, one, two
    if asked:
        before, after = (_how_asked(each, asked) for each in (first, second))
        return (ASKED, before, after) if before != after else ("", "", "")
    lost, more = map(", ".join, _cautions_apart(first, second))
    if lost or more:
        return CAUTIONS, lost, more
    reasons = [{(r.ruling, r.ending, r.restrictions, bool(r.doubt)) for r in each.reasons} for each in (first, second)]
    return (REASONS, "", "") if reasons[0] != reasons[1] else ("", "", "")


def _cautions_apart(first: Judgement, second: Judgement) -> tuple[list[str], list[str]]:
    """The cautions of rulings that only the first shows, and only the second."""
    cautions = [_cautions_of_rulings(each) for each in (first, second)]
    lost, more = ([name for name in one if name not in other] for one, other in (cautions, cautions[::-1]))
    return lost, more


def _cautions_of_rulings(judgement: Judgement) -> dict[str, None]:
    """The cautions shown because of a ruling; those of endings, methods and the whole rule set are told by entry."""
    names = (name for reason in judgement.caution_reasons for name in reason.cautions)
    return dict.fromkeys(name for name in names if name in judgement.cautions)


def _how_asked(judgement: Judgement, question: str) -> str:
    """How a question is asked, and of which injuries or repairs, where it is not of the first alone."""
    walk = judgement.walk
    missing, asked = ([index for name, index in keys if name == question] for keys in (walk.missing, walk.asked))
    if not (missing or asked):
        return "not asked"
    left_out = {key for key in walk.tire.case.skipped if key[0] == question}
    again = ", and again once left out" if walk.to_ask.keys() & left_out else ""
    which = f" of no. {', '.join(str(n + 1) for n in sorted(missing or asked))}" if max(missing or asked) > 0 else ""
    return f"{'has to be answered' if missing else 'asked'}{which}{again}"


def _together(first: RuleChange, second: RuleChange) -> RuleChange:
    """Two changes of the same kind as one, with the plainer of the two cases as the example."""
    plainer = min(first, second, key=lambda change: len(change.example))
    names = tuple(dict.fromkeys((*first.names, *second.names)))
    return replace(plainer, regions=first.regions + second.regions, names=names)


def said_of_changes(judgement: Judgement) -> str:
    """Verdict, ending, methods and restrictions on one line."""
    parts = [f"{judgement.verdict} ({judgement.ending or 'no ending'})"]
    if judgement.method:
        parts.append(f"by {' or '.join((judgement.method, *judgement.also_allowed))}")
    if judgement.restrictions:
        parts.append(f"with {', '.join(sorted(judgement.restrictions))}")
    return " ".join(parts)


def direction(first: Judgement, second: Judgement, before: Bench, after: Bench) -> str:
    """`stricter`, `looser`, or `other` where it is neither.

    Where doubt or a missing answer is behind a verdict, what known answers could still bring at best counts first: a
    hold that becomes a referral because doubt no longer matters is not looser where a repair could have come of it.
    """
    if first.verdict != second.verdict:
        best, now = first.could_end[0], second.could_end[0]
        worse = now > best if best != now else second.verdict > first.verdict
        return "stricter" if worse else "looser"
    ranks = [bench.rules.methods[j.method].rank if j.method else -1 for bench, j in ((before, first), (after, second))]
    if first.verdict is Verdict.REPAIR and ranks[0] != ranks[1]:
        return "stricter" if ranks[1] > ranks[0] else "looser"
    for one, two in ((first.restrictions, second.restrictions), (second.also_allowed, first.also_allowed)):
        if set(one) != set(two):
            return "looser" if set(one) - set(two) else "stricter"
    return "other"
