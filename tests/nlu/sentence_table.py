"""The table of sentences: what must and what must not be understood, and how near the ear comes to it."""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.ruleset import RuleSet
from advisor.nlu.case_of import as_json
from advisor.nlu.pipeline import Listener
from advisor.nlu.result import Heard

TABLE = Path(__file__).resolve().parent.parent / "tables" / "sentences.csv"


@dataclass(frozen=True)
class Row:
    """A sentence, by whom, the answers it gives by address, those it must leave open, and what is asked back."""

    who: str
    text: str
    must: dict[str, Any]
    must_not: tuple[str, ...]
    asks: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def rules() -> RuleSet:
    """The shipped rule set."""
    return load_rule_set(find_rule_set("us-road"))


@lru_cache(maxsize=1)
def listener() -> Listener:
    """The ear for it."""
    return Listener(rules())


@lru_cache(maxsize=1)
def rows() -> tuple[Row, ...]:
    """Every sentence of the table."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return tuple(
            Row(
                line["who"],
                line["sentence"],
                json.loads(line["must understand"]),
                tuple(json.loads(line["must not understand"])),
                tuple(json.loads(line["asks back"])),
            )
            for line in csv.DictReader(file)
        )


@lru_cache(maxsize=4096)
def hear(text: str) -> Heard:
    """What a sentence says; heard once for all tests of the table."""
    return listener().hear(text)


def by_address(heard: Heard) -> dict[str, Any]:
    """What was understood: `vehicle`, `injury-size[0]`, each as a case file writes it; said outright or proposed."""
    case = as_json(heard, rules())
    found = _addressed(case["proposed"])
    said = {name: value for name, value in _addressed(case).items() if value != "cant-tell" or name not in found}
    for name, value in said.items():
        there = found.get(name)
        found[name] = (
            _together(there, value) if isinstance(there, dict | list) and isinstance(value, dict | list) else value
        )
    return found


def said_outright(heard: Heard) -> dict[str, Any]:
    """What counts as answers, by address."""
    return {name: value for name, value in _addressed(as_json(heard, rules())).items() if value != "cant-tell"}


def wrong_of(heard: Heard, row: Row) -> dict[str, Any]:
    """What a row must not give: an answer that was not said, or a proposal other than what was said."""
    found, must, outright = by_address(heard), expected(row), said_outright(heard)
    return {
        name: value
        for name, value in found.items()
        if must.get(name) != value
        and (name in outright or name in must)
        and not _only_more(outright.get(name), value, must.get(name))
    } | {name: outright[name] for name in row.must_not if name in outright}


def _only_more(outright: Any, found: Any, must: Any) -> bool:
    """Whether a list has nothing outright that was not said, and all that was said, and more is proposed."""
    if isinstance(found, list) and isinstance(must, list):
        return len(found) == len(must) and all(
            one.items() <= other.items() for one, other in zip(must, found, strict=True)
        )
    if not isinstance(found, dict) or not isinstance(must, dict):
        return False
    return all(
        set(must.get(name, ())) <= set(found.get(name, ()))
        and set((outright or {}).get(name, ())) <= set(must.get(name, ()))
        for name in ("present", "absent")
    )


def _addressed(case: dict[str, Any]) -> dict[str, Any]:
    found = {name: _sorted("no" if written == [] else written) for name, written in case["answers"].items()}
    for index, injury in enumerate(case["injuries"]):
        found.update({f"{name}[{index}]": _sorted(written) for name, written in injury.items()})
    return found


def _together(one: Any, other: Any) -> Any:
    if one == ["none"]:
        return other
    if isinstance(one, list):
        return [{**first, **second} for first, second in zip(one, other, strict=True)]
    return {name: sorted({*one[name], *other[name]}) for name in one}


def _sorted(written: Any) -> Any:
    if isinstance(written, dict):
        return {"present": sorted(written.get("present", [])), "absent": sorted(written.get("absent", []))}
    return written


def expected(row: Row) -> dict[str, Any]:
    """What a row must give, in the same form."""
    return {name: _sorted(value) for name, value in row.must.items()}
