"""Draws the kept pictures of the report anew: `python -m tests.report.write_pictures` (needs Chromium and pdftoppm).

They are for looking at, after the page was changed; nothing compares them, as every edit of the rules changes them.
"""

from __future__ import annotations

import subprocess
import tempfile
from datetime import datetime, time, timedelta
from itertools import count
from pathlib import Path

from advisor.dialogue.event_sink import said_aside
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.report.html import report_page
from advisor.work.progress import Work, key_of
from advisor.work.record_model import report_of
from tests.replay.support import judge, transcript
from tests.report.browser import printed
from tests.work.work_support import judge_of, judged

FOLDER = Path(__file__).parent / "pictures"
PLACED = {"clock": '"2:00"', "offset": "-35 mm", "tread-width": "220 mm", "casing-thickness": "22 mm"}
DOTS_PER_INCH, JOB_DOTS_PER_INCH = "48", "80"
JOBS = ("38-a-job-from-demounted-to-the-road", "39-a-slanting-hole-dried-too-early", "40-refused-at-the-drilling")


def pages() -> dict[str, str]:
    """The pages by name: a repair that was done, with a made-up shop's chart, and a refusal."""
    shop = judge_of("demo-shop")
    done = judged({"shop-temperature": "8 C", "humidity": "65 %"}, PLACED, rules="demo-shop")
    work = Work().noted("stands set on the frame", None, None)
    for minute, planned in enumerate(shop.methods.plan(done)):
        work = work.ticked(key_of(planned), datetime(2026, 3, 14, 8) + timedelta(minutes=minute), planned.method.id)
    refusal = judged({"findings": "[exposed-cord]"}, PLACED)
    return {
        "repair": report_page([report_of(done, shop, "a demo case", "A. Demo", work)]),
        "refusal": report_page([report_of(refusal, judge_of(), "a demo case", "A. Demo")]),
    }


def job_page(name: str) -> str:
    """The report at the end of a demo transcript, by its own clock."""
    job = transcript(name)
    minutes = count(1)
    consultation = Consultation(judge(job.rules), job.today, in_order=job.in_order)
    for (_, line), minute in zip(job.typed, minutes, strict=False):
        at = datetime.combine(job.today, time(8)) + timedelta(minutes=minute)
        consultation.clock = lambda at=at: at
        if said_aside(None, consultation, line) is None:
            say(consultation, line)
    state = consultation.state
    return report_page(
        [report_of(consultation.judgement, consultation.judge, f"DEMO-1{name[:2]}", state.technician, state.work)]
    )


def main() -> None:
    """Writes every sheet as a picture: the repair on A4, the refusal on Letter; of the demo jobs the first sheet."""
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
    for name in JOBS:
        with tempfile.TemporaryDirectory() as folder:
            pdf = Path(folder) / "page.pdf"
            pdf.write_bytes(printed(job_page(name), "A4"))
            first = ["-gray", "-png", "-l", "1", "-singlefile", str(pdf), str(FOLDER / f"job_{name[:2]}_a4")]
            subprocess.run(["pdftoppm", "-r", JOB_DOTS_PER_INCH, *first], check=True)


if __name__ == "__main__":
    main()
