"""Which of several injuries a question is about: by its number, its order, or as the one in the rubber alone."""

from __future__ import annotations

from advisor.explain.sentence_forms import Forms
from advisor.model import inputs
from advisor.model.case import Case, Choice

_SHALLOW = Choice("rubber-only")
#: Its number is no measure and no part of one.
_NUMBER = r"\s+#?(\d)(?![\w./:]|\s*(?:\d|{unit}))"


def injury_named(text: str, case: Case, forms: Forms) -> tuple[int | None, str]:
    """The injury that a question names, from 0, and the words that name it; None where it names none of several."""
    if len(case.injuries) <= 1:
        return None, ""
    if match := forms.around("numbered-injury", "", _NUMBER.format(unit=forms.unit)).search(text):
        place = int(match[1]) - 1
        return (place, match[0]) if place in range(len(case.injuries)) else (None, "")
    shallow = [place for place, each in enumerate(case.injuries) if each.get(inputs.INJURY_DEPTH) == _SHALLOW]
    named = list(enumerate(_ORDER[: len(case.injuries)]))
    if len(shallow) == 1:
        named.append((shallow[0], "shallow-injury"))
    found = ((place, forms.around(name).search(text)) for place, name in named)
    return next(((place, match[0]) for place, match in found if match), (None, ""))


def left_unnamed(text: str, forms: Forms) -> str:
    """A text in which an injury that is named by its number or its order is it."""
    number = forms.around("numbered-injury", r"(?:\b(?:the|a)\s+)?", _NUMBER.format(unit=forms.unit))
    for pattern in (number, *(forms.around(name) for name in _ORDER)):
        text = pattern.sub("it", text)
    return text


_ORDER = ("first-injury", "second-injury", "third-injury")
