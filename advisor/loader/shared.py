"""Files that rule sets share: `shares: common` in about.yaml takes in what a set uses of the files in that folder.

An entry that stands in both is the shared one with the set's own keys in place, choice by choice; `leave-out: [KEY]`
there takes nothing of the shared one under that key. Shared wording is spelled by about.yaml's `spelled`. What a set
does not use of them is not in it: a question that nothing names, a worked-out value that nothing names and that reads
what the set does not ask, a word that stands in no wording, a phrase for an answer that it does not have.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from pathlib import Path

import yaml
from msgspec import Struct, field
from yaml import MappingNode, ScalarNode, SequenceNode

from advisor.engine.derived.registry import FUNCTIONS
from advisor.engine.spelling_variant import respelled
from advisor.loader.asked_files import homes_of_asked
from advisor.loader.builder import Builder, Reference
from advisor.loader.canonical import NO_WORDING, Read
from advisor.loader.paths import shared_folder, shared_folders
from advisor.loader.reader import Diagnostics, FileMark, closest, is_empty, items_of, value_of
from advisor.loader.schema_types import PLACEHOLDER
from advisor.model.inputs import TAKEN_IN
from advisor.model.problems import Place, Problem, shown
from advisor.model.ruleset import STANDINGS, renamed_in

#: Each is the set's own: what it is, its way through the questions, its methods, a shop's chart.
NEVER_SHARED = frozenset({"about.yaml", "paths.yaml", "methods.yaml", "units.yaml"})
LEAVE_OUT = "leave-out"
PHRASES, _WORDS = "phrases.yaml", "words.yaml"
#: What people ask; read last, so that a shared entry keeps of the names in it those that a rule set has.
ASKED_FILES = ("intents.yaml", "subjects.yaml", "answers.yaml")
#: What people say, and the titles of texts.
_NOT_SPELLED = frozenset({PHRASES, "sources.yaml", "intents.yaml"})
#: Keys behind which wording stands, to be spelled; names, and words to be understood, are left as they are.
_WORDING = frozenset(
    {"asks", "name", "how", "why", "says", "help", "title", "no-order", "because", "if-unknown", "note", "choices"}
    | {"headline", "do-now", "tell-driver", "tell-driver-by", "failed", "leave"}
)
_HOMES = {"grave-ending": "endings", "repair-ending": "endings", "testable-limit": "limits"}
_HOMES |= {"time-limit": "limits", "time-value": "values"}

#: An entry: its file, its id.
_Entry = tuple[str, str]


class Shared(Struct):
    """The shared files of a rule set, and the entries that come of them alone."""

    folder: Path
    spelled: tuple[tuple[str, str], ...] = ()
    entries: set[_Entry] = field(default_factory=set)

    def file(self, name: str) -> Path | None:
        """A shared file; None where there is none of that name."""
        path = self.folder / name
        return path if name not in NEVER_SHARED and path.exists() else None

    def joined(
        self, name: str, shared: yaml.Node, own: yaml.Node | None, notes: Diagnostics, draft: Builder
    ) -> yaml.Node:
        """A file as the rule set has it: the shared one, with its own put in."""
        shared = self._taken(shared, f"{self.folder.name}/{name}", name not in _NOT_SPELLED)
        if name == PHRASES:
            _note_former_ids(_named_in_phrases(shared, draft), notes)
            shared = _phrases_of(shared, draft)
            return _added(shared, own) if own is not None else shared
        if name in ASKED_FILES and isinstance(shared, MappingNode):
            _note_former_ids(_named_in_asked(shared, draft), notes)
            shared = _asked_of(shared, draft)
            return _added(shared, own) if own is not None else shared
        if not isinstance(shared, MappingNode):
            return shared if own is None else own
        if own is not None and not isinstance(own, MappingNode):
            return own
        own = self._called_as_now(name, shared, own, notes) if own is not None else None
        told = {(name, str(key.value)) for key, _ in own.value} if own is not None else set()
        there = {(name, str(key.value)) for key, _ in shared.value}
        draft.shared |= there
        self.entries |= there - told
        return shared if own is None else _over(shared, own, lambda one, other: _entry(one, other, notes))

    def _called_as_now(self, name: str, shared: MappingNode, own: MappingNode, notes: Diagnostics) -> MappingNode:
        """The set's own entries, those of a former id of a shared one under its id of today; each of them is noted."""
        there = {str(key.value) for key, _ in shared.value}
        now = {former: str(key.value) for key, value in shared.value for former in _formerly(value)}
        pairs = []
        for key, value in own.value:
            if (new := now.get(key.value, "")) and key.value not in there:
                found = f'"{key.value}" in {name}, which {self.folder.name}/{name} calls {new} now'
                notes.add(
                    "unknown-name", key, found, "its id of today, here and wherever it is named", "rename it", (new,)
                )
                key = ScalarNode(key.tag, new, key.start_mark, key.end_mark)
            pairs.append((key, value))
        return MappingNode(own.tag, pairs, own.start_mark, own.end_mark, own.flow_style)

    def _taken(self, node: yaml.Node, file: str, spelled: bool, wording: bool = False) -> yaml.Node:
        """A shared node with its own place, its wording spelled as the rule set spells."""
        mark = FileMark(file, node.start_mark.line, node.start_mark.column)
        if isinstance(node, MappingNode):
            pairs = []
            for key, value in node.value:
                words = key.value in _WORDING or (wording and isinstance(value, ScalarNode))
                pairs.append((self._taken(key, file, False), self._taken(value, file, spelled, words)))
            return MappingNode(node.tag, pairs, mark, mark, node.flow_style)
        if isinstance(node, SequenceNode):
            return SequenceNode(
                node.tag, [self._taken(each, file, spelled, wording) for each in node.value], mark, mark
            )
        text = respelled(node.value, self.spelled) if wording and spelled else node.value
        return ScalarNode(node.tag, text, mark, mark, getattr(node, "style", None))

    def keep_used(self, draft: Builder, read: Read) -> None:
        """Takes out again what the rule set does not use."""
        unused = self.entries - _used(self.entries, draft)
        _take_out(unused - {each for each in unused if each[0] == _WORDS}, draft, read)
        words = {each for each in self.entries if each[0] == _WORDS}
        _take_out(words - set(_met(words, draft, read)), draft, read)


def shared_of(about: yaml.Node | None, folder: Path, draft: Builder) -> Shared | None:
    """The files that the rule set in a folder shares; None where it shares none, or with a problem noted."""
    given = value_of(about, "shares")
    if not isinstance(given, ScalarNode) or is_empty(given):
        return None
    found = shared_folder(str(given.value), folder)
    if found is None:
        notes = Diagnostics(f"{folder.name}/about.yaml")
        known = shared_folders()
        expected = f"a folder of files without about.yaml, beside this one or shipped: {', '.join(known)}"
        text = f'"{shown(str(given.value), 60)}" as "shares"'
        notes.add("unknown-name", given, text, expected, "correct it, or take it out", closest(given.value, known))
        draft.problems.extend(notes.problems)
        return None
    spelled = value_of(about, "spelled")
    pairs = [(key.value, own.value) for key, own in spelled.value] if isinstance(spelled, MappingNode) else []
    return Shared(found, tuple((word, own) for word, own in pairs if isinstance(word, str) and isinstance(own, str)))


def strangers(shared: Shared, files: Iterable[str]) -> Iterator[Problem]:
    """A file in the shared folder that nothing reads."""
    known = [name for name in files if name not in NEVER_SHARED]
    for path in sorted(shared.folder.glob("*.y*ml")):
        if path.name not in known:
            found, expected = "a file that nothing reads among the shared ones", f"one of: {', '.join(known)}"
            place = Place(f"{shared.folder.name}/{path.name}")
            yield Problem("unknown-file", place, found, expected, "rename or remove it", closest(path.name, known))


def _formerly(entry: yaml.Node) -> list[str]:
    """The ids that an entry says it had."""
    given = value_of(entry, "formerly")
    nodes = given.value if isinstance(given, SequenceNode) else [given]
    return [str(node.value) for node in nodes if isinstance(node, ScalarNode)]


# The shared and the set's own put together


def _over(shared: MappingNode, own: MappingNode, join: Callable[[yaml.Node, yaml.Node], yaml.Node]) -> MappingNode:
    """A mapping with another one put over it, joined where both say something; a key said twice stays so.

    What only the own one has stands ahead of what follows it there.
    """
    there = {str(key.value) for key, _ in shared.value}
    said: dict[str, list[tuple[yaml.Node, yaml.Node]]] = {}
    more: list[tuple[yaml.Node, yaml.Node]] = []
    for pair in own.value:
        more.append(pair)
        if (name := str(pair[0].value)) in there and name not in said:
            said[name], more = more, []
    pairs = []
    for key, value in shared.value:
        *ahead, (key, value_here) = said.get(str(key.value), [(key, None)])
        pairs += [*ahead, (key, value if value_here is None else join(value, value_here))]
    return MappingNode(own.tag, pairs + more, own.start_mark, own.end_mark)


def _entry(shared: yaml.Node, own: yaml.Node, notes: Diagnostics) -> yaml.Node:
    """An entry with the set's own keys in place of the shared ones, choice by choice.

    A source of its own gives a standing and a clause of its own.
    """
    if not isinstance(shared, MappingNode) or not isinstance(own, MappingNode):
        return own
    left_out = set(_left_out(shared, own, notes))
    left_out |= {"standing", "clause"} if value_of(own, "source") is not None else set()
    kept = [(key, value) for key, value in shared.value if key.value not in left_out]
    said = [(key, value) for key, value in own.value if key.value != LEAVE_OUT]
    both = MappingNode(shared.tag, kept, shared.start_mark, shared.end_mark)
    return _over(both, MappingNode(own.tag, said, own.start_mark, own.end_mark), _keys)


def _left_out(shared: MappingNode, own: MappingNode, notes: Diagnostics) -> Iterator[str]:
    if (said := value_of(own, LEAVE_OUT)) is None:
        return
    there = [str(key.value) for key, _ in shared.value]
    for item in items_of(said, notes, f'"{LEAVE_OUT}"'):
        if item.value in there:
            yield str(item.value)
        else:
            found = f'"{shown(str(item.value), 60)}" as "{LEAVE_OUT}"'
            expected = f"a key of the shared entry: {', '.join(there)}"
            notes.add("unknown-name", item, found, expected, "correct it, or take it out", closest(item.value, there))


def _keys(shared: yaml.Node, own: yaml.Node) -> yaml.Node:
    """What stands behind a key of both: the set's own, key by key where both have keys; a lone text is what it says."""
    if is_empty(own):
        return shared
    if isinstance(shared, MappingNode) and isinstance(own, ScalarNode) and value_of(shared, "says") is not None:
        says = ScalarNode("", "says", own.start_mark, own.end_mark)
        own = MappingNode("", [(says, own)], own.start_mark, own.end_mark)
    if isinstance(shared, ScalarNode) and isinstance(own, MappingNode) and value_of(own, "says") is None:
        says = ScalarNode("", "says", shared.start_mark, shared.end_mark)
        shared = MappingNode("", [(says, shared)], shared.start_mark, shared.end_mark)
    if isinstance(shared, MappingNode) and isinstance(own, MappingNode):
        return _over(shared, own, _keys)
    return own


def _added(shared: yaml.Node, own: yaml.Node) -> yaml.Node:
    """Phrases: what the set has of its own comes to what is shared; one that is shared elsewhere beside it moves."""
    if isinstance(shared, MappingNode) and isinstance(own, MappingNode):
        moved = {each.value for _, said in own.value if isinstance(said, SequenceNode) for each in said.value}
        kept = [(key, _without(value, moved)) for key, value in shared.value]
        return _over(_mapping(shared, kept), own, _added)
    if isinstance(shared, SequenceNode) and isinstance(own, SequenceNode):
        return SequenceNode(shared.tag, [*shared.value, *own.value], shared.start_mark, shared.end_mark)
    return own


def _asked_of(entries: MappingNode, draft: Builder) -> MappingNode:
    """Shared subjects and answers with those names of limits, steps and so on that a rule set has.

    An answer goes whole where its text has a figure that is not there, or where nothing but names was in it.
    """
    homes = homes_of_asked(draft)
    kept: list[tuple[yaml.Node, yaml.Node]] = []
    for name, entry in entries.value:
        pairs = [pair for key, value in entry.value if (pair := _that_is_there(key, value, homes)) is not None]
        says = next((value.value for key, value in pairs if key.value == "says"), "")
        if set(PLACEHOLDER.findall(says)) <= homes["says"].keys() and (
            says or len(pairs) == len(entry.value) or {key.value for key, _ in pairs} & {*homes, "verdict", "whole"}
        ):
            kept.append((name, _mapping(entry, pairs)))
    return _mapping(entries, kept)


def _that_is_there(
    key: yaml.Node, value: yaml.Node, homes: Mapping[str, Container[str]]
) -> tuple[yaml.Node, yaml.Node] | None:
    """A key with what of its names a rule set has; None where it has none of them."""
    home = homes.get(str(key.value))
    if home is None or key.value == "says":
        return key, value
    if isinstance(value, ScalarNode):
        return (key, value) if value.value in home else None
    if isinstance(value, MappingNode):
        return key, _mapping(value, [pair for pair in value.value if pair[0].value in home])
    items = [each for each in value.value if each.value in home]
    return (key, SequenceNode(value.tag, items, value.start_mark, value.end_mark)) if items else None


def _without(phrases: yaml.Node, moved: set[str]) -> yaml.Node:
    if not isinstance(phrases, SequenceNode):
        return phrases
    kept = [each for each in phrases.value if not isinstance(each, ScalarNode) or each.value not in moved]
    return SequenceNode(phrases.tag, kept, phrases.start_mark, phrases.end_mark)


def _phrases_of(phrases: yaml.Node, draft: Builder) -> yaml.Node:
    """Shared phrases, but for those of questions and choices that a rule set does not have."""
    if not isinstance(phrases, MappingNode):
        return phrases
    sections = []
    for key, section in phrases.value:
        if isinstance(section, MappingNode) and key.value in _OF_QUESTIONS:
            section = _mapping(
                section, [pair for key, value in section.value for pair in _of_question(key, value, draft)]
            )
        elif isinstance(section, MappingNode) and key.value in _SEVERAL:
            section = _mapping(section, [each for each in section.value if _has_all(each[1], draft)])
        sections.append((key, section))
    return _mapping(phrases, sections)


_SEVERAL = frozenset({"several", "several-doubtful"})
_OF_QUESTIONS = frozenset(
    (
        "answers",
        "doubtful",
        "alone",
        "when-denied",
        "nouns",
        "of-repair",
        "of-repair-doubtful",
        "asks",
        "labels",
        "frames",
        "signs",
        "hints",
    )
)


def _mapping(node: MappingNode, pairs: list[tuple[yaml.Node, yaml.Node]]) -> MappingNode:
    return MappingNode(node.tag, pairs, node.start_mark, node.end_mark, node.flow_style)


def _of_question(key: yaml.Node, value: yaml.Node, draft: Builder) -> Iterator[tuple[yaml.Node, yaml.Node]]:
    if (question := draft.questions.get(str(key.value))) is None:
        return
    if isinstance(value, MappingNode) and question.choices:
        value = _mapping(value, [each for each in value.value if _has(question.id, str(each[0].value), draft)])
    yield key, value


def _has(question: str, choice: str, draft: Builder) -> bool:
    known, choice = draft.questions.get(question), choice.removeprefix("not ")
    return known is not None and (not known.choices or choice == "none" or known.choice(choice) is not None)


def _has_all(gives: yaml.Node, draft: Builder) -> bool:
    pairs = gives.value if isinstance(gives, MappingNode) else ()
    return all(_has(str(question.value), str(choice.value), draft) for question, choice in pairs)


# What shared words name by an id of before: it would be left out as something that the rule set does not have


def _note_former_ids(named: Iterable[tuple[yaml.Node, str]], notes: Diagnostics) -> None:
    for node, now in named:
        found = f'"{node.value}", which is called {now} now'
        notes.add("unknown-name", node, found, "its id of today", f"rename it: it is called {now} now", (now,))


def _named_in_phrases(phrases: yaml.Node, draft: Builder) -> Iterator[tuple[yaml.Node, str]]:
    """Questions and choices that shared phrases name by a former id, with the id of today."""
    now = renamed_in(draft)["question"]
    for key, section in phrases.value if isinstance(phrases, MappingNode) else ():
        entries = section.value if isinstance(section, MappingNode) else []
        if key.value in _SEVERAL:
            entries = [pair for _, gives in entries if isinstance(gives, MappingNode) for pair in gives.value]
        for name, says in entries if key.value in _OF_QUESTIONS | _SEVERAL else ():
            if name.value in now and name.value not in draft.questions:
                yield name, now[name.value]
            elif (question := draft.questions.get(name.value)) and isinstance(says, MappingNode):
                had = {old: choice.id for choice in question.choices for old in choice.formerly}
                for each, _ in says.value:
                    choice = each.value.removeprefix("not ")
                    if choice in had and not _has(question.id, choice, draft):
                        yield each, had[choice]


def _named_in_asked(entries: MappingNode, draft: Builder) -> Iterator[tuple[yaml.Node, str]]:
    """The same of what shared kinds, subjects and texts of questions name."""
    homes, now = homes_of_asked(draft), {old: new for names in renamed_in(draft).values() for old, new in names.items()}
    for _, entry in entries.value:
        for key, value in entry.value:
            named = [value] if isinstance(value, ScalarNode) else value.value
            for each in named if key.value in homes and key.value != "says" else ():
                node = each[0] if isinstance(each, tuple) else each
                if node.value in now and node.value not in homes[key.value]:
                    yield node, now[node.value]


# What a rule set uses


def _used(shared: set[_Entry], draft: Builder) -> set[_Entry]:
    """The shared entries that the rule set's own lead to, and worked-out values that read nothing else."""
    named: dict[_Entry, set[_Entry]] = {}
    for reference in draft.references:
        named.setdefault(_owner(reference), set()).update(_meant(reference))
    for name, value in draft.values.items():
        named.setdefault(("values.yaml", name), set()).update(_read_by(value.function, value.figures))
    used = {("questions.yaml", known) for known in TAKEN_IN} & shared
    todo = [*used, *(owner for owner in named if owner not in shared)]
    while True:
        while todo:
            found = (named.get(todo.pop(), set()) & shared) - used
            used |= found
            todo += found
        there = [each for each in shared - used if each[0] == "values.yaml"]
        lacking = shared - used
        todo = [
            each
            for each in there
            if named.get(each) and not (named[each] & lacking or _lacks_limit(named[each], draft))
        ]
        if not todo:
            return used
        used.update(todo)


def _lacks_limit(named: set[_Entry], draft: Builder) -> bool:
    """Whether a limit among what is named is none of the rule set's."""
    return any(file == "limits.yaml" and name not in {**draft.limits, **draft.tables} for file, name in named)


def _owner(reference: Reference) -> _Entry:
    return reference.notes.file.rpartition("/")[2], reference.entry


def _meant(reference: Reference) -> set[_Entry]:
    kinds = reference.kinds.split()
    return {(f"{_HOMES.get(kind, f'{kind}s')}.yaml", reference.name) for kind in kinds if ":" not in kind}


def _read_by(function: str, figures: object) -> set[_Entry]:
    known = FUNCTIONS.get(function)
    needs = known.needs(figures) if known else ()  # type: ignore[arg-type]
    return {(file, name) for name in needs for file in ("questions.yaml", "values.yaml")}


def _take_out(entries: set[_Entry], draft: Builder, read: Read) -> None:
    if not entries:
        return
    for file, name in entries:
        home = getattr(draft, Path(file).stem)
        home.pop(name, None)
        draft.places.pop(f"{file}#{name}", None)
    draft.references = [each for each in draft.references if _owner(each) not in entries]
    draft.former = [each for each in draft.former if _owner(each) not in entries]
    for file, node, _ in read:
        if any(each[0] == file for each in entries):
            node.value[:] = [pair for pair in node.value if (file, str(pair[0].value)) not in entries]


def _met(words: set[_Entry], draft: Builder, read: Read) -> Iterator[_Entry]:
    """The words that stand in some wording of the rule set, or in what is said of another that does."""
    if not words:
        return
    said: list[str] = []
    for file, node, _ in read:
        if file != _WORDS:
            _add_texts(node, said)
    texts = " ".join(" ".join((*said, *STANDINGS)).split()).lower()
    left = {each: draft.words[each[1]] for each in sorted(words) if each[1] in draft.words}
    texts += " ".join(word.says for word in draft.words.values() if (_WORDS, word.id) not in words).lower()
    found = True
    while found:
        found = False
        for each, word in list(left.items()):
            terms = [term.lower() for term in (word.id.replace("-", " "), word.title, *word.also)]
            if word.asked_for or any(term in texts for term in terms):
                yield each
                found = True
                texts += f" {left.pop(each).says.lower()}"


def _add_texts(node: yaml.Node, found: list[str]) -> None:
    """Adds every text that stands in a node, keys too."""
    if isinstance(node, ScalarNode):
        found.append(node.value)
    elif isinstance(node, SequenceNode):
        for each in node.value:
            _add_texts(each, found)
    else:
        for key, value in node.value:
            if key.value not in NO_WORDING:
                _add_texts(key, found)
                _add_texts(value, found)
