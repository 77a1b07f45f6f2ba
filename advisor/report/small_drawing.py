"""A small drawing of where an injury lies: the tire cut across, and seen from the serial side with the valve on top.

Only what was said or measured is drawn; what is not known is said under it. Sizes in mm, not to scale.
"""

from __future__ import annotations

import math

from advisor.domain.geometry.zones import ORDER
from advisor.report.svg_text import FONT, safe
from advisor.work.one_page import SketchPlace

WIDE, TALL = 74.0, 37.5
#: Where a zone's middle lies on the cut: x from the center line as a share of the half tread, and y in mm.
_MIDDLES = dict(zip(ORDER, ((0.0, 8.0), (0.93, 9.2), (1.12, 18.0), (0.98, 27.0)), strict=True))
_CENTER, _HALF = 23.0, 17.0
_ROUND, _RADIUS = (60.0, 16.0), 11.0
_LINE = 'fill="none" stroke="#000"'


def small_drawing(place: SketchPlace, prefix: str) -> str:
    """The drawing as SVG; `prefix` keeps its ids apart from others on the page."""
    says = place_in_words(place)
    rows = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {TALL:g}" role="img" '
        f'aria-labelledby="{prefix}-title {prefix}-desc" font-family="{safe(FONT)}" font-size="3">',
        f'<title id="{prefix}-title">Where it lies</title><desc id="{prefix}-desc">{safe(says)}</desc>',
        f'<path {_LINE} stroke-width="1.6" d="M{_CENTER - 15} 30Q{_CENTER - 22} 20 {_CENTER - _HALF} 9'
        f'Q{_CENTER} 6.5 {_CENTER + _HALF} 9Q{_CENTER + 22} 20 {_CENTER + 15} 30"/>',
        f'<path {_LINE} stroke-width=".2" stroke-dasharray="1.5 .8" d="M{_CENTER} 2V14"/>',
        f'<circle cx="{_ROUND[0]}" cy="{_ROUND[1]}" r="{_RADIUS}" {_LINE} stroke-width="1.6"/>',
        f'<circle cx="{_ROUND[0]}" cy="{_ROUND[1]}" r="5.5" {_LINE} stroke-width=".3"/>',
        f'<path {_LINE} stroke-width=".7" d="M{_ROUND[0]} {_ROUND[1] - 5.5}v2.4"/>',
        f'<text x="{_ROUND[0]}" y="{_ROUND[1] + 1}" text-anchor="middle" font-size="2.6">valve</text>',
        *_on_the_cut(place),
        *_round_the_tire(place),
        f'<text x="1" y="33.5" font-size="2.6">{safe(_cut_words(place))}</text>',
        f'<text x="{WIDE - 1}" y="36.8" text-anchor="end" font-size="2.6">{safe(_clock_words(place))}</text>',
    ]
    return "\n".join([*rows, "</svg>"])


def place_in_words(place: SketchPlace) -> str:
    """The same in words."""
    return f"Across: {_cut_words(place)}. Round: {_clock_words(place)}."


def _on_the_cut(place: SketchPlace) -> list[str]:
    if place.across is None and place.zone not in _MIDDLES:
        return []
    share, down = _MIDDLES.get(place.zone, _MIDDLES[ORDER[0]])
    if place.across is not None:
        share, down = place.across, 7.7 + 1.3 * place.across**2
    x = _CENTER + share * _HALF
    ways = [
        f'<path {_LINE} stroke-width="1" {dashed}d="M{x:.1f} {down:.1f}L{x + 6 * math.sin(lean):.1f} '
        f'{down + 6 * math.cos(lean):.1f}"/>'
        for lean, dashed in _ways(place, share)
    ]
    return [*ways, f'<circle cx="{x:.1f}" cy="{down:.1f}" r="1.3" fill="#fff" stroke="#000" stroke-width=".7"/>']


def _ways(place: SketchPlace, share: float) -> list[tuple[float, str]]:
    """The channel's way from the outer end; both ways, dashed, where it is not known to which side it leans."""
    lean = math.radians(min(70.0, place.angle or 0.0))
    if place.lean == "along-tread" or lean == 0:
        return [(0.0, "")]
    if place.lean and share:
        outwards = (place.lean == "toward-shoulder") == (share > 0)
        return [(lean if outwards else -lean, "")]
    return [(lean, 'stroke-dasharray="1 .6" '), (-lean, 'stroke-dasharray="1 .6" ')]


def _round_the_tire(place: SketchPlace) -> list[str]:
    if place.clock is None:
        return []
    turn = math.radians(place.clock)
    x, y = _ROUND[0] + _RADIUS * math.sin(turn), _ROUND[1] - _RADIUS * math.cos(turn)
    return [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="1.5" fill="#fff" stroke="#000" stroke-width=".8"/>']


def _cut_words(place: SketchPlace) -> str:
    known = place.lean or not place.angle
    lean = f", {place.angle:.3g}°{'' if known else ', side not known'}" if place.angle is not None else ""
    if place.across is not None:
        return f"{place.zone or 'as taped'}{lean}"
    return f"{place.zone}, offset not measured{lean}" if place.zone in _MIDDLES else "place not measured"


def _clock_words(place: SketchPlace) -> str:
    if place.clock is None:
        return "clock not taken"
    hours, minutes = divmod(round(place.clock * 2) % 720, 60)
    return f"{hours or 12}:{minutes:02d}, serial side"
