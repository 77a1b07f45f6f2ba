"""The view of the same tire under other rules: offered after the verdict only, read by keys alone, at both sizes."""

from __future__ import annotations

import pytest

from advisor.loader.paths import trees_folder
from tests.tui.driving import NAIL_HOLE, SMALL, WIDE, Screen, drive


@pytest.mark.parametrize("size", [SMALL, WIDE])
@pytest.mark.parametrize("no_colour", [False, True])
def test_after_the_verdict_each_rule_set_has_its_column(size: tuple[int, int], no_colour: bool) -> None:
    async def steps(screen: Screen) -> None:
        assert not screen.app.talk_screen.can("beside") and "other rules" not in screen.keys
        await screen.press("ctrl+o")
        assert screen.app.screen is screen.app.talk_screen
        await screen.answer({**NAIL_HOLE, "injury-size": "5.5 mm"})
        assert "other rules" in screen.keys
        screen.app.talk_screen.line.insert_text_at_cursor("half typ")
        await screen.press("ctrl+o")
        for _ in range(500):
            if "They do not agree." in screen.text():
                break
            await screen.pilot.pause(0.02)
        text = screen.text()
        assert "us-road judges here" in text
        row = next(line for line in text.splitlines() if line.startswith("verdict"))
        said, shipped = row.rstrip("┃│ ").split()[1:], list(trees_folder().glob("*/about.yaml"))
        assert len(said) == len(shipped) and set(said) == {"REPAIR", "SCRAP"} and said.count("SCRAP") == 1
        for _ in range(20):
            await screen.press("down")
        assert "Where and why they differ" in screen.text() and "(invented for the demo)" in screen.text()
        await screen.press("escape")
        assert screen.app.screen is screen.app.talk_screen and screen.line == "half typ"

    drive(steps, size, no_colour)
