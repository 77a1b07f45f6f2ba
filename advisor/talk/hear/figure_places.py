"""Which question a figure answers: by the word beside it, by its unit, by what is spoken of; never by guessing."""

from __future__ import annotations

from fractions import Fraction

from advisor.model.case import Key
from advisor.model.rules import Question, RuleSet
from advisor.quick import dataclass, replace
from advisor.talk.hear.figures import Figure
from advisor.talk.hear.injuries import Injuries
from advisor.talk.hear.marks import Clause, Mark
from advisor.units import exactly

MOST_AWAY = 4
#: Two labels at one figure, the one ahead and the one behind, and what they mean together.
TOGETHER = {
    ("tread-depth", "cut-depth"): "tread-depth",
    ("tread-depth", "injury-size"): "tread-width",
    ("casing-thickness", "cut-depth"): "casing-thickness",
    ("bulge-height", "injury-size"): "",
}
#: Openings whose one figure is their width; of a cut it may be its length as well.
ROUND = frozenset({"hole", "holes", "injury", "nail hole", "screw hole", "nail holes", "puncture", "punctures"})
#: Words that may tell the width of the object as well as that of the injury.
OF_OBJECT = frozenset({"measures", "measured", "size", "wide", "across", "diameter", "in diameter", "dia", "width"})
WHICH_PRESSURE = "the pressure found, or the one it should have?"


@dataclass(slots=True)
class Placed:
    """Where a figure goes: question (empty: nowhere), as a case file writes it, and why it is asked back."""

    question: str
    written: str = ""
    why: str = ""
    labels: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Spoken:
    """What a figure's clause is about: the injury, the question asked, the label of the figure before."""

    rules: RuleSet
    injuries: Injuries
    asked: Key | None
    last: str
    opening_ahead: bool = False
    injury_named: bool = False


def placed(mark: Mark, clause: Clause, spoken: Spoken) -> Placed:
    """Where one figure goes."""
    figure = mark.figure
    assert figure is not None
    place = clause.marks.index(mark)
    ahead, behind = clause.marks[:place], clause.marks[place + 1 :]
    figure = _with_about(figure, ahead, behind)
    before, after = _label(ahead[::-1], figure, spoken), _label(behind, figure, spoken, 2)
    question, labels = _by_label(before, after)
    near = [each for each in ahead[-2:] if not each.has("filler") or each.has("bound", "no")]
    if any(each.has("no") for each in near):
        return Placed("", why=f"{mark.text}: denied" if question else "")
    if any(each.has("bound") for each in near) or (behind and behind[0].has("bound") and not behind[0].has("label")):
        return Placed("", why=f"a bound is no reading: {mark.text}", labels=labels) if question else Placed("")
    if figure.crossed or _crossed_before(clause, place):
        opening = "injury-size|" if clause.having("opening") or spoken.injuries.count else ""
        return Placed("", why=f"{opening}{mark.text}: which is across, which is along?")
    if question:
        return _checked(question, figure, mark, clause, spoken, labels, behind)
    return _unlabelled(figure, mark, clause, spoken, place)


def corrected(figure: Figure, question: Question, mark: Mark, clause: Clause) -> Placed | None:
    """A figure that corrects the one before, where it stands by itself and is of the same kind."""
    around = [each for each in clause.marks if each is not mark]
    alone = all(each.idle or each.has("no", "about", "opening", "thing", "label") for each in around)
    if not alone or not _fits(question, figure) or question.id == "offset":
        return None
    written, doubt = _with_unit(figure, question)
    return Placed(question.id, written, "; ".join(text for text in (figure.ask, doubt) if text))


def _with_about(figure: Figure, ahead: list[Mark], behind: list[Mark]) -> Figure:
    near = [mark for mark in ahead[-2:] if mark.has("about")]
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
                    if _fits(spoken.rules.questions.get(question), figure):
                        return question, mark
        if mark.has("thing", "opening") or not (
            mark.has("filler", "about", "perhaps", "bound") or mark.text in (":", "between")
        ):
            return None
    return None


def _fits(question: Question | None, figure: Figure) -> bool:
    if question is None or not question.quantity or question.kind == "clock":
        return False
    quantity = figure.quantity or ("length" if figure.fraction else "")
    return not quantity or question.quantity == quantity


def _by_label(before: tuple[str, Mark] | None, after: tuple[str, Mark] | None) -> tuple[str, tuple[Mark, ...]]:
    if before and after and before[0] != after[0]:
        marks = (before[1], after[1])
        if (before[0], after[0]) in TOGETHER:
            return TOGETHER[(before[0], after[0])], marks
        if before[0].endswith("pressure"):
            return before[0], (before[1],)
        return after[0], marks
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
    written, doubt = _with_unit(figure, spoken.rules.questions[question])
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
    if question == "injury-size" and _measured_from(clause, behind):
        return "a distance, or the size?"
    thick = any(mark.text in ("thick", "thickness") for mark in labels)
    if question == "casing-thickness" and thick and not any("casing" in mark.text for mark in clause.marks):
        return "-"
    if question == "cut-depth" and not (openings or spoken.injuries.kind == "opening"):
        return "how deep what is?"
    if question == "injury-angle" and clause.having("warmth"):
        return "-"
    return ""


def _offset(figure: Figure, clause: Clause, labels: tuple[Mark, ...]) -> Placed:
    words = " ".join(mark.text for mark in clause.marks)
    signed = figure.low.startswith("-") or Fraction(figure.low.split("/")[0].split(" ")[0] or "0") == 0
    if not signed and "serial side" not in words:
        return Placed("", why="toward the serial side (plus), or away from it (minus)?", labels=labels)
    away = not signed and any(word in words for word in ("away", "opposite", "other", "not", "from the serial"))
    written = figure.written("mm")
    return Placed("offset", f"-{written}" if away else written, figure.ask, labels)


def _too_much_for_bar(figure: Figure, question: Question) -> bool:
    """Whether a bare pressure can only be in psi: in bar it would be more than is plausible."""
    if question.unit != "psi" or question.plausible is None:
        return False
    return exactly(figure.low, "bar").to("psi").low > question.plausible.high


def _with_unit(figure: Figure, question: Question) -> tuple[str, str]:
    """The figure as written, with the question's unit where none was said, and whether that is asked back."""
    if figure.unit or figure.fraction:
        return figure.written(), ""
    if question.unit == "32nds" and figure.low.isdigit():
        ends = [f"{end}/32" for end in (figure.low, figure.high) if end]
        return f"{'about ' if figure.about else ''}{'-'.join(ends)} in", "no unit was said; 32nds of an inch were taken"
    written = figure.written(question.unit)
    if question.unit == "deg" or _too_much_for_bar(figure, question):
        return written, ""
    return written, f"no unit was said; {question.unit} was taken"


def _unlabelled(figure: Figure, mark: Mark, clause: Clause, spoken: Spoken, place: int) -> Placed:
    quantity = figure.quantity or ("length" if figure.fraction else "")
    bare = all(other is mark or other.idle or other.has("about") or _between(other, figure) for other in clause.marks)
    if spoken.asked and bare and _fits(spoken.rules.questions.get(spoken.asked[0]), figure):
        written, doubt = _with_unit(figure, spoken.rules.questions[spoken.asked[0]])
        return Placed(spoken.asked[0], written, "; ".join(text for text in (figure.ask, doubt) if text))
    if quantity == "angle":
        return _angle(figure, clause, spoken)
    if quantity == "length":
        return _length(figure, mark, clause, spoken, place, bare)
    if quantity == "temperature":
        return Placed("", why=f"shop-temperature|{mark.text}: of the air where you work?")
    return Placed("")


def _angle(figure: Figure, clause: Clause, spoken: Spoken) -> Placed:
    after = [each.text for each in clause.marks if each.figure is None and each.start == figure.end]
    if clause.having("warmth") or after[:1] in (["outside"], ["out"], ["today"]):
        return Placed("", why="shop-temperature|degrees of what: Celsius or Fahrenheit?")
    if clause.having("valve-side"):
        return Placed("clock", figure.written())
    words = " ".join(mark.text for mark in clause.marks)
    if any(
        text in words
        for text in ("to the tread", "from the surface", "to the surface", "from the tread", "off the tread")
    ):
        return Placed("", why="injury-angle|from square to the tread, or from its surface? Straight in is 0")
    if spoken.injuries.count:
        return Placed("injury-angle", figure.written())
    return Placed("", why="injury-angle|the angle of what?")


def _length(figure: Figure, mark: Mark, clause: Clause, spoken: Spoken, place: int, bare: bool) -> Placed:
    if "/32" in figure.written() or figure.unit == "32nds":
        if spoken.last == "tread-depth" and bare:
            return Placed("tread-depth", figure.written())
        if not spoken.injuries.count and not spoken.injury_named:
            return Placed("tread-depth", figure.written(), "32nds of an inch, with no word of what they measure")
        return Placed("", why=f"tread-depth|{mark.text}: the tread depth?")
    after = clause.marks[place + 1] if place + 1 < len(clause.marks) else None
    ahead = [each for each in clause.marks[:place] if not each.has("filler", "about", "perhaps")]
    of_object = bool(ahead) and ahead[-1].has("thing") and not ahead[-1].has("opening", "said")
    behind = [each for each in clause.marks[place + 1 :] if not any(how == "injury-zone" for how, _ in _given(each))]
    if behind and behind[0].text in ROUND and not of_object:
        return Placed("injury-size", figure.written(), figure.ask)
    if of_object or (after is not None and after.has("thing") and not after.has("said", "opening")):
        return Placed("", why="injury-size|the size of the object, or of the injury cleaned to sound rubber?")
    if _measured_from(clause, clause.marks[place + 1 :]):
        return Placed("", why=f"injury-size|{mark.text}: a distance, or the size?")
    openings = [each for each in clause.having("opening", "said") if each.has("opening") or each.text in ROUND]
    if openings and not all(each.text in ROUND for each in openings):
        return Placed("", why="injury-size|is that across, or along the cut?")
    if (
        spoken.injuries.kind == "opening"
        and not openings
        and bare
        and spoken.injuries.now >= 0
        and spoken.last == "cut"
    ):
        return Placed("", why="injury-size|is that across, or along the cut?")
    strange = [each for each in clause.marks if each is not mark and _strange(each) and not _between(each, figure)]
    if (spoken.injuries.now >= 0 or openings or (spoken.opening_ahead and bare)) and not strange:
        return Placed("injury-size", figure.written(), figure.ask)
    return Placed("", why=f"injury-size|{mark.text}: of what?")


def _measured_from(clause: Clause, behind: list[Mark]) -> bool:
    """Whether a figure counts from somewhere: 20 mm in from the shoulder."""
    return any(
        mark.text.startswith(("from", "off"))
        or (mark.has("beside") and mark.text not in ("and", "or", "over", "under"))
        for mark in behind
    )


def _given(mark: Mark) -> list[tuple[str, str]]:
    return [given for sense in mark.senses if sense.how in ("said", "noun") for given in sense.gives]


def _between(mark: Mark, figure: Figure) -> bool:
    return mark.text == "between" and bool(figure.high)


def _strange(mark: Mark) -> bool:
    """Whether a mark beside a bare size may mean that the size is of something else: an unknown word, a label."""
    if mark.kind in ("word", "sign"):
        return True
    return mark.has("label", "time-of-day", "road", "repair-named", "bound") and not mark.has("thing", "opening")
