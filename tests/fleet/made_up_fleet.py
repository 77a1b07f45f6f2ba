"""A made-up fleet's records as a Parquet dataset: seeded, and marked so in every file and name."""

from __future__ import annotations

import random
from pathlib import Path
from shutil import copytree

import pyarrow
from pyarrow.parquet import ParquetWriter

from advisor.loader.paths import trees_folder

INVENTED = {"invented": "yes: made up by a seed, no tire of anybody's"}
ROWS_A_FILE = 50_000
#: What a tire of each kind has on its sidewall, its set pressure in psi, and the kinds of vehicle it is on.
KINDS = (
    ("P215/60R16 95H", 35, ("car",)),
    ("LT245/75R16 120/116Q LOAD RANGE E", 80, ("van-or-pickup",)),
    ("275/70R22.5 148/145M LOAD RANGE H", 110, ("truck", "bus", "trailer")),
    ("11R22.5 146/143L LOAD RANGE G", 105, ("truck", "trailer")),
)
NAMES = (
    "record", "vehicle", "wheel-position", "sidewall", "tube", "retread", "found-pressure", "set-pressure", "run-low",
    "demounted", "findings", "tread-depth", "self-supporting", "sealant", "earlier-repairs", "injury-depth[0]",
    "injury-zone[0]", "injury-size[0]", "injury-angle[0]", "inside-signs[0]", "today",
)  # fmt: skip


def write_fleet(folder: Path, count: int, seed: int = 7, rows_a_file: int = ROWS_A_FILE) -> Path:
    """Writes so many records into a folder, a file for so many of them."""
    folder.mkdir(parents=True, exist_ok=True)
    schema = pyarrow.schema([(name, pyarrow.string()) for name in NAMES], INVENTED)
    for number, first in enumerate(range(0, count, rows_a_file)):
        dice = random.Random(seed * 1_000_003 + number)
        rows = [_row(dice, place) for place in range(first, min(count, first + rows_a_file))]
        columns = [pyarrow.array(column, pyarrow.string()) for column in zip(*rows, strict=True)]
        with ParquetWriter(folder / f"made-up-{number:05d}.parquet", schema, compression="zstd") as writer:
            writer.write_table(pyarrow.table(columns, schema=schema))
    return folder


def _row(dice: random.Random, number: int) -> tuple[str | None, ...]:
    sidewall, pressure, vehicles = dice.choice(KINDS)
    vehicle = dice.choice(vehicles)
    found = pressure - dice.choice((0, 0, 2, 5, 9, 20, 40)) - dice.randrange(10) / 10
    position = dice.choice(("drive", "drive", "steer")) if vehicle != "trailer" else "trailer"
    size = f"{dice.randrange(10, 130) / 10} mm" if dice.random() < 0.9 else f"{dice.randrange(2, 8)}/16 in"
    unsure = dice.random()
    return (
        f"made-up-{number:08d}", vehicle, position, sidewall, "tubeless", dice.choice(("no",) * 5 + ("recapped",)),
        f"{max(1.0, found):.1f} psi", f"{pressure} psi", dice.choice(("no",) * 12 + ("yes",)), "yes",
        dice.choice(("none",) * 14 + ("exposed-cord", "bulge", "bead-damage")),
        f"{dice.randrange(4, 40) / 2}/32 in" if unsure > 0.05 else "cant-tell", dice.choice(("no",) * 30 + ("yes",)),
        "no", "no", dice.choice(("through",) * 6 + ("rubber-only", "reaches-cord")),
        dice.choice(("crown",) * 6 + ("shoulder", "sidewall")), size if unsure < 0.97 else "8-10 mm",
        f"{dice.randrange(45)} deg", dice.choice(("none",) * 12 + ("rust", "separation")) if unsure < 0.9 else None,
        f"2026-{dice.randrange(1, 12):02d}-{dice.randrange(1, 29):02d}",
    )  # fmt: skip


def stricter_edition(home: Path) -> Path:
    """us-road with two figures stricter, as an edition of its own: a nail hole's size, a steer tire's tread."""
    folder = copytree(trees_folder(), home / "trees") / "us-road"
    limits, about = folder / "limits.yaml", folder / "about.yaml"
    text = limits.read_text()
    for old, new in (("value: [1/4 in, 6 mm]", "value: [1/8 in, 3 mm]"), ("value: 4/32 in", "value: 12/32 in")):
        assert old in text
        text = text.replace(old, new, 1)
    limits.write_text(text)
    lines = ["edition: 2027-01-01" if line.startswith("edition:") else line for line in about.read_text().splitlines()]
    about.write_text("\n".join(lines))
    return folder
