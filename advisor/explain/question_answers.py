"""What answers a question of each kind: a function from where the case stands and a subject to blocks.

The wordings of the kinds, the subjects and ready texts are data of the rules (intents.yaml, subjects.yaml,
answers.yaml); what is said is the rules' own text with its source and standing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterable, Iterator
from contextlib import suppress
from fractions import Fraction

from msgspec.structs import replace

from advisor.engine.conditions import limit_by
from advisor.engine.derived.registry import FUNCTIONS
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.templates import value_in_words
from advisor.explain.asked_case import (
    AskedCase,
    basis_told,
    blocks_and_bases,
    called,
    capitalized,
    caution_blocks,
    deciding_bases,
    limit_blocks,
    on_hold,
    outcome_told,
    reasons_on,
    reasons_told,
    sketch_lines,
    status_line,
    step_blocks,
    told_as,
    with_changed,
    word_block,
)
from advisor.explain.beside_limit import reading_beside, strictest, tested_limits
from advisor.explain.how_far_out import border_limits, how_far_out
from advisor.explain.question_reader import ReadQuestion, forms_of, names_of, reader_of
from advisor.explain.sensitivity import with_figure
from advisor.explain.sentence_forms import FIGURE
from advisor.explain.whose_rule import (
    MOST_FIGURES_SHOWN,
    figures_named_here,
    law,
    law_in_short,
    limits_of_law,
    who_says,
    whose_lines,
)
from advisor.explain.why import explained, why
from advisor.explain.why_not import method_named, reading_of
from advisor.loader.answer_codec import read_typed
from advisor.model import inputs
from advisor.model.asked import AskedSubject, ReadyAnswer
from advisor.model.case import TIRE, Answer, Choice, Key
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, read_measure
from advisor.model.ruleset import (
    HAZARDS,
    STAGE_HEADINGS,
    Basis,
    Method,
    Question,
    Verdict,
    leaves,
)
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message, headline
from advisor.wording.verdict_card import (
    question_in_words,
    questions_in_words,
    section_blocks,
    verdict_card,
)

#: So many cautions and figures stand in an answer.
MOST_CAUTIONS = 4
#: So many of each beside a ready text.
MOST_WITH_TEXT = 2

# Kinds of question: each from where the case stands, what it is about and the question as read


def _status_where(answer: ReadyAnswer, state: AskedCase) -> str:
    """How things stand; where the answer is about something that may be otherwise here, how they would with it."""
    subject = state.judge.rules.subjects.get(answer.about[0].split("/")[0]) if answer.about else None
    if subject is None or not subject.as_if:
        return status_line(state)
    return _where_so(subject, state.judge.judge(with_changed(state, subject.as_if.items())), state)


def _where_so(subject: AskedSubject, then: Judgement, state: AskedCase) -> str:
    injury = f"Injury {state.injury + 1}: " if state.injury is not None else ""
    return f"{injury}{capitalized(called(subject, state))}, with all else as it is: {outcome_told(then, state)}"


def ready_text(answer: ReadyAnswer, state: AskedCase, read: ReadQuestion | None = None) -> Message | None:
    """A ready text, and the rules' own texts that it names."""
    rules = state.judge.rules
    own: list[tuple[Block, str, Basis]] = []
    if answer.says:
        says = state.filled(answer.says)
        own.append((Block(says, (basis_told(answer.basis, state),)), says, answer.basis))

    def lacks(name: str) -> bool:
        return rules.cautions[name].of_this_tire and name not in state.now.cautions

    figures = [
        (replace(block, details=block.details[:1]), label, basis)
        for block, label, basis in limit_blocks(answer.limits, state)
    ]
    more = (
        *list(caution_blocks([name for name in answer.cautions if not lacks(name)][:MOST_WITH_TEXT], state)),
        *figures[:MOST_WITH_TEXT],
        *list(step_blocks(answer.steps, state))[:MOST_WITH_TEXT],
    )
    blocks, bases = blocks_and_bases((*own, *more))
    blocks = [*_beside(answer, state, read), *_of_that_alone(answer, state), *blocks, *_how_open(answer, state, read)]
    status: list[Said] = [_status_where(answer, state)] if answer.verdict else []
    asks_why = read is not None and read.kind("why") and (status or "why" in answer.kinds)
    if asks_why and state.now.verdict is not Verdict.REPAIR:
        status = [*(status or [status_line(state)]), *_reason_rows(state)]
    held = state.now.verdict is Verdict.SCRAP or on_hold(state.now)
    first = status if held or (not own and state.now.verdict is not Verdict.REPAIR) else []
    return told_as(answer.id, [*first, *blocks, *(status if not first else [])], bases)


def _how_open(answer: ReadyAnswer, state: AskedCase, read: ReadQuestion | None) -> Iterator[str]:
    """How an open answer is found out that is named beside what a ready text without a subject is asked for."""
    rules, open_now = state.judge.rules, {key[0] for key in (*state.now.missing, *state.now.measure_again)}
    named = [] if answer.about or read is None else [each.subject for each in read.subjects if not each.subject.weak]
    for name in dict.fromkeys(one for each in named for one in (each.question, *each.as_if) if one in open_now):
        if rules.questions[name].how:
            yield f"{capitalized(rules.questions[name].name)}: {state.filled(rules.questions[name].how)}"


def _beside(answer: ReadyAnswer, state: AskedCase, read: ReadQuestion | None) -> Iterator[str]:
    """A figure that is named beside answers and values of this tire; without one, what those are."""
    rules, forms = state.judge.rules, forms_of(state.judge.rules)
    text = read.text if read is not None else ""
    match = forms.figure.search(text) or forms.around("to-a-figure", "", rf"\s+(?P<bare>{FIGURE})\b").search(text)
    bare = match["bare"] if match is not None and "bare" in match.re.groupindex else None
    yield from _beside_its_limits(answer, text, state)
    readings = {
        name: reading for name in answer.held_beside if (reading := reading_of(state.facts.get(name))) is not None
    }
    unit = next((str(reading.unit) for name, reading in readings.items() if name in rules.questions), "")
    for name, reading in readings.items():
        of = rules.questions.get(name) or rules.values[name]
        given: Measure | None = None
        with suppress(Misread):  # a bare figure is in the unit of the answer
            given = read_measure(bare or match[0], reading.quantity, unit) if match is not None else None
        if given is None:
            yield f"{capitalized(of.name)}: {reading}."
            continue
        here = reading.to(given.unit)
        apart = replace(given, low=abs(given.low - here.high), high=abs(given.low - here.high), typed="")
        side = "is" if not apart.low else f"lies {apart} {'above' if given.low > here.high else 'below'}"
        yield f"{given} {side} {of.name}, {reading}."


def _beside_its_limits(answer: ReadyAnswer, text: str, state: AskedCase) -> Iterator[str]:
    """A figure that is named beside those limits of a ready text that are of its quantity and may be passed."""
    match, rules = forms_of(state.judge.rules).figure.search(text), state.judge.rules
    for name in answer.limits if match is not None and not answer.held_beside else ():
        limit = limit_by(rules.tables[name], state.facts, rules) if name in rules.tables else rules.limits.get(name)
        if match is None or limit is None or not limit.worse:
            continue
        with suppress(Misread):
            given = read_measure(match[0], limit.figures[0].quantity)
            yield f"{reading_beside(given, limit.figure_for(given), limit)} ({capitalized(limit.says)}.)"


def why_about(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Why the verdict is so; or why something matters: the rulings that look at it, or why it is asked."""
    if subject is not None and subject.limits and forms_of(state.judge.rules).has("figure-word", read.text):
        return figure_asked(subject, state, read)
    if subject is None or subject.weak:
        return _why_figure(state, read) or _why_verdict(state, read)
    if (laid_down := why_method(subject, state)) is not None:
        return laid_down
    blocks, bases = blocks_and_bases(reasons_told(reasons_on(subject, state), state))
    question = state.judge.rules.questions.get(subject.question)
    if question is not None and not subject.as_if:
        blocks.insert(0, state.filled(question.why))
    if not blocks:
        blocks, bases = blocks_and_bases(
            (*caution_blocks(subject.cautions, state), *limit_blocks(subject.limits, state))
        )
    if not blocks:
        return _why_verdict(state, read) if state.now.verdict is not Verdict.REPAIR else None
    name = called(subject, state)
    title = Block(f"{capitalized(name)}:", role="title")
    deciding = state.now.deciding or ()
    if (
        (state.now.settled or on_hold(state.now))
        and state.now.verdict is not Verdict.REPAIR
        and not {r.says for r in deciding} & {label for label, _ in bases}
    ):
        first, own = blocks_and_bases(reasons_told(deciding[:2], state))
        return told_as("why", [*first, title, *word_block(subject, state), *blocks], (*own, *bases), kind="why")
    return told_as("why", [title, *word_block(subject, state), *blocks, *_share(subject, state)], bases, kind="why")


def _why_figure(state: AskedCase, read: ReadQuestion) -> Message | None:
    """Where a figure comes from that is named: a limit's own text, or the answers that it was worked out of."""
    named = figures_named_here(read, state)
    bases = tuple((each.says, each.basis) for each in named if each.basis is not None)
    rows: list[Said] = []
    for each in named:
        whose = tuple(whose_lines(each.basis, state)) if each.basis is not None else ()
        rows += [each.worked_out, *whose] if each.worked_out is not None else [Block(capitalized(each.says), whose)]
    found = told_as("why", rows, bases, kind="why")
    return replace(found, subject=named[0].id) if found else None


def _why_verdict(state: AskedCase, read: ReadQuestion) -> Message:
    found = why(state.judge, state.case, state.now)
    named = [each for each in ("repair", "refer", "hold", "scrap") if each in read.words]
    if named and str(state.now.verdict) not in named:
        found = Message("why", (f"It is not {named[0].upper()}.", *found.blocks), parts=found.parts)
    return replace(found, intent="why", sources=deciding_bases(state))


def why_not_about(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What stands against a verdict or a method; repair where nothing is named."""
    from advisor.explain.why_not import why_not

    rules, text = state.judge.rules, " ".join(read.words)
    for each in read.subjects:
        if (laid_down := why_method(each.subject, state)) is not None:
            return laid_down
    for method in rules.methods.values():
        names = {each.replace("-", " ") for each in (method.id, *method.formerly)}
        if any(name in read.text.casefold().replace("-", " ") for name in names):
            return replace(why_not(state.judge, state.now, method.id), intent="why-not", subject=method.id)
    verdict = next((each for each in ("refer", "hold", "scrap") if each in text.split()), "repair")
    if verdict == str(state.now.verdict) and state.now.verdict is not Verdict.REPAIR:
        return _why_verdict(state, read)
    found = why_not(state.judge, state.now, verdict)
    return replace(found, intent="why-not", subject=verdict, sources=deciding_bases(state))


def method_of(subject: AskedSubject, state: AskedCase) -> Method | None:
    """The method that a subject is."""
    names = (name.replace("_", " ").casefold().replace("-", " ") for name in names_of(subject, state.judge.rules))
    return next(filter(None, (method_named(name, state.judge) for name in names)), None)


def why_method(subject: AskedSubject, state: AskedCase) -> Message | None:
    """Why the method that is laid down is that one: what asks for it, and what keeps the lesser one out."""
    from advisor.explain.why_not import why_not

    methods, method = state.judge.rules.methods, None if subject.weak else method_of(subject, state)
    if method is None or method.id != state.now.method:
        return None
    lesser = [each for each in methods.values() if each.rank < method.rank and each.ending]
    below = max(lesser, key=lambda each: each.rank, default=None)
    blocks, bases = blocks_and_bases(reasons_told(state.now.deciding or (), state))
    told = [f"{method.title}: that is the method laid down for this tire.", state.filled(method.says), *blocks]
    if below is not None:
        told += why_not(state.judge, state.now, below.id).blocks
    own, more = blocks_and_bases(caution_blocks(subject.cautions[:1], state))
    return replace(Message("why", (*told, *own), intent="why", sources=(*bases, *more)), subject=subject.id)


def why_asked_about(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Why a question is asked, and the endings that it can bring."""
    from advisor.explain.why import why_asked

    name = subject.question if subject is not None else state.asked[0] if state.asked else ""
    open_now = dict.fromkeys(key[0] for key in (*state.now.measure_again, *state.now.missing))
    if not name and (subject is None or subject.weak) and state.before is None and len(open_now) == 1:
        name = next(iter(open_now))  # the one answer that is open is what it is asked of
    if not name:
        return None
    question = state.judge.rules.questions[name]
    title = Block(f"{capitalized(question.name)}:", role="title")
    return told_as("why-ask", [title, *why_asked(state.judge, name).blocks], (), [{"question": name}], "why")


def how_to(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """How something is found out, measured or done: the question's own help, or the step of the work."""
    open_now = {key[0] for key in (*state.now.measure_again, *state.now.missing)}
    if (subject is None or subject.weak) and read.kind("of-a-reading") and len(open_now) == 1:
        name = next(iter(open_now))  # the one answer that is open is what is read
        own = (each for each in reader_of(state.judge.rules).subjects.values() if each.question == name)
        subject = next((each for each in own if not each.weak), subject)
    if subject is None:
        return None
    question = state.judge.rules.questions.get(subject.question)
    if question is not None and question.how and not subject.steps:
        name = f"{capitalized(question.name)}"
        how = state.filled(question.how)
        told, bases = blocks_and_bases(caution_blocks(_what_tells_it(subject, read), state))
        return told_as(
            "how-to",
            [
                f"{name}: {how}",
                *told[:MOST_WITH_TEXT],
                *sketch_lines(replace(subject, sketch=subject.sketch or question.id), state),
            ],
            bases[:MOST_WITH_TEXT],
            [{"question": question.id, "how": how}],
        )
    blocks, bases = blocks_and_bases(step_blocks(_whole_part(subject, state, read), state))
    looked_for = (
        [state.judge.rules.questions[name] for name in subject.as_if] if question is None and not blocks else []
    )
    for each in (*([question] if question is not None else []), *looked_for):
        if each.how:
            blocks.append(f"{capitalized(each.name)}: {state.filled(each.how)}")
    if blocks and question is None:
        worst = [name for name in subject.cautions if state.judge.rules.cautions[name].hazard in HAZARDS[:2]]
        told, more = blocks_and_bases(caution_blocks(worst[:1], state))
        blocks, bases = [*told, *blocks], (*more, *bases)
    if looked_for:
        names = dict.fromkeys((*subject.cautions, *_what_tells_it(subject, read)))
        told, bases = blocks_and_bases(list(caution_blocks(names, state))[:MOST_WITH_TEXT])
        blocks += told
    return told_as("how-to", blocks, bases)


def _whole_part(subject: AskedSubject, state: AskedCase, read: ReadQuestion) -> tuple[str, ...]:
    """The steps of a subject; where a part of the work is asked for all that stand under its headings, in order."""
    methods = state.judge.rules.methods
    method = methods.get(state.now.method) or next((each for each in methods.values() if len(each.steps) > 1), None)
    if method is None or not subject.steps or not read.kind("part-of-the-work"):
        return subject.steps
    own = [step for step in method.steps if step.id in subject.steps and step.stages]
    headings = {STAGE_HEADINGS[step.stages[0]] for step in own}
    part = tuple(step.id for step in method.steps if step.stages and STAGE_HEADINGS[step.stages[0]] in headings)
    return part or subject.steps


def _what_tells_it(subject: AskedSubject, read: ReadQuestion) -> tuple[str, ...]:
    """The cautions of what is to be told from something else, or known for what it is."""
    named = [each.subject for each in read.subjects if read.kind("tells-apart") and not each.subject.weak]
    near = (each for each in named if each is subject or each.as_if)
    return tuple(dict.fromkeys(name for each in near for name in each.cautions))


def _share(subject: AskedSubject, state: AskedCase) -> Iterator[str]:
    """The pressure found as a share of what it should be."""
    share = state.now.values.get("pressure-share")
    if subject.question in (inputs.FOUND_PRESSURE, inputs.RUN_LOW) and share is not None:
        found, due = (state.case.get("tire", (name, TIRE)) for name in (inputs.FOUND_PRESSURE, inputs.SET_PRESSURE))
        yield f"Found at {found} of {due}: {value_in_words(share)} of the pressure that it should have."


def _dimension(read: ReadQuestion, state: AskedCase) -> tuple[str, ...]:
    """Of what quantities a figure is that is asked for; none where the words do not say."""
    kinds = state.judge.rules.intents.items()
    return next((each.quantities for name, each in kinds if each.quantities and read.kind(name)), ())


def _of_dimension(names: tuple[str, ...], read: ReadQuestion, state: AskedCase) -> tuple[str, ...]:
    """The limits that are of what is asked: a time where it is how long; all where the words do not say."""
    wanted, rules = _dimension(read, state), state.judge.rules

    def is_of(name: str) -> bool:
        own = [row.limit for row in rules.tables[name].rows] if name in rules.tables else [name]
        return any(each in rules.limits and rules.limits[each].figures[0].quantity in wanted for each in own)

    return tuple(name for name in names if is_of(name)) if wanted else names


def has_figure_of_step(subject: AskedSubject, state: AskedCase, read: ReadQuestion) -> bool:
    """Whether a subject is a step of the work for which a figure of the dimension asked for stands."""
    return bool(_dimension(read, state) and subject.steps and _of_dimension(subject.limits, read, state))


def figure_asked(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """How much something may be or takes: the limits, and what was found here; else the step in which it is said.

    Where nothing is named it is asked of the limits that decide.
    """
    if subject is None:
        deciding = tuple(each.limit.id for each in state.now.deciding or () if each.limit is not None)
        subject = AskedSubject("", limits=tuple(dict.fromkeys(deciding))) if deciding else None
    if subject is None:
        return None
    others = {
        name
        for each in read.subjects
        if each.subject is not subject and not each.subject.weak
        for name in each.subject.limits
    }
    asked_of = _of_dimension(subject.limits, read, state)
    if subject.limits and not asked_of:
        return None
    subject = replace(subject, limits=(read.kind("law") and limits_of_law(asked_of, state)) or asked_of)
    both = [name for name in subject.limits if name in others]
    tested = tested_limits(state.now, state.judge.rules)
    rules = state.judge.rules
    held = [
        name
        for name in subject.limits
        if name in tested or (name in rules.tables and any(row.limit in tested for row in rules.tables[name].rows))
    ]
    elsewhere = None if both else _not_in_crown(subject, state, read, bool(held))
    rows = list(limit_blocks(both or held or subject.limits, state))[:MOST_FIGURES_SHOWN]
    if elsewhere is not None:
        return elsewhere
    if not rows:
        rows = list(step_blocks(subject.steps, state))[:2]
    blocks, bases = blocks_and_bases(rows)
    question = rules.questions.get(subject.question) or _measured_by(held or subject.limits, state)
    if rows and question is not None:
        key = state.key(question)
        found = state.case.get(question.over, key)
        if found is not None:
            blocks.append(f"Answered here: {question_in_words(key, rules)}, {value_in_words(found, question)}.")
        asked = _figure_in(read, question, state)
        of_asked = list(_within(asked, held or subject.limits, state))
        if beside := [*of_asked, *(_within(found, held, state) if not of_asked else ())]:
            status: list[Said] = [status_line(state)] if state.now.verdict is not Verdict.REPAIR else []
            if status and read.kind("why"):
                status += _reason_rows(state)
            blocks = [*status, *beside, *blocks]
        blocks = [*_share(subject, state), *blocks]
    worked_out = [*_far_out(subject.limits, state), *_worked_out(subject.limits, state)]
    return told_as("how-much", [*worked_out, *blocks] if blocks else (), bases)


def _far_out(limits: Iterable[str], state: AskedCase) -> Iterator[str]:
    """How far each injury lies inside or outside the crown's end, where some limits are those that tell where it is."""
    if {*limits} & border_limits(state.judge.rules):
        for injury in state.now.walk.tire.each("injuries"):
            yield from map(capitalized, how_far_out(injury, state.judge.rules))


def _of_that_alone(answer: ReadyAnswer, state: AskedCase) -> Iterator[str]:
    """The figures worked out of nothing but the answer to the question that a ready text is about."""
    subjects = (state.judge.rules.subjects.get(one) for each in answer.about for one in each.split("/"))
    about = {subject.question for subject in subjects if subject is not None and subject.question}
    of = {name: FUNCTIONS[value.function] for name, value in state.judge.rules.values.items()}
    yield from _values_here({name for name, each in of.items() if each.unit and {*each.reads} == about}, state)


def _values_here(names: Container[str], state: AskedCase) -> Iterator[str]:
    for name, value in state.now.values.items():
        if name in names and value is not None and reading_of(value) is not None:
            yield f"Worked out here: {state.judge.rules.values[name].name}, {value_in_words(value)}."


def _worked_out(limits: Iterable[str], state: AskedCase) -> Iterator[str]:
    """The figures worked out of the answers that are held against some limits, or are made with them."""
    rules, names = state.judge.rules, {*limits}
    tests = (leaf for ruling in rules.rulings() for leaf in leaves(ruling.when))
    held = {leaf.subject for leaf in tests if leaf.test == "beyond" and names & {*leaf.operand}}
    made = {value.id for value in rules.values.values() if names & {*value.figures.values()}}
    return _values_here(held | made, state)


def _figure_in(read: ReadQuestion, question: Question, state: AskedCase) -> Answer | None:
    """The figure that is asked about, where the question takes it; none where it is said to be more than that."""
    forms = forms_of(state.judge.rules)
    match = forms.figure.search(read.text)
    if match is not None and question.kind == "measure" and not forms.has("open-ended", read.text):
        with suppress(Misread):
            return read_typed(question, match[0])
    return None


def _measured_by(names: Iterable[str], state: AskedCase) -> Question | None:
    """The question whose answer the rulings hold against one of some limits."""
    rules = state.judge.rules
    tests = (leaf for ruling in rules.rulings() for leaf in leaves(ruling.when))
    held = (leaf.subject for leaf in tests if leaf.subject in rules.questions and {*names} & {*leaf.operand})
    return rules.questions[name] if (name := next(held, "")) else None


def _not_in_crown(subject: AskedSubject, state: AskedCase, read: ReadQuestion, held: bool) -> Message | None:
    """That no such figure counts outside the crown: at the place named, else where the one injury lies."""
    question = state.judge.rules.questions.get(subject.question)
    if question is None or question.id != inputs.INJURY_SIZE:
        return None
    named = next((each.subject for each in read.subjects if inputs.INJURY_ZONE in each.subject.as_if), None)
    place = Choice(named.as_if[inputs.INJURY_ZONE]) if named else state.facts.get("zone")
    if not isinstance(place, Choice) or place.id in ("crown", "cant-tell"):
        return None
    first = (
        f"These rules hold no figure of {question.name} against an injury in the {place.id}: "
        "those of a nail hole are for the crown and do not count there."
    )
    if named is not None and (then := _as_if("how-much", named, state)):
        return replace(then, blocks=(first, *then.blocks))
    names_another = any(each.subject.as_if or each.subject.question == inputs.VEHICLE for each in read.subjects)
    if held or named or names_another or len(state.case.injuries) != 1:
        return None
    return told_as("how-much", [first, status_line(state)], deciding_bases(state))


def figures_everywhere(subject: AskedSubject, state: AskedCase) -> Message | None:
    """Every figure of something, each with what it is for, whatever holds here."""
    tables = state.judge.rules.tables
    names = (row.limit for name in subject.limits if name in tables for row in tables[name].rows)
    plain = (name for name in subject.limits if name not in tables)
    blocks, bases = blocks_and_bases(limit_blocks(dict.fromkeys((*names, *plain)), state))
    found = told_as("how-much", blocks, bases)
    return replace(found, subject=subject.id) if found else None


def _within(found: Answer | None, held: Iterable[str], state: AskedCase) -> Iterator[str]:
    """A reading beside the strictest limit that it was held against: which side, by how much, what the figure does."""
    reading, rules = reading_of(found), state.judge.rules
    if reading is None:
        return
    rows = (
        limit_by(rules.tables[name], state.facts, rules) if name in rules.tables else rules.limits[name]
        for name in held
    )
    limits = [each for each in rows if each and each.worse and each.figure_for(reading).quantity == reading.quantity]
    if met := strictest((limit.figure_for(reading), limit) for limit in limits):
        yield reading_beside(reading, *met)


def what_is(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """A term of the trade in a sentence or two, with its sketch where it has one."""
    if subject is None:
        return None
    named = [
        each.subject
        for each in sorted(read.subjects, key=lambda each: each.at)
        if each.subject.word and not each.subject.weak
    ]
    several = named[:3] if subject in named and forms_of(state.judge.rules).has("joins", read.text) else [subject]
    blocks = [block for each in several for block in word_block(each, state)]
    if not blocks:
        return None
    return told_as("what-is", [*blocks, *sketch_lines(subject, state)])


def difference(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Two things beside each other."""
    two = [each.subject for each in sorted(read.subjects, key=lambda each: each.at) if each.subject.word][:2]
    if len(two) < 2:
        return None
    blocks = [block for each in two for block in word_block(each, state)]
    found = told_as(
        "difference",
        [Block(f"{' or '.join(state.judge.rules.words[each.word].title for each in two)}:", role="title"), *blocks],
    )
    return replace(found, subject=" ".join(each.id for each in two)) if found else None


def may(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Whether something may be: what the rules bring where it is so, and what they say of it. It never coaches."""
    if subject is None:
        return None
    if subject.as_if:
        return _as_if("may", subject, state)
    question = state.judge.rules.questions.get(subject.question)
    if question is not None and question.kind == "choice" and not (subject.limits or subject.cautions):
        return (found := matters(subject, state, read)) and replace(found, intent="may")
    if subject.limits and question is not None and state.case.get(question.over, state.key(question)) is not None:
        return (found := figure_asked(subject, state, read)) and replace(found, intent="may")
    blocks, bases = blocks_and_bases((*caution_blocks(subject.cautions, state), *limit_blocks(subject.limits, state)))
    first, last = ([], [status_line(state)])[:: 1 if state.now.verdict is Verdict.REPAIR else -1]
    return told_as("may", [*first, *blocks[:MOST_CAUTIONS], *last] if blocks else (), bases)


def _as_if(intent: str, subject: AskedSubject, state: AskedCase) -> Message | None:
    then = state.judge.judge(with_changed(state, subject.as_if.items()))
    same = (then.verdict, then.ending, then.restrictions) == (
        state.now.verdict,
        state.now.ending,
        state.now.restrictions,
    )
    first = "No difference. " if same and intent != "may" else ""
    blocks: list[Said] = [f"{first}{_where_so(subject, then, state)}"]
    hold = {reason.ruling for reason in then.reasons}
    told, bases = blocks_and_bases(reasons_told([r for r in reasons_on(subject, state) if r.ruling in hold], state))
    cautions, more = blocks_and_bases(caution_blocks(subject.cautions[:2], state))
    lifted = [name for name in state.now.restrictions if name not in then.restrictions]
    if lifted and state.now.verdict is then.verdict:
        says = tuple(state.filled(state.judge.rules.restrictions[name].says) for name in lifted)
        told.append(Block(NOT_BARRED_THERE, says, "title"))
    if then.missing and not then.settled:
        told.append(
            Block("To be answered then:", tuple(questions_in_words(then.missing, state.judge.rules)[:4]), "title")
        )
    return told_as(intent, [*blocks, *told, *cautions], (*bases, *more))


#: Ahead of the restrictions that fall away with what is supposed.
NOT_BARRED_THERE = "What restricts it now does not restrict it there:"


def matters(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Whether an answer matters: how the case would end with each other one."""
    if subject is None or not (subject.question or subject.as_if):
        of_verdict = forms_of(state.judge.rules).has("verdict-word", read.text)
        found = mattered(subject, state, read) if of_verdict else said_of(subject, state, read)
        return found and replace(found, intent="mattered" if of_verdict else "matters")
    question = state.judge.rules.questions.get(subject.question)
    if question is None or question.kind != "choice":
        return _as_if("matters", subject, state) if subject.as_if else _where_it_turns(subject, state, read)
    by_end = dict[str, list[str]]()
    for choice in question.choices:
        then = state.judge.judge(with_changed(state, [(question.id, choice.id)]))
        by_end.setdefault(outcome_told(then, state), []).append(choice.says)
    uncovered: list[Said] = []
    if question.id == inputs.VEHICLE:
        uncovered = [Block("What these rules do not cover:", ("; ".join(state.judge.rules.about.not_for),), "title")]
    if len(by_end) == 1:
        first = f"{capitalized(question.name)}: no difference here. Whichever it is, it stays: {next(iter(by_end))}"
        return told_as("matters", [first, *uncovered])
    rows = tuple(f"{'; '.join(names)}: {end}" for end, names in by_end.items())
    return told_as(
        "matters",
        [
            Block(
                f"It makes a difference. By {question.name.removeprefix('the ')}, with all else as it is:",
                rows,
                "title",
            ),
            *uncovered,
        ],
    )


def applies(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Whether a rule is of a vehicle or a wheel that is named: what it brings there; nothing where it says nothing.

    It goes by the rulings of what was spoken of last, else by all that hold now, judged with that vehicle or wheel.
    """
    named = _wheel_or_vehicle(read, state)
    if not named:
        return None
    then = state.judge.judge(with_changed(state, named.items()))
    of_last = {label for label, _ in state.before.sources} if state.before is not None else set[str]()
    of_named = set(subject.limits) if subject is not None and not subject.as_if else set[str]()
    rulings = {ruling.id: ruling for ruling in state.judge.rules.rulings()}

    def is_of(reason: Reason) -> bool:
        tests = list(leaves(rulings[reason.ruling].when)) if reason.ruling in rulings else []
        operands = {name for leaf in tests for name in leaf.operand}
        of_place = any(named.get(leaf.subject) in leaf.operand for leaf in tests)
        return bool(operands & of_named) if of_named else of_place or reason.says in of_last

    found = [reason for reason in then.reasons if reason.verdict is not Verdict.REPAIR and is_of(reason)]
    blocks, bases = blocks_and_bases(reasons_told(found, state))
    if not blocks:
        return None
    says = [value_in_words(Choice(choice), state.judge.rules.questions[name]) for name, choice in named.items()]
    return told_as(
        "applies",
        [f"{capitalized(', '.join(says))}, with all else as it is: {outcome_told(then, state)}", *blocks],
        bases,
    )


def _wheel_or_vehicle(read: ReadQuestion, state: AskedCase) -> dict[str, str]:
    """The vehicle and the wheel position that a question names; none where it names several."""
    words, found = " ".join(read.typed), dict[str, str]()
    for name in (inputs.VEHICLE, inputs.WHEEL_POSITION):
        question = state.judge.rules.questions.get(name)
        for choice in question.choices if question is not None else ():
            names = "|".join(re.escape(each) for each in (choice.id.replace("-", " "), *choice.also) if len(each) > 1)
            if re.search(rf"\b(?:{names})(?:s|es)?\b", words):
                if name in found:
                    return {}
                found[name] = choice.id
    of_place = (each.subject.as_if for each in read.subjects if inputs.WHEEL_POSITION in each.subject.as_if)
    if inputs.WHEEL_POSITION not in found and (as_if := next(of_place, None)):
        found[inputs.WHEEL_POSITION] = as_if[inputs.WHEEL_POSITION]
    return found


def turning_points(state: AskedCase, name: str = "") -> tuple[str, ...]:
    """Each measured answer, or those to one question, with the figure at which the verdict would be another."""
    from advisor.explain.least_change import turns

    rules = state.judge.rules
    own = [each for each in turns(state.judge, state.case, state.now) if name in ("", each.key[0])]
    return tuple(
        f"{question_in_words(each.key, rules)}, {each.measured}: {each.at} it would be "
        f"{headline(each.there, state.judge)}"
        for each in own
    )


def _where_it_turns(subject: AskedSubject, state: AskedCase, read: ReadQuestion) -> Message | None:
    rows: list[Said] = list(turning_points(state, subject.question))
    question = state.judge.rules.questions[subject.question]
    given = state.case.get(question.over, state.key(question)) is not None
    core = {key[0] for key in explained(state.judge, state.now).core}
    if not rows and given and state.now.settled and core and question.id not in core:
        first = f"No: other answers decide. As far as it was tried no other reading of {question.name} changes it."
        rows = [first, status_line(state), *_reason_rows(state)]
    elif not rows and forms_of(state.judge.rules).has("verdict-word", read.text):
        rows = list(_at_other_readings(question, state))
    restricts = [reason for reason in reasons_on(subject, state) if reason.verdict is None] if rows else []
    warns = [name for name in subject.cautions if name in state.now.cautions]
    besides, bases = blocks_and_bases((*reasons_told(restricts, state), *caution_blocks(warns[:MOST_WITH_TEXT], state)))
    if rows and besides:
        rows += [Block("What it brings all the same:", role="title"), *besides]
    nothing_asked = ReadQuestion("", (), (), (), ())
    return (
        told_as("matters", rows, (*deciding_bases(state), *bases))
        or figure_asked(subject, state, nothing_asked)
        or why_asked_about(subject, state, nothing_asked)
    )


#: So many times a reading it is tried with where no limit stands near it: up to a quarter off either way.
_TRIED_TIMES = tuple(1 + Fraction(step, 2 * 2 * 2) for step in (-2, -1, 1, 2))


def _at_other_readings(question: Question, state: AskedCase) -> Iterator[Said]:
    """Whether the verdict is another at readings far from the one that was given."""
    key = state.key(question)
    reading = reading_of(state.case.get(question.over, key))
    if reading is None or not reading.low:
        return
    there = list[str]()
    for times in _TRIED_TIMES:
        figure = replace(reading, low=reading.low * times, high=reading.low * times, typed="")
        then = state.judge.judge(with_figure(state.case, key, figure.low, str(figure.unit), state.judge))
        if (then.verdict, then.ending) != (state.now.verdict, state.now.ending):
            there.append(f"At {figure} it would be {headline(then, state.judge)}")
    yield (
        Block("It can change it:", tuple(there), "title")
        if there
        else (f"No: as far as it was tried no other reading of {question.name} changes the verdict.")
    )
    yield status_line(state)


def _reason_rows(state: AskedCase) -> list[Said]:
    return blocks_and_bases(reasons_told((state.now.deciding or ())[:2], state))[0]


def danger(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What can hurt: of the subject, else of this tire and this work, the worst first."""
    rules = state.judge.rules
    own = subject is not None and bool(subject.cautions)
    names = list(subject.cautions) if own and subject is not None else list(state.now.cautions)
    names.sort(key=lambda name: (not own and name in rules.about.always, HAZARDS.index(rules.cautions[name].hazard)))
    if own:  # and of this tire, whatever is asked about
        of_tire = sorted(state.now.cautions, key=lambda name: HAZARDS.index(rules.cautions[name].hazard))
        names = list(dict.fromkeys((*names, *of_tire[:1])))
    blocks, bases = blocks_and_bases(caution_blocks(names[:MOST_CAUTIONS], state))
    if len(names) > MOST_CAUTIONS:
        blocks.append(f"And {len(names) - MOST_CAUTIONS} more: type cautions, or always.")
    held = state.now.verdict is Verdict.SCRAP or on_hold(state.now)
    first: list[Said] = [status_line(state), Block("So:", state.judge.do_now(state.now), "title")]
    if not held:
        first = []
    return told_as("danger", [*first, Block("What can hurt, the worst first:", role="title"), *blocks], bases)


def must(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Whether something has to be: whether a law has it so or the trade, and what it says."""
    if subject is None:
        return None
    rows = [*caution_blocks(subject.cautions[:2], state), *step_blocks(subject.steps[:2], state)]
    blocks, bases = blocks_and_bases(rows or list(limit_blocks(subject.limits, state))[:2])
    if not blocks:
        return matters(subject, state, read) if subject.question and not subject.weak else None
    decides = [key[0] for key in explained(state.judge, state.now).core]
    if (
        subject.question
        and decides
        and subject.question not in decides
        and state.now.settled
        and state.now.verdict is not Verdict.REPAIR
    ):
        blocks.insert(0, f"Whatever it reads, it stays {str(state.now.verdict).upper()}: other answers decide.")
    return told_as("must", [blocks[0], law_in_short(bases, state), *blocks[1:]], bases)


def happens(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What comes of something: what the rules warn of."""
    if subject is None or subject.weak:
        return None
    blocks, bases = blocks_and_bases(
        (
            *reasons_told(reasons_on(subject, state) if subject.as_if else (), state),
            *caution_blocks(subject.cautions, state),
        )
    )
    return told_as("happens", blocks[:MOST_CAUTIONS], bases[:MOST_CAUTIONS])


def next_step(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What to do now: what the verdict has done, what is still open, and the first steps of the work."""
    rules, now = state.judge.rules, state.now
    if subject is not None and subject.steps and read.kind("part-of-the-work") and read.kind("how-to"):
        return how_to(subject, state, read)
    blocks: list[Said] = [
        headline(now, state.judge),
        Block("Do now:", tuple(Block(each, role="item") for each in state.judge.do_now(now)), "title"),
    ]
    if now.missing and not now.settled:
        blocks.append(Block("To answer next:", tuple(questions_in_words(now.missing, rules)[:3]), "title"))
    if now.measure_again:
        blocks.append(Block("Look or measure again:", tuple(questions_in_words(now.measure_again, rules)), "title"))
    steps = [each.step.title for each in state.steps if not each.shown][:6] if now.method else []
    if steps:
        blocks.append(Block("The work begins with:", ("; ".join(steps), "all of it: steps, or work"), "title"))
    return told_as("next", blocks, deciding_bases(state))


def _of_another_vehicle(state: AskedCase, read: ReadQuestion) -> bool:
    """Whether a question names a vehicle that the case is not of."""
    named = any(each.subject.question == inputs.VEHICLE for each in read.subjects)
    return named and not {*str(state.case.get("tire", (inputs.VEHICLE, TIRE))).split("-")} & {*read.words}


def verdict_now(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Whether it can be repaired: the verdict, and what brings it; none where a figure is supposed."""
    if any(word[:1].isdigit() for word in read.words) or _of_another_vehicle(state, read):
        return None
    if subject is not None and subject.as_if:
        return _as_if("may", subject, state)
    blocks, bases = blocks_and_bases(reasons_told((state.now.deciding or ())[:3], state))
    alone = [
        f"Injury {number} taken by itself: {str(part.verdict).upper()}."
        for number, part in enumerate(state.now.injuries, 1)
        if part.verdict is not state.now.verdict and len(state.now.injuries) > 1
    ]
    return told_as("verdict", [headline(state.now, state.judge), *blocks, *alone, *_open(state)], bases, kind="why")


def injury_alone(state: AskedCase, read: ReadQuestion) -> Message | None:
    """What counts for the injury that is asked about, taken by itself."""
    part = state.now.injuries[state.injury or 0]
    blocks, bases = blocks_and_bases(reasons_told((r for r in part.reasons if r.verdict is part.verdict), state))
    found = told_as("may" if read.fits(("leave", "may")) else "about", [*blocks, status_line(state)], bases, kind="why")
    return replace(found, subject=ONE_INJURY) if found else None


#: What an answer is about that is of one injury of several.
ONE_INJURY = "one-injury"


def _open(state: AskedCase) -> Iterator[Said]:
    if state.now.missing and not state.now.settled:
        yield Block("Not answered yet:", tuple(questions_in_words(state.now.missing, state.judge.rules)[:4]), "title")


def tell(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What to tell the driver, the customer or the boss."""
    blocks: list[Said] = list(section_blocks(verdict_card(state.now, state.judge), ("driver",)))
    steps = [state.filled(each.step.tell_driver) for each in state.steps if each.step.tell_driver]
    blocks += [Block("And of the work:", tuple(dict.fromkeys(steps)), "title")] if steps else []
    after = state.judge.rules.answers.get("driver-after") if state.now.verdict is Verdict.REPAIR else None
    told = ready_text(after, state) if after is not None else None
    blocks += told.blocks if told is not None else ()
    restrictions = [state.filled(state.judge.rules.restrictions[name].says) for name in state.now.restrictions]
    if forms_of(state.judge.rules).has("chief", read.text):
        blocks.insert(0, status_line(state))
        blocks += restrictions
    return told_as("tell", blocks, (*deciding_bases(state), *(told.sources if told is not None else ())))


def write_down(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What goes into the record."""
    rules = state.judge.rules
    planned = [each.step for each in state.steps if set(each.step.stages) & {"record"}]
    named = [step.id for step in planned] or ["return", "write-tire", "write-injury", "write-history"]
    blocks, bases = blocks_and_bases(step_blocks(dict.fromkeys(named), state))
    if (what := rules.answers.get("record-what")) is not None:
        blocks.insert(0, state.filled(what.says))
    record = rules.about.record
    if record is not None:
        blocks.append(
            Block(
                f"{record.title}, where the law binds ({basis_told(record.basis, state)}):",
                ("; ".join(name for name, _ in record.lines), *map(state.filled, record.keep)),
                "title",
            )
        )
        bases = (*bases, (record.title, record.basis))
    return told_as(
        "write-down", [*blocks, "The report has all of it on one page: advisor report, or type report."], bases
    )


def show(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """A drawing: the sketch of what was named, else those that the answers allow."""
    from advisor.drawings.selection import left_out_lines, pictures_for, terminal_lines

    if subject is not None and (
        found := list(sketch_lines(replace(subject, sketch=subject.sketch or subject.question), state))
    ):
        return told_as("show", [*word_block(subject, state), *found])
    pictures = pictures_for(state.now, state.judge)
    lines = [line for picture in pictures for line in ("", *terminal_lines(picture, 76))]
    kept = tuple("\u2800" * (len(line) - len(line.lstrip(" "))) + line.lstrip(" ") for line in lines)
    return told_as("show", kept or left_out_lines(state.now, state.judge) or ("Nothing to draw yet.",))


def not_checked(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What was not looked at: answers that lack or are in doubt, what these rules do not cover, what was looked for."""
    rules, now = state.judge.rules, state.now
    answered = [
        question_in_words(key, rules)
        for key in now.walk.reached
        if str(state.case.get(rules.questions[key[0]].over, key)) == "cant-tell"
    ]
    blocks: list[Said] = ["It has not seen the tire: it goes by the answers as they were given."]
    if subject is not None and not subject.weak and not subject.question and (told := said_of(subject, state, read)):
        blocks = [
            f"It asks nothing of {called(subject, state)}; what these rules say of it holds all the same.",
            *told.blocks,
        ]
    if subject is not None and not subject.weak and subject.question:
        key = state.key(of := rules.questions[subject.question])
        given = state.case.get(of.over, key)
        name = capitalized(question_in_words(key, rules))
        says = "not answered, so it was not looked at" if given is None else value_in_words(given, of)
        how = (f"How: {state.filled(of.how)}",) if given is None and of.how else ()
        blocks.insert(0, Block(f"{name}: {says}.", how))
    for title, names in (
        ("Not answered, though it could decide:", questions_in_words(now.missing, rules)),
        ("Answered with can't tell:", answered),
        ("Not answered, and not needed for the verdict:", _not_needed(state)),
        ("What these rules do not cover:", list(rules.about.not_for)),
    ):
        if names:
            blocks.append(Block(title, ("; ".join(dict.fromkeys(names)),), "title"))
    return told_as("not-checked", blocks)


def _not_needed(state: AskedCase) -> list[str]:
    rules, case, missing = state.judge.rules, state.case, {key[0] for key in state.now.missing}
    asked = {node.asks for node in rules.nodes.values() if node.optional and node.asks}
    names = [rules.questions[name] for name in asked if name not in missing and rules.questions[name].over == "tire"]
    return sorted(each.name for each in names if case.get("tire", (each.id, TIRE)) is None)


def mattered(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Which answers decide."""
    rules = state.judge.rules
    found = explained(state.judge, state.now)

    def row(key: Key) -> str:
        question = rules.questions[key[0]]
        return f"{question_in_words(key, rules)}: {value_in_words(state.case.get(question.over, key), question)}"

    blocks: list[Said] = [headline(state.now, state.judge), *_open(state)]
    if not found.core and not found.rest and len(blocks) < 2:
        return None
    if found.core:
        blocks.append(Block("These answers bring it:", tuple(map(row, found.core)), "title"))
    near = turning_points(state)[:MOST_FIGURES_SHOWN]
    if near:
        blocks.append(Block("Nearest to another verdict, the nearest first:", near, "title"))
    if found.rest:
        blocks.append(Block("These keep it from being anything else:", tuple(map(row, found.rest)), "title"))
    return told_as("mattered", blocks, deciding_bases(state), kind="why")


def said_of(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """What the rules say of something: the ready text about it alone, else its term, rulings, figures and cautions."""
    if subject is None or subject.weak:
        return None
    for answer in state.judge.rules.answers.values():
        if answer.about == (subject.id,):
            return replace(found, subject=subject.id) if (found := ready_text(answer, state)) else None
    rows = (
        *list(reasons_told(reasons_on(subject, state) if subject.as_if else (), state))[:2],
        *list(limit_blocks(subject.limits, state))[:2],
        *list(caution_blocks(subject.cautions[:2], state)),
        *list(step_blocks(subject.steps, state))[:1],
    )
    blocks, bases = blocks_and_bases(rows)
    if not blocks:
        return None  # a term alone answers only what it is
    told = [*word_block(subject, state), *blocks]
    title = Block(f"What these rules say of {called(subject, state)}:", role="title")
    return told_as("about", [title, *told], bases)


def restricted(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Where the tire may not go for all its verdict, and what brings that."""
    told = [state.filled(state.judge.rules.restrictions[name].says) for name in state.now.restrictions]
    barring = (reason for reason in state.now.reasons if reason.verdict is None)
    blocks, bases = blocks_and_bases(reasons_told(barring if told else (), state))
    first = [status_line(state)] if told else [status_line(state), "No wheel is barred to it by what was answered."]
    return told_as("restriction", [*first, *blocks], bases, kind="why")


def about_rules(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion) -> Message | None:
    """Which rules these are, for what, and who has the last word."""
    about = state.judge.rules.about
    return told_as(
        "rules",
        [
            f"{about.title} ({about.id}), edition {about.edition}. {about.scope}",
            f"The last word: {'; '.join(about.defers_to)}.",
        ],
    )


Answering = Callable[[AskedSubject | None, AskedCase, ReadQuestion], Message | None]
#: By kind of question what answers it; the others (what-if and the like) are in `dialogue/intents.py`.
ANSWERS_BY_KIND: dict[str, Answering] = {
    "why": why_about,
    "why-not": why_not_about,
    "why-ask": why_asked_about,
    "how-to": how_to,
    "how-much": figure_asked,
    "what-is": what_is,
    "difference": difference,
    "may": may,
    "matters": matters,
    "applies": applies,
    "danger": danger,
    "must": must,
    "happens": happens,
    "next": next_step,
    "verdict": verdict_now,
    "tell": tell,
    "write-down": write_down,
    "show": show,
    "not-checked": not_checked,
    "mattered": mattered,
    "rules": about_rules,
    "restriction": restricted,
    "about": said_of,
}
BASES_BY_KIND = {"law": law, "who-says": who_says, "clause": who_says, "firm": who_says}
#: The kinds whose answer is of the subject that is named.
OF_A_SUBJECT = frozenset(
    (
        *(
            "how-to",
            "how-much",
            "what-is",
            "difference",
            "may",
            "matters",
            "applies",
            "must",
            "happens",
            "about",
            "why",
            "why-ask",
        ),
        *("danger", "show", "not-checked"),
    )
)
