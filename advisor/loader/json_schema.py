"""JSON Schemas (draft 07) of a rule set's files, made from their declaration, so that editors help with them.

Keys, words and kinds are strict. Names of limits, endings, questions … are offered for completion and never underlined,
since one just added in another file would look wrong until the schemas are written again; `advisor check` finds those.
"""

from __future__ import annotations

from typing import Any

from advisor.loader.builder import Builder
from advisor.loader.condition_reader import HOLDS, JOINTS, LIMIT_TESTS, TESTS
from advisor.loader.references import homes_of
from advisor.loader.rule_file_schema import FILES, OVERLAY_FILES
from advisor.loader.schema_types import TEXT, JsonSchema
from advisor.loader.shared import LEAVE_OUT
from advisor.model.ruleset import LONE_TESTS

DRAFT = "http://json-schema.org/draft-07/schema#"


def schemas(draft: Builder) -> dict[str, JsonSchema]:
    """A schema for each file of a rule set, by the file's name; `draft` is the rule set as read."""
    files = FILES | OVERLAY_FILES if draft.about and draft.about.builds_on else FILES
    found = {}
    for name, file in files.items():
        names = _Names(draft)
        body = file.schema.json_schema(names)
        if files is FILES and (shared := sorted(entry for home, entry in draft.shared if home == name)):
            body = _over_shared(body, shared)
        title = f"{name}: {file.title}"
        found[name] = {"$schema": DRAFT, "title": title, **body, "definitions": dict(sorted(names.used.items()))}
    return found


def _over_shared(body: JsonSchema, shared: list[str]) -> JsonSchema:
    """A file's entries, of which those that are shared say only what is other."""
    ((pattern, entry),) = body["patternProperties"].items()
    other = _said_in_part(entry)
    other["properties"] = {**other["properties"], LEAVE_OUT: {"type": "array", "items": TEXT}}
    own = f"^(?!(?:{'|'.join(shared)})$){pattern.removeprefix('^')}"
    return body | {"patternProperties": {own: entry}, "properties": dict.fromkeys(shared, other)}


def _said_in_part(schema: Any) -> Any:
    """A schema of which nothing has to be given."""
    if isinstance(schema, list):
        return [_said_in_part(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    kept = {key: each for key, each in schema.items() if key not in ("required", "dependencies")}
    return {key: each if key == "if" else _said_in_part(each) for key, each in kept.items()}


class _Names:
    """The names to be offered, by kind; `used` are the definitions that a schema needs, by name."""

    def __init__(self, draft: Builder) -> None:
        self._by_kind = {kind: sorted(entries) for kind, entries in homes_of(draft).items()}
        choices = [choice.id for question in draft.questions.values() for choice in question.choices]
        self._by_kind["choice:{entry}"] = list(dict.fromkeys(choices))
        self.used: dict[str, JsonSchema] = {}

    def _of(self, kinds: str) -> list[str]:
        return list(dict.fromkeys(name for kind in kinds.split() for name in self._by_kind[kind]))

    def text(self, kinds: str, besides: tuple[str, ...] = ()) -> JsonSchema:
        """A text for which names of some kinds are offered."""
        if not (offered := [*besides, *self._of(kinds)]):
            return TEXT
        name = "-or-".join([*kinds.replace(":{entry}", "").split(), *besides])
        self.used[name] = {"anyOf": [{"enum": offered}, TEXT]}
        return {"$ref": f"#/definitions/{name}"}

    def condition(self) -> JsonSchema:
        """A condition: terms, and tests of questions and worked-out values, joined by all, any and not."""
        if "condition" not in self.used:
            again, test = {"$ref": "#/definitions/condition"}, {"$ref": "#/definitions/test"}
            words = {"anyOf": [TEXT, {"type": "array", "items": TEXT}]}
            tests = {name: self.text("testable-limit table") if name in LIMIT_TESTS else words for name in TESTS}
            of_one = {"type": "object", "properties": tests, "additionalProperties": False, "minProperties": 1}
            self.used["test"] = {"anyOf": [{"enum": [*LONE_TESTS, HOLDS]}, of_one]}
            joints = {joint: again if joint == "not" else {"type": "array", "items": again} for joint in JOINTS}
            subjects = dict.fromkeys(self._of("question value"), test)
            subjects |= {name: {"const": HOLDS} for name in self._of("term")}
            self.used["condition"] = {
                "type": "object",
                "minProperties": 1,
                "properties": {**subjects, **joints},
                "additionalProperties": test,
            }
        return {"$ref": "#/definitions/condition"}
