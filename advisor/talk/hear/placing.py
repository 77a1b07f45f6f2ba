"""Where a figure can go: what is known of its clause, whether it fits a question, and the unit it gets."""

from __future__ import annotations

from advisor.model.case import Key
from advisor.model.rules import Question, RuleSet
from advisor.quick import dataclass
from advisor.talk.hear.figures import Figure
from advisor.talk.hear.injuries import Injuries
from advisor.talk.hear.marks import Clause, Mark
from advisor.units import exactly

#: With "of" behind they tell from where something counts.
SIDES = frozenset({"left", "right", "inside", "outside", "inboard", "outboard", "inward", "outward"})


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
    of_unit: bool = False
    touched: str = ""


def fits(question: Question | None, figure: Figure) -> bool:
    """Whether a figure can be the answer: of the same quantity, and a clock direction never."""
    if question is None or not question.quantity or question.kind == "clock":
        return False
    quantity = figure.quantity or ("length" if figure.fraction else "")
    return not quantity or question.quantity == quantity


def _too_much_for_bar(figure: Figure, question: Question) -> bool:
    """Whether a bare pressure can only be in psi: in bar it would be more than is plausible."""
    if question.unit != "psi" or question.plausible is None:
        return False
    return exactly(figure.low, "bar").to("psi").low > question.plausible.high


def with_unit(figure: Figure, question: Question) -> tuple[str, str]:
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


def measured_from(clause: Clause, behind: list[Mark]) -> bool:
    """Whether a figure counts from somewhere: 20 mm in from the shoulder, 5 cm right of the rib."""
    texts = [mark.text for mark in behind[:2]]
    if texts[:1] and texts[0] in SIDES and texts[1:] == ["of"]:
        return True
    return any(
        mark.text.startswith(("from", "off"))
        or (mark.has("beside") and mark.text not in ("and", "or", "over", "under"))
        for mark in behind
    )


def between(mark: Mark, figure: Figure) -> bool:
    """Whether the mark is the word that opens a range, which the figure then is: between 8 and 10."""
    return mark.text == "between" and bool(figure.high)
