"""Values read off the sidewall's print, alone and together with what was answered."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.engine.facts import NOT_APPLICABLE, Facts, Figures, OneOf, Value, one_of
from advisor.later import later
from advisor.model.case import CANT_TELL, Choice, Text
from advisor.units import Measure, exactly

if TYPE_CHECKING:
    from advisor.tire import sidewall as tire_sidewall
    from advisor.tire import size_arithmetic as tire_size_arithmetic
else:
    tire_sidewall = later("advisor.tire.sidewall")
    tire_size_arithmetic = later("advisor.tire.size_arithmetic")

CLASSES = ("passenger", "light-truck", "medium-truck", "other")
GROUPS = ("light", "medium-truck", "other")
LETTERS = tuple("ABCDEFGHJKLMN")
LOAD_RANGES = (*LETTERS, "SL", "XL")
_UP_TO_E = frozenset({"A", "B", "C", "D", "E", "SL", "XL"})


@lru_cache(maxsize=256)
def read_print(text: str) -> tire_sidewall.Sidewall:
    """What a text says as a sidewall's print; the same ones come again and again."""
    return tire_sidewall.read_sidewall(text)


def printed(facts: Facts) -> tire_sidewall.Sidewall | None:
    """What the sidewall says, or None when it was not typed."""
    text = facts.get("sidewall")
    return read_print(text.text) if isinstance(text, Text) else None


def _choice(word: str | None) -> Value | None:
    return Choice(word) if word else None


def printed_class(facts: Facts, figures: Figures) -> Value | None:
    """The tire class that the print gives."""
    sidewall = printed(facts)
    return _choice(sidewall.tire_class) if sidewall else None


def printed_load_range(facts: Facts, figures: Figures) -> Value | None:
    """The load range that the print gives."""
    sidewall = printed(facts)
    return _choice(sidewall.load_range) if sidewall else None


def printed_construction(facts: Facts, figures: Figures) -> Value | None:
    """Radial or bias as the print says."""
    sidewall = printed(facts)
    return _choice(sidewall.construction) if sidewall else None


def printed_tube(facts: Facts, figures: Figures) -> Value | None:
    """Tubeless or tube-type as the print says."""
    sidewall = printed(facts)
    return _choice(sidewall.tube) if sidewall else None


def regroovable_mark(facts: Facts, figures: Figures) -> Value | None:
    """Whether the print says that the tire may be regrooved."""
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


def tire_class(facts: Facts, figures: Figures) -> Value | None:
    """The tire class from the print and the answer; both where they differ."""
    return _both(printed_class(facts, figures), facts.get("tire-class"), CLASSES)


def construction(facts: Facts, figures: Figures) -> Value | None:
    """Radial or bias from the print and the answer; both where they differ."""
    return _both(printed_construction(facts, figures), facts.get("construction"), ("radial", "bias"))


def tube(facts: Facts, figures: Figures) -> Value | None:
    """Tubeless or tube-type. A tube found in a tire that is marked tubeless counts as what was answered."""
    said = facts.get("tube")
    return said if isinstance(said, Choice) else _both(printed_tube(facts, figures), said, ("tubeless", "tube-type"))


def _load_range(facts: Facts, figures: Figures) -> Value | None:
    return _both(printed_load_range(facts, figures), facts.get("load-range"), LOAD_RANGES)


def tire_group(facts: Facts, figures: Figures) -> Value | None:
    """The group whose rules count: light (passenger, light truck to load range E), medium-truck, other.

    A print that does not go with the vehicle leaves open which of the two is right; see `_by_vehicle`.
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


def _by_vehicle(facts: Facts, figures: Figures) -> set[str]:
    """The group that goes with the vehicle where the print's does not; nothing where they go together.

    A truck tire's print on a car, or on a van or pickup above the rim code `light-to-rim`; a car tire's on a truck
    or bus. Without that figure nothing is compared.
    """
    sidewall, up_to = printed(facts), figures.get("light-to-rim")
    if sidewall is None or up_to is None:
        return set()
    vehicle = facts.get("vehicle")
    rim = sidewall.rim_code or 0
    large = vehicle == Choice("car") or (vehicle == Choice("van-or-pickup") and rim > up_to.figures[0].to("in").low)
    small = vehicle in (Choice("truck"), Choice("bus"))
    other = {"medium-truck": "light" if large else "", "passenger": "medium-truck" if small else ""}
    group = other.get(sidewall.tire_class or "", "")
    if group:
        facts.at_odds("sidewall", "vehicle", *(["tire-class"] if facts.said("tire-class") is not None else []))
    return {group} - {""}


def _light_truck_groups(letters: Value | None) -> set[str]:
    names = set(_names(letters)) or set(LETTERS)
    return ({"light"} if names & _UP_TO_E else set()) | ({"medium-truck"} if names - _UP_TO_E else set())


def nail_hole_class(facts: Facts, figures: Figures) -> Value | None:
    """Which nail-hole limit counts: light, or truck from load range F up.

    A medium-truck size whose print shows no letter counts as F or above, where its rim code is above the one up to
    which the letter is asked (figure `letter-to-rim`; without that figure at every rim code).
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


def _print_shows_truck(facts: Facts, figures: Figures) -> bool:
    """Whether the print is a medium-truck size without a letter: none that was not read, and nobody unsure of it."""
    sidewall = printed(facts)
    if sidewall is None or sidewall.tire_class != "medium-truck" or set(sidewall.not_read) & set(LETTERS):
        return False
    up_to = figures.get("letter-to-rim")
    if up_to is not None and (sidewall.rim_code is None or sidewall.rim_code <= up_to.figures[0].to("in").low):
        return False
    return facts.get("load-range") is not CANT_TELL


def section_width(facts: Facts, figures: Figures) -> Value | None:
    """The nominal section width in mm."""
    sidewall = printed(facts)
    return exactly(sidewall.nominal_width_mm, "mm") if sidewall and sidewall.nominal_width_mm else None


def overall_diameter(facts: Facts, figures: Figures) -> Value | None:
    """The overall diameter in mm, from the size."""
    sidewall = printed(facts)
    return exactly(sidewall.overall_diameter_mm, "mm") if sidewall and sidewall.overall_diameter_mm else None


def section_height(facts: Facts, figures: Figures) -> Value | None:
    """The section height in mm, from the size."""
    sidewall = printed(facts)
    return exactly(sidewall.section_height_mm, "mm") if sidewall and sidewall.section_height_mm else None


def turns_per_km(facts: Facts, figures: Figures) -> Value | None:
    """How often the tire turns in a kilometre, unloaded, to a tenth."""
    sidewall = printed(facts)
    if sidewall is None or not sidewall.overall_diameter_mm:
        return None
    return exactly(
        Fraction(round(tire_size_arithmetic.revolutions_per_km(sidewall.overall_diameter_mm) * 10), 10), "times"
    )


def load_single(facts: Facts, figures: Figures) -> Value | None:
    """The load one tire carries on a single wheel, in kg."""
    sidewall = printed(facts)
    return exactly(sidewall.load_single_kg, "kg") if sidewall and sidewall.load_single_kg else None


def load_dual(facts: Facts, figures: Figures) -> Value | None:
    """The load one tire carries in a dual pair, in kg."""
    sidewall = printed(facts)
    return exactly(sidewall.load_dual_kg, "kg") if sidewall and sidewall.load_dual_kg else None


def load_single_lb(facts: Facts, figures: Figures) -> Value | None:
    """The load one tire carries on a single wheel, in lb."""
    load = load_single(facts, figures)
    return load.to("lb") if isinstance(load, Measure) else None


def load_dual_lb(facts: Facts, figures: Figures) -> Value | None:
    """The load one tire carries in a dual pair, in lb."""
    load = load_dual(facts, figures)
    return load.to("lb") if isinstance(load, Measure) else None


def top_speed(facts: Facts, figures: Figures) -> Value | None:
    """The top speed of the speed symbol, in km/h."""
    sidewall = printed(facts)
    return exactly(sidewall.top_speed_kmh, "km/h") if sidewall and sidewall.top_speed_kmh else None
