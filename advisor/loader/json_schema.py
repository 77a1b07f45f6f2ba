"""JSON Schemas (draft 07) of a rule set's files, made from what the loader reads, so that editors help with them.

Keys, words and kinds are strict. Names of limits, endings, questions … are offered for completion and never underlined,
since one just added in another file would look wrong until the schemas are written again; `advisor check` finds those.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from advisor.loader.builder import Builder
from advisor.loader.condition_reader import JOINTS, TESTS
from advisor.loader.learned_shapes import OVERLAY, FileShape, LearnedValue, Shape, learned
from advisor.loader.references import homes_of
from advisor.loader.ruleset_loader import FILES

Schema = dict[str, Any]
DRAFT = "http://json-schema.org/draft-07/schema#"
#: What stands where a text is wanted: editors read figures and yes or no as kinds of their own.
TEXT: Schema = {"type": ["string", "number", "boolean"]}
LIMIT_TESTS = ("beyond", "within")
ID = "^[a-z][a-z0-9]*(-[a-z0-9]+)*$"


def schemas(draft: Builder) -> dict[str, Schema]:
    """A schema for each file of a rule set, by the file's name; `draft` is the rule set as read."""
    names = _Names(draft)
    overlay = bool(draft.about and draft.about.builds_on)
    shapes = learned()
    found = {}
    for file, read in FILES.items():
        shape = shapes.get(f"{OVERLAY}{file}" if overlay else file) or shapes.get(file)
        if shape is not None:
            names.used.clear()
            title = (read.__doc__ or file).strip().splitlines()[0]
            body = _file(shape, names)
            found[file] = {"$schema": DRAFT, "title": title, **body, "definitions": _definitions(names)}
    return found


class _Names:
    """The names to be offered, by kind; `used` are the definitions that a schema needs, by name."""

    def __init__(self, draft: Builder) -> None:
        self.by_kind = {kind: sorted(entries) for kind, entries in homes_of(draft).items()}
        self.by_kind["part"] = [part.id for part in draft.parts]
        self.draft = draft
        self.used: dict[str, Schema] = {}

    def of(self, kinds: Iterable[str]) -> list[str]:
        """Every name of some kinds; a choice of one question among all of its own."""
        found: dict[str, None] = {}
        for kind in sorted(kinds):
            question = self.draft.questions.get(kind.partition(":")[2])
            found.update(dict.fromkeys(self.by_kind.get(kind, ())))
            found.update(dict.fromkeys(choice.id for choice in question.choices) if question else {})
        return list(found)

    def text(self, kinds: Iterable[str]) -> Schema:
        """A text for which names of some kinds are offered."""
        offered = self.of(kinds)
        if not offered:
            return TEXT
        name = "-or-".join(sorted(kinds)).replace(":", "-").replace(" ", "-")
        self.used[name] = {"anyOf": [{"enum": offered}, TEXT]}
        return {"$ref": f"#/definitions/{name}"}

    def condition(self) -> Schema:
        """A condition: tests of questions and worked-out values, joined by all, any and not."""
        if "condition" not in self.used:
            again, test = {"$ref": "#/definitions/condition"}, {"$ref": "#/definitions/test"}
            words = {"anyOf": [TEXT, {"type": "array", "items": TEXT}]}
            tests = {name: self.text(["testable-limit"]) if name in LIMIT_TESTS else words for name in TESTS}
            of_one = {"type": "object", "properties": tests, "additionalProperties": False, "minProperties": 1}
            self.used["test"] = {"anyOf": [{"const": "known"}, of_one]}
            joints = {joint: again if joint == "not" else {"type": "array", "items": again} for joint in JOINTS}
            subjects = dict.fromkeys(self.of(["question", "value"]), test)
            self.used["condition"] = {
                "type": "object",
                "minProperties": 1,
                "properties": {**subjects, **joints},
                "additionalProperties": test,
            }
        return {"$ref": "#/definitions/condition"}


def _definitions(names: _Names) -> Schema:
    return dict(sorted(names.used.items()))


def _file(shape: FileShape, names: _Names) -> Schema:
    if shape.root is not None:
        return _object(shape.root, names)
    entry = _object(shape.entry or Shape(), names)
    return {"type": "object", "patternProperties": {ID: entry}, "additionalProperties": False}


def _object(shape: Shape, names: _Names) -> Schema:
    found: Schema = {
        "type": "object",
        "properties": {key: _value(value, names) for key, value in sorted(shape.keys.items())},
        "additionalProperties": False,
    }
    needed, needed_with = shape.always_needed(), shape.needed_with()
    found |= {"required": needed} if needed else {}
    return found | ({"dependencies": needed_with} if needed_with else {})


def _value(value: LearnedValue, names: _Names) -> Schema:
    if value.condition:
        return names.condition()
    if value.words:
        return {"enum": sorted(value.words)}
    text = names.text(value.names)
    forms: list[Schema] = []
    if value.text or value.listed or "scalar" in value.met:
        forms.append(text)
    if value.listed or "sequence" in value.met:
        item = _object(value.items, names) if value.items else text
        forms.append({"type": "array", "items": item})
        if value.items and value.listed and "item scalar" not in value.met:
            forms.remove(text)
    if value.itself:
        forms.append(_object(value.itself, names))
    elif "mapping" in value.met:
        forms.append(_entries(value, names))
    return forms[0] if len(forms) == 1 else {"anyOf": forms} if forms else {}


def _entries(value: LearnedValue, names: _Names) -> Schema:
    """A mapping whose keys are free: an entry behind each, or a text where such were met."""
    forms: list[Schema] = [_object(value.entries, names)] if value.entries else []
    if "entry scalar" in value.met:
        forms.append(TEXT)
    if value.met & {"entry sequence"} or not forms or (not value.entries and "entry mapping" in value.met):
        return {"type": "object"}
    return {"type": "object", "additionalProperties": forms[0] if len(forms) == 1 else {"anyOf": forms}}
