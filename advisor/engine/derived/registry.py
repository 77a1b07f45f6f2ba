"""The functions that a rule set's values.yaml may name, each with what it can give."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping

from msgspec import Struct

from advisor.engine.derived import injury, repair_unit, spacing, tire, workshop
from advisor.engine.facts import Facts, LimitFigures, Tables, Value
from advisor.model import inputs
from advisor.model.ruleset import RuleSet

Function = Callable[[Facts, LimitFigures], Value | None]


class Registered(Struct, frozen=True):
    """A function by name: what it reads; the choices it can give, or the quantity that it measures and the unit shown.

    `reads`: questions, and worked-out values by the id that values.yaml gives them; without one of them it can't work.
    `may_read`: what it reads where the rule set has it; `read_with`: what it reads only with a figure of that name.
    `figures`: the limits that a rule set hands to it, by name, each with its quantity; `may_have`: sets of more that it
    takes whole or not at all. `rising`: names of figures each of which is below the one after it. `without_units`: all
    that it can give under rules that have no chart of repair units.
    """

    call: Function
    reads: tuple[str, ...]
    outcomes: tuple[str, ...] = ()
    quantity: str = ""
    unit: str = ""
    may_read: tuple[str, ...] = ()
    read_with: tuple[tuple[str, tuple[str, ...]], ...] = ()
    figures: Mapping[str, str] = {}
    may_have: tuple[Mapping[str, str], ...] = ()
    rising: tuple[str, ...] = ()
    without_units: tuple[str, ...] = ()

    @property
    def takes(self) -> Mapping[str, str]:
        """Every figure that it may be given, and its quantity."""
        return {name: quantity for each in (self.figures, *self.may_have) for name, quantity in each.items()}

    def lacks(self, figures: Container[str]) -> tuple[str, ...]:
        """The figures that it needs beside these."""
        begun = [each for each in self.may_have if any(name in figures for name in each)]
        return tuple(name for each in (self.figures, *begun) for name in each if name not in figures)

    @property
    def known(self) -> tuple[str, ...]:
        """Every name that it may read."""
        return (*self.reads, *self.may_read, *(name for _, names in self.read_with for name in names))

    def needs(self, figures: Container[str]) -> tuple[str, ...]:
        """What a rule set must have that gives it these figures."""
        return self.reads + tuple(name for figure, names in self.read_with if figure in figures for name in names)


_PRINT = (inputs.SIDEWALL,)
_CLASS = (*_PRINT, inputs.TIRE_CLASS)
_GROUP = (*_CLASS, inputs.LOAD_RANGE, inputs.VEHICLE)
_WHEEL = (inputs.VEHICLE, inputs.WHEEL_POSITION)
_ENERGY = (*_PRINT, inputs.SET_PRESSURE)
_DATE = (inputs.DOT_CODE,)
_AIR = (inputs.SHOP_TEMPERATURE, inputs.HUMIDITY)
_PAIR = (inputs.OWN_DIAMETER, inputs.OWN_GIRTH, inputs.PAIR_DIAMETER, inputs.PAIR_GIRTH)
_OPENING = (inputs.INJURY_SIZE, inputs.INJURY_LENGTH)
_PATH = (inputs.INJURY_ANGLE, inputs.CASING_THICKNESS)
_INNER_END = (inputs.OFFSET, inputs.INJURY_DEPTH, inputs.LEAN, *_PATH)
_BY_TAPE = (*_INNER_END, *_OPENING, inputs.TREAD_WIDTH)
_BY_AREA = (*_INNER_END, *_OPENING, "section-width")
_BY_CHART = (inputs.INJURY_DEPTH, inputs.INJURY_ANGLE)
_UNIT = (inputs.UNIT_LENGTH, inputs.UNIT_WIDTH, *_BY_CHART)
_REPAIRS = (inputs.EARLIER_REPAIRS, inputs.REPAIR_SOUND, inputs.INJURY_DEPTH)
_OLD_UNIT = (inputs.REPAIR_CLOCK, inputs.REPAIR_OFFSET, inputs.REPAIR_UNIT_LENGTH, inputs.REPAIR_UNIT_WIDTH)
_PLACES = (inputs.CLOCK, *_INNER_END, *_UNIT, *_REPAIRS, *_OLD_UNIT, "overall-diameter")
_EDGE = {"crown-edge": "length"}
_ROWS_OF_AREA = ("narrow-to", "middle-to")
_AREA = dict.fromkeys(_ROWS_OF_AREA, "length") | dict.fromkeys(("share-narrow", "share-middle", "share-wide"), "share")
_DRYING = {"base": "duration", "cold-below": "temperature", "damp-above": "share"}
_HOT = {
    "hot-load-line": "mass",
    **dict.fromkeys(("hot-speed-from", "hot-speed-to"), "speed"),
    **dict.fromkeys(("hot-correction-light", "hot-correction-heavy"), "pressure"),
}
_DUAL_ROWS = dict.fromkeys(
    (
        "to-small",
        "to-medium",
        "to-large",
        *(f"{of}-{row}" for of in ("diameter", "girth") for row in spacing.DUAL_ROWS),
    ),
    "length",
)
#: What the chart is read by, in a rule set that has all of them; how units are turned, where that is asked.
_CHART, _TURNS = ("tire-group", "zone", "widest-opening"), (inputs.UNIT_TURN, inputs.REPAIR_UNIT_TURN)

_TAPED_APART = (inputs.APART_ALONG, inputs.APART_ACROSS)

FUNCTIONS: Mapping[str, Registered] = {
    "printed-class": Registered(tire.printed_class, _PRINT, tire.CLASSES),
    "printed-load-range": Registered(tire.printed_load_range, _PRINT, tire.LOAD_RANGES),
    "printed-construction": Registered(tire.printed_construction, _PRINT, ("radial", "bias")),
    "printed-tube": Registered(tire.printed_tube, _PRINT, ("tubeless", "tube-type")),
    "regroovable-mark": Registered(tire.regroovable_mark, _PRINT, ("yes", "no")),
    "tire-class": Registered(tire.tire_class, _CLASS, tire.CLASSES),
    "construction": Registered(tire.construction, (*_PRINT, inputs.CONSTRUCTION), ("radial", "bias")),
    "tube": Registered(tire.tube, (*_PRINT, inputs.TUBE), ("tubeless", "tube-type")),
    "tire-group": Registered(tire.tire_group, _GROUP, tire.GROUPS, may_have=({"light-to-rim": "length"},)),
    "nail-hole-class": Registered(
        tire.nail_hole_class,
        _GROUP,
        ("light", "truck"),
        may_have=({"letter-to-rim": "length"}, {"light-to-rim": "length"}),
    ),
    "section-width": Registered(tire.section_width, _PRINT, quantity="length", unit="mm"),
    "overall-diameter": Registered(tire.overall_diameter, _PRINT, quantity="length", unit="mm"),
    "section-height": Registered(tire.section_height, _PRINT, quantity="length", unit="mm"),
    "revolutions-per-km": Registered(tire.turns_per_km, _PRINT, quantity="count", unit=""),
    "load-single": Registered(tire.load_single, _PRINT, quantity="mass", unit="kg"),
    "load-dual": Registered(tire.load_dual, _PRINT, quantity="mass", unit="kg"),
    "load-single-lb": Registered(tire.load_single_lb, _PRINT, quantity="mass", unit="lb"),
    "load-dual-lb": Registered(tire.load_dual_lb, _PRINT, quantity="mass", unit="lb"),
    "load-class": Registered(
        tire.load_class, (*_PRINT, inputs.LOAD_INDEX), tire.LOAD_CLASSES, figures={"from": "mass"}
    ),
    "top-speed": Registered(tire.top_speed, _PRINT, quantity="speed", unit="km/h"),
    "ran-low": Registered(tire.ran_low, (inputs.RUN_LOW, "pressure-share"), figures={"share": "share"}),
    "gone-over": Registered(tire.gone_over, (inputs.RUN_LOW_INSIDE,), ("not-told", "none", "found")),
    "as-told": Registered(tire.as_told, (inputs.REGROOVE_MARK,), ("yes", "no", "not-told")),
    "made-week": Registered(tire.made_week, _DATE, quantity="count", unit=""),
    "made-year": Registered(tire.made_year, _DATE, quantity="count", unit=""),
    "number-kind": Registered(tire.number_kind, _DATE, ("new", "retread")),
    "made-between": Registered(tire.made_between, _DATE),
    "date-warning": Registered(tire.date_warning, _DATE),
    "age": Registered(tire.age, _DATE, quantity="time", unit="years"),
    "date-form": Registered(tire.date_form, _DATE, ("three-figure", "four-figure", "doubtful")),
    "lowest-tread": Registered(tire.lowest_tread, (inputs.TREAD_DEPTH,), quantity="length", unit="32nds"),
    "pressure-share": Registered(
        tire.share_of_set_pressure,
        (inputs.FOUND_PRESSURE, inputs.SET_PRESSURE),
        quantity="share",
        unit="%",
        read_with=(("hot-load-line", (inputs.MEAN_SPEED, "load-single")),),
        may_have=(_HOT,),
        rising=("hot-speed-from", "hot-speed-to"),
    ),
    "dew-point": Registered(tire.shop_dew_point, _AIR, quantity="temperature", unit="C"),
    "stored-energy": Registered(tire.stored_energy, _ENERGY, quantity="energy", unit="kJ"),
    "measured-zone": Registered(injury.measured_zone, _BY_TAPE, injury.ZONES, figures=_EDGE),
    "zone": Registered(
        injury.zone,
        (inputs.INJURY_ZONE, *_BY_TAPE),
        injury.ZONES,
        may_read=(inputs.INSIDE_GROOVES, "tire-group"),
        figures=_EDGE,
    ),
    "ends-by-tape": Registered(injury.ends_by_tape, _BY_TAPE),
    "widest-opening": Registered(injury.widest_opening, _OPENING, quantity="length", unit="mm"),
    "length-over-width": Registered(injury.length_over_width, _OPENING, quantity="length", unit="mm"),
    "channel-length": Registered(injury.length_of_channel, _PATH, quantity="length", unit="mm"),
    "inner-offset": Registered(injury.offset_of_inner_end, _INNER_END, quantity="length", unit="mm"),
    "stem-length": Registered(
        injury.length_of_stem,
        _PATH,
        quantity="length",
        unit="mm",
        figures={"above-liner": "length", "above-tread": "length"},
    ),
    "liner-opening": Registered(
        repair_unit.liner_opening, (inputs.INJURY_SIZE, *_BY_CHART), quantity="length", unit="mm"
    ),
    "unit-cover": Registered(
        repair_unit.unit_cover,
        (inputs.INJURY_SIZE, inputs.LEAN, *_UNIT),
        quantity="length",
        unit="mm",
        may_read=_CHART,
        may_have=({"margin": "length"},),
    ),
    "edge-room": Registered(
        repair_unit.edge_left,
        (inputs.TREAD_WIDTH, *_INNER_END, *_UNIT),
        quantity="length",
        unit="mm",
        may_read=_CHART,
        figures=_EDGE,
    ),
    "repair-area": Registered(
        injury.repair_area, ("section-width",), quantity="length", unit="mm", figures=_AREA, rising=_ROWS_OF_AREA
    ),
    "zone-by-area": Registered(injury.zone_by_area, _BY_AREA, injury.ZONES[:2], figures=_AREA, rising=_ROWS_OF_AREA),
    "zone-in-area": Registered(
        injury.zone_in_area, (inputs.INJURY_ZONE, *_BY_AREA), injury.ZONES, figures=_AREA, rising=_ROWS_OF_AREA
    ),
    "cut-by-width": Registered(
        injury.cut_by_width,
        (*_OPENING, "section-width"),
        injury.CUT_SIZES,
        figures={"length": "length", "share": "share"},
    ),
    "joint-cover": Registered(
        spacing.joint_cover,
        (inputs.INJURY_SIZE, *_PLACES),
        quantity="length",
        unit="mm",
        may_read=(*_CHART, *_TURNS),
        figures={"margin": "length"},
    ),
    "to-keep-apart": Registered(spacing.to_keep_apart, _REPAIRS, ("yes", "no")),
    "repairs-in-all": Registered(spacing.repairs_in_all, _REPAIRS, quantity="count", unit=""),
    "chart-unit": Registered(repair_unit.chart_unit, _BY_CHART, may_read=_CHART),
    "unit-length-here": Registered(
        repair_unit.unit_length_here, (inputs.UNIT_LENGTH, *_BY_CHART), quantity="length", unit="mm", may_read=_CHART
    ),
    "unit-width-here": Registered(
        repair_unit.unit_width_here, (inputs.UNIT_WIDTH, *_BY_CHART), quantity="length", unit="mm", may_read=_CHART
    ),
    "unit-outline": Registered(repair_unit.outline, _UNIT, may_read=_CHART),
    "stem-across": Registered(repair_unit.stem_across, _BY_CHART, quantity="length", unit="mm", may_read=_CHART),
    "sized-by-chart": Registered(
        repair_unit.sized_by_chart, _BY_CHART, ("yes", "no"), may_read=_CHART, without_units=("no",)
    ),
    "drying-time": Registered(workshop.drying_time, _AIR, figures=_DRYING),
    "drying-least": Registered(workshop.drying_least, _AIR, quantity="duration", unit="min", figures=_DRYING),
    "liner-least-warm": Registered(
        workshop.liner_least_warm, _AIR, quantity="temperature", unit="C", figures={"margin": "temperature"}
    ),
    "settling-point": Registered(workshop.settling_temperature, _AIR, quantity="temperature", unit="C"),
    "liner-over-dew": Registered(
        workshop.liner_over_dew, (inputs.LINER_TEMPERATURE, *_AIR), quantity="temperature", unit="C"
    ),
    "cement-coats": Registered(
        workshop.coats_here,
        (inputs.CASING_THICKNESS,),
        figures={"coats": "count"},
        may_have=({"thin-to": "length", "thick-from": "length"},),
        rising=("thin-to", "thick-from"),
    ),
    "tool-across": Registered(
        workshop.tool_across, (inputs.TOOL_DIAMETER,), quantity="length", unit="mm", figures={"across": "length"}
    ),
    "energy-as-fall": Registered(
        workshop.energy_as_fall, _ENERGY, quantity="length", unit="m", figures={"mass": "mass"}
    ),
    "energy-in-words": Registered(workshop.energy_in_words, _ENERGY, figures={"mass": "mass"}),
    "edge-speed": Registered(
        workshop.edge_speed_at,
        (inputs.TOOL_DIAMETER,),
        quantity="speed",
        unit="km/h",
        figures={"turning": "turning", "across": "length"},
    ),
    "load-by-position": Registered(workshop.load_by_position, (*_PRINT, *_WHEEL)),
    "pressure-printed": Registered(workshop.pressure_printed, (*_ENERGY, *_WHEEL), quantity="pressure", unit="psi"),
    "set-over-print": Registered(workshop.set_over_print, (*_ENERGY, *_WHEEL), quantity="pressure", unit="psi"),
    "share-of-print": Registered(
        workshop.share_of_print, (inputs.FOUND_PRESSURE, *_ENERGY, *_WHEEL), quantity="share", unit="%"
    ),
    "dual-diameter": Registered(
        spacing.dual_diameter, (*_WHEEL, "overall-diameter"), quantity="length", unit="in", figures=_DUAL_ROWS
    ),
    "dual-girth": Registered(
        spacing.dual_girth, (*_WHEEL, "overall-diameter"), quantity="length", unit="in", figures=_DUAL_ROWS
    ),
    "pair-fit": Registered(spacing.pair_fit, _PAIR, ("yes", "no"), figures=_DUAL_ROWS),
    "pair-differs": Registered(spacing.pair_differs, _PAIR, quantity="length", unit="in", figures=_DUAL_ROWS),
    "pair-may-differ": Registered(spacing.pair_may_differ, _PAIR, quantity="length", unit="in", figures=_DUAL_ROWS),
    "tread-round": Registered(workshop.tread_round, ("overall-diameter",), quantity="length", unit="mm"),
    "nearest-repair": Registered(
        spacing.nearest_repair, _PLACES, quantity="length", unit="mm", may_read=(*_CHART, *_TURNS, *_TAPED_APART)
    ),
}
CALLS: Mapping[str, Function] = {name: registered.call for name, registered in FUNCTIONS.items()}

_latest: list[Tables] = []


def tables_of(rules: RuleSet) -> Tables:
    """What facts look up in a rule set; that of the latest one is kept, as it is asked for with every case."""
    if not _latest or _latest[0].rules is not rules:
        _latest[:] = [Tables(rules, CALLS)]
    return _latest[0]
