"""Ways to look at a made-up tire: what each shows, what has to come first, and what it costs to come too late."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from advisor.engine.templates import value_in_words
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choice, Choices, Key
from advisor.model.ruleset import Question, RuleSet
from advisor.practise.garage import chosen, garage
from advisor.practise.made_up import MadeUpTire, places_of, with_answers
from advisor.wording.verdict_card import question_in_words

ORDER, DRIVER, PRINT, GAUGE, OUTSIDE = "order", "driver", "print", "gauge", "outside"
TREAD, DEMOUNT, INSIDE, PROBE, SIZE, PLACE, AGAIN, SHOP = (
    "tread", "demount", "inside", "probe", "size", "place", "again", "shop",
)  # fmt: skip


class WayToLook(Struct, frozen=True):
    """A way to look: its id, what it is called, other words that are taken for it, and about how long it takes."""

    id: str
    says: str
    also: tuple[str, ...] = ()
    minutes: int = 1


#: In the order of a list; the work order has been read already. The minutes are from memory, no source.
WAYS_TO_LOOK: tuple[WayToLook, ...] = (
    WayToLook(DRIVER, "ask the driver", ("driver", "ask"), 2),
    WayToLook(PRINT, "read the sidewall", ("sidewall", "read", "print", "size on the sidewall"), 1),
    WayToLook(OUTSIDE, "look outside", ("outside", "look", "look round"), 3),
    WayToLook(GAUGE, "gauge the pressure", ("gauge", "pressure", "gauge it"), 2),
    WayToLook(TREAD, "measure the tread", ("tread", "tread depth"), 2),
    WayToLook(DEMOUNT, "demount it", ("demount", "take it off", "off"), 15),
    WayToLook(INSIDE, "look inside", ("inside", "look in"), 5),
    WayToLook(PROBE, "probe the injury", ("probe", "awl", "depth", "angle"), 3),
    WayToLook(SIZE, "measure the injury", ("measure", "size", "measure size", "width"), 2),
    WayToLook(PLACE, "measure where it sits", ("place", "where", "measure place", "offset"), 4),
    WayToLook(AGAIN, "read again what looks odd", ("again", "read again", "measure again", "second look"), 5),
    WayToLook(SHOP, "look at the shop's air and tools", ("shop", "air", "tools"), 2),
)
BY_ID: Mapping[str, WayToLook] = {way.id: way for way in WAYS_TO_LOOK}

#: By which way an answer comes to light; what is not named here is seen from outside, or by the probe at an injury.
_SHOWN_BY: Mapping[str, tuple[str, ...]] = {
    ORDER: (inputs.VEHICLE, inputs.WHEEL_POSITION, inputs.SET_PRESSURE, *inputs.ONE_MORE, inputs.DEMOUNTED),
    DRIVER: (inputs.RUN_LOW, inputs.MEAN_SPEED),
    PRINT: (inputs.SIDEWALL, inputs.TIRE_CLASS, inputs.LOAD_RANGE, inputs.CONSTRUCTION, inputs.TUBE,
                    inputs.RETREAD, inputs.DOT_CODE, inputs.SELF_SUPPORTING),
    OUTSIDE: (inputs.BULGE_MARK, inputs.BULGE_HEIGHT, inputs.INJURY_ZONE),
    GAUGE: (inputs.FOUND_PRESSURE,),
    TREAD: (inputs.TREAD_DEPTH,),
    INSIDE: (inputs.SEALANT, inputs.RUN_LOW_INSIDE, inputs.EARLIER_REPAIRS, inputs.REPAIR_SOUND, inputs.REPAIR_KIND,
             inputs.INSIDE_SIGNS),
    PROBE: (inputs.INJURY_DEPTH, inputs.INJURY_ANGLE, inputs.LEAN, inputs.CUT_DEPTH, inputs.CASING_THICKNESS),
    SIZE: (inputs.INJURY_SIZE, inputs.INJURY_LENGTH),
    PLACE: (inputs.OFFSET, inputs.TREAD_WIDTH, inputs.CLOCK, inputs.UNIT_LENGTH, inputs.UNIT_WIDTH, inputs.UNIT_TURN,
            inputs.REPAIR_CLOCK, inputs.REPAIR_OFFSET, inputs.REPAIR_UNIT_LENGTH, inputs.REPAIR_UNIT_WIDTH,
            inputs.REPAIR_UNIT_TURN),
    SHOP: (inputs.SHOP_TEMPERATURE, inputs.HUMIDITY, inputs.LINER_TEMPERATURE, inputs.TOOL_DIAMETER,
           inputs.OWN_DIAMETER, inputs.PAIR_DIAMETER, inputs.OWN_GIRTH, inputs.PAIR_GIRTH),
}  # fmt: skip
_WAY_OF = {name: way for way, names in _SHOWN_BY.items() for name in names}
#: What can only be seen on the bare inside.
_NEEDS_THE_INSIDE = frozenset({INSIDE})


def way_of(question: Question, rules: RuleSet) -> str:
    """By which way an answer comes to light."""
    known = _WAY_OF.get(rules.input_of(question.id))
    if known is not None:
        return known
    if any(node.asks == question.id and any(r.doubts for r in node.rulings) for node in rules.nodes.values()):
        return AGAIN
    return {inputs.OVER_TIRE: OUTSIDE, inputs.OVER_REPAIRS: INSIDE}.get(question.over, PROBE)


def ways_of(tire: MadeUpTire, rules: RuleSet) -> list[WayToLook]:
    """The ways to look at a tire: those that every tire has, and those that this one answers."""
    answered = {way_of(rules.questions[where[2]], rules) for where, _ in places_of(tire.case)}
    return [way for way in WAYS_TO_LOOK if way.id not in (AGAIN, SHOP) or way.id in answered]


def comes_off(tire: MadeUpTire, rules: RuleSet) -> bool:
    """Whether there is a machine to take it off the wheel."""
    name = rules.question_now(inputs.DEMOUNTED)
    return name in rules.questions and tire.case.answers.get(name) == chosen(rules, inputs.DEMOUNTED, "yes")


def inside_bare(tire: MadeUpTire, rules: RuleSet) -> bool:
    """Whether the inside can be seen once the tire is off: no sealant lies over it."""
    return tire.case.answers.get(rules.question_now(inputs.SEALANT)) != chosen(rules, inputs.SEALANT, "yes")


def can_be_seen(tire: MadeUpTire, looked: tuple[str, ...], rules: RuleSet) -> Case:
    """All that can still be found out: the whole case, but for what came too late, or can't be seen on the wheel."""
    if not comes_off(tire, rules):
        return seen(tire, tuple(way.id for way in WAYS_TO_LOOK if way.id not in (DEMOUNT, INSIDE)), rules)
    return _still_there(tire, looked, rules)


def _still_there(tire: MadeUpTire, looked: tuple[str, ...], rules: RuleSet) -> Case:
    case, name = tire.case, rules.question_now(inputs.FOUND_PRESSURE)
    if too_late(looked) and name in case.answers:
        case = case.with_answer("tire", (name, TIRE), CANT_TELL)
    return case


def too_late(looked: tuple[str, ...]) -> bool:
    """Whether the air was let out before anybody had gauged it."""
    return DEMOUNT in looked and GAUGE not in looked[: looked.index(DEMOUNT)]


def seen(tire: MadeUpTire, looked: tuple[str, ...], rules: RuleSet) -> Case:
    """The case as far as it has been looked at; what nobody looked at is not in it."""
    whole = _still_there(tire, looked, rules)
    case = Case(today=whole.today, injuries=({},) * len(whole.injuries), repairs=())
    if INSIDE in looked and _off(looked, tire, rules):
        case = Case(today=whole.today, injuries=case.injuries, repairs=({},) * len(whole.repairs))
    for where, answer in places_of(whole):
        known = _known(where[2], answer, looked, tire, rules)
        if known is not None and (where[0] != inputs.OVER_REPAIRS or case.repairs):
            case = with_answers(case, {where: known})
    demounted = rules.question_now(inputs.DEMOUNTED)
    not_yet = chosen(rules, inputs.DEMOUNTED, "no")
    if demounted in rules.questions and not _off(looked, tire, rules) and not_yet is not None:
        case = case.with_answer("tire", (demounted, TIRE), not_yet)
    return case


def _known(name: str, answer: Answer, looked: tuple[str, ...], tire: MadeUpTire, rules: RuleSet) -> Answer | None:
    question = rules.questions[name]
    if rules.input_of(name) == inputs.FINDINGS and isinstance(answer, Choices):
        return _findings(answer, question, looked, tire, rules)
    way = way_of(question, rules)
    if way == ORDER or way in looked:
        hidden = way in _NEEDS_THE_INSIDE and not _inside_seen(looked, tire, rules)
        if rules.input_of(name) == inputs.SEALANT and INSIDE in looked and _off(looked, tire, rules):
            hidden = False
        return None if hidden else answer
    return None


def _inside_seen(looked: tuple[str, ...], tire: MadeUpTire, rules: RuleSet) -> bool:
    return _off(looked, tire, rules) and INSIDE in looked and inside_bare(tire, rules)


def _off(looked: tuple[str, ...], tire: MadeUpTire, rules: RuleSet) -> bool:
    return DEMOUNT in looked and comes_off(tire, rules)


def _findings(
    answer: Choices, question: Question, looked: tuple[str, ...], tire: MadeUpTire, rules: RuleSet
) -> Choices | None:
    """What is found outside, and inside once that is bare; the rest is not looked for yet."""
    within = {now for name in garage().inside if question.choice(now := question.choice_now(name))}
    looked_for = set[str]()
    if OUTSIDE in looked:
        looked_for |= {choice.id for choice in question.choices} - within
    if _inside_seen(looked, tire, rules):
        looked_for |= within
    absent = frozenset(looked_for - answer.present)
    if not looked_for:
        return None
    whole = looked_for == {choice.id for choice in question.choices}
    return Choices(answer.present & frozenset(looked_for), None if whole else absent)


def shown_by(way: str, tire: MadeUpTire, looked: tuple[str, ...], rules: RuleSet) -> Iterator[str]:
    """What a way to look brings to light, in words; `looked`: with this way already in it."""
    if way == DEMOUNT:
        yield from _demounted(tire, looked, rules)
        return
    if way == INSIDE and not _off(looked, tire, rules):
        yield "The tire sits on its wheel: nothing can be seen inside."
        return
    if way == GAUGE and too_late(looked):
        yield "The air is out already, and nobody gauged it before."
        return
    if way == INSIDE and not inside_bare(tire, rules):
        yield "Something lies on the liner all round; nothing under it can be seen."
    now, before = seen(tire, looked, rules), seen(tire, tuple(each for each in looked if each != way), rules)
    told = False
    for where, answer in places_of(now):
        question = rules.questions[where[2]]
        mine = way_of(question, rules) == way or before.get(where[0], (where[2], where[1])) != answer
        if mine and not _small_talk(question, rules):
            told = True
            yield fact_in_words((where[2], where[1]), answer, tire, rules)
    if not told:
        yield "Nothing to see or to measure there."


def _demounted(tire: MadeUpTire, looked: tuple[str, ...], rules: RuleSet) -> Iterator[str]:
    if not comes_off(tire, rules):
        yield garage().no_machine
    elif too_late(looked):
        yield "The core is out, the air is gone, and the tire comes off. Nobody gauged it before; now nobody can."
    else:
        yield "The core is out, the air is gone, and the tire comes off the wheel."


def _small_talk(question: Question, rules: RuleSet) -> bool:
    """What the list of injuries says by itself, or the work order."""
    return rules.input_of(question.id) in (*inputs.ONE_MORE, inputs.DEMOUNTED)


def fact_in_words(key: Key, answer: Answer, tire: MadeUpTire, rules: RuleSet) -> str:
    """A fact as it comes to light: its name, and what was seen or read."""
    name = question_in_words(key, rules)
    if len(tire.case.injuries) == 1 and key[1] == 0:
        name = rules.questions[key[0]].name
    if answer is CANT_TELL:
        return f"{name}: can't be made out, look as you will"
    if isinstance(answer, Choices) and not answer.complete:
        found = ", ".join(_names(answer.present, rules.questions[key[0]])) or "nothing so far"
        return f"{name}: {found} (seen on one side only)"
    readings = tire.readings.get(key)
    if readings:
        return f"{name}: {', '.join(readings)}" + (f" ({len(readings)} readings)" if len(readings) > 1 else "")
    return f"{name}: {value_in_words(answer, rules.questions[key[0]])}"


def _names(present: frozenset[str], question: Question) -> Iterator[str]:
    return (choice.says for choice in question.choices if choice.id in present)


def order_facts(tire: MadeUpTire, rules: RuleSet) -> Iterator[str]:
    """What the work order says of the tire."""
    for where, answer in places_of(tire.case):
        question = rules.questions[where[2]]
        if way_of(question, rules) == ORDER and not _small_talk(question, rules):
            yield fact_in_words((where[2], where[1]), answer, tire, rules)
    count = len(tire.case.injuries)
    if count > 1:
        yield f"injuries marked with chalk: {count}"


def is_choice(answer: Answer | None, choice: str) -> bool:
    """Whether an answer is this choice."""
    return isinstance(answer, Choice) and answer.id == choice
