"""What a rule set says as plain data, for its digest: no comments, no white space, no order of keys, no quotes."""

from __future__ import annotations

import gc
import json
from collections.abc import Mapping
from itertools import chain
from typing import Any

import yaml

from advisor.loader.condition_reader import HOLDS
from advisor.loader.overlay import listed, merged
from advisor.loader.reader import plain_data
from advisor.loader.rule_file_schema import ADDED_TO_STEPS

#: What a question says of the order of asking, and of words that are typed for a figure: no answer means another thing.
NO_WORDING = ("effort", "prompt", "after", "likely", "words-for")
#: What was read: file name, its node, or it as plain data where it was read before, and whether it is an overlay's.
Read = list[tuple[str, Any, bool]]


def normalised(read: Read, meant: Mapping[yaml.Node, Mapping[str, str]]) -> dict[str, Any]:
    """What was read as plain data by file, with what entries leave out; overlays merged into what they build on.

    The collector of reference cycles rests meanwhile: nothing here makes any, and it costs half.
    """
    collecting = gc.isenabled()
    gc.disable()
    try:
        content: dict[str, Any] = {}
        for name, node, over in read:
            data = plain_data(node, meant) if isinstance(node, yaml.Node) else node
            if name == "about.yaml":
                data.pop("shares", None)  # what is taken in counts, not where it stands
            if name == "questions.yaml":
                data = _without_asking(data)
            content[name] = merged(content.get(name, {}), data, name) if over else _nodes_apart(name, data)
        return _with_terms_written_out(_with_steps_written_out(content))
    finally:
        if collecting:
            gc.enable()


def _without_asking(questions: Any) -> Any:
    """Questions without that by which only the order of asking goes: the same answers come to the same."""
    return {
        name: {key: item for key, item in says.items() if key not in NO_WORDING} for name, says in questions.items()
    }


def _nodes_apart(file: str, data: Any) -> Any:
    """The question graph with each node beside the parts, so that all are found in one place."""
    if file != "paths.yaml":
        return data
    parts = {name: {key: item for key, item in part.items() if key != "nodes"} for name, part in data["parts"].items()}
    inside = ((name, node, says) for name, part in data["parts"].items() for node, says in part["nodes"].items())
    return {**data, "parts": parts, "nodes": {node: {"part": name, **says} for name, node, says in inside}}


def _with_steps_written_out(content: dict[str, Any]) -> dict[str, Any]:
    """Each step where its methods have it, since where it is written does not count; what is left no method has."""
    steps, methods = content.pop("steps.yaml", {}), content.get("methods.yaml", {})
    for name, method in methods.items():
        methods[name] = {**method, "steps": [_step(each, steps) for each in listed(method, "steps")]}
    had = {step["id"] for method in methods.values() for step in method["steps"]}
    left = {name: step for name, step in steps.items() if name not in had}
    return {**content, "steps.yaml": left} if left else content


def _with_terms_written_out(content: dict[str, Any]) -> dict[str, Any]:
    """Each condition as it is without names, since under which name it stands does not count; what terms say does."""
    terms = content.get("terms.yaml")
    if not terms:
        return content
    files = {name: _written_out(tree, terms) for name, tree in content.items() if name != "terms.yaml"}
    return {**files, "terms.yaml": {name: {"says": term["says"]} for name, term in terms.items()}}


def _written_out(tree: Any, terms: dict[str, Any]) -> Any:
    """Plain data in which every term stands as its condition, beside what it stood beside."""
    if isinstance(tree, list):
        return [each if each.__class__ is str else _written_out(each, terms) for each in tree]
    if not isinstance(tree, dict):
        return tree
    parts = [
        {key: value} if value.__class__ is str and value != HOLDS else _part(key, value, terms)
        for key, value in tree.items()
    ]
    keys = list(chain.from_iterable(parts))
    if len(set(keys)) == len(keys):
        return {key: value for part in parts for key, value in part.items()}
    parts.sort(key=lambda part: json.dumps(part, sort_keys=True))  # however the keys are ordered in the file
    found: dict[str, Any] = {}
    beside: list[Any] = []
    for part in parts:
        if part.keys().isdisjoint(found):
            found |= part
        else:
            beside.append(part)
    return {**found, "all": [*listed(found, "all"), *beside]} if beside else found


def _part(key: str, value: Any, terms: dict[str, Any]) -> dict[str, Any]:
    """What stands for a key and its value: a term's condition, no `not` of a `not`, no `any` in an `any`."""
    if value == HOLDS and key in terms:
        return dict(_written_out(terms[key]["when"], terms))
    there = _written_out(value, terms)
    if key == "not" and isinstance(there, dict) and list(there) == ["not"]:
        return dict(there["not"])
    if key == "any" and isinstance(there, list):
        return {key: [one for each in there for one in (each["any"] if list(each) == ["any"] else [each])]}
    return {key: there}


def _step(here: Any, steps: dict[str, Any]) -> dict[str, Any]:
    """A step as its method has it."""
    if isinstance(here, dict) and "step" not in here:
        return here
    own = dict(here) if isinstance(here, dict) else {"step": here}
    name = own.pop("step")
    for key in ADDED_TO_STEPS:
        key = key.replace("_", "-")
        if key in own and key in steps[name]:
            own[key] = list(dict.fromkeys((*listed(own, key), *listed(steps[name], key))))
    return {"id": name, **steps[name], **own}
