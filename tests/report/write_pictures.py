"""Draws the kept pictures of the report anew: `python -m tests.report.write_pictures` (needs Chromium and pdftoppm).

They are for looking at, after the page was changed; nothing compares them, as every edit of the rules changes them.
"""

from __future__ import annotations

import subprocess
import tempfile
from datetime import datetime, timedelta
from pathlib import Path

from advisor.report.html import report_page
from advisor.work.progress import Work, key_of
from advisor.work.record_model import report_of
from tests.report.browser import printed
from tests.work.work_support import judge_of, judged

FOLDER = Path(__file__).parent / "pictures"
PLACED = {"clock": '"2:00"', "offset": "-35 mm", "tread-width": "220 mm", "casing-thickness": "22 mm"}
DOTS_PER_INCH = "48"


def pages() -> dict[str, str]:
    """The pages by name: a repair that was done, with a made-up shop's chart, and a refusal."""
    judge = judge_of("demo-shop")
    done = judged({"shop-temperature": "8 C", "humidity": "65 %"}, PLACED, rules="demo-shop")
    work = Work().noted("stands set on the frame", None, None)
    for minute, planned in enumerate(judge.methods.plan(done)):
        work = work.ticked(key_of(planned), datetime(2026, 3, 14, 8) + timedelta(minutes=minute), planned.method.id)
    refusal = judged({"findings": "[exposed-cord]"}, PLACED)
    return {
        "repair": report_page([report_of(done, judge, "a demo case", "A. Demo", work)]),
        "refusal": report_page([report_of(refusal, judge_of(), "a demo case", "A. Demo")]),
    }


def main() -> None:
    """Writes every sheet as a picture: the repair on A4, the refusal on Letter."""
    FOLDER.mkdir(exist_ok=True)
    for old in FOLDER.glob("*.png"):
        old.unlink()
    for name, text in pages().items():
        for paper in ("A4",) if name == "repair" else ("letter",):
            with tempfile.TemporaryDirectory() as folder:
                pdf = Path(folder) / "page.pdf"
                pdf.write_bytes(printed(text, paper))
                target = FOLDER / f"{name}_{paper.lower()}"
                subprocess.run(["pdftoppm", "-r", DOTS_PER_INCH, "-gray", "-png", str(pdf), str(target)], check=True)


if __name__ == "__main__":
    main()
