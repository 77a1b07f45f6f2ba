"""The digest: how a file is written never counts, what it says always does; every judgement says which it is by."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.console.json_output import answer_of
from advisor.console.verdict_lines import verdict_lines
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, shipped
from advisor.model.ruleset import RuleSet, digest_of
from tests.whole_rules import whole_copy

CASE = "answers: {vehicle: car}\n"


@lru_cache(maxsize=4)
def rules_of(name: str) -> RuleSet:
    return load_rule_set(find_rule_set(name))


def copied(name: str, home: Path) -> Path:
    folder = home / name
    whole_copy(folder, name)
    return folder


def shuffled(data: Any, dice: random.Random, keep: bool = False) -> Any:
    """The same data with the keys of every mapping in another order, but for parts and nodes: theirs counts."""
    if isinstance(data, dict):
        keys = list(data)
        if not keep:
            dice.shuffle(keys)
        return {key: shuffled(data[key], dice, key in ("parts", "nodes")) for key in keys}
    return [shuffled(item, dice) for item in data] if isinstance(data, list) else data


@pytest.mark.parametrize("name", ["us-road", "uk-road", "de-road"])
@pytest.mark.parametrize("seed", range(3))
def test_order_of_keys_quotes_breaks_and_comments_do_not_count(name: str, seed: int, tmp_path: Path) -> None:
    dice = random.Random(seed)
    folder = copied(name, tmp_path)
    for path in folder.glob("*.yaml"):
        data = yaml.load(path.read_text(), Loader=yaml.BaseLoader)
        text = json.dumps(shuffled(data, dice), indent=dice.choice([None, 1, 4]), ensure_ascii=False)
        path.write_text(f"# {dice.random()}\n\n{text}\n# the end\n")
    assert load_rule_set(folder).digest == rules_of(name).digest


WRITTEN: dict[str, Callable[[str], str]] = {
    "comments and blank lines": lambda text: "# a remark\n\n" + text.replace("\n", "\n\n# more\n", 1),
    "line ends of another system": lambda text: text.replace("\n", "\r\n"),
    "spaces at line ends": lambda text: "".join(f"{line}  \n" for line in text.splitlines()),
    "a byte-order mark": lambda text: "\ufeff" + text,
}


@pytest.mark.parametrize("how", WRITTEN)
def test_how_it_is_written_does_not_count(how: str, tmp_path: Path) -> None:
    folder = copied("uk-road", tmp_path)
    for path in folder.glob("*.yaml"):
        path.write_bytes(WRITTEN[how](path.read_text()).encode())
    assert load_rule_set(folder).digest == rules_of("uk-road").digest


def places(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to every text, list and mapping."""
    yield path
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, item in items:
        yield from places(item, (*path, key))


@lru_cache(maxsize=4)
def every_place(name: str) -> list[tuple[Any, ...]]:
    return [path for path in places(rules_of(name).content) if path]


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_every_figure_word_and_edge_counts(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(shipped()))
    path = data.draw(st.sampled_from(every_place(name)))
    content = json.loads(json.dumps(rules_of(name).content))
    before = digest_of(content)
    home: Any = content
    for step in path[:-1]:
        home = home[step]
    last = path[-1]
    how = data.draw(st.sampled_from(["change", "take out", "swap"]))
    if how == "take out":
        del home[last]
    elif how == "swap" and isinstance(home, list) and len(home) > 1 and home[last] != home[last - 1]:
        home[last], home[last - 1] = home[last - 1], home[last]
    else:
        home[last] = f"{home[last]}x" if isinstance(home[last], str) else "x"
    assert digest_of(content) != before


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("limits.yaml", "value: 6 mm", "value: 6.1 mm"),
        ("limits.yaml", "at-limit: passes", "at-limit: fails"),
        ("paths.yaml", "ask: vehicle\n", "ask: vehicle\n        next: sidewall\n"),
        ("paths.yaml", "[reaches-cord, rubber-only]", "[rubber-only, reaches-cord]"),
        ("endings.yaml", "headline: ", "headline: Now "),
        ("about.yaml", "edition: ", "edition: as of "),
    ],
)
def test_an_edit_of_a_file_counts(file: str, old: str, new: str, tmp_path: Path) -> None:
    folder = copied("uk-road", tmp_path)
    text = (folder / file).read_text()
    assert old in text
    (folder / file).write_text(text.replace(old, new, 1))
    assert load_rule_set(folder).digest != rules_of("uk-road").digest


def test_the_order_of_the_parts_counts_since_they_are_walked_in_it(tmp_path: Path) -> None:
    folder = copied("uk-road", tmp_path)
    text = (folder / "paths.yaml").read_text()
    before, after = text.split("\n  shop:\n")
    (folder / "paths.yaml").write_text(before.replace("parts:\n", f"parts:\n  shop:\n{after}", 1))
    turned = load_rule_set(folder)
    assert turned.parts[0].id == "shop" and turned.digest != rules_of("uk-road").digest


@pytest.mark.parametrize("name", shipped())
def test_every_judgement_says_edition_and_digest(name: str) -> None:
    rules = rules_of(name)
    date.fromisoformat(rules.about.edition.partition(".")[0])
    assert rules.about.notes
    judge = Judge(rules)
    (text,) = split_cases(CASE, "case.yaml")
    judgement = judge.judge(read_case(text, rules, date(2026, 3, 14)))
    assert answer_of(judgement, judge)["rules"] == {
        "id": name, "edition": rules.about.edition, "digest": rules.digest,
    }  # fmt: skip
    card = " ".join(" ".join(verdict_lines(judgement, judge)).split())
    assert f"({name}), edition {rules.about.edition}, digest {rules.digest}" in card
