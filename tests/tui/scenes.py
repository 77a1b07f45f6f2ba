"""The scenes that are kept as pictures and as words: how each is reached, at which size."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from advisor.dialogue.talk_commands import say
from advisor.dialogue.work_steps import step_in_hand
from tests.tui.driving import NAIL_HOLE, SIDEWALL, SMALL, WIDE, Screen, drive

FOLDER = Path(__file__).parent / "pictures"
#: A hole that goes in at the crown and comes out nearer the shoulder, measured.
SLANTED = {
    **NAIL_HOLE, "injury-zone": "Skip", "offset": "40 mm", "tread-width": "170 mm", "injury-angle": "40",
    "casing-thickness": "12 mm", "lean": "toward the nearer shoulder", "inside-grooves": "can't tell",
}  # fmt: skip
#: A truck's steer tire, repaired; the same run low, with a larger hole, and still on the wheel.
TRUCK = {
    **NAIL_HOLE, "vehicle": "truck", "wheel-position": "steer", "sidewall": "275/70R22.5 148/145M",
    "found-pressure": "104", "set-pressure": "110", "tread-depth": "5/32, 4/32, 3.5/32", "injury-size": "3/8 in",
}  # fmt: skip
RAN_LOW = {**TRUCK, "found-pressure": "60", "run-low": "yes", "run-low-inside": "none"}
REFERRED = {**TRUCK, "wheel-position": "drive", "injury-size": "15 mm"}
ON_THE_WHEEL = {**TRUCK, "demounted": "no"}
LEAST, LARGE = (60, 20), (200, 60)
DOUBTFUL = {**NAIL_HOLE, "injury-zone": "can't tell", "offset": "can't tell"}


@dataclass(frozen=True)
class Scene:
    """A scene: how to reach it, the size, and whether colours are off."""

    steps: Callable[[Screen], Awaitable[None]]
    size: tuple[int, int]
    no_colour: bool = False


async def question(screen: Screen) -> None:
    """In the middle of the inspection."""
    await screen.answer({**NAIL_HOLE, "findings": "none"}, until="injury-zone")
    await screen.press("down")


async def first_question(screen: Screen) -> None:
    """As it opens."""


async def read_back(screen: Screen) -> None:
    """A long first line, read back."""
    await screen.type("215/60R16 car, front left, tubeless, first tread, tread 6/32 in, bulge maybe")


async def noted(screen: Screen) -> None:
    """The same once it counts."""
    await read_back(screen)
    await screen.type("1")


async def misunderstood(screen: Screen) -> None:
    """A repair with four lines that were not understood."""
    for line in ("gribbled along one edge", "customer thinks wobbly", "its round too", "leave it out, both are round"):
        screen.desk.text = line
        screen.desk.enter()
    screen.desk.text, screen.desk.complaint = "", ()
    screen.app.talk_screen.line.value = ""
    await screen.answer(RAN_LOW)


async def findings(screen: Screen) -> None:
    """Several choices, two of them marked."""
    await screen.answer(NAIL_HOLE, until="findings")
    await screen.press("down", "down", "space", "down", "down", "space")


async def wrong_answer(screen: Screen) -> None:
    """A figure that can't be read."""
    await screen.answer(NAIL_HOLE, until="tread-depth")
    await screen.type("9//32")


async def scrap_with_why(screen: Screen) -> None:
    """A scrap verdict and why."""
    await screen.answer(SIDEWALL)
    await screen.press("f2")


async def repair(screen: Screen) -> None:
    """A repair verdict."""
    await screen.answer(NAIL_HOLE)


async def zone(screen: Screen) -> None:
    """The zone question with its sketch."""
    await screen.answer(NAIL_HOLE, until="injury-zone")


async def referred(screen: Screen) -> None:
    """A truck's hole that is too large for a nail-hole repair."""
    await screen.answer(REFERRED)


async def held(screen: Screen) -> None:
    """A truck's tire that is still on the wheel."""
    await screen.answer(ON_THE_WHEEL)


async def scrapped(screen: Screen) -> None:
    """A hole in a car's sidewall."""
    await screen.answer(SIDEWALL)


async def opened(screen: Screen) -> None:
    """The same, one section opened."""
    await scrapped(screen)
    await screen.type("reasons")


async def ran_low(screen: Screen) -> None:
    """A repair with much to do first."""
    await screen.answer(RAN_LOW)


async def doubtful(screen: Screen) -> None:
    """A verdict in doubt about the shoulder."""
    await screen.answer(DOUBTFUL)


async def change(screen: Screen) -> None:
    """The list of answers to change."""
    await screen.answer(NAIL_HOLE, until="found-pressure")
    await screen.press("f4", "down", "down")


async def light(screen: Screen) -> None:
    """The repair verdict on a light ground."""
    await repair(screen)
    await screen.press("f10")


async def drawn_beside(screen: Screen) -> None:
    """A verdict with the injury's path beside it."""
    await screen.answer(SLANTED)


async def drawn(screen: Screen) -> None:
    """The drawings by their key."""
    await drawn_beside(screen)
    await screen.press("ctrl+g")


async def work(screen: Screen) -> None:
    """The work at the step that waits, its timer begun, by a clock that stands still."""
    await repair(screen)
    consultation = screen.desk.consultation
    consultation.clock = lambda: datetime(2026, 3, 14, 8, 40)
    for line in ("found shop temperature 8 C", "found humidity 65 %"):
        say(consultation, line)
    await screen.press("ctrl+t")
    while (planned := step_in_hand(consultation)) and planned.step.id != "dry":
        await screen.work_line("6 mm" if planned.step.measures else "tick")


async def work_on_hold(screen: Screen) -> None:
    """A step that a wet liner holds, and the tick refused."""
    await work(screen)
    await screen.work_line("found liner temperature 1 C")
    await screen.press("enter")


SCENES = {
    "first_80x24": Scene(first_question, SMALL),
    "question_80x24": Scene(question, SMALL),
    "question_120x40": Scene(question, WIDE),
    "findings_80x24": Scene(findings, SMALL),
    "wrong_answer_80x24": Scene(wrong_answer, SMALL),
    "change_80x24": Scene(change, SMALL),
    "zone_80x24": Scene(zone, SMALL),
    "zone_60x20": Scene(zone, LEAST),
    "findings_60x20": Scene(findings, LEAST),
    "repair_80x24": Scene(repair, SMALL),
    "repair_60x20": Scene(repair, LEAST),
    "repair_200x60": Scene(repair, LARGE),
    "zone_200x60": Scene(zone, LARGE),
    "repair_no_colour_80x24": Scene(repair, SMALL, no_colour=True),
    "ran_low_80x24": Scene(ran_low, SMALL),
    "refer_80x24": Scene(referred, SMALL),
    "hold_80x24": Scene(held, SMALL),
    "scrap_80x24": Scene(scrapped, SMALL),
    "scrap_opened_80x24": Scene(opened, SMALL),
    "repair_120x40": Scene(repair, WIDE),
    "repair_light_120x40": Scene(light, WIDE),
    "doubtful_120x40": Scene(doubtful, WIDE),
    "read_back_80x24": Scene(read_back, SMALL),
    "read_back_60x20": Scene(read_back, LEAST),
    "noted_80x24": Scene(noted, SMALL),
    "misunderstood_80x24": Scene(misunderstood, SMALL),
    "misunderstood_no_colour_80x24": Scene(misunderstood, SMALL, no_colour=True),
    "scrap_why_80x24": Scene(scrap_with_why, SMALL),
    "scrap_why_120x40": Scene(scrap_with_why, WIDE),
    "drawn_beside_120x40": Scene(drawn_beside, WIDE),
    "drawn_80x24": Scene(drawn, SMALL),
    "drawn_no_colour_80x24": Scene(drawn, SMALL, no_colour=True),
    "work_80x24": Scene(work, SMALL),
    "work_120x40": Scene(work, WIDE),
    "work_on_hold_no_colour_80x24": Scene(work_on_hold, SMALL, no_colour=True),
    "scrap_no_colour_80x24": Scene(scrap_with_why, SMALL, no_colour=True),
}


def picture(scene: Scene, rules: str) -> str:
    """The scene as SVG by a folder of rules, with ids that don't change from run to run."""
    drawn: list[str] = []

    async def steps(screen: Screen) -> None:
        await scene.steps(screen)
        await screen.pilot.pause()
        drawn.append(screen.app.export_screenshot(title="advisor"))

    drive(steps, scene.size, scene.no_colour, rules)
    return _steady(drawn[0])


def _steady(svg: str) -> str:
    import re

    return re.sub(r"terminal-\d+", "terminal", svg) + ("" if svg.endswith("\n") else "\n")
