"""`advisor serve`: who is let in, and the consultation in a real browser by touch, broken off and offered again."""

from __future__ import annotations

import asyncio
import os
import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import urlopen

import pytest

from advisor.tui.app import AdvisorApp
from advisor.tui.recording import ScreenRecording
from tests.tui.driving import NAIL_HOLE, Screen, drive

pytest.importorskip("textual_serve", reason="the extra `web` is not installed")
#: Where pictures are put for people to look at; nowhere without it.
PICTURES = os.environ.get("ADVISOR_PICTURES", "")


class Served:
    """The server in a process of its own; `token()` is the address printed last."""

    def __init__(self, data: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        command = [sys.executable, "-m", "advisor", "serve", "--port", str(port), "--data", str(data)]
        bare = {name: value for name, value in os.environ.items() if name != "NO_COLOR"}
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=bare)
        self.root = f"http://127.0.0.1:{port}"

    def address(self) -> str:
        """The next address that is printed."""
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        found = re.search(r"http://\S+", line)
        assert found, line
        return found[0]


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """A server that is ended afterwards."""
    server = Served(tmp_path / "journal")
    yield server
    server.process.terminate()
    server.process.wait(20)


def refused(address: str) -> int:
    try:
        with urlopen(address, timeout=20) as answer:
            return int(answer.status)
    except HTTPError as error:
        return error.code


def test_only_who_has_the_token_is_let_in_and_it_counts_once(served: Served) -> None:
    address = served.address()
    for _ in range(200):
        try:
            assert refused(served.root) == 403
            break
        except OSError:
            asyncio.run(asyncio.sleep(0.05))
    assert refused(f"{served.root}/?token=wrong") == refused(f"{served.root}/ws") == 403
    assert refused(f"{served.root}/static/js/textual.js") == 403
    refused(address)
    following = served.address()
    assert following != address
    assert refused(address) == 403


def row_of(words: str, size: tuple[int, int], until: str, journal: Path) -> int:
    """The row in which words stand at a size, as the screen in a terminal with a journal and practice has it."""
    rows: list[int] = []
    record = ScreenRecording(journal, datetime.now, False, {})
    app = AdvisorApp(record=lambda: record, practise=lambda: pytest.fail("nobody practises here"))

    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE, until=until)
        rows.extend(place for place, line in enumerate(screen.text().splitlines()) if words in line)

    drive(steps, size, app=app)
    return rows[0]


@pytest.mark.free_order
@pytest.mark.parametrize("size", [(800, 1200), (1280, 800)])
def test_a_consultation_by_touch_that_breaks_off_is_offered_again(
    served: Served, size: tuple[int, int], tmp_path: Path
) -> None:
    from tests.commands import chromium

    if chromium.browser() is None:
        pytest.skip("no Chromium on this machine")

    async def steps() -> None:
        async with chromium.opened(*size) as page:
            await page.go(served.address())
            await page.until("What does the sidewall say?")
            await shot(page, "first")
            await page.type(NAIL_HOLE["sidewall"])
            await page.until("Is it tubeless, or does it run with a tube?")
            row = await asyncio.to_thread(row_of, "With a tube", page.cells, "tube", tmp_path / "beside")
            await page.tap(8, row)
            await page.until("Noted: Tubeless or tube-type: With a tube")
            await page.type("car, drive wheel, nail in the crown, maybe a bulge")
            await page.until("Is that what you said?")
            await shot(page, "read_back")
            await page.type("yes")
            await page.until("The vehicle: ")
            await shot(page, "question")
            assert not [each for each in page.addresses if not each.startswith((served.root, "data:", "blob:"))]
            await page.go("about:blank")
            await page.go(served.root)
            await page.until("Yes, go on where it was left")
            await shot(page, "taken_up")
            await page.type("1")
            await page.until("Taken up where it was left")
            await page.type("stop")
            await page.until("Verdict")
            await shot(page, "verdict")

    async def shot(page: chromium.Page, name: str) -> None:
        if PICTURES:
            await asyncio.sleep(0.6)
            await page.picture(Path(PICTURES) / f"{name}_{size[0]}x{size[1]}.png")

    asyncio.run(steps())
