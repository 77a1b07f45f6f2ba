"""Judges a case: every ruling on the way, three-valued; the worst one decides; doubt never counts for repair."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import cached_property

from msgspec.structs import replace

from advisor.engine.condition_plan import SeenHere
from advisor.engine.conditions import Test, compiled
from advisor.engine.derived.registry import FUNCTIONS
from advisor.engine.doubt import Doubt
from advisor.engine.facts import Facts
from advisor.engine.judgement_types import Counted, InjuryVerdict, Judgement, Possible, PutInWords, Reason, worst
from advisor.engine.methods import Methods
from advisor.engine.reachable import sharper_ends
from advisor.engine.reasons import cant_tell_name, cant_tell_reason, reason_for
from advisor.engine.templates import fill
from advisor.engine.traversal import Graph, Passage, Stop, Walk
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Case, Key
from advisor.model.ruleset import Condition, Join, Node, RuleSet, Ruling, Verdict, limit_tested

#: What may still come of a ruling that stays open; what it brings as it stands, as an ending and a verdict.
StaysOpen = tuple[Possible | None, tuple[str, Verdict | None] | None]


class Judge:
    """A rule set made ready for judging. Pure: the same case always gives the same judgement.

    Where limits change on a day, a case is judged by those of its own day, whichever day this one is made for.
    """

    def __init__(self, rules: RuleSet, undated: Judge | None = None) -> None:
        self.rules = rules
        self._undated, self._of_days = undated or self, dict[date | None, Judge]()
        self.graph = Graph(rules)
        self.methods = Methods(rules, self.graph.plan)
        self._places = _places(rules)
        self.doubt = Doubt(rules)
        self._known_open: dict[tuple[str, int, frozenset[Key], tuple[bool, bool, bool]], StaysOpen] = {}
        self._known_possible: dict[tuple[str, int, frozenset[Key]], Possible] = {}
        self._known_unsaid: dict[tuple[str, Key], Possible] = {}
        self._limits = {ruling.id: limit_tested(ruling.when) for ruling in rules.rulings()}
        self._terms = {ruling.id: tuple(_terms(ruling.when, rules)) for ruling in rules.rulings()}
        self._certain = {ruling.id: self.certainly(ruling) for ruling in rules.rulings()}

    @cached_property
    def units(self) -> Mapping[str, str | None]:
        """The unit in which each worked-out value is told; None where it has none."""
        return {name: FUNCTIONS[value.function].unit or None for name, value in self.rules.values.items()}

    def on(self, day: date | None) -> Judge:
        """The judge by the limits of a day; this one where none of them ever changes."""
        home = self._undated
        if not home.rules.days:
            return self
        rules = home.rules.on(day)
        if rules.day not in home._of_days:
            home._of_days[rules.day] = Judge(rules, home)
        return home._of_days[rules.day]

    def judge(self, case: Case, before: Judgement | None = None) -> Judgement:
        """The judgement of a case as far as it has been answered, by the limits of its day.

        `before`: that of a case that differs in little, so that only what differs is worked out anew.
        """
        return self.on(case.today)._judged(case, before)

    def _judged(self, case: Case, before: Judgement | None) -> Judgement:
        walk = self.graph.walk(case, None if before is None else before.walk)
        counted, possible = self._rulings(walk)
        return self.put_together(walk, counted, possible, self.each_injury(walk, counted))

    def put_together(
        self,
        walk: Walk,
        counted: list[Counted],
        possible: list[Possible],
        injuries: tuple[InjuryVerdict, ...],
        words: PutInWords | None = None,
    ) -> Judgement:
        """The judgement of what counts and what could still come on a walk; `injuries`: each taken alone."""
        sure = [each for each in counted if not each.doubt]
        certain = worst(sure)
        now = certain if len(sure) == len(counted) else worst(counted)
        again = self._measure_again(walk, counted, possible, certain, now)
        could = self.could_end(
            {verdict for each in possible for verdict in each.verdicts}, certain, now, bool(walk.lacking)
        )
        verdict, ending = self._verdict(counted, now, walk, could)
        method, also = self._method(verdict, counted, injuries)
        if verdict is Verdict.REPAIR and not (injuries and all(injury.method for injury in injuries)):
            again = tuple(dict.fromkeys((*again, *self.methods.doubts(walk))))
            could = (Verdict.REPAIR, Verdict.HOLD) if again else (Verdict.HOLD,)
            verdict, ending, method, also = Verdict.HOLD, self.rules.about.when_in_doubt, "", ()
        if verdict is Verdict.REPAIR:
            ending = self.methods.ending_of(method) or ending
            again += tuple(key for key in self.methods.doubts(walk) if key not in again)
        restricted = {name for each in counted for name in each.restrictions}
        return Judgement(
            verdict=verdict,
            ending=ending,
            method=method,
            also_allowed=also,
            restrictions=tuple(name for name in self.rules.restrictions if name in restricted) if restricted else (),
            each_alone=could,
            missing=walk.missing_keys,
            measure_again=again,
            possible=tuple(possible),
            counted=tuple(counted),
            each_injury=injuries,
            walk=walk,
            words=words or self,
        )

    def _rulings(self, walk: Walk) -> tuple[list[Counted], list[Possible]]:
        counted: list[Counted] = []
        possible: list[Possible] = []
        for each in walk.passages:
            self.on_passage(each, walk, counted, possible)
        for visit in walk.perhaps:
            facts, seen = visit.facts, walk.seen[visit.facts.over, visit.facts.index]
            for terms, (ruling, test) in zip(visit.stop.terms, visit.stop.rulings, strict=True):
                if ruling.ending and seen.alive & terms:
                    sure = seen.sure & terms
                    keys = visit.opened_by if sure else visit.opened_by | facts.opened[test]
                    found = self._known_possible.get((ruling.id, facts.index, keys))
                    possible.append(found or self._possible(ruling, visit.stop, facts, keys))
        return counted, possible

    def on_passage(self, passage: Passage, walk: Walk, counted: list[Counted], possible: list[Possible]) -> None:
        """Adds what counts where a part is walked through, and what could still come there."""
        lacking, answered, known = walk.lacking, walk.answered, self._known_open
        addresses, unsaid = self.graph.keys, self._known_unsaid
        facts, alive, sure = passage.facts, passage.seen.alive, passage.seen.sure
        for terms, ruling, test, stop in passage.entries(bool(lacking)):
            if not alive & terms:
                continue
            if ruling is None:
                key = addresses[stop.node.asks, facts.index]
                if key in lacking:
                    possible.append(unsaid.get((stop.node.id, key)) or self._still_unsaid(stop, facts, key))
                elif key in answered:
                    asks = stop.node.asks
                    if (facts.answers.get(asks) if stop.over == facts.over else facts.said(asks)) is CANT_TELL:
                        ending = stop.node.cant_tell.ending
                        verdict = self.rules.endings[ending].verdict
                        counted.append(Counted(None, stop, facts, frozenset({key}), ending, verdict))
                continue
            if sure & terms and not ruling.doubts:
                counted.append(Counted(ruling, stop, facts, _NO_DOUBT, *self._certain[ruling.id]))
                continue
            keys = frozenset(facts.key(name) for name in ruling.doubts) if ruling.doubts else facts.opened[test]
            how = not keys.isdisjoint(lacking), keys.isdisjoint(answered), not keys.isdisjoint(walk.asked)
            place = ruling.id, facts.index, keys, how
            come, brought = known.get(place) or self._open(ruling, stop, facts, keys, how)
            if come is not None:
                possible.append(come)
            if brought is not None:
                counted.append(Counted(ruling, stop, facts, keys, *brought))

    def certainly(self, ruling: Ruling) -> tuple[str, Verdict | None]:
        """The ending that a ruling brings for certain, and its verdict."""
        if ruling.ending:
            return ruling.ending, self.rules.endings[ruling.ending].verdict
        return "", Verdict.REPAIR if ruling.allows else None

    def _still_unsaid(self, stop: Stop, facts: Facts, key: Key) -> Possible:
        """What "can't tell" may still bring, where nothing was said."""
        verdict = self.rules.endings[stop.node.cant_tell.ending].verdict
        found = Possible(None, stop.node.id, facts.index, frozenset({verdict}), frozenset({key}))
        if len(self._known_unsaid) >= _MOST_KNOWN:
            self._known_unsaid.clear()
        self._known_unsaid[stop.node.id, key] = found
        return found

    def _open(
        self, ruling: Ruling, stop: Stop, facts: Facts, keys: frozenset[Key], how: tuple[bool, bool, bool]
    ) -> StaysOpen:
        """A ruling that stays open: still to be asked, or in doubt, which then counts at once.

        `how`: whether some of it is still to be asked, nothing of it was answered, some of it was asked.
        """
        waiting, unanswered, asked = how
        quiet = self.doubt.is_quiet(ruling, unanswered and not waiting, asked)
        come, brought = None, None
        may_come = bool(ruling.ending) and ruling.in_doubt != "never"
        if may_come and (not quiet or any(name in self.graph.needed for name, _ in keys)):
            come = self._possible(ruling, stop, facts, keys)
        if not waiting and self.doubt.counts(ruling, quiet):
            brought = self.doubt.brings(ruling, {name for name, _ in keys})
        if len(self._known_open) >= _MOST_KNOWN:
            self._known_open.clear()
        self._known_open[ruling.id, facts.index, keys, how] = come, brought
        return come, brought

    def reasons(self, judgement: Judgement) -> tuple[Reason, ...]:
        """All that counts, in words."""
        return tuple(map(self._reason, judgement.counted))

    def reason_at(self, counted: Counted, facts: Facts) -> Reason:
        """The reason that something gives that counts, at a place."""
        return self._reason(replace(counted, facts=facts))

    def _reason(self, counted: Counted) -> Reason:
        """The reason that a ruling gives here, with the terms by which it came."""
        ruling = counted.ruling
        if ruling is None:
            return cant_tell_reason(counted, self.rules)
        said = ruling.id, counted.doubt, counted.ending, counted.verdict
        return counted.facts.remembered(said, lambda facts: self._worded(ruling, counted, facts))

    def _worded(self, ruling: Ruling, counted: Counted, facts: Facts) -> Reason:
        terms = tuple(name for name, test in self._terms[ruling.id] if test(facts) is not False)
        return reason_for(ruling, counted, self.rules, self._limits[ruling.id], terms)

    def _possible(self, ruling: Ruling, stop: Stop, facts: Facts, keys: frozenset[Key]) -> Possible:
        place = ruling.id, facts.index, keys
        found = self._known_possible.get(place)
        if found is None:
            if len(self._known_possible) >= _MOST_KNOWN:
                self._known_possible.clear()
            endings = self.rules.endings
            verdicts = {
                endings[ruling.ending].verdict,
                endings[self.doubt.ending(ruling, {name for name, _ in keys})].verdict,
            }
            found = Possible(ruling, stop.node.id, facts.index, frozenset(verdicts), keys)
            self._known_possible[place] = found
        return found

    @staticmethod
    def could_end(come: Iterable[Verdict], certain: Verdict, now: Verdict, missing: bool) -> tuple[Verdict, ...]:
        """The verdicts that known answers could still bring (`come`), and the one that stands as things are."""
        could = {certain, now}
        could |= {verdict for verdict in come if verdict > certain}
        if missing and len(could) > 1:
            could.add(max(now, Verdict.HOLD))
        if missing and could == {Verdict.REPAIR}:
            could.add(Verdict.HOLD)
        return tuple(sorted(could))

    def _verdict(
        self, counted: list[Counted], now: Verdict, walk: Walk, could: tuple[Verdict, ...]
    ) -> tuple[Verdict, str]:
        """The verdict as things stand, and the ending that says so."""
        if walk.lacking and now < Verdict.HOLD and len(could) > 1:
            return Verdict.HOLD, self.rules.about.when_unanswered
        return now, self._ending(counted, now)

    def _ending(self, counted: Iterable[Counted], verdict: Verdict) -> str:
        first = self.first_of(counted, verdict)
        return first.ending if first else ""

    def first_of(self, counted: Iterable[Counted], verdict: Verdict) -> Counted | None:
        """What gives a verdict its ending: a certain reason before a doubtful one, then by the order of the graph.

        So it does not hang on which of several injuries was told first.
        """
        deciding = [each for each in counted if each.verdict == verdict and each.ending]
        if not deciding:
            return None
        return min(deciding, key=lambda each: (bool(each.doubt), self.place(each.stop.node, each.ruling)))

    def place(self, node: Node, ruling: Ruling | None) -> int:
        """Where a ruling stands in the graph, or what "can't tell" brings at a node (no ruling)."""
        return self._places[node.id, ruling.id if ruling else cant_tell_name(node)]

    def _measure_again(
        self, walk: Walk, counted: list[Counted], possible: list[Possible], certain: Verdict, now: Verdict
    ) -> tuple[Key, ...]:
        """The answers whose doubt decides: known better, they could bring another verdict."""
        keys: dict[Key, None] = {}
        for count in counted:
            if count.doubt and count.verdict is not None and count.verdict > certain:
                keys.update(dict.fromkeys(sorted(count.doubt)))
        doubtful = walk.doubtful
        for each in possible:
            if not doubtful.isdisjoint(each.keys) and max(each.verdicts) > now:
                keys.update(dict.fromkeys(sorted(doubtful & each.keys)))
        answered = walk.answered
        return tuple([key for key in keys if key in answered]) or tuple(keys)

    def later(self, judgement: Judgement) -> tuple[Key, ...]:
        """The needed answers not given that could still bring a ruling, though their question is not put yet."""
        walk, keys, found = judgement.walk, self.graph.keys, list[Key]()
        if not judgement.possible:
            return ()
        deciding = frozenset[Key]().union(*[each.keys for each in judgement.possible])
        for each in walk.passages:
            for stop in each.way.put_off:
                key = keys[stop.node.asks, each.facts.index]
                if key in deciding and walk.tire.answer_at(key) is None:
                    found.append(key)
        return tuple(found)

    def sharper(self, judgement: Judgement) -> tuple[Verdict, ...]:
        """The verdicts that can still be reached, few open choices each tried out."""
        return sharper_ends(self.rules, self.judge, judgement)

    def each_injury(self, walk: Walk, counted: list[Counted]) -> tuple[InjuryVerdict, ...]:
        """What counts for each injury taken alone."""
        return tuple(self._injury(facts.index, walk, counted) for facts in walk.tire.each("injuries"))

    def _injury(self, index: int, walk: Walk, counted: list[Counted]) -> InjuryVerdict:
        own = [each for each in counted if each.facts.index == index and each.facts.over == "injuries"]
        return self.injury_alone(index, own, walk.lacking, lambda: walk.see(walk.tire.part("injuries", index)))

    def injury_alone(
        self, index: int, own: Sequence[Counted], lacking: Iterable[Key], see: Callable[[], SeenHere]
    ) -> InjuryVerdict:
        """What counts for one injury: what of all that counts is its own, what is missing, what is seen there."""
        verdict = worst(own)
        if verdict < Verdict.HOLD and any(key[1] == index and self._is_injurys(key) for key in lacking):
            return InjuryVerdict(index, Verdict.HOLD, self.rules.about.when_unanswered, "", ())
        ending = self._ending(own, verdict)
        method = ""
        also: tuple[str, ...] = ()
        if verdict is Verdict.REPAIR:
            method, also = self.methods.chosen(see())
            if not method:
                return InjuryVerdict(index, Verdict.HOLD, self.rules.about.when_in_doubt, "", ())
            ending = self.methods.ending_of(method)
        elif verdict is Verdict.REFER:
            method = self._referred(own)
        return InjuryVerdict(index, verdict, ending, method, also)

    def _is_injurys(self, key: Key) -> bool:
        return self.rules.questions[key[0]].over == "injuries"

    def _method(
        self, verdict: Verdict, counted: list[Counted], injuries: tuple[InjuryVerdict, ...]
    ) -> tuple[str, tuple[str, ...]]:
        """The case's method: the most demanding of its injuries', or the one that a referral needs."""
        if verdict is Verdict.REFER:
            return self._referred(counted), ()
        if verdict is not Verdict.REPAIR or not injuries:
            return "", ()
        return self.methods.most_demanding(injuries)

    def _referred(self, counted: Iterable[Counted]) -> str:
        """The method that the shop referred to would use, by the most demanding of the reasons."""
        return self.most_demanding(
            {self.rules.endings[each.ending].method for each in counted if each.verdict is Verdict.REFER}
        )

    def most_demanding(self, methods: Iterable[str]) -> str:
        """The most demanding of some methods; an empty text where there is none."""
        return max(filter(None, methods), key=lambda name: self.rules.methods[name].rank, default="")

    def cautions(self, judgement: Judgement) -> tuple[str, ...]:
        """The cautions that count, each once, but for those that do not fit what the card says."""
        verdict, ending, method = judgement.verdict, judgement.ending, judgement.method
        names = [name for each in judgement.counted for name in each.cautions]
        names += self.rules.endings[ending].cautions if ending else ()
        if method:
            names += self.rules.methods[method].cautions
        names += self.rules.about.always
        if verdict is Verdict.REPAIR:
            names += self.rules.about.with_repair
        fits = self.methods.fitting.on(verdict, ending, judgement.restrictions)
        return tuple([name for name in dict.fromkeys(names) if name in fits])

    def caution_in_words(self, name: str, judgement: Judgement) -> str:
        """A caution's text with its figures put in."""
        return self.methods.filler.fill(self.rules.cautions[name].says, judgement.walk.tire)

    def do_now(self, judgement: Judgement) -> tuple[str, ...]:
        """What to do now: the lines that cautions put first for this verdict, then the ending's own."""
        verdict, cautions = str(judgement.verdict), self.rules.cautions
        first = (cautions[name].do_now.get(verdict, "") for name in judgement.cautions)
        lines = [*filter(None, first), *self.rules.endings[judgement.ending].do_now]
        return tuple(self.methods.filler.fill(line, judgement.walk.tire) for line in lines)

    def in_words(self, text: str) -> str:
        """A text of the rule set with its limits put in, outside any case."""
        return fill(text, Facts(self.graph.tables, Case()), self.rules)


def _places(rules: RuleSet) -> dict[tuple[str, str], int]:
    """Where each ruling stands in the graph, by node and ruling; "can't tell" stands before a node's rulings."""
    order = (
        (node.id, name)
        for node in rules.nodes.values()
        for name in (cant_tell_name(node), *(ruling.id for ruling in node.rulings))
    )
    return {each: place for place, each in enumerate(order)}


def _terms(condition: Condition, rules: RuleSet) -> Iterator[tuple[str, Test]]:
    """The terms that a condition names and does not deny, with what tells whether they hold."""
    if isinstance(condition, Join) and condition.term:
        yield condition.term, compiled(condition, rules)
    elif isinstance(condition, Join) and condition.how != "not":
        for part in condition.parts:
            yield from _terms(part, rules)


#: So much of what may still come is kept before all is let go.
_MOST_KNOWN = 50_000
_NO_DOUBT: frozenset[Key] = frozenset()


def label_of(key: Key, rules: RuleSet) -> str:
    """An answer's address as a case names it: `tread-depth`, `injury-size[0]`, `earlier-repairs[0].clock`."""
    name, index = key
    question = rules.questions[name]
    if index == TIRE:
        return question.key
    if question.over == inputs.OVER_REPAIRS:
        return f"{inputs.EARLIER_REPAIRS}[{index}].{question.key}"
    return f"{question.key}[{index}]"
