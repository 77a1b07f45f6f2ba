"""A field of a step that says whether the step passed, such as a leak test: what its words say."""

from __future__ import annotations

import re

from advisor.engine.judgement_types import PlannedStep
from advisor.loader.answer_codec import is_cant_tell, plain
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import StepField
from advisor.work.progress import Work, key_of

#: Words that take back what was said to pass; whatever they go with, the test has not passed.
_BUT = re.compile(r"\b(?:not|no|but|except|never|nearly|almost|only|maybe|perhaps|think|until|still|yet)\b|n't\b")
#: Words that may stand beside what a test shows without making it anything else.
_SMALL = re.compile(
    r"an?|the|some|few|small|big|tiny|one|two|of|at|on|in|to|by|from|round|around|under|it|its|is|are|was|there|i|we|see|saw|"
    r"found|yes|and|or|but|still|not|again|now|air|came|comes?|coming|out|all|any|little|slow"
)


def has_passed(field: StepField, text: str) -> bool:
    """Whether a reading says that the step passed. Raises Misread where it says neither."""
    rest = _without_passes(field, text)
    if _fails(field, rest):
        return False
    if rest == plain(text) or is_cant_tell(text) or _BUT.search(rest) or not is_of_test(field, text):
        raise Misread(f'"{shown(text, 40)}"', f'either "{field.example}" or what was seen, such as: {field.fails[0]}s')
    return True


def is_of_test(field: StepField, text: str) -> bool:
    """Whether a line says what such a test shows, and nothing besides."""
    rest = _without_passes(field, text)
    if rest == plain(text) and not _fails(field, rest):
        return False
    return "?" not in text and all(fits_beside(field, word) or _fails(field, word) for word in spoken_words(rest))


def names_failure(field: StepField, text: str) -> bool:
    """Whether a line has one of the words by which a test fails, be it to say that there was none."""
    return _fails(field, plain(text))


def has_failed(field: StepField, text: str) -> bool:
    """Whether a line says that the step did not pass."""
    return _fails(field, _without_passes(field, text))


def fits_beside(field: StepField, word: str) -> bool:
    """Whether a word may stand beside what a field shows without making it anything else."""
    return (
        bool(_SMALL.fullmatch(word))
        or word in field.places
        or word in spoken_words(plain(field.name).replace("'s", ""))
    )


def spoken_words(text: str) -> list[str]:
    """The words of a text, and its figures."""
    return re.findall(r"[^\W_]+(?:'\w+)?", text)


def failed_field(work: Work, planned: PlannedStep) -> StepField | None:
    """The field of a step whose last reading says that the step did not pass."""
    for field in planned.step.fields:
        last = work.reading_of(key_of(planned), field.id)
        if last is not None and last.failed:
            return field
    return None


def _without_passes(field: StepField, text: str) -> str:
    rest = plain(text)
    for phrase in sorted(field.passes, key=len, reverse=True):
        rest = re.sub(rf"\b{re.escape(phrase)}\b", " ", rest)
    return rest


def _fails(field: StepField, text: str) -> bool:
    return any(re.search(rf"\b{re.escape(word)}", text) for word in field.fails)
