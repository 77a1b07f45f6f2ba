"""Light and dark: our own two themes. Every text colour stands off its background by 4.5 to 1 or more."""

from __future__ import annotations

from textual.app import App
from textual.reactive import Reactive
from textual.theme import Theme

DARK = Theme(
    name="advisor-dark",
    primary="#4aa3df",
    secondary="#2f5f86",
    warning="#ffb454",
    error="#ff7a85",
    success="#7fd6a0",
    accent="#ffc46b",
    foreground="#e6e6e6",
    background="#121212",
    surface="#1f1f1f",
    panel="#262626",
    dark=True,
    variables={
        "text-primary": "#6cb8ee",
        "text-accent": "#ffc46b",
        "text-warning": "#ffb454",
        "text-error": "#ff8a94",
        "text-success": "#8be0ab",
    },
)
LIGHT = Theme(
    name="advisor-light",
    primary="#004a86",
    secondary="#2f5f86",
    warning="#7a4a00",
    error="#9b0016",
    success="#0a5a2c",
    accent="#7a4300",
    foreground="#1b1b1b",
    background="#f6f4ef",
    surface="#e6e2d9",
    panel="#dcd7cb",
    dark=False,
    variables={
        "text-primary": "#00427a",
        "text-accent": "#7a4300",
        "text-warning": "#6e4300",
        "text-error": "#8f0014",
        "text-success": "#08522a",
    },
)


class ThemedApp(App[int]):
    """An app in our two themes, in the dark one at first. None is registered later: the style would be read twice."""

    theme = Reactive(DARK.name)

    @property
    def available_themes(self) -> dict[str, Theme]:
        """Ours, and those that every app knows."""
        return {**super().available_themes, DARK.name: DARK, LIGHT.name: LIGHT}

    def action_light(self) -> None:
        """Changes between light and dark."""
        self.theme = LIGHT.name if self.current_theme.dark else DARK.name
