"""Which question a figure answers: by the word beside it, by its unit, by what is spoken of; never by guessing."""

from __future__ import annotations

from fractions import Fraction

from advisor.model.rules import Question
from advisor.quick import replace
from advisor.talk.hear.figure_alone import unlabelled
from advisor.talk.hear.figures import Figure
from advisor.talk.hear.marks import Clause, Mark
from advisor.talk.hear.placing import Placed, Spoken, fits, measured_from, with_unit

MOST_AWAY = 4
#: Two labels at one figure, the one ahead and the one behind, and what they mean together.
TOGETHER = {
    ("tread-depth", "cut-depth"): "tread-depth",
    ("tread-depth", "injury-size"): "tread-width",
    ("casing-thickness", "cut-depth"): "casing-thickness",
    ("bulge-height", "injury-size"): "",
}
#: Words that may tell the width of the object as well as that of the injury.
OF_OBJECT = frozenset({"measures", "measured", "size", "wide", "across", "diameter", "in diameter", "dia", "width"})
#: Long and wide, said of the repair unit.
OF_UNIT = {"injury-length": "unit-length", "injury-size": "unit-width"}
#: Why a figure counts for nothing: it isn't 30.
DENIED = "denied"
WHICH_PRESSURE = "the pressure found, or the one it should have?"


def placed(mark: Mark, clause: Clause, spoken: Spoken) -> Placed:
    """Where one figure goes."""
    figure = mark.figure
    assert figure is not None
    place = clause.marks.index(mark)
    ahead, behind = clause.marks[:place], clause.marks[place + 1 :]
    figure = _with_about(figure, ahead, behind)
    before, after = _label(ahead[::-1], figure, spoken), _label(behind, figure, spoken, 2)
    question, labels = _by_label(before, after)
    if spoken.of_unit:
        question = OF_UNIT.get(question, question)
    near = [each for each in ahead[-2:] if not each.has("filler") or each.has("bound", "no")]
    if any(each.has("no") for each in near):
        return Placed("", why=DENIED if question else "", labels=labels)
    if question in ("tread-depth", "") and any(each.has("required") for each in ahead[-2:]):
        return Placed("", why=f"what it has to be is no reading: {mark.text}", labels=labels)
    if any(each.has("bound") for each in near) or (behind and behind[0].has("bound") and not behind[0].has("label")):
        return Placed("", why=f"a bound is no reading: {mark.text}", labels=labels) if question else Placed("")
    if figure.crossed or _crossed_before(clause, place):
        opening = "injury-size|" if clause.having("opening") or spoken.injuries.count else ""
        return Placed("", why=f"{opening}{mark.text}: which is across, which is along?")
    if question:
        return _checked(question, figure, mark, clause, spoken, labels, behind)
    return unlabelled(figure, mark, clause, spoken, place)


def corrected(figure: Figure, question: Question, mark: Mark, clause: Clause) -> Placed | None:
    """A figure that corrects the one before, where it stands by itself and is of the same kind."""
    around = [each for each in clause.marks if each is not mark]
    alone = all(each.idle or each.has("no", "about", "opening", "thing", "label") for each in around)
    if not alone or not fits(question, figure) or question.id == "offset":
        return None
    written, doubt = with_unit(figure, question)
    return Placed(question.id, written, "; ".join(text for text in (figure.ask, doubt) if text))


def _with_about(figure: Figure, ahead: list[Mark], behind: list[Mark]) -> Figure:
    near = [mark for mark in ahead[-2:] if mark.has("about")]
    if near and ahead[-1] is not near[-1] and not ahead[-1].idle:
        near = []
    after = behind[:1] and behind[0].text in ("or so", "give or take", "more or less")
    return replace(figure, about=True) if near or after else figure


def _crossed_before(clause: Clause, place: int) -> bool:
    return any(mark.figure is not None and mark.figure.crossed for mark in clause.marks[max(0, place - 2) : place])


def _label(marks: list[Mark], figure: Figure, spoken: Spoken, most: int = MOST_AWAY) -> tuple[str, Mark] | None:
    """The nearest label of a fitting kind, before anything else that speaks of something."""
    for mark in marks[:most]:
        if mark.kind == "figure":
            return None
        for sense in mark.senses:
            if sense.how == "label":
                for question, _ in sense.gives:
                    if fits(spoken.rules.questions.get(question), figure):
                        return question, mark
        if mark.has("thing", "opening") or not (
            mark.has("filler", "about", "perhaps", "bound", "no") or mark.text in (":", "between")
        ):
            return None
    return None


def _by_label(before: tuple[str, Mark] | None, after: tuple[str, Mark] | None) -> tuple[str, tuple[Mark, ...]]:
    if before and after and before[0] != after[0]:
        marks = (before[1], after[1])
        if (before[0], after[0]) in TOGETHER:
            return TOGETHER[(before[0], after[0])], marks
        if before[0].endswith("pressure"):
            return before[0], (before[1],)
        return after[0], marks
    if before and after:
        return before[0], (before[1], after[1])
    one = before or after
    return (one[0], (one[1],)) if one else ("", ())


def _checked(
    question: str,
    figure: Figure,
    mark: Mark,
    clause: Clause,
    spoken: Spoken,
    labels: tuple[Mark, ...],
    behind: list[Mark],
) -> Placed:
    """A labelled figure, unless what stands about it speaks against the label."""
    why = _against(question, figure, clause, spoken, labels, behind)
    if why:
        return Placed("", why=why if why != "-" else "", labels=labels)
    if question == "offset":
        return _offset(figure, clause, labels)
    written, doubt = with_unit(figure, spoken.rules.questions[question])
    return Placed(question, written, "; ".join(text for text in (figure.ask, doubt) if text), labels)


def _against(
    question: str, figure: Figure, clause: Clause, spoken: Spoken, labels: tuple[Mark, ...], behind: list[Mark]
) -> str:
    bare = not figure.unit and not figure.fraction
    if bare and behind and not (behind[0].has("label", "filler", "perhaps") or behind[0].text in ("of", ":")):
        return "-"
    if bare and behind and behind[0].has("opening", "thing"):
        return "-"
    openings = clause.having("opening")
    if question == "injury-length" and not openings and (clause.having("thing") or spoken.injuries.kind == "thing"):
        return "how long the object is says nothing of the injury"
    if question == "injury-size" and any(mark.text in OF_OBJECT for mark in labels):
        things = [mark for mark in clause.having("thing") if clause.marks.index(mark) < clause.marks.index(labels[0])]
        if things and not openings:
            return "how wide the object is says nothing certain of the injury, cleaned to sound rubber"
    known = openings or spoken.injuries.count or spoken.opening_ahead or any(mark.has("cleaned") for mark in labels)
    if question in ("injury-size", "injury-length") and not known:
        return "of what?"
    if question == "injury-size" and measured_from(clause, behind):
        return "a distance, or the size?"
    thick = any(mark.text in ("thick", "thickness") for mark in labels)
    if question == "casing-thickness" and thick and not any("casing" in mark.text for mark in clause.marks):
        return "-"
    if question == "cut-depth" and not (openings or spoken.injuries.kind == "opening"):
        return "how deep what is?"
    if question == "set-pressure" and clause.having("capacity"):
        return "the most that the sidewall gives, or the pressure it should have?"
    if question == "tread-depth" and bare and not figure.low.isdigit():
        return "in 32nds of an inch, or in mm?"
    if question == "injury-angle" and clause.having("warmth"):
        return "-"
    return ""


def _offset(figure: Figure, clause: Clause, labels: tuple[Mark, ...]) -> Placed:
    words = " ".join(mark.text for mark in clause.marks)
    signed = figure.low.startswith("-") or Fraction(figure.low.split("/")[0].split(" ")[0] or "0") == 0
    if not signed and "serial side" not in words:
        return Placed("", why="offset|toward the serial side (plus), or away from it (minus)?", labels=labels)
    away = not signed and any(word in words for word in ("away", "opposite", "other", "not", "from the serial"))
    written = figure.written("mm")
    return Placed("offset", f"-{written}" if away else written, figure.ask, labels)
