"""Values worked out for the whole tire from readings: tread, pressure, shop air, stored energy, the date code."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.engine.facts import NOT_APPLICABLE, Facts, Figures, Value
from advisor.engine.print_values import printed
from advisor.errors import Misread
from advisor.later import later
from advisor.model.case import CANT_TELL, Choice, Choices, Readings, Text
from advisor.units import Measure, exactly, lowest

if TYPE_CHECKING:
    from advisor.tire import air as tire_air
    from advisor.tire import date_code as tire_date_code
    from advisor.tire import pressure as tire_pressure
    from advisor.tire import rim_code as tire_rim_code
else:
    tire_air = later("advisor.tire.air")
    tire_date_code = later("advisor.tire.date_code")
    tire_pressure = later("advisor.tire.pressure")
    tire_rim_code = later("advisor.tire.rim_code")


@lru_cache(maxsize=64)
def _read_date_code(text: str, today: date) -> tire_date_code.DateCode:
    return tire_date_code.read_date_code(text, today)


def lowest_tread(facts: Facts, figures: Figures) -> Value | None:
    """The lowest of the tread readings, in 32nds of an inch."""
    depth = facts.get("tread-depth")
    if isinstance(depth, Measure):
        return depth.to("32nds")
    return lowest(depth.readings).to("32nds") if isinstance(depth, Readings) else None


def share_of_set_pressure(facts: Facts, figures: Figures) -> Value | None:
    """The pressure found as a share of the set pressure, in %.

    A reading said to be hot, by the mean speed of the last hour, is first brought to cold by the law's table;
    where the table does not cover it there is no share. Figures: `hot-…`, where the rule set has such a table.
    """
    found, wanted = facts.measure("found-pressure"), facts.measure("set-pressure")
    if found is None or wanted is None:
        return None
    try:
        cold = _cold(found, facts, figures)
        return None if cold is None else tire_pressure.pressure_share(cold, wanted)
    except Misread:
        return None


def gone_over(facts: Facts, figures: Figures) -> Value | None:
    """What going over the inside of a tire that ran low found: `found`, `none`, or `not-told` where nobody said so.

    None while it can't be told, or was gone over in part only.
    """
    signs = facts.get("run-low-inside")
    if signs is None:
        return Choice("not-told")
    if not isinstance(signs, Choices):
        return None
    return Choice("found") if signs.present else Choice("none") if signs.complete else None


def ran_low(facts: Facts, figures: Figures) -> Value | None:
    """That it ran low, or may have, in words; the figure `share` is the share of the set pressure from which it did."""
    share = facts.measure("pressure-share")
    low = share is not None and figures["share"].is_beyond(share) is True
    driven = facts.get("run-low") == Choice("yes") and facts.said("run-low") is not CANT_TELL
    return Text("It ran low" if low or driven else "It may have run low")


def _cold(found: Measure, facts: Facts, figures: Figures) -> Measure | None:
    """The reading as it would be cold; None where it was hot and the table does not cover it."""
    speed = facts.get("mean-speed") if "hot-load-line" in figures else None
    if speed is None:
        return found
    rating = facts.measure("load-single")
    if not isinstance(speed, Measure) or rating is None:
        return None
    correction = tire_pressure.hot_correction(rating, speed, _hot_rows(figures, found, rating, speed))
    return None if correction is None else tire_pressure.cold_estimate(found, correction)


def _hot_rows(figures: Figures, found: Measure, rating: Measure, speed: Measure) -> list[tire_pressure.HotRow]:
    line = figures["hot-load-line"].figure_for(rating)
    ends = figures["hot-speed-from"].figure_for(speed), figures["hot-speed-to"].figure_for(speed)
    light, heavy = (figures[name].figure_for(found) for name in ("hot-correction-light", "hot-correction-heavy"))
    return [tire_pressure.HotRow(None, line, *ends, light), tire_pressure.HotRow(line, None, *ends, heavy)]


def shop_dew_point(facts: Facts, figures: Figures) -> Value | None:
    """The dew point of the shop's air, in °C."""
    temperature, humidity = facts.measure("shop-temperature"), facts.measure("humidity")
    if temperature is None or humidity is None:
        return None
    try:
        return tire_air.dew_point(temperature, humidity)
    except Misread:
        return None


def stored_energy(facts: Facts, figures: Figures) -> Value | None:
    """What the air at the set pressure can release at most, in kJ; the volume is an estimate from the size."""
    pressure, sidewall = facts.measure("set-pressure"), printed(facts)
    if pressure is None or sidewall is None or not sidewall.nominal_width_mm or not sidewall.overall_diameter_mm:
        return None
    if sidewall.rim_code is None:
        return None
    try:
        rim = exactly(tire_rim_code.rim_mm(f"{float(sidewall.rim_code):g}"), "mm")
        width, diameter = exactly(sidewall.nominal_width_mm, "mm"), exactly(sidewall.overall_diameter_mm, "mm")
        return tire_air.stored_energy_kj(pressure, tire_air.inner_volume_litres(width, diameter, rim))
    except Misread:
        return None


def _date_code(facts: Facts) -> tire_date_code.DateCode | None:
    code = facts.get("dot-code")
    if not isinstance(code, Text) or facts.today is None:
        return None
    try:
        return _read_date_code(code.text, facts.today)
    except Misread:
        return None


def made_week(facts: Facts, figures: Figures) -> Value | None:
    """The week of the year in which the tire was made or retreaded."""
    code = _date_code(facts)
    return None if code is None else exactly(code.week, "times")


def made_year(facts: Facts, figures: Figures) -> Value | None:
    """The year of the date code; from the earliest to the latest where three digits leave the decade open."""
    code = _date_code(facts)
    if code is None or not code.years:
        return None
    return Measure(Fraction(min(code.years)), Fraction(max(code.years)), "times")


def number_kind(facts: Facts, figures: Figures) -> Value | None:
    """Whether the number is a new tire's or a retread's, where its length and prefix tell."""
    code = _date_code(facts)
    return Choice(code.kind) if code is not None and code.kind != "unknown" else NOT_APPLICABLE


def made_between(facts: Facts, figures: Figures) -> Value | None:
    """The first and the last day on which the tire may have been made or retreaded."""
    code = _date_code(facts)
    return None if code is None else Text(f"{code.first_day.isoformat()} to {code.last_day.isoformat()}")


def date_warning(facts: Facts, figures: Figures) -> Value | None:
    """What to look at again in the date code, where something does not fit."""
    code = _date_code(facts)
    return Text(code.warning) if code is not None and code.warning else NOT_APPLICABLE


def age(facts: Facts, figures: Figures) -> Value | None:
    """The age in years on the day of judging, counted from the first day of the coded week."""
    code = _date_code(facts)
    if code is None or code.age_years is None:
        return None
    return Measure(code.age_years[0], code.age_years[1], "years")


def date_form(facts: Facts, figures: Figures) -> Value | None:
    """Three figures (before 2000), four, or doubtful where the week does not fit the year."""
    code = _date_code(facts)
    if code is None:
        return None
    if len(code.code) < len("2319"):
        return Choice("three-figure")
    return Choice("doubtful" if code.warning else "four-figure")
