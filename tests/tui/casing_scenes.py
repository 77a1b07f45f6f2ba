"""The screen of casings: driven on an invented fleet's journal, and kept as pictures.

Write the pictures anew after a change that was meant: python -m tests.tui.casing_scenes - and look at each.
"""

from __future__ import annotations

import asyncio
import re
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from advisor.journal.data_folder import FILE_NAME
from advisor.journal.store import opened_to_read
from advisor.tui.casings_app import CasingsApp
from tests.asking import asked_in_order
from tests.journal.fleet import fill_fleet
from tests.journal.record_support import judge

PICTURES = Path(__file__).parent / "casing_pictures"
CASING = "F000000"
COUNT = 60

#: Keys pressed one after another; a text in quotes is typed.
SCENES: dict[str, tuple[tuple[int, int], tuple[str, ...]]] = {
    "list_80x24": ((80, 24), ("down", "down")),
    "search_120x40": ((120, 40), ("'repair five'",)),
    "history_80x24": ((80, 24), (f"'{CASING}'", "enter")),
    "history_120x60": ((120, 60), (f"'{CASING}'", "enter")),
    "nothing_found_80x24": ((80, 24), ("'zzz'",)),
}


def fleet_in(folder: Path) -> Path:
    """A small fleet's journal."""
    fill_fleet(folder, judge(), COUNT)
    return folder


def drive(folder: Path, size: tuple[int, int], keys: tuple[str, ...], look: Callable[[CasingsApp], None]) -> CasingsApp:
    """Opens the screen, presses keys, and lets somebody look at it."""
    with closing(opened_to_read(folder / FILE_NAME)) as db:
        app = CasingsApp(db, judge, "")

        async def run() -> None:
            async with app.run_test(size=size) as pilot:
                await pilot.pause()
                for key in keys:
                    if key.startswith("'"):
                        app.casings.line.insert_text_at_cursor(key.strip("'"))
                        await pilot.pause()
                    else:
                        await pilot.press(key)
                await pilot.pause()
                look(app)

        asyncio.run(run())
        return app


def picture(folder: Path, name: str) -> str:
    """A scene as SVG, with ids that don't change from run to run."""
    size, keys = SCENES[name]
    drawn: list[str] = []
    drive(folder, size, keys, lambda app: drawn.append(app.export_screenshot(title="advisor casings")))
    return re.sub(r"terminal-\d+", "terminal", drawn[0]).rstrip("\n") + "\n"


def main() -> None:
    """Writes the pictures."""
    asked_in_order()
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as name:
        folder = fleet_in(Path(name))
        assert sqlite3.connect(folder / FILE_NAME)
        for scene in SCENES:
            (PICTURES / f"{scene}.svg").write_text(picture(folder, scene), encoding="utf-8")
            print(scene)


if __name__ == "__main__":
    main()
