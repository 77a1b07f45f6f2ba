"""JSON Schemas (draft 07) of a rule set's files, made from their declaration, so that editors help with them.

Keys, words, kinds and ids are strict: an id of a limit, an ending, a choice … that the rule set lacks is underlined,
and each id and each key says on being pointed at what it stands for. An id that was just added is known once the
schemas are written anew, which `advisor check` and `--watch` do at each look.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from advisor.engine.derived.registry import FUNCTIONS
from advisor.loader.builder import Builder
from advisor.loader.condition_reader import HOLDS, JOINTS, LIMIT_TESTS, OF_QUESTION, TESTS
from advisor.loader.entry_descriptions import KEYS_SAY, OWN_WORDS, description
from advisor.loader.references import homes_of
from advisor.loader.rule_file_schema import FILES, OVERLAY_FILES
from advisor.loader.schema_types import ID, TEXT, JsonSchema
from advisor.loader.shared import LEAVE_OUT
from advisor.model.inputs import CHOICES
from advisor.model.ruleset import LONE_TESTS

DRAFT = "http://json-schema.org/draft-07/schema#"
_UNKNOWN = "no such {what} in these rules; one just added is known after: advisor check FOLDER"


def schemas(draft: Builder) -> dict[str, JsonSchema]:
    """A schema for each file of a rule set, by the file's name; `draft` is the rule set as read."""
    files = FILES | OVERLAY_FILES if draft.about and draft.about.builds_on else FILES
    found = {}
    for name, file in files.items():
        names = _Names(draft, _said_elsewhere(name, draft))
        body = file.schema.json_schema(names)
        title = f"{name}: {file.title}"
        found[name] = {"$schema": DRAFT, "title": title, **body, "definitions": dict(sorted(names.used.items()))}
    return found


def _said_elsewhere(file: str, draft: Builder) -> set[str]:
    """Entries of a file of which only what is other has to be said: shared ones, and limits of an overlay's base."""
    over = draft.about is not None and draft.about.builds_on
    return {entry for home, entry in draft.shared if home == file} | set(
        draft.limits if over and file == "limits.yaml" else ()
    )


def _in_part(schema: Any) -> Any:
    """A schema of which nothing has to be given."""
    if isinstance(schema, list):
        return [_in_part(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    kept = {key: each for key, each in schema.items() if key not in ("required", "dependencies")}
    return {key: each if key == "if" else _in_part(each) for key, each in kept.items()}


class _Names:
    """The ids to be offered, by kind; `used` are the definitions that a schema needs, by name.

    Of the entries `in_part` only what is other has to be said.
    """

    def __init__(self, draft: Builder, in_part: set[str]) -> None:
        self._draft, self._said_elsewhere = draft, in_part
        self._by_kind: dict[str, Mapping[str, Any]] = dict(homes_of(draft))
        self._by_kind["worked-out value"] = draft.values
        self._by_kind |= {"word": draft.words, "unit": draft.units, "known-question": draft.questions}
        self.entry = ""
        self.used: dict[str, JsonSchema] = {}

    def _of(self, kinds: str) -> dict[str, str]:
        """Each id of some kinds, with what it stands for."""
        if kinds.startswith("choice:"):
            return self._choices(self.entry)
        known = [(kind, name, entry) for kind in kinds.split() for name, entry in self._by_kind.get(kind, {}).items()]
        return {name: description(kind, entry, self._draft) for kind, name, entry in known}

    def _choices(self, subject: str) -> dict[str, str]:
        """The choices of a question or a worked-out value; those of every question where it is not said which."""
        questions, value = self._draft.questions, self._draft.values.get(subject)
        if value is not None:
            return dict.fromkeys(FUNCTIONS[value.function].outcomes if value.function in FUNCTIONS else (), "")
        asked = [questions[subject]] if subject in questions else [] if subject else questions.values()
        return {choice.id: choice.says for question in asked for choice in question.choices}

    def text(self, kinds: str, besides: tuple[str, ...] = ()) -> JsonSchema:
        """An id of one of some kinds, or one of some words."""
        name = "-or-".join([*kinds.replace("{entry}", self.entry).replace(":", "-of-").split(), *besides])
        known = {word: OWN_WORDS.get(word, "") for word in besides} | self._of(kinds)
        return self._define(name.replace(" ", "-"), lambda: enum_of(known, _in_words(kinds)))

    def _define(self, name: str, make: Callable[[], JsonSchema]) -> JsonSchema:
        if name not in self.used:
            self.used[name] = {}
            self.used[name] = make()
        return {"$ref": f"#/definitions/{name}"}

    def entries(self, what: str, value: JsonSchema) -> JsonSchema:
        """Entries by id: any id of the right form may be added; those that there are say what they stand for."""
        again = self._define(f"a-{what.replace(' ', '-')}", lambda: value)
        part = again
        if self._said_elsewhere:
            body = _in_part(value)
            body.get("properties", {})[LEAVE_OUT] = self.key(LEAVE_OUT, {"type": "array", "items": TEXT})
            part = self._define(f"a-{what.replace(' ', '-')}-in-part", lambda: body)
        known = {
            name: {"description": says, **(part if name in self._said_elsewhere else again)}
            for name, says in self._of(what).items()
        }
        return {"properties": known, "additionalProperties": again, "propertyNames": {"pattern": ID}}

    def keyed(self, kinds: str, value: Callable[[], JsonSchema]) -> JsonSchema:
        """Values by an id of one of some kinds, each of which is the entry that its own value is about."""
        if kinds.startswith("choice:"):
            return self._by_choice(self.entry, value())
        found = {}
        for name, says in self._of(kinds).items():
            self.entry = name
            found[name] = {"description": says, **value()}
        self.entry = ""
        return {"properties": found, "additionalProperties": False}

    def _by_choice(self, subject: str, value: JsonSchema) -> JsonSchema:
        """Values by a question's choices, or those of all where none is said; by figures as typed where it has none."""
        if not (choices := self._choices(subject)):
            return {"additionalProperties": value}
        none = {"none": value} if not subject or self._draft.questions[subject].kind == CHOICES else {}
        known = {name: {"description": says, **value} for name, says in choices.items()}
        return {"properties": none | known, "additionalProperties": False}

    def key(self, key: str, value: JsonSchema) -> JsonSchema:
        """What stands behind a key, with what the key means."""
        return {"description": KEYS_SAY[key], **value} if key in KEYS_SAY and "description" not in value else value

    def with_clauses(self) -> list[str]:
        """The sources of a kind that has clauses."""
        return [name for name, source in self._draft.sources.items() if source.has_clauses]

    def condition(self) -> JsonSchema:
        """A condition: terms, and tests of questions and worked-out values, joined by all, any and not."""
        return self._define("condition", self._condition)

    def _condition(self) -> JsonSchema:
        again = {"$ref": "#/definitions/condition"}
        joints = {
            joint: again if joint == "not" else {"type": "array", "items": again, "minItems": 1} for joint in JOINTS
        }
        tests = {name: {"description": says, **self._test(name)} for name, says in self._of("question value").items()}
        terms = {name: {"description": says, "const": HOLDS} for name, says in self._of("term").items()}
        named = {name: self.key(name, joint) for name, joint in joints.items()}
        properties = {**named, **tests, **terms}
        return {"type": "object", "minProperties": 1, "properties": properties, "additionalProperties": False}

    def _test(self, subject: str) -> JsonSchema:
        """The tests that a question or a worked-out value can stand: of its choices, or of limits of its quantity."""
        choices, quantity = self._choices(subject), self._quantity(subject)
        lone = [word for word in LONE_TESTS if subject in self._draft.questions or word not in OF_QUESTION]
        of = "answer" if subject in self._draft.questions else "value"
        name = f"test-of-{subject}" if choices else f"test-of-{of}-{quantity or 'text'}"
        return self._define(name, lambda: self._tests(choices, quantity, lone))

    def _quantity(self, subject: str) -> str:
        if (question := self._draft.questions.get(subject)) is not None:
            return question.quantity
        function = FUNCTIONS.get(self._draft.values[subject].function)
        return function.quantity if function else ""

    def _tests(self, choices: Mapping[str, str], quantity: str, lone: list[str]) -> JsonSchema:
        word, limit = enum_of(choices, "choice of it"), self._limits_of(quantity)
        tests = {name: limit if name in LIMIT_TESTS else several(word) for name in TESTS if name not in LONE_TESTS}
        fit = {name: each for name, each in tests.items() if (quantity if name in LIMIT_TESTS else choices)}
        properties = {name: self.key(name, each) for name, each in {**fit, **{word: {} for word in lone}}.items()}
        of_one = {"type": "object", "properties": properties, "additionalProperties": False, "minProperties": 1}
        return {"anyOf": [{"enum": lone}, of_one]}

    def _limits_of(self, quantity: str) -> JsonSchema:
        limits = self._by_kind["testable-limit"]
        fit = {name for name, limit in limits.items() if limit.figures[0].quantity == quantity}
        fit |= {name for name, table in self._draft.tables.items() if table.rows[0].limit in fit}
        known = {name: says for name, says in self._of("testable-limit table").items() if name in fit}
        return self._define(
            f"limit-of-a-{quantity}", lambda: enum_of(known, f"limit of a {quantity} that says which side is worse")
        )


def _in_words(kinds: str) -> str:
    """Kinds of ids as they are spoken of."""
    kind = {"grave-ending": "ending of refer, hold or scrap", "testable-limit": "limit that says which side is worse"}
    kind |= {"known-question": "question", "time-limit": "limit that is a time", "time-value": "value that is a time"}
    return " or ".join(kind.get(each, each) for each in kinds.partition(":")[0].split())


def enum_of(known: Mapping[str, str], what: str) -> JsonSchema:
    """One of some words, each with what it stands for; nothing fits where there are none."""
    told = {"errorMessage": _UNKNOWN.format(what=what)}
    if not known:
        return {"not": {}, **told}
    return {"enum": [*map(as_typed, known)], "markdownEnumDescriptions": [*known.values()], **told}


def as_typed(word: str) -> Any:
    """A word as an editor reads it: one of digits only is a number to it."""
    return int(word) if word.isdigit() and word.isascii() else word


def several(item: JsonSchema) -> JsonSchema:
    """One, or a list of them."""
    return {"anyOf": [item, {"type": "array", "items": item}]}
