"""What the derived facts' docstrings promise: what each reads, which figures it takes, and what it gives.

The cases beside the shipped rules and some of the trade's own are judged, and it is looked at who reads what: a
docstring that does not name it fails.
"""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import Any

import pytest

from advisor.engine.derived.registry import CALLS, FUNCTIONS, Registered
from advisor.engine.facts import Facts, LimitFigures, Tables, Value
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Case
from advisor.model.limits import Limit
from advisor.model.ruleset import RuleSet
from tests.domain.test_examples import section
from tests.engine.geometry_support import TODAY, case_of

RULES = {name: load_rule_set(find_rule_set(name)) for name in ("us-road", "uk-road", "de-road", "demo-shop")}
KNOWN = {name for rules in RULES.values() for name in (*rules.questions, *rules.values)}
#: How a unit of the registry is written in a docstring.
WRITTEN = {"C": "°C", "": "count"}
_WORD = re.compile(r"(?<![\w-])[a-z0-9]+(?:-[a-z0-9]+)*(?![\w-])")
_HOLE = {"tread-width": "220 mm", "casing-thickness": "22 mm", "injury-angle": "20 deg", "injury-zone": "crown",
         "injury-length": "5 mm", "lean": "1:30", "unit-turn": "10 deg"}  # fmt: skip
_OLD = {"sound": "yes", "clock": "8:00", "offset": "0 mm", "unit-length": "70 mm", "unit-width": "60 mm",
        "unit-turn": "0 deg"}  # fmt: skip
#: A tire of which everything is known that the cases beside the rules leave out.
FULL = case_of(
    "truck",
    [{**_HOLE, "clock": "2:00", "offset": "-35 mm"}, {**_HOLE, "clock": "2:10", "offset": "20 mm"}],
    unit_length="80 mm", unit_width="60 mm", earlier_repairs=[_OLD], shop_temperature="8 C", humidity="65 %",
    liner_temperature="12 C", own_girth="118 in", pair_girth="118.5 in", dot_code="2319", tool_diameter="50 mm",
    tire_class="medium-truck", load_range="H", construction="radial", tube="tubeless", mean_speed="50 mph",
)  # fmt: skip


class Seen(Mapping[str, Limit]):
    """Limits by name that remember which were asked for."""

    def __init__(self, figures: LimitFigures, asked: set[str]) -> None:
        self.figures, self.asked = figures, asked

    def __getitem__(self, name: str) -> Limit:
        self.asked.add(name)
        return self.figures[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.figures)

    def __len__(self) -> int:
        return len(self.figures)


class Listener:
    """Works every derived fact of a case out, and remembers what each function looked at itself."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.reads: dict[str, set[str]] = defaultdict(set)
        self.figures: dict[str, set[str]] = defaultdict(set)
        self.running: list[str] = []
        look, said = Facts.look, Facts.said
        patch.setattr(Facts, "look", lambda facts, name: (self.note(name), look(facts, name))[1])
        patch.setattr(Facts, "said", lambda facts, name: (self.note(name), said(facts, name))[1])

    def note(self, name: str) -> None:
        if self.running:
            self.reads[self.running[-1]].add(name)

    def call(self, function: str, facts: Facts, figures: LimitFigures) -> Value | None:
        self.running.append(function)
        try:
            return CALLS[function](facts, Seen(figures, self.figures[function]))
        finally:
            self.running.pop()

    def work_out(self, rules: RuleSet, case: Case) -> None:
        calls = {name: lambda facts, figures, name=name: self.call(name, facts, figures) for name in CALLS}
        tables = Tables(rules, calls)
        tire = Facts(tables, case)
        for name in rules.values:
            over = tables.overs[name]
            for facts in [tire] if over == "tire" else tire.each(over):
                facts.get(name)


def cases() -> Iterator[tuple[RuleSet, Case]]:
    for name, rules in RULES.items():
        texts = [file.read_text(encoding="utf-8") for file in sorted((find_rule_set(name) / "cases").glob("*.yaml"))]
        for text in (*texts, json.dumps({**FULL, "answers": known(FULL["answers"], rules)})):
            for each in split_cases(text, "case"):
                yield rules, read_case(each, rules, TODAY)


def known(answers: dict[str, Any], rules: RuleSet) -> dict[str, Any]:
    return {name: answer for name, answer in answers.items() if name in rules.questions or name == "earlier-repairs"}


def doc_faults(function: str, found: Registered, reads: set[str], figures: set[str]) -> list[str]:
    """What the docstring of a derived fact does not say, or says of what is not there."""
    doc = found.call.__doc__ or ""
    told, gives = set(_WORD.findall(section(doc, "Reads"))), section(doc, "Returns")
    named = {
        name.strip() for row in re.findall(r"^(\S.*?) :", section(doc, "Figures"), re.M) for name in row.split(",")
    }
    faults = [f"reads {name}" for name in sorted(reads - told)]
    faults += [f"no question: {name}" for name in sorted(told - KNOWN) if "-" in name]
    may = {*found.reads, *found.may_read, *(name for _, names in found.read_with for name in names)}
    faults += [f"not as registered: {name}" for name in sorted(may ^ (told & KNOWN))]
    faults += [f"figure {name}" for name in sorted((figures ^ named) | (named ^ set(found.takes)))]
    given = found.outcomes if len(found.outcomes) < len("ABCDEFGHJKLMN") else ()
    units = (WRITTEN.get(found.unit, found.unit),) if found.quantity else ()
    faults += [
        f"gives {word}" for word in (*given, *units) if not re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", gives)
    ]
    return [f"{function}: {fault}" for fault in faults + ([] if gives else ["gives nothing"])]


def test_a_derived_fact_says_what_it_reads_and_what_it_gives(monkeypatch: pytest.MonkeyPatch) -> None:
    listener = Listener(monkeypatch)
    for rules, case in cases():
        listener.work_out(rules, case)
    handed: dict[str, set[str]] = defaultdict(set)
    for value in (value for rules in RULES.values() for value in rules.values.values()):
        handed[value.function] |= set(value.figures)
    faults = [
        fault
        for name, found in FUNCTIONS.items()
        for fault in doc_faults(name, found, listener.reads[name], handed[name] | listener.figures[name])
    ]
    assert faults == [], "\n".join(faults)
    assert not [name for name in FUNCTIONS if not listener.reads[name]], "each one was seen at work"


def test_what_a_docstring_leaves_out_or_makes_up_is_found() -> None:
    def half(facts: Facts, figures: LimitFigures) -> Value | None:
        """Half.

        Reads
        -----
        offset, of-fset

        Figures
        -------
        edge : where it ends

        Returns
        -------
        length in cm
        """

    found = doc_faults(
        "half", Registered(half, ("clock",), quantity="length", unit="mm"), {"offset", "lean"}, {"crown-edge"}
    )
    assert found == [
        "half: reads lean",
        "half: no question: of-fset",
        "half: not as registered: clock",
        "half: not as registered: offset",
        "half: figure crown-edge",
        "half: figure edge",
        "half: gives mm",
    ]
