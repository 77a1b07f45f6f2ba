"""Something turned up during the work: it is taken as an answer, the case is judged again, what changed is said."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from advisor.dialogue.session import Consultation
from advisor.dialogue.work_steps import note_work, plan_of
from advisor.dialogue.work_waits import lengthen_waits
from advisor.engine.judgement_types import Judgement, PlannedStep
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import plain, read_typed
from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Choice, Choices, Key
from advisor.model.problems import Misread, shown
from advisor.model.quantity import Measure
from advisor.model.ruleset import Question, Verdict
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, findings_merged
from advisor.wording.verdict_card import VERDICT_SIGNS, question_in_words
from advisor.work.hand_on import hand_on_blocks
from advisor.work.progress import key_of

HOW_TO_SAY = (
    "Say what turned up: found 11 mm (the width after drilling), found angle 40 degrees, found rust, "
    "found cut cord, found exposed cord, found depth can't tell, found another hole; several with commas: found rust, "
    "cut cord. With several injuries: found injury 2 rust. Found wrongly: take back."
)
#: What is measured of an injury and can turn out otherwise at the work.
_MEASURED = (inputs.INJURY_SIZE, inputs.INJURY_LENGTH, inputs.INJURY_ANGLE)
#: A find of the list by its letter; one that is measured with its figure.
_LETTER = re.compile(r"(?P<letter>[a-z])(?:\s+(?P<figure>(?:about\s+)?\d\S*(?:\s+\S+)?))?", re.I)
#: What a finding without a name can be: a sign round the injury, then one of the whole tire, then the width drilled.
_SIGNS = (inputs.INSIDE_SIGNS, inputs.FINDINGS)
_SIZE = inputs.INJURY_SIZE
_ANOTHER = re.compile(
    r"\s*(?:(?:there is|there's)\s+)?(?:an?\s+)?(?:another|second|third|further|new|one more)\s+"
    r"(?:injury|hole|nail|screw|cut|puncture)\b",
    re.I,
)
_OF_SIZE = re.compile(
    r"\b(?:the|hole|injury|opening|channel|is|it|now|after|drilling|drilled|to|wide|wider|larger|bigger|width|across)\b"
    r"|[,:;]",
    re.I,
)
_BETWEEN = re.compile(r"\s*(?:[,;]|\band\b)\s*", re.I)
_FOUND = re.compile(r"^\s*found\b[:,]?\s*", re.I)
_INJURY = re.compile(r"injury\s+(?P<number>\d{1,2})\s*[:,]?\s+(?P<rest>.+)", re.I)


class FindToPick(Struct, frozen=True):
    """Something that may turn up: its letter, what it is, and what is typed behind `found`.

    `measured`: a figure follows what is typed; `there`: it was found already.
    """

    letter: str
    says: str
    typed: str
    measured: bool = False
    there: bool = False


def finds_to_pick(consultation: Consultation, injury: int) -> list[FindToPick]:
    """What may turn up at a step of an injury (counted from 0), as a list to pick from."""
    rules = consultation.judge.rules
    rows = list[tuple[str, str, bool, bool]]()
    for name in map(rules.question_now, _MEASURED):
        if name in rules.questions:
            rows.append((rules.questions[name].name, f"{name} ", True, False))
    for name in map(rules.question_now, _SIGNS):
        if (question := rules.questions.get(name)) is None:
            continue
        old = consultation.case.get(question.over, (name, TIRE if question.over == "tire" else injury))
        present = old.present if isinstance(old, Choices) else ()
        rows += [(each.says, f"{name} {each.id}", False, each.id in present) for each in question.choices]
    rows.append(("Another injury", "another injury", False, False))
    letters = map(chr, range(ord("a"), ord("z") + 1))
    return [FindToPick(letter, *row) for letter, row in zip(letters, rows, strict=False)]


def _list_of_finds(consultation: Consultation, injury: int) -> Message:
    """The list, with how its letters are typed."""
    lines = [
        f"{each.letter} {each.says}{' (found already)' if each.there else ', with its figure' if each.measured else ''}"
        for each in finds_to_pick(consultation, injury)
    ]
    how = (
        "Type found and the letter: found d; several: found d, f; one that is measured with its figure: found a 11 mm."
    )
    several = len(consultation.judgement.injuries) > 1
    of = f" at injury {injury + 1} (of another: found injury 2 and what it is)" if several else ""
    return Message("help", (Block(f"What turned up{of}?", tuple(lines), "title"), how, HOW_TO_SAY))


def _by_letter(consultation: Consultation, text: str, injury: int) -> str:
    """A line in which letters of the list are written out as what they stand for."""
    picks = {each.letter: each for each in finds_to_pick(consultation, injury)}
    said, by_letter = list[str](), False
    for part in filter(None, _BETWEEN.split(text.strip())):
        match = _LETTER.fullmatch(_FOUND.sub("", part))
        pick = picks.get(match["letter"].lower()) if match else None
        if match and pick and pick.measured == bool(match["figure"]):
            part, by_letter = f"{pick.typed}{match['figure'] or ''}", True
        said.append(part)
    return ", ".join(said) if by_letter else text


def found(consultation: Consultation, text: str, injury: int) -> list[Message]:
    """Takes a finding at a step of an injury (counted from 0); a text that can't be read comes back as a complaint."""
    if match := _INJURY.fullmatch(text.strip()):
        injury, text = int(match["number"]) - 1, match["rest"]
        if not 0 <= injury < len(consultation.judgement.injuries):
            return [Message("complaint", (f"There is no injury {injury + 1}.",))]
    if not text.strip():
        return [_list_of_finds(consultation, injury)]
    text = _by_letter(consultation, text, injury)
    if _ANOTHER.match(text):
        return list(_take_another(consultation))
    if several := _several(consultation, text, injury):
        return list(_take(consultation, several))
    read = _read(consultation, text, injury) or _sized(consultation, text, injury) or _heard(consultation, text, injury)
    if read is None:
        consultation.lose(f"found {text}")
        return [Message("complaint", (f'Not understood: "{shown(text, 60)}".', HOW_TO_SAY))]
    return list(_take(consultation, [*_as_long(consultation, *read), read]))


def _as_long(consultation: Consultation, key: Key, answer: Answer) -> list[tuple[Key, Answer]]:
    """The length, where an injury was drilled wider than it was long: it is at least as long as wide."""
    if key[0] != consultation.judge.rules.question_now(_SIZE) or not isinstance(answer, Measure):
        return []
    length = (consultation.judge.rules.question_now(inputs.INJURY_LENGTH), key[1])
    old = consultation.case.get(inputs.OVER_INJURIES, length)
    longer = isinstance(old, Measure) and old.to(answer.unit).high < answer.low
    return [(length, answer)] if longer else []


def _several(consultation: Consultation, text: str, injury: int) -> list[tuple[Key, Answer]]:
    """Several findings in one line with commas between; nothing where one of them can't be read by itself."""
    parts = [part for each in _BETWEEN.split(text) if (part := _FOUND.sub("", each).strip())]
    read = [_read(consultation, part, injury) for part in parts] if len(parts) > 1 else []
    return [each for each in read if each is not None] if all(read) else []


def _take_another(consultation: Consultation) -> Iterator[Message]:
    """One more injury: its questions are asked, and the case is judged with it."""
    more = next((part.more for part in consultation.judge.rules.parts if part.over == "injuries" and part.more), "")
    if more:
        yield from _take(consultation, [((more, len(consultation.judgement.injuries) - 1), Choice("yes"))])


def _sized(consultation: Consultation, text: str, injury: int) -> tuple[Key, Answer] | None:
    """A width in a few words of the work: `wider, 7/16 in`, `hole drilled to 11 mm`."""
    bare = " ".join(_OF_SIZE.sub(" ", text).split())
    size = consultation.judge.rules.question_now(_SIZE)
    question = consultation.judge.rules.questions.get(size)
    if question is None or bare == text or not any(sign.isdigit() for sign in bare):
        return None
    try:
        return (size, injury), read_typed(question, bare)
    except Misread:
        return None


def _heard(consultation: Consultation, text: str, injury: int) -> tuple[Key, Answer] | None:
    """The one answer that a sentence states, about this injury or the tire; None where it states none, or several."""
    if not any(sign.isalpha() for sign in text):
        return None

    size = consultation.judge.rules.question_now(_SIZE)
    heard = consultation.listener.hear(text, consultation.case, (size, injury))
    if len(heard.understood) != 1 or heard.asks_back or heard.understood[0].doubt:
        return None
    one = heard.understood[0]
    if one.key[1] not in (TIRE, injury):
        return None
    return one.key, _with_before(consultation, one.key, one.answer)


def _read(consultation: Consultation, text: str, injury: int) -> tuple[Key, Answer] | None:
    """The answer that a finding gives, and where it belongs; None where nothing fits."""
    questions = consultation.judge.rules.questions
    for question, rest in _named(consultation, text):
        key = (question.id, TIRE if question.over == "tire" else injury)
        try:
            return key, _with_before(consultation, key, read_typed(question, rest))
        except Misread:
            continue
    if not any(sign.isalpha() or sign in "/\"'" for sign in text):
        return None  # a bare number: of what, and in which unit?
    for name in map(consultation.judge.rules.question_now, (*_SIGNS, _SIZE)):
        if name not in questions or plain(text) in ("none", "no", "nothing"):
            continue
        key = (name, TIRE if questions[name].over == "tire" else injury)
        try:
            answer = read_typed(questions[name], text)
        except Misread:
            continue
        return key, _with_before(consultation, key, answer)
    return None


def _named(consultation: Consultation, text: str) -> Iterator[tuple[Question, str]]:
    """The questions whose name a text begins with, the longest name first, and what follows the name."""
    words = " ".join(text.replace("’", "'").replace(":", " ").split())
    low = words.lower()
    hits = []
    for question in consultation.judge.rules.questions.values():
        if question.over not in ("tire", "injuries"):
            continue
        for name in _names(question):
            if low.startswith(f"{name} ") and len(low) == len(words):
                rest = re.sub(r"^(?:is|now|of|=)\s+", "", words[len(name) :].strip())
                hits.append((len(name), question, rest))
    return ((question, rest) for _, question, rest in sorted(hits, key=lambda hit: -hit[0]))


def _names(question: Question) -> set[str]:
    name = plain(question.name).removeprefix("the ")
    short = name.removeprefix("injury's ")
    names = {question.id, question.key, question.id.replace("-", " "), name, short}
    if question.over == "injuries":
        names.add(question.id.removeprefix("injury-").replace("-", " "))
    return names


def _with_before(consultation: Consultation, key: Key, answer: Answer) -> Answer:
    """Something found beside what was found before; all other answers stand in place of the old one."""
    old = consultation.case.get(consultation.judge.rules.questions[key[0]].over, key)
    return findings_merged(old, answer) if isinstance(answer, Choices) else answer


def _take(consultation: Consultation, found: Sequence[tuple[Key, Answer]]) -> Iterator[Message]:
    """Takes findings one after another and says once what they mean together; stops at one that can't be true."""
    before, plan = consultation.judgement, plan_of(consultation)
    taken, ended = False, consultation.saved.ended
    for key, answer in found:
        question = consultation.judge.rules.questions[key[0]]
        old = consultation.case.get(question.over, key)
        if isinstance(answer, Choices):
            answer = _with_before(consultation, key, answer)  # what the one before it in the line brought stays
        consultation.change(key)
        said = consultation.take(answer)
        yield from said
        if any(message.kind == "complaint" for message in said):
            consultation.go_on()
            break
        taken = True
        was = f" (until now: {value_in_words(old, question)})" if old not in (None, answer) else ""
        title = question_in_words(key, consultation.judge.rules)
        words = f"found {title}: {value_in_words(answer, question)}{was}"
        note_work(consultation, words)
        consultation.become(replace(consultation.state, finds=(*consultation.state.finds, (key, old, words))))
        _read_again(consultation, plan, key, value_in_words(answer, question))
    _stay_at_the_work(consultation, before, ended)
    if taken:
        yield from _told(consultation, before, plan)


def _stay_at_the_work(consultation: Consultation, before: Judgement, ended: bool) -> None:
    """Leaves what may be left out and was open before unasked, so that the work goes on; all else is asked."""
    ask = consultation.open_question
    left = ask is not None and ask.optional and not consultation.judgement.walk.missing
    if ask is not None and left and (ended or ask.key in before.walk.to_ask):
        consultation.stop()


def _read_again(consultation: Consultation, plan: Sequence[PlannedStep], key: Key, text: str) -> None:
    """Notes at the step in hand that what it wants measured anew was measured."""
    work = consultation.work
    place = work.current(plan)
    if place is not None and key[0] in plan[place].step.measures and (plan[place].injury or 0) == max(key[1], 0):
        work = work.with_reading(key_of(plan[place]), key[0], text, consultation.now())
        consultation.become(replace(consultation.state, work=work))


def _told(consultation: Consultation, before: Judgement, plan: Sequence[PlannedStep]) -> Iterator[Message]:
    yield from _what_it_means(consultation, before)
    if lines := (*what_reads_otherwise(consultation, before, plan), *lengthen_waits(consultation, plan)):
        yield Message("work", lines)


def take_back(consultation: Consultation) -> list[Message]:
    """Takes back what was found last: the answer is again what it was before, and the log says so."""
    if not consultation.state.finds:
        says = "Nothing found at the work is there to be taken back; to set an answer right type change and its name."
        return [Message("complaint", (says,))]
    *finds, (key, old, words) = consultation.state.finds
    before, plan = consultation.judgement, plan_of(consultation)
    over = consultation.judge.rules.questions[key[0]].over
    saved = consultation.saved
    case = saved.case.with_answer(over, key, old)
    order = saved.order if old is not None else tuple(each for each in saved.order if each != key)
    ended = saved.ended
    saved = replace(saved, case=case, order=order, asking=None, ended=False)
    consultation.become(replace(consultation.state, saved=saved, finds=tuple(finds)))
    _stay_at_the_work(consultation, before, ended)
    note_work(consultation, f"taken back: {words}")
    return [Message("noted", (f"Taken back: {words}",)), *_told(consultation, before, plan)]


def what_reads_otherwise(consultation: Consultation, before: Judgement, plan: Sequence[PlannedStep]) -> Iterator[Said]:
    """Cautions that came up, and the steps of the same name and method whose words or figures are others now."""
    judge, now = consultation.judge, consultation.judgement
    if consultation.ask is not None or now.verdict is not before.verdict:
        return
    for name in now.cautions:
        if name not in before.cautions:
            yield f"Caution: {judge.caution_in_words(name, now)}"
    was = {(planned.method.id, key_of(planned)): planned for planned in plan}
    for planned in plan_of(consultation):
        old = was.get((planned.method.id, key_of(planned)))
        if old is not None and old.says != planned.says:
            ticked = consultation.work.tick_of(key_of(planned))
            again = ("That step is ticked. See whether it has to be done again.",) if ticked else ()
            yield Block(f"Reads otherwise now - {planned.step.title}: {planned.says}", again)


def _what_it_means(consultation: Consultation, before: Judgement) -> Iterator[Message]:
    """What the finding did to verdict and method, in a sentence or two."""
    now, methods = consultation.judgement, consultation.judge.rules.methods
    was, new = VERDICT_SIGNS[before.verdict], VERDICT_SIGNS[now.verdict]
    if consultation.ask is not None:
        yield Message("work", (f"It was {was}; now questions are open again. Answer them, then go on.",))
    elif now.verdict is not before.verdict:
        stop = "Stop the work here. " if now.verdict > Verdict.REPAIR else ""
        by = "with what was found" if now.verdict > before.verdict else "now"
        yield Message("work", (f"{stop}It was {was}; {by} it is {new}.",))
        yield Message("card", (), consultation.card())
        if told := tuple(hand_on_blocks(now, consultation.judge)):
            yield Message("work", told)
    elif now.method != before.method:
        old, other = (methods[name].title if name else "no method" for name in (before.method, now.method))
        lines = f"It stays {new}, but the method changes: {old} no longer does; now it is {other}."
        yield Message("work", (lines, "Steps of the same name stay ticked. Type work to see the next one."))
    else:
        held = any(each.held and not consultation.work.tick_of(key_of(each)) for each in plan_of(consultation))
        on = "Some steps are on hold." if held else "Go on with the step in hand."
        yield Message("work", (f"It stays {new}, by the same method. {on}",))
