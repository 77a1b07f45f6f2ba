"""A real Chromium over its own protocol: opens a page at a size, taps, types, takes pictures, reads what came in.

What the page's screen shows comes as codes for a terminal; the words are taken out of them.
"""

from __future__ import annotations

import asyncio
import base64
import json
import re
import shutil
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from itertools import count
from pathlib import Path
from typing import Any

import aiohttp

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
LONGEST_S = 60.0
_CODES = re.compile(r"\x1b(?:\[[0-?]*[ -/]*[@-~]|[PX^_\]].*?(?:\x1b\\|\x07)|[@-Z\\-_])", re.S)


def browser() -> str | None:
    """The browser's program, or None."""
    return next((found for name in BROWSERS if (found := shutil.which(name))), None)


class Page:
    """One page of the browser."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self._socket, self._ids = socket, count(1)
        self._waits: dict[int, asyncio.Future[Any]] = {}
        #: The words of what came in since they were last cleared; what the page asked for elsewhere; the screen's size.
        self.words = ""
        self.addresses: list[str] = []
        self.cells = (0, 0)
        self._reader = asyncio.create_task(self._read())

    async def _read(self) -> None:
        async for message in self._socket:
            said = json.loads(message.data)
            if (wait := self._waits.pop(said.get("id"), None)) is not None and not wait.done():
                wait.set_result(said.get("result", said.get("error")))
            method, given = said.get("method"), said.get("params", {})
            if method == "Network.webSocketFrameReceived":
                payload = given["response"]["payloadData"]
                with suppress(ValueError):
                    payload = base64.b64decode(payload, validate=True).decode("utf-8", "replace")
                self.words += "".join(_CODES.sub("", payload).split())
            elif method == "Network.requestWillBeSent":
                self.addresses.append(given["request"]["url"])
            elif method == "Network.webSocketCreated":
                size = dict(re.findall(r"(width|height)=(\d+)", given["url"]))
                self.cells = (int(size.get("width", 0)), int(size.get("height", 0)))

    async def ask(self, method: str, **given: Any) -> Any:
        """One command of the protocol, and what it gives."""
        number = next(self._ids)
        self._waits[number] = asyncio.get_running_loop().create_future()
        await self._socket.send_json({"id": number, "method": method, "params": given})
        return await asyncio.wait_for(self._waits[number], LONGEST_S)

    async def sized(self, width: int, height: int) -> None:
        """The size of a screen that is touched."""
        await self.ask("Network.enable")
        await self.ask("Page.enable")
        size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        await self.ask("Emulation.setDeviceMetricsOverride", **size)
        await self.ask("Emulation.setTouchEmulationEnabled", enabled=True)

    async def go(self, address: str) -> None:
        """Opens an address."""
        self.words = ""
        await self.ask("Page.navigate", url=address)

    async def until(self, words: str) -> None:
        """Waits until words came in, blanks left out."""
        wanted = "".join(words.split())
        for _ in range(int(LONGEST_S / 0.05)):
            if wanted in self.words:
                return
            await asyncio.sleep(0.05)
        raise AssertionError(f"not shown: {words}; last: {self.words[-600:]}")

    async def value(self, script: str) -> Any:
        """What a script gives."""
        return (await self.ask("Runtime.evaluate", expression=script, returnByValue=True))["result"].get("value")

    async def tap(self, column: int, row: int) -> None:
        """Taps a cell of the screen with a finger."""
        box = await self.value("JSON.stringify(document.querySelector('.xterm-screen').getBoundingClientRect())")
        where = json.loads(box)
        x = where["x"] + where["width"] * (column + 0.5) / self.cells[0]
        y = where["y"] + where["height"] * (row + 0.5) / self.cells[1]
        await self.ask("Input.dispatchTouchEvent", type="touchStart", touchPoints=[{"x": x, "y": y}])
        await self.ask("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])

    async def type(self, text: str) -> None:
        """Types a text and Enter."""
        await self.ask("Input.insertText", text=text)
        enter = {"key": "Enter", "code": "Enter", "windowsVirtualKeyCode": 13, "text": "\r"}
        await self.ask("Input.dispatchKeyEvent", type="keyDown", **enter)
        await self.ask("Input.dispatchKeyEvent", type="keyUp", **{**enter, "text": ""})

    async def picture(self, path: Path) -> None:
        """A picture of the page."""
        path.write_bytes(base64.b64decode((await self.ask("Page.captureScreenshot", format="png"))["data"]))


@asynccontextmanager
async def opened(width: int, height: int) -> AsyncIterator[Page]:
    """A page in a browser of its own."""
    program = browser()
    assert program is not None
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        options = ("--headless", "--no-sandbox", "--disable-gpu", "--remote-debugging-port=0")
        pipe = asyncio.subprocess.PIPE
        started = await asyncio.create_subprocess_exec(
            program,
            *options,
            f"--user-data-dir={folder}",
            "about:blank",
            stderr=pipe,
            stdout=asyncio.subprocess.DEVNULL,
        )
        try:
            assert started.stderr is not None
            found = None
            while found is None:
                line = (await asyncio.wait_for(started.stderr.readline(), LONGEST_S)).decode()
                assert line, "the browser ended"
                found = re.search(r"ws://([^/]+)/", line)
            async with aiohttp.ClientSession() as session:
                async with session.get(f"http://{found[1]}/json") as answer:
                    pages = json.loads(await answer.text())
                target = next(page for page in pages if page["type"] == "page")["webSocketDebuggerUrl"]
                async with session.ws_connect(target, max_msg_size=0) as socket:
                    page = Page(socket)
                    await page.sized(width, height)
                    yield page
        finally:
            started.kill()
            await started.wait()
