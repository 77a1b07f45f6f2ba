"""The functions that a rule set's values.yaml may name, each with what it can give."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec import Struct

from advisor.engine.derived import injury, repair_unit, spacing, tire, workshop
from advisor.engine.facts import Facts, LimitFigures, Tables, Value
from advisor.model.ruleset import RuleSet

Function = Callable[[Facts, LimitFigures], Value | None]


class Registered(Struct, frozen=True):
    """A function by name: the choices it can give, or the quantity that it measures and the unit shown."""

    call: Function
    outcomes: tuple[str, ...] = ()
    quantity: str = ""
    unit: str = ""


FUNCTIONS: Mapping[str, Registered] = {
    "printed-class": Registered(tire.printed_class, tire.CLASSES),
    "printed-load-range": Registered(tire.printed_load_range, tire.LOAD_RANGES),
    "printed-construction": Registered(tire.printed_construction, ("radial", "bias")),
    "printed-tube": Registered(tire.printed_tube, ("tubeless", "tube-type")),
    "regroovable-mark": Registered(tire.regroovable_mark, ("yes", "no")),
    "tire-class": Registered(tire.tire_class, tire.CLASSES),
    "construction": Registered(tire.construction, ("radial", "bias")),
    "tube": Registered(tire.tube, ("tubeless", "tube-type")),
    "tire-group": Registered(tire.tire_group, tire.GROUPS),
    "nail-hole-class": Registered(tire.nail_hole_class, ("light", "truck")),
    "section-width": Registered(tire.section_width, quantity="length", unit="mm"),
    "overall-diameter": Registered(tire.overall_diameter, quantity="length", unit="mm"),
    "section-height": Registered(tire.section_height, quantity="length", unit="mm"),
    "revolutions-per-km": Registered(tire.turns_per_km, quantity="count", unit=""),
    "load-single": Registered(tire.load_single, quantity="mass", unit="kg"),
    "load-dual": Registered(tire.load_dual, quantity="mass", unit="kg"),
    "load-single-lb": Registered(tire.load_single_lb, quantity="mass", unit="lb"),
    "load-dual-lb": Registered(tire.load_dual_lb, quantity="mass", unit="lb"),
    "top-speed": Registered(tire.top_speed, quantity="speed", unit="km/h"),
    "ran-low": Registered(tire.ran_low),
    "gone-over": Registered(tire.gone_over, ("not-told", "none", "found")),
    "made-week": Registered(tire.made_week, quantity="count", unit=""),
    "made-year": Registered(tire.made_year, quantity="count", unit=""),
    "number-kind": Registered(tire.number_kind, ("new", "retread")),
    "made-between": Registered(tire.made_between),
    "date-warning": Registered(tire.date_warning),
    "age": Registered(tire.age, quantity="time", unit="years"),
    "date-form": Registered(tire.date_form, ("three-figure", "four-figure", "doubtful")),
    "lowest-tread": Registered(tire.lowest_tread, quantity="length", unit="32nds"),
    "pressure-share": Registered(tire.share_of_set_pressure, quantity="share", unit="%"),
    "dew-point": Registered(tire.shop_dew_point, quantity="temperature", unit="C"),
    "stored-energy": Registered(tire.stored_energy, quantity="energy", unit="kJ"),
    "measured-zone": Registered(injury.measured_zone, injury.ZONES),
    "zone": Registered(injury.zone, injury.ZONES),
    "ends-by-tape": Registered(injury.ends_by_tape),
    "widest-opening": Registered(injury.widest_opening, quantity="length", unit="mm"),
    "length-over-width": Registered(injury.length_over_width, quantity="length", unit="mm"),
    "channel-length": Registered(injury.length_of_channel, quantity="length", unit="mm"),
    "inner-offset": Registered(injury.offset_of_inner_end, quantity="length", unit="mm"),
    "stem-length": Registered(injury.length_of_stem, quantity="length", unit="mm"),
    "liner-opening": Registered(repair_unit.liner_opening, quantity="length", unit="mm"),
    "unit-cover": Registered(repair_unit.unit_cover, quantity="length", unit="mm"),
    "edge-room": Registered(repair_unit.edge_left, quantity="length", unit="mm"),
    "repair-area": Registered(injury.repair_area, quantity="length", unit="mm"),
    "zone-by-area": Registered(injury.zone_by_area, injury.ZONES[:2]),
    "zone-in-area": Registered(injury.zone_in_area, injury.ZONES),
    "cut-by-width": Registered(injury.cut_by_width, injury.CUT_SIZES),
    "joint-cover": Registered(spacing.joint_cover, quantity="length", unit="mm"),
    "to-keep-apart": Registered(spacing.to_keep_apart, ("yes", "no")),
    "repairs-in-all": Registered(spacing.repairs_in_all, quantity="count", unit=""),
    "chart-unit": Registered(repair_unit.chart_unit),
    "unit-length-here": Registered(repair_unit.unit_length_here, quantity="length", unit="mm"),
    "unit-width-here": Registered(repair_unit.unit_width_here, quantity="length", unit="mm"),
    "unit-outline": Registered(repair_unit.outline),
    "stem-across": Registered(repair_unit.stem_across, quantity="length", unit="mm"),
    "sized-by-chart": Registered(repair_unit.sized_by_chart, ("yes", "no")),
    "drying-time": Registered(workshop.drying_time),
    "drying-least": Registered(workshop.drying_least, quantity="duration", unit="min"),
    "liner-least-warm": Registered(workshop.liner_least_warm, quantity="temperature", unit="C"),
    "settling-point": Registered(workshop.settling_temperature, quantity="temperature", unit="C"),
    "liner-over-dew": Registered(workshop.liner_over_dew, quantity="temperature", unit="C"),
    "cement-coats": Registered(workshop.coats_here),
    "tool-across": Registered(workshop.tool_across, quantity="length", unit="mm"),
    "energy-as-fall": Registered(workshop.energy_as_fall, quantity="length", unit="m"),
    "energy-in-words": Registered(workshop.energy_in_words),
    "edge-speed": Registered(workshop.edge_speed_at, quantity="speed", unit="km/h"),
    "load-by-position": Registered(workshop.load_by_position),
    "pressure-printed": Registered(workshop.pressure_printed, quantity="pressure", unit="psi"),
    "set-over-print": Registered(workshop.set_over_print, quantity="pressure", unit="psi"),
    "dual-diameter": Registered(spacing.dual_diameter, quantity="length", unit="in"),
    "dual-girth": Registered(spacing.dual_girth, quantity="length", unit="in"),
    "pair-fit": Registered(spacing.pair_fit, ("yes", "no")),
    "pair-differs": Registered(spacing.pair_differs, quantity="length", unit="in"),
    "pair-may-differ": Registered(spacing.pair_may_differ, quantity="length", unit="in"),
    "tread-round": Registered(workshop.tread_round, quantity="length", unit="mm"),
    "nearest-repair": Registered(spacing.nearest_repair, quantity="length", unit="mm"),
}
CALLS: Mapping[str, Function] = {name: registered.call for name, registered in FUNCTIONS.items()}

_latest: list[Tables] = []


def tables_of(rules: RuleSet) -> Tables:
    """What facts look up in a rule set; that of the latest one is kept, as it is asked for with every case."""
    if not _latest or _latest[0].rules is not rules:
        _latest[:] = [Tables(rules, CALLS)]
    return _latest[0]
