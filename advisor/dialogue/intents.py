"""What a typed question asks: which explanation answers it.

Questions back about the questions: why one is asked, how it is measured, in which order, what is still open.

Questions about a case in one's own words: why, why not, what if, how sure, least change, what is a word.
Questions that the technician asks back in the middle of a consultation.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from msgspec.structs import replace

from advisor.dialogue.answer_lead import NEVER_SAFE, asks_leave, asks_of_act, in_sight, led
from advisor.dialogue.asked_alone import asked_alone
from advisor.dialogue.figure_off import figure_is_of, figure_is_off
from advisor.dialogue.proposed_answers import doubts_noted
from advisor.dialogue.question_form import asking_parts, asks_by_form
from advisor.dialogue.still_open import could_be, why_order
from advisor.dialogue.supposed import (
    LAST_WORD,
    as_found,
    asked_before,
    states_ahead,
    supposed_figure,
    supposed_last,
    told_and_supposed,
    unclear,
    what_if_asked,
    what_is_supposed,
)
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.explain.asked_case import AskedCase, Bases
from advisor.explain.beside_limit import beside_tested
from advisor.explain.confidence import with_doubts
from advisor.explain.figure_said import asserted, converted
from advisor.explain.how_far_out import how_far_out
from advisor.explain.injury_named import injury_named
from advisor.explain.of_this_tire import warned_of_figure
from advisor.explain.question_answers import (
    ANSWERS_BY_KIND,
    BASES_BY_KIND,
    OF_A_SUBJECT,
    ONE_INJURY,
    figures_everywhere,
    has_figure_of_step,
    injury_alone,
    ready_text,
)
from advisor.explain.question_reader import NamedSubject, ReadQuestion, Uncovered, forms_of, reader_of
from advisor.explain.sensitivity import measured_keys
from advisor.explain.sentence_forms import FIGURE
from advisor.explain.spelled_figures import in_figures
from advisor.explain.unanswered import cannot_answer, nearest_text
from advisor.explain.whose_rule import firm_figure
from advisor.explain.why import STEP, explain_word, why_step
from advisor.model import inputs
from advisor.model.asked import AskedSubject, ReadyAnswer
from advisor.model.case import Case, Choice, Key
from advisor.model.problems import shown
from advisor.model.ruleset import UNSOURCED, Verdict
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, headline
from advisor.wording.verdict_card import question_in_words, where

if TYPE_CHECKING:
    from advisor.dialogue.session import Consultation
    from advisor.nlu.pipeline import Listener

#: A term that is asked for by itself has so many words.
_LONGEST_TERM = 3
#: Who names one of these asks of the ruling, not of what was told last.
_OF_VERDICT = frozenset({"scrap", "refer", "hold"})


def told(
    judge: Judge,
    case: Case,
    judgement: Judgement,
    text: str,
    listener: Listener | None = None,
    asked: Key | None = None,
    before: Message | None = None,
    notes: tuple[str, ...] = (),
    in_order: bool = False,
    asks: bool = False,
) -> Message | None:
    """The answer to a question about a case, or None where the text is no question.

    `before`: what was answered last. `asks`: it is a question, whatever its form.
    """
    said = forms_of(judge.rules).exactly(in_figures(" ".join(text.replace("’", "'").split())))
    injury, _ = injury_named(said, case, forms_of(judge.rules))
    state = AskedCase(judge, case, judgement, listener, asked, notes, in_order, before, injury)
    if match := STEP.fullmatch(said):
        return why_step(judge, case, judgement, match["what"])
    found = _told_of_all(said, state, before, asks)
    return found and in_sight(found, state, reader_of(judge.rules).read(said))


def _told_of_all(said: str, state: AskedCase, before: Message | None, asks: bool) -> Message | None:
    """The answer to what a line asks, in one or by its parts."""
    whole = _told_of_part(said, state, before) or _told_whole(said, state, before, asks)
    if whole is not None and whole.kind != "complaint" and len(asking_parts(said)) < _SEVERAL:
        return whole
    return _told_in_parts(said, whole, state, before)


def _told_of_part(said: str, state: AskedCase, before: Message | None) -> Message | None:
    """The answer to what is asked by itself: without who asks it, and without what is said by the way."""
    for text in asked_alone(said, state):
        found = _told_whole(text, state, before, asks=True)
        if found is not None and found.kind != "complaint" and found.intent != "nearest":
            return found
    return None


def _told_in_parts(said: str, whole: Message | None, state: AskedCase, before: Message | None) -> Message | None:
    """The answers to the parts of what asks several things; what is not answered of it is named."""
    parts = asking_parts(said)
    answered, missed = list[Message](), list[str]()
    for part in parts if len(parts) > 1 or (whole is not None and whole.kind == "complaint") else ():
        found = _told_whole(part, state, answered[-1] if answered else before, asks=True)
        if found is None or found.kind == "complaint" or found.intent == "nearest":
            missed.append(part)
        else:
            answered.append(found)
    apart = {(each.intent, each.subject) for each in answered}
    if not answered or (whole is not None and whole.kind != "complaint" and (missed or len(apart) < _SEVERAL)):
        return whole
    left = [f'Not answered of it: "{shown(part, 80)}".' for part in missed]
    blocks = list(dict.fromkeys(block for each in answered for block in each.blocks))
    first = answered[0]
    return replace(first, blocks=(*blocks, *left), sources=tuple(basis for each in answered for basis in each.sources))


def _told_whole(said: str, state: AskedCase, before: Message | None, asks: bool) -> Message | None:
    """The answer to a question taken as one."""
    judge = state.judge
    read = reader_of(judge.rules).read(said)
    read = replace(read, asks=said.endswith("?") or asks_by_form(said))
    if state.injury is not None:
        naming = {*injury_named(said, state.case, forms_of(judge.rules))[1].casefold().split()}
        own = frozenset(place for place, word in enumerate(read.typed) if word in naming)
        read = replace(read, taken={**read.taken, ONE_INJURY: own})
    found = _best(read, state, before)
    if found is None and read.kind("what-if") and (supposed := what_is_supposed(said, state)):
        found = unclear(supposed, state)
    if found is None and asks:
        found = _supposed_by_all(read, state)
    if found is None and _asks_to_repair(read, state):
        found = ANSWERS_BY_KIND["verdict"](None, state, read)
    if found is None and (asks or read.asks):
        term = forms_of(judge.rules).said("what-is", said) or ""
        found = (
            explain_word(term, judge)
            if 0 < len(term.split()) <= _LONGEST_TERM
            else nearest_text(read, state) or cannot_answer(read, reader_of(judge.rules), state)
        )
    return led(found, state, read) if found is not None else None


def _supposed_by_all(read: ReadQuestion, state: AskedCase) -> Message | None:
    """What a line that states something would bring, which asks nothing but whether it will do then."""
    states, behind = states_ahead(read.text, forms_of(state.judge.rules))
    asks = asks_by_form(states.rstrip("?")) or (asks_of_act(read, state) and not behind)
    if asks or (not behind and read.fits((*ANSWERS_BY_KIND, *BASES_BY_KIND, *_OF_THE_CASE))):
        return None
    return told_and_supposed(state, replace(read, text=states))


def _asks_to_repair(read: ReadQuestion, state: AskedCase) -> bool:
    """Whether leave is asked to repair it: how it stands answers that; one that may be only where no more is named."""
    named = any(not each.subject.weak for each in read.subjects)
    left = reader_of(state.judge.rules).uncovered(read, "verdict", (), (), whole=True).other
    asks = read.kind("of-the-repair") > 0 and asks_leave(read, state)
    return asks and (state.now.verdict is not Verdict.REPAIR or not (named or left)) and not read.strange


_Tried = list[tuple[float, Callable[[], Message | None]]]


def _best(read: ReadQuestion, state: AskedCase, before: Message | None) -> Message | None:
    """What the best fitting kind of question or ready text gives; the next one where that has nothing to say."""
    own = [each for each in read.subjects if not each.subject.weak]
    named = own[0].subject if own else None
    answered = {*ANSWERS_BY_KIND, *BASES_BY_KIND, *_OF_THE_CASE}
    of_kind = any(name in answered for name, _ in read.kinds)
    forms, reader = forms_of(state.judge.rules), reader_of(state.judge.rules)
    tried: _Tried = [
        (fit + 0.5 + LAST_WORD * answer.first, partial(_ready, answer, state, read)) for answer, fit in read.answers
    ]
    tried += _tried_supposing(read, state, before)
    tried += _tried_kinds(read, state, before, own)
    of_own = (place for each in read.subjects if each.subject.word for place in read.taken.get(each.subject.id, ()))
    beside = {*read.words} - reader.everyday - {*reader.words.stems(" ".join(read.typed[place] for place in of_own))}
    if not of_kind and forms.has("joins", read.text) and not beside:
        tried.append((0, partial(_of_kind, "difference", None, state, read, None)))
    if state.injury is not None and read.asks and not read.fits(_NOT_OF_ONE):
        tried.append((0, partial(injury_alone, state, read)))
    of_unit = figure_is_of(read, state) == inputs.UNIT_LENGTH
    if read.kind("what-if") and _with_digits(read) and not (of_unit or figure_is_off(read.text, state.judge.rules)):
        tried += [(0, partial(_of_kind, "how-much", each.subject, state, read, None)) for each in read.subjects]
    if before is not None and _goes_on(read, state):
        tried.append((_FOLLOW_UP, partial(_followed, named, state, read, before)))
    loose = not of_kind and reader.speaks_of_the_day(read)
    supposes = read.kind("what-if") and not read.kind("matters")
    if read.asks and not loose and not supposes and len(read.strange) <= _FEW_STRANGE:
        tried += [(0, partial(_of_kind, "about", each.subject, state, read, None)) for each in own]
    return _fitting(read, state, sorted(tried, key=lambda pair: -pair[0]), named)


def _tried_supposing(read: ReadQuestion, state: AskedCase, before: Message | None) -> _Tried:
    """What a question may suppose, with how well that fits."""
    forms = forms_of(state.judge.rules)
    tried: _Tried = []
    with_figure = rf"\s+((?:(?:{forms.words('of-a-figure')})\s+)?{FIGURE}\s*{forms.unit}.*)"
    if _with_digits(read) and (match := forms.around("ahead-of-figure", "", with_figure).search(read.text)):
        supposed = replace(read, text=f"{forms.supposing} {match[1]}")
        fits = read.fits(("verdict", "may", "how-much"))[:1]
        tried += [(fit + 1, partial(what_if_asked, state, supposed)) for fit in fits]
    tried += supposed_last(read, state)
    if _with_digits(read):
        tried.append((3 * LAST_WORD, partial(converted, state, read)))
        tried += [(2 * LAST_WORD, partial(asserted, state, read))] if read.kind("asserts") else []
        tried += [(LAST_WORD, partial(warned_of_figure, state, read))] if read.fits(_OF_A_WARNING) else []
    spoken = (forms.around("only-figure", "", r"\s+\d"), forms.around("it-were", "^", r"\s+\d"))
    figure_ahead = read.text[:1].isdigit() or any(each.search(read.text) for each in spoken)
    sure = figure_ahead or read.kind("supposes") > 0 or read.kind("what-if") > 0
    other = bool(read.fits((*BASES_BY_KIND, "sure"))) or (not sure and bool(read.fits(("why", "how-to"))))
    follows = before is not None and before.intent == "what-if" and _goes_on(read, state)
    if _with_digits(read) and not other and not follows and (sure or read.fits(_OF_A_FIGURE)):
        fit = max(read.fits(("verdict", "may")), default=-_ABOVE)
        tried.append((LAST_WORD - 1 if sure else fit + _ABOVE, partial(supposed_figure, state, read, sure)))
    if follows and _with_digits(read):
        tried.append((1, partial(supposed_figure, state, read, True)))
    if read.kind("is-found") and not read.kind("tells-apart"):
        found = (each.subject for each in read.subjects if not each.subject.weak)
        tried += [(LAST_WORD - 1, partial(as_found, each, state, read)) for each in found]
    return tried


def _tried_kinds(
    read: ReadQuestion, state: AskedCase, before: Message | None, own: list[NamedSubject]
) -> Iterator[tuple[float, Callable[[], Message | None]]]:
    """The kinds that a question may be of, with each of what it names, and how well that fits."""
    forms = forms_of(state.judge.rules)
    few = [each.subject for each in read.subjects]
    weak = next((each for each in few if each.question), few[0] if few else None)
    points, of_it = forms.has("points-back", read.text), forms.has("of-the-same", read.text)
    back = before if not own and not _OF_VERDICT & set(read.words) else None
    whose = back if back and (points or of_it or len(read.words) <= _SHORT) else None
    last = reader_of(state.judge.rules).subjects.get(before.subject) if before and not read.strange else None
    for name, fit in read.kinds:
        if _is_not_of(read, name, state):
            continue
        first = _first(read, name, state)
        here = own if name in ANSWERS_BY_KIND or name in BASES_BY_KIND else []
        for place, each in enumerate(here):
            thin = 2 if name == "why" and not (each.subject.as_if or each.subject.question) else 0
            figure = _OF_STEP if name == "how-much" and has_figure_of_step(each.subject, state, read) else 0
            words = each.words if name in OF_A_SUBJECT or name in BASES_BY_KIND else min(each.words, 1)
            score = fit + first + words + figure - place / 4 - thin
            yield score, partial(_of_kind, name, each.subject, state, read, whose)
        pointed = last if points or (of_it and name in _OF_IT) else None
        if not here:
            subject = None if name in BASES_BY_KIND and whose is not None and whose.sources else pointed or weak
            yield fit + first, partial(_of_kind, name, subject, state, read, whose)
        elif name in BASES_BY_KIND:
            yield fit + first - 1, partial(_of_kind, name, None, state, read, whose)
        if last is not None and name in _FROM_BEFORE:
            yield fit - (1 if here else 0.1), partial(_of_kind, name, last, state, read, whose)


def _is_not_of(read: ReadQuestion, name: str, state: AskedCase) -> bool:
    """Whether the wording of a kind is there and the question is of another all the same.

    A term does not answer what another figure or answer brings; what is to be written down says itself where law binds.
    """
    named = next((each.subject for each in read.subjects if not each.subject.weak), None)
    only_term = named is not None and bool(named.word) and not (named.question or named.limits)
    return (
        (name == "what-is" and any(read.kind(other) for other in _NO_TERM) and not only_term)
        or (name == "what-is" and read.kind("tells-apart") > 0 and named is not None and bool(named.as_if))
        or (name == "law" and read.kind("write-down") > 0)
        or any(word in state.judge.rules.intents[name].not_behind for word in read.words[:1])
    )


def _first(read: ReadQuestion, name: str, state: AskedCase) -> int:
    """How far ahead of its wording's fit a kind goes, or behind it."""
    if name == "law" and not read.kind("how-much"):
        return _LAW_FIRST
    if name == "how-to" and forms_of(state.judge.rules).begins("how-much-asked", read.text):
        return -_LAW_FIRST
    if name == "what-if" and what_is_supposed(read.text, state) is not None:
        return LAST_WORD if _with_digits(read) or _supposes_outright(read, state) else 0
    return 0


def _supposes_outright(read: ReadQuestion, state: AskedCase) -> bool:
    """Whether a text says at its head, or behind what it states, that it only supposes it."""
    forms = forms_of(state.judge.rules)
    text = forms.around("follows", "^", r"\s+").sub("", read.text)
    return bool(
        forms.around("supposes-outright", "^").match(text) or forms.around("what-then", r"\w.*", r"\W*$").search(text)
    )


def _goes_on(read: ReadQuestion, state: AskedCase) -> bool:
    """Whether a question goes on with the one before: by its first word, or as a figure."""
    return read.text[:1].isdigit() or forms_of(state.judge.rules).around("follows", "^").match(read.text) is not None


def _bare_figure(read: ReadQuestion, state: AskedCase) -> str:
    """The figure without a unit that is all of a question that goes on."""
    rest = forms_of(state.judge.rules).around("follows").sub("", read.text).strip(" ,?.")
    return rest if re.fullmatch(r"\d[\d./]*", rest) else ""


def _with_digits(read: ReadQuestion) -> bool:
    return any(word[:1].isdigit() for word in read.words)


def _fitting(
    read: ReadQuestion,
    state: AskedCase,
    tried: list[tuple[float, Callable[[], Message | None]]],
    named: AskedSubject | None,
) -> Message | None:
    """The answer that is of the most of what is asked; none where all leave too much of it out."""
    reader, kept, best = reader_of(state.judge.rules), None, 0.0
    telling = [word for word in read.words if word not in reader.everyday]
    for score, function in tried:
        if kept is not None and score <= best:
            break
        found = function()
        if found is None:
            continue
        if found.intent in _SAY_THEMSELVES:  # what the ear did not take of it, it says itself
            return found if kept is None else kept
        if not found.subject and named is not None and found.intent != "verdict":
            found = replace(found, subject=named.id)
        spoken = _spoken_of(found, read, state)
        left = reader.left_over(read, found.intent, spoken, found.texts)
        whole = found.intent in _OF_ALL_SAID and (found.intent not in BASES_BY_KIND or not found.subject)
        bare = reader.uncovered(read, found.intent, spoken, found.texts, whole)
        other_deed = bare.deed and found.intent == "how-to"
        if other_deed or _of_something_else(bare, whole) or len(left) >= max(len(telling) / 2, 1):
            continue
        rank = score - len(left) - len(bare.other) - (len(bare.asked) + bare.elsewhere) / 2
        if kept is None or rank > best:
            kept, best = _with_left_out(found, bare), rank
    return kept


def _of_something_else(bare: Uncovered, whole: bool) -> bool:
    """Whether so much of what is asked is not of an answer that it would be one to something else."""
    if bare.things or (whole and bare.other):
        return True
    return len(bare.other) > 1 and _MOST_LEFT_OUT * len(bare.other) >= bare.covered


def _with_left_out(found: Message, bare: Uncovered) -> Message:
    """An answer that says what of the question it is not of, where that is no small part."""
    if not bare.other or _LEFT_OUT_SAID * len(bare.other) < bare.covered:
        return found
    words = " or ".join(f'"{word}"' for word in bare.other)
    return replace(found, blocks=(*found.blocks, f"Not taken into account of what was asked: {words}."))


#: So many times the words left out, as against those that it is of: it is no answer, or says what it leaves out.
_MOST_LEFT_OUT, _LEFT_OUT_SAID = 3, 4


_SAY_THEMSELVES = frozenset({"what-if", "convert", "asserts"})
_SHORT, _LAW_FIRST, _FOLLOW_UP, _FEW_STRANGE, _SEVERAL = 4, 2, 2.5, 0, 2
#: So far ahead goes the figure of a step where a figure is asked for.
_OF_STEP = 2 * _LAW_FIRST
#: Kinds in which an injury is not asked about as it is.
_NOT_OF_ONE = ("what-if", "how-to", "why", "next", "show", "what-is", "happens")
#: Kinds in which a figure that is named is one of this tire that a caution speaks of.
_OF_A_WARNING = ("harm", "leave", "may", "matters", "verdict", "safe")
#: Kinds in which a figure may be supposed, though no word says so.
_OF_A_FIGURE = ("verdict", "may", "how-much", "matters", "next")
#: Ahead of the verdict as it is goes what a figure that is named would bring.
_ABOVE = 1.5


def _spoken_of(found: Message, read: ReadQuestion, state: AskedCase) -> list[str]:
    """What an answer is about; a figure's also what shares that figure, as a wheel does."""
    ready = state.judge.rules.answers.get(found.intent)
    own = [*found.subject.split(), *(one for each in (ready.about if ready else ()) for one in each.split("/"))]
    limits = {name for each in read.subjects if each.subject.id in own for name in each.subject.limits}
    if found.intent != "how-much":
        return own
    return [*own, *(each.subject.id for each in read.subjects if limits & {*each.subject.limits})]


#: Kinds that speak of the whole case, and so of nothing that a question names besides.
_OF_ALL_SAID = frozenset({"verdict", "mattered", "law", "next"})
#: Kinds in which it may be what was spoken of, and those in which a question without a subject goes on with the last.
_OF_IT = frozenset({"how-much", "how-to"})
_NO_TERM = ("what-if", "how-much", "happens", "tells-apart")
_FROM_BEFORE = frozenset({"how-much", "how-to", "difference", "must"})


def _ready(answer: ReadyAnswer, state: AskedCase, read: ReadQuestion) -> Message | None:
    found = ready_text(answer, state, read)
    return replace(found, subject=answer.about[0].split("/")[0] if answer.about else answer.id) if found else None


def _followed(named: AskedSubject | None, state: AskedCase, read: ReadQuestion, before: Message) -> Message | None:
    """A follow-up: what was asked last, of something else."""
    rules, last = state.judge.rules, reader_of(state.judge.rules).subjects.get(before.subject)
    if before.intent == "how-to" and what_is_supposed(read.text, state) is not None and read.kind("what-if"):
        return what_if_asked(state, read)
    elsewhere = any(each.subject.question == inputs.VEHICLE or each.subject.as_if for each in read.subjects)
    if before.intent == "how-much" and last is not None and last.limits and elsewhere:
        at_place = ANSWERS_BY_KIND["how-much"](last, state, read)
        return (
            at_place
            if at_place and at_place.intent == "how-much" and _zone_named(read)
            else figures_everywhere(last, state)
        )
    if before.intent in _OF_IT and last is not None and not last.question and (bare := _bare_figure(read, state)):
        units = (rules.limits[name].figures[0].unit for name in last.limits if name in rules.limits)
        with_unit = replace(read, text=f"{bare} {next(units, '')}")
        return ANSWERS_BY_KIND["how-much"](last, state, with_unit)
    if named is None or before.intent not in ANSWERS_BY_KIND:
        return what_if_asked(replace(state, asked=asked_before(state) or state.asked), read)
    return ANSWERS_BY_KIND[before.intent](named, state, read)


def _zone_named(read: ReadQuestion) -> bool:
    return any(inputs.INJURY_ZONE in each.subject.as_if for each in read.subjects)


def _of_kind(
    name: str, subject: AskedSubject | None, state: AskedCase, read: ReadQuestion, before: Message | None
) -> Message | None:
    """What answers a kind of question; None where it has nothing to say of that subject."""
    found = None
    if name in ANSWERS_BY_KIND:
        found = ANSWERS_BY_KIND[name](subject, state, read)
    elif name in BASES_BY_KIND:
        found = BASES_BY_KIND[name](subject, state, read, _bases_before(name, state, read, before))
    if found is not None or name in ANSWERS_BY_KIND or name in BASES_BY_KIND:
        known = subject is not None and not subject.weak and name != "verdict"
        return replace(found, subject=subject.id) if found and subject and known and not found.subject else found
    return _OF_THE_CASE[name](state, read) if name in _OF_THE_CASE else None


def _bases_before(name: str, state: AskedCase, read: ReadQuestion, before: Message | None) -> Bases:
    """What the answer before rests on; not where it was a text on habit and law is asked of it, the tire."""
    if before is None:
        return ()
    of_it = name == "law" and forms_of(state.judge.rules).has("of-the-same", read.text)
    habit = any(basis.standing in UNSOURCED for _, basis in before.sources)
    return () if of_it and habit and before.intent in state.judge.rules.answers else before.sources


def _sure(state: AskedCase, read: ReadQuestion) -> Message:
    from advisor.explain.confidence import how_sure

    if whose := firm_figure(state, read):
        return whose
    found = how_sure(state.judge, state.case, state.now)
    return replace(with_doubts(found, state.notes), intent="sure", subject="verdict")


def _safe(state: AskedCase, read: ReadQuestion) -> Message:
    sure = _sure(state, read)
    return replace(sure, blocks=(NEVER_SAFE, *sure.blocks), intent="safe")


def _least(state: AskedCase, read: ReadQuestion) -> Message:
    from advisor.explain.least_change import least_change

    found = least_change(state.judge, state.case, state.now)
    deciding = (state.now.deciding or ())[:3]
    rests = [f"{where(reason)}{reason.says}" for reason in deciding]
    rests += _beside_deciding(state)
    opens = _what_open_brings(state)
    heads: list[Said] = [Block("It rests on:", tuple(rests), "title")] if rests else []
    if opens:
        heads.append(Block("What is open decides, each with all else as it is:", tuple(opens), "title"))
    elif rests and state.now.verdict is not Verdict.REPAIR:
        heads.append(GROUNDS_GO)
    blocks = (*found.blocks[:1], *heads, *found.blocks[1:])
    return replace(found, blocks=blocks, intent="least")


GROUNDS_GO = "For it to end better each of that would have to be otherwise in fact."
#: So many open answers are gone through.
_MOST_OPEN = 3


def _what_open_brings(state: AskedCase) -> list[str]:
    """What each choice of an open answer would bring, where that is another verdict or method."""
    rules, rows = state.judge.rules, list[str]()
    for key in dict.fromkeys((*state.now.measure_again, *state.now.missing[:_MOST_OPEN])):
        question = rules.questions[key[0]]
        name = question_in_words(key, rules)
        if question.kind != "choice":
            rows.append(f"{name}: not known yet, and it decides")
        for choice in question.choices if question.kind == "choice" else ():
            then = state.judge.judge(state.case.with_answer(question.over, key, Choice(choice.id)))
            if (then.verdict, then.ending, then.method) != (state.now.verdict, state.now.ending, state.now.method):
                rows.append(f"{name}, {choice.says}: it would be {headline(then, state.judge)}")
    return rows


def _beside_deciding(state: AskedCase) -> list[str]:
    """The measured answers that decide beside their limits: on which side, and by how much."""
    rules = state.judge.rules
    limits = {each.limit.id for each in state.now.deciding or () if each.limit is not None}
    keys = [key for key in measured_keys(state.case, state.now, state.judge) if rules.questions[key[0]].quantity]
    rows = (beside_tested(key, state.case, state.now, state.judge, limits) for key in keys)
    out = (how_far_out(injury, rules) for injury in state.now.walk.tire.each("injuries"))
    return list(dict.fromkeys(line for row in (*rows, *out) for line in row))


def _could_be(state: AskedCase, read: ReadQuestion) -> Message:
    return replace(could_be(state.judge, state.case, state.now), intent="could-be")


def _why_order(state: AskedCase, read: ReadQuestion) -> Message:
    return replace(why_order(state.judge, state.case, state.now, state.asked, state.in_order), intent="why-now")


_OF_THE_CASE: dict[str, Callable[[AskedCase, ReadQuestion], Message | None]] = {
    "what-if": what_if_asked,
    "sure": _sure,
    "safe": _safe,
    "least": _least,
    "could-be": _could_be,
    "why-now": _why_order,
}


def question_back(consultation: Consultation, text: str) -> list[Message]:
    """The answer to a question back; nothing where the text is none. It keeps what was asked, for a follow-up."""
    here = consultation.judge, consultation.case, consultation.judgement
    before, asked = consultation.state.answered_last, consultation.question_key
    doubts = tuple(doubts_noted(consultation.notes))
    found = told(*here, text, consultation.listener, asked, before, doubts, consultation.in_order)
    if found is None:
        return []
    if found.kind != "complaint":
        consultation.become(replace(consultation.state, answered_last=found, asked_last=text))
    from advisor.dialogue.told_beside_question import kept_for_the_card, presumed, told_beside, without_what_is_stated

    supposed = found.subject if found.intent == "what-if" else ""
    told_of = [*presumed(consultation, text, supposed), *told_beside(consultation, text)]
    unanswered = found.kind == "complaint" or found.intent == "nearest"
    kept = kept_for_the_card(consultation, without_what_is_stated(text) if told_of else text, unanswered)
    said_so = any(str(line).startswith("A question counts for nothing") for each in told_of for line in each.blocks)
    return [found, *([Message("note", (IF_SO,))] if kept and not said_so else []), *told_of]


IF_SO = "A question counts for nothing. If that is so on this tire, say it as a sentence."
