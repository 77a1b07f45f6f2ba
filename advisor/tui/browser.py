"""The same screens in a browser: each visitor a process of its own, let in by a token that counts once.

Needs the extra `web`. What is typed goes to that process and nowhere else; the page fetches nothing from outside.
"""

from __future__ import annotations

import logging
import secrets
import shlex
from collections.abc import Awaitable, Callable, Sequence
from html import escape
from pathlib import Path

from aiohttp import web
from textual_serve.server import Server

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]

BROWSER_PAGE = Path(__file__).with_name("browser_page.html")
COOKIE = "advisor"
#: Answers to every request: nothing from elsewhere is shown in the page, and nobody else's page shows it.
_POLICY = (
    "default-src 'none'; script-src 'self' 'unsafe-inline'; style-src 'self' 'unsafe-inline'; font-src 'self'; "
    "img-src 'self' data:; connect-src 'self' ws: wss:; frame-ancestors 'none'"
)
_NOT_LET_IN = (
    "Not let in: open the address that `advisor serve` printed last. Each address lets one browser in; the next one is "
    "printed as soon as it was used."
)


class Gate:
    """Lets a browser in by the token printed last, and knows it by a cookie from then on. `say` prints a line."""

    def __init__(self, address: str, say: Callable[[str], None]) -> None:
        self.address, self.say = address, say
        self._let_in: set[str] = set()
        self._token = ""
        self._printed()

    def _printed(self) -> None:
        self._token = secrets.token_urlsafe(16)
        first = "Open" if not self._let_in else "For the next browser"
        self.say(f"{first}: {self.address}/?token={self._token}")

    async def check(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Goes on for a browser that was let in; lets one in that has the token."""
        origin = request.headers.get("Origin", "")
        if origin and origin.partition("://")[2] != request.host:
            return web.Response(status=403, text=_NOT_LET_IN)
        if any(secrets.compare_digest(request.cookies.get(COOKIE, ""), known) for known in self._let_in):
            answer = await handler(request)
        elif secrets.compare_digest(request.query.get("token", "").encode(), self._token.encode()):
            answer = self._enter()
        else:
            return web.Response(status=403, text=_NOT_LET_IN)
        if not answer.prepared:
            answer.headers["Content-Security-Policy"] = _POLICY
            answer.headers["Referrer-Policy"] = "no-referrer"
            answer.headers["Cache-Control"] = "no-store"
        return answer

    def _enter(self) -> web.StreamResponse:
        """The token is used up; the browser goes on to the page without it."""
        known = secrets.token_urlsafe(24)
        self._let_in.add(known)
        self._printed()
        answer = web.Response(status=302, headers={"Location": "/"})
        answer.set_cookie(COOKIE, known, httponly=True, samesite="Strict")
        return answer


def pages(command: Sequence[str], gate: Gate) -> web.Application:
    """The pages and the line to each visitor's process, which `command` starts."""
    server = Server(shlex.join(command))
    logging.getLogger("textual-serve").setLevel(logging.CRITICAL)

    async def page(request: web.Request) -> web.StreamResponse:
        scheme = "wss" if request.secure else "ws"
        text = BROWSER_PAGE.read_text(encoding="utf-8").replace("{{socket}}", escape(f"{scheme}://{request.host}/ws"))
        return web.Response(text=text, content_type="text/html")

    async def checked(request: web.Request, handler: Handler) -> web.StreamResponse:
        return await gate.check(request, handler)

    app = web.Application(middlewares=[web.middleware(checked)])
    app.add_routes(
        [
            web.get("/", page),
            web.get("/ws", server.handle_websocket),
            web.get("/download/{key}", server.handle_download),
            web.static("/static", server.statics_path),
        ]
    )
    return app


def serve_pages(command: Sequence[str], host: str, port: int, say: Callable[[str], None]) -> None:
    """Serves until Ctrl+C. Raises OSError where the port can't be had."""
    named = f"[{host}]" if ":" in host else host
    gate = Gate(f"http://{named}:{port}", say)
    web.run_app(pages(command, gate), host=host, port=port, print=None)
