"""Cases for the tests of talking: a repairable one, with answers put in place of others."""

from __future__ import annotations

import json
from datetime import date
from functools import lru_cache

from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.kept_cases import with_older_answers
from advisor.model.case import Case
from tests.nlu.sentence_table import rules

DAY = date(2026, 3, 14)
BASE = {
    "vehicle": "truck",
    "wheel-position": "drive",
    "tire-class": "medium-truck",
    "load-range": "H",
    "construction": "radial",
    "tube": "tubeless",
    "retread": "no",
    "found-pressure": "92 psi",
    "set-pressure": "110 psi",
    "run-low": "no",
    "demounted": "yes",
    "findings": ["none"],
    "tread-depth": "9/32 in",
    "self-supporting": "no",
    "sealant": "no",
    "earlier-repairs": [],
}
INJURY = {
    "injury-depth": "through",
    "injury-zone": "crown",
    "injury-size": "8 mm",
    "injury-angle": "10 deg",
    "inside-signs": ["none"],
}

CAR: dict[str, object] = {"vehicle": "car", "tire-class": "passenger"}


@lru_cache(maxsize=1)
def judge() -> Judge:
    """The judge of the shipped rules."""
    return Judge(rules())


def case_of(
    answers: dict[str, object] | None = None, *injuries: dict[str, object], without: tuple[str, ...] = ()
) -> Case:
    """A case: the repairable one with other answers; each injury likewise."""
    tire = {key: value for key, value in {**BASE, **(answers or {})}.items() if key not in without}
    own = [{**INJURY, **injury} for injury in injuries or ({},)]
    text = json.dumps({"answers": tire, "injuries": own})
    return with_older_answers(read_case(next(split_cases(text, "a test")), rules(), DAY), rules())


#: One of each kind: repair both ways, refer, hold by a ruling and by doubt, scrap, two injuries, a car.
CASES = {
    "repair": case_of(),
    "two-piece": case_of(None, {"injury-angle": "30 deg"}),
    "large": case_of(None, {"injury-size": "11 mm"}),
    "doubtful size": case_of(None, {"injury-size": "9-11 mm"}),
    "zone not known": case_of(None, {"injury-zone": "cant-tell"}),
    "cord": case_of({"findings": ["exposed-cord"]}),
    "cord and bulge": case_of({"findings": ["exposed-cord", "bulge"]}),
    "on the rim": case_of({"demounted": "no"}),
    "ran soft": case_of({"run-low": "yes", "demounted": "no"}),
    "worn": case_of({"tread-depth": "2/32 in"}),
    "car, large": case_of(CAR, {"injury-size": "8 mm"}, without=("load-range",)),
    "car, sidewall": case_of(CAR, {"injury-zone": "sidewall", "injury-size": "3 mm"}),
    "two injuries": case_of(
        {"sidewall": "11R22.5", "unit-length": "90 mm", "unit-width": "75 mm"},
        {"clock": "2:00", "offset": "0 mm"},
        {"clock": "8:00", "offset": "0 mm", "injury-size": "12 mm"},
    ),
    "half answered": case_of(None, without=("tread-depth", "sealant", "found-pressure")),
}
