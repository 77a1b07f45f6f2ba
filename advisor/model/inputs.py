"""What the program reads by name: each question that code asks for, once; renaming one is its line here.

A line: the question's id, its kind, what it is for; for a measure its quantity. A rule set need not have them all: what
a function of values.yaml must have is said in `engine/derived/registry.py`, and held when a rule set is loaded.
"""

from __future__ import annotations

from collections.abc import Mapping

#: Kinds of questions.
CHOICE, CHOICES, MEASURE, READINGS, TEXT, CLOCK_KIND = "choice", "choices", "measure", "readings", "text", "clock"
QUESTION_KINDS = (CHOICE, CHOICES, MEASURE, READINGS, TEXT, CLOCK_KIND)
#: Kinds whose answer is a figure in a unit.
FIGURE_KINDS = (MEASURE, READINGS, CLOCK_KIND)
#: What a question is asked of: the tire, each earlier repair, each injury. A case file names the lists so.
OVER_TIRE, OVER_REPAIRS, OVER_INJURIES = "tire", "earlier-repairs", "injuries"
OVERS = (OVER_TIRE, OVER_REPAIRS, OVER_INJURIES)


class Input:
    """A question that the program reads: its id, kind, what it is asked of, its quantity, and what it is for."""

    __slots__ = ("kind", "over", "quantity", "question", "what_for")

    def __init__(self, question: str, kind: str, over: str, quantity: str, what_for: str) -> None:
        self.question, self.kind, self.over, self.quantity, self.what_for = question, kind, over, quantity, what_for


_found: dict[str, Input] = {}
#: Every input by its question's id.
BY_QUESTION: Mapping[str, Input] = _found


def _tire(question: str, kind: str, what_for: str, quantity: str = "", over: str = OVER_TIRE) -> str:
    _found[question] = Input(question, kind, over, quantity, what_for)
    return question


def _injury(question: str, kind: str, what_for: str, quantity: str = "") -> str:
    return _tire(question, kind, what_for, quantity, OVER_INJURIES)


def _repair(question: str, kind: str, what_for: str, quantity: str = "") -> str:
    return _tire(question, kind, what_for, quantity, OVER_REPAIRS)


# The tire and its sidewall
VEHICLE = _tire("vehicle", CHOICE, "which print goes with it, whether the tire may be one of a pair")
WHEEL_POSITION = _tire("wheel-position", CHOICE, "whether the tire may be one of a pair")
SIDEWALL = _tire("sidewall", TEXT, "the print: size, class, loads, speed, construction, tube, pressure")
TIRE_CLASS = _tire("tire-class", CHOICE, "the class, where the print does not tell it")
LOAD_RANGE = _tire("load-range", CHOICE, "the letter, where the print does not tell it")
LOAD_INDEX = _tire("load-index", CHOICE, "light or heavy by load index, where the print does not tell it")
CONSTRUCTION = _tire("construction", CHOICE, "radial or bias, where the print does not tell it")
TUBE = _tire("tube", CHOICE, "tubeless or tube-type")
RETREAD = _tire("retread", CHOICE, "new or retreaded")
REGROOVE_MARK = _tire("regroove-mark", CHOICE, "whether both sidewalls are marked regroovable")
DOT_CODE = _tire("dot-code", TEXT, "the tire's age, and by which casing it is known again")
SELF_SUPPORTING = _tire("self-supporting", CHOICE, "whether it can run without air")

# Tread and pressure
FOUND_PRESSURE = _tire("found-pressure", MEASURE, "the share of the set pressure", "pressure")
SET_PRESSURE = _tire("set-pressure", MEASURE, "the share of it that was found, the energy stored", "pressure")
MEAN_SPEED = _tire("mean-speed", MEASURE, "brings a hot reading to cold", "speed")
RUN_LOW = _tire("run-low", CHOICE, "whether it was driven low")
RUN_LOW_INSIDE = _tire("run-low-inside", CHOICES, "what going over the inside found")
TREAD_DEPTH = _tire("tread-depth", READINGS, "the lowest tread", "length")
TREAD_WIDTH = _injury("tread-width", MEASURE, "where the crown ends", "length")
OWN_DIAMETER = _tire("own-diameter", MEASURE, "this tire of a pair, across", "length")
PAIR_DIAMETER = _tire("pair-diameter", MEASURE, "the other tire of the pair, across", "length")
OWN_GIRTH = _tire("own-girth", MEASURE, "this tire of a pair, round the tread", "length")
PAIR_GIRTH = _tire("pair-girth", MEASURE, "the other tire of the pair, round the tread", "length")

# What was found on the tire
DEMOUNTED = _tire("demounted", CHOICE, "whether the inside could be looked at")
FINDINGS = _tire("findings", CHOICES, "what is there on the tire, as sentences name it")
SEALANT = _tire("sealant", CHOICE, "whether there is sealant in it, as sentences name it")

# The injury
INJURY_DEPTH = _injury("injury-depth", CHOICE, "whether it goes through, and so has an end on the liner")
INJURY_ZONE = _injury("injury-zone", CHOICE, "the zone as it was said")
INSIDE_GROOVES = _injury("inside-grooves", CHOICE, "whether it lies inside the outermost grooves of a light tire")
OFFSET = _injury("offset", MEASURE, "how far it lies from the center line", "length")
CLOCK = _injury("clock", CLOCK_KIND, "where round the tire it lies", "angle")
INJURY_SIZE = _injury("injury-size", MEASURE, "its width", "length")
INJURY_LENGTH = _injury("injury-length", MEASURE, "its length", "length")
INJURY_ANGLE = _injury("injury-angle", MEASURE, "how far the path leans from straight in", "angle")
LEAN = _injury("lean", CHOICE, "to which side the path leans")
CASING_THICKNESS = _injury("casing-thickness", MEASURE, "the path's length, where its inner end lies", "length")
CUT_DEPTH = _injury("cut-depth", MEASURE, "how deep a cut goes, as sentences name it", "length")
BULGE_MARK = _tire("bulge-mark", CHOICE, "a bulge on the sidewall")
BULGE_HEIGHT = _tire("bulge-height", MEASURE, "how high the bulge stands", "length")
INSIDE_SIGNS = _injury("inside-signs", CHOICES, "what is there inside, as sentences name it")
MORE_INJURIES = _injury("more-injuries", CHOICE, "whether one more follows")

# Earlier repairs
EARLIER_REPAIRS = _tire("earlier-repairs", CHOICE, "whether there are any")
REPAIR_SOUND = _repair("repair-sound", CHOICE, "whether it may stay")
REPAIR_KIND = _repair("repair-kind", CHOICE, "which repair it is")
REPAIR_CLOCK = _repair("repair-clock", CLOCK_KIND, "where round the tire it lies", "angle")
REPAIR_OFFSET = _repair("repair-offset", MEASURE, "how far it lies from the center line", "length")
REPAIR_UNIT_LENGTH = _repair("repair-unit-length", MEASURE, "its unit's length along the tire", "length")
REPAIR_UNIT_WIDTH = _repair("repair-unit-width", MEASURE, "its unit's width across", "length")
REPAIR_UNIT_TURN = _repair("repair-unit-turn", MEASURE, "how its unit is turned", "angle")
MORE_REPAIRS = _repair("more-repairs", CHOICE, "whether one more follows")

# The new repair unit
UNIT_LENGTH = _tire("unit-length", MEASURE, "its length along the tire", "length")
UNIT_WIDTH = _tire("unit-width", MEASURE, "its width across", "length")
APART_ALONG = _tire("apart-along", MEASURE, "how far the nearest injuries lie apart, along the tread", "length")
APART_ACROSS = _tire("apart-across", MEASURE, "how far the nearest injuries lie apart, across", "length")
UNIT_TURN = _injury("unit-turn", MEASURE, "how it is turned", "angle")

# The workshop
SHOP_TEMPERATURE = _tire("shop-temperature", MEASURE, "the dew point, how long cement dries", "temperature")
HUMIDITY = _tire("humidity", MEASURE, "the dew point, how long cement dries", "share")
LINER_TEMPERATURE = _tire("liner-temperature", MEASURE, "how far the liner is above the dew point", "temperature")
TOOL_DIAMETER = _tire("tool-diameter", MEASURE, "how fast the tool's edge runs", "length")

#: Ids of the case file that a rule set takes in even where it has no use for them.
TAKEN_IN = frozenset(
    (LOAD_RANGE, TREAD_WIDTH, BULGE_MARK, BULGE_HEIGHT, LEAN, CASING_THICKNESS, CUT_DEPTH, UNIT_TURN, REPAIR_UNIT_TURN)
)
#: The questions after each injury and earlier repair: is there one more?
ONE_MORE = (MORE_INJURIES, MORE_REPAIRS)
