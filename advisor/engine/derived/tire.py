"""Derived facts of the tire: from its sidewall's print, and from tread, pressure, air and date.

A print that was not typed, or does not tell, gives None. What is derived from the print alone and what was answered
may differ: then either may be right, and both come out.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.domain import pressure as tire_pressure
from advisor.engine.facts import NOT_APPLICABLE, Facts, LimitFigures, OneOf, Value, one_of
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Choice, Choices, Readings, Text
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, exactly, in_words, lowest

if TYPE_CHECKING:
    from advisor.domain import dot_code
    from advisor.domain.sidewall import parser


@lru_cache(maxsize=64)
def _read_date_code(text: str, today: date) -> dot_code.DateCode:
    from advisor.domain import dot_code

    return dot_code.read_date_code(text, today)


def lowest_tread(facts: Facts, figures: LimitFigures) -> Value | None:
    """The lowest of the tread readings.

    Reads
    -----
    tread-depth

    Returns
    -------
    length in 32nds; from the lowest low to the lowest high where readings are in doubt
    """
    depth = facts.get(inputs.TREAD_DEPTH)
    if isinstance(depth, Measure):
        return depth.to("32nds")
    return lowest(depth.readings).to("32nds") if isinstance(depth, Readings) else None


def share_of_set_pressure(facts: Facts, figures: LimitFigures) -> Value | None:
    """The pressure found as a share of the set pressure; a reading said to be hot is first brought to cold by the law's
    table.

    Reads
    -----
    found-pressure, set-pressure, mean-speed, load-single

    Figures
    -------
    hot-load-line, hot-speed-from, hot-speed-to, hot-correction-light, hot-correction-heavy : together, where the rule
        set has such a table; without it a hot reading counts as it is

    Returns
    -------
    share in %; None also where it was hot and the table does not cover it, or a reading makes no sense
    """
    found, wanted = facts.measure(inputs.FOUND_PRESSURE), facts.measure(inputs.SET_PRESSURE)
    if found is None or wanted is None:
        return None
    try:
        cold = _cold(found, facts, figures)
        return None if cold is None else tire_pressure.pressure_share(cold, wanted)
    except Misread:
        return None


def as_told(facts: Facts, figures: LimitFigures) -> Value | None:
    """How a question of yes or no was answered, where leaving it out is no doubt.

    Reads
    -----
    regroove-mark

    Returns
    -------
    yes, no, or not-told where nobody said so; None while it can't be told
    """
    answer = facts.get(inputs.REGROOVE_MARK)
    if answer is None:
        return Choice("not-told")
    return answer if isinstance(answer, Choice) else None


def gone_over(facts: Facts, figures: LimitFigures) -> Value | None:
    """What going over the inside of a tire that ran low found.

    Reads
    -----
    run-low-inside

    Returns
    -------
    found, none, or not-told where nobody said so; None while it can't be told, or was gone over in part only
    """
    signs = facts.get(inputs.RUN_LOW_INSIDE)
    if signs is None:
        return Choice("not-told")
    if not isinstance(signs, Choices):
        return None
    return Choice("found") if signs.present else Choice("none") if signs.complete else None


def ran_low(facts: Facts, figures: LimitFigures) -> Value | None:
    """That it ran low, or may have, in words.

    Reads
    -----
    pressure-share, run-low

    Figures
    -------
    share : the share of the set pressure from which it ran low

    Returns
    -------
    words, never None: driven so by what was said, it ran low; beyond the share in no doubt, at what share it was found;
    else it may have
    """
    share = facts.measure("pressure-share")
    if facts.get(inputs.RUN_LOW) == Choice("yes") and facts.said(inputs.RUN_LOW) is not CANT_TELL:
        return Text("It ran low")
    if share is not None and figures["share"].is_beyond(share) is True:
        return Text(f"Found low ({in_words(share)})")
    return Text("It may have run low")


def _cold(found: Measure, facts: Facts, figures: LimitFigures) -> Measure | None:
    """The reading as it would be cold; None where it was hot and the table does not cover it."""
    speed = facts.get(inputs.MEAN_SPEED) if "hot-load-line" in figures else None
    if speed is None:
        return found
    rating = facts.measure("load-single")
    if not isinstance(speed, Measure) or rating is None:
        return None
    correction = tire_pressure.hot_correction(rating, speed, _hot_rows(figures, found, rating, speed))
    return None if correction is None else tire_pressure.cold_estimate(found, correction)


def _hot_rows(figures: LimitFigures, found: Measure, rating: Measure, speed: Measure) -> list[tire_pressure.HotRow]:
    line = figures["hot-load-line"].figure_for(rating)
    ends = figures["hot-speed-from"].figure_for(speed), figures["hot-speed-to"].figure_for(speed)
    light, heavy = (figures[name].figure_for(found) for name in ("hot-correction-light", "hot-correction-heavy"))
    return [tire_pressure.HotRow(None, line, *ends, light), tire_pressure.HotRow(line, None, *ends, heavy)]


def shop_dew_point(facts: Facts, figures: LimitFigures) -> Value | None:
    """The dew point of the shop's air, by `compressed_air.dew_point`.

    Reads
    -----
    shop-temperature, humidity

    Returns
    -------
    temperature in °C; None also where the formula does not reach
    """
    from advisor.domain import compressed_air

    temperature, humidity = facts.measure(inputs.SHOP_TEMPERATURE), facts.measure(inputs.HUMIDITY)
    if temperature is None or humidity is None:
        return None
    try:
        return compressed_air.dew_point(temperature, humidity)
    except Misread:
        return None


def stored_energy(facts: Facts, figures: LimitFigures) -> Value | None:
    """What the air at the set pressure can release at most, by `compressed_air.stored_energy_kj`; the volume is an
    estimate.

    Reads
    -----
    set-pressure, sidewall

    Returns
    -------
    energy in kJ, an upper bound; None also for a size without width, diameter or rim code
    """
    from advisor.domain import code_tables, compressed_air

    pressure, sidewall = facts.measure(inputs.SET_PRESSURE), printed(facts)
    if pressure is None or sidewall is None or not sidewall.nominal_width_mm or not sidewall.overall_diameter_mm:
        return None
    if sidewall.rim_code is None:
        return None
    try:
        rim = exactly(code_tables.rim_mm(f"{float(sidewall.rim_code):g}"), "mm")
        width, diameter = exactly(sidewall.nominal_width_mm, "mm"), exactly(sidewall.overall_diameter_mm, "mm")
        return compressed_air.stored_energy_kj(pressure, compressed_air.inner_volume_litres(width, diameter, rim))
    except Misread:
        return None


def _date_code(facts: Facts) -> dot_code.DateCode | None:
    code = facts.get(inputs.DOT_CODE)
    if not isinstance(code, Text) or facts.today is None:
        return None
    try:
        return _read_date_code(code.text, facts.today)
    except Misread:
        return None


def made_week(facts: Facts, figures: LimitFigures) -> Value | None:
    """The week of the year in which the tire was made or retreaded, by `dot_code.read_date_code`.

    Reads
    -----
    dot-code

    Returns
    -------
    a count, 1 to 53; None where the code can't be read, or no day is given to judge on
    """
    code = _date_code(facts)
    return None if code is None else exactly(code.week, "times")


def made_year(facts: Facts, figures: LimitFigures) -> Value | None:
    """The year of the date code.

    Reads
    -----
    dot-code

    Returns
    -------
    a count; from the earliest to the latest year where three digits leave the decade open. None as `made_week`
    """
    code = _date_code(facts)
    if code is None or not code.years:
        return None
    return Measure(Fraction(min(code.years)), Fraction(max(code.years)), "times")


def number_kind(facts: Facts, figures: LimitFigures) -> Value | None:
    """Whether the number is a new tire's or a retread's.

    Reads
    -----
    dot-code

    Returns
    -------
    new or retread, where its length and prefix tell; else NOT_APPLICABLE
    """
    code = _date_code(facts)
    return Choice(code.kind) if code is not None and code.kind != "unknown" else NOT_APPLICABLE


def made_between(facts: Facts, figures: LimitFigures) -> Value | None:
    """The first and the last day on which the tire may have been made or retreaded, in words.

    Reads
    -----
    dot-code

    Returns
    -------
    two ISO dates; None as `made_week`
    """
    code = _date_code(facts)
    return None if code is None else Text(f"{code.first_day.isoformat()} to {code.last_day.isoformat()}")


def date_warning(facts: Facts, figures: LimitFigures) -> Value | None:
    """What to look at again in the date code, in words.

    Reads
    -----
    dot-code

    Returns
    -------
    words, or NOT_APPLICABLE where everything fits or no date was read
    """
    code = _date_code(facts)
    return Text(code.warning) if code is not None and code.warning else NOT_APPLICABLE


def age(facts: Facts, figures: LimitFigures) -> Value | None:
    """The age on the day of judging.

    Reads
    -----
    dot-code

    Returns
    -------
    time in years from the first day of the coded week, on a retread since the retreading; a range where the decade is
    open. None as `made_week`
    """
    code = _date_code(facts)
    if code is None or code.age_years is None:
        return None
    return Measure(code.age_years[0], code.age_years[1], "years")


def date_form(facts: Facts, figures: LimitFigures) -> Value | None:
    """The form of the date code.

    Reads
    -----
    dot-code

    Returns
    -------
    three-figure (before 2000), four-figure, or doubtful where four figures come with a warning. None as `made_week`
    """
    code = _date_code(facts)
    if code is None:
        return None
    if len(code.code) < len("2319"):
        return Choice("three-figure")
    return Choice("doubtful" if code.warning else "four-figure")


CLASSES = ("passenger", "light-truck", "medium-truck", "other")
GROUPS = ("light", "medium-truck", "other")
LETTERS = tuple("ABCDEFGHJKLMN")
LOAD_RANGES = (*LETTERS, "SL", "XL")
_UP_TO_E = frozenset({"A", "B", "C", "D", "E", "SL", "XL"})


@lru_cache(maxsize=256)
def read_print(text: str) -> parser.Sidewall:
    """What a text says as a sidewall's print; the same ones come again and again."""
    from advisor.domain.sidewall import parser

    return parser.read_sidewall(text)


def printed(facts: Facts) -> parser.Sidewall | None:
    """What the sidewall says, or None when it was not typed."""
    text = facts.get(inputs.SIDEWALL)
    return read_print(text.text) if isinstance(text, Text) else None


def _choice(word: str | None) -> Value | None:
    return Choice(word) if word else None


def printed_class(facts: Facts, figures: LimitFigures) -> Value | None:
    """The tire class that the print gives.

    Reads
    -----
    sidewall

    Returns
    -------
    passenger, light-truck, medium-truck or other
    """
    sidewall = printed(facts)
    return _choice(sidewall.tire_class) if sidewall else None


def printed_load_range(facts: Facts, figures: LimitFigures) -> Value | None:
    """The load range that the print gives.

    Reads
    -----
    sidewall

    Returns
    -------
    a letter from A to N, SL or XL
    """
    sidewall = printed(facts)
    return _choice(sidewall.load_range) if sidewall else None


def printed_construction(facts: Facts, figures: LimitFigures) -> Value | None:
    """The construction that the print gives.

    Reads
    -----
    sidewall

    Returns
    -------
    radial or bias
    """
    sidewall = printed(facts)
    return _choice(sidewall.construction) if sidewall else None


def printed_tube(facts: Facts, figures: LimitFigures) -> Value | None:
    """What the print says of a tube.

    Reads
    -----
    sidewall

    Returns
    -------
    tubeless or tube-type
    """
    sidewall = printed(facts)
    return _choice(sidewall.tube) if sidewall else None


def regroovable_mark(facts: Facts, figures: LimitFigures) -> Value | None:
    """Whether the print says that the tire may be regrooved.

    Reads
    -----
    sidewall

    Returns
    -------
    yes; never no, as a print without the mark tells nothing: it may stand on the other side
    """
    sidewall = printed(facts)
    if sidewall is None or sidewall.regroovable is None:
        return None
    return Choice("yes" if sidewall.regroovable else "no")


def _both(print_says: Value | None, said: Value | None, ranked: tuple[str, ...]) -> Value | None:
    """Print and answer together: where they differ, either may be right."""
    if said is CANT_TELL or said is None:
        return print_says if print_says is not None else said
    if print_says is None or print_says == said:
        return said
    return one_of({name for value in (print_says, said) for name in _names(value)}, ranked)


def _names(value: Value | None) -> Iterable[str]:
    if isinstance(value, Choice):
        return (value.id,)
    return value.possible if isinstance(value, OneOf) else ()


def tire_class(facts: Facts, figures: LimitFigures) -> Value | None:
    """The tire class from the print and the answer.

    Reads
    -----
    sidewall, tire-class

    Returns
    -------
    passenger, light-truck, medium-truck or other; both where they differ
    """
    return _both(printed_class(facts, figures), facts.get(inputs.TIRE_CLASS), CLASSES)


def construction(facts: Facts, figures: LimitFigures) -> Value | None:
    """The construction from the print and the answer.

    Reads
    -----
    sidewall, construction

    Returns
    -------
    radial or bias; both where they differ
    """
    return _both(printed_construction(facts, figures), facts.get(inputs.CONSTRUCTION), ("radial", "bias"))


def tube(facts: Facts, figures: LimitFigures) -> Value | None:
    """With or without a tube; a tube found in a tire that is marked tubeless counts as what was answered.

    Reads
    -----
    sidewall, tube

    Returns
    -------
    tubeless or tube-type
    """
    said = facts.get(inputs.TUBE)
    return said if isinstance(said, Choice) else _both(printed_tube(facts, figures), said, ("tubeless", "tube-type"))


def _load_range(facts: Facts, figures: LimitFigures) -> Value | None:
    return _both(printed_load_range(facts, figures), facts.get(inputs.LOAD_RANGE), LOAD_RANGES)


def tire_group(facts: Facts, figures: LimitFigures) -> Value | None:
    """The group whose rules count.

    Reads
    -----
    sidewall, tire-class, load-range, vehicle

    Figures
    -------
    light-to-rim : the rim code above which no van or pickup has its wheels; without it print and vehicle are not
        compared

    Returns
    -------
    light (passenger, light truck to load range E), medium-truck or other; all that are possible, also where a print
    does not go with the vehicle (see `_by_vehicle`)
    """
    classes = tire_class(facts, figures)
    letters = _load_range(facts, figures) if "light-truck" in _names(classes) else None
    groups: set[str] = set()
    for name in _names(classes):
        if name == "light-truck":
            groups |= _light_truck_groups(letters)
        else:
            groups.add("light" if name == "passenger" else name)
    return one_of(groups | _by_vehicle(facts, figures), GROUPS)


def _by_vehicle(facts: Facts, figures: LimitFigures) -> set[str]:
    """The group that goes with the vehicle where the print's does not; nothing where they go together.

    A truck tire's print on a car, or on a van or pickup above the rim code `light-to-rim`; a car tire's on a truck
    or bus. Without that figure nothing is compared.
    """
    sidewall, up_to = printed(facts), figures.get("light-to-rim")
    if sidewall is None or up_to is None:
        return set()
    vehicle = facts.get(inputs.VEHICLE)
    rim = sidewall.rim_code or 0
    large = vehicle == Choice("car") or (vehicle == Choice("van-or-pickup") and rim > up_to.figures[0].to("in").low)
    small = vehicle in (Choice("truck"), Choice("bus"))
    other = {"medium-truck": "light" if large else "", "passenger": "medium-truck" if small else ""}
    group = other.get(sidewall.tire_class or "", "")
    if group:
        facts.at_odds(
            inputs.SIDEWALL, inputs.VEHICLE, *([inputs.TIRE_CLASS] if facts.said(inputs.TIRE_CLASS) is not None else [])
        )
    return {group} - {""}


def _light_truck_groups(letters: Value | None) -> set[str]:
    names = set(_names(letters)) or set(LETTERS)
    return ({"light"} if names & _UP_TO_E else set()) | ({"medium-truck"} if names - _UP_TO_E else set())


def nail_hole_class(facts: Facts, figures: LimitFigures) -> Value | None:
    """Which nail-hole limit counts.

    Reads
    -----
    sidewall, tire-class, load-range, vehicle

    Figures
    -------
    letter-to-rim : the rim code up to which a medium-truck size without a letter may be below F; without it at no rim
        code
    light-to-rim : as for `tire_group`

    Returns
    -------
    light, or truck from load range F up; both where it is open. NOT_APPLICABLE for tires of another group
    """
    groups = set(_names(tire_group(facts, figures)))
    if not groups:
        return None
    if groups == {"other"}:
        return NOT_APPLICABLE
    found = {"light"} if groups & {"light", "other"} else set()
    if "medium-truck" in groups:
        letters = set(_names(_load_range(facts, figures)))
        if not letters and not _print_shows_truck(facts, figures):
            letters = set(LETTERS)
        if letters & _UP_TO_E:
            found.add("light")
        if letters - _UP_TO_E or not letters:
            found.add("truck")
    return one_of(found, ("light", "truck"))


def _print_shows_truck(facts: Facts, figures: LimitFigures) -> bool:
    """Whether the print is a medium-truck size without a letter: none that was not read, and nobody unsure of it."""
    sidewall = printed(facts)
    if sidewall is None or sidewall.tire_class != "medium-truck" or set(sidewall.not_read) & set(LETTERS):
        return False
    up_to = figures.get("letter-to-rim")
    if up_to is not None and (sidewall.rim_code is None or sidewall.rim_code <= up_to.figures[0].to("in").low):
        return False
    return facts.get(inputs.LOAD_RANGE) is not CANT_TELL


def section_width(facts: Facts, figures: LimitFigures) -> Value | None:
    """The nominal section width.

    Reads
    -----
    sidewall

    Returns
    -------
    length in mm, as printed or by table
    """
    sidewall = printed(facts)
    return exactly(sidewall.nominal_width_mm, "mm") if sidewall and sidewall.nominal_width_mm else None


def overall_diameter(facts: Facts, figures: LimitFigures) -> Value | None:
    """The overall diameter of the size.

    Reads
    -----
    sidewall

    Returns
    -------
    length in mm, new and unloaded, worked out or by table
    """
    sidewall = printed(facts)
    return exactly(sidewall.overall_diameter_mm, "mm") if sidewall and sidewall.overall_diameter_mm else None


def section_height(facts: Facts, figures: LimitFigures) -> Value | None:
    """The section height of the size.

    Reads
    -----
    sidewall

    Returns
    -------
    length in mm, worked out or by table
    """
    sidewall = printed(facts)
    return exactly(sidewall.section_height_mm, "mm") if sidewall and sidewall.section_height_mm else None


def turns_per_km(facts: Facts, figures: LimitFigures) -> Value | None:
    """How often the tire turns in a kilometre, unloaded.

    Reads
    -----
    sidewall

    Returns
    -------
    a count, to a tenth
    """
    from advisor.domain.sidewall import size

    sidewall = printed(facts)
    if sidewall is None or not sidewall.overall_diameter_mm:
        return None
    return exactly(Fraction(round(size.revolutions_per_km(sidewall.overall_diameter_mm) * 10), 10), "times")


def load_single(facts: Facts, figures: LimitFigures) -> Value | None:
    """The load one tire carries on a single wheel.

    Reads
    -----
    sidewall

    Returns
    -------
    mass in kg, of the load index
    """
    sidewall = printed(facts)
    return exactly(sidewall.load_single_kg, "kg") if sidewall and sidewall.load_single_kg else None


def load_dual(facts: Facts, figures: LimitFigures) -> Value | None:
    """The load one tire carries in a dual pair.

    Reads
    -----
    sidewall

    Returns
    -------
    mass in kg, of the second load index; None for a print that has only one
    """
    sidewall = printed(facts)
    return exactly(sidewall.load_dual_kg, "kg") if sidewall and sidewall.load_dual_kg else None


LOAD_CLASSES = ("light", "heavy")


def load_class(facts: Facts, figures: LimitFigures) -> Value | None:
    """Whether the tire counts as light or heavy by the load on a single wheel, from the print and the answer.

    Reads
    -----
    sidewall, load-index

    Figures
    -------
    from : the load from which it counts as heavy

    Returns
    -------
    light or heavy; both where they differ, the print's alone where the answer can't be told
    """
    load = load_single(facts, figures)
    by_print = None
    if isinstance(load, Measure):
        by_print = Choice("light" if figures["from"].is_beyond(load) else "heavy")
        if facts.said(inputs.LOAD_INDEX) is CANT_TELL:
            return by_print
    return _both(by_print, facts.get(inputs.LOAD_INDEX), LOAD_CLASSES)


def load_single_lb(facts: Facts, figures: LimitFigures) -> Value | None:
    """The load one tire carries on a single wheel.

    Reads
    -----
    sidewall

    Returns
    -------
    mass in lb, exact from the kg
    """
    load = load_single(facts, figures)
    return load.to("lb") if isinstance(load, Measure) else None


def load_dual_lb(facts: Facts, figures: LimitFigures) -> Value | None:
    """The load one tire carries in a dual pair.

    Reads
    -----
    sidewall

    Returns
    -------
    mass in lb, exact from the kg; None as `load_dual`
    """
    load = load_dual(facts, figures)
    return load.to("lb") if isinstance(load, Measure) else None


def top_speed(facts: Facts, figures: LimitFigures) -> Value | None:
    """The top speed of the speed symbol.

    Reads
    -----
    sidewall

    Returns
    -------
    speed in km/h; for ZR and (Y) the one that they go beyond
    """
    sidewall = printed(facts)
    return exactly(sidewall.top_speed_kmh, "km/h") if sidewall and sidewall.top_speed_kmh else None
