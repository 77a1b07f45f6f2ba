"""The newcomer's why: which answers, which limit, whose limit, which clause, how firm; terms explained.

Why, on one page: the shortest set of answers that gives the verdict, and the rulings that hold.
Why, on one page of 80 columns and 24 lines, and each step of it opened further: why 1, why answers, why limits.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable
from typing import TYPE_CHECKING

from advisor.engine.conditions import compiled
from advisor.engine.decision import Judgement, Reason
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.facts import Facts
from advisor.engine.templates import fill, limit_in_words, value_in_words
from advisor.model.case import Case, Key, Readings
from advisor.model.problems import closest, shown
from advisor.model.quantity import Measure
from advisor.model.ruleset import UNSOURCED, Join, Leaf, Limit, Node, RuleSet, Ruling, Verdict, Word, leaves
from advisor.wording.messages import Message, MessagePart, Told, headline
from advisor.wording.verdict_card import basis_in_words, question_in_words, questions_in_words

if TYPE_CHECKING:
    from advisor.explain.sufficient_reason import ShortReason


def _short_reason(judge: Judge, case: Case, judgement: Judgement) -> ShortReason:
    """The shortest reason; what finds it is loaded only now, as it is seldom asked at a start."""
    from advisor.explain.sufficient_reason import short_reason

    return short_reason(judge, case, judgement)


def why(judge: Judge, case: Case, judgement: Judgement) -> Told:
    """The short reason and the rulings that bring the verdict, each with limit, source and standing, on one page."""
    reason = _short_reason(judge, case, judgement)
    parts: list[MessagePart] = [
        {**_answer(key, case, judge), "role": "brings it" if key in reason.core else "keeps it so"}
        for key in reason.keys
    ]
    return Told("why", tuple(why_page(judge, case, judgement, reason)), tuple(parts))


def short_lines(judge: Judge, case: Case, reason: ShortReason) -> list[str]:
    """The shortest reason in lines: the answers that bring the verdict, and how many keep it so."""
    if not reason.keys:
        return ["Nothing that was answered brings it: it stands until more is answered."]
    lines = []
    if reason.core:
        alone = "alone give it" if not reason.rest else "bring it"
        lines.append(
            f"The shortest reason - these {len(reason.core)} answers {alone}:"
            if len(reason.core) > 1
            else f"The shortest reason - this one answer {'alone gives it' if not reason.rest else 'brings it'}:"
        )
        lines += [f"  {question_in_words(key, judge.rules)}: {_said(key, case, judge)}" for key in reason.core]
    if reason.rest:
        names = "; ".join(question_in_words(key, judge.rules) for key in reason.rest)
        first = "It takes every one of these answers" if not reason.core else "These keep it from being anything else"
        lines += [f"{first} ({len(reason.rest)}):", f"  {names}"]
    return lines


def _said(key: Key, case: Case, judge: Judge) -> str:
    question = judge.rules.questions[key[0]]
    return value_in_words(case.get(question.over, key), question)


def _answer(key: Key, case: Case, judge: Judge) -> MessagePart:
    return {"question": label_of(key, judge.rules), "answer": _said(key, case, judge)}


_COLUMNS = 78
#: A screen of 24 lines, less the line that was typed.
PAGE_LINES = 23
#: So much of a long list of answers stands on the page; the rest is opened by name.
LONGEST_LIST = 200
#: So many steps are named at the foot of the page.
_MOST_NAMED = 3
STEP = re.compile(r"why\s+(?:number\s+|step\s+)?(?P<what>[0-9]{1,2}|answers?|limits?)\s*\??", re.I)


def lines_taken(lines: Iterable[str]) -> int:
    """How many lines of a page a text takes, wrapped as the faces wrap it."""
    return sum(len(textwrap.wrap(line.strip(), _COLUMNS - (8 if line.startswith("  ") else 4))) or 1 for line in lines)


def reasons_of(now: Judgement) -> tuple[Reason, ...]:
    """The rulings that a page numbers: those that bring the verdict; where none does, all that hold."""
    return tuple(now.deciding or now.reasons)


def why_page(judge: Judge, case: Case, now: Judgement, reason: ShortReason | None = None) -> list[str]:
    """The shortest reason and the rulings that hold, each with limit, source and standing, on one page."""
    lines = [headline(now, judge), *_short(judge, case, reason or _short_reason(judge, case, now))]
    reasons = reasons_of(now)
    if reasons:
        lines.append("What was said for it:" if now.verdict is Verdict.REPAIR else "The rulings that bring it:")
    steps = [f"why {number}" for number in range(1, min(len(reasons), _MOST_NAMED) + 1)]
    last = f"To open a step: {', '.join([*steps, 'why answers', 'why limits'])}."
    more = "To go further: why not repair, what if …, how sure, least change, what is a word."
    shown = 0
    for number, each in enumerate(reasons, 1):
        step = [f"  {number}. {each.says}", f"  - {basis_in_words(each, judge.rules)}"]
        if shown and lines_taken([*lines, *step, "", "", last, more]) > PAGE_LINES:
            break
        lines += step
        shown = number
    if shown < len(reasons):
        lines.append(f"  and {len(reasons) - shown} more: why {shown + 1} …")
    others = [each for each in now.reasons if each not in reasons]
    if others:
        lines.append(f"  also counting: {len(others)}; open them by why limits.")
    return [*lines, last, more]


def _short(judge: Judge, case: Case, reason: ShortReason) -> list[str]:
    found = short_lines(judge, case, reason)
    return [line if len(line) <= LONGEST_LIST else f"{line[:LONGEST_LIST].rpartition(';')[0]}; …" for line in found]


def why_step(judge: Judge, case: Case, now: Judgement, what: str) -> Told:
    """One step of the page opened: a ruling by its number, the answers, or the limits held against."""
    if what.isdecimal():
        return _ruling(judge, now, int(what))
    reason = _short_reason(judge, case, now)
    if what.casefold().startswith("answer"):
        lines = [f"{question_in_words(key, judge.rules)}: {_said(key, case, judge)}" for key in reason.keys]
        parts = tuple(
            {"question": label_of(key, judge.rules), "answer": _said(key, case, judge)} for key in reason.keys
        )
        return Told("why", (f"It rests on these {len(lines)} answers:", *(f"  {line}" for line in lines)), parts)

    lines = passed_lines(now, judge.rules)
    others = [each.says for each in now.reasons if each not in reasons_of(now)]
    if others:
        lines += ["These count as well:", *(f"  {says}" for says in others)]
    return Told("why", tuple(lines or ["No other limit was held against the answers."]), ())


def _ruling(judge: Judge, now: Judgement, number: int) -> Told:

    reasons = reasons_of(now)
    if not 1 <= number <= len(reasons):
        known = f"1 to {len(reasons)}" if reasons else "none"
        return Told("", (f"There is no step {number}; the steps are {known}.",))
    each = reasons[number - 1]
    said = f"{each.says} {each.limit.says if each.limit else ''}"
    lines = (*chain_lines(number, each, judge.rules), *term_lines(said, judge))
    return Told(
        "why", lines, ({"ruling": each.ruling, "question": label_of(each.key, judge.rules), "says": each.says},)
    )


MOST_TERMS = 6
#: Words that an ordinary sentence uses in their everyday sense.
VERDICT_WORDS = frozenset({"repair", "refer", "hold", "scrap", "limit", "ruling"})


def why_verdict(judgement: Judgement, judge: Judge) -> Message:
    """The chain from the answers to the verdict as things stand; where that takes more than a page, its steps."""

    rules = judge.rules
    lines = [f"{str(judgement.verdict).upper()}: {_headline(judgement, rules)}"]
    lines += _shortest(judgement, judge)
    reasons = judgement.deciding or judgement.reasons
    for number, reason in enumerate(reasons, 1):
        lines += chain_lines(number, reason, rules)
    if judgement.verdict is Verdict.REPAIR:
        lines += passed_lines(judgement, rules)
    if judgement.missing and not judgement.settled:
        lines.append("Until everything needed is known nothing counts as a pass. Still to answer:")
        lines += [f"  {name}" for name in questions_in_words(judgement.missing, rules)]
    others = [reason for reason in judgement.reasons if reason not in reasons]
    if others:
        lines.append("These count as well:")
        lines += [f"  {reason.says}" for reason in others]
    said = " ".join(f"{reason.says} {reason.limit.says if reason.limit else ''}" for reason in reasons)
    lines += term_lines(said, judge)
    if lines_taken(lines) > PAGE_LINES:
        lines = why_page(judge, judgement.walk.tire.case, judgement)
    return Message("why", tuple(lines))


def _shortest(judgement: Judgement, judge: Judge) -> list[str]:
    """The shortest set of answers that gives the verdict, where there is one."""

    case = judgement.walk.tire.case
    found = _short_reason(judge, case, judgement)
    return short_lines(judge, case, found) if found.keys else []


def _headline(judgement: Judgement, rules: RuleSet) -> str:
    return fill(rules.endings[judgement.ending].headline, judgement.walk.tire, rules)


def chain_lines(number: int, reason: Reason, rules: RuleSet) -> list[str]:
    """A ruling from the answer to whose rule it is, and how firm."""
    lines = [f"{number}. {reason.says}"]
    if reason.question:
        lines.append(f"  You answered: {question_in_words(reason.key, rules)} - {reason.answer}")
    if reason.limit is not None:
        lines.append(f"  The limit: {limit_meaning(reason.limit)}")
    for source in reason.basis.sources:
        text = rules.sources[source]
        lines.append(f"  Whose: {text.title} - {text.publisher} ({text.edition})")
        lines.append(f"  What it is: {text.kind}{'' if 'law' in text.kind else '; no law'}")
    if reason.basis.clause not in ("", "none"):
        lines.append(f"  Where in it: {reason.basis.clause}")
    lines.append(f"  How firm: {standing_meaning(reason.basis.standing, rules)}")
    if reason.limit is not None and reason.limit.note:
        lines.append(f"  Note: {reason.limit.note}")
    return lines


def limit_meaning(limit: Limit) -> str:
    """A limit with its figure, and what a reading just on it means."""
    at = "itself still passes" if limit.at_limit_passes else "itself fails"
    return f"{limit.says}: {limit_in_words(limit)}; the figure {at}"


def standing_meaning(standing: str, rules: RuleSet) -> str:
    """A standing with what it means."""
    word = rules.words.get(standing.replace(" ", "-"))
    mark = "NOTE: no rule stands behind it. " if standing in UNSOURCED else ""
    return f"{mark}{standing}. {word.says}" if word else f"{mark}{standing}"


def passed_lines(judgement: Judgement, rules: RuleSet) -> list[str]:
    """For a repair: the limits that decide elsewhere, held against the answers and not exceeded."""
    lines: list[str] = []
    for visit in judgement.walk.visits:
        for ruling, _ in visit.stop.rulings:
            leaf = kept_limit(ruling, visit.facts, rules) if ruling.ending or ruling.restriction else None
            if leaf is not None:
                limit = rules.limits[leaf.operand[0]]
                here = value_in_words(visit.facts.get(leaf.subject), rules.questions.get(leaf.subject))
                lines.append(f"  {limit.says}: {limit_in_words(limit)} ({limit.basis.standing}); here {here}")
    return ["Held against these limits too, and on their good side:", *dict.fromkeys(lines)] if lines else []


def kept_limit(ruling: Ruling, facts: Facts, rules: RuleSet) -> Leaf | None:
    """The test against a limit that alone keeps a ruling from holding, or None."""
    parts = ruling.when.parts if isinstance(ruling.when, Join) and ruling.when.how == "all" else (ruling.when,)
    tests = [part for part in parts if isinstance(part, Leaf) and part.test == "beyond"]
    if len(tests) != 1 or compiled(tests[0], rules)(facts) is not False:
        return None
    rest = [part for part in parts if part is not tests[0]]
    applies = all(compiled(part, rules)(facts) is True for part in rest)
    return tests[0] if applies and isinstance(facts.get(tests[0].subject), Measure | Readings) else None


def why_asked(judge: Judge, question_id: str) -> Message:
    """Why a question is asked: its reason, and the endings it can bring by itself."""
    rules = judge.rules
    lines = [judge.in_words(rules.questions[question_id].why)]
    for ruling in rules.rulings():
        named = {leaf.subject for leaf in leaves(ruling.when)}
        if ruling.ending and (question_id in named or rules.nodes[ruling.node].asks == question_id):
            ending = rules.endings[ruling.ending]
            says = judge.in_words(ending.headline)
            lines.append(f"  it can bring {str(ending.verdict).upper()}: {says} ({ruling.basis.standing})")
    return Message("help", tuple(dict.fromkeys(lines)))


def no_text_behind(judge: Judge) -> Message:
    """The limits that rest on common practice or on memory, so that they can be told from those with a text."""
    limits = [limit for limit in judge.rules.limits.values() if limit.basis.standing in UNSOURCED]
    lines = [f"{limit.basis.standing}: {limit_in_words(limit)} - {limit.says}" for limit in limits]
    return Message("help", ("No rule or text stands behind these limits; all others name theirs:", *sorted(lines)))


def what_lies_ahead(judgement: Judgement, judge: Judge, node: Node) -> Message:
    """The questions still to be asked in their order, and the endings that the graph still leads to from here."""
    from advisor.engine.question_graph import endings_from

    rules = judge.rules
    lines = ["Still to be asked, as things stand:"]
    lines += [f"  {name}" for name in questions_in_words(tuple(judgement.walk.to_ask), rules)]
    ends = [rules.endings[name] for name in endings_from(rules, node.id)]
    lines.append("Endings that the question graph still leads to from here:")
    for verdict in judgement.could_end:
        heads = [judge.in_words(ending.headline) for ending in ends if ending.verdict is verdict]
        lines += [f"  {str(verdict).upper()}: {head}" for head in heads]
    return Message("help", tuple(lines))


def find_word(term: str, rules: RuleSet) -> Word | None:
    """The word that a term names, by id, title or another name for it."""
    wanted = " ".join(term.casefold().replace("-", " ").split()).strip("'\"?.")
    for word in rules.words.values():
        if wanted in _names(word) or wanted.removesuffix("s") in _names(word):
            return word
    return None


def _names(word: Word) -> set[str]:
    return {word.id.replace("-", " "), *(name.casefold().replace("-", " ") for name in (word.title, *word.also))}


def explain_word(term: str, judge: Judge) -> Message:
    """A term of the trade in a sentence or two; for an unknown one the nearest."""
    rules = judge.rules
    word = find_word(term, rules)
    if word is not None:
        return Message("help", (f"{word.title}: {judge.in_words(word.says)}",))
    names = [name for word in rules.words.values() for name in sorted(_names(word))]
    nearest = closest(term.casefold(), names)
    tail = f" Nearest: {', '.join(nearest)}." if nearest else " `advisor words` lists all of them."
    return Message("complaint", (f'"{shown(term, 60)}" is not among the words explained here.{tail}',))


def word_lines(judge: Judge) -> list[str]:
    """Every term with its explanation, in order of the alphabet."""
    words = sorted(judge.rules.words.values(), key=lambda word: word.title.casefold())
    return [f"{word.title}: {judge.in_words(word.says)}" for word in words]


def term_lines(text: str, judge: Judge) -> list[str]:
    """The trade's terms that a text uses, explained."""
    used = []
    for word in judge.rules.words.values():
        if word.id not in VERDICT_WORDS and any(_stands_in(name, text) for name in (word.title, *word.also)):
            used.append(word)
    lines = [f"  {word.title}: {judge.in_words(word.says)}" for word in used[:MOST_TERMS]]
    return ["Words used above:", *lines] if lines else []


def _stands_in(name: str, text: str) -> bool:
    return bool(re.search(rf"\b{re.escape(name)}\b", text, re.IGNORECASE))
