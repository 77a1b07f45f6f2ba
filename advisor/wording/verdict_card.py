"""The verdict as a card: titled sections of short lines, which a face arranges.

What the driver is told: two or three sentences without jargon, and where it stands, so that a refusal holds.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.spelling_variant import spelled
from advisor.engine.templates import fill, limit_in_words
from advisor.model import inputs
from advisor.model.case import Choice, Key
from advisor.model.limits import firmness
from advisor.model.ruleset import BURSTS, HAZARDS, UNSOURCED, Basis, RuleSet, Verdict
from advisor.wording.blocks import Block, Said, blocks_of

#: Kinds of source that are no text which anybody could look up.
_NO_TEXT = frozenset({"derived", "memory"})


def told_to_driver(judgement: Judgement, judge: Judge) -> tuple[str, ...]:
    """The ending's sentences, and one for each restriction."""
    return (why_for_driver(judgement, judge), *limits_for_driver(judgement, judge))


def why_for_driver(judgement: Judgement, judge: Judge) -> str:
    """The ending's sentences, as the standing of what decides lets them be said; behind what is not known of it."""
    ending = judge.rules.endings[judgement.ending]
    text = ending.driver_by.get(standing_of(judgement), ending.tell_driver) if ending.driver_by else ending.tell_driver
    return f"{_not_certain(judgement, judge.rules)}{fill(text, judgement.walk.tire, judge.rules)}"


def _not_certain(judgement: Judgement, rules: RuleSet) -> str:
    """The answers that can't be told, where only that doubt brings an ending whose text tells what was found as so."""
    if all(ruling.ending != judgement.ending for ruling in rules.rulings()):
        return ""
    own = [reason.doubt for reason in judgement.deciding if reason.ending == judgement.ending]
    keys = tuple(key for key in judgement.measure_again if all(own) and any(key in doubt for doubt in own))
    names = "; ".join(questions_in_words(keys, rules))
    worst = f" {WORST_COUNTS}" if judgement.verdict is not Verdict.HOLD else ""
    return f"{NOT_CERTAIN}: {names}.{worst} " if names else ""


#: How the driver's part begins where only doubt brings the ending.
NOT_CERTAIN = "Not known for certain"
WORST_COUNTS = "Until it is, the worst that it may be counts."


def limits_for_driver(judgement: Judgement, judge: Judge) -> tuple[str, ...]:
    """What each restriction means to the driver."""
    rules, tire = judge.rules, judgement.walk.tire
    return tuple(fill(rules.restrictions[name].tell_driver, tire, rules) for name in judgement.restrictions)


def standing_of(judgement: Judgement) -> str:
    """The standing of what decides: a refusal has that of its firmest reason, a repair that of its weakest injury."""
    if judgement.verdict is not Verdict.REPAIR:
        own = [reason for reason in judgement.deciding if reason.ending == judgement.ending]
        return firmest(reason.basis.standing for reason in own)
    each = [firmest(r.basis.standing for r in part.reasons if r.verdict is part.verdict) for part in judgement.injuries]
    return max(each, key=firmness, default="")


def firmest(standings: Iterable[str]) -> str:
    """The standing that carries most, or an empty text where there is none."""
    return min((standing for standing in standings if standing), key=firmness, default="")


def where_it_stands(judgement: Judgement, judge: Judge) -> str:
    """The texts behind the reasons that decide, by title; empty where no reason does, as in an unfinished case."""
    names = dict.fromkeys(name for reason in judgement.deciding for name in reason.basis.sources)
    return "; ".join(dict.fromkeys(judge.rules.sources[name].title for name in _texts(tuple(names), judge.rules)))


def _texts(names: tuple[str, ...], rules: RuleSet) -> tuple[str, ...]:
    """The sources that can be looked up; all of them where none can."""
    return tuple(name for name in names if rules.sources[name].kind not in _NO_TEXT) or names


VERDICT_SIGNS = {Verdict.REPAIR: "REPAIR", Verdict.REFER: "REFER", Verdict.HOLD: "HOLD", Verdict.SCRAP: "SCRAP"}


#: The sections under the short card, in order: the word that opens one, and its title.
SECTIONS: dict[str, str] = {
    "reasons": "All reasons, with sources",
    "cautions": "Cautions for this tire",
    "always": "Cautions for the work, always",
    "method": "Method",
    "driver": "Tell the driver",
    "rules": "By these rules",
}
#: The parts among the reasons that are questions: to answer, to answer later, to look at again.
OPEN_PARTS = ("Still to answer", "To answer once it can be seen", "Look or measure again, this decides")
#: So many reasons stand on the short card.
MOST_REASONS = 3
#: So many questions are named there.
MOST_NAMED = 3


class CardPart(Struct, frozen=True):
    """A part of a card: its title and its blocks. `word` names the section that it stands in."""

    title: str
    blocks: tuple[Said, ...]
    word: str = ""


class ShortCard(Struct, frozen=True):
    """The verdict in one glance: what decides, what limits, what to do now, and what can hurt first.

    `first` is what stands ahead of what the verdict asks for, and is the first of `do_now` then.
    """

    method: str
    reasons: tuple[str, ...]
    restrictions: tuple[str, ...]
    do_now: tuple[str, ...]
    again: tuple[str, ...]
    missing: tuple[str, ...]
    danger: str
    first: str = ""


class Card(Struct, frozen=True):
    """A verdict for people: the sign (REPAIR, REFER, HOLD, SCRAP), the headline, the short card, all of it in parts."""

    verdict: Verdict
    headline: str
    short: ShortCard
    sections: tuple[CardPart, ...]

    def under(self, word: str) -> tuple[CardPart, ...]:
        """The parts of a section."""
        return tuple(part for part in self.sections if part.word == word)

    @property
    def words(self) -> tuple[str, ...]:
        """The words of the sections that this card has."""
        return tuple(word for word in SECTIONS if self.under(word))


def verdict_card(judgement: Judgement, judge: Judge, first: str = "", besides: str = "") -> Card:
    """The card of a judgement; `first` is to be done ahead of all else, `besides` stands at the end of what to do."""
    rules = judge.rules
    ending = rules.endings[judgement.ending]
    tire = judgement.walk.tire
    short = _short(judgement, judge)
    short = replace(short, do_now=(first, *short.do_now), first=first) if first else short
    short = replace(short, do_now=(*short.do_now, besides)) if besides else short
    sections = [
        CardPart("Do now", short.do_now),
        CardPart("Restrictions", short.restrictions),
        CardPart(DANGER, (short.danger,) if short.danger else ()),
        CardPart(_reasons_title(judgement.verdict), reason_blocks(judgement.deciding, rules), "reasons"),
        CardPart("Also counts", reason_blocks(_others(judgement), rules), "reasons"),
        CardPart(OPEN_PARTS[0], short.missing, "reasons"),
        CardPart(OPEN_PARTS[1], tuple(questions_in_words(judgement.later, rules)), "reasons"),
        CardPart(OPEN_PARTS[2], short.again, "reasons"),
        CardPart(spelled(SECTIONS["cautions"], rules), _cautions(judgement, judge, always=False), "cautions"),
        CardPart(SECTIONS["always"], _cautions(judgement, judge, always=True), "always"),
        CardPart(SECTIONS["method"], _method(judgement, rules), "method"),
        CardPart("Between the repair units", _distances(judgement, judge), "method"),
        CardPart(SECTIONS["driver"], _tell_driver(judgement, judge), "driver"),
        CardPart(SECTIONS["rules"], _rules_lines(rules), "rules"),
    ]
    headline = fill(ending.headline, tire, rules)
    return Card(judgement.verdict, headline, short, tuple(section for section in sections if section.blocks))


#: Above the caution that can hurt first.
DANGER = "What can hurt first"


def _short(judgement: Judgement, judge: Judge) -> ShortCard:
    rules, tire = judge.rules, judgement.walk.tire
    return ShortCard(
        rules.methods[judgement.method].title if judgement.method else "",
        tuple(f"{_which(reason, judgement)}{reason.says}" for reason in judgement.deciding[:MOST_REASONS]),
        tuple(fill(rules.restrictions[name].says, tire, rules) for name in judgement.restrictions),
        judge.do_now(judgement),
        tuple(questions_in_words(judgement.measure_again, rules)),
        tuple(questions_in_words(judgement.missing, rules)),
        _danger(judgement, judge),
    )


def short_parts(card: Card) -> tuple[CardPart, ...]:
    """What stands on the short card under verdict and method, in order."""
    short = card.short
    parts = (
        CardPart("Do now", short.do_now),
        CardPart("Restrictions", short.restrictions),
        CardPart("Because", short.reasons),
        CardPart(OPEN_PARTS[2], short.again),
        CardPart(OPEN_PARTS[0], _counted(short.missing)),
        CardPart(DANGER, (short.danger,) if short.danger else ()),
    )
    return tuple(part for part in parts if part.blocks)


def _counted(names: tuple[str, ...]) -> tuple[str, ...]:
    """Names on one line; of many how many there are, and the first ones."""
    if len(names) > MOST_NAMED + 1:
        return (f"{len(names)} questions, first: {', '.join(names[:MOST_NAMED])}",)
    return (", ".join(names),) if names else ()


def section_blocks(card: Card, words: Iterable[str]) -> tuple[Block, ...]:
    """The parts of sections, each as a title with its items."""
    return tuple(
        Block(part.title, tuple(replace(block, role="item") for block in blocks_of(part.blocks)), "title")
        for word in words
        for part in card.under(word)
    )


def _danger(judgement: Judgement, judge: Judge) -> str:
    """The caution that can hurt first, one of this tire's own ahead of those for every work; not one done at once."""
    about, verdict = judge.rules.cautions, str(judgement.verdict)
    names = [name for name in judgement.cautions if verdict not in about[name].do_now]

    def rank(name: str) -> tuple[int, bool, int]:
        place = HAZARDS.index(about[name].hazard)
        return (0 if about[name].hazard in BURSTS else place, name in _every_work(judge), place)

    return judge.caution_in_words(min(names, key=rank), judgement) if names else ""


def _every_work(judge: Judge) -> tuple[str, ...]:
    return (*judge.rules.about.always, *judge.rules.about.with_repair)


def _reasons_title(verdict: Verdict) -> str:
    return "What speaks for it" if verdict is Verdict.REPAIR else "Reasons"


def _others(judgement: Judgement) -> list[Reason]:
    """The other reasons that hold: milder ones, and those for a restriction."""
    deciding = set(map(id, judgement.deciding))
    return [r for r in judgement.reasons if id(r) not in deciding and r.verdict is not Verdict.REPAIR]


def reason_blocks(reasons: list[Reason] | tuple[Reason, ...], rules: RuleSet) -> tuple[Block, ...]:
    """Each reason with its limit, source and standing."""
    return tuple(Block(f"{where(reason)}{reason.says}", (basis_in_words(reason, rules),)) for reason in reasons)


def _which(reason: Reason, judgement: Judgement) -> str:
    """Which injury a reason is about, where there are several; which earlier repair."""
    return "" if reason.injury is not None and len(judgement.injuries) == 1 else where(reason)


def where(reason: Reason) -> str:
    """The injury or earlier repair that a reason is about, ahead of what it says."""
    if reason.injury is not None:
        return f"injury {reason.injury + 1}: "
    return f"earlier repair {reason.key[1] + 1}: " if reason.key[1] >= 0 else ""


def basis_in_words(reason: Reason, rules: RuleSet) -> str:
    """Limit, source, clause and standing of a reason on one line."""
    parts = []
    if reason.limit is not None:
        parts.append(f"limit {limit_in_words(reason.limit)}")
    if reason.soon is not None:
        parts.append(f"from {reason.soon.day} on it is {limit_in_words(reason.soon.limit)}")
    parts.append(sources_in_words(reason.basis, rules))
    return "; ".join(part for part in parts if part)


def sources_in_words(basis: Basis, rules: RuleSet) -> str:
    """Whose rule it is, with clause and standing: `49 CFR 393.75 …, clause (b) (published)`."""
    titles = " + ".join(rules.sources[source].title for source in basis.sources)
    clause = "" if basis.clause in ("", "none") else f"{', ' if titles else ''}{basis.clause}"
    mark = f"({basis.standing}{', no rule behind it' if basis.standing in UNSOURCED else ''})"
    return f"{titles}{clause} {mark}".strip()


def _distances(judgement: Judgement, judge: Judge) -> tuple[str, ...]:
    """How far the repair units lie apart; only where there is more than one."""
    if judgement.values.get("to-keep-apart") != Choice("yes"):
        return ()
    from advisor.drawings.selection import distance_lines

    return distance_lines(judgement, judge)


def _tell_driver(judgement: Judgement, judge: Judge) -> tuple[Said, ...]:
    *others, last = told_to_driver(judgement, judge)
    stands = where_it_stands(judgement, judge)
    return (*others, Block(last, (f"Where it stands: {stands}",) if stands else ()))


def _cautions(judgement: Judgement, judge: Judge, always: bool) -> tuple[str, ...]:
    """Those of this tire or those of every work, what can hurt first ahead."""
    named = [name for name in judgement.cautions if (name in _every_work(judge)) is always]
    named.sort(key=lambda name: HAZARDS.index(judge.rules.cautions[name].hazard))
    return tuple(judge.caution_in_words(name, judgement) for name in named)


def _method(judgement: Judgement, rules: RuleSet) -> tuple[Said, ...]:
    if not judgement.method:
        return ()
    method = rules.methods[judgement.method]
    lines: list[Said] = [Block(method.title, (fill(method.says, judgement.walk.tire, rules),))]
    if judgement.also_allowed:
        also = ", ".join(rules.methods[name].title for name in judgement.also_allowed)
        lines.append(f"also allowed: {also}")
    if len({injury.method for injury in judgement.injuries if injury.method}) > 1:
        lines.extend(
            f"injury {number}: {rules.methods[injury.method].title}"
            for number, injury in enumerate(judgement.injuries, 1)
            if injury.method
        )
    return tuple(lines)


def questions_in_words(keys: tuple[Key, ...], rules: RuleSet) -> list[str]:
    """Questions by name, each once: `the tread depth`, `injury 1: the injury's width`."""
    return list(dict.fromkeys(question_in_words(key, rules) for key in keys))


def question_in_words(key: Key, rules: RuleSet) -> str:
    """A question's name, with the injury or earlier repair that it is about."""
    name, index = key
    question = rules.questions[name]
    if question.over == "injuries":
        return f"injury {index + 1}: {question.name}"
    return f"earlier repair {index + 1}: {question.name}" if question.over == inputs.OVER_REPAIRS else question.name


def _rules_lines(rules: RuleSet) -> tuple[str, ...]:
    about = rules.about
    return (
        f"{about.title} ({about.id}), edition {about.edition}, digest {rules.digest}",
        "The last word: " + "; ".join(about.defers_to) + ".",
    )
