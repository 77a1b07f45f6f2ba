"""What the driver is told: two or three sentences without jargon, and where it stands, so that a refusal holds."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.engine.wording import fill
from advisor.model.limits import firmness
from advisor.model.rules import RuleSet, Verdict

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
