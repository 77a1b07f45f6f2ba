"""Which answers a value rests on: the questions it reads, itself and by way of other worked-out values."""

from __future__ import annotations

from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts, Tables, Value
from advisor.engine.judgement_types import Reason
from advisor.model.case import TIRE, Case, Key
from advisor.model.ruleset import leaves


class _Recorder(Facts):
    """Facts that note every name that is read from them."""

    def __init__(self, tables: Tables, case: Case, over: str, index: int) -> None:
        super().__init__(tables, case, over, index)
        self.names: set[str] = set()

    def look(self, name: str) -> tuple[Value | None, frozenset[Key]]:
        """The value, its name noted."""
        self.names.add(self.named(name))
        return super().look(name)

    def names_read_for(self, value: str) -> set[str]:
        """What is read to work a value out, by the names of these rules, as far as they have it."""
        self._work_out(*self._tables.values[value])
        return self.names & self._tables.overs.keys()


def rests_on(judge: Judge, case: Case, name: str, over: str, index: int) -> set[Key]:
    """The addresses of the answers that a question or worked-out value reads in a case."""
    found: set[Key] = set()
    ahead, seen = [name], set[str]()
    while ahead:
        one = ahead.pop()
        if one in seen:
            continue
        seen.add(one)
        home = judge.rules.over_of(one)
        if one in judge.rules.questions:
            found.add((one, TIRE if home == "tire" else index))
            continue
        facts = _Recorder(judge.graph.tables, case, home, TIRE if home == "tire" else index)
        ahead.extend(facts.names_read_for(one))
    return found


def support(judge: Judge, case: Case, reason: Reason) -> set[Key]:
    """The answers that a ruling reads, and those that lead to its injury or earlier repair."""
    rules = judge.rules
    node = rules.nodes[reason.node]
    part = next(each for each in rules.parts if each.id == node.part)
    index = reason.key[1] if part.over != "tire" else TIRE
    ruling = next((each for each in node.rulings if each.id == reason.ruling), None)
    names = [leaf.subject for leaf in leaves(ruling.when)] if ruling else [node.asks]
    keys: set[Key] = {reason.key} if reason.key[0] else set()
    for name in names:
        keys |= rests_on(judge, case, name, part.over, index)
    for leaf in leaves(part.when):
        keys |= rests_on(judge, case, leaf.subject, "tire", TIRE)
    more = {each.more for each in rules.parts if each.over == part.over and each.more}
    return keys | {(name, place) for name in more for place in range(max(index, 0))}
