"""The guards: layers, packages loaded, figures in code and wording, sources of limits, sizes; each can fail."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from msgspec.structs import replace

from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.ruleset import Basis, Limit
from tests.guards import guards
from tests.guards.guards_figures import figure_faults, figures_in, stated_limits
from tests.laws.support import rules

HEAVY = {"textual", "networkx", "rich", "jinja2", "pyarrow", "numpy", "dask", "distributed"}
LIGHT_MODULES = (
    "advisor.engine.evaluator",
    "advisor.dialogue.session",
    "advisor.commands.decide",
    "advisor.api",
    "advisor.commands.report",  # only a page needs the template's engine, and only where one is written
)


def test_imports_point_down_only() -> None:
    assert guards.layer_faults(guards.sources()) == []


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("advisor.domain.geometry.zones", "from advisor.engine.evaluator import Judge"),
        ("advisor.engine.traversal", "import advisor.loader.ruleset_loader"),
        ("advisor.loader.builder", "def late() -> None:\n    from advisor.wording import messages"),
        ("advisor.wording.verdict_card", "from advisor.tools.checks import unused"),
        ("advisor.console.lines", "from advisor.tui.base_app import run_screens"),
        ("advisor.model.quantity", "from advisor import domain"),
        ("advisor.elsewhere.thing", ""),
    ],
)
def test_an_import_that_points_up_or_sideways_is_found(module: str, text: str) -> None:
    assert guards.layer_faults({module: text})


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("advisor.cli", "from advisor.commands import decide"),
        ("advisor.console.lines", "from advisor.wording.verdict_card import Card\nfrom advisor.console import other"),
        ("advisor.model.case", "from advisor.model.quantity import Measure"),
        ("advisor", "__version__ = 1"),
    ],
)
def test_an_import_that_points_down_is_left_alone(module: str, text: str) -> None:
    assert not guards.layer_faults({module: text})


def test_no_modules_import_each_other_in_a_circle() -> None:
    assert guards.circle_faults(guards.sources()) == []


def test_a_circle_is_found_also_by_a_late_import_or_one_for_types() -> None:
    one = "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from advisor.work import other"
    two = 'from importlib import import_module\nback = import_module("advisor.work.one")'
    assert guards.circle_faults({"advisor.work.one": one, "advisor.work.other": two})
    assert not guards.circle_faults({"advisor.work.one": one, "advisor.work.other": ""})


def test_a_public_name_stands_for_one_thing() -> None:
    assert guards.name_faults(guards.sources()) == []


@pytest.mark.parametrize("text", ["class Card:\n    pass", "def card() -> None:\n    pass", "CARD = 1"])
def test_a_name_that_stands_twice_is_found(text: str) -> None:
    assert guards.name_faults({"advisor.work.one": text, "advisor.tui.other": text})
    assert guards.name_faults({"advisor.work.one": "", "advisor.tui.one": ""})
    assert not guards.name_faults(
        {"advisor.commands.one": "def run() -> int: ...", "advisor.commands.other": "def run() -> int: ..."}
    )


def test_packages_from_outside_are_imported_in_their_own_room_only() -> None:
    assert guards.outside_faults(guards.sources()) == []


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("advisor.wording.verdict_card", "import textual"),
        ("advisor.engine.evaluator", "def late() -> None:\n    import networkx as nx"),
        ("advisor.engine.question_graph", "import networkx as nx"),
        ("advisor.engine.facts", "from yaml import Node"),
        ("advisor.console.printers", "from rich.text import Text"),
        ("advisor.wording.verdict_card", "import sqlite3"),
        ("advisor.tools.graph_view", "from grandalf.graphs import Graph"),
        ("advisor.work.record_text", "from jinja2 import Environment"),
        ("advisor.commands.decide", "import pyarrow"),
        ("advisor.fleet.columns", "from distributed import Client"),
    ],
)
def test_a_package_in_the_wrong_room_is_found(module: str, text: str) -> None:
    assert guards.outside_faults({module: text})


def test_networkx_may_be_imported_where_it_is_first_needed() -> None:
    assert not guards.outside_faults(
        {"advisor.engine.question_graph": "def graph() -> None:\n    import networkx as nx"}
    )


def test_the_clock_and_the_environment_are_passed_in() -> None:
    assert guards.clock_faults(guards.sources()) == []
    assert guards.clock_faults({"advisor.engine.evaluator": "from datetime import date\nnow = date.today()"})
    assert guards.clock_faults({"advisor.wording.verdict_card": "import os\nplain = os.environ.get('NO_COLOR')"})
    assert not guards.clock_faults({"advisor.commands.decide": "from datetime import date\nnow = date.today()"})


def loaded_by(module: str) -> set[str]:
    """The top packages in memory after a fresh interpreter has imported a module."""
    program = f"import json, sys, {module}; print(json.dumps([name.partition('.')[0] for name in sys.modules]))"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=True)
    return set(json.loads(done.stdout))


@pytest.mark.parametrize("module", LIGHT_MODULES)
def test_judging_and_talking_load_nothing_heavy(module: str) -> None:
    assert not loaded_by(module) & HEAVY


def test_a_heavy_package_that_is_loaded_is_seen() -> None:
    assert loaded_by("networkx") & HEAVY == {"networkx"}
    assert loaded_by("jinja2") & HEAVY == {"jinja2"}


def test_only_the_faces_set_text_in_by_blanks() -> None:
    assert guards.blanks_faults(guards.sources()) == []


@pytest.mark.parametrize(
    "text",
    [
        'lines = ["a head:", "  under it"]',
        'def said(name):\n    yield f"  {name}: found"',
        'inner = [line for line in lines if line.startswith("  ")]',
        'led = line[:2] != "  "',
        'belongs = text.startswith(" ")',
    ],
)
def test_blanks_as_structure_are_found(text: str) -> None:
    assert guards.blanks_faults({"advisor.dialogue.sample": text})
    assert not guards.blanks_faults({"advisor.console.sample": text})


@pytest.mark.parametrize("text", ['"""A head.\n\n  Set in."""', 'text = ", ".join(words)', 'cells = "  ".join(row)'])
def test_blanks_between_words_are_left_alone(text: str) -> None:
    assert not guards.blanks_faults({"advisor.dialogue.sample": text})


def test_no_figure_that_a_rule_set_could_change_stands_in_code() -> None:
    assert figure_faults(guards.sources()) == []


def printed_figures() -> dict[str, set[str]]:
    """The figures of every limit of the shipped rule sets, as they are printed."""
    found: dict[str, set[str]] = {}
    for name in ("us-road", "uk-road", "de-road"):
        for limit in load_rule_set(find_rule_set(name)).limits.values():
            found.setdefault(limit.id, set()).update(map(str, limit.figures))
    return found


def test_no_test_says_what_a_limit_of_the_rules_is() -> None:
    tests = Path(__file__).parents[1]
    texts = {str(path.relative_to(tests)): path.read_text(encoding="utf-8") for path in sorted(tests.rglob("*.py"))}
    assert len(texts) > 100 and stated_limits(texts, printed_figures()) == []


@pytest.mark.parametrize(
    "form", ["{ID: FIGURE}", "[(ID, FIGURE)]", "assert str(limits[ID]) == FIGURE", "f(ID, at=FIGURE)"]
)
def test_a_limit_stated_in_a_test_is_found(form: str) -> None:
    name, figures = next((name, figures) for name, figures in printed_figures().items() if figures)
    text = form.replace("ID", repr(name)).replace("FIGURE", repr(min(figures)))
    assert stated_limits({"made_up.py": text}, {name: figures})
    assert not stated_limits({"made_up.py": text}, {name: {"another"}})


def test_no_figure_that_was_reported_is_left() -> None:
    assert figure_faults(guards.sources(), {}) == []


@pytest.mark.parametrize(
    "text",
    [
        "def within(size_mm: float) -> bool:\n    return size_mm <= 6\n",
        "LIMIT_MM = 10\n",
        "SHARE = Fraction(8, 10)\n",
        "SHARE = Fraction('0.8')\n",
        "figure = exactly('3/8', 'in')\n",
        "crown = wide - 38.0\n",
        "def near(apart: float = 25.4) -> None: ...\n",
        "steep = {'deg': 25}\n",
    ],
)
def test_a_figure_in_code_is_found(text: str) -> None:
    assert figures_in(text)
    assert figure_faults({"advisor.engine.made_up": text})


@pytest.mark.parametrize(
    "text",
    [
        "LONGEST_LINE = 2000\n",
        "word = text[:60]\n",
        "shown(text, 80)\n",
        "half = wide / 2\n",
        "round(share, 6)\n",
        "n = -1\n",
    ],
)
def test_sizes_of_text_and_plain_arithmetic_are_left_alone(text: str) -> None:
    assert not figures_in(text)


def test_every_limit_has_a_figure_a_source_and_a_standing() -> None:
    assert guards.limit_faults(rules()) == []


@pytest.mark.parametrize(
    "basis",
    [Basis("", ("memory",), "x"), Basis("published", (), "x"), Basis("published", ("hearsay",), "x"),
     Basis("published", ("carrier-tires",), "none")],
)  # fmt: skip
def test_a_limit_without_source_standing_or_clause_is_found(basis: Basis) -> None:
    name, limit = next(iter(rules().limits.items()))
    broken: dict[str, Limit] = {**rules().limits, name: replace(limit, basis=basis)}
    assert guards.limit_faults(replace(rules(), limits=broken))


def test_figures_in_wording_come_from_limits() -> None:
    assert guards.figure_in_wording_faults(guards.wording(rules())) == []


def test_a_figure_typed_into_wording_is_found() -> None:
    assert guards.figure_in_wording_faults(iter([("caution x", "not above 40 psi")]))
    assert not guards.figure_in_wording_faults(iter([("caution x", "not above {bead-seat-stop}")]))
