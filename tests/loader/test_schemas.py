"""JSON Schemas made from the loader, by the `jsonschema` library (draft 07): what loads passes, slips of form fail."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import jsonschema
import pytest
import yaml

from advisor.cli import main
from advisor.loader.builder import Builder
from advisor.loader.entry_descriptions import KEYS_SAY
from advisor.loader.json_schema import schemas
from advisor.loader.rule_file_schema import FILES, OVERLAY_FILES
from advisor.loader.ruleset_loader import read_folder, shipped, trees_folder
from advisor.loader.schema_types import By, Mapping, Schema
from advisor.loader.watcher import Watch
from advisor.loader.yaml_nodes import documents, from_file
from advisor.model.problems import Problems
from tests.tools.slips_of_meaning import SLIPS
from tests.whole_rules import whole_copy


def new(words: list[str]) -> int:
    return main(["new", *words])


def write(words: list[str]) -> int:
    return main(["schemas", *words])


#: Problems that are of form: a schema can know them. Wrong names, figures and meanings are for the loader and checks.
OF_FORM = {"unknown-key", "unknown-word", "missing-key", "unknown-test", "empty-condition", "bad-id", "wrong-kind"}
FIRST = re.compile(r"# yaml-language-server: \$schema=(\S+)")


@lru_cache(maxsize=4)
def made(name: str) -> dict[str, Any]:
    draft = Builder()
    read_folder(trees_folder() / name, draft, [])
    return schemas(draft)


@lru_cache(maxsize=1)
def whole() -> Path:
    """The default rules with nothing shared."""
    return whole_copy(Path(mkdtemp()) / "us-road")


@lru_cache(maxsize=1)
def made_whole() -> dict[str, Any]:
    draft = Builder()
    read_folder(whole(), draft, [])
    return schemas(draft)


def as_an_editor_reads(node: yaml.Node) -> Any:
    """A node as a YAML 1.2 editor sees it: the core schema's null, booleans and numbers, all else text."""
    if isinstance(node, yaml.MappingNode):
        return {key.value: as_an_editor_reads(value) for key, value in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [as_an_editor_reads(item) for item in node.value]
    text = node.value
    if node.style:
        return text
    if text in ("", "~", "null"):
        return None
    if text in ("true", "false"):
        return text == "true"
    return float(text) if re.fullmatch(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?", text) else text


def errors(schema: dict[str, Any], text: str, name: str) -> list[str]:
    (node,) = documents(text, name)
    return [error.message for error in jsonschema.Draft7Validator(schema).iter_errors(as_an_editor_reads(node))]


@pytest.mark.parametrize("name", shipped())
def test_the_shipped_rule_sets_pass_their_schemas(name: str) -> None:
    for file, schema in made(name).items():
        jsonschema.Draft7Validator.check_schema(schema)
        path = trees_folder() / name / file
        if path.exists():
            assert errors(schema, path.read_text(), file) == [], file
            first = FIRST.match(path.read_text())
            assert first and first[1] == f".schemas/{path.stem}.json", file
    files = {path.name for path in (trees_folder() / name).glob("*.yaml")}
    assert files <= set(made(name))


@pytest.mark.parametrize("slip", [slip for slip in SLIPS if slip.gives in OF_FORM], ids=lambda slip: slip.name)
def test_a_slip_of_form_is_underlined(slip: Any) -> None:
    text = (whole() / slip.file).read_text()
    assert slip.old in text
    assert errors(made_whole()[slip.file], text.replace(slip.old, slip.new, 1), slip.file)


def test_there_are_such_slips() -> None:
    assert sum(slip.gives in OF_FORM for slip in SLIPS) >= 8


SECTIONS = {
    "about.yaml": [()],
    "limits.yaml": [("run-low-share",)],
    "questions.yaml": [("vehicle",), ("vehicle", "choices", "car")],
    "paths.yaml": [
        (),
        ("parts", "tire"),
        ("parts", "tire", "nodes", "vehicle"),
        ("parts", "tire", "nodes", "vehicle", "rulings", 0),
    ],
    "steps.yaml": [("mount",)],
    "methods.yaml": [("one-piece",)],
    "endings.yaml": [("scrap-tread",)],
    "cautions.yaml": [("eyes",)],
}


@pytest.mark.parametrize(("file", "path"), [(file, path) for file, paths in SECTIONS.items() for path in paths])
def test_a_key_that_no_reader_asks_for_is_underlined_and_a_needed_one_is_missed(file: str, path: Any) -> None:
    (node,) = documents((whole() / file).read_text(), file)
    data = as_an_editor_reads(node)
    section = data
    for step in path:
        section = section[step]
    assert isinstance(section, dict)
    validator = jsonschema.Draft7Validator(made_whole()[file])
    section["sayz"] = "x"
    assert not validator.is_valid(data)
    del section["sayz"]
    for key in ("says", "title", "source", "kind", "because", "over", "headline"):
        if key in section and key in str(made_whole()[file]):
            kept = section.pop(key)
            assert not validator.is_valid(data) or (file, key) == ("paths.yaml", "source"), key
            section[key] = kept
    assert validator.is_valid(data)


def nodes_in(node: yaml.Node) -> Iterator[yaml.Node]:
    """A node and all below it."""
    yield node
    for each in node.value if isinstance(node, yaml.CollectionNode) else ():
        for below in each if isinstance(each, tuple) else (each,):
            yield from nodes_in(below)


def referring(name: str) -> dict[tuple[str, str], tuple[str, yaml.Node, yaml.Node]]:
    """One name for each kind of thing that a file of a rule set names, with the tree in which it stands."""
    draft, roots = Builder(), {}

    def kept(path: Path, label: str) -> list[yaml.Node]:
        roots[label] = from_file(path, label)
        return roots[label]

    draft.documents = kept
    read_folder(trees_folder() / name, draft, [])
    inside = {id(node): (label, root) for label, (root,) in roots.items() for node in nodes_in(root)}
    found = {}
    for each in draft.references:
        # A measure will do there as well, so that no list of choices could hold it.
        if each.node.value == each.name and id(each.node) in inside and "cant-tell" not in each.what:
            label, root = inside[id(each.node)]
            found.setdefault((Path(label).name, each.kinds.partition(":")[0]), (label, each.node, root))
    return {of: each for of, each in found.items() if each[0].startswith(f"{name}/")}


@pytest.mark.parametrize("name", shipped())
def test_an_id_that_is_not_there_is_underlined_whatever_names_it(name: str) -> None:
    names = referring(name)
    assert {kinds for _, kinds in names} >= {"limit", "question", "choice", "caution", "source"} or name == "demo-shop"
    silent = []
    for (file, kinds), (_, node, root) in names.items():
        validator = jsonschema.Draft7Validator(made(name)[file])
        was, node.value = node.value, "no-such-thing"
        if validator.is_valid(as_an_editor_reads(root)):
            silent.append((file, kinds, was))
        node.value = was
    # What goes by a question's kind is open where only the shared entry says the kind; `advisor check` finds that.
    assert names and {(file, kinds) for file, kinds, _ in silent} <= {("questions.yaml", "limit")}


def test_each_id_and_each_key_says_what_it_stands_for() -> None:
    rules = made("us-road")
    limit = rules["limits.yaml"]["properties"]["nail-hole-size-light"]["description"]
    assert "1/4 in or 6 mm" in limit and "Puncture repair procedures" in limit
    test = rules["paths.yaml"]["definitions"]["condition"]["properties"]["injury-depth"]
    assert test["description"].startswith("How deep")
    for file, schema in rules.items():
        silent = {key for key in keys_in(schema) if key in DECLARED and key not in KEYS_SAY}
        assert not silent, file
        for name, each in schema["definitions"].items():
            texts = each.get("markdownEnumDescriptions", [])
            assert all(texts) or name.startswith(("choice-of-", "stage", "verdict")), name
    assert (
        rules["cautions.yaml"]["definitions"]["a-caution"]["properties"]["hazard"]["description"] == KEYS_SAY["hazard"]
    )


def keys_in(schema: Any) -> set[str]:
    """Every key that a schema knows, however deep."""
    inner = schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ()
    own = set(schema.get("properties", ())) if isinstance(schema, dict) else set()
    return own.union(*map(keys_in, inner))


def declared() -> set[str]:
    """Each key that is declared for any rule file."""
    seen: set[int] = set()
    files = (*FILES.values(), *OVERLAY_FILES.values())
    return {key for file in files for key in keys_of(file.schema, seen)}


def keys_of(schema: Any, seen: set[int]) -> set[str]:
    if id(schema) in seen:
        return set()
    seen.add(id(schema))
    names = ("item", "value", "added", "new", "having", "lacking", "other")
    inner = [getattr(schema, name) for name in names if isinstance(getattr(schema, name, None), Schema)]
    if isinstance(schema, By):
        inner = list(schema.cases.values())
    fields = schema.fields if isinstance(schema, Mapping) else []
    inner += [field for _, _, field in fields]
    return {key for _, key, _ in fields}.union(*(keys_of(each, seen) for each in inner))


DECLARED = declared()


def test_schemas_that_stand_beside_rules_follow_each_check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "copy"
    shutil.copytree(trees_folder() / "uk-road", folder, ignore=shutil.ignore_patterns("cases", ".schemas"))
    about = (folder / "about.yaml").read_text().replace("id: uk-road", "id: copy")
    (folder / "about.yaml").write_text(about)
    assert main(["check", str(folder)]) == 0 and not (folder / ".schemas").exists()
    assert write([str(folder)]) == 0

    def held(name: str) -> list[str]:
        schema = json.loads((folder / ".schemas" / f"{name}.json").read_text())
        return errors(schema, (folder / f"{name}.yaml").read_text(), f"{name}.yaml")

    limits, paths = (folder / "limits.yaml").read_text(), (folder / "paths.yaml").read_text()
    assert "beyond: run-low-share" in paths
    (folder / "paths.yaml").write_text(paths.replace("beyond: run-low-share", "beyond: just-added", 1))
    assert held("paths")
    assert main(["check", str(folder)]) == 2 and held("paths")
    rests = "standing: from memory, source: memory, clause: none"
    (folder / "limits.yaml").write_text(f"{limits}\njust-added: {{says: s, value: 70 %, worse: below, {rests}}}\n")
    main(["check", str(folder)])
    assert not held("paths")
    (folder / "limits.yaml").write_text("][")
    assert main(["check", str(folder)]) == 2 and not held("paths")
    (folder / "limits.yaml").write_text(limits)
    with pytest.raises(Problems):
        Watch(folder).load()
    assert held("paths")
    capsys.readouterr()


@pytest.mark.parametrize("base", ["us-road", "uk-road", "de-road", "demo-shop"])
def test_a_new_overlay_points_its_editor_at_schemas_that_hold_it(
    base: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def check(words):
        return main(["check", *words])

    folder = tmp_path / "our-shop"
    assert new([str(folder), "--builds-on", base]) == 0
    files = sorted(folder.glob("*.yaml"))
    assert len(files) == 5
    for path in files:
        match = FIRST.match(path.read_text())
        assert match
        schema = json.loads((folder / match[1]).read_text())
        assert errors(schema, path.read_text(), path.name) == []
        assert errors(schema, path.read_text() + "\nsayz: [x]\n", path.name)
    capsys.readouterr()
    assert check([str(folder)]) == 0, capsys.readouterr().err


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert write(["uk-road", "--out", str(tmp_path / "deep" / "out")]) == 0
    assert "paths.json" in capsys.readouterr().out and (tmp_path / "deep" / "out" / "paths.json").is_file()
    assert write(["no-such"]) == 2 and write(["us-road", "uk-road", "--out", str(tmp_path / "deep")]) == 2
    assert write(["--out", str(tmp_path / "deep")]) == 2
    (tmp_path / "file").write_text("")
    assert write(["uk-road", "--out", str(tmp_path / "file")]) == 2
    assert "can't be written" in capsys.readouterr().err
