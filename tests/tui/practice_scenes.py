"""The screen of practice: driven by keys alone over a fixed set of made-up tires, and kept as pictures.

Write the pictures anew after a change that was meant: python -m tests.tui.practice_scenes - and look at each.
"""

from __future__ import annotations

import asyncio
import os
import re
import sys
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from textual import events
from textual.pilot import Pilot

from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.practise.learned import Learned
from advisor.practise.made_up import Workshop
from advisor.practise.own_cases import own_tires
from advisor.practise.sitting import Sitting
from advisor.practise.tire_maker import TireMaker
from advisor.practise.tire_plan import FORM, TirePlan
from advisor.tui.practise_app import PractiseApp
from advisor.tui.practise_desk import PracticeDesk
from tests.asking import asked_in_order
from tests.practise.support import AT
from tests.tui.driving import SMALL, WIDE, svg_text

PICTURES = Path(__file__).parent / "practice_pictures"
LEARNER = "Pat"


#: A car tyre with a nail hole that may be repaired, and how it ends; then a wide one.
NAIL = """answers:
  vehicle: car
  wheel-position: drive
  sidewall: 205/55R16 91V
  tire-class: passenger
  construction: radial
  tube: tubeless
  retread: "no"
  found-pressure: 31 psi
  set-pressure: 33 psi
  run-low: "no"
  demounted: "yes"
  findings: [none]
  tread-depth: 6 mm
  self-supporting: "no"
  sealant: "no"
  earlier-repairs: []
injuries:
  - {injury-depth: through, offset: 30 mm, tread-width: 170 mm, clock: "3:00", casing-thickness: 12 mm,
     lean: along-tread, injury-size: SIZE, injury-angle: 5 deg, inside-signs: [none]}
ends: {verdict: VERDICT}
"""
TIRES = (("4 mm", "repair"), ("30 mm", "scrap"))


def sitting(folder: Path | None = None, tires: tuple[tuple[str, str], ...] = TIRES) -> Sitting:
    """A sitting by uk-road over tyres of our own; what was learned is kept where a folder is given."""
    with TemporaryDirectory() as home:
        files = []
        for size, verdict in tires:
            files.append(str(Path(home) / f"{verdict}.yaml"))
            Path(files[-1]).write_text(NAIL.replace("SIZE", size).replace("VERDICT", verdict), encoding="utf-8")
        workshop = Workshop(load_rule_set(find_rule_set("uk-road")), AT.date())
        own_maker = TireMaker(workshop, TirePlan(FORM, workshop.rules.digest, (), {}))
        own = own_tires(files, own_maker)
    return Sitting(own_maker, lambda: AT, Learned(LEARNER), folder, iter(own), None, len(own))


def wide_first() -> Sitting:
    """The same with the wide one first."""
    return sitting(None, TIRES[::-1])


class Learner:
    """A learner at the running screen."""

    def __init__(self, app: PractiseApp, pilot: Pilot[int]) -> None:
        self.app, self.pilot = app, pilot

    @property
    def desk(self) -> PracticeDesk:
        """The desk behind the screen."""
        desk = self.app.practice.desk
        assert desk is not None
        return desk

    async def press(self, *keys: str) -> None:
        """Presses keys, and waits until a tire that is being made has come."""
        for key in keys[:-1]:
            self.app.post_message(events.Key(key, {"space": " "}.get(key, key if len(key) == 1 else None)))
            if key == "enter":
                await self.pilot.pause()
                await self.app.workers.wait_for_complete()
        await self.pilot.press(keys[-1])
        await self.app.workers.wait_for_complete()
        await self.pilot.pause()

    async def type(self, text: str) -> None:
        """Types a line key by key and takes it."""
        await self.press(*("space" if sign == " " else sign for sign in text), "enter")

    async def look(self, *ways: str) -> None:
        """Looks in some ways, each by the arrows: first from the top of the list, then down to it."""
        for way in ways:
            place = next(n for n, row in enumerate(self.desk.rows) if way in row.says)
            await self.press(*["up"] * 14, *["down"] * place, "enter")

    async def pick(self, says: str) -> None:
        """Takes the row that reads so, by the arrows alone."""
        rows = self.desk.rows
        place = next(n for n, row in enumerate(rows) if says in row.says)
        await self.press(*["down"] * (place + 1 if self.desk.at is None else place - self.desk.at), "enter")

    def text(self) -> str:
        """The words on the screen."""
        return svg_text(self.app.export_screenshot())


Steps = Callable[[Learner], Awaitable[None]]


def drive(
    steps: Steps, size: tuple[int, int] = SMALL, no_colour: bool = False, make: Callable[[], Sitting] = sitting
) -> PractiseApp:
    """Opens the screen, waits for the sitting, and carries out steps; gives the app."""
    app = PractiseApp(make, no_colour)

    async def run() -> None:
        async with app.run_test(size=size) as pilot:
            await app.workers.wait_for_complete()
            await pilot.pause()
            await steps(Learner(app, pilot))

    asyncio.run(run())
    return app


LOOKS = ("driver", "sidewall", "outside", "gauge", "tread", "demount", "inside", "probe", "measure the injury",
         "where it sits")  # fmt: skip


async def opening(learner: Learner) -> None:
    """As it opens."""


async def order(learner: Learner) -> None:
    """The first tire's order, and what can be looked at."""
    await learner.press("enter")


async def looking(learner: Learner) -> None:
    """Some of it looked at."""
    await order(learner)
    await learner.look(*LOOKS[:6])


async def looked(learner: Learner) -> None:
    """All of it looked at."""
    await order(learner)
    await learner.look(*LOOKS)


async def deciding(learner: Learner) -> None:
    """The verdict half said."""
    await looked(learner)
    await learner.press("f4")
    await learner.pick("repair it")


async def limit(learner: Learner) -> None:
    """The limit from memory."""
    await deciding(learner)
    await learner.pick("nothing speaks")


async def restrictions(learner: Learner) -> None:
    """The restrictions, one marked."""
    await limit(learner)
    await learner.type("6 mm")
    await learner.pick("a standard")
    await learner.pick("One-piece")
    await learner.press("down", "down", "space")


async def unsafe(learner: Learner) -> None:
    """A repair said of a tire that is scrap."""
    await restrictions(learner)
    await learner.press("enter")
    await learner.pick("rather sure")


async def right(learner: Learner) -> None:
    """The same tire scrapped, as the rules have it."""
    await looked(learner)
    await learner.press("f4")
    await learner.pick("scrap it")
    await learner.pick("injury's width")
    await learner.type("25 mm")
    await learner.pick("the law")
    await learner.pick("sure")


async def leaving(learner: Learner) -> None:
    """Escape with a tire in hand."""
    await looking(learner)
    await learner.press("escape")


async def learned(learner: Learner) -> None:
    """What was learned."""
    await unsafe(learner)
    await learner.press("f7")


async def drawn(learner: Learner) -> None:
    """The drawings after the answer."""
    await unsafe(learner)
    await learner.press("ctrl+g")


async def sketched(learner: Learner) -> None:
    """What was measured, drawn before the answer."""
    await looked(learner)
    await learner.press("ctrl+g")


async def helped(learner: Learner) -> None:
    """The help."""
    await order(learner)
    await learner.press("f1")


@dataclass(frozen=True)
class PracticeScene:
    """A scene: how to reach it, the size, and whether colours are off."""

    steps: Steps
    size: tuple[int, int]
    no_colour: bool = False


SCENES = {
    "opening_80x24": PracticeScene(opening, SMALL),
    "order_80x24": PracticeScene(order, SMALL),
    "looking_80x24": PracticeScene(looking, SMALL),
    "looked_120x40": PracticeScene(looked, WIDE),
    "looking_60x20": PracticeScene(looking, (60, 20)),
    "deciding_80x24": PracticeScene(deciding, SMALL),
    "limit_80x24": PracticeScene(limit, SMALL),
    "restrictions_80x24": PracticeScene(restrictions, SMALL),
    "restrictions_120x40": PracticeScene(restrictions, WIDE),
    "unsafe_80x24": PracticeScene(unsafe, SMALL),
    "unsafe_no_colour_80x24": PracticeScene(unsafe, SMALL, no_colour=True),
    "unsafe_120x40": PracticeScene(unsafe, WIDE),
    "unsafe_60x20": PracticeScene(unsafe, (60, 20)),
    "right_120x40": PracticeScene(right, WIDE),
    "leaving_80x24": PracticeScene(leaving, SMALL),
    "learned_80x24": PracticeScene(learned, SMALL),
    "drawn_120x40": PracticeScene(drawn, WIDE),
    "sketched_80x24": PracticeScene(sketched, SMALL),
    "help_80x24": PracticeScene(helped, SMALL),
}


def picture(name: str) -> str:
    """A scene as SVG, with ids that don't change from run to run."""
    scene, drawn_now = SCENES[name], list[str]()

    async def steps(learner: Learner) -> None:
        await scene.steps(learner)
        drawn_now.append(learner.app.export_screenshot(title="advisor practise"))

    drive(steps, scene.size, scene.no_colour, wide_first)
    return re.sub(r"terminal-\d+", "terminal", drawn_now[0]).rstrip("\n") + "\n"


def main() -> None:
    """Writes the pictures."""
    asked_in_order()
    PICTURES.mkdir(exist_ok=True)
    for name, scene in SCENES.items():
        if sys.argv[1:] and name not in sys.argv[1:]:
            continue
        os.environ.pop("NO_COLOR", None)
        if scene.no_colour:
            os.environ["NO_COLOR"] = "1"
        (PICTURES / f"{name}.svg").write_text(picture(name), encoding="utf-8")
        print(name)


if __name__ == "__main__":
    main()
