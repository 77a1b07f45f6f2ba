"""What stands first in an answer: a no, how things stand, this tire's own cautions, whether it is law."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from advisor.explain.asked_case import AskedCase, on_hold, status_line
from advisor.explain.of_this_tire import own_cautions
from advisor.explain.question_answers import NOT_BARRED_THERE, method_of
from advisor.explain.question_reader import ReadQuestion, forms_of, reader_of
from advisor.explain.whose_rule import law_in_short, law_of_ruling
from advisor.explain.why_not import why_not
from advisor.model.ruleset import UNSOURCED, Method, Verdict
from advisor.wording.blocks import Block, Said, texts_of
from advisor.wording.messages import Message, headline
from advisor.wording.verdict_card import questions_in_words, where

NEVER_SAFE = "Nothing here ever says that a repair is safe; it says what the rules named bring, and how firm that is."


def led(found: Message, state: AskedCase, read: ReadQuestion) -> Message:
    """An answer with all that goes ahead of it."""
    if read.kind("safe") and found.intent != "safe":
        found = replace(found, blocks=(NEVER_SAFE, *found.blocks))
    if read.kind("law") and found.intent != "law" and found.sources and found.kind != "complaint":
        found = replace(found, blocks=(*_law_ahead(found, state, read), *found.blocks))
    found = _as_it_stands_first(_leave_first(found, state, read), state, read)
    found = _case_first(found, state, read)
    return found if found.kind == "complaint" else _of_injury_first(_own_first(found, state, read), state, read)


def _of_injury_first(found: Message, state: AskedCase, read: ReadQuestion) -> Message:
    """An answer on what may or has to be done at one injury of several behind how that one stands by itself."""
    asks = asks_leave(read, state) or bool(read.fits(_OF_LEAVE)) or found.intent in state.judge.rules.answers
    supposes = read.fits(("what-if", "happens")) or found.intent == "how-to"
    if state.injury is None or not asks or supposes or found.intent in _EXPLAINS | _OF_NO_WORK:
        return found
    part, methods = state.now.injuries[state.injury], state.judge.rules.methods
    by = f", {methods[part.method].title}" if part.method else ""
    alone = f"Injury {state.injury + 1} taken by itself: {str(part.verdict).upper()}{by}."
    ahead = _led_by(found.blocks, state)
    return replace(found, blocks=(*found.blocks[:ahead], alone, *found.blocks[ahead:]))


def _led_by(blocks: Sequence[Said], state: AskedCase) -> int:
    """Behind how many blocks that say how things stand, no or yes the rest of an answer begins."""
    heads = [next(texts_of([each]), "") for each in blocks[:2]]
    leads = _IS_NO_LEAVE if state.now.verdict is Verdict.REPAIR else (*_IS_NO_LEAVE, status_line(state))
    lead = (place + 1 for place, each in enumerate(heads) if each.startswith(leads))
    return max(lead, default=0)


def asks_leave(read: ReadQuestion, state: AskedCase) -> bool:
    """Whether it is asked for leave."""
    behind = state.judge.rules.intents["leave"].not_behind
    if read.kind("leave") > 0:
        return not _asks_otherwise("leave", read, state)
    late = forms_of(state.judge.rules).begins("leave-behind-if", read.text)
    return late is not None and late["said"].rpartition(" ")[2] not in behind


def _asks_otherwise(name: str, read: ReadQuestion, state: AskedCase) -> bool:
    """Whether a question asks why, how or what at its head, and so for no leave."""
    rules = state.judge.rules
    leave = forms_of(rules).around("head-of-leave", r"^\W*(?:(?:and|so|but|ok|okay)\W+)*").match(read.text)
    return leave is None and any(word in rules.intents[name].not_behind for word in read.words[:1])


def asks_of_act(read: ReadQuestion, state: AskedCase) -> bool:
    """Whether an act is named, or leave asked for one in any words: what may be is told first then."""
    by_name = read.kind("act-asked") > 0 and not _asks_otherwise("act-asked", read, state)
    return by_name or asks_leave(read, state) or bool(read.fits(("harm", "skip")))


def in_sight(found: Message, state: AskedCase, read: ReadQuestion) -> Message:
    """An answer in which the verdict is never out of sight: where an act is asked about, no, yes or only if goes first.

    It is the last thing done to an answer, whatever it is of. What is supposed answers by itself, behind how it stands;
    what is asked for a yes or no of something else, or for a limit, ends in that.
    """
    barred, line = state.now.verdict is not Verdict.REPAIR, status_line(state)
    if found.intent in _OF_WORDS:
        return found
    asks_may = read.words[:1] and read.words[0] in reader_of(state.judge.rules).words.of_class("may")
    refused = found.kind == "complaint" and read.kind("yes-or-no") > 0 and asks_may
    if not (asks_of_act(read, state) or refused):
        seen = any(headline(state.now, state.judge) in each for each in found.texts)
        asked_for = read.kind("yes-or-no") or found.intent in _OF_LIMITS
        ends = barred and asked_for and found.kind != "complaint" and not seen
        return replace(found, blocks=(*found.blocks, line)) if ends else found
    heads = [next(texts_of([each]), "") for each in found.blocks[:_MOST_AHEAD]]
    leads = (*_IS_NO_LEAVE, IS_HARM, *(() if barred else (NEVER_SAFE,)))
    said = next((place for place, each in enumerate(heads, 1) if each.startswith(leads)), 0)
    told = any(headline(state.now, state.judge) in each for each in heads)
    if said or found.intent == "what-if":
        return found if told or not barred else _put_in(found, said, [line])
    answer = state.judge.rules.answers.get(found.intent)
    leave = answer.leave if answer is not None else ""
    if barred:
        known = headline(state.now, state.judge)
        found = replace(found, blocks=tuple(each for each in found.blocks if each != known))
        return _put_in(found, 0, [line, *([leave] if leave.startswith(_IS_NO) else _barred(state))])
    if found.kind == "complaint" and reader_of(state.judge.rules).not_known(read):
        return found
    method = _laid_down(state) if found.kind == "complaint" or read.kind("of-the-repair") else ()
    return _put_in(found, 0, [leave] if leave else [ONLY_SO, *method])


def _put_in(found: Message, place: int, lead: list[Said]) -> Message:
    """An answer with what leads it at a place, and nowhere else again."""
    rest = [block for block in found.blocks[place:] if block not in lead]
    return replace(found, blocks=(*found.blocks[:place], *lead, *rest))


#: Behind so many blocks how it stands is out of sight; so many reasons bar a tire in short.
_MOST_AHEAD = 3
#: Kinds of answer that tell what limit is held to, as if only that counted; and those of words and figures alone.
_OF_LIMITS = frozenset({"how-much"})
_OF_WORDS = frozenset({"what-is", "difference", "convert", "show", "tell", "write-down"})


def _barred(state: AskedCase) -> list[Said]:
    """No, and what bars a tire that is not to be repaired."""
    barring = [f"{where(reason)}{reason.says}" for reason in (state.now.deciding or ())[:_MOST_AHEAD]]
    to_come = questions_in_words((*state.now.missing, *state.now.measure_again), state.judge.rules)[:4]
    if not (barring or to_come):
        return [Block(NOT_AS_IT_STANDS, state.judge.do_now(state.now), "title")]
    return [Block(NOT_BARRED_REPAIR, tuple(barring), "title") if barring else Block(NOT_YET, tuple(to_come), "title")]


def _laid_down(state: AskedCase) -> list[Said]:
    """The method that is laid down for this tire."""
    method = state.judge.rules.methods.get(state.now.method)
    return [f"The method laid down here: {method.title}."] if method is not None else []


def _case_first(found: Message, state: AskedCase, read: ReadQuestion) -> Message:
    """An answer to whether a repair may be done begins with no, yes or only if, as the rules have it for this tire.

    Another method than the one laid down is refused with what keeps it out, a barred tire with what bars it:
    a figure or a caution alone is never leave.
    """
    answer = state.judge.rules.answers.get(found.intent)
    behind = any(word in state.judge.rules.intents["may"].not_behind for word in read.words[:1])
    may = (
        read.kind("asks-may") > 0
        and not behind
        and (found.intent in (*_OF_LEAVE_GIVEN, "how-much") or answer is not None)
    )
    asks = asks_leave(read, state) or may
    if not asks or found.kind == "complaint" or found.intent in _OF_NO_WORK | {"how-to", "tell", "why-not", "least"}:
        return found
    heads = list(texts_of(found.blocks[:2]))
    gives = not any(each.startswith((*_IS_NO, "Not ")) for each in heads)
    method = _other_method(read, state)
    if method is not None and gives:
        return _led_by_refusal(found, _not_that_method(method, state), state)
    if answer is not None and gives and answer.leave.startswith(_IS_NO):
        return _led_by_refusal(found, [answer.leave], state)
    if read.kind("of-the-use") and gives and state.now.verdict in (Verdict.SCRAP, Verdict.HOLD):
        return _led_by_refusal(found, [Block(NOT_AS_IT_STANDS, state.judge.do_now(state.now), "title")], state)
    if not read.kind("of-the-repair") or not gives:
        return found
    if state.now.verdict is not Verdict.REPAIR:
        return _led_by_refusal(found, _barred(state), state)
    if ONLY_SO in heads:
        place = found.blocks.index(ONLY_SO) + 1
        return replace(found, blocks=(*found.blocks[:place], *_laid_down(state), *found.blocks[place:]))
    if found.intent == "verdict":
        return replace(found, blocks=(YES_SO, *found.blocks))
    return found


NOT_BARRED_REPAIR = "No, not by these rules as it stands:"
NOT_YET = "No, not yet; first there is to be answered:"
YES_SO = "Yes, by these rules and only in the way that they lay down:"


def _led_by_refusal(found: Message, refusal: Sequence[Said], state: AskedCase) -> Message:
    """An answer behind how the case stands and a no; what gave leave at its head is left out."""
    line = status_line(state)
    gave = (ONLY_SO, NOT_SO, line)
    return replace(found, blocks=(line, *refusal, *(each for each in found.blocks if each not in gave)))


def _other_method(read: ReadQuestion, state: AskedCase) -> Method | None:
    """The method that is named, where another one is laid down for this tire or none is."""
    for subject in (each.subject for each in read.subjects if not each.subject.weak):
        method = method_of(subject, state)
        if method is not None:
            laid_down = method.id == state.now.method or method.id in state.now.also_allowed
            return None if laid_down else method
    return None


def _not_that_method(method: Method, state: AskedCase) -> list[Said]:
    """That a method is not the one laid down, and what keeps it out."""
    laid_down = state.judge.rules.methods.get(state.now.method)
    first = f"No: the method laid down here is {laid_down.title}." if laid_down is not None else "No, not that:"
    return [first, *why_not(state.judge, state.now, method.id).blocks]


def _own_first(found: Message, state: AskedCase, read: ReadQuestion) -> Message:
    """An answer behind what says of this tire how it stands in what is asked about; only a no or a yes goes ahead.

    It stands behind an answer that explains; what is supposed, and whose rule it is, goes without.
    """
    rules, answer = state.judge.rules, state.judge.rules.answers.get(found.intent)
    if found.intent in _OF_NO_WORK:
        return found
    of = [answer, *(reader_of(rules).subjects.get(one) for one in found.subject.split())]
    named = [name for each in (*of, *(each.subject for each in read.subjects)) if each for name in each.cautions]
    rows = own_cautions(named, state)
    told = {says for _, says, _ in rows}
    rest = [block for block in found.blocks if not (isinstance(block, Block) and block.text in told)]
    explains = found.intent in _EXPLAINS or (answer is not None and answer.unruled)
    ahead = len(rest) if explains else _led_by(rest, state)
    known = {says for says, _ in found.sources}
    bases = tuple((says, basis) for _, says, basis in rows if says not in known)
    return replace(
        found, blocks=(*rest[:ahead], *(block for block, _, _ in rows), *rest[ahead:]), sources=(*found.sources, *bases)
    )


#: Kinds of answer that explain.
_EXPLAINS = frozenset({"what-is", "why", "why-ask"})
#: Kinds of answer that say nothing of what may be done on this tire as it is.
_OF_NO_WORK = frozenset(
    {"what-if", "law", "who-says", "clause", "firm", "sure", "mattered", "asserts", "convert", "difference", "show"}
)


def _leave_first(found: Message, state: AskedCase, read: ReadQuestion) -> Message:
    """An answer to whether something may be, or be left out, which begins with what the rules say of that."""
    answer = state.judge.rules.answers.get(found.intent)
    subject = reader_of(state.judge.rules).subjects.get(found.subject)
    skips, harm = read.kind("skip") > 0, read.kind("harm") > 0
    status = [each for each in found.blocks[:1] if each == status_line(state)]
    rest = found.blocks[len(status) :]
    asks = skips or harm or (asks_leave(read, state))
    begins = next(texts_of(rest), "")
    of = answer or (subject if found.intent in _OF_LEAVE_GIVEN else None)
    of_use = of is not None and of.of_use and (asks or bool(read.fits(("may", "verdict", "safe"))))
    barred = state.now.verdict in (Verdict.SCRAP, Verdict.HOLD)
    if of_use and barred and not begins.startswith(_IS_NO):
        bars = Block(NOT_AS_IT_STANDS, state.judge.do_now(state.now), "title")
        return replace(found, blocks=(status_line(state), bars, *rest))
    if asks and found.intent == "verdict" and state.now.verdict is not Verdict.REPAIR:
        bars = Block(NOT_AS_IT_STANDS if barred else NOT_SO, state.judge.do_now(state.now), "title")
        return replace(found, blocks=(bars, *rest))
    first = answer.leave if answer is not None else ""
    if answer is None and subject is not None and found.intent in _OF_LEAVE_GIVEN:
        work = bool(subject.steps) or not (subject.question or subject.as_if or subject.limits)
        left_out = skips or (work and read.kind("without"))
        first = NOT_LEFT_OUT if left_out else ONLY_SO if not subject.as_if or "REPAIR:" in begins else NOT_SO
    of_steps = {step for each in (of, *(one.subject for one in read.subjects)) if each for step in each.steps}
    if not first.startswith(_IS_NO) and any(each.held and each.step.id in of_steps for each in state.steps):
        first = NOT_AS_IT_STANDS
    elif NOT_BARRED_THERE in found.texts and not barred:
        first = WHEEL_ALONE
    if harm and (first or begins).startswith("No"):
        first = IS_HARM
    if not asks or not rest or not first or (not harm and begins.startswith(_IS_NO_LEAVE)):
        return found
    return replace(found, blocks=(*status, first, *rest))


NOT_AS_IT_STANDS = "No, not as it stands:"
NOT_LEFT_OUT = "No: these rules give no leave to do without it. What they say of it:"
ONLY_SO = "Only as these rules have it:"
NOT_SO = "Not by these rules, as it stands:"
WHEEL_ALONE = "As far as the wheel goes, yes; how it stands otherwise stays:"
IS_HARM = "It does matter: these rules give no leave for it."
#: Kinds of answer (`explain/question_answers.py`) that are held against what is asked for.
_OF_LEAVE_GIVEN = frozenset({"may", "must", "about", "happens"})
#: How what is said begins where it gives no leave already.
_IS_NO = ("No:", "No,", "No.")
_IS_NO_LEAVE = (*_IS_NO, "Not ", "Only ", "Yes", "As far as the wheel")


def _law_ahead(found: Message, state: AskedCase, read: ReadQuestion) -> tuple[Said, ...]:
    """Whether it is law, ahead of another answer: of what that rests on; of the ruling where that is habit alone."""
    bases = found.sources
    if found.intent == "other-country":
        return ()
    answer = state.judge.rules.answers.get(found.intent)
    habit = all(basis.standing in UNSOURCED for _, basis in bases) and not (answer is not None and answer.unruled)
    if habit or found.intent == _HOME_LAW:
        ruling = law_of_ruling(state)
        if ruling is not None:
            return (status_line(state), *ruling.blocks)
    return (law_in_short(bases, state),)


#: The text on what the law of the rules' own country has.
_HOME_LAW = "home-law"


#: Kinds that ask for leave.
_OF_LEAVE = ("may", "verdict", "must", "next")
#: Kinds of answer that tell how work is done.
_OF_THE_WORK = frozenset({"how-to", "how-much", "must", "about", "why", "may", "happens"})


def _as_it_stands_first(found: Message, state: AskedCase, read: ReadQuestion) -> Message:
    """An answer that tells of work, or of what may be, on a tire that is not to be worked on says that first.

    Where it is asked whether something may be done, it says so of a tire that is referred too.
    """
    rules, verdict = state.judge.rules, state.now.verdict
    of = rules.answers.get(found.intent) or reader_of(state.judge.rules).subjects.get(found.subject)
    if of is None or (found.intent not in rules.answers and found.intent not in _OF_THE_WORK):
        return found
    barred = verdict is Verdict.SCRAP or on_hold(state.now)
    asks_leave = bool(read.fits(_OF_LEAVE)) and not found.texts[0].startswith(("No", WHEEL_ALONE))
    barred = barred or (verdict is Verdict.REFER and asks_leave)
    telling = (of.steps and not (verdict is Verdict.HOLD and not barred)) or (barred and (of.cautions or of.limits))
    if verdict is Verdict.REPAIR or not telling or headline(state.now, state.judge) in " ".join(found.texts[:1]):
        return found
    line = status_line(state)
    return replace(found, blocks=(line, *(block for block in found.blocks if block != line)))
