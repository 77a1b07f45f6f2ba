"""What a typed question asks: which explanation answers it.

Questions back about the questions: why one is asked, how it is measured, in which order, what is still open.

Questions about a case in one's own words: why, why not, what if, how sure, least change, what is a word.
Questions that the technician asks back in the middle of a consultation.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING

from msgspec.structs import replace

from advisor.dialogue.asking_order import AskedTogether, order_of
from advisor.dialogue.figure_off import OFF_BY, figure_off, same_figure, zone_holds
from advisor.dialogue.not_counted import NOTED_ONLY
from advisor.dialogue.prompt import settled_now
from advisor.dialogue.proposed_answers import doubts_noted
from advisor.dialogue.question_form import asking_parts, asks_by_form
from advisor.dialogue.question_order import Narrowing, free_with, narrows_most
from advisor.dialogue.state import LONGEST_KEPT
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.judgement_types import Judgement
from advisor.explain.confidence import with_doubts
from advisor.explain.question_answers import (
    ANSWERS_BY_KIND,
    BASES_BY_KIND,
    OF_A_SUBJECT,
    AskedCase,
    figures_everywhere,
    given_besides,
    has_figure_of_step,
    law_in_short,
    law_of_ruling,
    matters,
    on_hold,
    ready_text,
    status_line,
)
from advisor.explain.question_reader import Reader, ReadQuestion, Uncovered
from advisor.explain.sensitivity import JUST
from advisor.explain.spelled_figures import in_figures
from advisor.explain.unanswered import cannot_answer, nearest_text
from advisor.explain.why import STEP, explain_word, why_step
from advisor.explain.why_not import reading_of
from advisor.loader.answer_codec import read_typed
from advisor.model import inputs
from advisor.model.asked import AskedSubject, ReadyAnswer
from advisor.model.case import TIRE, Answer, Case, Choice, Choices, Key
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import UNSOURCED, Question, RuleSet, Verdict, leaves
from advisor.wording.blocks import Block, Said, texts_of
from advisor.wording.messages import Message, headline
from advisor.wording.verdict_card import question_in_words, questions_in_words, where

if TYPE_CHECKING:
    from advisor.dialogue.session import Consultation
    from advisor.nlu.pipeline import Listener


_IT_WERE = (
    "it were ",
    "it was ",
    "it is ",
    "it's ",
    "it had been ",
    "that were ",
    "it measured ",
    "this was ",
    "this were ",
)
NEVER_SAFE = "Nothing here ever says that a repair is safe; it says what the rules named bring, and how firm that is."
#: A word asked for by itself, of which the nearest known ones are told.
_TERM = re.compile(
    r"(?:what is|what's|whats|what are|define|explain) (?:an? |the )?(?P<term>\S+(?: \S+){0,2}?)\s*\??",
    re.I,
)
#: How a what-if begins and ends, for the ear to hear what is between.
_WHAT_IF = re.compile(
    r"(?:(?:and|so|but|ok|okay) )*(?:what (?:would |will )?(?:happens?|changes?) (?:if|at|with)|what if|what about"
    r"|how a?bout|suppose|supposing|imagine"
    r"|and if|if|say|even if|and(?: what)?|would (?:it|that|this)\b[a-z ]*? if)\b,? *(?P<said>.+?)\s*\??"
    r"|what (?:would|will|does) (?P<said2>.+?) (?:change|do|mean for it|make)\s*\??"
    r"|would (?P<said3>.+?) (?:change|make|alter) (?:anything|it|that|a difference)\s*\??",
    re.I,
)
_FOLLOWS = re.compile(
    r"(?:(?:and|or|so|but|ok|okay|then|what about|how about|how bout|what if|and if|(?:with |at )?(?:the )?same)\b.*"
    r"|\d[\d./ \"a-z]{0,12}\??)",
    re.I,
)
#: Who names one of these asks of the ruling, not of what was told last.
_OF_VERDICT = frozenset({"scrap", "refer", "hold"})
_POINTS_BACK = frozenset({"that", "thi", "those", "them", "these"})
_REST = re.compile(
    r"(?<=\w)\s*[,;-]?\s*(?:would (?:it|that|this)|will (?:it|that|this)|can i|could i|is it|then|does (?:it|that)"
    r"|do i|do (?:you|we) still|instead of|rather than|what then|still)\b.*$",
    re.I,
)


#: What stands ahead of a figure and says only that it is that figure.
_DEAD_ON = re.compile(
    r"\b(?:bang|smack|dead|spot|right|slap|plumb|exactly|precisely)(?: dab)? (?:on|at) (?:the )?"
    r"(?=\d|(?:an? |one |three )?(?:quarter|half|eighth|sixteenth))",
    re.I,
)
#: How a question goes on with what was supposed before.
_AND = re.compile(r"and\b", re.I)
#: The same as was supposed before, with something else.
_THE_SAME = re.compile(
    r"(?:with |for |at )?(?:the |that )?same "
    r"(?:size|width|length|angle|depth|distance|thing|hole|nail|screw|cut|again)?"
    r" ?,? ?(?:but|only|and|just|though|except)? ?(?:it's |it is |it was |it were )?(?:out )?(?=\w)",
    re.I,
)


#: A figure that a question takes for given, whatever the case has.
_WITH_FIGURE = re.compile(
    r"\b(?:repair|fix|patch|mend|save|is|if|when|with|at|tire|tyre|one|hole|nail|of) ((?:(?:a|an|the|only|just) )?"
    r"\d[\d./]*(?: \d+/\d+)?\s*(?:mm|cm|inch(?:es)?|in|\"|deg(?:rees?)?|32nds?|psi|bar|kpa)\b.*)",
    re.I,
)
#: A what-if that stands last, behind another question; what it did, as what it does.
_LAST_CLAUSE = re.compile(r"[?.;!]\s*((?:what )?if .+)$", re.I)
_DID = re.compile(r"\b(it|they) did (\w+)", re.I)


def reader_of(judge: Judge) -> Reader:
    """The wordings of the judge's rules made ready, once."""
    for rules, reader in _READERS:
        if rules is judge.rules:
            return reader
    _READERS[:] = [(judge.rules, Reader(judge.rules)), *_READERS[:3]]
    return _READERS[0][1]


_READERS: list[tuple[RuleSet, Reader]] = []
_EARS: list[tuple[RuleSet, Listener]] = []


def _hearing(judge: Judge) -> Listener:
    """An ear for the judge's rules, made once."""
    from advisor.nlu.pipeline import Listener as Hearing

    for rules, ear in _EARS:
        if rules is judge.rules:
            return ear
    _EARS[:] = [(judge.rules, Hearing(judge.rules)), *_EARS[:3]]
    return _EARS[0][1]


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
    said = _DEAD_ON.sub("", in_figures(" ".join(text.replace("’", "'").split())))
    state = AskedCase(judge, case, judgement, listener, asked, notes, in_order, before)
    if match := STEP.fullmatch(said):
        return why_step(judge, case, judgement, match["what"])
    whole = _told_whole(said, state, before, asks)
    if whole is not None and whole.kind != "complaint" and len(asking_parts(said)) < _SEVERAL:
        return whole
    return _told_in_parts(said, whole, state, before)


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
    blocks = [block for place, each in enumerate(answered) for block in each.blocks if each not in answered[:place]]
    first = answered[0]
    return replace(first, blocks=(*blocks, *left), sources=tuple(basis for each in answered for basis in each.sources))


def _told_whole(said: str, state: AskedCase, before: Message | None, asks: bool) -> Message | None:
    """The answer to a question taken as one."""
    judge = state.judge
    read = reader_of(judge).read(said)
    read = replace(read, asks=said.endswith("?") or asks_by_form(said))
    found = _best(read, state, before)
    if found is None and read.kind("what-if") and (match := _WHAT_IF.fullmatch(said)):
        found = _unclear(match["said"] or match["said2"] or match["said3"], state)
    if found is None and (asks or read.asks):
        term = _TERM.fullmatch(said)
        found = (
            explain_word(term["term"], judge)
            if term
            else nearest_text(read, state) or cannot_answer(read, reader_of(judge), state)
        )
    if found is not None and read.kind("safe") and found.intent != "safe":
        found = replace(found, blocks=(NEVER_SAFE, *found.blocks))
    if found is not None and read.kind("law") and found.intent != "law" and found.sources and found.kind != "complaint":
        found = replace(found, blocks=(*_law_ahead(found, state, read), *found.blocks))
    return _as_it_stands_first(_leave_first(found, state, read), state, read) if found is not None else None


def _leave_first(found: Message, state: AskedCase, read: ReadQuestion) -> Message:
    """An answer to whether something may be, or be left out, which begins with what the rules say of that."""
    answer = state.judge.rules.answers.get(found.intent)
    subject = reader_of(state.judge).subjects.get(found.subject)
    skips = read.kind("skip") > 0
    status = [each for each in found.blocks[:1] if each == status_line(state)]
    rest = found.blocks[len(status) :]
    asks = skips or (read.kind("leave") and not _is_not_of(read, "leave"))
    if not asks or not rest or " ".join(texts_of(rest[:1])).startswith(_IS_NO_LEAVE):
        return found
    first = answer.leave if answer is not None else ""
    if answer is None and subject is not None and found.intent in _OF_LEAVE_GIVEN and (skips or not subject.as_if):
        work = bool(subject.steps) or not (subject.question or subject.as_if or subject.limits)
        first = NOT_LEFT_OUT if skips or (work and read.kind("without")) else ONLY_SO
    return replace(found, blocks=(*status, first, *rest)) if first else found


NOT_LEFT_OUT = "No: these rules give no leave to do without it. What they say of it:"
ONLY_SO = "Only as these rules have it:"
#: Kinds of answer that are held against what is asked for.
_OF_LEAVE_GIVEN = frozenset({"may", "must", "about", "happens"})
#: How what is said begins where it gives no leave already.
_IS_NO_LEAVE = ("No", "Only")


def _law_ahead(found: Message, state: AskedCase, read: ReadQuestion) -> tuple[Said, ...]:
    """Whether it is law, ahead of another answer: of what that rests on; of the ruling where that is habit alone."""
    bases = found.sources
    if found.intent == "other-country":
        return ()
    habit = all(basis.standing in UNSOURCED for _, basis in bases) and found.intent not in _OF_NO_RULING
    if habit or found.intent == _HOME_LAW:
        ruling = law_of_ruling(state)
        if ruling is not None:
            return (status_line(state), *ruling.blocks)
    return (law_in_short(bases, state),)


#: The text on what the law of the rules' own country has; texts whose subject no ruling touches.
_HOME_LAW = "home-law"
_OF_NO_RULING = frozenset({"cost", "penalties", "last-word", "who-may"})


#: Kinds that ask for leave.
_OF_LEAVE = ("may", "verdict", "must", "next")
#: Kinds of answer that tell how work is done.
_OF_THE_WORK = frozenset({"how-to", "how-much", "must", "about", "why", "may", "happens"})


def _as_it_stands_first(found: Message, state: AskedCase, read: ReadQuestion) -> Message:
    """An answer that tells of work, or of what may be, on a tire that is not to be worked on says that first.

    Where it is asked whether something may be done, it says so of a tire that is referred too.
    """
    rules, verdict = state.judge.rules, state.now.verdict
    of = rules.answers.get(found.intent) or reader_of(state.judge).subjects.get(found.subject)
    if of is None or (found.intent not in rules.answers and found.intent not in _OF_THE_WORK):
        return found
    barred = verdict is Verdict.SCRAP or on_hold(state.now)
    asks_leave = bool(_fits(read, _OF_LEAVE)) and not found.texts[0].startswith("No")
    barred = barred or (verdict is Verdict.REFER and asks_leave)
    telling = (of.steps and not (verdict is Verdict.HOLD and not barred)) or (barred and (of.cautions or of.limits))
    if verdict is Verdict.REPAIR or not telling or headline(state.now, state.judge) in " ".join(found.texts[:1]):
        return found
    line = status_line(state)
    return replace(found, blocks=(line, *(block for block in found.blocks if block != line)))


def _best(read: ReadQuestion, state: AskedCase, before: Message | None) -> Message | None:
    """What the best fitting kind of question or ready text gives; the next one where that has nothing to say."""
    own = [each for each in read.subjects if not each.subject.weak]
    strong = own[0] if own else None
    tried: list[tuple[float, Callable[[], Message | None]]] = []
    for answer, fit in read.answers:
        tried.append((fit + 0.5, partial(_ready, answer, state)))
    named = strong.subject if strong else None
    few = [each.subject for each in read.subjects]
    weak = next((each for each in few if each.question), few[0] if few else None)
    points = _POINTS_BACK & set(read.words)
    said = set(read.words)
    back = before if not named and not _OF_VERDICT & said else None
    whose = back if back and (points or {"it", "so"} & said or len(read.words) <= _SHORT) else None
    last = reader_of(state.judge).subjects.get(before.subject) if before and not read.strange else None
    if _with_digits(read) and (with_figure := _WITH_FIGURE.search(read.text)):
        supposed = replace(read, text=f"what if {with_figure[1]}")
        tried += [
            (fit + 1, partial(_what_if, state, supposed)) for fit in _fits(read, ("verdict", "may", "how-much"))[:1]
        ]
    tried += _supposed_last(read, state)
    sure = bool(_SUPPOSES.search(read.text)) or read.kind("what-if") > 0
    other = any(read.kind(name) for name in (*BASES_BY_KIND, "sure")) or (
        not sure and bool(_fits(read, ("why", "how-to")))
    )
    follows = before is not None and before.intent == "what-if" and _FOLLOWS.fullmatch(read.text)
    if _with_digits(read) and not other and not follows and (sure or _fits(read, _OF_A_FIGURE)):
        asked = max(_fits(read, ("verdict", "may")), default=-_ABOVE)
        score = _LAST_WORD - 1 if sure else asked + _ABOVE
        tried.append((score, partial(_supposed, state, read, sure)))
    if follows and _with_digits(read):
        tried.append((1, partial(_supposed, state, read, True)))
    if _IS_FOUND.search(read.text):
        tried += [(_LAST_WORD - 1, partial(_as_found, each.subject, state, read)) for each in own]
    for name, fit in read.kinds:
        if _is_not_of(read, name):
            continue
        first = _first(read, name)
        here = own if name in ANSWERS_BY_KIND or name in BASES_BY_KIND else []
        for place, each in enumerate(here):
            thin = 2 if name == "why" and not (each.subject.as_if or each.subject.question) else 0
            figure = _OF_STEP if name == "how-much" and has_figure_of_step(each.subject, state, read) else 0
            words = each.words if name in OF_A_SUBJECT or name in BASES_BY_KIND else min(each.words, 1)
            score = fit + first + words + figure - place / 4 - thin
            tried.append((score, partial(_of_kind, name, each.subject, state, read, whose)))
        pointed = last if points or ("it" in read.words and name in _OF_IT) else None
        if not here:
            subject = None if name in BASES_BY_KIND and whose is not None and whose.sources else pointed or weak
            tried.append((fit + first, partial(_of_kind, name, subject, state, read, whose)))
        elif name in BASES_BY_KIND:
            tried.append((fit + first - 1, partial(_of_kind, name, None, state, read, whose)))
        if last is not None and name in _FROM_BEFORE:
            tried.append((fit - (1 if here else 0.1), partial(_of_kind, name, last, state, read, whose)))
    if read.kind("what-if") and _with_digits(read) and not OFF_BY.search(read.text):
        tried += [(0, partial(_of_kind, "how-much", each.subject, state, read, None)) for each in read.subjects]
    if before is not None and _FOLLOWS.fullmatch(read.text):
        tried.append((_FOLLOW_UP, partial(_followed, named, state, read, before)))
    loose = not read.kinds and reader_of(state.judge).speaks_of_the_day(read)
    if (
        read.asks
        and not loose
        and len(read.strange) <= _FEW_STRANGE
        and (not read.kind("what-if") or read.kind("matters"))
    ):
        tried += [(0, partial(_of_kind, "about", each.subject, state, read, None)) for each in own]
    return _fitting(read, state, sorted(tried, key=lambda pair: -pair[0]), named)


def _supposed_last(read: ReadQuestion, state: AskedCase) -> list[tuple[float, Callable[[], Message | None]]]:
    """What is supposed in so many words, whatever else is asked: a figure that is off, a what-if that stands last."""
    tried: list[tuple[float, Callable[[], Message | None]]] = []
    if OFF_BY.search(read.text):
        tried.append((2 * _LAST_WORD, partial(figure_off, state, read)))
    if _LAST_CLAUSE.search(read.text):
        tried.append((_LAST_WORD, partial(_of_kind, "what-if", None, state, read, None)))
    return tried


def _is_not_of(read: ReadQuestion, name: str) -> bool:
    """Whether the wording of a kind is there and the question is of another all the same.

    A term does not answer what another figure or answer brings; what is to be written down says itself where law binds.
    """
    return (
        (name == "what-is" and any(read.kind(other) for other in _NO_TERM))
        or (name == "law" and read.kind("write-down") > 0)
        or any(word in _NOT_BEHIND.get(name, ()) for word in read.words[:1])
    )


def _first(read: ReadQuestion, name: str) -> int:
    """How far ahead of its wording's fit a kind goes, or behind it."""
    if name == "law" and not read.kind("how-much"):
        return _LAW_FIRST
    if name == "how-to" and _HOW_MUCH.match(read.text):
        return -_LAW_FIRST
    if name == "what-if" and _with_digits(read) and _WHAT_IF.fullmatch(read.text):
        return _LAST_WORD
    return 0


def _with_digits(read: ReadQuestion) -> bool:
    return any(word[:1].isdigit() for word in read.words)


def _fitting(
    read: ReadQuestion,
    state: AskedCase,
    tried: list[tuple[float, Callable[[], Message | None]]],
    named: AskedSubject | None,
) -> Message | None:
    """The answer that is of the most of what is asked; none where all leave too much of it out."""
    reader, kept, best = reader_of(state.judge), None, 0.0
    telling = [word for word in read.words if word not in reader.everyday]
    for score, function in tried:
        if kept is not None and score <= best:
            break
        found = function()
        if found is None:
            continue
        if found.intent == "what-if":  # what the ear did not take of it, it says itself
            return found if kept is None else kept
        if not found.subject and named is not None and found.intent != "verdict":
            found = replace(found, subject=named.id)
        spoken = _spoken_of(found, read, state)
        left = reader.left_over(read, found.intent, spoken, found.texts)
        whole = found.intent in _OF_ALL_SAID and (found.intent not in BASES_BY_KIND or not found.subject)
        bare = reader.uncovered(read, found.intent, spoken, found.texts, whole)
        if _of_something_else(bare, whole) or len(left) >= max(len(telling) / 2, 1):
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


#: An answer is none where the words left out times so many are as many as those that it is of; it says so from so many on.
_MOST_LEFT_OUT, _LEFT_OUT_SAID = 3, 4


def _fits(read: ReadQuestion, names: tuple[str, ...]) -> list[float]:
    return sorted((fit for name in names if (fit := read.kind(name))), reverse=True)


_SHORT, _LAW_FIRST, _FOLLOW_UP, _FEW_STRANGE, _SEVERAL = 4, 2, 2.5, 0, 2
#: So far ahead goes the figure of a step where a figure is asked for.
_OF_STEP = 2 * _LAW_FIRST
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
#: What is supposed at the end of a question goes ahead of what stands before.
_LAST_WORD = 9
#: Kinds in which it may be what was spoken of, and those in which a question without a subject goes on with the last.
_OF_IT = frozenset({"how-much", "how-to"})
_NO_TERM = ("what-if", "how-much")
#: How much is asked, whatever words follow.
_HOW_MUCH = re.compile(
    r"(?:(?:so|and|ok|okay|but) )*how "
    r"(?:much|many|far|long|low|high|deep|big|wide|old|fast|soon|often|warm|cold|tight|near|close)\b",
    re.IGNORECASE,
)
#: Kinds that a question with that word at its head is not of.
_NOT_BEHIND = {
    **dict.fromkeys(("may", "leave"), frozenset({"why", "how", "where", "when", "which", "who"})),
    "must": frozenset({"why", "how", "where", "which", "who"}),
}
_FROM_BEFORE = frozenset({"how-much", "how-to", "difference", "must"})


def _ready(answer: ReadyAnswer, state: AskedCase) -> Message | None:
    found = ready_text(answer, state)
    return replace(found, subject=answer.about[0].split("/")[0] if answer.about else answer.id) if found else None


def _followed(named: AskedSubject | None, state: AskedCase, read: ReadQuestion, before: Message) -> Message | None:
    """A follow-up: what was asked last, of something else."""
    rules, last = state.judge.rules, reader_of(state.judge).subjects.get(before.subject)
    elsewhere = any(each.subject.question == inputs.VEHICLE or each.subject.as_if for each in read.subjects)
    if before.intent == "how-much" and last is not None and last.limits and elsewhere:
        at_place = ANSWERS_BY_KIND["how-much"](last, state, read)
        return (
            at_place
            if at_place and at_place.intent == "how-much" and _zone_named(read)
            else figures_everywhere(last, state)
        )
    if before.intent in _OF_IT and last is not None and not last.question and (bare := _BARE.fullmatch(read.text)):
        units = (rules.limits[name].figures[0].unit for name in last.limits if name in rules.limits)
        with_unit = replace(read, text=f"{bare[1]} {next(units, '')}")
        return ANSWERS_BY_KIND["how-much"](last, state, with_unit)
    if named is None or before.intent not in ANSWERS_BY_KIND:
        return _what_if(replace(state, asked=_asked_before(before, state) or state.asked), read)
    return ANSWERS_BY_KIND[before.intent](named, state, read)


def _zone_named(read: ReadQuestion) -> bool:
    return any(inputs.INJURY_ZONE in each.subject.as_if for each in read.subjects)


#: A figure without a unit that goes on with the one before.
_BARE = re.compile(r"(?:(?:and|or|so|but|ok|okay|then|at|with|what about|how about)\W+)*(\d[\d./]*)\W*", re.I)
#: A figure with its unit and nothing else.
_FIGURE = re.compile(r"\d[\d./ ]*\s*[a-z\"%°]{0,8}\s*", re.I)


def _asked_before(before: Message, state: AskedCase) -> Key | None:
    """The question whose answer a what-if changed for a moment."""
    field = str(before.parts[0].get("field", "")) if before.intent == "what-if" and before.parts else ""
    subject = reader_of(state.judge).subjects.get(before.subject)
    name, _, index = (field or (subject.question if subject else "")).partition("[")
    question = state.judge.rules.questions.get(name)
    return (name, int(index.rstrip("]")) if index else state.key(question)[1]) if question else None


def _of_kind(
    name: str, subject: AskedSubject | None, state: AskedCase, read: ReadQuestion, before: Message | None
) -> Message | None:
    """What answers a kind of question; None where it has nothing to say of that subject."""
    found = None
    if name in ANSWERS_BY_KIND:
        found = ANSWERS_BY_KIND[name](subject, state, read)
    elif name in BASES_BY_KIND:
        found = BASES_BY_KIND[name](subject, state, read, before.sources if before else ())
    if found is not None or name in ANSWERS_BY_KIND or name in BASES_BY_KIND:
        known = subject is not None and not subject.weak and name != "verdict"
        return replace(found, subject=subject.id) if found and subject and known and not found.subject else found
    return _OF_THE_CASE[name](state, read) if name in _OF_THE_CASE else None


def _sure(state: AskedCase, read: ReadQuestion) -> Message:
    from advisor.explain.confidence import how_sure

    found = how_sure(state.judge, state.case, state.now)
    return replace(with_doubts(found, state.notes), intent="sure", subject="verdict")


def _safe(state: AskedCase, read: ReadQuestion) -> Message:
    sure = _sure(state, read)
    return replace(sure, blocks=(NEVER_SAFE, *sure.blocks), intent="safe")


def _least(state: AskedCase, read: ReadQuestion) -> Message:
    from advisor.explain.least_change import least_change

    found = least_change(state.judge, state.case, state.now)
    rests = tuple(f"{where(reason)}{reason.says}" for reason in (state.now.deciding or ())[:3])
    blocks = (*found.blocks[:1], *((Block("It rests on:", rests, "title"),) if rests else ()), *found.blocks[1:])
    return replace(found, blocks=blocks, intent="least")


def _could_be(state: AskedCase, read: ReadQuestion) -> Message:
    return replace(could_be(state.judge, state.case, state.now), intent="could-be")


def _why_order(state: AskedCase, read: ReadQuestion) -> Message:
    return replace(why_order(state.judge, state.case, state.now, state.asked, state.in_order), intent="why-now")


#: A distance from the center line, and one said to be positive: towards the serial side, as the question says.
_OFFSET = re.compile(
    r"\boffset\b|\bcent(?:er|re)\s?-?line\b"
    r"|\b(?:off|from|out from|out of)(?: the)? ?-?(?:middle|cent(?:er|re)\b(?! of))",
    re.IGNORECASE,
)
_PLUS = re.compile(r"(?:\bplus\s+|(?<!\S)\+\s*)(\d[\d./ ]*(?:mm|cm|inch(?:es)?|in\b|\")?)", re.IGNORECASE)


def _what_if(state: AskedCase, read: ReadQuestion) -> Message | None:
    """What another answer would bring, as the ear hears it; None where it hears none."""
    from advisor.explain.counterfactual import what_if

    judge, case = state.judge, state.case
    text = clause[1] if (clause := _LAST_CLAUSE.search(read.text)) else read.text
    match = _WHAT_IF.fullmatch(f"and {text}" if text[:1].isdigit() or _THE_SAME.match(text) else text)
    if match is None or OFF_BY.search(text):
        return None
    said = match["said"] or match["said2"] or match["said3"]
    said = _DID.sub(r"\1 \2s", _REST.sub("", said).removeprefix("say "))
    for start in _IT_WERE:
        if said.casefold().startswith(start):
            said = said[len(start) :]
            break
    kept = _supposed_before(state) if (same := _THE_SAME.match(said)) or _AND.match(text) else []
    said = said[same.end() :] if same else said
    of_offset = bool(_OFFSET.search(said))
    if of_offset:
        said = _PLUS.sub(r"\1 toward the serial side", said)
    hearing = state.listener or _hearing(judge)
    heard = hearing.hear(said, case, state.asked, facts=False)
    if not heard.understood and (renamed := _injury_named(said)) != said:
        heard, said = hearing.hear(renamed, case, state.asked, facts=False), renamed
    only = _only_figure(judge, case, said, hearing)
    if not heard.understood:
        heard = hearing.hear(said, case, only, facts=False)
    changes = [(one.key, one.answer) for one in heard.understood] or _typed(said, state) or _by_the_clock(said, state)
    if only is None and _FIGURE.fullmatch(said):  # a bare figure of which nothing here is known could be of several
        changes = [each for each in changes if case.get(judge.rules.questions[each[0][0]].over, each[0])]
    offsets = tuple(map(judge.rules.question_now, (inputs.OFFSET, inputs.REPAIR_OFFSET)))
    if of_offset and not any(key[0] in offsets for key, _ in changes):
        changes = _at_distance(said, state) or changes
    misplaced = of_offset and not any(key[0] in offsets for key, _ in changes)
    if not changes or misplaced:
        strong = next((each.subject for each in read.subjects if _can_be_otherwise(each.subject, state)), None)
        if strong is not None and not misplaced and not read.answers:
            found = matters(replace(strong, question="") if strong.as_if else strong, state, read)
            return replace(found, intent="what-if", subject=strong.id) if found else None
        return None
    if not _DENIES.search(said):
        changes += _named_besides(read, changes, state)
    elif whole := next((each.subject for each in read.subjects if each.subject.as_if and each.words > _SEVERAL), None):
        changes += _named_besides(
            replace(read, subjects=tuple(s for s in read.subjects if s.subject is whole)), changes, state
        )
    changes += [each for each in kept if each[0] not in {key for key, _ in changes}]
    found = zone_holds(what_if(judge, case, state.now, _past(changes, said)), changes, state)
    if heard.not_understood:
        left = "; ".join(f'"{each}"' for each in heard.not_understood)
        found = replace(found, blocks=(f"Not taken into account, as it was not understood: {left}", *found.blocks))
    return replace(found, intent="what-if", subject=changes[0][0][0])


def _supposed_before(state: AskedCase) -> list[tuple[Key, Answer]]:
    """The answers that the what-if before supposed."""
    found = list[tuple[Key, Answer]]()
    for part in state.before.parts if state.before is not None and state.before.intent == "what-if" else ():
        name, _, index = str(part.get("field", "")).partition("[")
        question = state.judge.rules.questions.get(name)
        if question is not None and question.kind == "measure" and part.get("then") is not None:
            with suppress(Misread):
                key = (name, int(index.rstrip("]")) if index else state.key(question)[1])
                found.append((key, read_typed(question, str(part["then"]))))
    return found


_DENIES = re.compile(r"\b(?:no|not|never|without|none)\b|n't\b", re.I)


def _named_besides(read: ReadQuestion, changes: list[tuple[Key, Answer]], state: AskedCase) -> list[tuple[Key, Answer]]:
    """What a question names that would be an answer too, where nothing of that question was supposed yet."""
    known, found = {key[0] for key, _ in changes}, list[tuple[Key, Answer]]()
    for name, choice in (pair for each in read.subjects for pair in each.subject.as_if.items()):
        of = state.judge.rules.questions[name]
        if name not in known:
            known.add(name)
            found.append((state.key(of), given_besides(of, choice, state.case.get(of.over, state.key(of)))))
    return found


#: A figure that is said to lie past what is named.
_BEYOND = re.compile(r"\b(?:over|above|past|beyond|(?:more|bigger|larger|wider|steeper|deeper|longer) than)\s+\d", re.I)
_SHORT_OF = re.compile(r"\b(?:under|below|(?:less|smaller|narrower|lower) than)\s+\d", re.I)


def _past(changes: list[tuple[Key, Answer]], said: str) -> list[tuple[Key, Answer]]:
    """Where one figure is said to be over or under what is named, it is just past it."""
    words = "over" if _BEYOND.search(said) else "under" if _SHORT_OF.search(said) else ""
    if not words or len(changes) != 1:
        return changes
    (key, given), reading = changes[0], reading_of(changes[0][1])
    if reading is None or not reading.exact or given is not reading:
        return changes
    place = reading.low + (JUST if words == "over" else -JUST)
    return [(key, replace(reading, low=place, high=place, typed=f"{words} {reading}"))]


def _can_be_otherwise(subject: AskedSubject, state: AskedCase) -> bool:
    """Whether a subject is an answer that may be supposed, or a question whose choices may be gone through."""
    question = state.judge.rules.questions.get(subject.question)
    return bool(subject.as_if) or (not subject.weak and question is not None and question.kind == "choice")


def _at_distance(said: str, state: AskedCase) -> list[tuple[Key, Answer]]:
    """The one injury at another distance from the center line, on the side where it is."""
    rules = state.judge.rules
    question = rules.questions.get(rules.question_now(inputs.OFFSET))
    if question is None or len(state.case.injuries) != 1:
        return []
    given, old = (
        _worst_figure(question, said, sure=True),
        reading_of(state.case.get(question.over, state.key(question))),
    )
    reading = reading_of(given)
    if given is None or reading is None:
        return []
    other_side = old is not None and old.high < 0 < reading.low
    return [
        (state.key(question), replace(reading, low=-reading.high, high=-reading.low, typed="") if other_side else given)
    ]


#: How something is supposed to turn up.
_IS_FOUND = re.compile(
    r"\bif (?:i|we|he|you) (?:find|found|see|saw|spot|notice|discover)\b"
    r"|\bif (?:there's|theres|there is|there are|there were)\b",
    re.IGNORECASE,
)
#: Words by which a figure is supposed, or read anew.
_SUPPOSES = re.compile(
    r"^(?:(?:and|so|but|ok|then),? )*(?:say|suppose|supposing|if|new hole|same hole|what about|how about)\b"
    r"|^(?:(?:it's|its|it is|it was|it measured) (?:more like )?)?\d"
    r"|\b(?:opens?|opened|ends?|ended|comes?|came|turns?|turned|goes|went|grows?|grew|drills?|drilled|reams?|reamed) "
    r"(?:it |this |that )?(?:up|out|to|at|be)\b|\breally\b|\bproperly\b"
    r"|\b(?:calipers?|tape|ruler|gauge|protractor) (?:said|says|reads?|shows?|showed)\b"
    r"|\bonly \d|\bjust \d|\binstead of\b",
    re.IGNORECASE,
)
_SUPPOSED_FIGURE = re.compile(
    r"(?<![\w.:/])(\d+(?:[./]\d+)?(?: \d+/\d+)?)"
    r"(?:\s*(mm|cm|inch(?:es)?|in(?= |$)|\"|deg(?:rees?)?|32nds?|psi|bar|kpa)(?!\w)"
    r"|(?=\s*(?:[?.,;!-](?!\d)|$|(?:off|out|from|when|if|then|instead|or|and|now|does|is|would)\b)))",
    re.IGNORECASE,
)
#: By its unit, or by a word beside it, what a figure is of.
_OF_UNIT = (
    (r"\bapart\b|\bbetween them\b", inputs.APART_ALONG),
    (r"deg|°|\blean|\bangle|\bslant", inputs.INJURY_ANGLE),
    (r"psi|bar\b|kpa", inputs.FOUND_PRESSURE),
    (r"32nd|\btread\b", inputs.TREAD_DEPTH),
    (r"\bgauge (?:said|says|reads?|showed|shows)\b", inputs.FOUND_PRESSURE),
    (
        r"\b(?:nail|hole|injury|screw) (?:was |is |were |sat |sits )?at \d"
        r"|(?:off|from|out from) the (?:middle|cent(?:er|re)\b)|offset",
        inputs.OFFSET,
    ),
    (r"\blong\b|\blength\b", inputs.INJURY_LENGTH),
    (r"\bdeep\b|\bdepth\b", inputs.INJURY_DEPTH),
    (
        r"\b(?:hole|nail|injury|burr|calipers?|drill\w*|ream\w*|wide|it|its)\b|^\d|\d ?(?:mm|in)\b",
        inputs.INJURY_SIZE,
    ),
)


def _supposed(state: AskedCase, read: ReadQuestion, sure: bool) -> Message | None:
    """What a figure would bring that is supposed or read anew: of what is named, by its unit, else of the injury."""
    from advisor.explain.counterfactual import what_if

    rules, text = state.judge.rules, read.text
    if OFF_BY.search(text) or any(each.subject.question == inputs.VEHICLE for each in read.subjects):
        return None
    clause = text.rpartition(" if ")[2] if re.search(r" if .*\d", text) else text
    changes = _by_the_clock(re.sub(r"\binstead of .*", "", clause), state)
    name = next((name for words, name in _OF_UNIT if re.search(words, text, re.IGNORECASE)), "")
    question = rules.questions.get(rules.question_now(name)) if name else None
    if not changes and question is not None:
        given = _worst_figure(question, clause, sure)
        key = state.key(question)
        old = state.case.get(question.over, key)
        several = question.over == "injuries" and len(state.case.injuries) != 1
        if given is None or old is None or several:
            return None
        changes = [(key, given)]
    if not changes:
        return None
    changes += _named_besides(read, changes, state)
    key, given = changes[0]
    if len(changes) == 1 and same_figure(given, state.case.get(rules.questions[key[0]].over, key)):
        return _figure_of(key[0], state, read)
    found = what_if(state.judge, state.case, state.now, _past(changes, clause))
    return replace(found, intent="what-if", subject=changes[0][0][0])


def _worst_figure(question: Question, text: str, sure: bool) -> Answer | None:
    """The figure that a text supposes for a question; of several the worst; none where one is of something else."""
    found = [f"{figure} {unit}".strip() for figure, unit in _SUPPOSED_FIGURE.findall(text) if sure or unit]
    if question.kind != "measure" or not found:
        return None
    with suppress(Misread):
        given = [read_typed(question, each) for each in found]
        low = question.id in (inputs.TREAD_DEPTH, inputs.FOUND_PRESSURE)
        unit = reading_of(given[0])
        if unit is not None:
            return (min if low else max)(given, key=lambda each: reading_of(each).to(unit.unit).low)  # type: ignore[union-attr]
    return None


def _figure_of(name: str, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What counts for a figure that stands as it is given."""
    own = (each for each in reader_of(state.judge).subjects.values() if each.question == name and not each.weak)
    subject = next((each for each in own if each.limits), None)
    found = ANSWERS_BY_KIND["how-much"](subject, state, read) if subject else None
    return replace(found, subject=subject.id) if found and subject else None


def _as_found(subject: AskedSubject, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What a finding would bring that may still turn up."""
    if inputs.INJURY_ZONE in subject.as_if or not subject.as_if:
        return None
    found = matters(replace(subject, question=""), state, read)
    return replace(found, intent="what-if", subject=subject.id) if found else None


#: An injury spoken of by its number, and a place by the clock.
_ORDINALS = (
    ("1", r"\b(?:the )?(?:first|1st) (?:one|nail|hole|injury|screw)\b"),
    ("2", r"\b(?:the )?(?:second|2nd|other) (?:one|nail|hole|injury|screw)\b"),
)
_AT_CLOCK = re.compile(r"\b(?P<hour>\d{1,2})(?::(?P<minute>\d\d))?\s*o'?\s?clock\b", re.I)


def _injury_named(said: str) -> str:
    for number, ordinal in _ORDINALS:
        said = re.sub(ordinal, f"injury {number}", said, flags=re.I)
    return said


def _by_the_clock(said: str, state: AskedCase) -> list[tuple[Key, Answer]]:
    """An injury at another place by the clock."""
    question, match = state.judge.rules.questions.get(inputs.CLOCK), _AT_CLOCK.search(said)
    if question is None or match is None or not state.case.injuries:
        return []
    number = re.search(r"injury (\d)", said)
    index = min(int(number[1]) if number else len(state.case.injuries), len(state.case.injuries)) - 1
    with suppress(Misread):
        return [((question.id, index), read_typed(question, f"{match['hour']}:{match['minute'] or '00'}"))]
    return []


def _typed(said: str, state: AskedCase) -> list[tuple[Key, Answer]]:
    """A bare figure or word as another answer to the question that was changed last."""
    if state.asked is None:
        figured = {
            r.key for r in state.now.deciding if r.limit is not None and state.judge.rules.questions.get(r.key[0])
        }
        if len(figured) != 1 or not said.strip(" ?.")[:1].isdigit():
            return []
        state = replace(state, asked=figured.pop())
    assert state.asked is not None
    question = state.judge.rules.questions[state.asked[0]]
    bare = re.sub(r"\b(?:exactly|just|at|only|with|like|dead|on|flat)\b", "", said).strip(" ,?")
    for text in (bare, f"{bare}:00" if question.kind == inputs.CLOCK_KIND else bare):
        with suppress(Misread):
            return [(state.asked, read_typed(question, text))]
    return []


def _unclear(said: str, state: AskedCase) -> Message:
    heard = (state.listener or _hearing(state.judge)).hear(said, state.case, state.asked, facts=False)
    back = tuple(f"{state.judge.rules.questions[ask.key[0]].name}: {ask.why}" for ask in heard.asks_back)
    unclear = Block(f'What would be different is not clear from "{shown(said, 80)}".', back)
    return Message("complaint", (unclear, "Say it with its name: what if the angle were 30 degrees?"), intent="what-if")


_OF_THE_CASE: dict[str, Callable[[AskedCase, ReadQuestion], Message | None]] = {
    "what-if": _what_if,
    "sure": _sure,
    "safe": _safe,
    "least": _least,
    "could-be": _could_be,
    "why-now": _why_order,
}


def _only_figure(judge: Judge, case: Case, said: str, hearing: Listener) -> Key | None:
    """For a bare figure the one answer of its kind of measure; where none was given, the one question."""
    from advisor.explain.sufficient_reason import answered_keys
    from advisor.nlu.sentence_figures import figure_at
    from advisor.nlu.tokenizer import tokens_of

    tokens = tokens_of(said)
    figure = figure_at(tokens, 0, hearing.lexicon) if tokens else None
    if figure is None or not figure.quantity:
        return None
    fitting = [
        key
        for key in answered_keys(case, judge.rules)
        if judge.rules.questions[key[0]].quantity == figure.quantity and judge.rules.questions[key[0]].kind == "measure"
    ]
    if not fitting:
        held = {
            leaf.subject for ruling in judge.rules.rulings() for leaf in leaves(ruling.when) if leaf.test == "beyond"
        }
        of_kind = [each for each in judge.rules.questions.values() if each.quantity == figure.quantity]
        named = [each for each in of_kind if each.id in held] or of_kind
        fitting = [(each.id, TIRE if each.over == "tire" else 0) for each in named]
    return fitting[0] if len(fitting) == 1 else None


def question_back(consultation: Consultation, text: str) -> list[Message]:
    """The answer to a question back; nothing where the text is none. It keeps what was asked, for a follow-up."""
    here = consultation.judge, consultation.case, consultation.judgement
    before, asked = consultation.state.answered_last, consultation.question_key
    doubts = tuple(doubts_noted(consultation.notes))
    found = told(*here, text, consultation.listener, asked, before, doubts, consultation.in_order)
    if found is None:
        return []
    if found.kind != "complaint":
        consultation.become(replace(consultation.state, answered_last=found))
    stated = _STATED.search(text)
    if stated and found.intent != "what-if" and _tells_anew(consultation, text[stated.start() :]):
        consultation.become(consultation.state.noting(f"{NOTED_ONLY}{shown(text, LONGEST_KEPT)}"))
        return [found, Message("note", (IF_SO,))]
    if found.intent not in _OF_NO_TIRE and _names_a_finding(consultation, text):
        return [found, Message("note", (IF_SO,))]
    return [found]


#: Where a question goes on as a statement: may I repair it, there is a hole in the shoulder too.
_STATED = re.compile(
    r"(?:[,;.]|\b(?:though|because|when|but|and|who|that|if)\b)\s*"
    r"(?:mine|it|there|this|that|i|we|he|she|they|its|theres|the\s+\w+|tread|cord|bead|belt|drove|is)\b\S*\s+\w",
    re.I,
)


#: Kinds of question that say nothing of the tire in hand, whatever they name.
_OF_NO_TIRE = frozenset({"what-is", "difference", "what-if", "how-to", "show"})
IF_SO = "A question counts for nothing. If that is so on this tire, say it as a sentence."


def _tells_anew(consultation: Consultation, part: str) -> bool:
    """Whether what a question goes on to state tells something that was not answered so."""
    case, heard = consultation.case, consultation.listener.hear(part, consultation.case)
    told = any(case.get(one.over, one.key) != one.answer for one in (*heard.understood, *heard.proposed))
    return told or bool(heard.passed_over) or bool(heard.asks_back and not heard.understood)


def _names_a_finding(consultation: Consultation, text: str) -> bool:
    """Whether a question names something bad that could be found, and that was not told to be there."""
    case, rules = consultation.case, consultation.judge.rules
    named = [
        each for found in reader_of(consultation.judge).read(text).subjects for each in found.subject.as_if.items()
    ]
    heard = consultation.listener.hear(text.replace("?", ""), case, facts=False)
    named += [
        (one.key[0], choice)
        for one in (*heard.understood, *heard.proposed)
        for choice in (one.answer.present if isinstance(one.answer, Choices) else [str(one.answer)])
    ]
    for name, choice in named:
        question = rules.questions[name]
        told = [each.get(name) for each in (case.answers, *case.injuries)]
        if question.kind == "choices" and not any(
            isinstance(each, Choices) and choice in each.present for each in told
        ):
            return True
        if choice == "yes" and question.worse_order[:1] != ("yes",) and Choice("yes") not in told:
            return True
    return False


def narrowest(consultation: Consultation) -> Message:
    """What it could still be, and the open question whose answers leave the fewest verdicts."""

    return Message("help", could_be(consultation.judge, consultation.case, consultation.judgement).blocks)


def could_be(judge: Judge, case: Case, now: Judgement) -> Message:
    """The verdicts still possible, what is still to be asked, and which of it narrows most."""
    ends = " or ".join(str(verdict).upper() for verdict in now.could_end)
    lines: list[Said] = [
        f"It could still end as {ends}." if len(now.could_end) > 1 else f"It ends as {ends}, whatever is open."
    ]
    open_names = questions_in_words(now.missing, judge.rules)
    if open_names:
        lines.append(f"Still open: {'; '.join(open_names)}.")
    if now.measure_again and not open_names:
        lines.append(f"Measure again: {'; '.join(questions_in_words(now.measure_again, judge.rules))}.")
    best = narrows_most(judge, case, now)
    if open_names:
        lines.append(_narrowing(best, now))
    parts = tuple({"question": label_of(key, judge.rules), "role": "open"} for key in now.missing)
    most = ({"question": label_of(best.key, judge.rules), "role": "narrows most", "left": best.left},) if best else ()
    ended = tuple({"verdict": str(verdict), "role": "possible"} for verdict in now.could_end)
    return Message("how-sure", tuple(lines), parts=(*ended, *most, *parts))


def _narrowing(best: Narrowing | None, now: Judgement) -> Said:
    if best is None:
        return "No single answer was found that would narrow it."
    leave = f"Its answers leave {best.left:.1f} of {len(now.could_end)} verdicts open on average."
    return Block(f"It narrows most to know: {best.name}.", (leave,))


def _why_now(judge: Judge, now: Judgement, prompts: list[AskedTogether]) -> Message:
    """Why a prompt comes now: what waits for it, what it takes, what comes after it."""
    keys, *others = (prompt.keys for prompt in prompts)
    rules = judge.rules
    waiting = [each for each in now.possible if each.ruling and each.keys & set(keys)]
    scrap = sum(Verdict.SCRAP in each.verdicts for each in waiting)
    total = sum(each.ruling is not None for each in now.possible)
    names = "; ".join(questions_in_words(keys, rules))
    wait = f"{len(waiting)} of the {total} rulings that could still decide wait for it; {scrap} of them may bring scrap"
    why = "of all that may come next this is expected to settle most for the least effort"
    if settled_now(now, judge):
        why = "the verdict is settled, and this is for a whole record"
    elif prompts[0].begun:
        why = "begun already, and what belongs together is finished first"
    lines = [f"{names[:1].upper()}{names[1:]}: {why}.", f"{wait}."]
    here = {key[0] for key in keys}
    to_come = dict.fromkeys(name for name, _ in now.walk.to_ask if here & {*rules.questions[name].after})
    if to_come:
        lines.append(f"It has to be known ahead of: {'; '.join(rules.questions[name].name for name in to_come)}.")
    if others:
        lines.append(f"After it: {'; '.join(questions_in_words(others[0], rules))}.")
    lines.append(
        "How often an answer comes up, and what it takes to find, is this program's own estimate. "
        "In any order the same answers bring the same verdict."
    )
    return Message("why", tuple(lines), parts=({"question": label_of(keys[0], rules), "prompt": len(keys)},))


def why_order(judge: Judge, case: Case, now: Judgement, asked: Key | None, in_order: bool = False) -> Message:
    """Why the open question comes now: it settles most, or the rules fix the order, or it narrows most of the free."""
    prompts = [] if in_order else order_of(judge).prompts(case, now, frozenset())
    key = asked or next((prompt.keys[0] for prompt in prompts if now.missing), None) or next(iter(now.missing), None)
    if key is None:
        return Message("why", ("No question is open.",))
    if prompts and key in prompts[0].keys:
        return _why_now(judge, now, prompts)
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
    return Message("why", tuple(lines), parts=({"question": label_of(key, judge.rules)},))
