"""Whether one entry of a rule set is as strict as another: limits by figure, the rest by what they mean."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from advisor.engine.derived.registry import FUNCTIONS
from advisor.model.quantity import UNITS, Measure
from advisor.model.ruleset import Caution, Limit, Question, Step, StepField, WorkedOut, written_out

#: What may not differ between base and overlay; everything else is wording.
_MEANING = {
    "sources": ("kind", "read"),
    "questions": ("over", "key", "kind", "quantity", "unit", "choices", "worse", "worse_order", "not_ordered"),
    "values": ("over", "function", "figures", "reads"),
    "endings": ("verdict", "method"),
    "methods": ("rank", "when", "ending"),
    "cautions": ("hazard",),
}
#: What the files call otherwise.
_SAID = {"over": "about", "key": "in-case name"}


def what_loosened(kind: str, old: Any, new: Any) -> str:
    """The first thing beyond wording in which two entries differ, in words, or an empty text."""
    for name in _MEANING.get(kind, ()):
        before, after = getattr(old, name), getattr(new, name)
        if name == "choices":
            before, after = ([choice.id for choice in choices] for choices in (before, after))
        elif name == "when":
            before, after = written_out(before), written_out(after)
        if before != after and not (name == "figures" and _only_words_more(new, before, after)):
            return f"another {_SAID.get(name, name.replace('_', '-'))}"
    if kind == "questions" and (read := _read_otherwise(old, new)):
        return read
    if kind in ("endings", "methods") and not set(old.cautions) <= set(new.cautions):
        return "fewer cautions"
    if kind == "cautions" and not (set(old.do_now) <= set(new.do_now) and old.at_once <= new.at_once):
        return "fewer lines of what to do now, or not said at once"
    if kind == "methods" and not set(new.without) <= set(old.without):
        return "more stages left out"
    if kind == "cautions" and not _shown_wherever(old, new):
        return "fewer verdicts to stand beside"
    if kind in ("endings", "cautions", "restrictions") and not old.speaks.items() <= new.speaks.items():
        return "another side taken, or none"
    if kind == "restrictions" and not set(old.said_at) <= set(new.said_at):
        return "fewer steps to be said at"
    return _step(old, new) if kind == "steps" else _steps(old.steps, new.steps) if kind == "methods" else ""


def _read_otherwise(old: Question, new: Question) -> str:
    """The first way in which what is typed for a question counts as something else or milder, or an empty text."""
    meant = {word: choice.id for choice in old.choices for word in choice.also}
    for choice in new.choices:
        for word in choice.also:
            if meant.get(word, choice.id) != choice.id:
                return f'the word "{word}" under another choice'
    for word, limit in old.figures_by.items():
        if new.figures_by.get(word, limit) != limit:
            return f'the word "{word}" for another figure'
    if not set(new.left_out_by) <= set(old.left_out_by):
        return "more words that leave it out"
    if new.or_clock and not old.or_clock:
        return "a clock direction beside its choices"
    if old.plausible is not None and not _inside(new.plausible, old.plausible):
        return "readings that the base takes for slips"
    return ""


def _inside(range_: Measure | None, other: Measure) -> bool:
    """Whether a range reaches nowhere beyond another."""
    if range_ is None:
        return False
    own = range_.to(other.unit)
    return other.low <= own.low and own.high <= other.high


def _shown_wherever(old: Caution, new: Caution) -> bool:
    """Whether a caution stands at least wherever it stood."""
    wide = not new.fits or (bool(old.fits) and set(old.fits) <= set(new.fits))
    return wide and set(new.not_with) <= set(old.not_with)


def _only_words_more(value: WorkedOut, before: Mapping[str, str], after: Mapping[str, str]) -> bool:
    """Whether a value that only wording uses is given further figures, and keeps those of the base."""
    function = FUNCTIONS.get(value.function)
    wording = function is not None and not function.outcomes and not function.quantity
    return wording and before.items() <= after.items()


def _steps(old: Sequence[Step], new: Sequence[Step]) -> str:
    """What a method lacks of the steps that it had, in their order; more of them may stand between."""
    rest = iter(new)
    for step in old:
        found = next((each for each in rest if each.id == step.id), None)
        if found is None:
            return f"the step {step.id} missing or out of its order"
        if changed := _step(step, found):
            return f"{changed} at the step {step.id}"
    return ""


def _step(old: Step, new: Step) -> str:
    """The first thing beyond wording in which two steps of an id differ, in words, or an empty text."""
    if (written_out(old.when), old.once) != (written_out(new.when), new.once):
        return "another condition"
    if (written_out(old.done_where), old.waits_from, old.waits_for) != (
        written_out(new.done_where),
        new.waits_from,
        new.waits_for,
    ):
        return "another wait, or done where other answers show it,"
    if not set(old.stages) <= set(new.stages):
        return "fewer stages"
    if not (set(old.cautions) <= set(new.cautions) and set(old.figures) <= set(new.figures)):
        return "fewer cautions or figures"
    if not (set(old.asks) <= set(new.asks) and set(old.measures) <= set(new.measures)):
        return "fewer questions that it asks or measures anew"
    if old.tell_driver and not new.tell_driver:
        return "nothing to tell the driver"
    if not set(old.held_by) <= set(new.held_by):
        return "fewer holds"
    return next(filter(None, (_field(field, new.fields) for field in old.fields)), "")


def _field(old: StepField, fields: Sequence[StepField]) -> str:
    """How what is written down at a step is gone or milder, in words, or an empty text."""
    new = next((each for each in fields if each.id == old.id), None)
    if new is None:
        return f"{old.id} not written down"
    if new.kind != old.kind or (new.kept and not old.kept):
        return f"{old.id} of another kind, or kept for the next tire"
    if not set(old.fails) <= set(new.fails) or (old.fails and not set(new.passes) <= set(old.passes)):
        return f"fewer words by which {old.id} fails, or more by which it passes"
    if not set(old.places) <= set(new.places) or (old.failed and not new.failed):
        return f"fewer places of {old.id}, or nothing to do where it failed"
    return ""


def how_looser(old: Limit, new: Limit, decides: bool) -> str:
    """How a limit is looser than the one it replaces, in words; an empty text where it is nowhere looser.

    Held against each other once for every unit family, as a reading typed in it would be. `decides` is whether a
    worked-out value that decides goes by it, or words typed stand for it; without a worse side nobody can tell then
    which way is stricter.
    """
    if new.worse != old.worse:
        return f"{_side(new)} instead of {_side(old)}"
    if new.figures[0].quantity != old.figures[0].quantity:
        return f"a figure of {new.figures[0].quantity} instead of {old.figures[0].quantity}"
    if not old.worse:
        changed = decides and [figure.typed or str(figure) for figure in new.figures] != [
            figure.typed or str(figure) for figure in old.figures
        ]
        says = f"{new.figures[0]} instead of {old.figures[0]}"
        return f"{says}, by which something decides, and neither side is said to be worse" if changed else ""
    for family in dict.fromkeys(u.compared_in for u in UNITS.values() if u.quantity == old.figures[0].quantity):
        like = Measure(Fraction(0), Fraction(0), family)
        before, after = old.figure_for(like), new.figure_for(like)
        moved = after.to(family).low - before.to(family).low
        looser = moved > 0 if old.worse == "above" else moved < 0
        if looser:
            several = len(old.figures) > 1 or len(new.figures) > 1
            return f"{after} instead of {before}" + (f", for readings in {family}" if several else "")
        if moved == 0 and new.at_limit_passes and not old.at_limit_passes:
            return f"{after} itself passes, which fails in the base"
    return ""


def _side(limit: Limit) -> str:
    return f"{limit.worse} is worse" if limit.worse else "no worse side"
