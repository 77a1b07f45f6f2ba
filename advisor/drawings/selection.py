"""The pictures of a case and the distances between its repair units, for a face to show beside the verdict."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from msgspec.structs import replace

from advisor.domain.intervals import Figures
from advisor.drawings.drawn_for import TREAD_LIMIT, picture_of, sketch_of
from advisor.drawings.render_terminal import terminal_lines
from advisor.drawings.scene import Label, Names, Picture, SceneSpan
from advisor.drawings.views.cross_section import channel_picture, section_picture
from advisor.drawings.views.how_to_measure import path_sketch, place_sketch, tread_picture
from advisor.drawings.views.liner import PlaceMark, gap_words, near_picture, unrolled_picture
from advisor.engine.derived.injury import has_inner_end, lean_of
from advisor.engine.derived.spacing import PlacedUnit, gap_by_tape, liner_round, placed_units, taped_apart, unit_gaps
from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts, OneOf
from advisor.engine.judgement_types import Judgement
from advisor.engine.spelling_variant import spelled
from advisor.model import inputs
from advisor.model.case import Choice
from advisor.model.problems import Misread
from advisor.model.quantity import Measure
from advisor.model.ruleset import Limit, RuleSet, leaves

if TYPE_CHECKING:
    from advisor.engine.evaluator import Judge


__all__ = [
    "distance_lines",
    "left_out_lines",
    "picture_asked",
    "pictures_for",
    "places_together",
    "terminal_lines",
    "too_close_lines",
    "unit_typed",
]

_SECTION_NEEDS = (inputs.OFFSET, inputs.TREAD_WIDTH, inputs.CASING_THICKNESS, inputs.INJURY_ANGLE)
_PLACE_NEEDS = {
    "injuries": (inputs.CLOCK, inputs.OFFSET),
    inputs.OVER_REPAIRS: (inputs.REPAIR_CLOCK, inputs.REPAIR_OFFSET),
}
_MOST_CLOSE_UPS = 3
_KINDS: dict[str, Literal["injury", "earlier repair"]] = {
    "injuries": "injury",
    inputs.OVER_REPAIRS: "earlier repair",
}


def pictures_for(judgement: Judgement, judge: Judge, unit: Names | None = None, limits: bool = True) -> list[Picture]:
    """The pictures that the answers allow: a cross-section for each injury, and the tread unrolled.

    `unit` is the one that lengths are written in; without it, the one that the technician measured in. Without
    `limits` only what was measured is drawn, nothing that the rules say of it.
    """
    if not _can_draw(judge):
        return []
    names = unit or unit_typed(judgement, judge)
    tire = judgement.walk.tire
    sections = [picture for facts in tire.each("injuries") for picture in _sections(facts, judge, names, limits)]
    return [as_spelled(picture, judge.rules) for picture in (*sections, *_on_the_liner(tire, judge, names, limits))]


def places_together(judgement: Judgement, judge: Judge) -> list[Picture]:
    """The tread unrolled with every place that is known, and the close-ups of units that come near each other."""
    if not _can_draw(judge):
        return []
    pictures = _on_the_liner(judgement.walk.tire, judge, unit_typed(judgement, judge))
    return [as_spelled(picture, judge.rules) for picture in pictures]


def picture_asked(question: str, judge: Judge) -> Picture | None:
    """The picture that shows how to answer a question, where there is one: where the tread is read, how to measure."""
    which = picture_of(question, judge)
    if which == "tread":
        return tread_picture(int(judge.rules.limits[TREAD_LIMIT].figures[0].low))
    sketch = path_sketch() if which == "path" else place_sketch() if which == "place" else None
    return as_spelled(sketch, judge.rules) if sketch else None


def small_sketch(question: str, judge: Judge, columns: int) -> list[str]:
    """The sketch beside a question, without its sentences: which zone, how deep, how wide, which way, where to look."""
    which = sketch_of(question, judge)
    if not which:
        return []
    from advisor.drawings.render_terminal import drawn_lines
    from advisor.drawings.views import small

    picture = as_spelled(getattr(small, f"{which}_sketch")(), judge.rules)
    lines = [line for line in drawn_lines(picture, columns, least=columns) if line]
    indent = min((len(line) - len(line.lstrip()) for line in lines), default=0)
    return [line[indent:] for line in lines]


def unit_typed(judgement: Judgement, judge: Judge) -> Names:
    """The unit that the first offset was measured in; mm where there is none."""
    if not _can_draw(judge):
        return "mm"
    for facts in judgement.walk.tire.each("injuries"):
        for name in (inputs.OFFSET, inputs.TREAD_WIDTH, inputs.INJURY_SIZE):
            measure = facts.measure(name)
            if measure is not None:
                return "in" if measure.compared_in == "in" else "mm"
    return "mm"


def distance_lines(judgement: Judgement, judge: Judge, unit: Names | None = None) -> tuple[str, ...]:
    """Each pair of repair units with its distance, the nearest first, and how many repairs there are in all."""
    if not _can_draw(judge):
        return ()
    names = unit or unit_typed(judgement, judge)
    units = placed_units(judgement.walk.tire)
    if len(units) < 2:
        return ()
    pairs = unit_gaps(judgement.walk.tire, units)
    lines = [f"{_name(first)} and {_name(second)}: {gap_words(gap, names)}" for first, second, gap in pairs]
    unplaced = [_name(one) for one in units if one.patch is None]
    taped = gap_by_tape(judgement.walk.tire) if taped_apart(judgement.walk.tire) else None
    if taped is not None:
        lines = [f"by the tape, the nearest two: {gap_words(taped, names)}"]
    elif unplaced:
        lines.append(f"place or size not known: {', '.join(unplaced)}")
    return (*lines, f"{len(units)} repairs in all")


def too_close_lines(judgement: Judgement, judge: Judge) -> tuple[str, ...]:
    """The groups of repair units that come too close to each other by these rules."""
    if not _can_draw(judge):
        return ()
    tire = judgement.walk.tire
    pairs = [(_name(first), _name(second), gap) for first, second, gap in unit_gaps(tire, placed_units(tire))]
    if not pairs:
        return ()  # one unit or none: the graph, and the package that holds it, are not needed

    from advisor.engine.question_graph import conflict_graph, crowded

    conflicts = conflict_graph(pairs, _apart(judge))
    lines = []
    for group in crowded(conflicts):
        sure = any(conflicts.edges[edge]["certain"] for edge in conflicts.subgraph(group).edges)
        lines.append(f"{'too close' if sure else 'may be too close (open)'}: {', '.join(group)}")
    return tuple(lines)


def left_out_lines(judgement: Judgement, judge: Judge) -> tuple[str, ...]:
    """What could not be drawn, and which measures it lacks."""
    if not _can_draw(judge):
        return ("These rules do not ask for the measures that a drawing needs.",)
    tire, lines = judgement.walk.tire, list[str]()
    for facts in tire.each("injuries"):
        if has_inner_end(facts) and (lacking := _lacking(facts, _SECTION_NEEDS, judge)):
            lines.append(f"No cross-section of {_name_of(facts)} without {lacking}.")
    for facts in (*tire.each("injuries"), *_earlier(tire)):
        if lacking := _lacking(facts, _PLACE_NEEDS[facts.over], judge):
            lines.append(f"{_capital(_name_of(facts))} does not stand in the unrolled tread without {lacking}.")
    if liner_round(tire) is None:
        lines.append("The tread is not unrolled without a size that gives the overall diameter.")
    return tuple(lines)


def _can_draw(judge: Judge) -> bool:
    """Whether the rule set knows every question that a drawing reads."""
    needed = {*_SECTION_NEEDS, *(name for names in _PLACE_NEEDS.values() for name in names), "overall-diameter"}
    return needed <= judge.graph.tables.overs.keys()


def _sections(facts: Facts, judge: Judge, names: Names, limits: bool) -> list[Picture]:
    """The cross-section; for a lean that it does not show at its true angle, also a cut along the channel."""
    offset, tread_width, thickness, angle = (facts.measure(name) for name in _SECTION_NEEDS)
    if offset is None or tread_width is None or thickness is None or angle is None or not has_inner_end(facts):
        return []
    size, lean = facts.measure(inputs.INJURY_SIZE), lean_of(facts)
    margin, by_area = _edge(judge, facts, tread_width) if limits else (None, False)
    try:
        section = section_picture(tread_width, thickness, offset, angle, lean, margin, names, size, by_area)
        pictures = [replace(section, title=f"Cross-section at {_name_of(facts)}")]
        if (lean == "along-tread" or isinstance(lean, Measure)) and angle.high > 0:
            channel = channel_picture(thickness, angle, lean, names, size)
            pictures.append(replace(channel, title=f"Cut along the channel of {_name_of(facts)}"))
    except Misread:
        return []
    return pictures


def _on_the_liner(tire: Facts, judge: Judge, names: Names, limits: bool = True) -> list[Picture]:
    """The tread unrolled, and a close-up of each pair of units that lie near each other, the nearest first."""
    around = liner_round(tire)
    injuries = tire.each("injuries")
    patches = {(unit.facts.over, unit.facts.index): unit.patch for unit in placed_units(tire)}
    marks = []
    for facts in (*injuries, *_earlier(tire)):
        clock, offset = (facts.measure(name) for name in _PLACE_NEEDS[facts.over])
        if clock is not None and offset is not None:
            patch = patches.get((facts.over, facts.index))
            zones = _zones(facts) if limits else frozenset[str]()
            marks.append(PlaceMark(_short(facts), _KINDS[facts.over], clock, offset, patch, zones))
    if around is None or not marks:
        return []
    widths = [width for facts in injuries if (width := facts.measure(inputs.TREAD_WIDTH))]
    tread_width = widths[0] if widths else None
    margin, by_area = _edge(judge, tire, tread_width) if limits else (None, False)
    tread = tread_width, margin, names
    named = {mark.name: mark for mark in marks}
    close = [
        replace(
            near_picture(
                named[_short(first.facts)], named[_short(second.facts)], around, gap_words(gap, names), *tread
            ),
            title=f"Close-up of {_name(first)} and {_name(second)}",
        )
        for first, second, gap in unit_gaps(tire, placed_units(tire))
        if gap.low <= _longest(first, second)
    ]
    return [unrolled_picture(marks, around, *tread, by_area), *close[:_MOST_CLOSE_UPS]]


def _longest(first: PlacedUnit, second: PlacedUnit) -> Fraction:
    """The longest side of two units, in mm: nearer than this they are drawn close up."""
    sides = [side for unit in (first, second) if unit.patch for side in (unit.patch.length, unit.patch.width)]
    return max(side.to("mm").high for side in sides)


def _earlier(tire: Facts) -> list[Facts]:
    return [] if tire.get(inputs.EARLIER_REPAIRS) == Choice("no") else tire.each(inputs.OVER_REPAIRS)


def _zones(facts: Facts) -> frozenset[str]:
    zone = facts.get("zone") if facts.over == "injuries" else None
    if isinstance(zone, OneOf):
        return frozenset(zone.possible)
    return frozenset({zone.id}) if isinstance(zone, Choice) else frozenset()


def _edge(judge: Judge, tire: Facts, tread_width: Measure | None) -> tuple[Figures | None, bool]:
    """How far in from the tread's edge the crown begins, or the repair area, and which of the two it is."""
    values = judge.graph.tables.values
    limit = values.get("zone", (None, {}))[1].get("crown-edge")
    area = tire.measure("repair-area") if limit is None and "repair-area" in values else None
    if area is None or tread_width is None or tread_width.to("mm").high <= area.to("mm").low:
        return (limit.figures if limit else None), False
    outside = (tread_width.to("mm").high - area.to("mm").low) / 2
    return Measure(outside, outside, "mm"), True


def _apart(judge: Judge) -> Limit | None:
    """The limit that the rule set holds the distance of units against."""
    tests = (leaf for ruling in judge.rules.rulings() for leaf in leaves(ruling.when))
    names = (leaf.operand[0] for leaf in tests if leaf.subject == "nearest-repair" and leaf.test == "beyond")
    return next((judge.rules.limits[name] for name in names), None)


def _lacking(facts: Facts, needs: tuple[str, ...], judge: Judge) -> str:
    questions = judge.rules.questions
    *first, last = [questions[name].name for name in needs if facts.measure(name) is None] or [""]
    return f"{', '.join(first)} and {last}" if first else last


def _name(unit: PlacedUnit) -> str:
    return _name_of(unit.facts)


def _name_of(facts: Facts) -> str:
    return f"{_KINDS[facts.over]} {facts.index + 1}"


def _short(facts: Facts) -> str:
    return f"{facts.index + 1}" if facts.over == "injuries" else f"R{facts.index + 1}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def as_spelled(picture: Picture, rules: RuleSet) -> Picture:
    """The picture with every word spelled as about.yaml's `spelled` says; without that it stays as it is."""
    if not rules.about.spelled:
        return picture

    def own(text: str) -> str:
        return spelled(text, rules)

    def row(items: tuple[Label | SceneSpan, ...]) -> tuple[Label | SceneSpan, ...]:
        return tuple(replace(item, text=own(item.text)) for item in items)

    return replace(
        picture,
        title=own(picture.title),
        named=tuple(replace(name, text=own(name.text)) for name in picture.named),
        above=tuple(map(row, picture.above)),
        below=tuple(map(row, picture.below)),
        beside=tuple((place, own(text)) for place, text in picture.beside),
        notes=tuple(map(own, picture.notes)),
    )
