"""What a question supposes: another answer for a moment, as the ear hears it, by its figure or by what is named."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING

from msgspec.structs import replace

from advisor.dialogue.figure_off import figure_is_of, figure_is_off, figure_off, same_figure, zone_holds
from advisor.dialogue.figures_meant import meant
from advisor.dialogue.supposition import (
    figures_left,
    heard_besides,
    in_from_the_edge,
    not_heard,
    said_plainly,
    under_one_name,
)
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import value_in_words
from advisor.explain.asked_case import NOTHING_FOUND, AskedCase, given_besides, status_line
from advisor.explain.injury_named import left_unnamed
from advisor.explain.question_answers import ANSWERS_BY_KIND, matters
from advisor.explain.question_reader import ReadQuestion, forms_of, reader_of
from advisor.explain.sensitivity import JUST
from advisor.explain.sentence_forms import FIGURE, Forms
from advisor.explain.why_not import reading_of
from advisor.loader.answer_codec import read_typed
from advisor.model import inputs
from advisor.model.asked import AskedSubject
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choices, Key
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import HAZARDS, Question, RuleSet, leaves
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, headline
from advisor.wording.verdict_card import questions_in_words, where

if TYPE_CHECKING:
    from advisor.nlu.pipeline import Listener

_Tried = list[tuple[float, Callable[[], Message | None]]]
#: What is supposed in so many words goes ahead of what else is asked.
LAST_WORD = 9
#: A name of so many words is a whole thing that may be denied.
_SEVERAL = 2
#: How far a what-if that stands last is from what is asked before it.
_SENTENCE_END = r"[?.;!]\s*"


def supposed_last(read: ReadQuestion, state: AskedCase) -> _Tried:
    """What is supposed in so many words, whatever else is asked: a figure that is off, a what-if that stands last."""
    tried: _Tried = []
    if figure_is_off(read.text, state.judge.rules):
        tried.append((2 * LAST_WORD, partial(figure_off, state, read)))
    if read.kind("without-finding") and not read.kind("leave"):
        tried.append((2 * LAST_WORD, partial(without_findings, state, read)))
    if in_from_the_edge(read.text, state)[0] and not read.kind("what-if"):
        tried.append((2 * LAST_WORD, partial(told_and_supposed, state, read)))
    forms = forms_of(state.judge.rules)
    if behind_correction(read.text, forms) or forms.has("swapped", read.text):
        tried.append((2 * LAST_WORD, partial(told_and_supposed, state, read)))
    if _last_clause(read.text, state) != read.text:
        tried.append((LAST_WORD, partial(what_if_asked, state, read)))
    return tried


def told_and_supposed(state: AskedCase, read: ReadQuestion) -> Message | None:
    """What a line that states something would bring, as a what-if; None where nothing of it is heard."""
    forms = forms_of(state.judge.rules)
    text = behind_correction(read.text, forms) or read.text
    found = what_if_asked(state, replace(read, text=f"{forms.supposing} {text}"))
    if found is None or found.kind == "complaint":
        return None
    answers = [each for each in found.parts if str(each.get("field")).partition("[")[0] in state.judge.rules.questions]
    return None if answers and all(each.get("now") == each.get("then") for each in answers) else found


def states_ahead(text: str, forms: Forms) -> tuple[str, str]:
    """What a line states ahead of a last clause that asks only whether that will do, and that clause."""
    match = forms.around("asks-if-so", r"^(?P<states>.*\w)\s*[,.;:!-]+\s*(?:so\W+)?(?P<tag>", r"\W*)$").match(text)
    return (match["states"], match["tag"]) if match is not None else (text, "")


def behind_correction(text: str, forms: Forms) -> str:
    """What stands behind the words that take an answer back: no wait, my bad; empty where a text begins with none."""
    rest = forms.around("corrects", r"^\W*(?:(?:and|so|but|ok|okay|no)\W+)*", r"(?:\W+|$)")
    behind = text
    while (match := rest.match(behind)) is not None and match.end() < len(behind):
        behind = behind[match.end() :]
    return behind if behind != text else ""


def _last_clause(text: str, state: AskedCase) -> str:
    """A what-if that stands last, behind another question; the whole of a text that has none."""
    found = forms_of(state.judge.rules).around("supposing-if", _SENTENCE_END, r".+$").search(text)
    return re.sub(rf"^{_SENTENCE_END}", "", found[0]) if found else text


def what_if_asked(state: AskedCase, read: ReadQuestion) -> Message | None:
    """What another answer would bring, as the ear hears it; None where it hears none."""
    from advisor.explain.counterfactual import what_if

    judge, case, forms = state.judge, state.case, forms_of(state.judge.rules)
    text = _last_clause(read.text, state)
    bare = text[:1].isdigit() or forms.begins("same-as-before", text)
    supposed = what_is_supposed(f"and {text}" if bare else text, state)
    if supposed is None or figure_is_off(text, judge.rules):
        return None
    said = forms.around("supposed-until", r"(?<=\w)\s*[,;-]?\s*", r".*$").sub("", supposed)
    said = forms.around("it-were", r"^(?:say\s+)?", r"\s+").sub("", said)
    same = forms.begins("same-as-before", said)
    kept = _kept(state, text, bool(same))
    said = said_plainly(said[same.end() :].lstrip(" ,") if same else said, forms)
    of_offset = forms.has("off-center", said)
    if of_offset:
        said = forms.around("plus", "", rf"\s*({FIGURE}\s*{forms.unit}?)").sub(r"\1 toward the serial side", said)
    if _ONE_OR_OTHER.search(said) and (worst := supposed_figure(state, read, True)) is not None:
        return worst
    edge, in_one_name = in_from_the_edge(said, state)
    told, rest = ([], said) if edge else meant(said, state)
    changes, left = (edge, []) if edge else _heard(rest, read, state) if rest else ([], [])
    if told:
        left = left if changes else []
        changes = [*(each for each in changes if each[0] not in dict(told)), *told]
    offsets = tuple(map(judge.rules.question_now, (inputs.OFFSET, inputs.REPAIR_OFFSET)))
    misplaced = of_offset and not any(key[0] in offsets for key, _ in changes)
    if misplaced and (placed := _at_distance(said, state)):
        changes, misplaced = placed, False
    if not changes or misplaced:
        strong = next((each.subject for each in read.subjects if _can_be_otherwise(each.subject, state)), None)
        if strong is not None and not misplaced and not read.answers:
            found = matters(replace(strong, question="") if strong.as_if else strong, state, read)
            return replace(found, intent="what-if", subject=strong.id) if found else None
        return None
    if not (edge or told) and (lost := figures_left(said, changes, state)):
        return _not_every_figure(said, lost)
    changes += [] if told else _besides_of(read, changes, state)
    if not (edge or told) and _is_of_another(read, changes, left, state):
        return supposed_figure(state, read, True)
    changes += [each for each in kept if each[0] not in {key for key, _ in changes}]
    found = zone_holds(what_if(judge, case, state.now, _past(changes, said, state)), changes, state)
    if in_one_name:
        found = under_one_name(found, edge, in_one_name, judge)
    if left:
        found = replace(found, blocks=(*_only_part(left), *found.blocks))
    return replace(found, intent="what-if", subject=changes[0][0][0])


def _heard(said: str, read: ReadQuestion, state: AskedCase) -> tuple[list[tuple[Key, Answer]], list[str]]:
    """The answers that a supposition stands for, and the words of it that nothing was made of."""
    judge, case, forms = state.judge, state.case, forms_of(state.judge.rules)
    hearing, told_of = state.listener or _hearing(judge), case
    if state.injury is not None:
        said, told_of = left_unnamed(said, forms), replace(case, injuries=(case.injuries[state.injury],))
    heard = hearing.hear(said, told_of, state.asked, facts=False)
    only = _only_figure(judge, told_of, said, hearing)
    if not heard.understood:
        heard = hearing.hear(said, told_of, only, facts=False)
    if by_it := _meant_by_it(said, read, state):
        return (_nearest_answer(said, state) if _is_far_from_the_width(said, by_it, state) else by_it), []
    besides, left = heard_besides(said, told_of, state, hearing)
    if not (heard.understood or (read.kind("supposes") and any(map(reading_of, dict(besides).values())))):
        besides = []
    changes = [(_of_named(one.key, state), one.answer) for one in heard.understood]
    known = {key for key, answer in changes if answer is not CANT_TELL or not besides}
    changes = [each for each in changes if each[0] in known]
    changes += [(key, answer) for one, answer in besides if (key := _of_named(one, state)) not in known]
    changes = changes or _typed(said, state) or _by_the_clock(said, state) or _of_what_is_open(said, state)
    if _is_far_from_the_width(said, changes, state):
        changes = _nearest_answer(said, state)
    if only is None and _BARE_FIGURE.fullmatch(said):  # a bare figure of which nothing is known could be of several
        changes = [each for each in changes if case.get(judge.rules.questions[each[0][0]].over, each[0])]
    return changes, not_heard(left, changes, state) if besides else list(heard.not_understood)


def _is_far_from_the_width(said: str, changes: list[tuple[Key, Answer]], state: AskedCase) -> bool:
    """Whether a figure without a unit, heard as the width for want of a name, is nowhere near what was measured."""
    if [key[0] for key, _ in changes] != [inputs.INJURY_SIZE] or not _NO_UNIT.fullmatch(said.strip(" ,?.")):
        return False
    old, new = reading_of(state.case.get("injuries", changes[0][0])), reading_of(changes[0][1])
    return old is not None and new is not None and new.low > _TIMES_AS_WIDE * old.to(new.unit).high


def _nearest_answer(said: str, state: AskedCase) -> list[tuple[Key, Answer]]:
    """The one measured answer that a figure without a unit lies close to, with that figure instead."""
    from advisor.explain.sufficient_reason import answered_keys

    rules, found = state.judge.rules, list[tuple[Key, Answer]]()
    for key in answered_keys(state.case, rules):
        question = rules.questions[key[0]]
        old = reading_of(state.case.get(question.over, key))
        figure = _NO_UNIT.search(said)
        if old is None or figure is None or question.kind != "measure":
            continue
        with suppress(Misread):
            given = read_typed(question, f"{figure['bare']} {old.unit}")
            new = reading_of(given)
            if new is not None and abs(new.low - old.low) <= old.low / _TIMES_AS_WIDE:
                found.append((key, given))
    found = [each for each in found if each[0][0] != inputs.SET_PRESSURE] or found
    return found if len(found) == 1 else []


#: A figure without a unit, by itself; so many times the width measured it is of something else.
_NO_UNIT = re.compile(r"(?:[a-z' ]+\s)?(?P<bare>\d[\d./]*)", re.I)
_TIMES_AS_WIDE = 2 * _SEVERAL


def _besides_of(read: ReadQuestion, changes: list[tuple[Key, Answer]], state: AskedCase) -> list[tuple[Key, Answer]]:
    """What is named besides; where something is denied only a thing that is named in several words."""
    if not read.kind("denies"):
        return _named_besides(read, changes, state)
    whole = next((each.subject for each in read.subjects if each.subject.as_if and each.words > _SEVERAL), None)
    if whole is None:
        return []
    return _named_besides(replace(read, subjects=tuple(s for s in read.subjects if s.subject is whole)), changes, state)


def _is_of_another(
    read: ReadQuestion, changes: list[tuple[Key, Answer]], left: Sequence[str], state: AskedCase
) -> bool:
    """Whether a figure heard as the width is said to be of something else."""
    of_another = figure_is_of(read, state) not in ("", *(key[0] for key, _ in changes))
    one_more = changes[0][0][1] >= len(state.case.injuries)
    return of_another and [key[0] for key, _ in changes] == [inputs.INJURY_SIZE] and bool(left or one_more)


def _only_part(left: Sequence[str]) -> tuple[str, str]:
    words = "; ".join(f'"{each}"' for each in left)
    return f"Not taken into account, as it was not understood: {words}", ONLY_PART


#: Ahead of what only a part of a supposition would bring.
ONLY_PART = "So this answers only the part that follows; all of it together may end otherwise."


def _of_named(key: Key, state: AskedCase) -> Key:
    """The same question of the injury that is asked about."""
    return key if state.injury is None else state.key(state.judge.rules.questions[key[0]])


def without_findings(state: AskedCase, read: ReadQuestion) -> Message | None:
    """How it would stand without what the inspection found, or without what is named of it."""
    from advisor.explain.counterfactual import what_if

    judge, rules, case = state.judge, state.judge.rules, state.case
    question = rules.questions.get(rules.question_now(inputs.FINDINGS))
    given = case.get("tire", (question.id, TIRE)) if question is not None else None
    if question is None or not isinstance(given, Choices):
        return None
    of = {each.subject.as_if[question.id]: each.subject for each in read.subjects if question.id in each.subject.as_if}
    named = given.present & of.keys()
    gone = named or (given.present if forms_of(rules).has("found-word", read.text) else frozenset[str]())
    some = _signs_named(gone or given.present, read, state)
    if not gone and not some:
        return None
    if some:
        found = what_if(judge, case, state.now, some)
        return replace(found, blocks=(status_line(state), *found.blocks), intent="what-if", subject=question.id)
    left = Choices(given.present - gone, None if given.absent is None else given.absent | gone)
    then_case = case.with_answer("tire", (question.id, TIRE), left)
    by_finding = {one: each for each in rules.subjects.values() for one in (each.as_if.get(question.id),) if one}
    for name in gone:
        looked = rules.questions.get(by_finding[name].question) if name in by_finding else None
        if looked is not None and isinstance(case.get(looked.over, state.key(looked)), Choices):
            then_case = then_case.with_answer(looked.over, state.key(looked), Choices(frozenset()))
    then = judge.judge(then_case)
    names = value_in_words(Choices(gone), question)
    reasons = tuple(f"{where(reason)}{reason.says}" for reason in (then.deciding or ())[:3])
    warns = [judge.caution_in_words(name, then) for name in _worst_first(then, state)]
    blocks: list[Said] = [
        status_line(state),
        f"{WHAT_WAS_FOUND} Had there been none of it ({names}), with all else as it is: {headline(then, judge)}",
        *([Block("It would rest on:", reasons, "title")] if reasons else []),
        *([Block("It would warn besides:", tuple(warns), "title")] if warns else []),
    ]
    if then.missing and not then.settled:
        blocks.append(Block("To be answered then:", tuple(questions_in_words(then.missing, rules)[:4]), "title"))
    sources = tuple((reason.says, reason.basis) for reason in then.deciding or ())
    return Message("what-if", tuple(blocks), intent="what-if", sources=sources, subject=question.id)


def _signs_named(gone: frozenset[str], read: ReadQuestion, state: AskedCase) -> list[tuple[Key, Answer]]:
    """The signs of a finding without those that are named, where others of them are left: no dust, but the stain."""
    rules, words = state.judge.rules, reader_of(state.judge.rules).words
    of = (each for each in rules.subjects.values() if gone & {*each.as_if.values()} and each.question)
    for name in dict.fromkeys(each.question for each in of):
        signs, key = rules.questions[name], state.key(rules.questions[name])
        given = state.case.get(signs.over, key)
        if not isinstance(given, Choices):
            continue
        stems = {each.id: {*words.stems(each.says)} for each in signs.choices if each.id in given.present}
        named = {
            sign
            for sign, own in stems.items()
            if {*read.words} & own.difference(*(other for one, other in stems.items() if one != sign))
        }
        if named and named != given.present:
            return [(key, Choices(given.present - named, frozenset(named)))]
    return []


def _worst_first(then: Judgement, state: AskedCase) -> list[str]:
    cautions = state.judge.rules.cautions
    new = [name for name in then.cautions if name not in state.now.cautions]
    return sorted(new, key=lambda name: HAZARDS.index(cautions[name].hazard))[:_SEVERAL]


WHAT_WAS_FOUND = "What was found counts, and the verdict stays."


def what_is_supposed(text: str, state: AskedCase) -> str | None:
    """What a question supposes, without the words that suppose it; None where it is no what-if."""
    return forms_of(state.judge.rules).said("what-if", text)


#: One figure or another: the worse one counts.
_ONE_OR_OTHER = re.compile(r"\d\s*\w*\s+or\s+\d", re.I)
#: A figure with its unit and nothing else.
_BARE_FIGURE = re.compile(r"\d[\d./ ]*\s*[a-z\"%°]{0,8}\s*", re.I)


def asked_before(state: AskedCase) -> Key | None:
    """The question that was spoken of last, or whose answer a what-if changed for a moment."""
    before = state.before
    if before is None:
        return None
    field = str(before.parts[0].get("field", "")) if before.intent == "what-if" and before.parts else ""
    subject = reader_of(state.judge.rules).subjects.get(before.subject)
    name, _, index = (field or (subject.question if subject else "")).partition("[")
    question = state.judge.rules.questions.get(name)
    return (name, int(index.rstrip("]")) if index else state.key(question)[1]) if question else None


def _meant_by_it(said: str, read: ReadQuestion, state: AskedCase) -> list[tuple[Key, Answer]]:
    """A figure with its unit and nothing else as another answer to what was spoken of last, else to what it is of."""
    rules = state.judge.rules
    bare = forms_of(rules).around("just-figure").sub("", said).strip(" ,?.")
    last, of = asked_before(state), figure_is_of(read, state)
    named = rules.questions.get(rules.question_now(of)) if of and state.asked is None else None
    if not _BARE_FIGURE.fullmatch(bare):
        return []
    for key in filter(None, (last, state.key(named) if named else None)):
        question = rules.questions[key[0]]
        old = reading_of(state.case.get(question.over, key))
        unit = f" {old.unit}" if old is not None and key == last and bare[-1:].isdigit() else ""
        one = question.over == "tire" or len(state.case.injuries) == 1
        if one and question.kind in ("measure", "readings"):
            with suppress(Misread):
                return [(key, read_typed(question, f"{bare}{unit}"))]
    return []


def _kept(state: AskedCase, text: str, same: bool) -> list[tuple[Key, Answer]]:
    """What was supposed before, where a text goes on with it: figures, and the place unless it is just the same."""
    forms, before = forms_of(state.judge.rules), state.before
    goes_on = forms.around("and", "^").match(text) is not None or forms.has("points-there", text)
    if before is None or before.intent not in _AS_IF or not (goes_on or same):
        return []
    found, subject = list[tuple[Key, Answer]](), reader_of(state.judge.rules).subjects.get(before.subject)
    place = subject.as_if.get(inputs.INJURY_ZONE) if subject is not None and not before.parts else None
    supposed: list[tuple[str, object]] = [(inputs.INJURY_ZONE, place)] if place else []
    supposed += [(str(part.get("field", "")), part.get("then")) for part in before.parts if before.intent == "what-if"]
    for field, then in supposed:
        name, _, index = field.partition("[")
        question = state.judge.rules.questions.get(name)
        kept = question is not None and (question.kind == inputs.MEASURE or (goes_on and name == inputs.INJURY_ZONE))
        if question is not None and kept and then is not None:
            with suppress(Misread):
                key = (name, int(index.rstrip("]")) if index else state.key(question)[1])
                found.append((key, read_typed(question, str(then))))
    return found


#: Kinds of answer that hold something against the tire as if it were so.
_AS_IF = ("what-if", "matters", "may")


def _named_besides(read: ReadQuestion, changes: list[tuple[Key, Answer]], state: AskedCase) -> list[tuple[Key, Answer]]:
    """What a question names that would be an answer too, where nothing of that question was supposed yet."""
    known, found = {key[0] for key, _ in changes}, list[tuple[Key, Answer]]()
    for name, choice in (pair for each in read.subjects for pair in each.subject.as_if.items()):
        of = state.judge.rules.questions[name]
        if name not in known:
            known.add(name)
            found.append((state.key(of), given_besides(of, choice, state.case.get(of.over, state.key(of)))))
    return found


def _past(changes: list[tuple[Key, Answer]], said: str, state: AskedCase) -> list[tuple[Key, Answer]]:
    """Where one figure is said to be over or under what is named, it is just past it."""
    forms = forms_of(state.judge.rules)
    sides = (("over", "more-than"), ("under", "less-than"))
    words = next((side for side, name in sides if forms.around(name, "", r"\s+\d").search(said)), "")
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
        _worst_figure(question, said, True, state),
        reading_of(state.case.get(question.over, state.key(question))),
    )
    reading = reading_of(given)
    if given is None or reading is None:
        return []
    other_side = old is not None and old.high < 0 < reading.low
    return [
        (state.key(question), replace(reading, low=-reading.high, high=-reading.low, typed="") if other_side else given)
    ]


def supposed_figure(state: AskedCase, read: ReadQuestion, sure: bool) -> Message | None:
    """What a figure would bring that is supposed or read anew: of what is named, by its unit, else of the injury."""
    from advisor.explain.counterfactual import what_if

    rules, text, forms = state.judge.rules, read.text, forms_of(state.judge.rules)
    if figure_is_off(text, rules) or any(each.subject.question == inputs.VEHICLE for each in read.subjects):
        return None
    parts = forms.around("supposing-if", r"^.*\s", r"\s+(?=.*\d)").split(text)
    clause = parts[-1]
    changes = _by_the_clock(forms.around("instead-of", "", ".*").sub("", clause), state)
    name = figure_is_of(read, state)
    if not name and (text[:1].isdigit() or forms.figure.search(text)):
        name = inputs.INJURY_SIZE
    question = rules.questions.get(rules.question_now(name)) if name else None
    if not changes and question is not None:
        given = _worst_figure(question, clause, sure, state)
        key = state.key(question)
        old = state.case.get(question.over, key)
        several = question.over == "injuries" and len(state.case.injuries) != 1 and state.injury is None
        if given is None or old is None or several:
            return None
        far = _is_far_from_the_width(clause, [(key, given)], state)
        changes = _nearest_answer(clause, state) if far else [(key, given)]
    if not changes:
        return None
    if not _ONE_OR_OTHER.search(clause) and (lost := figures_left(clause, changes, state)):
        return _not_every_figure(clause, lost)
    changes += _named_besides(read, changes, state)
    changes += [each for each in _kept(state, text, same=False) if each[0] not in {key for key, _ in changes}]
    key, given = changes[0]
    if key[0] == inputs.UNIT_LENGTH and not forms.has("unit-side", text):
        changes.append(((inputs.UNIT_WIDTH, key[1]), given))
    if len(changes) == 1 and same_figure(given, state.case.get(rules.questions[key[0]].over, key)):
        return _figure_of(key[0], state, read)
    found = what_if(state.judge, state.case, state.now, _past(changes, clause, state))
    return replace(found, intent="what-if", subject=changes[0][0][0])


def _worst_figure(question: Question, text: str, sure: bool, state: AskedCase) -> Answer | None:
    """The figure that a text supposes for a question; of several the worst; none where one is of something else."""
    forms = forms_of(state.judge.rules)
    alone = rf"(?=\s*(?:[?.,;!-](?!\d)|$|(?:{forms.words('after-a-figure')})\b))"
    figures = re.findall(rf"(?<![\w.:/])({FIGURE})(?:\s*({forms.unit})|{alone})", text, re.IGNORECASE)
    found = [f"{figure} {unit}".strip() for figure, unit in figures if sure or unit]
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
    own = (each for each in reader_of(state.judge.rules).subjects.values() if each.question == name and not each.weak)
    subject = next((each for each in own if each.limits), None)
    found = ANSWERS_BY_KIND["how-much"](subject, state, read) if subject else None
    return replace(found, subject=subject.id) if found and subject else None


def as_found(subject: AskedSubject, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What a finding would bring that may still turn up."""
    if inputs.INJURY_ZONE in subject.as_if or not subject.as_if:
        return None
    found = matters(replace(subject, question=""), state, read)
    return replace(found, intent="what-if", subject=subject.id) if found else None


def _of_what_is_open(said: str, state: AskedCase) -> list[tuple[Key, Answer]]:
    """None or some of it, where just one answer is open or can't be told, as the answer to that."""
    forms, rules = forms_of(state.judge.rules), state.judge.rules
    open_now = dict.fromkeys((*state.now.missing, *state.now.measure_again))
    for name, choices in (("none-of-it", ("no", NOTHING_FOUND)), ("some-of-it", ("yes",))):
        clauses = (each.strip(" ,.?") for each in (said, *re.split(r"[,;.]\s+", said)))
        if len(open_now) == 1 and any(forms.said(name, each) is not None for each in clauses):
            question = rules.questions[next(iter(open_now))[0]]
            with suppress(Misread):
                choice = next((each for each in choices if question.choice(each)), "")
                return [(next(iter(open_now)), read_typed(question, choice))] if choice else []
    return []


def _by_the_clock(said: str, state: AskedCase) -> list[tuple[Key, Answer]]:
    """An injury at another place by the clock."""
    hour = r"\b(?P<hour>\d{1,2})(?::(?P<minute>\d\d))?\s*"
    question = state.judge.rules.questions.get(inputs.CLOCK)
    match = forms_of(state.judge.rules).around("clock-word", hour).search(said)
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
        ahead = forms_of(state.judge.rules).around("just-figure").sub("", said)
        if len(figured) != 1 or not ahead.strip(" ?.")[:1].isdigit():
            return []
        state = replace(state, asked=_as_it_was_found(figured.pop(), state))
    assert state.asked is not None
    question = state.judge.rules.questions[state.asked[0]]
    bare = forms_of(state.judge.rules).around("just-figure").sub("", said).strip(" ,?")
    old = reading_of(state.case.get(question.over, state.asked))
    with_unit = f"{bare} {old.unit}" if old is not None and bare.replace(".", "").isdigit() else bare
    for text in (bare, f"{bare}:00" if question.kind == inputs.CLOCK_KIND else with_unit):
        with suppress(Misread):
            return [(state.asked, read_typed(question, text))]
    return []


def _as_it_was_found(key: Key, state: AskedCase) -> Key:
    """A question; of the pressure that a tire should have the one found, which is what it was at."""
    found = (inputs.FOUND_PRESSURE, TIRE)
    return found if key == (inputs.SET_PRESSURE, TIRE) and state.case.get(inputs.OVER_TIRE, found) is not None else key


def _not_every_figure(said: str, lost: Sequence[str]) -> Message:
    """That a supposition was heard in part only, so that nothing is answered of it."""
    head = f'Of "{shown(said, 80)}" it is not clear what is meant by {", ".join(lost)}, so nothing is answered of it.'
    example = "Say each figure with its name: what if unit length 45 mm, unit width 30 mm?"
    return Message("complaint", (Block(head, ()), example), intent="what-if")


def unclear(said: str, state: AskedCase) -> Message:
    heard = (state.listener or _hearing(state.judge)).hear(said, state.case, state.asked, facts=False)
    back = tuple(f"{state.judge.rules.questions[ask.key[0]].name}: {ask.why}" for ask in heard.asks_back)
    unclear = Block(f'What would be different is not clear from "{shown(said, 80)}".', back)
    return Message("complaint", (unclear, "Say it with its name: what if the angle were 30 degrees?"), intent="what-if")


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


_EARS: list[tuple[RuleSet, Listener]] = []


def _hearing(judge: Judge) -> Listener:
    """An ear for the judge's rules, made once."""
    from advisor.nlu.pipeline import Listener as Hearing

    for rules, ear in _EARS:
        if rules is judge.rules:
            return ear
    _EARS[:] = [(judge.rules, Hearing(judge.rules)), *_EARS[:3]]
    return _EARS[0][1]
