"""The tread seen from inside as bands: its edges, the crown's edges and the hatched shoulders between them."""

from __future__ import annotations

from advisor.quick import dataclass
from advisor.tire.drawing import Fill, Line, mm_ends
from advisor.tire.spans import Figures, in_family
from advisor.units import Measure


@dataclass(frozen=True, slots=True)
class Bands:
    """Half the tread's width, and how far from the center line the crown ends, in mm; None where it is not known.

    `edge` is 0 where the shoulders meet in the middle.
    """

    half: float | None
    edge: float | None

    def lines(self, left: float, right: float) -> list[Line]:
        """Center line, the tread's edges and the crown's, from left to right mm."""
        lines = [Line(left, 0.0, right, 0.0, "dotted")]
        for side in (-1, 1):
            if self.half:
                lines.append(Line(left, side * self.half, right, side * self.half))
            if self.edge:
                lines.append(Line(left, side * self.edge, right, side * self.edge, "dashed"))
        return lines

    def shoulders(self, left: float, right: float) -> list[Fill]:
        """The shoulders on both sides; none where the crown's edge is not known."""
        if self.half is None or self.edge is None:
            return []
        bands = ((-self.half, -self.edge), (self.edge, self.half))
        return [Fill(((left, top), (right, top), (right, bottom), (left, bottom))) for top, bottom in bands]


def zone_names(by_area: bool) -> tuple[str, str]:
    """What lies inside and outside the edge: crown and shoulder, or a repair area and the rest of the tread."""
    return ("repair area", "outside it") if by_area else ("crown", "shoulder")


def bands(tread_width: Measure | None, crown_margin: Figures | None) -> Bands:
    """The bands of a tread, at its widest where the width is in doubt."""
    if tread_width is None:
        return Bands(None, None)
    half = mm_ends(tread_width)[1] / 2
    return Bands(half, max(0.0, half - mm_ends(in_family(crown_margin, tread_width))[1]) if crown_margin else None)
