"""What marks could give, and how they stand to each other."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.model.phrases import Given
from advisor.talk.hear.marks import Clause, Mark


def gives_of(mark: Mark, *hows: str) -> list[Given]:
    """What a mark could give, by any way of counting that is an answer."""
    wanted = hows or ("said", "doubtful", "alone", "noun", "denied")
    return [given for sense in mark.senses if sense.how in wanted for given in sense.gives]


def beside(mark: Mark) -> bool:
    """Whether a word says beside or away from, and not in: near the, from the, off the."""
    if mark.text in ("and", "or", "either", "over"):
        return False
    return mark.has("beside") or mark.text.split()[0] in ("from", "off")


def labels_for(mark: Mark, question: str) -> bool:
    """Whether a mark labels a question's figure."""
    return any(sense.how == "label" and (question, "") in sense.gives for sense in mark.senses)


def has_article(mark: Mark, clause: Clause) -> bool:
    """Whether an article stands right ahead: a bulge."""
    place = clause.marks.index(mark)
    return place > 0 and clause.marks[place - 1].text in ("a", "an", "one", "some")


def span_of(mark: Mark, labels: Sequence[Mark]) -> tuple[Mark, Mark]:
    """The first and the last of a figure's marks."""
    every = sorted([mark, *labels], key=lambda each: each.start)
    return every[0], every[-1]
