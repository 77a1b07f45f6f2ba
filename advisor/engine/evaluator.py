"""Judges a case: every ruling on the way, three-valued; the worst one decides; doubt never counts for repair."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from functools import partial

from advisor.engine.cautions import caution_fits
from advisor.engine.conditions import Test, compiled
from advisor.engine.facts import Facts, is_certain
from advisor.engine.judgement_types import Judgement, PartVerdict, Possible, Reason
from advisor.engine.methods import Methods
from advisor.engine.reachable import sharper_ends
from advisor.engine.reasons import cant_tell_name, cant_tell_reason, reason_for
from advisor.engine.templates import fill
from advisor.engine.traversal import Graph, Visit, Walk
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Case, Key
from advisor.model.ruleset import Condition, Join, RuleSet, Ruling, Verdict, limit_tested


class Judge:
    """A rule set made ready for judging. Pure: the same case always gives the same judgement.

    Where limits change on a day, a case is judged by those of its own day, whichever day this one is made for.
    """

    def __init__(self, rules: RuleSet, undated: Judge | None = None) -> None:
        self.rules = rules
        self._undated, self._of_days = undated or self, dict[date | None, Judge]()
        self.graph = Graph(rules)
        self.methods = Methods(rules, compiled)
        self._places = _places(rules)
        self._sharper = partial(sharper_ends, rules, self.judge)
        self._limits = {ruling.id: limit_tested(ruling.when) for ruling in rules.rulings()}
        self._terms = {ruling.id: tuple(_terms(ruling.when, rules)) for ruling in rules.rulings()}

    def on(self, day: date | None) -> Judge:
        """The judge by the limits of a day; this one where none of them ever changes."""
        home = self._undated
        if not home.rules.days:
            return self
        rules = home.rules.on(day)
        if rules.day not in home._of_days:
            home._of_days[rules.day] = Judge(rules, home)
        return home._of_days[rules.day]

    def judge(self, case: Case) -> Judgement:
        """The judgement of a case as far as it has been answered, by the limits of its day."""
        return self.on(case.today)._judged(case)

    def _judged(self, case: Case) -> Judgement:
        walk = self.graph.walk(case)
        every, possible = self._rulings(walk)
        reasons = [reason for reason in every if not reason.only_warns]
        caution_reasons = tuple(reason for reason in every if reason.cautions)
        certain = _worst(reason.verdict for reason in reasons if not reason.doubt)
        now = _worst(reason.verdict for reason in reasons)
        injuries = self._injuries(walk, reasons)
        again = self._measure_again(walk, reasons, possible, certain, now)
        could = self._could_end(reasons, possible, certain, now, bool(walk.missing))
        verdict, ending = self._verdict(reasons, now, walk, could)
        method, also = self._method(verdict, reasons, injuries)
        if verdict is Verdict.REPAIR and not (injuries and all(injury.method for injury in injuries)):
            again = tuple(dict.fromkeys((*again, *self.methods.doubts(walk))))
            could = (Verdict.REPAIR, Verdict.HOLD) if again else (Verdict.HOLD,)
            verdict, ending, method, also = Verdict.HOLD, self.rules.about.when_in_doubt, "", ()
        if verdict is Verdict.REPAIR:
            ending = self.methods.ending_of(method) or ending
        restricted = {name for reason in reasons for name in reason.restrictions}
        restrictions = tuple(name for name in self.rules.restrictions if name in restricted)
        again += tuple(key for key in self.methods.doubts(walk) if key not in again and verdict is Verdict.REPAIR)
        return Judgement(
            verdict=verdict,
            ending=ending,
            method=method,
            also_allowed=also,
            restrictions=restrictions,
            each_alone=could,
            reasons=tuple(reasons),
            caution_reasons=caution_reasons,
            injuries=injuries,
            missing=tuple(walk.missing),
            later=self._later(walk, possible),
            measure_again=again,
            cautions=self._cautions(caution_reasons, verdict, ending, method, restrictions),
            possible=tuple(possible),
            walk=walk,
            sharper=self._sharper,
        )

    def _rulings(self, walk: Walk) -> tuple[list[Reason], list[Possible]]:
        reasons: list[Reason] = []
        possible: list[Possible] = []
        for visit in walk.visits:
            self._cant_tell(visit, walk, reasons, possible)
            for ruling, test in visit.stop.rulings:
                state = test(visit.facts)
                if ruling.doubts and state is not False:
                    state = frozenset(visit.facts.key(name) for name in ruling.doubts)
                if state is True:
                    reasons.append(self._reason(ruling, visit))
                elif state is not False:
                    self._open(ruling, state, visit, walk, reasons, possible)
        for visit in walk.perhaps:
            for ruling, test in visit.stop.rulings:
                state = test(visit.facts)
                if state is not False and ruling.ending:
                    keys = visit.opened_by if state is True else visit.opened_by | state
                    possible.append(self._possible(ruling, visit, keys))
        return reasons, possible

    def _cant_tell(self, visit: Visit, walk: Walk, reasons: list[Reason], possible: list[Possible]) -> None:
        rule = visit.stop.node.cant_tell
        if not visit.asked or not rule.ending:
            return
        if visit.facts.get(visit.stop.node.asks) is CANT_TELL:
            reasons.append(cant_tell_reason(visit, self.rules))
        elif visit.key in walk.missing:
            verdicts = frozenset({self.rules.endings[rule.ending].verdict})
            possible.append(Possible(None, visit.stop.node.id, visit.facts.index, verdicts, frozenset({visit.key})))

    def _open(
        self,
        ruling: Ruling,
        keys: frozenset[Key],
        visit: Visit,
        walk: Walk,
        reasons: list[Reason],
        possible: list[Possible],
    ) -> None:
        """A ruling that stays open: still to be asked, or in doubt, which then counts at once."""
        waiting = any(key in walk.missing for key in keys)
        silent = not waiting and all(walk.tire.answer_at(key) is None for key in keys)
        asked = ruling.ending and any(key in walk.asked for key in keys)
        if ruling.in_doubt == "never":
            return
        quiet = silent and not asked and ruling.in_doubt != "same"  # nobody was asked, so nobody was in doubt
        if ruling.ending and (not quiet or any(name in self.graph.needed for name, _ in keys)):
            possible.append(self._possible(ruling, visit, keys))
        if quiet:
            return
        if waiting or (ruling.allows and not ruling.cautions):
            return
        reasons.append(self._reason(ruling, visit, keys))

    def _reason(self, ruling: Ruling, visit: Visit, doubt: frozenset[Key] = frozenset()) -> Reason:
        """The reason that a ruling gives here, with the terms by which it came."""
        terms = tuple(name for name, test in self._terms[ruling.id] if test(visit.facts) is not False)
        doubtful = self._in_doubt(ruling, doubt) if doubt else ""
        return reason_for(ruling, visit, self.rules, self._limits[ruling.id], doubt, doubtful, terms)

    def _in_doubt(self, ruling: Ruling, keys: frozenset[Key]) -> str:
        """The ending that counts when doubt about these answers leaves a ruling open."""
        if not ruling.ending or ruling.in_doubt == "same":
            return ruling.ending
        if ruling.same_for and all(name in ruling.same_for for name, _ in keys):
            return ruling.doubt_ending or ruling.ending
        return ruling.in_doubt or self.rules.about.when_in_doubt

    def _possible(self, ruling: Ruling, visit: Visit, keys: frozenset[Key]) -> Possible:
        endings = self.rules.endings
        verdicts = {endings[ruling.ending].verdict, endings[self._in_doubt(ruling, keys)].verdict}
        return Possible(ruling, visit.stop.node.id, visit.facts.index, frozenset(verdicts), keys)

    def _could_end(
        self, reasons: list[Reason], possible: list[Possible], certain: Verdict, now: Verdict, missing: bool
    ) -> tuple[Verdict, ...]:
        """The verdicts that known answers could still bring, and the one that stands as things are."""
        could = {certain, now}
        could |= {verdict for each in possible for verdict in each.verdicts if verdict > certain}
        if missing and len(could) > 1:
            could.add(max(now, Verdict.HOLD))
        if missing and could == {Verdict.REPAIR}:
            could.add(Verdict.HOLD)
        return tuple(sorted(could))

    def _verdict(
        self, reasons: list[Reason], now: Verdict, walk: Walk, could: tuple[Verdict, ...]
    ) -> tuple[Verdict, str]:
        """The verdict as things stand, and the ending that says so."""
        if walk.missing and now < Verdict.HOLD and len(could) > 1:
            return Verdict.HOLD, self.rules.about.when_unanswered
        return now, self._ending(reasons, now)

    def _ending(self, reasons: Iterable[Reason], verdict: Verdict) -> str:
        """The ending that a verdict has: a certain reason's before a doubtful one's, then by the order of the graph.

        So it does not hang on which of several injuries was told first.
        """
        deciding = [reason for reason in reasons if reason.verdict == verdict and reason.ending]
        first = min(
            deciding, key=lambda reason: (bool(reason.doubt), self._places[reason.node, reason.ruling]), default=None
        )
        return first.ending if first else ""

    def _measure_again(
        self, walk: Walk, reasons: list[Reason], possible: list[Possible], certain: Verdict, now: Verdict
    ) -> tuple[Key, ...]:
        """The answers whose doubt decides: known better, they could bring another verdict."""
        keys: dict[Key, None] = {}
        for reason in reasons:
            if reason.doubt and reason.verdict is not None and reason.verdict > certain:
                keys.update(dict.fromkeys(sorted(reason.doubt)))
        for each in possible:
            if any(verdict > now for verdict in each.verdicts):
                keys.update(dict.fromkeys(sorted(key for key in each.keys if _is_doubtful(key, walk))))
        return _answered_first(keys, walk)

    def _later(self, walk: Walk, possible: Iterable[Possible]) -> tuple[Key, ...]:
        """The needed answers not given that could still bring a ruling, though their question is not put yet."""
        deciding = {key for each in possible for key in each.keys}
        put_off = (visit for visit in walk.visits if visit.stop.node.id in self.graph.put_off and not visit.asked)
        return tuple(v.key for v in put_off if v.key in deciding and walk.tire.answer_at(v.key) is None)

    def _injuries(self, walk: Walk, reasons: list[Reason]) -> tuple[PartVerdict, ...]:
        return tuple(self._injury(facts.index, walk, reasons) for facts in walk.tire.each("injuries"))

    def _injury(self, index: int, walk: Walk, reasons: list[Reason]) -> PartVerdict:
        own = [reason for reason in reasons if reason.injury == index]
        verdict = _worst(reason.verdict for reason in own)
        lacking = any(visit.facts.over == "injuries" and key[1] == index for key, visit in walk.missing.items())
        if lacking and verdict < Verdict.HOLD:
            return PartVerdict(Verdict.HOLD, self.rules.about.when_unanswered, "", (), tuple(own))
        ending = self._ending(own, verdict)
        method = ""
        also: tuple[str, ...] = ()
        if verdict is Verdict.REPAIR:
            method, also = self.methods.chosen(walk.tire.part("injuries", index))
            if not method:
                return PartVerdict(Verdict.HOLD, self.rules.about.when_in_doubt, "", (), tuple(own))
            ending = self.methods.ending_of(method)
        elif verdict is Verdict.REFER:
            method = self._referred(own)
        return PartVerdict(verdict, ending, method, also, tuple(own))

    def _method(
        self, verdict: Verdict, reasons: list[Reason], injuries: tuple[PartVerdict, ...]
    ) -> tuple[str, tuple[str, ...]]:
        """The case's method: the most demanding of its injuries', or the one that a referral needs."""
        if verdict is Verdict.REFER:
            return self._referred(reasons), ()
        if verdict is not Verdict.REPAIR or not injuries:
            return "", ()
        return self.methods.most_demanding(injuries)

    def _referred(self, reasons: Iterable[Reason]) -> str:
        """The method that the shop referred to would use, by the most demanding of the reasons."""
        named = {self.rules.endings[reason.ending].method for reason in reasons if reason.verdict is Verdict.REFER}
        return max(named - {""}, key=lambda name: self.rules.methods[name].rank, default="")

    def _cautions(
        self, reasons: Iterable[Reason], verdict: Verdict, ending: str, method: str, restrictions: tuple[str, ...]
    ) -> tuple[str, ...]:
        """The cautions that count, each once, but for those that do not fit what the card says."""
        names = [name for reason in reasons for name in reason.cautions]
        names += self.rules.endings[ending].cautions if ending else ()
        if method:
            names += self.rules.methods[method].cautions
        names += self.rules.about.always
        if verdict is Verdict.REPAIR:
            names += self.rules.about.with_repair
        every, about = dict.fromkeys(names), self.rules.cautions
        return tuple(name for name in every if caution_fits(about[name], verdict, ending, restrictions))

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


def _is_doubtful(key: Key, walk: Walk) -> bool:
    """Whether an answer was given here that leaves something open, and that is not still asked for."""
    answer = walk.tire.answer_at(key)
    return answer is not None and key not in walk.missing and not is_certain(answer)


def _answered_first(keys: Iterable[Key], walk: Walk) -> tuple[Key, ...]:
    """The addresses that hold an answer, which can be given better; all of them where none does."""
    every = tuple(keys)
    return tuple(key for key in every if walk.tire.answer_at(key) is not None) or every


def _worst(verdicts: Iterable[Verdict | None]) -> Verdict:
    return max((verdict for verdict in verdicts if verdict is not None), default=Verdict.REPAIR)


def label_of(key: Key, rules: RuleSet) -> str:
    """An answer's address as a case names it: `tread-depth`, `injury-size[0]`, `earlier-repairs[0].clock`."""
    name, index = key
    question = rules.questions[name]
    if index == TIRE:
        return question.key
    if question.over == inputs.OVER_REPAIRS:
        return f"{inputs.EARLIER_REPAIRS}[{index}].{question.key}"
    return f"{question.key}[{index}]"
