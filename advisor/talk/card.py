"""The verdict as a card: titled sections of short lines, which a face arranges."""

from __future__ import annotations

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement, Reason
from advisor.engine.wording import fill, limit_in_words
from advisor.model.case import Choice, Key
from advisor.model.rules import UNSOURCED, Basis, RuleSet, Verdict
from advisor.quick import dataclass
from advisor.talk.own_spelling import spelled

VERDICT_SIGNS = {Verdict.REPAIR: "REPAIR", Verdict.REFER: "REFER", Verdict.HOLD: "HOLD", Verdict.SCRAP: "SCRAP"}


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a card: its title and its lines. A line that begins with two spaces belongs to the one above."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """A verdict for people: the sign (REPAIR, REFER, HOLD, SCRAP), the headline, and sections."""

    verdict: Verdict
    headline: str
    sections: tuple[Section, ...]


def verdict_card(judgement: Judgement, judge: Judge) -> Card:
    """The card of a judgement."""
    rules = judge.rules
    ending = rules.endings[judgement.ending]
    tire = judgement.walk.tire
    sections = [
        Section("Do now", judge.do_now(judgement)),
        Section("Restrictions", tuple(fill(rules.restrictions[r].says, tire, rules) for r in judgement.restrictions)),
        Section(_reasons_title(judgement.verdict), reason_lines(judgement.deciding, rules)),
        Section("Also counts", reason_lines(_others(judgement), rules)),
        Section("Still to answer", tuple(questions_in_words(judgement.missing, rules))),
        Section("To answer once it can be seen", tuple(questions_in_words(judgement.later, rules))),
        Section("Look or measure again, this decides", tuple(questions_in_words(judgement.measure_again, rules))),
        Section("Method", _method_lines(judgement, rules)),
        Section("Between the repair units", _distances(judgement, judge)),
        Section(spelled("Cautions for this tire", rules), _cautions(judgement, judge, always=False)),
        Section("Tell the driver", _tell_driver(judgement, judge)),
        Section("Cautions for the work, always", _cautions(judgement, judge, always=True)),
        Section("By these rules", _rules_lines(rules)),
    ]
    headline = fill(ending.headline, tire, rules)
    return Card(judgement.verdict, headline, tuple(section for section in sections if section.lines))


def _reasons_title(verdict: Verdict) -> str:
    return "What speaks for it" if verdict is Verdict.REPAIR else "Reasons"


def _others(judgement: Judgement) -> list[Reason]:
    """The other reasons that hold: milder ones, and those for a restriction."""
    deciding = set(map(id, judgement.deciding))
    return [r for r in judgement.reasons if id(r) not in deciding and r.verdict is not Verdict.REPAIR]


def reason_lines(reasons: list[Reason] | tuple[Reason, ...], rules: RuleSet) -> tuple[str, ...]:
    """Each reason with its limit, source and standing."""
    lines: list[str] = []
    for reason in reasons:
        lines.append(f"{_where(reason)}{reason.says}")
        lines.append(f"  {basis_in_words(reason, rules)}")
    return tuple(lines)


def _where(reason: Reason) -> str:
    if reason.injury is not None:
        return f"injury {reason.injury + 1}: "
    return f"earlier repair {reason.key[1] + 1}: " if reason.key[1] >= 0 else ""


def basis_in_words(reason: Reason, rules: RuleSet) -> str:
    """Limit, source, clause and standing of a reason on one line."""
    parts = []
    if reason.limit is not None:
        parts.append(f"limit {limit_in_words(reason.limit)}")
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
    from advisor.talk.drawings import distance_lines

    return distance_lines(judgement, judge)


def _tell_driver(judgement: Judgement, judge: Judge) -> tuple[str, ...]:
    from advisor.talk.driver import told_to_driver, where_it_stands

    stands = where_it_stands(judgement, judge)
    return (*told_to_driver(judgement, judge), *((f"  Where it stands: {stands}",) if stands else ()))


def _cautions(judgement: Judgement, judge: Judge, always: bool) -> tuple[str, ...]:
    standing = (*judge.rules.about.always, *judge.rules.about.with_repair)
    return tuple(judge.caution_in_words(name, judgement) for name in judgement.cautions if (name in standing) is always)


def _method_lines(judgement: Judgement, rules: RuleSet) -> tuple[str, ...]:
    if not judgement.method:
        return ()
    method = rules.methods[judgement.method]
    lines = [method.title, f"  {fill(method.says, judgement.walk.tire, rules)}"]
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
    return f"earlier repair {index + 1}: {question.name}" if question.over == "earlier-repairs" else question.name


def _rules_lines(rules: RuleSet) -> tuple[str, ...]:
    about = rules.about
    return (
        f"{about.title} ({about.id}), edition {about.edition}, digest {rules.digest}",
        "The last word: " + "; ".join(about.defers_to) + ".",
    )
