"""The states of groups as they were made before: not made anew while all that they hang on stays."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple, cast

import msgspec
from msgspec import Struct

from advisor.loader.kept_language import Remembers
from advisor.loader.kept_values import value_from_data, value_to_data
from advisor.loader.ruleset_codec import exact_text
from advisor.model.case import Answer
from advisor.tools.verify.partitions import AnswerState, FactorLook, OpenAnswer, State

#: The numbers of two rows among a group's, those of their states, and names that tell what sets them apart.
KeptPair = tuple[tuple[int, int], tuple[int, int], list[str]]
#: By the number of what stands for an answer's address, and of a value.
_Answers = tuple[tuple[int, int], ...]
_Names = tuple[str, ...]


class KeptState(Struct, array_like=True):
    """A state: for each name of its group the value that is seen and what leaves it open, by their numbers."""

    looks: tuple[tuple[int, int], ...]
    answers: _Answers
    context: _Answers
    real: bool
    silent: _Names


class SeenGroup(Struct, array_like=True):
    """What proofs see of a group's states: how each test comes out in each of them; and of each, whether answers are
    known for it, whether all in it is certain, what is silent, what can't be told, and what is answered.
    """

    outcomes: tuple[tuple[bool | tuple[_Names, _Names], ...], ...]
    states: tuple[tuple[bool, bool, _Names, _Names, _Names], ...]


class KeptGroup(Struct, array_like=True):
    """The states of a group, what proofs see of them, and all that states name by its number."""

    states: tuple[KeptState, ...]
    seen: msgspec.Raw
    values: tuple[Any, ...]
    open_for: tuple[tuple[tuple[str, int], ...], ...]
    addresses: tuple[tuple[str, int, str], ...]


class StatesOfGroup(NamedTuple):
    """The states of a group, how each test comes out in each of them, and all that proofs see of this, as JSON."""

    states: list[State]
    outcomes: list[list[object]]
    seen: bytes


class KeptStates:
    """The states of a rule set's groups, remembered by all that they hang on."""

    def __init__(self, memory: Remembers) -> None:
        self._memory = memory

    def key(self, hangs_on: object) -> str:
        """By what the states of a group are remembered: all that they hang on."""
        return self._memory.key("states", msgspec.json.encode(hangs_on, enc_hook=exact_text))

    def recalled(self, key: str, names: Sequence[str]) -> StatesOfGroup | None:
        """The states of a group; None where they are not remembered."""
        found = self._memory.recalled(key)
        if found is None:
            return None
        kept = msgspec.json.decode(found, type=KeptGroup)
        columns = msgspec.json.decode(kept.seen, type=SeenGroup).outcomes
        values = [value_from_data(each) for each in kept.values]
        answer_of = cast(list[Answer], values)
        open_for = [frozenset(each) for each in kept.open_for]
        addresses = kept.addresses
        opened = {
            each: OpenAnswer(frozenset(each[0]), frozenset(each[1]))
            for lot in columns
            for each in lot
            if not isinstance(each, bool)
        }
        states = []
        for each in kept.states:
            looks: list[FactorLook] = [(values[value], open_for[keys]) for value, keys in each.looks]
            answers, context = ({addresses[at]: answer_of[n] for at, n in lot} for lot in (each.answers, each.context))
            states.append(
                State(dict(zip(names, looks, strict=True)), answers, context, each.real, frozenset(each.silent))
            )
        outcomes: list[list[object]] = [
            [each if isinstance(each, bool) else opened[each] for each in lot] for lot in columns
        ]
        return StatesOfGroup(states, outcomes, bytes(kept.seen))

    def keep(
        self, key: str, names: Sequence[str], states: Sequence[State], outcomes: Sequence[Sequence[object]]
    ) -> bytes:
        """Remembers the states of a group; gives what proofs see of them."""
        values, open_for, addresses = _Numbers(), _Numbers(), _Numbers()

        def numbered(answers: AnswerState) -> _Answers:
            return tuple((addresses.of(where), values.of(answer)) for where, answer in answers.items())

        kept = tuple(
            KeptState(
                tuple((values.of(state.looks[name][0]), open_for.of(state.looks[name][1])) for name in names),
                numbered(state.answers),
                numbered(state.context),
                state.real,
                tuple(sorted(state.silent)),
            )
            for state in states
        )
        columns = tuple(tuple(_plain(each) for each in lot) for lot in outcomes)
        seen = msgspec.json.encode(SeenGroup(columns, tuple(map(_seen, states))))
        open_plain = tuple(tuple(sorted(each)) for each in open_for.every)
        data = tuple(map(value_to_data, values.every))
        self._memory.keep(key, KeptGroup(kept, msgspec.Raw(seen), data, open_plain, tuple(addresses.every)))
        return seen

    def pairs(self, group: str, of: str) -> list[KeptPair] | None:
        """Pairs of a group's rows by what they are of; None where they are not remembered."""
        found = self._memory.recalled(self._memory.key("pairs", group.encode(), of.encode()))
        return None if found is None else msgspec.json.decode(found, type=list[KeptPair])

    def keep_pairs(self, group: str, of: str, every: Iterable[KeptPair]) -> list[KeptPair]:
        """Remembers pairs, and gives them."""
        found = list(every)
        self._memory.keep(self._memory.key("pairs", group.encode(), of.encode()), found)
        return found


class _Numbers:
    """A number for each thing, the same for the same."""

    def __init__(self) -> None:
        self._known: dict[Any, int] = {}

    def of(self, what: Any) -> int:
        """Its number."""
        return self._known.setdefault(what, len(self._known))

    @property
    def every(self) -> list[Any]:
        """All of them, in order."""
        return list(self._known)


def _plain(outcome: object) -> bool | tuple[_Names, _Names]:
    if isinstance(outcome, OpenAnswer):
        return tuple(sorted(outcome.names)), tuple(sorted(outcome.silent))
    return outcome is True


def _seen(state: State) -> tuple[bool, bool, _Names, _Names, _Names]:
    answered = tuple(sorted({where[2] for where in state.answers}))
    return state.real, state.certain, tuple(sorted(state.silent)), tuple(sorted(state.not_told)), answered


def state_seen(state: State, outcomes: Iterable[object]) -> tuple[object, ...]:
    """What proofs see of one state, as plain data."""
    return *map(_plain, outcomes), *_seen(state)
