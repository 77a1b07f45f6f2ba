"""Which of several injuries a question is about: by its number, its order, or as the one in the rubber alone."""

from __future__ import annotations

from advisor.explain.sentence_forms import Forms
from advisor.model import inputs
from advisor.model.case import Case, Choice

_SHALLOW = Choice("rubber-only")
#: Its number is no measure and no part of one.
_NUMBER = r"\s+#?(\d)(?![\w./:]|\s*(?:\d|{unit}))"


def injury_named(text: str, case: Case, forms: Forms) -> int | None:
    """The injury that a question names, from 0; None where it names none of several."""
    count = len(case.injuries)
    if count <= 1:
        return None
    match = forms.around("numbered-injury", "", _NUMBER.format(unit=forms.unit)).search(text)
    number = int(match[1]) if match else next((n for n, name in enumerate(_ORDER, 1) if forms.has(name, text)), 0)
    if number:
        return number - 1 if number <= count else None
    shallow = [place for place, each in enumerate(case.injuries) if each.get(inputs.INJURY_DEPTH) == _SHALLOW]
    return shallow[0] if len(shallow) == 1 and forms.has("shallow-injury", text) else None


def left_unnamed(text: str, forms: Forms) -> str:
    """A text in which an injury that is named by its number or its order is it."""
    number = forms.around("numbered-injury", r"(?:\b(?:the|a)\s+)?", _NUMBER.format(unit=forms.unit))
    for pattern in (number, *(forms.around(name) for name in _ORDER)):
        text = pattern.sub("it", text)
    return text


_ORDER = ("first-injury", "second-injury", "third-injury")
