"""What of a line is asked: without who else asks it, and without clauses that only tell something by the way."""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.dialogue.question_form import asks_by_form, requests, supposes_first
from advisor.explain.asked_case import AskedCase
from advisor.explain.question_answers import ANSWERS_BY_KIND, BASES_BY_KIND
from advisor.explain.question_reader import ReadQuestion, forms_of, reader_of
from advisor.model.ruleset import RuleSet

_CLAUSE = re.compile(r"\s*[,;:!?.](?=\s|$)\s*|\s+-+\s+")
#: What is asked as it is told: if we could patch it.
_TOLD_ORDER = re.compile(r"^(i|we|you|he|she|they|it) (can|could|may|might|should|must)\b", re.I)
#: Kinds that are asked of the whole case, so that a noun said by the way is none of their subject.
_OF_THE_CASE = (
    *("could-be", "sure", "mattered", "tell", "not-checked", "least", "who-says", "law", "clause", "firm"),
    "why-ask",
)
#: Kinds in which it is asked of a thing what it is or does, whatever it is wanted for.
_OF_WHAT_IT_IS = ("matters", "why", "how-to", "how-much", "what-is", "difference")
#: A clause of so few words goes with what is told beside it: true? good enough?
_TOO_SHORT = 2


def asked_alone(said: str, state: AskedCase) -> Iterator[str]:
    """The texts that are asked by themselves, the fullest first; none where all of a line is asked."""
    rules = state.judge.rules
    match = forms_of(rules).begins("asked-by-another", said)
    rest = _TOLD_ORDER.sub(r"\2 \1", said[match.end() :].strip(" ,:")) if match is not None else ""
    for text in filter(None, (rest, said)):
        read = reader_of(rules).read(text)
        if text == rest and (_names_its_own(read) or (read.kind("leave") and read.kind("of-the-repair"))):
            yield text
        for alone in (_without_asides(text, rules), _without_reason(text, rules), _without_price(text, rules)):
            if alone and alone != said:
                yield alone


def _without_asides(text: str, rules: RuleSet) -> str:
    """The clauses that ask or suppose, where others only tell something by the way; empty where they are needed."""
    clauses = [each for each in _CLAUSE.split(text) if each]
    asking = [each for each in clauses if asks_by_form(each) or supposes_first(each) or requests(each)]
    alone = ", ".join(asking)
    if not asking or len(asking) == len(clauses) or len(alone.split()) <= _TOO_SHORT:
        return ""
    reader, forms = reader_of(rules), forms_of(rules)
    read, own = reader.read(alone), not supposes_first(alone)
    strong = any(not each.subject.weak for each in read.subjects)
    points = forms.has("points-back", alone) and not strong
    kept = read.fits(("leave", "may", "verdict", "next", "safe", "danger", "harm", "skip"))
    of_case = bool(read.fits(_OF_THE_CASE))
    return alone if own and not points and not kept and (of_case or (strong and _has_kind(read))) else ""


def _without_reason(text: str, rules: RuleSet) -> str:
    """What is asked ahead of if, when or because, where behind it nothing stands that an answer could be of."""
    reader, forms = reader_of(rules), forms_of(rules)
    match = forms.around("gives-a-reason", r"(?<=\w)\s+", r"\s+.+$").search(text)
    alone = text[: match.start()] if match is not None else ""
    if match is None or not asks_by_form(alone) or not reader.read(alone).fits(_OF_WHAT_IT_IS):
        return ""
    behind = [each.subject for each in reader.read(match[0]).subjects if not each.subject.weak]
    answers = any(each.question or each.as_if or each.limits for each in behind)
    return alone if behind and not answers and _names_its_own(reader.read(alone)) else ""


def _without_price(text: str, rules: RuleSet) -> str:
    """A text without a price, where something else is named."""
    alone = forms_of(rules).around("price", r"(?:\b[\w.]+[\s-]+)?").sub("", text)
    return alone if alone != text and _names_its_own(reader_of(rules).read(alone)) else ""


def _names_its_own(read: ReadQuestion) -> bool:
    return bool(read.kinds) and any(not each.subject.weak for each in read.subjects)


def _has_kind(read: ReadQuestion) -> bool:
    return bool(read.fits((*ANSWERS_BY_KIND, *BASES_BY_KIND)))
