"""The report as data: tire, injuries, measures as typed, verdict, reasons, steps, cautions, the driver's part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from msgspec import Struct

from advisor.drawings.scene import Picture
from advisor.drawings.selection import distance_lines, pictures_for
from advisor.engine.conditions import compiled
from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.spelling_variant import spelled
from advisor.engine.templates import fill, value_in_words
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Text
from advisor.model.quantity import Measure, in_words
from advisor.model.ruleset import Question, Verdict
from advisor.wording.explanation import explain
from advisor.wording.verdict_card import (
    VERDICT_SIGNS,
    basis_in_words,
    limits_for_driver,
    where,
    where_it_stands,
    why_for_driver,
)
from advisor.work.one_page import OnePage, one_page, steps_for_driver
from advisor.work.progress import Work
from advisor.work.step_text import StepLine, loose_notes, step_report

NOT_MEASURED = "not measured"
NOT_ANSWERED = "not answered yet"
NOT_RECORDED = "not recorded"
#: Values that only say another one in another unit.
_TWICE = "-lb"
_NEVER_SAFE = "This report says what the rules named allow. It does not say that a tire or a repair is safe."
_INVENTED = "Some limits of this rule set are invented for the demo. It means nothing for a real tire."
#: What the driver does now, by verdict; the rules' own words stand above it.
_DRIVER_NOW = {
    Verdict.REPAIR: "Have the pressure looked at after the first drive. Stop for a bulge, a shake or a loss of air.",
    Verdict.REFER: "Do not drive on this tire until that place has decided.",
    Verdict.HOLD: "Do not drive on this tire until it has been looked at again.",
    Verdict.SCRAP: "Do not drive on this tire again. Have another one fitted.",
}


class RecordRow(Struct, frozen=True):
    """A name and what was found; `known` is False where nothing was."""

    name: str
    value: str
    known: bool = True


class RecordPart(Struct, frozen=True):
    """A table of rows under a title: the tire, an earlier repair, an injury, what was worked out."""

    title: str
    rows: tuple[RecordRow, ...]


class ReasonLine(Struct, frozen=True):
    """A reason with the verdict that it brings and what it rests on."""

    verdict: str
    says: str
    rests_on: str


class Driver(Struct, frozen=True):
    """The driver's part: what was found, why it may or may not be repaired, limits, what to do now, whose rules."""

    found: tuple[str, ...]
    why: tuple[str, ...]
    limits: tuple[str, ...]
    now: tuple[str, ...]
    by: str
    last_word: str


class RepairRecord(Struct, frozen=True):
    """What a law has stand in the record of a repair; a row without a value is written by hand. How long it is kept."""

    title: str
    rows: tuple[RecordRow, ...]
    keep: tuple[str, ...]
    rests_on: str


class Report(Struct, frozen=True):
    """All that a report says; a face only arranges it. `sign` is REPAIR, REFER, HOLD or SCRAP.

    `page` is what the first page has of it; `kept_as` and `hash` are the journal's, empty where none keeps it.
    """

    name: str
    day: date | None
    sign: str
    headline: str
    finished: bool
    do_now: tuple[str, ...]
    restrictions: tuple[str, ...]
    parts: tuple[RecordPart, ...]
    pictures: tuple[Picture, ...]
    distances: tuple[str, ...]
    reasons: tuple[ReasonLine, ...]
    method: str
    steps: tuple[StepLine, ...]
    notes: tuple[str, ...]
    cautions: tuple[tuple[str, str], ...]
    driver: Driver
    rules: tuple[str, ...]
    marks: tuple[str, ...]
    title: str
    #: The heading over what the tire is.
    tire_title: str
    technician: str
    page: OnePage
    record: RepairRecord | None = None
    kept_as: str = ""
    hash: str = ""


def report_of(
    judgement: Judgement, judge: Judge, name: str = "", technician: str = "", work: Work | None = None
) -> Report:
    """The report of a judgement; `name` is the case's, `work` what was done so far."""
    rules = judge.rules
    tire = judgement.walk.tire
    ending = rules.endings[judgement.ending]
    done = work or Work()
    return Report(
        name=name,
        day=tire.today,
        sign=VERDICT_SIGNS[judgement.verdict],
        headline=fill(ending.headline, tire, rules),
        finished=not judgement.missing,
        do_now=judge.do_now(judgement),
        restrictions=tuple(fill(rules.restrictions[r].says, tire, rules) for r in judgement.restrictions),
        parts=tuple(_parts(judgement, judge)),
        pictures=tuple(pictures_for(judgement, judge)),
        distances=distance_lines(judgement, judge),
        reasons=tuple(_reason(reason, judge) for reason in explain(judge, judgement).reasons),
        method=rules.methods[judgement.method].title if judgement.method else "",
        steps=tuple(step_report(judgement, judge, done)),
        notes=tuple(loose_notes(judgement, judge, done)),
        cautions=tuple(_cautions(judgement, judge)),
        driver=_driver(judgement, judge),
        rules=_rules(judge),
        marks=tuple(_marks(judge)),
        title=spelled("Tire report", rules),
        tire_title=spelled("Tire", rules),
        technician=technician,
        page=one_page(judgement, judge, done),
        record=_record(judgement, judge, technician),
    )


def _record(judgement: Judgement, judge: Judge, technician: str) -> RepairRecord | None:
    """The record that a law wants of a repair, where it binds the vehicle or may do so; of a repair alone."""
    form, tire = judge.rules.about.record, judgement.walk.tire
    if form is None or judgement.verdict is not Verdict.REPAIR:
        return None
    if compiled(judge.rules.terms[form.term].when, judge.rules)(tire) is False:
        return None
    print_ = tire.answers.get(judge.rules.question_now(inputs.SIDEWALL))
    places = ", ".join(_what_is_there(judgement, judge)).rstrip(".")
    method = judge.rules.methods[judgement.method].title if judgement.method else ""
    filled = {
        "tire-size": str(print_.text) if isinstance(print_, Text) else "",
        "day": tire.today.isoformat() if tire.today else "",
        "nature": "; ".join(filter(None, (method, places))),
        "technician": technician,
        "by-hand": "",
    }
    rows = tuple(RecordRow(name, filled[what], known=bool(filled[what])) for name, what in form.lines)
    keep = tuple(fill(text, tire, judge.rules) for text in form.keep)
    sources = " + ".join(judge.rules.sources[name].title for name in form.basis.sources)
    return RepairRecord(form.title, rows, keep, f"{sources}, {form.basis.clause} ({form.basis.standing})")


def _cautions(judgement: Judgement, judge: Judge) -> Iterator[tuple[str, str]]:
    """Hazard and words of every caution that counts, and of those that stand at a step of the plan; each once."""
    at_steps = (name for planned in judge.methods.plan(judgement) for name in planned.cautions)
    for name in dict.fromkeys((*judgement.cautions, *at_steps)):
        yield judge.rules.cautions[name].hazard, judge.caution_in_words(name, judgement)


def _reason(reason: Reason, judge: Judge) -> ReasonLine:
    brings = str(reason.verdict) if reason.verdict is not None else "restriction" if reason.restrictions else "caution"
    rests = basis_in_words(reason, judge.rules)
    return ReasonLine(
        "speaks for it" if reason.verdict is Verdict.REPAIR else brings, f"{where(reason)}{reason.says}", rests
    )


def _parts(judgement: Judgement, judge: Judge) -> Iterator[RecordPart]:
    """The tire, each earlier repair, each injury, and what was worked out."""
    tire = judgement.walk.tire
    yield RecordPart(spelled("The tire", judge.rules), tuple(_answers(tire, judgement, judge)))
    for facts in tire.each(inputs.OVER_REPAIRS):
        yield RecordPart(f"Earlier repair {facts.index + 1}", tuple(_answers(facts, judgement, judge)))
    for facts, part in zip(tire.each("injuries"), judgement.injuries, strict=False):
        rows = list(_answers(facts, judgement, judge))
        alone = f"{VERDICT_SIGNS[part.verdict]}{f', {judge.rules.methods[part.method].title}' if part.method else ''}"
        yield RecordPart(f"Injury {facts.index + 1}", (*rows, RecordRow("Taken alone", alone)))
    worked_out = tuple(_worked_out(judgement, judge))
    if worked_out:
        yield RecordPart("Worked out from the answers", worked_out)


def _answers(facts: Facts, judgement: Judgement, judge: Judge) -> Iterator[RecordRow]:
    """Each question that counts here, as it was answered; what was left out is shown as such."""
    asked = {visit.key for visit in judgement.walk.visits if visit.asked}
    for question in judge.rules.questions.values():
        if question.over != facts.over or judge.rules.input_of(question.id) in inputs.ONE_MORE:
            continue
        key = facts.key(question.id)
        answer = facts.answers.get(question.id)
        title = question.name[:1].upper() + question.name[1:]
        if answer is CANT_TELL:
            yield RecordRow(title, "can't tell", known=False)
        elif answer is not None:
            kept = "" if key in judgement.walk.reached else " (does not count now)"
            yield RecordRow(title, value_in_words(answer, question) + kept)
        elif key in asked:
            yield RecordRow(title, _why_empty(question, key in judgement.walk.missing), known=False)


def _why_empty(question: Question, missing: bool) -> str:
    if missing:
        return NOT_ANSWERED
    return NOT_MEASURED if question.kind in inputs.FIGURE_KINDS else NOT_RECORDED


def _worked_out(judgement: Judgement, judge: Judge) -> Iterator[RecordRow]:
    """Every measure that was worked out, rounded for people."""
    for label, value in judgement.values.items():
        name, _, index = label.partition("[")
        if isinstance(value, Measure) and value.unit != "times" and not name.endswith(_TWICE):
            where = f"Injury {int(index[:-1]) + 1}: " if index else ""
            said = judge.rules.values[name].name
            bare = Measure(value.low, value.high, value.unit)
            yield RecordRow(where + (said if where else said[:1].upper() + said[1:]), in_words(bare))


def _driver(judgement: Judgement, judge: Judge) -> Driver:
    deciding = judgement.deciding if judgement.verdict is not Verdict.REPAIR else ()
    found = tuple(dict.fromkeys(_sentence(reason.says) for reason in deciding))
    return Driver(
        found=found or _what_is_there(judgement, judge),
        why=(why_for_driver(judgement, judge),),
        limits=limits_for_driver(judgement, judge),
        now=(*steps_for_driver(judgement, judge), spelled(_DRIVER_NOW[judgement.verdict], judge.rules)),
        by=where_it_stands(judgement, judge),
        last_word=f"The last word: {'; '.join(judge.rules.about.defers_to)}.",
    )


def _what_is_there(judgement: Judgement, judge: Judge) -> tuple[str, ...]:
    """Size and zone of each injury, for a repair that has nothing to say against it."""
    lines = []
    for facts in judgement.walk.tire.each("injuries"):
        wanted = map(judge.rules.question_now, (inputs.INJURY_SIZE, inputs.INJURY_ZONE))
        named = [name for name in wanted if facts.answers.get(name) is not None]
        rows = [f"{judge.rules.questions[n].name} {_said(facts, n, judge)}" for n in named]
        lines += [_sentence(f"injury {facts.index + 1}: {', '.join(rows)}")] if rows else []
    return tuple(lines)


def _said(facts: Facts, name: str, judge: Judge) -> str:
    return value_in_words(facts.get(name), judge.rules.questions[name])


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith('.') else '.'}"


def _rules(judge: Judge) -> tuple[str, ...]:
    about = judge.rules.about
    return (
        f"{about.title} ({about.id}), edition {about.edition}, digest {judge.rules.digest}",
        f"The last word: {'; '.join(about.defers_to)}.",
        spelled(_NEVER_SAFE, judge.rules),
    )


def _marks(judge: Judge) -> Iterable[str]:
    """What has to stand out: figures of the rule set that are invented."""
    rules = judge.rules
    if any(row.basis.standing == "invented for the demo" for row in rules.units.values()):
        yield "The chart of repair units is invented for the demo. Use no size from it."
    if any(limit.basis.standing == "invented for the demo" for limit in rules.limits.values()):
        yield spelled(_INVENTED, rules)
