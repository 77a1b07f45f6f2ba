"""The report of a kept consultation as a page beside the journal, opened in the browser where there is one."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

from advisor.model.problems import Problems, shown

PAGES_FOLDER = "reports"
#: Browsers that would take the terminal over; the page is only saved then.
_IN_TERMINAL = frozenset({"w3m", "lynx", "links", "elinks", "www-browser"})


def page_maker(folder: str, opens: Callable[[str], bool] | None = None) -> Callable[[str], tuple[str, ...]]:
    """What makes the page of a record by its id; `folder` is the journal's, empty for the user's own."""

    def made(record: str) -> tuple[str, ...]:
        from advisor.commands.decide import Judges
        from advisor.commands.report import report_of_record
        from advisor.journal.data_folder import data_folder, write_private
        from advisor.report.html import report_page

        target = data_folder(folder, os.environ) / PAGES_FOLDER / f"{record}.html"
        try:
            page = report_page([report_of_record(record, folder, Judges([]), "")])
            target.parent.mkdir(mode=0o700, exist_ok=True)
            write_private(target, [page])
        except (Problems, OSError, ValueError) as error:
            return (f"The page could not be written: {shown(str(error), 200)}",)
        opened = (opens or open_in_browser)(target.as_uri())
        return (f"{'Opened and saved' if opened else 'Saved; open it in a browser to print it'}: {target}",)

    return made


def open_in_browser(address: str) -> bool:
    """Opens an address in a browser with a window of its own; tells whether there is one."""
    if sys.platform.startswith("linux") and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        return False
    import webbrowser

    try:
        browser = webbrowser.get()
    except webbrowser.Error:
        return False
    name = Path(str(getattr(browser, "name", ""))).name
    return name not in _IN_TERMINAL and browser.open(address)
