"""Sidewalls read as printed, with slips, in any order; nothing guessed and nothing raised."""

from __future__ import annotations

import csv
import random
from fractions import Fraction
from pathlib import Path

import pytest
from msgspec.structs import replace

from advisor.domain.code_tables import rim_mm
from advisor.domain.sidewall.parser import Sidewall, read_sidewall
from advisor.domain.sidewall.service import LETTER_BY_PLY_RATING

TABLES = Path(__file__).parent.parent / "tables"
with (TABLES / "size_dimensions.csv").open(newline="", encoding="utf-8") as file:
    SIZES = list(csv.DictReader(file))

Told = dict[str, object]
#: What is printed, and what it tells. Invented for the test from the marking clauses.
PRINTED: list[tuple[str, Told]] = [
    ("205/55R16 91V", {"size": "205/55R16", "tire_class": "passenger", "load_range": "SL",
                       "load_index_single": 91, "speed_symbol": "V", "top_speed_kmh": 240, "missing": ()}),
    ("P215/65R16", {"size": "P215/65R16", "tire_class": "passenger", "load_range": "SL",
                    "missing": ("load index", "speed symbol")}),
    ("205/55R16 94W XL", {"load_range": "XL"}),
    ("205/55R16 94W EXTRA LOAD", {"load_range": "XL"}),
    ("205/55R16 94W REINFORCED", {"load_range": "XL"}),
    ("205/55R16 91 TUBELESS", {"load_index_single": 91, "speed_symbol": None, "tube": "tubeless"}),
    ("205/55R16 V", {"speed_symbol": "V", "load_index_single": None, "tire_class": "passenger"}),
    ("225/45ZR17 (94Y)", {"size": "225/45ZR17", "load_index_single": 94, "speed_symbol": "(Y)"}),
    ("225/45ZR17 94(Y)", {"speed_symbol": "(Y)", "top_speed_kmh": 300}),
    ("225/45ZR17 94Y", {"speed_symbol": "Y"}),
    ("225/45ZR17", {"speed_symbol": "ZR", "top_speed_kmh": 240, "missing": ("load index",)}),
    ("205/60HR15", {"size": "205/60R15", "speed_symbol": "H"}),
    ("HL245/40R19 101Y", {"tire_class": "passenger", "load_range": None}),
    ("155R13 78S", {"tire_class": "passenger", "nominal_width_mm": 155, "aspect": None,
                    "overall_diameter_mm": None}),
    ("LT245/75R16 LRE 120/116S", {"size": "LT245/75R16", "tire_class": "light-truck", "load_range": "E",
                                  "load_index_single": 120, "load_index_dual": 116, "speed_symbol": "S"}),
    ("LT245/75R16 E 120/116S", {"load_range": "E"}),
    ("LT245/75R16E", {"load_range": "E"}),
    ("LT245/75R16 120/116S E", {"load_range": "E", "speed_symbol": "S", "not_read": ()}),
    ("275/70R22.5 148/145M H TUBELESS", {"load_range": "H", "speed_symbol": "M", "not_read": ()}),
    ("275/70R22.5 148/145M H G", {"load_range": None, "not_read": ("H", "G")}),
    ("11R22.5 E 14PR", {"load_range": None, "not_read": ("E", "G")}),
    ("205/55R16 91V E", {"load_range": "SL", "not_read": ("E",)}),
    ("LT245/75R16/E", {"load_range": "E"}),
    ("LT245/75R16 E/10PLY", {"load_range": "E", "not_read": ()}),
    ("LT235/75R15 C", {"tire_class": "light-truck", "load_range": "C", "size": "LT235/75R15"}),
    ("LT245/75R16 120/116", {"load_index_dual": 116, "load_range": None,
                             "missing": ("load range", "speed symbol")}),
    ("LT245/75R16 M+S", {"load_range": None, "not_read": ()}),
    ("225/70R15C 112/110R", {"size": "225/70R15C", "tire_class": "light-truck", "load_range": None,
                             "load_index_dual": 110, "missing": ("load range",)}),
    ("225/70R15 C 112/110R", {"size": "225/70R15C", "tire_class": "light-truck"}),
    ("195R14C 8PR", {"load_range": "D", "overall_diameter_mm": 666, "nominal_width_mm": 195}),
    ("225/70R15 112/110R", {"tire_class": None, "load_range": None}),
    ("245/75R16 LOAD RANGE E", {"tire_class": None, "load_range": "E"}),
    ("275/70R22.5 148/145M", {"size": "275/70R22.5", "tire_class": "medium-truck", "construction": "radial",
                              "load_single_kg": 3150, "load_dual_kg": 2900, "top_speed_kmh": 130,
                              "section_height_mm": 193, "overall_diameter_mm": 958,
                              "rim_code": Fraction(45, 2), "missing": ("load range",)}),
    ("275/70R22.5 J 148/145M REGROOVABLE", {"load_range": "J", "regroovable": True, "missing": ()}),
    ("11R22.5 14PR", {"tire_class": "medium-truck", "load_range": "G", "nominal_width_mm": 279,
                      "overall_diameter_mm": 1050, "section_height_mm": 239}),
    ("11R22.5 LOAD RANGE H 16 PLY RATING", {"load_range": "H"}),
    ("11R22.5 LR H 14PR", {"load_range": None}),
    ("10.00-20 16PR TUBE TYPE", {"size": "10.00-20", "construction": "bias", "tire_class": "medium-truck",
                                 "load_range": "H", "tube": "tube-type", "overall_diameter_mm": None}),
    ("7.50R16", {"size": "7.50R16", "tire_class": None, "load_range": None}),
    ("7.50R16LT LRE", {"size": "7.50R16LT", "tire_class": "light-truck", "load_range": "E"}),
    ("31x10.50R15LT LRC", {"size": "31x10.50R15LT", "tire_class": "light-truck", "load_range": "C",
                           "overall_diameter_mm": 775}),
    ("T125/70D15", {"size": "T125/70D15", "tire_class": "other", "construction": "bias"}),
    ("ST205/75R15 LRC", {"size": "ST205/75R15", "tire_class": "other", "load_range": "C"}),
    ("120/70ZR17 M/C (58W)", {"tire_class": "other", "speed_symbol": "W"}),
    ("8-14.5MH", {"tire_class": "other"}),
    ("420/70R24", {"tire_class": None}),
    ("205/55R16.5", {"tire_class": None, "load_range": None}),
    ("11R22.5 NOT REGROOVABLE", {"regroovable": None, "not_read": ("NOT REGROOVABLE",)}),
    ("11R22.5 TUBELESS TUBE TYPE", {"tube": None}),
    ("205/55R16 BIAS", {"construction": None}),
    ("7.50-16 RADIAL", {"construction": "radial"}),
    ("205/55R16 91V 94W", {"load_index_single": None, "speed_symbol": None, "not_read": ("91V", "94W")}),
    ("145/148M 11R22.5", {"load_index_single": None, "not_read": ("145/148M",)}),
    ("265/75R16 OR 245/75R16", {"size": None, "tire_class": None, "nominal_width_mm": None}),
    ("205/55R16 91V DOT 1AB CDEFHJ 2318", {"load_index_single": 91, "not_read": ("DOT 1AB CDEFHJ 2318",)}),
    ("11R22.5 TREAD 4 PLY STEEL MAX 120 PSI", {"load_range": None, "load_index_single": None}),
    ("220/55R390 88V", {"size": None, "load_index_single": 88, "not_read": ("220/55R390",)}),
    ("265/70R17 E", {"tire_class": None, "load_range": None, "not_read": ("E",),
                     "missing": ("class", "load range", "load index", "speed symbol")}),
    ("265/70R17 E LOAD RANGE E", {"tire_class": None, "load_range": "E", "not_read": ("E",)}),
    ("315/80R22.5 156/150L (154/150M)", {"load_index_single": 156, "load_index_dual": 150, "speed_symbol": "L",
                                         "not_read": ("154/150M",)}),
    ("315/80R22.5 156/150L(154/150M) TUBELESS", {"load_index_single": 156, "tube": "tubeless"}),
    ("P 225/60 r16 97h", {"size": "P225/60R16", "load_index_single": 97, "speed_symbol": "H", "missing": ()}),
    ("225/7OR15C 112/11OR", {"size": "225/70R15C", "load_index_single": 112, "load_index_dual": 110,
                             "speed_symbol": "R"}),
    ("31×10.5OR15 LT", {"size": "31x10.50R15LT", "tire_class": "light-truck", "overall_diameter_mm": 775}),
    ("11r22.5 lrg", {"size": "11R22.5", "load_range": "G", "missing": ("load index", "speed symbol")}),
    ("7.50-16 8PR", {"size": "7.50-16", "construction": "bias", "load_range": "D", "tire_class": None}),
    ("295/75R22.5 14PR", {"size": "295/75R22.5", "tire_class": "medium-truck", "load_range": "G"}),
    ("TUBELESS M+S 148/145 M 275/70 R 22.5 REGROOVABLE LR J", {
        "size": "275/70R22.5", "load_index_single": 148, "speed_symbol": "M", "tube": "tubeless",
        "regroovable": True, "load_range": "J", "not_read": (), "missing": ()}),
    ("LOAD RANGE G", {"load_range": "G", "missing": ("size", "class", "load index", "speed symbol")}),
]  # fmt: skip


@pytest.mark.parametrize(("text", "told"), PRINTED, ids=[text for text, _ in PRINTED])
def test_printed(text: str, told: Told) -> None:
    tire = read_sidewall(text)
    assert {name: getattr(tire, name) for name in told} == told


@pytest.mark.parametrize("row", SIZES, ids=lambda row: row["size"])
def test_every_size_of_the_table(row: dict[str, str]) -> None:
    tire = read_sidewall(row["size"])
    assert tire.size == row["size"]
    assert tire.not_read == ()
    told_class = " ".join(row["class"].split(" ")[:2]).removesuffix(" metric").replace(" ", "-").rstrip(",")
    assert tire.tire_class == (None if "(LT or C)" in row["class"] else told_class)
    assert tire.construction == "radial"
    assert tire.rim_code == Fraction(row["rim_code"]) and rim_mm(row["rim_code"]) == int(row["rim_mm"])
    assert tire.overall_diameter_mm == int(row["overall_diameter_mm"])
    by_table = (int(row["overall_diameter_mm"]) - int(row["rim_mm"]) + 1) // 2
    assert tire.section_height_mm == (int(row["section_height_mm"]) if row["section_height_mm"] else by_table)
    assert tire.aspect == (int(row["aspect_percent"]) if row["aspect_percent"] else None)
    if row["nominal_width_mm"]:
        assert tire.nominal_width_mm == int(row["nominal_width_mm"])


@pytest.mark.parametrize(("rating", "letter"), LETTER_BY_PLY_RATING.items())
def test_ply_rating(rating: int, letter: str) -> None:
    for text in (f"11R22.5 {rating}PR", f"{rating} ply 11R22.5", f"11r22.5 {rating}-ply rating"):
        assert read_sidewall(text).load_range == letter
    assert read_sidewall(f"11R22.5 {rating + 1}PR").load_range is None


SLIPS = [
    ("205/55R16 91V", [
        "205/55R16 LI 91 SI V", "205/55R16 LI: 91 SS V",
        "2o5/55 r16 91v", "205/55RI6 91V", "205 / 55 R 16 91 V", "20555R16 91V", "91V 205/55R16", "205\\55R16\t91V",
    ]),
    ("275/70R22.5 148/145M", ["275/70r225 148/145 m", "275/70 R 22,5 148 / 145M", "148145M 275/70R22½",
                              "275/7OR22.5 148 145M", "148-145m 275 70R22 1/2", "275／70R22.5 148/145M"]),
    ("10.00-20 TUBE TYPE", ["1O.OO-2O tube-type", "1000-20 tt", "10,00–20 Tube  Type"]),
    ("31x10.50R15LT LOAD RANGE C", [
        "31x10.5r15lt load range c", "31×10,50r15lt c", "31*10.50 R 15 LT lrc", "lr c 31X10.50R15LT",
        "31x10.50R15 LT/C",
    ]),
    ("11R22.5 LOAD RANGE G TUBELESS", [
        "11r225 lrg tubeless", "load range g tl 11 R 22.5", "11R22.5 14pr Tube-less",
    ]),
    ("LT245/75R16 120/116S", ["lt 245/75 r 16 120/116 s", "120/116S LT245/75R16", "LT 245 75R16 120/116S"]),
]  # fmt: skip


@pytest.mark.parametrize(("printed", "typed"), [(p, t) for p, several in SLIPS for t in several])
def test_slips(printed: str, typed: str) -> None:
    assert read_sidewall(typed) == read_sidewall(printed)


def parts() -> list[list[str]]:
    """Prints in parts that may stand in any order."""
    return [
        ["205/55R16", "94V", "XL", "TUBELESS", "RADIAL", "M+S"],
        ["LT245/75R16", "120/116S", "LOAD RANGE E", "M+S"],
        ["225/70R15C", "112/110R", "8PR", "TUBELESS"],
        ["275/70R22.5", "148/145M", "LR J", "REGROOVABLE", "TUBELESS"],
        ["10.00-20", "16PR", "TUBE TYPE", "BIAS"],
        ["11R22.5", "146/143L", "LOAD RANGE H", "16PR"],
    ]


def test_order_case_and_spacing_tell_the_same() -> None:
    chance = random.Random(4209)
    for print_parts in parts():
        expected = read_sidewall(" ".join(print_parts))
        assert expected.not_read == () and expected.size == print_parts[0]
        for _ in range(60):
            mixed = chance.sample(print_parts, len(print_parts))
            text = chance.choice([" ", "  ", "\t", "\n", "; "]).join(mixed)
            text = chance.choice([str.upper, str.lower, str.title])(text)
            text = text.replace("0", chance.choice("0O")) if chance.random() < 0.3 else text
            text = text.replace("/", chance.choice(["/", " / ", "/ "]))
            assert read_sidewall(text) == expected, text


def test_any_text_is_read() -> None:
    chance = random.Random(54)
    bits = [*"0123456789RPLTSTXDOCM/.-()+ \x00\x1b\n\t×½é😀\ud800\u202e\u0660", "205/55", "R16", "22.5", "LT",
            "148/145", "PR", "LOAD RANGE ", "DOT ", "XL", "11", " ", " "]  # fmt: skip
    for _ in range(3000):
        text = "".join(chance.choices(bits, k=chance.randint(0, 30)))
        tire = read_sidewall(text)
        assert isinstance(tire, Sidewall)
        gaps = {"size": tire.size, "class": tire.tire_class, "load range": tire.load_range,
                "load index": tire.load_index_single, "speed symbol": tire.speed_symbol}  # fmt: skip
        assert tire.missing == tuple(name for name, value in gaps.items() if value is None)


#: What `205/55R16` may become by one more character: C and ½ are marks of their own.
SO_FAR = ("205/55R16", "205/55R16C", "205/55R16.5", None)


def test_every_character_alone_is_read() -> None:
    for code in (*range(0x3000), 0xFEFF, 0xD800, 0xDFFF, 0x1F600, 0x10FFFF):
        assert read_sidewall(f"205/55R16{chr(code)} 91V").size in SO_FAR


def test_a_long_text_is_cut_and_says_so() -> None:
    tire = read_sidewall("205/55R16 91V" + " " * 300 + "XL" * 500_000)
    assert tire.not_read == ("what follows the first 300 characters",)
    assert replace(tire, not_read=()) == read_sidewall("205/55R16 91V")
    assert read_sidewall("x" * 1_000_000).size is None


def test_nothing_printed() -> None:
    tire = read_sidewall("")
    assert tire.missing == ("size", "class", "load range", "load index", "speed symbol")
    assert tire.not_read == ()


def test_figures_are_exact() -> None:
    tire = read_sidewall("275/70R22.5 143/141J")
    assert tire.load_single_kg == Fraction(2725) and isinstance(tire.load_single_kg, Fraction)
    assert isinstance(tire.rim_code, Fraction) and isinstance(tire.overall_diameter_mm, int)
