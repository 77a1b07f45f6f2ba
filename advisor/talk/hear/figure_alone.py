"""Which question a figure answers that has no word beside it to tell: by its unit, and by what is spoken of."""

from __future__ import annotations

from advisor.talk.hear.figures import Figure
from advisor.talk.hear.mark_senses import beside
from advisor.talk.hear.marks import Clause, Mark
from advisor.talk.hear.placing import Placed, Spoken, between, fits, measured_from, with_unit

#: Openings whose one figure is their width; of a cut it may be its length as well.
ROUND = frozenset(
    {"hole", "holes", "injury", "injuries", "nail hole", "screw hole", "nail holes", "puncture", "punctures"}
)


def unlabelled(figure: Figure, mark: Mark, clause: Clause, spoken: Spoken, place: int) -> Placed:
    quantity = figure.quantity or ("length" if figure.fraction else "")
    bare = all(other is mark or other.idle or other.has("about") or between(other, figure) for other in clause.marks)
    if spoken.asked and bare and fits(spoken.rules.questions.get(spoken.asked[0]), figure):
        written, doubt = with_unit(figure, spoken.rules.questions[spoken.asked[0]])
        return Placed(spoken.asked[0], written, "; ".join(text for text in (figure.ask, doubt) if text))
    touched = spoken.rules.questions.get(spoken.touched)
    if touched is not None and bare and fits(touched, figure) and (figure.unit or touched.unit == "deg"):
        return Placed(touched.id, figure.written(touched.unit), f"{mark.text}: said of that?")
    if spoken.touched == "injury-depth" and bare and quantity == "length":
        return Placed("", why=f"injury-size|{mark.text}: across, or how deep?")
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
    if spoken.last == "tread-depth" and bare and clause.having("side"):
        return Placed("tread-depth", figure.written(), figure.ask)
    if "/32" in figure.written() or figure.unit == "32nds":
        if spoken.last == "tread-depth" and bare:
            return Placed("tread-depth", figure.written())
        if not spoken.injuries.count and not spoken.injury_named:
            return Placed("tread-depth", figure.written(), "32nds of an inch, with no word of what they measure")
        return Placed("", why=f"tread-depth|{mark.text}: the tread depth?")
    after = clause.marks[place + 1] if place + 1 < len(clause.marks) else None
    ahead = [each for each in clause.marks[:place] if not each.has("filler", "about", "perhaps")]
    if measured_from(clause, clause.marks[place + 1 :]):
        return Placed("", why=f"injury-size|{mark.text}: a distance, or the size?")
    if place > 1 and beside(clause.marks[place - 2]) and _given(clause.marks[place - 1]):
        return Placed("", why=f"injury-size|{mark.text}: a distance, or the size?")
    of_object = bool(ahead) and ahead[-1].has("thing") and not ahead[-1].has("opening", "said")
    behind = [each for each in clause.marks[place + 1 :] if not any(how == "injury-zone" for how, _ in _given(each))]
    if behind and behind[0].text in ROUND and not of_object:
        return Placed("injury-size", figure.written(), figure.ask)
    if of_object or (after is not None and after.has("thing") and not after.has("said", "opening")):
        return Placed("", why="injury-size|the size of the object, or of the injury cleaned to sound rubber?")
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
    strange = [each for each in clause.marks if each is not mark and _strange(each) and not between(each, figure)]
    if (spoken.injuries.now >= 0 or openings or (spoken.opening_ahead and bare)) and not strange:
        return Placed("injury-size", figure.written(), figure.ask)
    return Placed("", why=f"injury-size|{mark.text}: of what?")


def _given(mark: Mark) -> list[tuple[str, str]]:
    return [given for sense in mark.senses if sense.how in ("said", "noun") for given in sense.gives]


def _strange(mark: Mark) -> bool:
    """Whether a mark beside a bare size may mean that the size is of something else: an unknown word, a label."""
    if mark.kind in ("word", "sign"):
        return True
    return mark.has("label", "time-of-day", "road", "repair-named", "bound") and not mark.has("thing", "opening")
