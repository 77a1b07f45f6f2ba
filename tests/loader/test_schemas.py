"""JSON Schemas made from the loader, by the `jsonschema` library (draft 07): what loads passes, slips of form fail."""

from __future__ import annotations

import json
import re
from functools import lru_cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import jsonschema
import pytest
import yaml

from advisor.cli import main
from advisor.loader.builder import Builder
from advisor.loader.json_schema import schemas
from advisor.loader.ruleset_loader import read_folder, shipped, trees_folder
from advisor.loader.yaml_nodes import documents
from tests.tools.slips_of_meaning import SLIPS
from tests.whole_rules import whole_copy


def new(words: list[str]) -> int:
    return main(["new", *words])


def write(words: list[str]) -> int:
    return main(["schemas", *words])


#: Problems that are of form: a schema can know them. Wrong names, figures and meanings are for the loader and checks.
OF_FORM = {"unknown-key", "unknown-word", "missing-key", "unknown-test", "bad-id", "wrong-kind"}
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


def test_names_are_offered_and_words_are_held() -> None:
    limits = json.dumps(made("demo-shop")["paths.yaml"])
    assert '"shop-age"' in limits and '"nail-hole-size-light"' in limits
    schema = made("us-road")["cautions.yaml"]
    good = "a-new-one:\n  hazard: eyes\n  says: x\n  standing: published\n  source: a-source-to-come\n  clause: 1\n"
    assert errors(schema, good, "cautions.yaml") == []
    assert errors(schema, good.replace("eyes", "ears"), "cautions.yaml")
    assert errors(schema, good.replace("a-new-one", "A new one"), "cautions.yaml")


@pytest.mark.parametrize("base", ["us-road", "uk-road", "demo-shop"])
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
    assert write([]) == 2 and write(["no-such"]) == 2 and write(["us-road"]) == 2
    assert not (trees_folder() / "us-road" / ".schemas").exists()
    (tmp_path / "file").write_text("")
    assert write(["uk-road", "--out", str(tmp_path / "file")]) == 2
    assert "can't be written" in capsys.readouterr().err
