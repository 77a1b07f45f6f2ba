"""Rules edited while a consultation runs: from the save to what is said, against the C parser's own compose time.

In turn within each round: (1) the texts of us-road composed by the C parser; (2) the rule set loaded, judged by and its
change put into words; (3) the same on the real screen, from the moment the file is closed to the words in the
conversation, with the looks that lie between. Aim: (3) at most 5 times (1): 200 ms where composing takes 40 ms, as it
does on a quiet machine. The cost of a look is held against one `stat` for each file.

Run: python tests/bench/reloading.py
"""

from __future__ import annotations

import asyncio
import gc
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

import yaml
from ratio import noted

from advisor.dialogue.hot_reload import LiveRules
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.loader.ruleset_loader import load_rule_set
from advisor.loader.watcher import Watch
from advisor.tui.app import AdvisorApp
from tests.whole_rules import whole_copy

ROUNDS, LOOKS, AIM = 15, 200, 5
FIGURES = ("value: [1/4 in, 6 mm]", "value: [3/16 in, 5 mm]")
ANSWERS = ("truck", "drive", "275/70R22.5 148/145M", "tubeless", "no", "skip", "104", "110", "no", "yes", "no", "none")


def timed(work: Callable[[], object]) -> float:
    """How long one call takes, in seconds."""
    gc.collect()
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def compose(texts: list[str]) -> None:
    """The baseline: every text of the rule set composed, nothing read out of it."""
    for text in texts:
        yaml.compose(text, Loader=yaml.CBaseLoader)


def turned(folder: Path, number: int) -> None:
    """Saves one figure changed, to and fro."""
    path = folder / "limits.yaml"
    old, new = FIGURES if number % 2 == 0 else FIGURES[::-1]
    path.write_text(path.read_text().replace(old, new, 1))


def reloaded(live: LiveRules) -> None:
    """The files loaded, the case judged anew, and the change put into words."""
    if not live.take(live.load()):
        raise SystemExit("nothing was said of an edit")


async def on_screen(folder: Path) -> list[float]:
    """The time from each save to the words on the screen."""
    app, spent = AdvisorApp(str(folder), watch=True), []
    async with app.run_test(size=(80, 24)) as pilot:
        while app.talk_screen.desk is None:
            await pilot.pause(0.01)
        desk = app.talk_screen.desk
        for text in ANSWERS:
            desk.text = text
            desk.enter()
        for number in range(ROUNDS):
            await asyncio.sleep(0.15)
            count = desk.transcript.count
            turned(folder, number)
            begun = time.perf_counter()
            while desk.transcript.count == count:
                await asyncio.sleep(0.001)
            spent.append(time.perf_counter() - begun)
    return spent


def main() -> int:
    """Measures, prints, and tells whether the aim was met."""
    with tempfile.TemporaryDirectory() as home:
        folder = whole_copy(Path(home) / "edit")
        watch = Watch(folder)
        consultation = Consultation(Judge(load_rule_set(folder)), date(2026, 3, 14))
        for text in ANSWERS:
            say(consultation, text)
        live = LiveRules(consultation, watch)
        base, whole = [], []
        for number in range(ROUNDS):
            texts = [path.read_text() for path in sorted(folder.glob("*.yaml"))]
            base.append(timed(lambda texts=texts: compose(texts)))
            turned(folder, number)
            whole.append(timed(lambda: reloaded(live)))
        paths = sorted(folder.glob("*.yaml"))
        stats = min(timed(lambda: [path.stat() for path in paths]) for _ in range(LOOKS))
        look = min(timed(watch.ready) for _ in range(LOOKS))
        screen = asyncio.run(on_screen(folder))
    ratios = [b / a for a, b in zip(base, whole, strict=True)]
    middle = statistics.median
    print(f"compose by the C parser        {middle(base) * 1e3:7.1f} ms")
    print(f"loaded, judged, said           {middle(whole) * 1e3:7.1f} ms, {middle(ratios):.2f} times")
    found = middle(screen) / middle(base)
    print(f"from the save to the screen    {middle(screen) * 1e3:7.1f} ms, {found:.2f} times; ", end="")
    print(f"aim {AIM} times: {'met' if found <= AIM else 'MISSED'}; longest {max(screen) * 1e3:.0f} ms")
    print(f"a look at the files            {look * 1e6:7.0f} µs, {look / stats:.2f} times one stat a file")
    return int(not noted("an edit from the save to the screen", found, "x composing the rules", AIM))


if __name__ == "__main__":
    sys.exit(main())
