"""A job: one made-up tire, what was looked at, and the learner's own verdict. One frozen state; nothing else is kept.

A face carries it on: `looked_at` adds a way of looking, `decided` the answer to the field that is asked next.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from advisor.loader.answer_codec import is_cant_tell, plain
from advisor.model import inputs
from advisor.model.problems import Misread, closest, shown
from advisor.model.quantity import UNITS, Measure, read_measure
from advisor.model.ruleset import UNSOURCED, Basis, RuleSet, Verdict
from advisor.practise.looking import DEMOUNT, INSIDE, WAYS_TO_LOOK, WayToLook, fact_in_words, seen, ways_of
from advisor.practise.made_up import MadeUpTire, places_of

VERDICT, REASON, LIMIT, SOURCE, METHOD, RESTRICTIONS, SURE = (
    "verdict", "reason", "limit", "source", "method", "restrictions", "sure",
)  # fmt: skip
NOTHING_AGAINST = "nothing"
NONE = "none"
#: How sure a learner is, from a guess on.
SURENESS = ("a guess", "rather not", "rather sure", "sure")
#: Whose rule it is.
LAW, ASSOCIATION, STANDARD, MANUAL, HOUSE, HABIT_OF_THE_TRADE = (
    "law", "association", "standard", "manual", "house", "habit",
)  # fmt: skip
WHOSE = {
    LAW: "the law, federal or of a state",
    ASSOCIATION: "a trade association's chart or notice",
    STANDARD: "a standard",
    MANUAL: "an army manual",
    HOUSE: "a house's own rule",
    HABIT_OF_THE_TRADE: "habit of the trade or worked out here; no rule behind it",
}
_KINDS = {"law": LAW, "association": ASSOCIATION, "standard": STANDARD, "manual": MANUAL, "house": HOUSE}


class Own(Struct, frozen=True):
    """What the learner says: empty texts and None where it was not asked yet. `reason` is a question's id."""

    verdict: str = ""
    reason: str = ""
    limit: Measure | None = None
    limit_said: bool = False
    source: str = ""
    method: str = ""
    restrictions: tuple[str, ...] | None = None
    sure: int = 0


class Job(Struct, frozen=True):
    """A tire, the ways in which it was looked at in their order, and what the learner says of it."""

    tire: MadeUpTire
    looked: tuple[str, ...] = ()
    own: Own = Own()
    deciding: bool = False


class FieldChoice(Struct, frozen=True):
    """One thing that can be said at a field: its id, how it reads, and other words for it."""

    id: str
    says: str
    also: tuple[str, ...] = ()


def looked_at(job: Job, way: str) -> Job:
    """The job after one more look; twice shows the same, and a look into a tire on its wheel is none."""
    if way == INSIDE and DEMOUNT not in job.looked:
        return job
    return replace(job, looked=job.looked if way in job.looked else (*job.looked, way))


def field_of(job: Job) -> str:
    """What is asked next; empty once everything was said."""
    own = job.own
    mends = own.verdict in (str(Verdict.REPAIR), str(Verdict.REFER))
    fields = (
        (VERDICT, not own.verdict),
        (REASON, not own.reason),
        (LIMIT, not own.limit_said),
        (SOURCE, not own.source),
        (METHOD, mends and not own.method),
        (RESTRICTIONS, mends and own.restrictions is None),
        (SURE, not own.sure),
    )
    return next((field for field, lacking in fields if lacking), "")


def back(job: Job) -> Job:
    """The job with the last thing said taken back; with nothing said, looking goes on."""
    own = job.own
    for field, said in (
        (SURE, own.sure), (RESTRICTIONS, own.restrictions is not None), (METHOD, own.method), (SOURCE, own.source),
        (LIMIT, own.limit_said), (REASON, own.reason), (VERDICT, own.verdict),
    ):  # fmt: skip
        if said:
            return replace(job, own=_without(own, field))
    return replace(job, deciding=False)


def _without(own: Own, field: str) -> Own:
    empty = Own()
    more = {"limit_said": False} if field == LIMIT else {}
    return replace(own, **{field: getattr(empty, field), **more})


def offered(field: str, job: Job, rules: RuleSet) -> tuple[FieldChoice, ...]:
    """What can be said at a field, by number or in words; nothing for a figure."""
    if field == VERDICT:
        return (
            FieldChoice("repair", "repair it"),
            FieldChoice("refer", "refer it: another place may mend it"),
            FieldChoice(
                "hold",
                "hold it: demount, measure again, or someone trained must look",
                ("measure again", "can't tell", "cant tell", "cant-tell"),
            ),
            FieldChoice("scrap", "scrap it"),
        )
    if field == REASON:
        nothing = FieldChoice(NOTHING_AGAINST, "nothing speaks against it", ("none", "nothing"))
        return (nothing, *_facts(job, rules))
    if field == SOURCE:
        known = frozenset({HABIT_OF_THE_TRADE}).union(
            *(whose_of(Basis("", (each,), ""), rules) for each in rules.sources)
        )
        return tuple(FieldChoice(whose, says) for whose, says in WHOSE.items() if whose in known)
    if field == METHOD:
        named = (FieldChoice(each.id, each.title, (each.id.replace("-", " "),)) for each in rules.methods.values())
        return (*named, FieldChoice(NONE, "no method"))
    if field == RESTRICTIONS:
        named = (
            FieldChoice(each.id, _bare(each.says), (each.id.replace("-", " "),)) for each in rules.restrictions.values()
        )
        return (FieldChoice(NONE, "no restriction"), *named)
    if field == SURE:
        return tuple(FieldChoice(str(number), says) for number, says in enumerate(SURENESS, 1))
    return ()


def _bare(text: str) -> str:
    """A wording without the part that a tire's own figures would fill."""
    return (
        text if "{" not in text else f"{text.partition('{')[0].rpartition(':')[0] or text.partition('{')[0].strip()}."
    )


def _facts(job: Job, rules: RuleSet) -> Iterator[FieldChoice]:
    """The facts of a tire by name, those that were not looked at too, so that the list gives nothing away."""
    names = dict.fromkeys(where[2] for where, _ in places_of(job.tire.case))
    for name in sorted(names, key=list(rules.questions).index):
        question = rules.questions[name]
        if rules.input_of(name) not in inputs.ONE_MORE:
            yield FieldChoice(name, question.name, (name, name.replace("-", " "), question.key.replace("-", " ")))


def decided(job: Job, text: str, rules: RuleSet) -> Job:
    """The job with the field that is asked now answered. Raises Misread."""
    field, own = field_of(job), job.own
    if field == LIMIT:
        return replace(job, own=replace(own, limit=_figure(text), limit_said=True))
    choices = offered(field, job, rules)
    if field == RESTRICTIONS:
        found = [_one(part, choices).id for part in text.replace(";", ",").split(",") if part.strip()]
        if not found:
            raise Misread("nothing", "numbers with commas between, or none", "type it again")
        return replace(job, own=replace(own, restrictions=tuple(dict.fromkeys(each for each in found if each != NONE))))
    one = _one(text, choices).id
    if field == SURE:
        return replace(job, own=replace(own, sure=int(one)))
    return replace(job, own=replace(own, **{field: one}))


def _figure(text: str) -> Measure | None:
    """A limit from memory; None for one that has no figure, or is not known."""
    if plain(text) in ("", NONE, "no", "no figure", "0 none") or is_cant_tell(text):
        return None
    quantities = dict.fromkeys(unit.quantity for unit in UNITS.values())
    for quantity in quantities:
        try:
            return read_measure(text, quantity)
        except Misread:
            continue
    raise Misread(f'"{shown(text, 60)}"', "a figure with its unit, such as 5 mm, or none", "type it again")


def _one(text: str, choices: tuple[FieldChoice, ...]) -> FieldChoice:
    """One of what is offered, by number or by words. Raises Misread."""
    word = plain(text)
    if word.isascii() and word.isdigit():
        if 1 <= int(word[:6]) <= len(choices):
            return choices[int(word[:6]) - 1]
        raise Misread(f'"{shown(text, 40)}"', f"a number from 1 to {len(choices)}", "type it again")
    names = [
        ({plain(each.id), plain(each.says), plain(each.says.partition(":")[0]), *map(plain, each.also)}, each)
        for each in choices
    ]
    exact = [each for words, each in names if word in words]
    begun = exact or [each for words, each in names if word and any(each.startswith(word) for each in words)]
    begun = begun or [each for words, each in names if word and any(word in each for each in words)]
    if len(begun) == 1:
        return begun[0]
    found = f'"{shown(text, 40)}"' + (", which fits several" if begun else "")
    words = [word for each, _ in names for word in each]
    raise Misread(
        found, f"a number from 1 to {len(choices)}, or the words beside it", "type it again", closest(word, words)
    )


def way_typed(text: str, job: Job, rules: RuleSet) -> WayToLook | None:
    """The way to look that a line names, by number or in words; None where it names none."""
    word, ways = plain(text), ways_of(job.tire, rules)
    if word.isascii() and word.isdigit():
        return ways[int(word[:4]) - 1] if 1 <= int(word[:4]) <= len(ways) else None
    return next((way for way in WAYS_TO_LOOK if way in ways and word in (way.says, *way.also)), None)


def whose_of(basis: Basis, rules: RuleSet) -> frozenset[str]:
    """Whose rule it is, by the kinds of its sources; habit where no rule stands behind it."""
    if basis.standing in UNSOURCED:
        return frozenset({HABIT_OF_THE_TRADE})
    kinds = (rules.sources[source].kind for source in basis.sources)
    found = (next((whose for word, whose in _KINDS.items() if word in kind), HABIT_OF_THE_TRADE) for kind in kinds)
    return frozenset(found)


def known_facts(job: Job, rules: RuleSet) -> Iterator[str]:
    """Everything that has come to light so far, in words."""
    for where, answer in places_of(seen(job.tire, job.looked, rules)):
        yield fact_in_words((where[2], where[1]), answer, job.tire, rules)
