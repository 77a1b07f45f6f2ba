"""Which questions are put next, together in one prompt: those that are expected to settle most for the least effort.

Only what the rules let come next is chosen from: a question waits for the answers that could lead past it, and for
what has to be done ahead of it (`after`). Questions of one prompt stay together, and what was begun is finished first.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from collections.abc import Set as AbstractSet
from itertools import chain

from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.derived.registry import FUNCTIONS
from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts
from advisor.engine.judgement_types import Judgement, Possible
from advisor.engine.traversal import Walk
from advisor.model import inputs
from advisor.model.case import TIRE, Case, Key
from advisor.model.ruleset import Condition, Leaf, Question, RuleSet, Verdict, leaves

#: What settling a verdict for good is worth: after scrap nothing else is needed, after the others nearly everything.
_WORTH = {Verdict.SCRAP: 1.0, Verdict.HOLD: 0.1, Verdict.REFER: 0.1, Verdict.REPAIR: 0.0}
#: What an answer takes, in looks at the tire: our own estimate.
_LOOKS = {"ask": 1.0, "look": 1.0, "gauge": 1.5, "inside": 1.5, "measure": 2.0}
#: How often a figure is beyond a limit, a worked-out value as a ruling wants it: our own estimate.
_BEYOND, _WORKED_OUT = 0.15, 0.5
#: What a prompt is worth that answers only some of what a ruling waits for.
_IN_PART = 0.3
_EVERY_TEST = 1.0
#: So many questions at most are put in one line.
MOST_TOGETHER = 9
#: The efforts of the stage in which the inside is looked at and the injury measured.
_DEEP = ("inside", "measure")
#: A prompt of so few questions is put with another.
_FEW = 2
#: What one more question of the same prompt takes.
_MORE = 0.25


#: A ruling that may still come: what it is worth to know all that it waits for, and what that is.
Waiting = tuple[float, frozenset[Key]]


class AskedTogether(Struct, frozen=True):
    """Questions put together, the one due first ahead; what they are worth per effort; whether one was answered."""

    keys: tuple[Key, ...]
    worth: float = 0.0
    begun: bool = False


class AskingOrder:
    """What of a rule set the order goes by, made once."""

    def __init__(self, judge: Judge) -> None:
        self.rules = judge.rules
        self._places = {name: place for place, name in enumerate(judge.rules.nodes)}
        self._chances = {ruling.id: chances(ruling.when, judge.rules) for ruling in judge.rules.rulings()}
        nodes = judge.rules.nodes.values()
        self._needed = frozenset(node.id for node in nodes if not node.optional or node.told)
        #: The parts whose optional questions are put at all: in the others nothing is needed.
        self._parts = {node.part for node in nodes if node.asks and node.id in self._needed}
        #: What may be left out and could bring a worse verdict, a restriction or another method all the same.
        self._counts = counting(judge.rules)
        self._mates = _mates(judge.rules)
        questions = judge.rules.questions
        self._looks = {name: _LOOKS[question.effort] for name, question in questions.items()}
        self._deep = frozenset(name for name, question in questions.items() if question.effort in _DEEP)
        #: The prompts of the judgement looked at last; what a ruling that may still come is worth by itself.
        self._last: tuple[Judgement, frozenset[Key], list[AskedTogether]] | None = None
        self._likely: dict[tuple[str, frozenset[Key]], float] = {}
        self._efforts: dict[tuple[Key, ...], float] = {}

    def prompts(self, case: Case, now: Judgement, aside: frozenset[Key]) -> list[AskedTogether]:
        """The prompts that may come next, the best first; none where nothing is left to ask."""
        if self._last is None or self._last[0] is not now or self._last[1] != aside:
            self._last = now, aside, self._prompts(case, now, aside)
        return self._last[2]

    def _prompts(self, case: Case, now: Judgement, aside: frozenset[Key]) -> list[AskedTogether]:
        walk = now.walk
        keys = self._put(walk)
        keys = [key for key in keys if key not in aside] if aside else keys
        if not keys:
            return [AskedTogether((key,)) for key in walk.missing if key not in aside and key not in walk.to_ask][:1]
        waits, groups = self._waits(walk, frozenset(keys)), self._groups(keys)
        begun = {group: name in self._mates and self._begun(group[0], case) for (name, _), group in groups.items()}
        free = {key for key, first in waits.items() if not first}
        ready = {name: group if free.issuperset(group) else self._ready(group, waits) for name, group in groups.items()}
        counts, to_ask = self._counts, walk.to_ask
        deciding = {key for key in keys if key[0] in counts or to_ask[key].stop.node.id in self._needed}
        if not deciding.isdisjoint(chain(*ready.values())):
            ready = {name: group if deciding.intersection(group) else () for name, group in ready.items()}
        each_worth = self._each_worth(now)
        waiting = [(group, _still_to_come(group, waits)) for name, group in groups.items() if not ready[name]]
        found = []
        for name, group in ready.items():
            if not group:
                continue
            gain, there, worth = self._worth_of(group, each_worth), set(group), 0.0
            effort = self._efforts.get(group) or self._effort(group)
            for other, still in waiting:
                if still <= there:
                    more = gain + self._worth_of(other, each_worth)
                    worth = max(worth, more / (effort + (self._efforts.get(other) or self._effort(other))))
            on = begun[groups[name]] and bool(deciding.intersection(group))
            group = tuple(sorted(group, key=lambda key: key not in deciding)) if on else group
            found.append(AskedTogether(group, max(gain / effort, worth), on))
        found = found or [AskedTogether((keys[0],))]
        found.sort(key=lambda prompt: (not prompt.begun, prompt.begun and self._place(prompt.keys[0]), -prompt.worth))
        best, *others = found
        needed = {key for key in keys if walk.to_ask[key].stop.node.id in self._needed} or set(keys)
        counted = {group: begun[group] for group in groups.values() if begun[group] or needed.intersection(group)}
        together = self._with_the_rest(best.keys, self._begun(best.keys[0], case), counted, waits)
        others = [other for other in others if not set(other.keys) <= together.keys()]
        return [replace(best, keys=tuple(together)), *others]

    def _with_the_rest(
        self,
        best: tuple[Key, ...],
        on: bool,
        groups: Mapping[tuple[Key, ...], bool],
        waits: Mapping[Key, frozenset[Key]],
    ) -> dict[Key, None]:
        """The best prompt, and in the same line small ones of the same stage that wait for nothing but it.

        Small is what was begun before, and what has few questions. Beside what is left to look at from outside, or of a
        single question, stands one more. `on`: whether the best was begun before; `groups`: whether each of them was.
        """
        together, inside, parts = dict.fromkeys(best), self._inside(best), self._parts_of(best)
        alone = on and (len(best) == 1 or not inside)
        for group, begun in groups.items():
            small = len(group) <= _FEW or begun or alone
            if not small or len(together) + len(group) > MOST_TOGETHER or not together.keys().isdisjoint(group):
                continue
            if self._inside(group) != inside or self._ready(group, waits, together.keys()) != group:
                continue
            of_both = parts | self._parts_of(group)
            if len(of_both) <= 1:
                together, alone, parts = together | dict.fromkeys(group), alone and begun, of_both
        return together

    def _inside(self, keys: tuple[Key, ...]) -> bool:
        """Whether a prompt is of the stage in which the inside is looked at and the injury measured."""
        return not self._deep.isdisjoint(dict(keys))

    def left(self, now: Judgement) -> int:
        """How many questions are left for a whole record, as far as they are known now; of those that may be left out,
        only where no other is left.
        """
        return len(now.missing) or len(self._put(now.walk))

    def put_besides(self, now: Judgement, keys: Collection[Key]) -> bool:
        """Whether anything is still asked but these."""
        return any(key not in keys for key in self._put(now.walk))

    def could_worsen(self, now: Judgement) -> bool:
        """Whether a question that may be left out, and is still put, could change what was judged."""
        return any(name in self._counts for name, _ in self._put(now.walk))

    def _put(self, walk: Walk) -> list[Key]:
        """What is asked for now: what is needed, and what may be left out in parts where something is."""
        needed, parts = self._needed, self._parts
        asks = walk.to_ask.items()
        return [key for key, each in asks if each.stop.node.id in needed or each.stop.node.part in parts]

    def _groups(self, keys: Iterable[Key]) -> dict[tuple[str, int], tuple[Key, ...]]:
        groups: dict[tuple[str, int], tuple[Key, ...]] = {}
        for key in keys:
            name = (self.rules.questions[key[0]].prompt or key[0], key[1])
            groups[name] = (*groups.get(name, ()), key)
        return groups

    def _ready(
        self, group: tuple[Key, ...], waits: Mapping[Key, frozenset[Key]], before: AbstractSet[Key] = frozenset()
    ) -> tuple[Key, ...]:
        """What of a prompt may be put now: all that waits for nothing but itself; none while it has to come later.

        `before`: what stands ahead of it in the same line.
        """
        ready: dict[Key, None] = {}
        for key in group:
            if waits[key] <= ready.keys() | before:
                ready[key] = None
            elif not dict(waits[key] - before - set(group)).keys().isdisjoint(self.rules.questions[key[0]].after):
                return ()
        return tuple(ready)

    def _waits(self, walk: Walk, put: frozenset[Key]) -> dict[Key, frozenset[Key]]:
        """For each question what has to be answered first: what could lead past it, or have it not asked; `after`."""
        waits: dict[Key, frozenset[Key]] = {}
        forks: list[tuple[Facts, int, frozenset[Key]]] = []
        places, questions, end = self._places, self.rules.questions, len(self._places)
        ahead = {
            key: places[each.stop.node.id] for key, each in walk.to_ask.items() if each.stop.node.id in self._needed
        }
        for visit in walk.visits:
            stop, facts, key = visit.stop, visit.facts, visit.key
            place = places[stop.node.id]
            if visit.asked and key in put:
                keys = set[Key]()
                for fork, to, opened in forks:
                    if fork is facts and to > place:
                        keys |= opened
                if stop.unless_test is not None:
                    keys |= facts.opened[stop.unless_test]
                named, here, first = questions[key[0]].after, (key[1], TIRE), set[Key]()
                for each in keys & put if keys else ():
                    if ahead.get(each, end) < place:
                        first.add(each)
                for each in put if named else ():
                    if each[0] in named and each[1] in here:
                        first.add(each)
                waits[key] = frozenset(first)
            seen = walk.seen[facts.over, facts.index]
            for terms, test, target in stop.next:
                if seen.sure & terms:
                    break
                if seen.alive & terms:
                    forks.append((facts, places.get(target, end), facts.opened[test]))
        return waits

    def _place(self, key: Key) -> int:
        """Where the part of a question stands in the rules."""
        return inputs.OVERS.index(self.rules.questions[key[0]].over)

    def _parts_of(self, keys: Iterable[Key]) -> set[tuple[str, int]]:
        """Which injuries and earlier repairs questions are asked of."""
        questions, found = self.rules.questions, set[tuple[str, int]]()
        for name, index in keys:
            found.add((questions[name].over, index))
        return found - {("tire", TIRE)}

    def _effort(self, keys: tuple[Key, ...]) -> float:
        found = self._efforts[keys] = max(map(self._looks.__getitem__, dict(keys))) + _MORE * (len(keys) - 1)
        return found

    @staticmethod
    def _worth_of(keys: tuple[Key, ...], each_worth: Mapping[Key, dict[int, Waiting]]) -> float:
        """What it is worth, for all rulings that may still come, to know these answers."""
        there = frozenset(keys)
        waiting: dict[int, Waiting] = {}
        for key in keys:
            waiting.update(each_worth.get(key, {}))
        worth = 0.0
        for number in sorted(waiting):
            likely, needed = waiting[number]
            worth += likely if needed <= there else likely * _IN_PART * len(needed & there) / len(needed)
        return worth

    def _each_worth(self, now: Judgement) -> dict[Key, dict[int, Waiting]]:
        """By each answer the rulings that wait for it, by number."""
        found: dict[Key, dict[int, Waiting]] = {}
        for number, possible in enumerate(now.possible):
            ruling = possible.ruling
            if ruling is not None:
                likely = self._likely.get((ruling.id, possible.keys))
                each = (self._worth(possible) if likely is None else likely), possible.keys
                for key in possible.keys:
                    found.setdefault(key, {})[number] = each
        return found

    def _worth(self, possible: Possible) -> float:
        """What it is worth to know all that a ruling waits for which may still come."""
        assert possible.ruling is not None
        chance = self._chances[possible.ruling.id]
        likely = _WORTH[max(possible.verdicts)]
        for name in {name for name, _ in possible.keys}:
            likely *= chance.get(name, _EVERY_TEST)
        self._likely[possible.ruling.id, possible.keys] = likely
        return likely

    def _begun(self, key: Key, case: Case) -> bool:
        """Whether of its prompt the first question, or half of all, was answered or left out before."""
        mates, done, index = self._mates.get(self.rules.questions[key[0]].prompt, {}), list[bool](), key[1]
        for over, names in mates.items():
            answers = case.answers if over == "tire" else case.of(over, index)
            for name in names:
                done.append(name in answers or (name, index) in case.skipped)
        return bool(done) and (done[0] or 2 * sum(done) >= len(done))


def _mates(rules: RuleSet) -> dict[str, dict[str, list[str]]]:
    """The questions of each prompt, by what they are asked of."""
    found: dict[str, dict[str, list[str]]] = {}
    for question in rules.questions.values():
        if question.prompt:
            found.setdefault(question.prompt, {}).setdefault(question.over, []).append(question.id)
    return found


def _still_to_come(group: tuple[Key, ...], waits: Mapping[Key, frozenset[Key]]) -> frozenset[Key]:
    """What a prompt waits for beside itself."""
    return frozenset[Key]().union(*map(waits.__getitem__, group)).difference(group)


def counting(rules: RuleSet) -> frozenset[str]:
    """The questions that rulings with an ending or a restriction look at, themselves or by worked-out values."""
    conditions = [ruling.when for ruling in rules.rulings() if ruling.counts]
    ahead = [leaf.subject for condition in conditions for leaf in leaves(condition)]
    seen: set[str] = set()
    while ahead:
        name = ahead.pop()
        if name in seen:
            continue
        seen.add(name)
        if value := rules.values.get(name):
            ahead += [rules.read_by(value, read) for read in FUNCTIONS[value.function].known]
    return frozenset(name for name in seen if name in rules.questions)


def chances(condition: Condition, rules: RuleSet) -> dict[str, float]:
    """How likely each question's answer is one that a condition wants, by the question's own weights."""
    if isinstance(condition, Leaf):
        question = rules.questions.get(condition.subject)
        return {condition.subject: share(question, condition) if question else _WORKED_OUT}
    if condition.how == "not":
        return {}
    found: dict[str, float] = {}
    for part in condition.parts:
        for name, chance in chances(part, rules).items():
            if condition.how == "all":
                found[name] = found.get(name, 1.0) * chance
            else:
                found[name] = max(found.get(name, 0.0), chance)
    return found


def share(question: Question, leaf: Leaf) -> float:
    """The share of a question's likely answers that meet a test."""
    if leaf.test in ("beyond", "within"):
        return _BEYOND if leaf.test == "beyond" else 1 - _BEYOND
    if leaf.test not in ("is", "one-of", "has-any", "has-none"):
        return _EVERY_TEST
    weights = weights_of(question)
    met = sum(weights.get(name, 0.0) for name in leaf.operand) / sum(weights.values())
    return 1 - met if leaf.test == "has-none" else met


def weights_of(question: Question) -> dict[str, float]:
    """How often each choice comes up, `none` of several too; one that nothing is said of as often as the mean."""
    names = [choice.id for choice in question.choices]
    several = question.kind == "choices"
    given = {name: float(weight) for name, weight in question.likely.items() if name in names or name == "none"}
    said = [given[name] for name in names if name in given]
    mean = sum(said) / len(said) if said else 1.0
    found = {name: given.get(name, mean) for name in names}
    return {**found, "none": given.get("none", 3 * sum(found.values()))} if several else found


def order_of(judge: Judge) -> AskingOrder:
    """What the order goes by under a judge's rules; kept with the judge, whose judgements it remembers."""
    kept = vars(judge)
    found: AskingOrder = kept.get("asking_order") or kept.setdefault("asking_order", AskingOrder(judge))
    return found
