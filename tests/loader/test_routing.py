"""Where nodes lead: `asked`, `next`, the order in the file; what that comes to, and what is wrong of it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from advisor.cli import main
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Choice
from advisor.model.problems import Problems
from advisor.model.ruleset import Edge, Join, Leaf, RuleSet
from advisor.tools.verify.baseline_case import mildest
from advisor.tools.verify.case_space import Space
from tests.loader.test_overlay_rules import overlay
from tests.tools.samples import edited

YES, NO = Leaf("sealant", "is", ("yes",)), Leaf("sealant", "is", ("no",))
CORD = Leaf("findings", "has-any", ("cord",))
HEAD = """parts:
  tire:
    over: tire
    nodes:
"""
INJURY = """  injury:
    over: injuries
    more: more-injuries
    nodes:
      size: {ask: size, cant-tell: hold-open}
      more-injuries: {ask: more-injuries, cant-tell: hold-open}
"""
NODES = """      findings: {ask: findings, cant-tell: hold-open}
      sealant: {ask: sealant, cant-tell: hold-open}
      washed: {ask: washed, cant-tell: hold-open}
"""


def written(folder: Path, nodes: str, rest: str = INJURY) -> Path:
    """The small rule set of the checks with other nodes in its part of the tire."""
    folder.mkdir(exist_ok=True)
    home = edited("{}", folder / "small")
    (home / "paths.yaml").write_text(HEAD + nodes + rest)
    return home


def read(folder: Path, nodes: str, rest: str = INJURY) -> RuleSet:
    return load_rule_set(written(folder, nodes, rest))


def problem(home: Path, problem_id: str) -> Any:
    """The one problem of an id, and the line of the file at which it stands."""
    with pytest.raises(Problems) as error:
        load_rule_set(home)
    found = [each for each in error.value.problems if each.id == problem_id]
    assert len(found) == 1, str(error.value)
    return found[0], (home / "paths.yaml").read_text().splitlines()[found[0].place.line - 1].strip()


def test_nodes_lead_to_the_one_that_follows_and_the_last_ends_its_part(tmp_path: Path) -> None:
    rules = read(tmp_path, NODES)
    assert [rules.nodes[name].next for name in ("findings", "sealant", "washed")] == [
        (Edge(None, "sealant"),), (Edge(None, "washed"),), (Edge(None, "end"),)
    ]  # fmt: skip
    assert [(part.id, part.starts, part.more, part.at_least_one) for part in rules.parts] == [
        ("tire", "findings", "", False), ("injury", "size", "more-injuries", True)
    ]  # fmt: skip


def test_a_node_that_waits_is_led_to_once_that_holds_and_led_past_else(tmp_path: Path) -> None:
    waits = NODES.replace("sealant: {", "sealant: {asked: {when: {findings: {has-any: [cord]}}}, ")
    rules = read(tmp_path, waits)
    assert rules.nodes["findings"].next == (Edge(CORD, "sealant"), Edge(None, "washed"))
    both = waits.replace("washed: {", 'washed: {asked: {when: {sealant: {is: "yes"}}, unless: {size: known}}, ')
    rules = read(tmp_path / "both", both.replace("{size: known}", '{sealant: {is: "no"}}'))
    assert rules.nodes["findings"].next == (Edge(CORD, "sealant"), Edge(YES, "washed"), Edge(None, "end"))
    assert rules.nodes["sealant"].next == (Edge(YES, "washed"), Edge(None, "end"))
    assert rules.nodes["washed"].unless == NO


def test_a_fork_says_where_it_leads_and_what_waits_there_is_waited_for(tmp_path: Path) -> None:
    fork = 'sealant: {next: [{when: {sealant: {is: "no"}}, go: end}, {go: washed}], '
    rules = read(tmp_path, NODES.replace("sealant: {", fork))
    assert rules.nodes["sealant"].next == (Edge(NO, "end"), Edge(None, "washed"))
    waits = NODES.replace("washed: {", 'washed: {asked: {when: {sealant: {is: "yes"}}}, ')
    rules = read(tmp_path / "past", waits.replace("findings: {", "findings: {next: washed, "))
    assert rules.nodes["findings"].next == (Edge(YES, "washed"), Edge(None, "end"))
    fork = "findings: {next: [{when: {findings: {has-any: [cord]}}, go: washed}, {go: sealant}], "
    rules = read(tmp_path / "fork", waits.replace("findings: {", fork))
    waited = Edge(Join("all", (CORD, YES)), "washed")
    assert rules.nodes["findings"].next == (waited, Edge(CORD, "end"), Edge(None, "sealant"))


def test_a_whole_part_may_wait_and_leave_its_questions_out(tmp_path: Path) -> None:
    part = INJURY.replace(
        "    more:", '    asked: {when: {sealant: {is: "yes"}}, unless: {findings: known}}\n    more:'
    )
    rules = read(tmp_path, NODES, part.replace("size: {", "size: {asked: {unless: {washed: known}}, "))
    known = Leaf("findings", "known", ())
    assert rules.parts[1].when == YES
    assert rules.nodes["size"].unless == Join("any", (known, Leaf("washed", "known", ())))
    assert rules.nodes["more-injuries"].unless == known


def test_what_is_asked_in_any_order_stands_in_its_part(tmp_path: Path) -> None:
    free = INJURY.replace("    nodes:", "    any-order: {holes: [size, more-injuries]}\n    nodes:")
    assert read(tmp_path, NODES, free).any_order == (("size", "more-injuries"),)
    found, line = problem(
        written(tmp_path / "else", NODES, free.replace("more-injuries]", "washed]")), "asked-elsewhere"
    )
    assert "washed" in found.found and line == "any-order: {holes: [size, washed]}"


WAITS = '{asked: {when: {sealant: {is: "yes"}}}, '


@pytest.mark.parametrize(
    ("old", "new", "gives", "line"),
    [
        ("findings: {", f"findings: {WAITS}", "nothing-before", "findings: {"),
        ("washed: {", "washed: {next: size, ", "other-part", "washed: {"),
        ("washed: {", "washed: {next: nowhere, ", "unknown-name", "washed: {"),
        ("washed: {", "washed: {asked: {}, ", "missing-key", "washed: {"),
        ("washed: {", "washed: {asked: {once: {sealant: known}}, ", "unknown-key", "washed: {"),
        ("washed: {", "washed: {asked: {when: {size: known}}, ", "out-of-reach", "washed: {"),
        ("washed: {", "washed: {part: tire, ", "unknown-key", "washed: {"),
        ("washed: {", 'washed: {unless: {sealant: {is: "no"}}, ', "unknown-key", "washed: {"),
        ("washed: {", "size: {", "duplicate-key", "size: {ask: size"),
        ("washed: {", "washed: {next: [{when: {sealant: known}, go: end}], ", "ways-on", "washed: {"),
        ("    nodes:\n", "    starts: findings\n    nodes:\n", "unknown-key", "starts: findings"),
        ("    nodes:\n", "    when: {sealant: known}\n    nodes:\n", "unknown-key", "when: {"),
        ("    more: more-injuries\n", '    more: more-injuries\n    at-least-one: "yes"\n', "unknown-key", "at-least"),
        ("parts:\n", "any-order: {all: [sealant, washed]}\nparts:\n", "unknown-key", "any-order:"),
    ],
)
def test_what_is_wrong_is_told_at_its_line(old: str, new: str, gives: str, line: str, tmp_path: Path) -> None:
    home = written(tmp_path, NODES)
    path = home / "paths.yaml"
    path.write_text(path.read_text().replace(old, new, 1))
    assert problem(home, gives)[1].startswith(line)


def test_a_part_needs_a_node(tmp_path: Path) -> None:
    home = written(tmp_path, "      {}\n")
    assert problem(home, "missing-key")[1] == "{}"


def test_a_way_on_is_found_where_the_file_says_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    nodes = NODES.replace("washed: {", 'washed:\n        asked:\n          when: {sealant: {is: "yes"}}\n        ')
    nodes = nodes.replace(
        "        ask: washed, cant-tell: hold-open}", "        ask: washed\n        cant-tell: hold-open"
    )
    home = written(tmp_path, nodes)
    (tmp_path / "none").mkdir()
    assert main(["check", str(home), "--coverage", str(tmp_path / "none")]) == 1
    told = [line.split() for line in capsys.readouterr().out.splitlines() if "sealant/way-1" in line]
    number = (home / "paths.yaml").read_text().splitlines().index('          when: {sealant: {is: "yes"}}') + 1
    assert told and any(f"paths.yaml:{number}:" in word for word in told[0]), told


def test_nodes_in_another_order_are_another_rule_set_and_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    one = written(tmp_path / "one", NODES)
    lines = NODES.splitlines(keepends=True)
    two = written(tmp_path / "two", "".join((lines[0], lines[2], lines[1])))
    assert load_rule_set(one).digest != load_rule_set(two).digest
    main(["compare", str(one), str(two)])
    out = capsys.readouterr().out
    assert "ASKED OTHERWISE:\n  tire: order: [sealant, washed] -> [washed, sealant]\n" in out, out


def test_an_overlays_node_waits_and_is_found_where_it_says_so(tmp_path: Path) -> None:
    ours = "nodes:\n  ours:\n    after: sealant\n    asked: {when: {sealant: known}, unless: {vehicle: known}}\n"
    ours += "    ask: sealant\n    cant-tell: goes-on\n  more:\n    after: ours\n    rulings: []\n"
    home = overlay(tmp_path, paths=ours)
    rules = load_rule_set(home)
    known, before = Leaf("sealant", "known", ()), load_rule_set(find_rule_set("us-road")).nodes["sealant"].next
    assert rules.nodes["sealant"].next == (Edge(known, "ours"), *before)
    assert rules.nodes["ours"].unless == Leaf("vehicle", "known", ()) and rules.nodes["ours"].part == "tire"
    assert rules.nodes["ours"].next == (Edge(None, "more"),)
    assert rules.nodes["more"].next == before
    assert str(rules.places["paths.yaml#sealant/way-1"]) == "over/paths.yaml:4:19"
    path = home / "paths.yaml"
    path.write_text(ours.replace("{sealant: known}", "{zone: known}"))
    with pytest.raises(Problems, match="out-of-reach"):
        load_rule_set(home)


def test_a_case_is_asked_only_what_is_met(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The tire is not dirty inside, so that nothing has to be washed out."""
    nodes = NODES.replace("washed: {", 'washed: {asked: {when: {sealant: {is: "yes"}}}, ')
    home = written(tmp_path, nodes)
    for sealant, missing in (("yes", ["washed"]), ("no", [])):
        case = tmp_path / "case.json"
        answers = {"findings": "none", "sealant": sealant}
        case.write_text(json.dumps({"answers": answers, "injuries": [{"size": "5 mm", "more-injuries": "no"}]}))
        main(["decide", str(case), "--rules", str(home), "--json"])
        assert json.loads(capsys.readouterr().out)["missing"] == missing


ONE_MORE = """
questions.yaml:
  more-injuries: ~
  others: {about: injuries, name: n, asks: a, why: w, kind: choice, no-order: each is judged by itself,
    choices: {"yes": {says: "Yes"}, "no": {says: "No"}}}
paths.yaml: {parts/injury/more: others, nodes/more-injuries/ask: others}
"""


def test_checks_do_not_describe_ever_more_injuries(tmp_path: Path) -> None:
    """Where yes comes first and no order says that it is worse, a check that fills in answers would not end."""
    rules = load_rule_set(edited(ONE_MORE, tmp_path / "small"))
    assert mildest(rules.questions["others"], Space(rules)) == Choice("no")
