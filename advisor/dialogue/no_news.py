"""What of a typed line tells nothing bad, so that the rest is read without it: none, thanks; 6 mm with the probe.

A part of a line is no news where closed runs of the phrases make it up (`parts` of phrases.yaml). Any other word, and
all that answers what is open, stays.
"""

from __future__ import annotations

import re

from advisor.dialogue.prompt_line import OpenQuestions, read_part
from advisor.dialogue.state import View
from advisor.loader.answer_codec import NONE_WORDS, plain
from advisor.model import inputs
from advisor.model.case import Choices
from advisor.model.lexicon_entries import Phrases, folded
from advisor.model.problems import Misread
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.part_runs import PartRuns, part_runs_of
from advisor.nlu.result import Understood
from advisor.nlu.what_weighs import NO_NEWS

_COMMAS = re.compile(r"(\s*[,;]\s+|\s*;\s*|,(?=\D)|(?<=[^\W\d_])\.\s+|\n+)")
_AND = re.compile(r"\s+and\s+", re.I)
#: A figure, with its unit or without, and what stands behind it with no comma.
_BEHIND_FIGURE = re.compile(r"(?P<figure>\S*\d\S*(?: \S+)?) (?P<rest>.+)")
#: A bare word of a language as the program has it.
_BARE = {"cant-tell": "can't tell"}


def is_no_news(text: str, phrases: Phrases) -> bool:
    """Whether each part of a text tells nothing bad, answers nothing or only closes."""
    runs = part_runs_of(phrases)
    parts = [part for part in _COMMAS.split(text)[::2] if part.strip()]
    return not any(_by_feel(part, phrases) for part in parts) and all(
        plain(part) in NONE_WORDS or _is_well(part, runs, *(() if place else ("first",)))
        for place, part in enumerate(parts)
    )


def _by_feel(part: str, phrases: Phrases) -> bool:
    """Whether a part says that a figure was taken by what measures nothing: measured with my thumb."""
    words = plain(part).split()
    return all(not set(phrases.classes.get(name, ())).isdisjoint(words) for name in ("measuring", "by-feel"))


def _is_well(part: str, runs: PartRuns, *more: str) -> bool:
    return runs.whole(part, "closing") or runs.made_up(part, *NO_NEWS, *more)


def may_answer(text: str, view: View) -> list[Understood]:
    """What parts of a line that tell nothing bad may say of what is still open: nothing found, liner fine."""
    runs, case, open_now = part_runs_of(view.judge.rules.phrases), view.state.case, view.judgement.walk.to_ask
    parts = [part for part in _COMMAS.split(text)[::2] if part.strip()]
    well = [part for part in parts if runs.made_up(part, "well")] if len(parts) > 1 else []
    found = (one for part in well for one in view.listener.hear(part, case).proposed)
    waits = view.state.pending
    held = {one.key for one in (*waits.answers, *waits.proposed)} if waits is not None else set()
    by_key = {one.key: one for one in found if one.key in open_now and one.key not in held}
    return [one for one in by_key.values() if case.get(one.over, one.key) is None]


def in_bare_words(text: str, phrases: Phrases) -> str:
    """A line with its parts that are a language's yes, no, none or can't tell in the program's own word."""
    words = {word: _BARE.get(bare, bare) for bare, others in phrases.bare.items() for word in others}
    pieces = _COMMAS.split(text)
    pieces[::2] = [words.get(folded(plain(part)), part) for part in pieces[::2]]
    return "".join(pieces)


def without_no_news(text: str, asked: Question | None, questions: OpenQuestions, rules: RuleSet) -> str:
    """A line without its parts that tell nothing bad and answer none of the open questions; whole where all are so.

    `asked` is the question put first.
    """
    runs, kinds = part_runs_of(rules.phrases), _besides(asked, rules)
    parts = [part for part in _COMMAS.split(text)[::2] if part.strip()]
    none = [plain(part) in NONE_WORDS for part in parts]
    kept = list[str]()
    for place, part in enumerate(parts):
        more = [*kinds, *(["no-again"] if any(none[:place]) else []), *([] if place else ["first"])]
        well = _is_well(part, runs, *more) and not _by_feel(part, rules.phrases)
        if well and not _answers(part, any(none), asked, questions, rules):
            continue
        part = _without_tail(part, runs, kinds, questions, rules)
        kept.append(
            _bare_figure(part, runs, kinds) if asked is not None and asked.kind in inputs.FIGURE_KINDS else part
        )
    return ", ".join(kept) if kept and kept != parts else text


def _besides(asked: Question | None, rules: RuleSet) -> list[str]:
    """What besides is no news behind an answer to a question."""
    if asked is None:
        return []
    name, figure = rules.input_of(asked.id), asked.kind in inputs.FIGURE_KINDS
    if asked.over == inputs.OVER_INJURIES:
        return ["of-injury"] if figure or name == inputs.INJURY_DEPTH else []
    return ["of-figure"] if figure else ["of-wheel"] if name == inputs.WHEEL_POSITION else []


def _answers(part: str, none: bool, asked: Question | None, questions: OpenQuestions, rules: RuleSet) -> bool:
    """Whether a part answers an open question. That one thing of a list was not found does, where its list is asked
    and nothing says that there is `none` of it."""
    try:
        said = read_part(part, questions, rules, None, asked=True) or {}
    except Misread:
        return True
    if any(not isinstance(answer, Choices) or answer.present for answer in said.values()):
        return True
    return bool(said) and not none and asked is not None and asked.kind == inputs.CHOICES


def _without_tail(part: str, runs: PartRuns, kinds: list[str], questions: OpenQuestions, rules: RuleSet) -> str:
    """A part without what tells nothing bad behind an `and`."""
    for match in _AND.finditer(part):
        rest = part[match.end() :]
        if _is_well(rest, runs, *kinds) and not _answers(rest, False, None, questions, rules):
            return part[: match.start()]
    return part


def _bare_figure(part: str, runs: PartRuns, kinds: list[str]) -> str:
    """A figure without what tells nothing bad behind it: how it was measured."""
    match = _BEHIND_FIGURE.fullmatch(" ".join(part.split()))
    if match is None:
        return part
    figure, rest = match["figure"], match["rest"]
    first, _, unit = figure.partition(" ")
    whole = ((figure, rest), (first, f"{unit} {rest}".strip()))
    return next((head for head, tail in whole if _is_well(tail, runs, *kinds)), part)
