"""What the checks take of values worked out of many answers: zones, and gaps between repair units.

Their functions read more answers than can be tried in every choice. So the checks let such a value be anything that
it can be, open for every single answer that it reads, and ask three things of its function: worse answers never give
a better zone or a larger gap; an answer in doubt leaves open whatever the known one gives; nothing else comes out.
`tests/tools/test_contracts.py` holds the functions to that. What is proved so holds for every place and every gap.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import partial
from itertools import pairwise, product

from msgspec import Struct, field

from advisor.domain.geometry.injury_channel import worst_zones
from advisor.engine.derived.injury import ZONES
from advisor.engine.facts import OneOf, Tables, Value, is_certain
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Choice, Key
from advisor.model.quantity import Measure, between, exactly
from advisor.model.ruleset import Limit, RuleSet
from advisor.tools.verify.partitions import FactorLook, State, gap_states

#: Functions whose values the answers of one group don't give; those of one name are seen together.
FREE = {"nearest-repair": "gap", "to-keep-apart": "gap"}
#: Answers that leave a function's value open, beside the ones that its group asks.
READS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(
        ("zone", "measured-zone"),
        (
            inputs.INSIDE_GROOVES,
            inputs.OFFSET,
            inputs.TREAD_WIDTH,
            inputs.INJURY_ANGLE,
            inputs.CASING_THICKNESS,
            inputs.LEAN,
            inputs.INJURY_DEPTH,
            inputs.INJURY_SIZE,
            inputs.INJURY_LENGTH,
        ),
    ),
    **dict.fromkeys(
        ("zone-in-area", "zone-by-area"),
        (
            inputs.OFFSET,
            inputs.SIDEWALL,
            inputs.INJURY_SIZE,
            inputs.INJURY_LENGTH,
            inputs.INJURY_ANGLE,
            inputs.CASING_THICKNESS,
            inputs.LEAN,
        ),
    ),
    "nearest-repair": (
        *(
            inputs.CLOCK,
            inputs.OFFSET,
            inputs.UNIT_LENGTH,
            inputs.UNIT_WIDTH,
            inputs.SIDEWALL,
            inputs.INJURY_ANGLE,
            inputs.CASING_THICKNESS,
            inputs.LEAN,
        ),
        *(
            inputs.REPAIR_CLOCK,
            inputs.REPAIR_OFFSET,
            inputs.REPAIR_UNIT_LENGTH,
            inputs.REPAIR_UNIT_WIDTH,
            inputs.UNIT_TURN,
            inputs.REPAIR_UNIT_TURN,
        ),
        *(inputs.INJURY_DEPTH, inputs.EARLIER_REPAIRS, inputs.REPAIR_SOUND),
        *(inputs.APART_ALONG, inputs.APART_ACROSS),
    ),
    "pressure-share": (inputs.MEAN_SPEED, inputs.SIDEWALL),
}
_BY_TAPE = {"zone": ("measured-zone", ZONES[:3]), "zone-in-area": ("zone-by-area", ZONES[:2])}


class Assumed(Struct, frozen=True):
    """Rows of a group beyond its sample answers; which of them are a step for the worse, and which a doubt."""

    rows: tuple[State, ...] = ()
    steps: tuple[tuple[str, State, State], ...] = ()
    doubts: tuple[tuple[str, State, State], ...] = ()


def assumed_of(rules: RuleSet, tables: Tables, names: Sequence[str], limits: Sequence[Limit]) -> Assumed:
    """What is taken of a group's values; nothing where none of its functions needs it."""
    by_function = {rules.values[name].function: name for name in names if name in rules.values}
    for function in _BY_TAPE:
        if function in by_function:
            return _zones(rules, names, function, by_function[function])
    if by_function.keys() & FREE.keys():
        return _gaps(rules, tables, names, by_function.get("nearest-repair", ""), limits)
    return Assumed()


class _Gathered(Struct):
    rows: list[State] = field(default_factory=list)
    steps: list[tuple[str, State, State]] = field(default_factory=list)
    doubts: list[tuple[str, State, State]] = field(default_factory=list)

    def add(self, state: State) -> State:
        self.rows.append(state)
        return state

    def done(self) -> Assumed:
        return Assumed(tuple(self.rows), tuple(self.steps), tuple(self.doubts))


def _keys(rules: RuleSet, function: str) -> list[Key]:
    found = []
    for name in READS[function]:
        if name in rules.questions:
            found.append((name, -1 if rules.questions[name].over == "tire" else 0))
    return found


def _zones(rules: RuleSet, names: Sequence[str], function: str, name: str) -> Assumed:
    """Every zone that the tape may give, beside everything that may be said of the zone and of the outermost grooves.

    Where rules ask for the grooves, they count or they do not: that goes by the tire, which the group does not hold.
    """
    gathered = _Gathered()
    tape, by_tape = _BY_TAPE[function]
    said: list[Value | None] = [*(Choice(zone) for zone in ZONES if _has(rules, zone)), CANT_TELL, None]
    grooves: list[Value | None] = [None]
    if function == "zone" and inputs.INSIDE_GROOVES in names:
        grooves = [None, Choice("yes"), Choice("no"), CANT_TELL]
    keys = [key for key in _keys(rules, function) if key[0] != inputs.INSIDE_GROOVES]
    for answer, looked, count in product(said, grooves, (False, True)[: len(grooves)]):
        row = partial(_zone_row, names, (name, tape), answer, looked, count)
        known = {zone: gathered.add(row((zone,), None)) for zone in by_tape}
        for first, second in pairwise(by_tape):
            gathered.steps.append((name, known[first], known[second]))
        for start in range(len(by_tape)):
            for end in range(start + 2, len(by_tape) + 1):
                for key in keys:
                    doubtful = gathered.add(row(by_tape[start:end], key))
                    gathered.doubts += [(name, known[zone], doubtful) for zone in by_tape[start:end]]
    return gathered.done()


def _has(rules: RuleSet, zone: str) -> bool:
    question = rules.questions.get(inputs.INJURY_ZONE)
    return question is not None and question.choice(zone) is not None


def _zone_row(
    names: Sequence[str],
    values: tuple[str, str],
    said: Value | None,
    grooves: Value | None,
    count: bool,
    measured: Sequence[str],
    key: Key | None,
) -> State:
    """A group's row where the tape leaves these zones open, for the sake of one answer.

    `values`: the zone that counts, and the one by the tape. `count`: whether the outermost grooves count.
    """
    given: dict[str, Value | None] = {inputs.INJURY_ZONE: said, inputs.INSIDE_GROOVES: grooves}
    beside = _beside_grooves(frozenset(measured), grooves) if count else frozenset(measured)
    zones, open_for = beside, set[str]()
    if len(beside) > 1 and (count and not isinstance(grooves, Choice)):
        open_for.add(inputs.INSIDE_GROOVES)
    if said is CANT_TELL:
        zones = frozenset(ZONES)
        open_for.add(inputs.INJURY_ZONE)
    elif isinstance(said, Choice):
        zones = worst_zones(frozenset({said.id}), zones)
    doubt = frozenset({key}) if key is not None else frozenset[Key]()
    looks: dict[str, FactorLook] = {
        values[0]: _choice(zones, doubt | {(each, 0) for each in open_for}),
        values[1]: _choice(frozenset(measured), doubt),
    }
    for each in given:
        answer = given[each]
        looks[each] = answer, frozenset() if isinstance(answer, Choice) else frozenset({(each, 0)})
    for each in names:
        if each not in looks:
            looks[each] = _measure(each, key)
    silent = frozenset(each for each, answer in given.items() if answer is None and each in names)
    return State({each: looks[each] for each in names}, {}, {}, False, silent)


def _beside_grooves(tape: frozenset[str], grooves: Value | None) -> frozenset[str]:
    """The zones that the outermost grooves leave of those by the tape, as `engine/derived/injury.zone` has it."""
    crown, shoulder = ZONES[:2]
    inside = frozenset(crown if zone == shoulder else zone for zone in tape)
    outside = frozenset(shoulder if zone == crown else zone for zone in tape)
    if isinstance(grooves, Choice):
        return inside if grooves.id == "yes" else outside
    return inside | outside if grooves is CANT_TELL else tape | inside


def _choice(zones: frozenset[str], keys: frozenset[Key]) -> FactorLook:
    possible = tuple(zone for zone in ZONES if zone in zones)
    return (Choice(possible[0]), frozenset()) if len(possible) == 1 else (OneOf(possible), keys)


def _measure(name: str, key: Key | None) -> FactorLook:
    if key is not None and key[0] == name:
        return between(60, 70, "mm"), frozenset({key})
    return exactly(65, "mm"), frozenset()


def _gaps(rules: RuleSet, tables: Tables, names: Sequence[str], name: str, limits: Sequence[Limit]) -> Assumed:
    """One injury alone, and two with every gap that the limits tell apart, or a gap in doubt."""
    gathered = _Gathered(list(gap_states(rules, tables, names, limits)))
    if not name:
        return gathered.done()
    known = [gathered.add(_gap_row(names, name, gap, None)) for gap in _regions(limits)]
    for larger, smaller in pairwise(known):
        gathered.steps.append((name, larger, smaller))
    for key in _keys(rules, "nearest-repair"):
        for doubtful in (None, *_straddling(limits)):
            row = gathered.add(_gap_row(names, name, doubtful, key))
            gathered.doubts += [(name, each, row) for each in known if _may_be(each.looks[name][0], doubtful)]
    return gathered.done()


def _figures(limits: Sequence[Limit]) -> list[Fraction]:
    like = exactly(0, "mm")
    return sorted({limit.figure_for(like).to("mm").low for limit in limits}, reverse=True)


def _regions(limits: Sequence[Limit]) -> list[Measure]:
    """A gap above, between and below the figures, and one at each of them, the largest first."""
    figures = _figures(limits)
    if not figures:
        return [exactly(5, "mm")]
    gaps = [figures[0] + 10]
    for figure, following in pairwise([*figures, figures[-1] - 20]):
        gaps += [figure, (figure + following) / 2]
    return [exactly(gap, "mm") for gap in gaps]


def _straddling(limits: Sequence[Limit]) -> Iterator[Measure]:
    figures = _figures(limits)
    for start, high in enumerate(figures):
        for low in figures[start:]:
            yield Measure(low - Fraction(1, 10), high + Fraction(1, 10), "mm")


def _may_be(known: Value | None, doubtful: Measure | None) -> bool:
    return doubtful is None or (isinstance(known, Measure) and doubtful.low <= known.low <= doubtful.high)


def _gap_row(names: Sequence[str], name: str, gap: Measure | None, key: Key | None) -> State:
    keys = frozenset({key}) if key is not None else frozenset[Key]()
    looks: dict[str, FactorLook] = {each: (Choice("yes"), frozenset()) for each in names}
    looks[name] = gap, frozenset() if is_certain(gap) else keys
    return State(looks, {}, {}, False)
