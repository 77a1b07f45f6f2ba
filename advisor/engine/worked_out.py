"""The functions that a rule set's values.yaml may name, each with what it can give."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from advisor.engine import (
    area_values,
    fit_values,
    injury_values,
    joint_values,
    pair_values,
    print_values,
    tire_values,
    together_values,
    unit_values,
    work_values,
)
from advisor.engine.facts import Facts, Figures, Tables, Value
from advisor.model.rules import RuleSet
from advisor.quick import dataclass

Function = Callable[[Facts, Figures], Value | None]


@dataclass(frozen=True, slots=True)
class Registered:
    """A function by name: the choices it can give, or the quantity that it measures and the unit shown."""

    call: Function
    outcomes: tuple[str, ...] = ()
    quantity: str = ""
    unit: str = ""


FUNCTIONS: Mapping[str, Registered] = {
    "printed-class": Registered(print_values.printed_class, print_values.CLASSES),
    "printed-load-range": Registered(print_values.printed_load_range, print_values.LOAD_RANGES),
    "printed-construction": Registered(print_values.printed_construction, ("radial", "bias")),
    "printed-tube": Registered(print_values.printed_tube, ("tubeless", "tube-type")),
    "regroovable-mark": Registered(print_values.regroovable_mark, ("yes", "no")),
    "tire-class": Registered(print_values.tire_class, print_values.CLASSES),
    "construction": Registered(print_values.construction, ("radial", "bias")),
    "tube": Registered(print_values.tube, ("tubeless", "tube-type")),
    "tire-group": Registered(print_values.tire_group, print_values.GROUPS),
    "nail-hole-class": Registered(print_values.nail_hole_class, ("light", "truck")),
    "section-width": Registered(print_values.section_width, quantity="length", unit="mm"),
    "overall-diameter": Registered(print_values.overall_diameter, quantity="length", unit="mm"),
    "section-height": Registered(print_values.section_height, quantity="length", unit="mm"),
    "revolutions-per-km": Registered(print_values.turns_per_km, quantity="count", unit=""),
    "load-single": Registered(print_values.load_single, quantity="mass", unit="kg"),
    "load-dual": Registered(print_values.load_dual, quantity="mass", unit="kg"),
    "load-single-lb": Registered(print_values.load_single_lb, quantity="mass", unit="lb"),
    "load-dual-lb": Registered(print_values.load_dual_lb, quantity="mass", unit="lb"),
    "top-speed": Registered(print_values.top_speed, quantity="speed", unit="km/h"),
    "ran-low": Registered(tire_values.ran_low),
    "gone-over": Registered(tire_values.gone_over, ("not-told", "none", "found")),
    "made-week": Registered(tire_values.made_week, quantity="count", unit=""),
    "made-year": Registered(tire_values.made_year, quantity="count", unit=""),
    "number-kind": Registered(tire_values.number_kind, ("new", "retread")),
    "made-between": Registered(tire_values.made_between),
    "date-warning": Registered(tire_values.date_warning),
    "age": Registered(tire_values.age, quantity="time", unit="years"),
    "date-form": Registered(tire_values.date_form, ("three-figure", "four-figure", "doubtful")),
    "lowest-tread": Registered(tire_values.lowest_tread, quantity="length", unit="32nds"),
    "pressure-share": Registered(tire_values.share_of_set_pressure, quantity="share", unit="%"),
    "dew-point": Registered(tire_values.shop_dew_point, quantity="temperature", unit="C"),
    "stored-energy": Registered(tire_values.stored_energy, quantity="energy", unit="kJ"),
    "measured-zone": Registered(injury_values.measured_zone, injury_values.ZONES),
    "zone": Registered(injury_values.zone, injury_values.ZONES),
    "ends-by-tape": Registered(injury_values.ends_by_tape),
    "widest-opening": Registered(injury_values.widest_opening, quantity="length", unit="mm"),
    "length-over-width": Registered(injury_values.length_over_width, quantity="length", unit="mm"),
    "channel-length": Registered(injury_values.length_of_channel, quantity="length", unit="mm"),
    "inner-offset": Registered(injury_values.offset_of_inner_end, quantity="length", unit="mm"),
    "stem-length": Registered(injury_values.length_of_stem, quantity="length", unit="mm"),
    "liner-opening": Registered(fit_values.liner_opening, quantity="length", unit="mm"),
    "unit-cover": Registered(fit_values.unit_cover, quantity="length", unit="mm"),
    "edge-room": Registered(fit_values.edge_left, quantity="length", unit="mm"),
    "repair-area": Registered(area_values.repair_area, quantity="length", unit="mm"),
    "zone-by-area": Registered(area_values.zone_by_area, injury_values.ZONES[:2]),
    "zone-in-area": Registered(area_values.zone_in_area, injury_values.ZONES),
    "cut-by-width": Registered(area_values.cut_by_width, area_values.CUT_SIZES),
    "joint-cover": Registered(joint_values.joint_cover, quantity="length", unit="mm"),
    "to-keep-apart": Registered(together_values.to_keep_apart, ("yes", "no")),
    "repairs-in-all": Registered(together_values.repairs_in_all, quantity="count", unit=""),
    "chart-unit": Registered(unit_values.chart_unit),
    "unit-length-here": Registered(unit_values.unit_length_here, quantity="length", unit="mm"),
    "unit-width-here": Registered(unit_values.unit_width_here, quantity="length", unit="mm"),
    "unit-outline": Registered(unit_values.outline),
    "stem-across": Registered(unit_values.stem_across, quantity="length", unit="mm"),
    "sized-by-chart": Registered(unit_values.sized_by_chart, ("yes", "no")),
    "drying-time": Registered(work_values.drying_time),
    "drying-least": Registered(work_values.drying_least, quantity="duration", unit="min"),
    "liner-least-warm": Registered(work_values.liner_least_warm, quantity="temperature", unit="C"),
    "settling-point": Registered(work_values.settling_point, quantity="temperature", unit="C"),
    "liner-over-dew": Registered(work_values.liner_over_dew, quantity="temperature", unit="C"),
    "cement-coats": Registered(work_values.coats_here),
    "tool-across": Registered(work_values.tool_across, quantity="length", unit="mm"),
    "energy-as-fall": Registered(work_values.energy_as_fall, quantity="length", unit="m"),
    "energy-in-words": Registered(work_values.energy_in_words),
    "edge-speed": Registered(work_values.edge_speed_at, quantity="speed", unit="km/h"),
    "load-by-position": Registered(work_values.load_by_position),
    "pressure-printed": Registered(work_values.pressure_printed, quantity="pressure", unit="psi"),
    "set-over-print": Registered(work_values.set_over_print, quantity="pressure", unit="psi"),
    "dual-diameter": Registered(pair_values.dual_diameter, quantity="length", unit="in"),
    "dual-girth": Registered(pair_values.dual_girth, quantity="length", unit="in"),
    "pair-fit": Registered(pair_values.pair_fit, ("yes", "no")),
    "pair-differs": Registered(pair_values.pair_differs, quantity="length", unit="in"),
    "pair-may-differ": Registered(pair_values.pair_may_differ, quantity="length", unit="in"),
    "tread-round": Registered(work_values.tread_round, quantity="length", unit="mm"),
    "nearest-repair": Registered(together_values.nearest_repair, quantity="length", unit="mm"),
}
CALLS: Mapping[str, Function] = {name: registered.call for name, registered in FUNCTIONS.items()}

_latest: list[Tables] = []


def tables_of(rules: RuleSet) -> Tables:
    """What facts look up in a rule set; that of the latest one is kept, as it is asked for with every case."""
    if not _latest or _latest[0].rules is not rules:
        _latest[:] = [Tables(rules, CALLS)]
    return _latest[0]
