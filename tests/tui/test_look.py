"""Light, dark, no colour; words that don't rest on colour; widgets that read no markup; sizes; start-up."""

from __future__ import annotations

import ast
import subprocess
import sys
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from rich.cells import cell_len
from textual.color import Color

from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.ruleset import Language
from advisor.tui import base_app
from advisor.tui.look import WIDE as WIDE_FROM
from advisor.tui.presenter import Desk
from advisor.tui.text_blocks import Para, wrap
from advisor.tui.themes import DARK, LIGHT
from tests.tui.driving import SIDEWALL, SMALL, Screen, drive

FACE = Path(base_app.__file__).parent
LEAST_CONTRAST = 4.5
NOW = datetime(2026, 7, 1, 9)


def test_f10_changes_between_dark_and_light_and_back() -> None:
    async def steps(screen: Screen) -> None:
        before = screen.text()
        assert screen.app.current_theme.dark
        await screen.press("f10")
        assert not screen.app.current_theme.dark
        assert screen.text() == before
        await screen.press("f10")
        assert screen.app.current_theme.dark

    drive(steps)


def test_without_colour_the_words_are_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[list[str]] = []

    async def steps(screen: Screen) -> None:
        await screen.answer(SIDEWALL)
        seen.append([line for line in screen.text().splitlines() if "^Q quit" not in line and "F1 help" not in line])

    drive(steps)
    monkeypatch.setenv("NO_COLOR", "1")
    bare = drive(steps, no_colour=True)
    assert bare.native_ansi_color
    coloured, plain = ([line.rstrip("│┃ ") for line in lines if line.strip("│┃ ")] for lines in seen)
    assert plain[: len(coloured) - 2] == coloured[:-2]
    assert any(" SCRAP " in line for line in plain)


def test_an_empty_no_color_means_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "")
    assert not base_app.no_colour()
    assert "NO_COLOR" not in base_app.os.environ
    monkeypatch.setenv("NO_COLOR", "yes")
    assert base_app.no_colour()


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda theme: theme.name)
def test_every_text_colour_can_be_read(theme: object) -> None:
    variables = dict(theme.variables, foreground=theme.foreground)
    for ground in (theme.background, theme.surface):
        for name, colour in variables.items():
            light, dark = sorted((_luminance(colour), _luminance(ground)), reverse=True)
            ratio = (light + 0.05) / (dark + 0.05)
            assert ratio >= LEAST_CONTRAST, (name, ground, ratio)


def _luminance(colour: str) -> float:
    """Relative luminance. Source: Web Content Accessibility Guidelines 2.1, definition of relative luminance."""
    parts = (part / 255 for part in Color.parse(colour).rgb)
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_the_side_view_comes_with_the_width() -> None:
    async def steps(screen: Screen) -> None:
        await screen.press("1", "enter")
        assert "So far" not in screen.text()
        await screen.pilot.resize_terminal(WIDE_FROM, 24)
        await screen.pilot.pause()
        assert "So far" in screen.text()
        await screen.pilot.resize_terminal(WIDE_FROM - 1, 24)
        await screen.pilot.pause()
        assert "So far" not in screen.text()

    drive(steps, SMALL)


def test_no_widget_of_the_face_reads_markup() -> None:
    """Words from rules and people are drawn by our own widgets; those of Textual that read markup are not used."""
    forbidden = {"Static", "Label", "notify", "OptionList", "Button", "Markdown", "RichLog", "from_markup"}
    for path in FACE.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                name = getattr(node.func, "id", getattr(node.func, "attr", ""))
                assert name not in forbidden, f"{path.name}:{node.lineno}: {name}"


def test_nothing_heavy_is_loaded_before_the_first_picture() -> None:
    code = "import sys, advisor.tui.app; print(*sorted(sys.modules))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    heavy = (
        "yaml",
        "networkx",
        "sqlite3",
        "advisor.engine",
        "advisor.loader",
        "advisor.dialogue",
        "advisor.model.case",
    )
    assert not [name for name in loaded if name.startswith(heavy)]


TEXTS = st.text(max_size=120)


@given(TEXTS, TEXTS.map(lambda text: text[:20]), st.integers(0, 12), st.integers(1, 90))
def test_no_line_is_wider_than_the_screen_and_no_sign_is_lost(text: str, lead: str, indent: int, width: int) -> None:
    lines = wrap([Para(text, "quiet", lead, "label", indent)], width)
    if width > cell_len("\\x00" * len(lead)) + indent + 14:
        assert all(cell_len(line.text) <= width for line in lines)
    words = "".join(line.text for line in lines).replace(" ", "")
    for sign in text.split():
        if sign.isascii() and sign.isalnum():
            assert sign in words


def test_nothing_that_draws_is_loaded_for_the_first_question() -> None:
    code = (
        "import sys; from datetime import datetime; import advisor.tui.app; from advisor.tui.startup import open_desk;"
        "desk = open_desk('', datetime.now, False); desk.panel(76, 17); desk.can('draw'); print(*sys.modules)"
    )
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert "advisor.tui.presenter" in loaded and "advisor.drawings.drawn_for" in loaded
    assert not [name for name in loaded if name.startswith(("advisor.drawings.views", "advisor.drawings.render"))]


def test_no_term_and_no_phrase_is_read_for_the_first_question() -> None:
    def refused() -> Language:
        raise AssertionError("the language of the rules was read")

    rules = replace(load_rule_set(find_rule_set("us-road")), language=refused)
    desk = Desk(Consultation(Judge(rules), NOW.date(), lambda: NOW), lambda: NOW)
    assert any("What vehicle is the tire from?" in line.text for line in desk.panel(76, 17))
    assert desk.consultation.standing() and desk.transcript.lines(76) and not desk.can("draw")
    with pytest.raises(AssertionError, match="was read"):
        desk.consultation.answer("it has a bulge")
