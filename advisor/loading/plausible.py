"""What an answer may be, typed or in a file: its range, a clock direction, words that stand for a figure."""

from __future__ import annotations

import re

from advisor.errors import Misread, shown
from advisor.measure_text import read_measure
from advisor.model.rules import Question
from advisor.quick import replace
from advisor.tire.clock import read_clock
from advisor.units import Measure, in_words

MOST_READINGS = 60
LONGEST_TEXT = 500
_LIKE_CLOCK = re.compile(r"\s*\d{1,4}\s*(?::|o'? ?clock|deg|°|\.\d|-)", re.IGNORECASE)


def checked(measure: Measure, question: Question) -> Measure:
    """The measure, if it lies in the question's plausible range; otherwise Misread, which names the range."""
    plausible = question.plausible
    if plausible is None:
        return measure
    here = measure.to(plausible.unit)
    if plausible.low <= here.low and here.high <= plausible.high:
        return measure
    raise Misread(shown(f'"{measure}"', 80), f"{question.name} from {in_words(plausible)}", "measure or type it again")


def clock_direction(question: Question, text: str) -> Measure | None:
    """The clock direction in a text, where the question takes one; None for a text without a clock or degrees.

    Raises Misread for 13:00 and the like.
    """
    if not question.or_clock or not _LIKE_CLOCK.match(text):
        return None
    try:
        return read_clock(text)
    except Misread as error:
        do = "give 12:00 for towards the serial side, 3:00 for on round the tire as the clock runs"
        raise Misread(error.found, "a choice, or a clock direction such as 1:30 or 1:00-2:00", do) from None


def said_figure(question: Question, text: str) -> Measure | None:
    """The figure that words stand for, such as a wear bar flush with the tread; None for other words."""
    figure = question.figures_said.get(" ".join(text.casefold().split()).rstrip(".!"))
    return replace(figure, typed=f"{text.strip()} ({figure})") if figure else None


def with_unit(text: str, question: Question) -> Measure:
    """The measure in a text; where its unit is missing, the error names the plausible range too. Raises Misread."""
    try:
        return read_measure(text, question.quantity)
    except Misread as error:
        if question.plausible is None or "without a unit" not in error.found:
            raise
        expected = f"{error.expected}, plausible from {in_words(question.plausible)}"
        raise Misread(error.found, expected, error.do, error.nearest) from None
