"""The look: where things stand and how words are marked. Every mark is also a word or a sign, never colour alone."""

from __future__ import annotations

from rich.style import Style
from textual.color import Color
from textual.widget import Widget

#: From this width the side view is shown, from the next it is wider; below the height the screen makes do with less.
WIDE, WIDER, WIDEST, TALL = 110, 130, 180, 16

CSS = """
TalkScreen { layout: vertical; }
#body { layout: horizontal; height: 1fr; min-height: 3; }
#main { layout: vertical; width: 1fr; height: 100%; }
#talk { width: 100%; height: 1fr; padding: 0; }
#panel { width: 100%; height: 3; border: round $text-accent; border-bottom: none; border-title-style: bold; }
#standing { height: 1; width: 100%; color: $text-accent; }
#panel.-repair { border: round $text-success; border-bottom: none; }
#panel.-hold { border: round $text-warning; border-bottom: none; }
#panel.-scrap { border: round $text-error; border-bottom: none; }
#standing.-repair { color: $text-success; }
#standing.-hold { color: $text-warning; }
#standing.-scrap { color: $text-error; }
#side { display: none; width: 40; height: 100%; border: round $foreground 40%; padding: 0; }
TalkScreen.-wide #side { display: block; }
TalkScreen.-wider #side { display: block; width: 52; }
TalkScreen.-wide.-drawn #side { width: 54; }
TalkScreen.-wider.-drawn #side { width: 66; }
TalkScreen.-widest #side { display: block; width: 76; }
#entry { layout: horizontal; height: 1; }
#sign { width: 2; height: 1; color: $text-accent; text-style: bold; }
#line { width: 1fr; height: 1; background: $background; }
#line:focus { background: $background; background-tint: $foreground 0%; }
#line > .input--placeholder { color: $foreground 60%; }
#line > .input--cursor { background: $background; color: $foreground; text-style: reverse; }
#complaint { height: 1; max-height: 4; color: $text-error; text-style: bold; }
#keys { height: 1; background: $surface; color: $foreground; }
TalkScreen.-tiny #keys { max-height: 1; }
TalkScreen.-tiny #line > .input--cursor { background: $background; color: $foreground; text-style: reverse; }
TalkScreen.-tiny #complaint { max-height: 2; }
"""

#: How words are marked: in which colour of the theme, how much of it over what lies under it, and how it is set.
_MARKS = {
    "ask": ("", 1.0, "bold"),
    "at": ("", 1.0, "reverse bold"),
    "bar": ("foreground", 0.25, ""),
    "drawing": ("foreground", 1.0, ""),
    "key": ("text-accent", 1.0, "bold"),
    "label": ("text-accent", 1.0, ""),
    "note": ("", 1.0, "italic"),
    "number": ("text-accent", 1.0, "bold"),
    "quiet": ("foreground", 0.75, ""),
    "row": ("foreground", 1.0, ""),
    "said": ("text-primary", 1.0, "bold"),
    "sign-repair": ("text-success", 1.0, "reverse bold"),
    "sign-refer": ("text-accent", 1.0, "reverse bold"),
    "sign-hold": ("text-warning", 1.0, "reverse bold"),
    "sign-scrap": ("text-error", 1.0, "reverse bold"),
    "strong": ("", 1.0, "bold"),
    "thumb": ("foreground", 0.6, ""),
    "title": ("text-accent", 1.0, "bold"),
    "wrong": ("text-error", 1.0, "bold"),
}


def in_mark(widget: Widget, name: str) -> Style:
    """How words of a widget look with a mark. Component classes would be worked out for every widget at each start."""
    colour, much, set_as = _MARKS[name]
    style = widget.rich_style + Style.parse(set_as)
    if colour:
        over = Color.parse(widget.app.theme_variables[colour]).with_alpha(much)
        style += Style(color=(widget.background_colors[1] + over).rich_color)
    return style
