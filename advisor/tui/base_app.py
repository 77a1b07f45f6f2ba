"""The way into the Textual face. Rules are read after the first paint, in a thread beside it."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.dialogue.session import Consultation
    from advisor.practise.sitting import Sitting
    from advisor.tui.recording import ScreenRecording

#: A picture is drawn at the next of these ticks; more of them mean less waiting after a key.
PICTURES_A_SECOND = "240"


def run_screens(
    rules_name: str = "",
    record: Callable[[], ScreenRecording] | None = None,
    watch: bool = False,
    practise: Callable[[], Sitting] | None = None,
    page_of: Callable[[Consultation], str] | None = None,
    make_page: Callable[[str], tuple[str, ...]] | None = None,
) -> int:
    """The consultation on the full terminal; gives the exit code. '' stands for the default rule set.

    `record` makes the journal ready, after the first paint; without one nothing is kept. `watch` takes edits of the
    rules over while it goes on. `practise` makes a sitting of practice when it is asked for, `page_of` the page
    of a consultation's report, `make_page` that of a record, kept beside it.
    """
    os.environ.setdefault("TEXTUAL_FPS", PICTURES_A_SECOND)
    gc.disable()
    try:
        from advisor.tui.app import AdvisorApp

        forgive_bytes()
        app = AdvisorApp(
            rules_name, no_colour=no_colour(), record=record, watch=watch, practise=practise, page_of=page_of
        )
        app.make_page = make_page
        code = app.run()
    finally:
        gc.enable()
    if app.beside.recording is not None and (said := app.beside.recording.close()):
        app.farewell = f"{app.farewell}\n{said}".strip()
    if app.farewell:
        sys.stderr.write(f"{app.farewell}\n")
    return code if code is not None else app.return_code or 0


def forgive_bytes() -> None:
    """Lets bytes that are no UTF-8, as in a binary paste, come in as signs; the driver would end with an error."""
    if os.name != "posix":
        return
    from codecs import IncrementalDecoder, getincrementaldecoder
    from functools import partial

    from textual.drivers import linux_driver

    def forgiving(encoding: str) -> partial[IncrementalDecoder]:
        return partial(getincrementaldecoder(encoding), errors="replace")

    if hasattr(linux_driver, "getincrementaldecoder"):
        linux_driver.getincrementaldecoder = forgiving


def no_colour() -> bool:
    """Whether colours are not wanted. An empty NO_COLOR means nothing, so it is dropped."""
    if not os.environ.get("NO_COLOR"):
        os.environ.pop("NO_COLOR", None)
        return False
    return True
