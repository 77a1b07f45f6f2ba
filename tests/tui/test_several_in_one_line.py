"""On the screen: several answers in one line, settled, and what is left for the record."""

from __future__ import annotations

import pytest

from tests.tui.driving import WIDE, Screen, drive

pytestmark = pytest.mark.free_order


def test_three_lines_settle_a_sidewall_puncture_and_enter_goes_on() -> None:
    async def steps(screen: Screen) -> None:
        assert "In the same line" in " ".join(screen.text().split())
        for line in ("P215/65R16 96H, first tread, not run flat", "tubeless, dot 2319", "30/33, not soft, 9/32 in"):
            await screen.type(line)
        await screen.type("6 mm round 10° sidewall through")
        assert screen.desk.consultation.ask is None
        assert screen.desk.consultation.for_the_record
        assert "SCRAP" in screen.text()
        await screen.press("enter")
        assert screen.asked == "demounted"

    drive(steps, WIDE)
