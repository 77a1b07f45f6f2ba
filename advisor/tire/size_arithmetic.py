"""Size arithmetic: from the figures in a size to section height, overall diameter and turns per kilometre.

Sources: UN R30 and UN R54, para 6.1 (the same as ISO 4000-1 and ISO 4209-1), for the formulas. Sizes without
an aspect ratio are a table, never worked out: UN R54 Annex 5 and rim-association tables, standing from
memory; 11R22.5 checked by hand.
"""

from __future__ import annotations

import math
from fractions import Fraction

from advisor.errors import Misread

#: Radial sizes without an aspect ratio: section width on the measuring rim and overall diameter, both in mm.
TABLE_SIZES: dict[str, tuple[int, int]] = {
    "8R17.5": (208, 784), "8.5R17.5": (215, 802), "9.5R17.5": (240, 842), "8R19.5": (203, 859),
    "9R22.5": (229, 974), "10R22.5": (254, 1019), "11R22.5": (279, 1050), "12R22.5": (300, 1084),
    "13R22.5": (320, 1124), "11R24.5": (279, 1104), "7.50R16": (215, 802), "9.00R20": (258, 1018),
    "10.00R20": (275, 1052), "11.00R20": (286, 1082), "12.00R20": (313, 1122), "12.00R24": (313, 1226),
    "195R14": (198, 666), "31x10.50R15": (268, 775), "33x12.50R15": (318, 826),
}  # fmt: skip


def section_height_mm(nominal_width_mm: int, aspect_percent: int) -> int:
    """Section height in mm: width x aspect / 100, to the nearest mm, half up. Source: UN R54 para 6.1.

    >>> section_height_mm(275, 70)
    193
    """
    return (nominal_width_mm * aspect_percent + 50) // 100


def height_from_diameter_mm(overall_diameter_mm: int, rim_diameter_mm: int) -> int:
    """Section height in mm of a size known by table: half of what the diameter has over the rim, half up. Derived.

    >>> height_from_diameter_mm(1050, 572)
    239
    """
    return (overall_diameter_mm - rim_diameter_mm + 1) // 2


def overall_diameter_mm(rim_diameter_mm: int, height_mm: int) -> int:
    """Overall diameter in mm: rim diameter plus twice the section height. Source: UN R54 para 6.1.

    >>> overall_diameter_mm(572, 193)
    958
    """
    return rim_diameter_mm + 2 * height_mm


def revolutions_per_km(overall_diameter_mm: Fraction | int) -> float:
    """Turns in a kilometre, from geometry alone: 1 000 000 / (pi x overall diameter in mm).

    A loaded tire flattens where it stands and turns a few percent more often than this; the figure is for an
    unloaded circle, not a measured one. Raises Misread when the diameter is not above 0. Source: the
    circumference of a circle (derived).

    >>> round(revolutions_per_km(1050), 1)
    303.2
    """
    if overall_diameter_mm <= 0:
        raise Misread(f"a diameter of {overall_diameter_mm} mm", "a diameter above 0 mm", "measure it again")
    return 1e6 / (math.pi * float(overall_diameter_mm))
