"""What the driver is told: two or three sentences without jargon, and where it stands, so that a refusal holds."""

from __future__ import annotations

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.engine.wording import fill
from advisor.model.rules import RuleSet

#: Kinds of source that are no text which anybody could look up.
_NO_TEXT = frozenset({"derived", "memory"})


def told_to_driver(judgement: Judgement, judge: Judge) -> tuple[str, ...]:
    """The ending's sentences, and one for each restriction."""
    rules, tire = judge.rules, judgement.walk.tire
    said = (
        rules.endings[judgement.ending].tell_driver,
        *(rules.restrictions[name].tell_driver for name in judgement.restrictions),
    )
    return tuple(fill(text, tire, rules) for text in said)


def where_it_stands(judgement: Judgement, judge: Judge) -> str:
    """The texts behind the reasons that decide, by title; empty where no reason does, as in an unfinished case."""
    names = dict.fromkeys(name for reason in judgement.deciding for name in reason.basis.sources)
    return "; ".join(dict.fromkeys(judge.rules.sources[name].title for name in _texts(tuple(names), judge.rules)))


def _texts(names: tuple[str, ...], rules: RuleSet) -> tuple[str, ...]:
    """The sources that can be looked up; all of them where none can."""
    return tuple(name for name in names if rules.sources[name].kind not in _NO_TEXT) or names
