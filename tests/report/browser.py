"""A real browser for the report's page: printed, measured, and looked over by axe-core, where both are on this machine.

Nothing here is needed to run the suite: what is missing is said, and the test that needs it is skipped.
"""

from __future__ import annotations

import html
import json
import os
import re
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Any

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
LONGEST_S = 90
_POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>\n')


def browser() -> str | None:
    """The browser's program, or None."""
    return next((found for name in BROWSERS if (found := shutil.which(name))), None)


def axe_script() -> str | None:
    """The text of axe-core: from the file in ADVISOR_AXE, or as node finds it; None where there is none."""
    named = os.environ.get("ADVISOR_AXE")
    node = shutil.which("node")
    if not named and node:
        asked = [node, "-e", "console.log(require.resolve('axe-core/axe.min.js'))"]
        done = subprocess.run(asked, capture_output=True, text=True, timeout=LONGEST_S, check=False)
        named = done.stdout.strip() if done.returncode == 0 else None
    return Path(named).read_text(encoding="utf-8") if named and Path(named).is_file() else None


def without_policy(page: str) -> str:
    """The page with its policy taken out, so that a check's own script can run in it."""
    bare, count = _POLICY.subn("", page)
    assert count == 1
    return bare


def complaints(page: str) -> list[str]:
    """What the browser's console says of the page's policy."""
    done = _run(page, "--enable-logging=stderr", "--dump-dom")
    return [line for line in done.stderr.splitlines() if re.search(r"Content Security Policy|Refused to", line)]


def printed(page: str, paper: str) -> bytes:
    """The page as PDF on A4 or Letter."""
    sized = without_policy(page).replace("</head>", f"<style>@page {{ size: {paper} }}</style></head>", 1)
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "page.pdf"
        _run(sized, f"--print-to-pdf={target}", "--no-pdf-header-footer")
        return target.read_bytes()


def pages_of(pdf: bytes) -> list[str] | None:
    """The text of each page of a PDF, or None where poppler's pdftotext is not there."""
    program = shutil.which("pdftotext")
    if program is None:
        return None
    done = subprocess.run([program, "-layout", "-", "-"], input=pdf, capture_output=True, timeout=LONGEST_S, check=True)
    return done.stdout.decode("utf-8", "replace").split("\f")[:-1]


def sizes_of(pdf: bytes) -> set[tuple[int, int]]:
    """Width and height of a PDF's pages in points, rounded."""
    boxes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", pdf)
    return {(round(float(wide)), round(float(high))) for wide, high in boxes}


def too_wide(page: str, width: int) -> list[str]:
    """What sticks out of a window of this width, but for what scrolls by itself."""
    script = """
    const frame = document.querySelector('iframe');
    frame.onload = () => {
      const inner = frame.contentDocument, wide = frame.clientWidth, out = [];
      const whole = inner.documentElement.scrollWidth;
      if (whole > wide) out.push('the page: ' + whole);
      for (const each of inner.querySelectorAll('h1, h2, h3, p, li, table, .verdict, .sign, figure'))
        if (each.getBoundingClientRect().right > wide + 1) out.push(each.tagName + each.textContent.slice(0, 40));
      const said = JSON.stringify(out).replace(/&/g, '&amp;').replace(/</g, '&lt;');
      document.body.innerHTML = '<pre id="found">' + said + '</pre>';
    };
    frame.srcdoc = document.querySelector('#held').textContent;
    """
    held = html.escape(without_policy(page))
    whole = (
        "<!DOCTYPE html><html><body>"
        f'<iframe style="width: {width}px; height: 800px; border: 0"></iframe><pre id="held" hidden>{held}</pre>'
        f"<script>{script}</script></body></html>"
    )
    return [str(each) for each in _found(whole)]


def serious_findings(page: str, axe: str) -> list[str]:
    """What axe-core finds serious or critical."""
    script = """
    axe.run().then(done => {
      const found = done.violations.filter(each => ['serious', 'critical'].includes(each.impact));
      const said = JSON.stringify(found.map(each => each.id + ': ' + each.help));
      document.body.innerHTML = '<pre id="found">' + said.replace(/&/g, '&amp;').replace(/</g, '&lt;') + '</pre>';
    });
    """
    whole = without_policy(page).replace("</body>", f"<script>{axe}</script><script>{script}</script></body>", 1)
    return [str(each) for each in _found(whole)]


def _found(page: str) -> list[Any]:
    dom = _run(page, "--virtual-time-budget=20000", "--dump-dom").stdout
    match = re.search(r'<pre id="found">(.*?)</pre>', dom, re.S)
    assert match, "the check did not come to its end"
    found = json.loads(html.unescape(match[1]))
    assert isinstance(found, list)
    return found


def _run(page: str, *options: str) -> subprocess.CompletedProcess[str]:
    program = browser()
    assert program is not None
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "page.html"
        file.write_text(page, encoding="utf-8")
        asked = [program, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}/user", *options]
        return subprocess.run(
            [*asked, file.as_uri()], capture_output=True, text=True, timeout=LONGEST_S, check=False, errors="replace"
        )
