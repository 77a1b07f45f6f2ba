"""The sign and colours of each verdict in the drawing of a rule set: a shape and a word beside every colour."""

from __future__ import annotations

from msgspec import Struct

from advisor.model.ruleset import Verdict
from advisor.report.svg_text import text_at, text_width
from advisor.tools.graph_layout import Chip


class Ink(Struct, frozen=True):
    """A dark colour for strokes and words, a tint behind them. Dark on tint stands off by more than 4.5 to 1."""

    dark: str
    tint: str


INKS: dict[Verdict | None, Ink] = {
    Verdict.REPAIR: Ink("#0a5a2c", "#e4f3e8"),
    Verdict.REFER: Ink("#00427a", "#e3eefa"),
    Verdict.HOLD: Ink("#6e4300", "#fdf0d6"),
    Verdict.SCRAP: Ink("#8f0014", "#fce6e8"),
    None: Ink("#4a2a6a", "#efe8f6"),
}
PALE = Ink("#5c5c5c", "#ffffff")


def sign(verdict: Verdict | None, x: float, y: float, size: float, colour: str) -> str:
    """The verdict's shape in a square of the size, from its upper left corner."""
    s, stroke = size, f'stroke="{colour}" stroke-width="{size * 0.2:.2f}" fill="none"'
    if verdict is Verdict.REPAIR:
        return f'<circle cx="{x + s / 2:.2f}" cy="{y + s / 2:.2f}" r="{s * 0.4:.2f}" {stroke}/>'
    if verdict is Verdict.REFER:
        corners = f"M{x + s * 0.12:.2f} {y + s * 0.08:.2f}l{s * 0.8:.2f} {s * 0.42:.2f}l{-s * 0.8:.2f} {s * 0.42:.2f}z"
        return f'<path d="{corners}" fill="{colour}"/>'
    if verdict is Verdict.HOLD:
        bars = f"M{x + s * 0.3:.2f} {y + s * 0.1:.2f}v{s * 0.8:.2f}m{s * 0.4:.2f} 0v{-s * 0.8:.2f}"
        return f'<path d="{bars}" {stroke}/>'
    if verdict is Verdict.SCRAP:
        cross = f"M{x + s * 0.12:.2f} {y + s * 0.12:.2f}l{s * 0.76:.2f} {s * 0.76:.2f}m0 {-s * 0.76:.2f}"
        return f'<path d="{cross}l{-s * 0.76:.2f} {s * 0.76:.2f}" {stroke}/>'
    barred = f"M{x + s * 0.22:.2f} {y + s * 0.5:.2f}h{s * 0.56:.2f}"
    ring = f'<circle cx="{x + s / 2:.2f}" cy="{y + s / 2:.2f}" r="{s * 0.42:.2f}" {stroke}/>'
    return f'{ring}<path d="{barred}" {stroke}/>'


def chip_text(chip: Chip) -> str:
    """What stands in a chip beside its sign."""
    return f"{'? ' if chip.doubt else ''}{chip.text}"


def chip_width(chip: Chip, size: float) -> float:
    """How wide a chip is drawn."""
    return text_width(chip_text(chip), size) + size * 2.0


def chip_drawn(chip: Chip, x: float, y: float, size: float, pale: bool) -> str:
    """A chip from its upper left corner: filled where the case brought it, dashed where doubt brings it."""
    ink = PALE if pale and not chip.lit else INKS[chip.verdict]
    width, height = chip_width(chip, size), size * 1.45
    fill, word = (ink.dark, "#ffffff") if chip.lit else (ink.tint, ink.dark)
    dash = f' stroke-dasharray="{size * 0.4:.2f} {size * 0.3:.2f}"' if chip.doubt else ""
    thick = size * (0.16 if chip.lit else 0.08)
    box = f'<rect x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{height:.2f}" rx="{size * 0.3:.2f}"'
    weight = 'font-weight="bold" ' if chip.lit else ""
    return (
        f'{box} fill="{fill}" stroke="{ink.dark}" stroke-width="{thick:.2f}"{dash}/>'
        + sign(chip.verdict, x + size * 0.35, y + size * 0.27, size * 0.9, word)
        + text_at(x + size * 1.55, y + size * 1.05, chip_text(chip), size, f'{weight}fill="{word}"')
    )
