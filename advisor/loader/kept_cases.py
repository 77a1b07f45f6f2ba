"""The cases that stand beside rules, in FOLDER/cases, and how each says that it ends.

    ends:
      verdict: repair
      ending: repair-one-piece
      method: one-piece
      restrictions: [not-steer-axle]
    says: the line of the source that has it so

Only the verdict has to be given; what is not given may be anything. `proposed: yes` under `ends` marks what no person
has looked at yet. A question that is younger than such cases says in `older-cases` what those count as that do not
answer it. That is for these proofs alone: a case that somebody decides by, a consultation and a record of the journal
never have an answer that nobody gave. A start does not read cases, and they count neither for the digest nor for the
ready copy.
"""

from __future__ import annotations

from collections.abc import Collection, Container, Iterator, Mapping
from datetime import date
from pathlib import Path

import yaml
from msgspec import Struct

from advisor.loader.answer_codec import read_answer
from advisor.loader.case_file import CaseText, read_case, split_cases
from advisor.loader.case_table import BASES, table_cases
from advisor.loader.reader import Diagnostics, closest, is_empty, items_of, pairs_of, text_of
from advisor.loader.yaml_nodes import read_text
from advisor.model.case import TIRE, Answer, Case
from advisor.model.inputs import CHOICES
from advisor.model.problems import Place, Problems, shown
from advisor.model.ruleset import Question, RuleSet, Verdict

FOLDER = "cases"
CASE_FILES = (".yaml", ".yml", ".json", ".jsonl", ".ndjson")
#: The day of cases that name none: a fixed one, so that the answer is the same tomorrow.
DAY = date(2026, 3, 14)
NO_METHOD = "none"


class ExpectedEnd(Struct, frozen=True):
    """How a case is to end: what is said of verdict, ending, method and restrictions, and where each word stands."""

    words: Mapping[str, str]
    places: Mapping[str, Place]
    proposed: bool = False
    source: tuple[tuple[Place, str], ...] = ()


def case_texts_in(path: Path, label: str) -> Iterator[CaseText]:
    """The cases of a file, or of a table of cases; a file that can't be read comes as a case with its problems."""
    try:
        yield from table_cases(path, label) if path.suffix == ".csv" else split_cases(read_text(path, label), label)
    except Problems as error:
        yield CaseText(label, None, error.problems)


def kept_files(folder: Path) -> Iterator[tuple[Path, str]]:
    """Every file in a rule folder's `cases`, by name, and how it is called in a place."""
    home = folder / FOLDER
    for path in sorted(home.rglob("*")):
        if path.suffix in (*CASE_FILES, ".csv") and path.name != BASES and path.is_file():
            yield path, f"{folder.name}/{FOLDER}/{path.relative_to(home).as_posix()}"


def bytes_of_kept(path: Path) -> tuple[bytes, ...] | None:
    """All that the cases of a file are read from, byte for byte; None where it can't be read."""
    try:
        return tuple(each.read_bytes() for each in (path, path.parent / BASES) if each is path or path.suffix == ".csv")
    except OSError:
        return None


def kept_texts(folder: Path) -> Iterator[CaseText]:
    """Every case in a rule folder's `cases`, by the names of the files."""
    return (text for path, label in kept_files(folder) for text in case_texts_in(path, label))


def read_kept(case_text: CaseText, rules: RuleSet) -> Case:
    """The case in a text that is kept as proof; without a day, as on a fixed one. Raises Problems."""
    return with_older_answers(read_case(case_text, rules, DAY), rules)


def with_older_answers(case: Case, rules: RuleSet, known: Container[str] | None = None) -> Case:
    """A kept case with what it counts as where it does not answer questions that are younger, of those `known`."""
    for question in rules.questions.values():
        if known is not None and question.id not in known:
            continue
        over, answer = question.over, older_answer(question)
        for index, answers in enumerate(case.instances(over) if answer is not None else ()):
            if question.id not in answers:
                case = case.with_answer(over, (question.id, TIRE if over == "tire" else index), answer)
    return case


def older_answer(question: Question) -> Answer | None:
    """What kept cases from before a question count as that do not answer it; None where it says nothing of them."""
    if question.older_cases is None:
        return None
    notes = Diagnostics(question.id)
    words: list[yaml.Node] = [yaml.ScalarNode("", word) for word in question.older_cases.counts_as]
    node = words[0] if len(words) == 1 and question.kind != CHOICES else yaml.SequenceNode("", words)
    return read_answer(question, node, notes)


def restrictions_text(names: Collection[str]) -> str:
    """Restrictions in one order, as `ends` writes them."""
    return f"[{', '.join(sorted(names))}]"


def expected_end(case: CaseText, rules: RuleSet) -> ExpectedEnd | None:
    """How a case says that it ends; None where it says nothing. Raises Problems with what makes no sense there."""
    notes, found = case.notes(), None
    source: tuple[tuple[Place, str], ...] = ()
    for key, value in _pairs(case.node):
        if key == "ends":
            found = _ends(value, notes, rules)
        elif key == "says":
            source = ((notes.place(value), text_of(value, notes, '"says"')),)
    if notes.problems:
        raise Problems(notes.problems)
    return found and ExpectedEnd(found.words, found.places, found.proposed, source)


def _pairs(node: yaml.Node | None) -> Iterator[tuple[str, yaml.Node]]:
    """The keys of a case, of which `read_case` says what is wrong with them."""
    for key, value in node.value if isinstance(node, yaml.MappingNode) else ():
        if isinstance(key, yaml.ScalarNode):
            yield key.value, value


def _ends(node: yaml.Node, notes: Diagnostics, rules: RuleSet) -> ExpectedEnd:
    known: dict[str, Collection[str]] = {
        "verdict": [str(verdict) for verdict in Verdict],
        "ending": rules.endings,
        "method": (*rules.methods, NO_METHOD),
        "restrictions": rules.restrictions,
    }
    words, places, proposed, before = dict[str, str](), dict[str, Place](), False, len(notes.problems)
    for key, key_node, value in pairs_of(node, notes, '"ends"'):
        if key == "proposed":
            proposed = text_of(value, notes, '"proposed"') == "yes"
        elif key not in known:
            keys = (*known, "proposed")
            expected = f"one of: {', '.join(keys)}"
            notes.add("unknown-key", key_node, f'the key "{shown(key, 60)}"', expected, "", closest(key, keys))
        else:
            places[key] = notes.place(value)
            if key == "restrictions":
                names = [_name(key, item, notes, known[key]) for item in items_of(value, notes, f'"{key}"')]
                words[key] = restrictions_text(names)
            else:
                words[key] = NO_METHOD if key == "method" and is_empty(value) else _name(key, value, notes, known[key])
    if "verdict" not in words and len(notes.problems) == before:
        notes.add("no-verdict", node, "an end without a verdict", f"verdict: {', '.join(known['verdict'])}")
    return ExpectedEnd(words, places, proposed)


def _name(key: str, node: yaml.Node, notes: Diagnostics, known: Collection[str]) -> str:
    name = text_of(node, notes, f'"{key}"')
    if name and name not in known:
        expected = f"one of: {', '.join(known)}"
        notes.add("unknown-name", node, f'"{shown(name, 60)}" as {key}', expected, "correct it", closest(name, known))
    return name
