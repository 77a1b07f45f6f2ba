"""Whether words that nothing was made of may tell of something bad, or only of what stands beside the tire."""

from __future__ import annotations

import re
from enum import Enum
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

from advisor.loader.answer_codec import plain
from advisor.model.lexicon_entries import Phrases
from advisor.nlu.small_words import said_pattern, said_words

if TYPE_CHECKING:
    from advisor.nlu.part_runs import PartRuns
    from advisor.nlu.result import Heard

#: What a part is, by its words, that tells nothing bad: some of the tire is well, or not there what could be bad.
NO_NEWS = ("well", "absent")
#: The classes of words that may put in doubt what stands beside them, or say that there is more, or of a part only.
DOUBTFUL = ("doubtful", "partial")
#: The class of those among them that do so only where the tire or a part of it is named.
_PASSING = "passing"
#: The classes of parts of a tire, of its places and of what injures it.
_PARTS = ("tire-part", "injury", "place", "somewhere")
#: The class of words for all of it.
_ALL_OF_IT = "all-of-it"
_TIRE = said_words("stands-for-the-tire")
#: The class of words that a unit or a repair goes by.
UNIT_NAME = "unit-name"
#: The classes of words that tell nothing by themselves.
EVERYDAY = ("everyday", "harmless", "courtesy", "people", "tool", "by-feel", "well-kept", "how", "looked", "occasion",
            "being", "whole")  # fmt: skip
#: What a clause is in which a run of these stands: a hole grew, damage came to light, it was looked at badly.
_GROWN, _AGAINST, _BADLY, _BADLY_IN_ALL = "grown", "against", "poorly", "poorly-said"
_SPEAKS_AGAINST = (_GROWN, _AGAINST, _BADLY)
#: The class of figures in words and of units.
_FIGURES_IN_WORDS = "number-word"
_COMES_APART = said_pattern("comes-apart")
_CLAUSES = re.compile(r"[,;]\s*|(?<=[^\W\d_])[.!]\s+|\n+")
_INITIALS = re.compile(r"\s*[A-Z]{2,3}\s*|\s*(?:[A-Z]\.){2,3}\s*")
_WITH_MARK = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)?")
_FIGURE = re.compile(r"\d+(?:[.,/]\d+)*")
#: Where no greater share of the words is known it is another language.
_MOST_KNOWN_SHARE = 0.25
#: What an uncommon word ends in that says how something is; of so few words the tire is what they are said of.
_SAYS_HOW, _OF_IT_WITHOUT_A_WORD = re.compile(r"(?:ed|ing|y|ish|en)$"), 2
#: From so many letters on, one that is off makes no other word of one that tells of something bad.
_SHORTEST_NEAR = 6


def weighs(words: str, phrases: Phrases, named: bool = False) -> bool:
    """Whether words may tell of something bad: a figure, a word that tells so, one of doubt, an uncommon one of the
    tire; clause by clause. `named`: they are words of a clause that names it.
    """
    from advisor.nlu.part_runs import part_runs_of

    runs = part_runs_of(phrases)
    clauses = [each for each in _CLAUSES.split(words.replace("’", "'").casefold()) if each.strip()]
    return "?" in words or not clauses or any(_may_tell(each, phrases, runs, named) for each in clauses)


def _may_tell(clause: str, phrases: Phrases, runs: PartRuns, named: bool) -> bool:
    from advisor.nlu.scope_words import ALTERS, HEDGE, NOT_LOOKED, OTHER_TIME, OTHERS_WORD, ROUGHLY, SUPPOSED

    if any(runs.within(clause, kind) for kind in _SPEAKS_AGAINST) or runs.whole(clause, _BADLY_IN_ALL):
        return True
    if runs.made_up(clause, *NO_NEWS) or runs.whole(clause, "closing"):
        return False
    words = _WITH_MARK.findall(clause)
    found = set(words)
    if not found or _FIGURE.search(clause) or not found.isdisjoint(phrases.telling) or _is_near(found, phrases, runs):
        return True
    if any(doubt.search(clause) for doubt in (HEDGE, NOT_LOOKED, OTHERS_WORD, SUPPOSED)):
        return True
    if _is_foreign(words, runs):
        return True
    doubtful = found & runs.words_of(*DOUBTFUL)
    if not doubtful <= runs.words_of(_PASSING):
        return True
    everyday = runs.words_of(*EVERYDAY, _PASSING)
    unknown = [word for word in found if word.removesuffix("'s") not in everyday]
    if unknown and (len(words) <= _OF_IT_WITHOUT_A_WORD or any(_SAYS_HOW.search(word) for word in unknown)):
        return True
    named = named or any(f" {where} " in f" {clause} " for where in runs.words_of(_ALL_OF_IT))
    if not named and not _names_tire(words, found, runs):
        return False
    return bool(unknown or doubtful or any(doubt.search(clause) for doubt in (ALTERS, OTHER_TIME, ROUGHLY)))


def _is_foreign(words: list[str], runs: PartRuns) -> bool:
    """Whether hardly a word is known, as in another language: what it tells can't be weighed."""
    known = runs.known
    told = [word for word in words if word in known or word.removesuffix("'s") in known]
    return len(words) > _OF_IT_WITHOUT_A_WORD and len(told) <= len(words) * _MOST_KNOWN_SHARE


def _names_tire(words: list[str], found: set[str], runs: PartRuns) -> bool:
    """Whether a clause names the tire or a part of it, or a word stands for it that more is said of."""
    harmless = runs.words_of("harmless")
    if any(word in _TIRE and next_one not in harmless for word, next_one in pairwise(words)):
        return True
    return not runs.words_of(*_PARTS).isdisjoint({word.removesuffix("'s") for word in found} - _TIRE)


@cache
def _long(words: frozenset[str]) -> list[str]:
    return [word for word in words if len(word) >= _SHORTEST_NEAR]


def _is_near(found: set[str], phrases: Phrases, runs: PartRuns) -> bool:
    """Whether a word is one with a slip in it that tells of something bad."""
    unknown = [word for word in found - runs.words_of(*EVERYDAY) - phrases.ordinary if len(word) >= _SHORTEST_NEAR]
    if not unknown:
        return False
    from rapidfuzz.distance import OSA
    from rapidfuzz.process import extractOne

    return any(extractOne(word, _long(phrases.telling), scorer=OSA.distance, score_cutoff=1) for word in unknown)


def may_tell(heard: Heard, words: str, phrases: Phrases) -> bool:
    """Whether a remark beside a tick may tell of the tire: anything heard in it, or a word that tells or doubts."""
    from advisor.nlu.scope_words import DENYING

    if heard.understood or heard.proposed or heard.asks_back or heard.passed_over or _COMES_APART.search(plain(words)):
        return True
    unknown = {word.casefold() for word in heard.not_understood}
    every = _WITH_MARK.findall(plain(words).replace("’", "'"))
    known = " ".join(word for word in every if word not in unknown or word in DENYING or word.endswith("n't"))
    return "?" in words or bool(_FIGURE.search(words)) or bool(known and weighs(known, phrases))


def looked_badly(text: str, phrases: Phrases) -> list[str]:
    """The clauses of a line that say that it was looked at or measured badly; of a question none."""
    from advisor.nlu.part_runs import part_runs_of
    from advisor.nlu.scope_words import ASKS

    runs, clauses = part_runs_of(phrases), (each.strip() for each in _CLAUSES.split(text))
    if "?" in text or ASKS.search(plain(text)):
        return []
    return [each for each in clauses if runs.whole(each, _BADLY_IN_ALL) or runs.within(each, _BADLY)]


class TickSaid(Enum):
    """What words behind a tick make of it."""

    PLAIN = "plain"
    NOTICED = "noticed"
    NOT_DONE = "not done"
    READING = "a reading"
    TELLS = "tells of the tire"


def tick_said(heard: Heard, words: str, phrases: Phrases, of_step: str) -> TickSaid:
    """What words behind a tick make of it: plain only where all of them are harmless, or those `of_step` too."""
    from advisor.nlu.part_runs import part_runs_of

    runs = part_runs_of(phrases)
    clauses = [each for each in _CLAUSES.split(words.casefold()) if each.strip()]
    if any(runs.whole(each, "not-done") for each in clauses):
        return TickSaid.NOT_DONE
    badly, step = looked_badly(words, phrases), set(_WITH_MARK.findall(plain(of_step)))
    small = runs.words_of("beside-a-tick", "little", "tool", "courtesy") | step
    if not badly and (_INITIALS.fullmatch(words) or all(runs.made_up(each, "ticked") for each in clauses)):
        return TickSaid.PLAIN
    if not badly and all(
        runs.made_up(each, *NO_NEWS, "ticked") or set(_WITH_MARK.findall(each)) <= small for each in clauses
    ):
        return TickSaid.TELLS if may_tell(heard, words, phrases) else TickSaid.PLAIN
    figures = runs.words_of(_FIGURES_IN_WORDS)
    if any(runs.within(each, _GROWN) or not figures.isdisjoint(_WITH_MARK.findall(each)) for each in clauses):
        return TickSaid.READING
    against = any(runs.within(each, _AGAINST) for each in clauses)
    return TickSaid.TELLS if against or may_tell(heard, words, phrases) else TickSaid.NOTICED


def weighs_at_work(word: str, phrases: Phrases) -> bool:
    """Whether a word by itself tells of something bad, denies or doubts."""
    said = plain(word).strip(" ,;.")
    names = phrases.classes.get(UNIT_NAME, ())
    doubtful = any(said in phrases.classes.get(kind, ()) for kind in DOUBTFUL)
    return said not in names and (said in phrases.telling or doubtful or "n't" in said)
