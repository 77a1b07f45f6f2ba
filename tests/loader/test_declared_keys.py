"""Each key that is declared for a rule file: left out, misspelt, of another kind; told by the loader and the schema.

Samples are the entries of the shipped rule sets, cut down to one entry, and a few written here.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any, NamedTuple

import jsonschema
import pytest
import yaml

from advisor.loader.build import read_file
from advisor.loader.builder import Builder
from advisor.loader.condition_reader import When, read_terms
from advisor.loader.overlay import read_over
from advisor.loader.paths import DEFAULT_RULES
from advisor.loader.reader import Diagnostics
from advisor.loader.rule_file_schema import FILES, OVERLAY_FILES
from advisor.loader.ruleset_loader import read_folder, trees_folder
from advisor.loader.schema_types import (
    AtBase,
    By,
    ByKey,
    Either,
    Forbidden,
    ImpliedClause,
    ImpliedStanding,
    ListOf,
    MapOf,
    Mapping,
    Schema,
)
from advisor.loader.yaml_nodes import documents
from advisor.model.problems import Place, Problem
from tests.whole_rules import whole_copy

from .test_schemas import as_an_editor_reads, made, made_whole

_BASIS = "standing: derived, source: carrier-tires, clause: c"
#: What no shipped rule set uses.
WRITTEN = {
    ("us-road", "about.yaml"): [
        "{id: i, title: t, edition: e, scope: s, not-for: n, defers-to: d, when-unanswered: hold-cant-tell,\n"
        "  when-in-doubt: hold-cant-tell, before-you-begin: [], always-shown: [], shown-with-repair: [],\n"
        f"  record: {{title: t, when: under-carrier-rules, lines: {{a: day}}, keep: k, {_BASIS}}}}}\n"
    ],
    ("us-road", "questions.yaml"): [
        "vehicle: {name: n, asks: a, why: w, kind: choice, formerly: f,\n"
        "  older-cases: {counts-as: c, because: b},\n"
        "  choices: {car: {says: c, help: h, formerly: g}}}\n"
    ],
    ("us-road", "limits.yaml"): [
        f"light: {{says: s, value: 3 mm, {_BASIS}, formerly: f,\n"
        f"  from: {{2027-01-01: {{value: 2 mm, says: s, {_BASIS}, note: n}}}}}}\n"
    ],
    ("us-road", "terms.yaml"): ["towed: {says: it is towed, when: {vehicle: {is: trailer}}}\n"],
    ("us-road", "endings.yaml"): ["wait: {verdict: hold, headline: h, do-now: d, tell-driver: t, formerly: f}\n"],
    ("us-road", "restrictions.yaml"): ["slow: {says: s, tell-driver: t, formerly: f}\n"],
    ("us-road", "cautions.yaml"): [f"dusty: {{hazard: dust, says: s, {_BASIS}, formerly: f}}\n"],
    ("us-road", "steps.yaml"): [f"wipe: {{stage: mark, says: s, {_BASIS}}}\n"],
    ("us-road", "methods.yaml"): [
        "ours: {title: t, rank: 9, says: s, standing: from memory, source: memory, clause: none, steps: [\n"
        "  {id: a, says: s, standing: from memory, source: memory, clause: none, name: n, stage: mark, once: after,\n"
        "  when: {zone: known}, figures: buff-speed, cautions: eyes, held-by: eyes, asks: lean,\n"
        "  done-where: {zone: known}, waits-from: here, waits-for: cement-dry-time, measures: lean, tell-driver: s,\n"
        "  fields: [{id: a, name: n, kind: torque, kept: yes, example: e}]},\n"
        "  {step: mount, name: n, stage: mount, figures: buff-speed, cautions: eyes, held-by: eyes, asks: lean,\n"
        f"   {_BASIS}}}],\n"
        "  formerly: f}\n"
    ],
    ("us-road", "paths.yaml"): [
        "parts: {tire: {over: tire, asked: {unless: {vehicle: known}}, nodes: {vehicle: {}}}}\n",
    ],
    ("us-road", "values.yaml"): ["tread-now: {function: lowest-tread, name: n, reads: {tread-depth: tread-depth}}\n"],
    ("us-road", "phrases.yaml"): ["units: {sixteenth: {unit: in, ask: of what}}\n"],
    ("demo-shop", "units.yaml"): [
        "ours: {name: n, method: one-piece, for: light, zone: crown, injury: 0-3 mm, angle: 0-25 deg,\n"
        f"  length: 9 mm, width: 9 mm, stem: 3 mm, {_BASIS}}}\n"
    ],
    ("demo-shop", "about.yaml"): [
        "{id: i, title: t, edition: e, builds-on: us-road, not-for: n, before-you-begin: [], shown-with-repair: []}\n"
    ],
    ("demo-shop", "paths.yaml"): [
        "nodes: {ours: {after: vehicle, ask: vehicle, asked: {when: {vehicle: known}, unless: {vehicle: known}},\n"
        "  instead: i, optional: in-files, cant-tell: goes-on}}\n"
    ],
}


class Sample(NamedTuple):
    """A key in a small file: what is declared for it, whether it is needed there, where it stands."""

    rules: str
    file: str
    root: yaml.Node
    schema: Schema
    needed: bool
    mapping: yaml.MappingNode
    key: yaml.ScalarNode
    value: yaml.Node


@lru_cache(maxsize=3)
def home_of(rules: str) -> Path:
    """Where the files of a rule set stand, with nothing shared in those of the default rules."""
    return whole_copy(Path(mkdtemp()) / rules) if rules == DEFAULT_RULES else trees_folder() / rules


def texts(rules: str, file: str) -> list[str]:
    """A file as texts of one entry each, so that each can be read and held to its schema at once."""
    lines = (home_of(rules) / file).read_text(encoding="utf-8").splitlines(keepends=True)
    (root,) = documents("".join(lines), file)
    if file == "about.yaml":
        return ["".join(lines)]
    blocks = dict(_blocks(root, lines))
    if file == "phrases.yaml":
        return [_first_only(block) for block in blocks.values()]
    if file != "paths.yaml":
        return list(blocks.values())
    return [text for _, text in _nodes_apart(root, lines, "", len(lines))]


def _nodes_apart(mapping: yaml.MappingNode, lines: list[str], head: str, last: int) -> Iterator[tuple[str, str]]:
    """Each node of a file, with what stands beside the nodes there."""
    for number, (key, value) in enumerate(mapping.value):
        end = mapping.value[number + 1][0].start_mark.line if number + 1 < len(mapping.value) else last
        if key.value == "nodes":
            beside = "".join(block for name, block in _blocks(mapping, lines, last) if name != "nodes")
            yield from (
                (n, f"{head}{beside}{lines[key.start_mark.line]}{text}") for n, text in _blocks(value, lines, end)
            )
        elif isinstance(value, yaml.MappingNode) and not value.flow_style and "parts" in (key.value, *head.split(":")):
            yield from _nodes_apart(value, lines, head + lines[key.start_mark.line], end)


def _blocks(mapping: yaml.MappingNode, lines: list[str], last: int = 0) -> Iterator[tuple[str, str]]:
    starts = [(key.value, key.start_mark.line) for key, _ in mapping.value]
    for (key, start), (_, end) in zip(starts, [*starts[1:], ("", last or len(lines))], strict=True):
        found = "".join(lines[start:end])
        yield (
            key,
            found[: found.rfind("\n", 0, -1) + 1] if end < len(lines) and lines[end - 1].startswith("#") else found,
        )


def _first_only(block: str) -> str:
    head, *rest = block.splitlines(keepends=True)
    inner = [number for number, line in enumerate(rest) if line.startswith("  ") and line[2] not in " #-"]
    return head + "".join(rest[: inner[1]] if len(inner) > 1 else rest)


def met(schema: Schema, node: yaml.Node) -> Iterator[tuple[Any, ...]]:
    """Each key of a node: the mapping declared for it, its own declaration, whether it is needed, where it stands."""
    if isinstance(schema, Mapping) and isinstance(node, yaml.MappingNode):
        stand = {key.value: (key, value) for key, value in node.value}
        keys = {name: key for name, key, _ in schema.fields}
        for _, key, field in schema.fields:
            if key in stand:
                if isinstance(field, By):
                    field = field.cases[stand[keys[field.other]][1].value]
                yield id(schema), field, is_needed(field, stand), node, *stand[key]
                yield from met(field, stand[key][1])
    elif isinstance(schema, MapOf) and isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            inner = schema.value
            if isinstance(inner, AtBase):
                inner = inner.added if key.value in whole("us-road").nodes else inner.new
            yield from met(inner, value)
    elif isinstance(schema, Either):
        yield from met(schema.other, node)
    elif isinstance(schema, ByKey) and isinstance(node, yaml.MappingNode):
        yield from met(
            schema.having if any(key.value == schema.told_by for key, _ in node.value) else schema.lacking, node
        )
    elif isinstance(schema, ListOf) and isinstance(node, yaml.SequenceNode):
        for item in node.value:
            yield from met(schema.item, item)


def is_needed(field: Schema, stand: dict[str, tuple[yaml.Node, yaml.Node]]) -> bool:
    """Whether a key has to be given beside those that stand there."""
    if isinstance(field, ImpliedStanding) or field.required is None:
        return False
    if isinstance(field, ImpliedClause):
        given = stand["source"][1].value
        sources = [given] if isinstance(given, str) else [node.value for node in given]
        known = whole("us-road").sources
        return all(name in known for name in sources) and any(known[name].has_clauses for name in sources)
    return not field.required.keys or any(other in stand for other in field.required.keys)


def keys_of(schema: Schema, seen: set[int]) -> Iterator[tuple[int, str]]:
    """Every key that is declared, with the mapping in which it may stand."""
    inner: list[Schema] = []
    if isinstance(schema, Mapping) and id(schema) not in seen:
        seen.add(id(schema))
        for _, key, field in schema.fields:
            if not isinstance(field, Forbidden):
                yield id(schema), key
            inner += field.cases.values() if isinstance(field, By) else [field]
    inner += [
        getattr(schema, name)
        for name in ("item", "value", "added", "new", "having", "lacking")
        if hasattr(schema, name)
    ]
    inner += [schema.other] if isinstance(schema, Either) else []
    for each in inner:
        yield from keys_of(each, seen)


@lru_cache(maxsize=3)
def whole(rules: str) -> Builder:
    draft = Builder()
    read_folder(trees_folder() / rules, draft, [])
    return draft


def problems(rules: str, file: str, node: yaml.Node) -> list[Problem]:
    draft = copy.copy(whole("us-road"))
    for name in draft.__struct_fields__:
        value = getattr(draft, name)
        if isinstance(value, (dict, list)):
            setattr(draft, name, copy.copy(value))
    found = Diagnostics(file)
    (read_over if rules == "demo-shop" else read_file)(file, node, found, draft)
    read_terms(draft)
    return found.problems


@lru_cache(maxsize=1)
def samples() -> dict[tuple[int, str], Sample]:
    """For each declared key, by the mapping in which it may stand: a small file that has it."""
    found: dict[tuple[int, str], Sample] = {}
    for rules in ("us-road", "uk-road", "demo-shop"):
        for file, declared in (FILES | OVERLAY_FILES if rules == "demo-shop" else FILES).items():
            written = WRITTEN.get((rules, file), [])
            whole_file = not (trees_folder() / "common" / file).exists() or rules != "uk-road"
            for text in [*(texts(rules, file) if whole_file and (home_of(rules) / file).exists() else []), *written]:
                (root,) = documents(text, file)
                for home, *rest in met(declared.schema, root):
                    key = rest[3].value
                    if (home, key) not in found or (rest[1] and not found[home, key].needed):
                        found[home, key] = Sample(rules, file, root, *rest)
    return found


def declared_keys() -> set[tuple[int, str]]:
    return {key for file in (*FILES.values(), *OVERLAY_FILES.values()) for key in keys_of(file.schema, set())}


def node_of(text: str, like: yaml.Node) -> yaml.Node:
    """A text as a node in the place of another."""
    (made_anew,) = documents(text, "")
    made_anew.start_mark, made_anew.end_mark = like.start_mark, like.end_mark
    return made_anew


def wrong_kind(schema: Schema) -> str:
    """What can stand nowhere behind a key."""
    if isinstance(schema, (Mapping, MapOf, When)):
        return "some text"
    return "[[x]]" if isinstance(schema, Either) and isinstance(schema.other, Mapping) else "{x: y}"


def told(sample: Sample) -> tuple[set[str], bool]:
    """What the loader finds and where, and whether the file holds to its JSON Schema."""
    found = {f"{problem.place}: {problem.id}" for problem in problems(sample.rules, sample.file, sample.root)}
    validator = jsonschema.Draft7Validator(
        (made_whole() if sample.rules == DEFAULT_RULES else made(sample.rules))[sample.file]
    )
    return found, validator.is_valid(as_an_editor_reads(sample.root))


def at(sample: Sample, node: yaml.Node, *ids: str) -> set[str]:
    mark = node.start_mark
    return {f"{Place(sample.file, mark.line + 1, mark.column + 1)}: {problem_id}" for problem_id in ids}


FAULTS = ("misspelt", "of another kind", "left out")


def test_every_declared_key_is_tried() -> None:
    assert declared_keys() - samples().keys() == set(), [key for _, key in declared_keys() - samples().keys()]
    needed = [sample for sample in samples().values() if sample.needed]
    assert len(needed) > 60


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("file", FILES)
def test_a_fault_at_any_key_is_told_by_the_loader_at_its_place_and_by_the_schema(file: str, fault: str) -> None:
    for sample in samples().values():
        if sample.file != file or (fault == "left out" and not sample.needed):
            continue
        whole_mapping = sample.mapping.value
        number = [key for key, _ in whole_mapping].index(sample.key)
        before, held = told(sample)
        assert held, (sample.key.value, as_an_editor_reads(sample.root))
        put, expected = [], at(sample, sample.mapping, "missing-key", "missing-cant-tell")
        if fault == "misspelt":
            misspelt = node_of(f"{sample.key.value}-zz", sample.key)
            put, expected = [(misspelt, sample.value)], at(sample, sample.key, "unknown-key")
        elif fault == "of another kind":
            wrong = node_of(wrong_kind(sample.schema), sample.value)
            put, expected = [(sample.key, wrong)], at(sample, sample.value, "wrong-kind")
        sample.mapping.value = [*whole_mapping[:number], *put, *whole_mapping[number + 1 :]]
        try:
            after, held = told(sample)
        finally:
            sample.mapping.value = whole_mapping
        assert not held, (fault, sample.key.value, as_an_editor_reads(sample.root))
        assert (after - before) & expected, (fault, sample.key.value, sorted(after), sorted(expected))
