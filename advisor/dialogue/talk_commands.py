"""What can be typed besides an answer: back, change, why, how, what is …, so far, stop. One home for both faces."""

from __future__ import annotations

import re
from collections.abc import Callable

from msgspec.structs import replace

from advisor.dialogue.answer_list import change_answer, so_far_lines
from advisor.dialogue.not_counted import ASKED_OF, LAID_ASIDE, LAY_ASIDE, asked_of, last_quoted, no_news
from advisor.dialogue.session import Consultation
from advisor.dialogue.state import LONGEST_KEPT, SessionState
from advisor.dialogue.withdrawals import drop_line, without_injury
from advisor.explain.why import no_text_behind, what_lies_ahead, why, why_asked
from advisor.loader.answer_codec import OTHER_YES, is_cant_tell, plain
from advisor.model.problems import shown
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, as_spelled_here
from advisor.wording.verdict_card import SECTIONS, section_blocks

HOW_TO_ANSWER = "Type an answer in your own units and words: 3/8 in, 10mm, 8-10 mm, about 9 mm, or a choice's number."
#: What can be typed at the work.
WORK_ENTRIES = (
    ("work", "the work step by step; then tick, untick, note WORDS, timer, work log"),
    ("tick early", "ticks a step although its wait is not over; the report will have it"),
    ("tick 1-8", "ticks several steps, as far as nothing stands in the way"),
    ("step NUMBER", "reads another step of the work; nothing is ticked by it"),
    ("found X", "something turned up at a step: found 11 mm, found rust; found alone lists what to pick by letter"),
    ("take back", "what was found last was not so; it stays in the log as taken back"),
    ("timer 10", "a wait of your own, in minutes; timer off takes it away"),
    ("unit B4711", "what is to be written down at a step, by its name: unit, unit use by 2027-05, torque 600 Nm"),
    ("technician X", "the name above the report's signature line"),
    ("report", "the record of the case and of the work on one page; report full: with all answers, reasons and steps"),
    ("report page", "the same as a page to print, saved beside the record and opened in the browser"),
    ("today", "today's tires: drying, unfinished, restricted; today 2 goes into one (where a journal is kept)"),
)
#: What can be typed, and what it is for.
HELP_ENTRIES = (
    ("can't tell", "when it can't be told; it is never taken as no"),
    ("how", "how to find out or measure it"),
    ("why ask", "why this is asked"),
    ("why now", "why this is asked ahead of the rest"),
    ("why", "why the verdict is what it is, as things stand"),
    ("what is TERM", "a term of the trade explained, with its sketch; X or Y: the difference"),
    ("may I X", "what the rules say of it: may I plug it, how big may it be, is that law, who says so"),
    ("sources", "the limits that no rule or text stands behind"),
    ("so far", "what was answered and what was left out, with numbers; also: answers"),
    ("ahead", "what is still to be asked, and how it can still end"),
    ("back", "to the answer before"),
    ("change NUMBER", "change that answer, or answer what was left out; or: change tread, change tread 3/32"),
    ("why 1", "a step of why opened further; also: why answers, why limits"),
    ("why not X", "what stands in the way: why not repair, why not one-piece"),
    ("what if X", "another answer for a moment: what if the angle were 30 degrees"),
    ("how sure", "what is in doubt, and whether it decides"),
    ("least change", "which single measured fact would give another verdict"),
    ("drop injury 2", "takes an injury back that is not there; also: drop repair 1"),
    (LAY_ASIDE, "of the words that were not understood none bears on the tire; they stay in the record"),
    ("skip", "leave out a question that may be left out"),
    ("verdict", "the verdict as things stand"),
    ("more", f"all that stands behind the verdict; or a part of it: more {', more '.join(SECTIONS)}"),
    ("steps", "the steps of the method, with every figure and what it rests on"),
    ("draw", "the drawings: where to measure, the cross-section, the tread unrolled with all repairs"),
    ("beside", "the same tire under the other rule sets; or: beside uk-road"),
    *WORK_ENTRIES,
    ("stop", "end here with the verdict as things stand"),
    ("go on", "take up again after stop"),
    ("casing T42", "whose casing this is; so too technician NAME, plate NUMBER, note WORDS (where a journal is kept)"),
    ("seen 1", "a recorded repair is there as recorded; not seen 1 if it is not"),
    ("start over", "begin anew"),
    ("quit", "leave the program"),
)
#: Words that begin with another tire.
START_OVER = ("start over", "begin anew", "next tire", "new tire", "next tyre", "new tyre")
#: A text that could be about the work; only then is anything more loaded.
_WORK = re.compile(r"\s*(?:work|tick(?:ed)?|untick|(?:the )?same|note|found|take back|timer|report|step)\b", re.I)
#: What a line that there is no second injury has at least.
_NONE_FURTHER = re.compile(r"\b(?:no|not|never|isn't)\b.*\b(?:second|2nd|other|another|further|more)\b", re.I | re.S)
_BESIDE = re.compile(r"\s*(?:beside|other rules)(?P<names>(?:\s+[\w./~-]+)*)\s*", re.I)
_TAKE = re.compile(r"take\s+(?:number\s+)?\d{1,2}")
_MORE = re.compile(r"(?:show\s+)?more(?:\s+(?P<word>\w+))?", re.I)
_CHANGE = re.compile(r"change(?:\s+(?P<what>.+))?", re.I)


def help_blocks() -> tuple[Said, ...]:
    """What can be typed."""
    return (HOW_TO_ANSWER, *(Block(says, role="entry", lead=typed) for typed, says in HELP_ENTRIES))


def say(consultation: Consultation, text: str) -> list[Message]:
    """What comes of a typed line: a command carried out, or an answer taken."""
    state = consultation.state
    before, notes, case = state.as_said, state.notes, state.saved.case
    asked = state.work.begun and consultation.ask is not None
    messages = _come_of(consultation, text)
    state = consultation.state
    if state.work.begun and asked != (consultation.ask is not None):
        messages = [*messages, *_way_back(consultation)]
    if before is not None and consultation.state.as_said is before:  # a command, or a question asked
        consultation.become(replace(consultation.state, as_said=None))
    if state.notes == notes and {message.kind for message in messages} - {"complaint"}:
        consultation.understood(text)
    if state.saved.case is not case and case.answers:
        from advisor.dialogue.milder_since import notes_of_milder

        if milder := tuple(notes_of_milder(consultation, case)):
            consultation.become(consultation.state.noting(*milder))
    if asked_of(notes) and not all(message.kind == "complaint" for message in messages):
        from advisor.dialogue.told_beside_question import said_since

        said_since(consultation, case, text)
    rules = consultation.judge.rules
    return [as_spelled_here(message, rules) for message in messages] if rules.about.spelled else messages


def _come_of(consultation: Consultation, text: str) -> list[Message]:
    word = plain(text)
    command = _COMMANDS.get(word.rstrip("?").rstrip() or word)
    if command is not None:
        return command(consultation)
    state = consultation.state
    if state.proposed and (of_records := _of_the_records(consultation, text)) is not None:
        return of_records
    if without_injury(consultation, text):
        return consultation.end_without_injury(text)
    if (dropped := drop_line(consultation, text) or _no_further(consultation, text)) is not None:
        return consultation.follow(dropped)
    if state.pending is None and _TAKE.fullmatch(word):
        return [Message("complaint", ("Nothing waits to be taken by its number.",))]
    if _WORK.match(text) and (of_work := _of_the_work(consultation, text)) is not None:
        return of_work
    if sections := sections_asked(consultation, text):
        return [Message("more", section_blocks(consultation.card(), sections))]
    if (match := _BESIDE.fullmatch(text)) and all(map(_may_be_rules, match["names"].split())):
        return _beside(consultation, match["names"].split())
    if match := _CHANGE.fullmatch(text.strip()):
        return change_answer(consultation, match["what"] or "")
    if found := _question_back(consultation, text):
        return found
    if state.answered_last is not None:  # what follows is no follow-up any more
        consultation.become(replace(consultation.state, answered_last=None))
        if affirmed := _affirmed(consultation, text):
            return affirmed
    return _at_the_work(consultation, text) or consultation.answer(text)


def _no_further(consultation: Consultation, text: str) -> tuple[SessionState, list[Message]] | None:
    """What comes of a line that says that there is no second injury; None where a word of that is wanting."""
    if not _NONE_FURTHER.search(text):
        return None
    from advisor.dialogue.no_further import no_further_injury

    return no_further_injury(consultation, text)


def sections_asked(consultation: Consultation, text: str) -> tuple[str, ...]:
    """The sections of the verdict card that a line asks for; by their bare words once no question is open."""
    word = plain(text)
    match = _MORE.fullmatch(word)
    named = (match["word"] or "") if match else word
    if named in SECTIONS and (match or consultation.ask is None):
        return (named,)
    return consultation.card().words if match and not named else ()


def _of_the_work(consultation: Consultation, text: str) -> list[Message] | None:
    """Walking through the work; None where the text is no such line."""
    from advisor.dialogue.work_commands import work_line

    return work_line(consultation, text)


def _at_the_work(consultation: Consultation, text: str) -> list[Message] | None:
    """A field of the work, or the reading that its step wants; None where a question is open or the text is none."""
    if consultation.open_question is not None or not consultation.judgement.method:
        return None
    from advisor.dialogue.work_commands import bare_line

    return bare_line(consultation, text)


def _way_back(consultation: Consultation) -> list[Message]:
    """Where the work goes on: told as a line leads out of it, and as it can go on again."""
    from advisor.dialogue.work_commands import where_it_goes_on

    back = where_it_goes_on(consultation)
    return [Message("note", (back,))] if back else []


def _may_be_rules(name: str) -> bool:
    """Whether a word may name a rule set or its folder: beside the crown is an answer."""
    from advisor.loader.paths import shipped

    return any(sign in name for sign in "-/.~") or name in shipped()


def _beside(consultation: Consultation, names: list[str]) -> list[Message]:
    from advisor.dialogue.ruleset_comparison import beside_messages

    return beside_messages(consultation, names)


def _question_back(consultation: Consultation, text: str) -> list[Message]:
    """Why not, what if, how sure, least change, how to measure something; nothing where the text asks none of it."""
    from advisor.dialogue.question_form import asks_by_form, asks_in_a_clause

    follows = consultation.state.answered_last is not None and text.rstrip().endswith("?")
    asks = asks_by_form(text) or follows or asks_in_a_clause(text)
    if not asks or is_cant_tell(text):
        return []
    from advisor.dialogue.intents import question_back

    return question_back(consultation, text)


def _affirmed(consultation: Consultation, text: str) -> list[Message]:
    """What comes of a bare line that says of what was supposed that it is so; a yes is to what is asked."""
    from advisor.dialogue.asked_of_this_tire import SUPPOSES, affirms, has_it

    asked, bare_yes = consultation.state.asked_last, plain(text) in OTHER_YES | {"yes", "y"}
    supposed = SUPPOSES.match(asked) and (affirms(text) or (bare_yes and consultation.ask is None))
    if not asked or not (supposed or has_it(text)):
        return []
    consultation.become(consultation.state.noting(f"{ASKED_OF}{shown(asked, LONGEST_KEPT)}"))
    says = f'A question counts for nothing: "{shown(asked, 60)}". If it is so, say it as a sentence.'
    return [Message("note", (says,))]


def _ahead(consultation: Consultation) -> list[Message]:
    ask = consultation.open_question
    if ask is None:
        return [Message("help", ("No question is open.",))]
    from advisor.dialogue.still_open import narrowest

    return [what_lies_ahead(consultation.judgement, consultation.judge, ask.node), narrowest(consultation)]


def _how(consultation: Consultation) -> list[Message]:
    ask = consultation.open_question
    lines = (ask.how,) if ask and ask.how else ("There is nothing more to say on how to find it out.",)
    return [Message("help", lines)]


def _why_ask(consultation: Consultation) -> list[Message]:
    ask = consultation.open_question
    return [why_asked(consultation.judge, ask.key[0]) if ask else Message("help", ("No question is open.",))]


def _why_now(consultation: Consultation) -> list[Message]:
    from advisor.dialogue.still_open import why_order

    judge, case = consultation.judge, consultation.case
    asked, in_order = consultation.question_key, consultation.in_order
    return [why_order(judge, case, consultation.judgement, asked, in_order)]


def _why(consultation: Consultation) -> list[Message]:
    return [why(consultation.judge, consultation.case, consultation.judgement)]


def _of_the_records(consultation: Consultation, text: str) -> list[Message] | None:
    from advisor.dialogue.prior_repairs import take_seen

    seen = take_seen(consultation, text)
    return consultation.follow(seen) if seen is not None else None


def _draw(consultation: Consultation) -> list[Message]:
    from advisor.dialogue.drawing_messages import drawing_messages

    return drawing_messages(consultation)


def _sources(consultation: Consultation) -> list[Message]:
    return [no_text_behind(consultation.judge)]


def _steps(consultation: Consultation) -> list[Message]:
    from advisor.dialogue.work_steps import step_messages

    return step_messages(consultation)


def _verdict(consultation: Consultation) -> list[Message]:
    return [Message("card", (), consultation.card())]


def _so_far(consultation: Consultation) -> list[Message]:
    notes = [f"note: {note}" for note in consultation.notes]
    return [Message("help", (*so_far_lines(consultation), *notes, consultation.standing()))]


def _no_news(consultation: Consultation) -> list[Message]:
    """Lays aside what was not understood and names nothing bad: by the technician's word, kept in the record."""
    lines, bad = no_news(consultation.notes, consultation.judge.rules.phrases)
    consultation.become(consultation.state.noting(*(f"{LAID_ASIDE}{line}" for line in lines)))
    said = [f"Laid aside, and in the record as no news of the tire: {last_quoted(lines)}."] if lines else []
    said += [f"Names what may be bad, so say whether it is so: {last_quoted(bad)}."] if bad else []
    return [Message("note", tuple(said or ["Nothing that was typed waits to be said in other words."]))]


_COMMANDS: dict[str, Callable[[Consultation], list[Message]]] = {
    "help": lambda consultation: [Message("help", help_blocks())],
    "?": lambda consultation: [Message("help", help_blocks())],
    "ahead": _ahead,
    "what comes next": _ahead,
    "how": _how,
    "how do i measure it": _how,
    "why": _why,
    "why ask": _why_ask,
    "why now": _why_now,
    "why this now": _why_now,
    "why is this asked": _why_ask,
    "sources": _sources,
    "what rests on memory": _sources,
    "which limits rest on memory": _sources,
    "why do you ask": _why_ask,
    "so far": _so_far,
    "answers": _so_far,
    "the answers": _so_far,
    "verdict": _verdict,
    "steps": _steps,
    "draw": _draw,
    "back": Consultation.back,
    "go back": Consultation.back,
    LAY_ASIDE: _no_news,
    "skip": Consultation.skip,
    "leave it out": Consultation.skip,
    "leave out": Consultation.skip,
    "can't tell, or leave it out": Consultation.skip,
    "measure": Consultation.skip,
    "measure it": Consultation.skip,
    "stop": Consultation.stop,
    "stop here": Consultation.stop,
    "go on": Consultation.go_on,
    **dict.fromkeys(START_OVER, Consultation.start_over),
}
