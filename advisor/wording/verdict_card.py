"""The verdict as a card: titled sections of short lines, which a face arranges.

What the driver is told: two or three sentences without jargon, and where it stands, so that a refusal holds.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.spelling_variant import spelled
from advisor.engine.templates import fill, limit_in_words
from advisor.model import inputs
from advisor.model.case import Choice, Key
from advisor.model.limits import firmness
from advisor.model.ruleset import UNSOURCED, Basis, RuleSet, Verdict
from advisor.wording.blocks import Block, Said

#: Kinds of source that are no text which anybody could look up.
_NO_TEXT = frozenset({"derived", "memory"})


def told_to_driver(judgement: Judgement, judge: Judge) -> tuple[str, ...]:
    """The ending's sentences, and one for each restriction."""
    return (why_for_driver(judgement, judge), *limits_for_driver(judgement, judge))


def why_for_driver(judgement: Judgement, judge: Judge) -> str:
    """The ending's sentences, as the standing of what decides lets them be said."""
    ending = judge.rules.endings[judgement.ending]
    text = ending.driver_by.get(standing_of(judgement), ending.tell_driver) if ending.driver_by else ending.tell_driver
    return fill(text, judgement.walk.tire, judge.rules)


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


class CardPart(Struct, frozen=True):
    """A part of a card: its title and its blocks."""

    title: str
    blocks: tuple[Said, ...]


class Card(Struct, frozen=True):
    """A verdict for people: the sign (REPAIR, REFER, HOLD, SCRAP), the headline, and sections."""

    verdict: Verdict
    headline: str
    sections: tuple[CardPart, ...]


def verdict_card(judgement: Judgement, judge: Judge) -> Card:
    """The card of a judgement."""
    rules = judge.rules
    ending = rules.endings[judgement.ending]
    tire = judgement.walk.tire
    sections = [
        CardPart("Do now", judge.do_now(judgement)),
        CardPart("Restrictions", tuple(fill(rules.restrictions[r].says, tire, rules) for r in judgement.restrictions)),
        CardPart(_reasons_title(judgement.verdict), reason_blocks(judgement.deciding, rules)),
        CardPart("Also counts", reason_blocks(_others(judgement), rules)),
        CardPart("Still to answer", tuple(questions_in_words(judgement.missing, rules))),
        CardPart("To answer once it can be seen", tuple(questions_in_words(judgement.later, rules))),
        CardPart("Look or measure again, this decides", tuple(questions_in_words(judgement.measure_again, rules))),
        CardPart("Method", _method(judgement, rules)),
        CardPart("Between the repair units", _distances(judgement, judge)),
        CardPart(spelled("Cautions for this tire", rules), _cautions(judgement, judge, always=False)),
        CardPart("Tell the driver", _tell_driver(judgement, judge)),
        CardPart("Cautions for the work, always", _cautions(judgement, judge, always=True)),
        CardPart("By these rules", _rules_lines(rules)),
    ]
    headline = fill(ending.headline, tire, rules)
    return Card(judgement.verdict, headline, tuple(section for section in sections if section.blocks))


def _reasons_title(verdict: Verdict) -> str:
    return "What speaks for it" if verdict is Verdict.REPAIR else "Reasons"


def _others(judgement: Judgement) -> list[Reason]:
    """The other reasons that hold: milder ones, and those for a restriction."""
    deciding = set(map(id, judgement.deciding))
    return [r for r in judgement.reasons if id(r) not in deciding and r.verdict is not Verdict.REPAIR]


def reason_blocks(reasons: list[Reason] | tuple[Reason, ...], rules: RuleSet) -> tuple[Block, ...]:
    """Each reason with its limit, source and standing."""
    return tuple(Block(f"{where(reason)}{reason.says}", (basis_in_words(reason, rules),)) for reason in reasons)


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
    standing = (*judge.rules.about.always, *judge.rules.about.with_repair)
    return tuple(judge.caution_in_words(name, judgement) for name in judgement.cautions if (name in standing) is always)


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
