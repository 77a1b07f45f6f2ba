"""The vocabulary in which the files of a rule set are declared (`rule_file_schema.py`).

Each word of it reads a YAML node into plain values, noting everything that does not fit, and says the same as a JSON
Schema. Names of limits, endings, questions … are kept while reading and looked up when all files are read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from collections.abc import Mapping as Map
from typing import Any, Protocol, TypedDict, Unpack

import yaml
from yaml import MappingNode, SequenceNode

from advisor.loader.builder import Builder, Reference
from advisor.loader.reader import Diagnostics, closest, is_empty, is_id, items_of, pairs_of, text_node, text_of
from advisor.model.limits import STANDINGS, Source, firmness
from advisor.model.problems import Misread, shown
from advisor.model.quantity import UNITS, Measure, quantity_named, read_measure
from advisor.model.ruleset import RENAMABLE

JsonSchema = dict[str, Any]
QUANTITIES = tuple(dict.fromkeys(unit.quantity for unit in UNITS.values()))
#: What stands where a text is wanted: editors read figures and yes or no as kinds of their own.
TEXT: JsonSchema = {"type": ["string", "number", "boolean"]}
ID = "^[a-z][a-z0-9]*(-[a-z0-9]+)*$"
PLACEHOLDER = re.compile(r"\{([a-z0-9-]*)\}")


class Offered(Protocol):
    """The ids that a JSON Schema knows, and what it says of them."""

    def text(self, kinds: str, besides: tuple[str, ...] = ()) -> JsonSchema:
        """An id of one of some kinds, or one of some words."""

    def entries(self, what: str, value: JsonSchema) -> JsonSchema:
        """Entries of a kind by id."""

    def keyed(self, kinds: str, value: Callable[[], JsonSchema]) -> JsonSchema:
        """Values by an id of one of some kinds, each of which is the entry that its own value is about."""

    def key(self, key: str, value: JsonSchema) -> JsonSchema:
        """What stands behind a key, with what the key means."""

    def with_clauses(self) -> list[str]:
        """The sources of a kind that has clauses."""

    def condition(self) -> JsonSchema:
        """A condition over the questions and worked-out values that there are."""


class Reading:
    """A file while it is read: where problems and names go, and the entry at which reading stands.

    `top` is the entry of the file around it. `over` is what it looks at, the tire, an earlier repair or an injury;
    empty where nothing narrows it.
    """

    def __init__(self, diagnostics: Diagnostics, draft: Builder) -> None:
        self.diagnostics, self.draft = diagnostics, draft
        self.entry = self.over = self.top = ""
        overs = {part.id: part.over for part in draft.parts}
        self.overs = {node.id: overs.get(node.part, "") for node in draft.nodes.values()}
        self.nodes: dict[str, yaml.Node] = {}

    def refer(self, kinds: str, name: str, node: yaml.Node, what: str, over: str = "", subject: str = "") -> str:
        """Remembers a name to be looked up when all files are read, and gives it as it is borne now.

        `over` narrows it to what that part can see; `subject` is what a limit is held against.
        """
        if name:
            name = self.borne_now(kinds, name, node) if self.draft.renamed else name
            self.draft.references.append(Reference(kinds, name, node, self.diagnostics, what, over, subject, self.top))
        elif isinstance(node, yaml.ScalarNode) and node.style:
            self.diagnostics.add("wrong-kind", node, f"an empty text as {what}", "a name", "name one, or take it out")
        return name

    def borne_now(self, kinds: str, name: str, node: yaml.Node) -> str:
        """The id now of what an overlay names by one that it had formerly in the base; any other name as it is."""
        first, _, subject = kinds.partition(":")
        if first == "choice":
            question = self.draft.questions.get(subject)
            now = question.choice_now(name) if question and not question.choice(name) else name
        else:
            kinds_named = [each.rpartition("-")[2] for each in kinds.split()]
            if any(name in getattr(self.draft, RENAMABLE[kind]) for kind in kinds_named if kind in RENAMABLE):
                return name
            found = (self.draft.renamed.get(kind, {}).get(name) for kind in kinds_named)
            now = next((each for each in found if each), name)
        if now != name:
            self.draft.read_as.append((self.diagnostics.place(node), name, now))
        return now


class Values(dict[str, Any]):
    """What was read of a mapping, by name. `nodes` are the YAML behind each of its keys."""

    __slots__ = ("at", "node", "nodes", "what")

    def __init__(self, node: yaml.Node, at: Reading, what: str) -> None:
        self.node, self.at, self.what = node, at, what
        self.nodes: dict[str, yaml.Node] = {}

    def problem(self, problem_id: str, key: str, found: str, expected: str, do: str, nearest: Any = ()) -> None:
        """Notes a problem at a key, or at the mapping where the key is not given."""
        self.at.diagnostics.add(problem_id, self.nodes.get(key, self.node), found, expected, do, nearest)

    def place_part(self, name: str, key: str = "") -> None:
        """Keeps by name where this part of an entry stands, or what is behind one of its keys."""
        places = self.at.diagnostics.places
        place = self.at.diagnostics.place(self.nodes.get(key, self.node))
        places[f"{name}/again" if name in places else name] = place


class Needed:
    """When a key has to be given: always, or where one of some others is; and the problem where it is not."""

    def __init__(
        self, *keys: str, problem: str = "missing-key", expected: str = 'the key "{key}"', do: str = "add it"
    ) -> None:
        self.keys, self.problem, self.expected, self.do = keys, problem, expected, do


_ALWAYS = Needed()
_BESIDE_SOURCE = Needed("source")


class Options(TypedDict, total=False):
    """What is said of a key beside its value: when it has to be given, and how it is spelled in the file."""

    required: bool | Needed
    key: str


class Schema:
    """What may stand behind a key: `key` in the file where that is not the name itself with hyphens."""

    default: Any = ""
    #: Whether a key that has to be given has to hold something too: a list may be empty, a text or a figure may not.
    holds_something = False

    def __init__(self, required: bool | Needed = False, key: str = "") -> None:
        self.required = _ALWAYS if required is True else required or None
        self.key = key

    def read(self, node: yaml.Node, at: Reading, what: str) -> Any:
        """The value of a node; notes a problem and gives what stands for nothing where it does not fit."""
        return self.default

    def meant(self, values: Values) -> str | None:
        """What a key stands for that is left out beside those read before it; None where it has to be given."""
        return None

    def json_schema(self, names: Offered) -> JsonSchema:
        """The same as a JSON Schema."""
        return TEXT


class String(Schema):
    """A text."""

    holds_something = True

    def read(self, node: yaml.Node, at: Reading, what: str) -> Any:
        return text_of(node, at.diagnostics, what)


class Template(Schema):
    """A text in which `{name}` stands for a figure, an answer or a worked-out value.

    With `in_reach` only for what its entry can look at.
    """

    holds_something = True

    def __init__(self, in_reach: bool = False, **options: Unpack[Options]) -> None:
        super().__init__(**options)
        self._in_reach = in_reach

    def read(self, node: yaml.Node, at: Reading, what: str) -> str:
        text = text_of(node, at.diagnostics, what)
        if "{" in text:
            for name in PLACEHOLDER.findall(text):
                if name != "limit":
                    over = at.over if self._in_reach else ""
                    now = at.refer("limit table question value", name, node, f"the wording of {what}", over)
                    text = text.replace(f"{{{name}}}", f"{{{now}}}")
        return text


class Keyword(Schema):
    """One of a few words, or what a word stands for."""

    def __init__(self, *words: str | Map[str, Any], default: Any = "", **options: Unpack[Options]) -> None:
        super().__init__(**options)
        self.default = default
        self.words: dict[str, Any] = {}
        for word in words:
            self.words.update({word: word} if isinstance(word, str) else word)

    def read(self, node: yaml.Node, at: Reading, what: str) -> Any:
        word = text_of(node, at.diagnostics, what)
        if word in self.words:
            return self.words[word]
        if word:
            at.diagnostics.add(
                "unknown-word",
                node,
                f'"{shown(word, 60)}" as {what}',
                f"one of: {', '.join(self.words)}",
                "correct it",
                closest(word, self.words),
            )
        return self.default

    def json_schema(self, names: Offered) -> JsonSchema:
        return {"enum": sorted(self.words)}


class ImpliedStanding(Keyword):
    """How firm an entry is; left out, as firm as the weakest of its sources, which are read before it."""

    def __init__(self) -> None:
        super().__init__(*STANDINGS, required=_BESIDE_SOURCE)

    def meant(self, values: Values) -> str | None:
        sources = _sources_of(values)
        return max((source.gives for source in sources), key=firmness, default=None) if sources is not None else ""


class ImpliedClause(String):
    """The place in an entry's sources; left out, none where their kinds have no clauses."""

    def __init__(self) -> None:
        super().__init__(required=_BESIDE_SOURCE)

    def meant(self, values: Values) -> str | None:
        sources = _sources_of(values)
        if sources is None:
            return ""
        return None if not sources or any(source.has_clauses for source in sources) else "none"

    def rules(self, key: str, names: Offered) -> list[JsonSchema]:
        """Beside which sources it has to be given, as JSON Schema."""
        if not (known := names.with_clauses()):
            return []
        one = {"enum": known}
        of_them = {"anyOf": [one, {"type": "array", "contains": one}]}
        return [{"if": {"properties": {"source": of_them}, "required": ["source"]}, "then": {"required": [key]}}]


def _sources_of(values: Values) -> list[Source] | None:
    """The sources that an entry names; None where one of them leads nowhere, which is told by itself."""
    found = [values.at.draft.sources.get(name) for name in values["sources"]]
    return None if None in found else [source for source in found if source is not None]


def yes_no(key: str = "") -> Keyword:
    """Yes or no, and no where it is left out."""
    return Keyword({"yes": True, "no": False}, default=False, key=key)


class Over(Keyword):
    """What an entry looks at: the tire, an earlier repair or an injury."""

    def read(self, node: yaml.Node, at: Reading, what: str) -> Any:
        at.over = super().read(node, at, what)
        return at.over


class Ref(Schema):
    """The name of something of one of some kinds (`{entry}` is the entry's own id), or one of the words `besides`.

    With `in_reach` only of what its entry can look at.
    """

    def __init__(self, kinds: str, *besides: str, in_reach: bool = False, **options: Unpack[Options]) -> None:
        super().__init__(**options)
        self.kinds, self._besides, self._in_reach, self._own = kinds, besides, in_reach, "{" in kinds

    def read(self, node: yaml.Node, at: Reading, what: str) -> str:
        name = text_of(node, at.diagnostics, what)
        if name not in self._besides:
            kinds = self.kinds.format(entry=at.entry) if self._own else self.kinds
            name = at.refer(kinds, name, node, what, at.over if self._in_reach else "")
        return name

    def json_schema(self, names: Offered) -> JsonSchema:
        return names.text(self.kinds, self._besides)


class After(String):
    """The node of its base that an overlay's node follows, and looks at the same."""

    def read(self, node: yaml.Node, at: Reading, what: str) -> str:
        name = text_of(node, at.diagnostics, what)
        at.over = at.overs[at.entry] = at.overs.get(name, "")
        return name


class FormerId(String):
    """An id that an entry of a kind had formerly."""

    def __init__(self, kind: str) -> None:
        super().__init__()
        self._kind = kind

    def read(self, node: yaml.Node, at: Reading, what: str) -> str:
        name = text_of(node, at.diagnostics, what)
        if name:
            at.draft.former.append(Reference(self._kind, name, node, at.diagnostics, at.entry, entry=at.top))
        return name


def former_ids(kind: str) -> ListOf:
    """A list of ids that an entry of a kind had formerly."""
    return ListOf(FormerId(kind))


class Whole(String):
    """A whole number."""

    default = 0

    def read(self, node: yaml.Node, at: Reading, what: str) -> int:
        text = text_of(node, at.diagnostics, what)
        if text and not (text.isdigit() and text.isascii()):
            at.diagnostics.add("bad-figure", node, f'"{shown(text, 60)}" as {what}', "a whole number", "correct it")
        return int(text) if text.isdigit() and text.isascii() else 0

    def json_schema(self, names: Offered) -> JsonSchema:
        return {"type": ["integer", "string"], "pattern": "^[0-9]+$"}


class Quantity(Schema):
    """A measure, or a range, of one quantity."""

    default = None

    def __init__(self, quantity: str, **options: Unpack[Options]) -> None:
        super().__init__(**options)
        self._quantity = quantity

    def read(self, node: yaml.Node, at: Reading, what: str) -> Measure | None:
        text = text_of(node, at.diagnostics, what)
        try:
            return read_measure(text, self._quantity) if text else None
        except Misread as error:
            expected = f"{error.expected}, with a unit of {self._quantity}"
            do = error.do or "correct it"
            at.diagnostics.add("bad-figure", node, f"{error.found} as {what}", expected, do, error.nearest)
            return None


class AnyQuantity(Schema):
    """A figure with its unit, of whatever quantity the unit says."""

    def read(self, node: yaml.Node, at: Reading, what: str) -> Measure | None:
        text = text_of(node, at.diagnostics, what)
        likely = quantity_named(text)
        for quantity in (likely,) if likely else QUANTITIES:
            try:
                return read_measure(text, quantity) if text != "0" else None
            except Misread:
                continue
        if text:
            expected, do = f"a figure with one of: {', '.join(UNITS)}", "write figure and unit, such as 6 mm or 80 %"
            at.diagnostics.add("bad-figure", node, f'"{shown(text, 60)}" as {what}', expected, do)
        return None


def note_twice(names: Sequence[Any], nodes: Sequence[yaml.Node], at: Reading, what: str) -> None:
    """Notes each name that a list has a second time, where another one was meant or none."""
    for number, (name, node) in enumerate(zip(names, nodes, strict=True)):
        if name in names[:number] and name:
            found, expected = f'"{shown(str(name), 60)}" a second time in {what}', "each once"
            at.diagnostics.add("twice-in-list", node, found, expected, "take it out, or name the one that was meant")


class ListOf(Schema):
    """A list; a lone text is a list of one. `each` says what an item is, with the entry's id in it."""

    default = ()

    def __init__(self, item: Schema, each: str = "", **options: Unpack[Options]) -> None:
        super().__init__(**options)
        self.item, self._each = item, each
        self.holds_something = isinstance(item, AnyQuantity)

    def read(self, node: yaml.Node, at: Reading, what: str) -> tuple[Any, ...]:
        nodes = items_of(node, at.diagnostics, what)
        item, each = self.item.read, self._each.format(entry=at.entry) if self._each else what
        found = tuple([item(each_node, at, each) for each_node in nodes])
        if len(found) > 1 and isinstance(self.item, (Ref, Keyword)):
            note_twice(found, nodes, at, what)
        return found

    def json_schema(self, names: Offered) -> JsonSchema:
        item = self.item.json_schema(names)
        many = {"type": "array", "items": item}
        return many if isinstance(self.item, (Mapping, ByKey)) else {"anyOf": [item, many]}


def strings(**options: Unpack[Options]) -> ListOf:
    """A list of texts."""
    return ListOf(String(), **options)


def templates(**options: Unpack[Options]) -> ListOf:
    """A list of texts with `{name}` in them."""
    return ListOf(Template(), **options)


def refs(kinds: str, **options: Unpack[Options]) -> ListOf:
    """A list of names of some kinds."""
    return ListOf(Ref(kinds), **options)


class Id(Schema):
    """The id of an entry, as a key: lower-case words joined by hyphens."""

    def read(self, node: yaml.Node, at: Reading, what: str) -> str:
        key = str(node.value)
        if not is_id(key):
            found, expected = f'the id "{shown(key, 60)}"', "lower-case letters, digits and hyphens"
            at.diagnostics.add("bad-id", node, found, expected, "rename it")
        at.diagnostics.places.setdefault(key, at.diagnostics.place(node))
        at.over, at.top = "tire", key
        return key


class NodeId(Id):
    """The id of a node, once in all parts; it looks at what its part does."""

    def read(self, node: yaml.Node, at: Reading, what: str) -> str:
        over = at.over
        key = super().read(node, at, what)
        at.over = over
        if (first := at.nodes.setdefault(key, node)) is not node:
            see = ((at.diagnostics.place(first), "first given here"),)
            found, do = f'the node "{shown(key, 60)}" a second time', "keep one of the two, or rename it"
            at.diagnostics.add("duplicate-key", node, found, "each node once, in one part", do, see=see)
        return key


class MapOf(Schema):
    """Values by keys of one kind: ids, names, words, or any text; read of one value, its key is the entry.

    `each` says what such a value is; `placed` keeps where they stand.
    """

    default: Map[str, Any] = {}
    holds_something = True

    def __init__(
        self, keys: Schema, value: Schema, each: str = "", placed: bool = False, **options: Unpack[Options]
    ) -> None:
        super().__init__(**options)
        self._keys, self.value, self._each, self._placed = keys, value, each, placed

    def read(self, node: yaml.Node, at: Reading, what: str) -> dict[str, Any]:
        values: dict[str, Any] = Values(node, at, what) if self._placed else {}
        outer = at.entry
        for key, key_node, value in pairs_of(node, at.diagnostics, what):
            key_read = self._keys.read(key_node, at, f"a key of {what}")
            key = key_read if isinstance(self._keys, Ref) else key
            at.entry = key
            named = self._each.format(entry=outer)
            each = f"{named} {shown(key, 60)}" if named else f'"{shown(key, 60)}" of {what}'
            values[key] = self.value.read(value, at, each)
            at.entry = outer
            if isinstance(values, Values):
                values.nodes[key] = value
        return values

    def json_schema(self, names: Offered) -> JsonSchema:
        found: JsonSchema = {"type": "object"}
        if isinstance(self._keys, Ref):
            return found | names.keyed(self._keys.kinds, lambda: self.value.json_schema(names))
        value = self.value.json_schema(names)
        if isinstance(self._keys, Id):
            return found | names.entries(self._each, value)
        if isinstance(self._keys, Keyword):
            return found | {"properties": dict.fromkeys(self._keys.words, value), "additionalProperties": False}
        return found | {"additionalProperties": value}


class Either(Schema):
    """A lone text, or a mapping or list in its place."""

    def __init__(self, text: Schema, other: Schema, **options: Unpack[Options]) -> None:
        super().__init__(**options)
        self._text, self.other = text, other
        self._kind = SequenceNode if isinstance(other, ListOf) else MappingNode

    def read(self, node: yaml.Node, at: Reading, what: str) -> Any:
        return (self.other if isinstance(node, self._kind) else self._text).read(node, at, what)

    def json_schema(self, names: Offered) -> JsonSchema:
        return {"anyOf": [self._text.json_schema(names), self.other.json_schema(names)]}


class ByKey(Schema):
    """A mapping that is one where it has a key and another where it lacks it; `lone` text is the value of the key."""

    def __init__(self, key: str, having: Mapping, lacking: Mapping, lone: bool = True) -> None:
        super().__init__()
        self.told_by, self.having, self.lacking, self._lone = key, having, lacking, lone

    def read(self, node: yaml.Node, at: Reading, what: str) -> Any:
        if self._lone and isinstance(node, yaml.ScalarNode) and not is_empty(node):
            node = MappingNode("", [(text_node(self.told_by), node)], node.start_mark, node.end_mark)
        has = isinstance(node, MappingNode) and any(key.value == self.told_by for key, _ in node.value)
        return (self.having if has else self.lacking).read(node, at, what)

    def json_schema(self, names: Offered) -> JsonSchema:
        having, lacking = self.having.json_schema(names), self.lacking.json_schema(names)
        either = {"if": {"required": [self.told_by]}, "then": having, "else": lacking}
        return {"anyOf": [having["properties"][self.told_by], either]} if self._lone else either


class AtBase(Schema):
    """A node of an overlay: `added` to one of the base, or a `new` one of its own, which is `after` another."""

    def __init__(self, added: Schema, new: Schema) -> None:
        super().__init__()
        self.added, self.new = added, new

    def read(self, node: yaml.Node, at: Reading, what: str) -> Any:
        if at.entry not in at.draft.nodes:
            return self.new.read(node, at, what)
        at.over = at.overs[at.entry]
        return self.added.read(node, at, what)

    def json_schema(self, names: Offered) -> JsonSchema:
        new, added = self.new.json_schema(names), self.added.json_schema(names)
        return {"if": {"required": ["after"]}, "then": new, "else": added}


class Forbidden(Schema):
    """A key that may not be given here, and why."""

    def __init__(self, problem: str, why: str, expected: str, do: str) -> None:
        super().__init__()
        self._problem, self._why, self._expected, self._do = problem, why, expected, do

    def read(self, node: yaml.Node, at: Reading, what: str) -> str:
        at.diagnostics.add(self._problem, node, f"{what}, {self._why}", self._expected, self._do)
        return ""

    def json_schema(self, names: Offered) -> JsonSchema:
        return {"not": {}, "errorMessage": self._expected}


#: What stands behind a key that can't be judged, as the one that it goes by is wrong.
_NOT_JUDGED = Schema()


class By(Schema):
    """What stands behind a key goes by the word behind another one; a word without a case does not know the key."""

    def __init__(self, other: str, cases: Map[str, Schema], default: Any = "", key: str = "") -> None:
        super().__init__(key=key)
        self.other, self.cases, self.default = other, cases, default
        self.words = list(
            dict.fromkeys(word for case in cases.values() if isinstance(case, Keyword) for word in case.words)
        )

    def chosen(self, values: Values, absent: set[str]) -> Schema | None:
        """What stands behind the key here; None where it may not be given, as when the other one may not."""
        word = values[self.other]
        return self.cases.get(word) if word else None if self.other in absent else _NOT_JUDGED

    def rules(self, key: str, other: str, words: Iterable[str], names: Offered) -> list[JsonSchema]:
        """What the other key's words say of this one, as JSON Schema."""
        found: list[JsonSchema] = []
        for case in dict.fromkeys([self.cases.get(word) for word in words]):
            alike = [word for word in words if self.cases.get(word) is case]
            then: JsonSchema = {"properties": {key: case.json_schema(names) if case else False}}
            then |= {"required": [key]} if case and case.required else {}
            when = {"properties": {other: {"enum": alike}}, "required": [other]}
            found.append({"if": when, "then": then})
        return found


class Mapping(Schema):
    """A mapping with fixed keys, each declared under the name by which its value is known."""

    def __init__(self, **fields: Schema) -> None:
        super().__init__()
        self.fields = [(name, field.key or name.replace("_", "-"), field) for name, field in fields.items()]
        self._known = frozenset(key for _, key, _ in self.fields)

    def read(self, node: yaml.Node, at: Reading, what: str) -> Values:
        values = Values(node, at, what)
        nodes = values.nodes
        keys: dict[str, yaml.Node] = {}
        for key, key_node, value in pairs_of(node, at.diagnostics, what):
            keys[key] = key_node
            if not is_empty(value):
                nodes[key] = value
        absent: set[str] = set()
        for name, key, field in self.fields:
            values[name] = field.default
            if isinstance(field, By):
                chosen = field.chosen(values, absent)
                if chosen is None:
                    absent.add(name)
                if chosen is None or chosen is _NOT_JUDGED:
                    continue
                field = chosen
            if (there := nodes.get(key)) is not None:
                values[name] = field.read(there, at, f'"{key}" of {what}')
                if field.required is not None and field.holds_something and not there.value:
                    self._missed(field.required, key, values, there)
            elif field.required is not None:
                self._left_out(field, name, key, values)
        known = self._known - {key for name, key, _ in self.fields if name in absent} if absent else self._known
        if not keys.keys() <= known:
            self._unknown(values, keys, known)
        return values

    def _left_out(self, field: Schema, name: str, key: str, values: Values) -> None:
        """What is meant by a key that is not there, kept as if it had been said; else it is missed."""
        meant = field.meant(values)
        if meant is None and field.required is not None:
            self._missed(field.required, key, values)
        elif meant:
            values[name] = values.at.draft.meant.setdefault(values.node, {})[key] = meant

    def _missed(self, needed: Needed, key: str, values: Values, empty: yaml.Node | None = None) -> None:
        """Notes a key that is not there, or behind which nothing stands."""
        if not needed.keys or any(other in values.nodes for other in needed.keys):
            found = f'{values.what} without "{key}"' if empty is None else f'{values.what} with nothing in "{key}"'
            expected, do = needed.expected.format(key=key), needed.do if empty is None else "say it"
            values.problem(needed.problem, key if empty else "", found, expected, do)

    def _unknown(self, values: Values, keys: Map[str, yaml.Node], known: frozenset[str]) -> None:
        for key, node in keys.items():
            if key not in known:
                values.at.diagnostics.add(
                    "unknown-key",
                    node,
                    f'the key "{shown(key, 60)}" in {values.what}',
                    f"one of: {', '.join(sorted(known))}",
                    "correct or remove it",
                    closest(key, sorted(known)),
                )

    def json_schema(self, names: Offered) -> JsonSchema:
        properties: JsonSchema = {}
        required: list[str] = []
        needed_with: dict[str, list[str]] = {}
        rules: list[JsonSchema] = []
        fields = {name: (key, field) for name, key, field in self.fields}
        for _, key, field in self.fields:
            properties[key] = names.key(key, {} if isinstance(field, By) else field.json_schema(names))
            if isinstance(field, By):
                other, chooser = fields[field.other]
                rules += field.rules(key, other, list(getattr(chooser, "words", ())), names)
                needed_with.setdefault(key, []).append(other)
            elif isinstance(field, ImpliedClause):
                rules += field.rules(key, names)
            elif field.required is not None and not isinstance(field, ImpliedStanding):
                required += [] if field.required.keys else [key]
                for each in field.required.keys:
                    needed_with.setdefault(each, []).append(key)
        found: JsonSchema = {"type": "object", "properties": properties, "additionalProperties": False}
        found |= {"required": required} if required else {}
        found |= {"dependencies": needed_with} if needed_with else {}
        return found | ({"allOf": rules} if rules else {})


class Asked(Mapping):
    """When something is asked: `when` something holds, `unless` something holds, or both."""

    def __init__(self, when: Schema, unless: Schema) -> None:
        super().__init__(when=when, unless=unless)

    def read(self, node: yaml.Node, at: Reading, what: str) -> Values:
        values = super().read(node, at, what)
        if not values.nodes and isinstance(node, MappingNode):
            values.problem("missing-key", "", f"{what} that says nothing", "when, unless, or both", "add one of them")
        return values

    def json_schema(self, names: Offered) -> JsonSchema:
        return super().json_schema(names) | {"minProperties": 1}
