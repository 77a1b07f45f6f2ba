"""Questions back about the questions: why one is asked, how it is measured, in which order, what is still open."""

from __future__ import annotations

import re

from advisor.engine.judge import Judge, label_of
from advisor.engine.judgement import Judgement
from advisor.model.case import Case, Key
from advisor.model.phrases import folded
from advisor.model.rules import Question
from advisor.talk.card import question_in_words, questions_in_words
from advisor.talk.narrows import Narrowing, free_with, narrows_most
from advisor.talk.told import Told

HOW = re.compile(
    r"how (?:do|can|should|would|is|are) (?:i |you |we |one )?"
    r"(?:measure|find out|tell|check|gauge|find|see|read)?\s*(?P<what>.+?)\s*(?:measured|found|read|checked)?\s*\??",
    re.I,
)
WHY_ASK = re.compile(
    r"why (?:do|would|must|should) (?:you|i|we) (?:ask|need|want|care|know|say|give|measure)"
    r"(?: to know)?(?: about| for)?\s*(?P<what>.*?)\s*\??|why is (?P<what2>.+?) (?:asked|needed)\s*\??"
    r"|what is (?P<what3>.+?) (?:needed|asked) for\s*\??|why does (?P<what4>.+?) matter\s*\??",
    re.I,
)
ORDER = re.compile(
    r"why (?:(?:is |do you ask )?(?:that|this|it)(?: question)? (?:first|now|next)|(?:in )?(?:that|this) order"
    r"|(?:are they|do you ask|is it) .*\border).*",
    re.I,
)
OPEN = re.compile(
    r"(?:what|how) (?:could|can|might|may) (?:it|this|that) (?:still )?(?:be|end|become|end (?:up )?as).*"
    r"|what(?:'s| is| are) (?:still )?(?:open|possible|missing|left)(?: to (?:ask|answer|say))?\s*\??"
    r"|what else (?:could|can) it be.*"
    r"|(?:which|what) question narrows (?:it )?(?:down )?(?:the )?most\s*\??|what narrows (?:it )?(?:the )?most\s*\??",
    re.I,
)
_STARTS = ("the ", "an ", "a ", "its ", "my ", "how ", "about ", "injury's ")


def named(what: str, judge: Judge) -> Question | None:
    """The question that a name stands for: its id, its name, or a word that stands beside its figure."""
    rules = judge.rules
    word = folded(what)
    for start in _STARTS:
        word = word.removeprefix(start)
    names: dict[str, Question] = {}
    for phrase, found in rules.phrases.labels.items():
        names[phrase] = rules.questions[found[0]]
    for name, question in rules.questions.items():
        short = folded(question.name).removeprefix("the ")
        names |= {short.removeprefix("injury's "): question, short: question, name.replace("-", " "): question}
    return names.get(word)


def how_to(what: str, judge: Judge) -> Told | None:
    """How to find out what was named; None where nothing is known by that name."""
    question = named(what, judge)
    if question is None or not question.how:
        return None
    lines = (f"{question.name[:1].upper()}{question.name[1:]}: {judge.in_words(question.how)}",)
    return Told("word", lines, ({"question": question.id, "how": judge.in_words(question.how)},))


def why_ask(what: str, judge: Judge) -> Told | None:
    """Why a question is asked, and the endings that it can bring."""
    question = named(what, judge)
    if question is None:
        return None
    from advisor.talk.why import why_asked

    lines = why_asked(judge, question.id).lines
    return Told("why", (f"{question.name[:1].upper()}{question.name[1:]}:", *lines), ({"question": question.id},))


def could_be(judge: Judge, case: Case, now: Judgement) -> Told:
    """The verdicts still possible, what is still to be asked, and which of it narrows most."""
    ends = " or ".join(str(verdict).upper() for verdict in now.could_end)
    lines = [f"It could still end as {ends}." if len(now.could_end) > 1 else f"It ends as {ends}, whatever is open."]
    open_names = questions_in_words(now.missing, judge.rules)
    if open_names:
        lines.append(f"Still open: {'; '.join(open_names)}.")
    if now.measure_again and not open_names:
        lines.append(f"Measure again: {'; '.join(questions_in_words(now.measure_again, judge.rules))}.")
    best = narrows_most(judge, case, now)
    if open_names:
        lines += _narrowing(best, now)
    parts = tuple({"question": label_of(key, judge.rules), "role": "open"} for key in now.missing)
    most = ({"question": label_of(best.key, judge.rules), "role": "narrows most", "left": best.left},) if best else ()
    ended = tuple({"verdict": str(verdict), "role": "possible"} for verdict in now.could_end)
    return Told("how-sure", tuple(lines), (*ended, *most, *parts))


def _narrowing(best: Narrowing | None, now: Judgement) -> list[str]:
    if best is None:
        return ["No single answer was found that would narrow it."]
    return [
        f"It narrows most to know: {best.name}.",
        f"  Its answers leave {best.left:.1f} of {len(now.could_end)} verdicts open on average.",
    ]


def why_order(judge: Judge, case: Case, now: Judgement, asked: Key | None) -> Told:
    """Why the open question comes now: the rules fix the order, or it narrows most of those that are free."""
    key = asked or next(iter(now.missing), None)
    if key is None:
        return Told("why", ("No question is open.",))
    name = question_in_words(key, judge.rules)
    free = [other for other in free_with(key, judge, now.missing) if other != key]
    if not free:
        lines = [f"{name[:1].upper()}{name[1:]} has its place by the rules: what comes later may rest on it."]
    else:
        others = "; ".join(questions_in_words(tuple(free), judge.rules))
        best = narrows_most(judge, case, now, (key, *free))
        lines = [f"The rules leave the order free between {name} and: {others}."]
        lines.append(
            f"It comes first because its answers leave the fewest verdicts open: {best.left:.1f} on average."
            if best and best.key == key
            else "None of them narrows the verdicts more than the others, so they come as they stand in the rules."
        )
    if best_of_all := narrows_most(judge, case, now):
        lines.append(f"Of all that is open, {best_of_all.name} narrows most.")
    return Told("why", tuple(lines), ({"question": label_of(key, judge.rules)},))
