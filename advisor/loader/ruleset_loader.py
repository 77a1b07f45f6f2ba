"""Loads a rule set from its folder, or says everything that is wrong with it."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import yaml

from advisor.loader.build import read_file
from advisor.loader.builder import UNREAD, Builder
from advisor.loader.canonical import Read, normalised
from advisor.loader.condition_reader import read_terms
from advisor.loader.kept_language import LANGUAGE_FILES, KeptLanguage, of_names
from advisor.loader.overlay import read_over, with_base
from advisor.loader.paths import find_rule_set as find_rule_set
from advisor.loader.paths import shipped as shipped
from advisor.loader.paths import trees_folder as trees_folder
from advisor.loader.reader import Diagnostics, closest, described, value_of
from advisor.loader.references import (
    check_former_ids,
    check_inputs,
    check_names,
    check_parts,
    check_references,
    check_tables,
    check_unique_rulings,
    check_word_lists,
)
from advisor.loader.rule_file_schema import FILES as FILES
from advisor.loader.shared import ASKED_FILES, Shared, shared_of, strangers
from advisor.model.problems import Place, Problem, Problems
from advisor.model.ruleset import Language, RuleSet, renamed_in

if TYPE_CHECKING:
    from advisor.loader.composed import Composed

#: Without these a rule set still judges: it understands fewer words and questions, knows no units of the shop's own,
#: has its steps written out in its methods, or its conditions where they stand.
MAY_BE_LEFT_OUT = frozenset({"phrases.yaml", "units.yaml", "steps.yaml", "terms.yaml", *ASKED_FILES})


def load_rule_set(folder: Path, composed: Composed | None = None, kept: KeptLanguage | None = None) -> RuleSet:
    """The rule set in a folder. Raises Problems with every problem of all its files.

    `composed` keeps files as nodes from one time to the next, for one that is read again and again; `kept` is what
    people say and ask as it was read before.

    The collector of reference cycles rests meanwhile: nothing that is read here makes any, and it costs a third.
    """
    collecting = gc.isenabled()
    gc.disable()
    try:
        return _load(folder, composed, kept)
    except Problems:
        if kept is None or not kept.recalled:
            raise
        return _load(folder, composed, None)
    finally:
        if collecting:
            gc.enable()


def _load(folder: Path, composed: Composed | None, kept: KeptLanguage | None) -> RuleSet:
    draft = Builder()
    if composed is not None:
        draft.documents = composed.documents
    read: Read = []
    read_folder(folder, draft, read, kept=kept)
    if any(problem.id in UNREAD for problem in draft.problems):
        known = [problem for problem in draft.all_problems() if problem.id not in ("unknown-name", "ways-on")]
        raise Problems(known)  # what a file left unread would define proves nothing
    draft.problems.extend(_files_lacking(check_references(draft), folder, draft))
    check_tables(draft)
    check_unique_rulings(draft)
    check_parts(draft)
    check_names(draft)
    check_former_ids(draft)
    check_inputs(draft)
    check_word_lists(draft)
    if draft.problems or draft.about is None:
        raise Problems(list(draft.all_problems()))
    return _finished(draft, lambda: normalised(read, draft.meant))


def read_folder(
    folder: Path, draft: Builder, read_so_far: Read, above: tuple[Path, ...] = (), kept: KeptLanguage | None = None
) -> None:
    """Reads a folder's files into the draft; those of the rule set that it builds on first."""
    about = _about(folder, draft)
    base = _base_of(about, folder, draft, above)
    if base is not None:
        read_folder(base, draft, read_so_far, (*above, folder))
        draft.renamed = renamed_in(draft)
    shared = shared_of(about, folder, draft) if base is None else None
    for name in FILES:
        if name not in LANGUAGE_FILES:
            _read_one(folder, name, draft, read_so_far, shared, base is not None, about)
    if shared is not None:
        read_terms(draft)
        shared.keep_used(draft, read_so_far)
    if base is None:
        _read_language(folder, draft, read_so_far, shared, kept)
    for name in LANGUAGE_FILES if base is not None else ():
        _read_one(folder, name, draft, read_so_far, None, True)
    read_terms(draft)
    draft.problems.extend(_strangers(folder))
    if shared is not None:
        draft.problems.extend(strangers(shared, FILES))


def _read_one(
    folder: Path,
    name: str,
    draft: Builder,
    read_so_far: Read,
    shared: Shared | None,
    over: bool,
    about: yaml.Node | None = None,
) -> None:
    notes = Diagnostics(f"{folder.name}/{name}")
    needed = not over and name not in MAY_BE_LEFT_OUT
    node = about if name == "about.yaml" else _document(folder, name, draft, notes, needed, shared)
    if node is not None:
        node = with_base(node, draft) if name == "limits.yaml" else node
        read_so_far.append((name, node, over))
        _read_file(name, node, notes, draft, over)


def _read_language(
    folder: Path, draft: Builder, read_so_far: Read, shared: Shared | None, kept: KeptLanguage | None
) -> None:
    """What people say and ask, recalled where it was read before; by the names alone of all else."""
    names = of_names(draft)
    key = kept.key(names, shared) if kept is not None else None
    if kept is not None and kept.recall(key, draft, read_so_far):
        return
    before, problems, former = len(draft.references), len(draft.problems), len(draft.former)
    read: Read = []
    for name in LANGUAGE_FILES:
        _read_one(folder, name, names, read, shared, False)
    read_so_far += read
    draft.phrases, draft.intents, draft.subjects, draft.answers = (
        *(names.phrases, names.intents),
        *(names.subjects, names.answers),
    )
    if kept is not None and (problems, former) == (len(draft.problems), len(draft.former)):
        kept.keep(key, names, shared, read, draft.references[before:])


def _read_file(name: str, node: yaml.Node, notes: Diagnostics, draft: Builder, over: bool) -> None:
    if not isinstance(node, yaml.MappingNode):
        notes.add("no-entries", node, f"{described(node)} as {name}", "keys and values", "write key: value")
        draft.problems.extend(notes.problems)
        return
    if over:
        read_over(name, node, notes, draft)
    else:
        read_file(name, node, notes, draft)
    if name == "limits.yaml" and isinstance(node, yaml.MappingNode):
        draft.limit_nodes |= {str(key.value): (value, notes.file) for key, value in node.value}
    draft.problems.extend(notes.problems)
    notes.problems = draft.problems
    draft.places |= {f"{name}#{key}": place for key, place in notes.places.items()}


def _base_of(about: yaml.Node | None, folder: Path, draft: Builder, above: tuple[Path, ...]) -> Path | None:
    """The folder of the rule set that this one builds on: beside it, or a shipped one."""
    given = value_of(about, "builds-on")
    if not isinstance(given, yaml.ScalarNode):
        return None
    name, notes = str(given.value), Diagnostics(f"{folder.name}/about.yaml")
    beside = folder.resolve().parent / name
    try:
        base = beside if (beside / "about.yaml").is_file() else find_rule_set(name)
        if base.resolve() not in [path.resolve() for path in (*above, folder)]:
            return base
        notes.add("builds-on-itself", given, f'"{name}" as "builds-on"', "another rule set", "name the base")
    except Problems as error:
        first = error.problems[0]
        notes.add("unknown-rule-set", given, f'"{name}" as "builds-on"', first.expected, first.do, first.nearest)
    draft.problems.extend(notes.problems)
    return None


def base_folder(folder: Path) -> Path | None:
    """The folder of the rule set that the one in a folder builds on; None where there is none, or none to be found."""
    return _base_of(_about(folder, Builder()), folder, Builder(), ())


def folders_read(folder: Path) -> tuple[Path, ...]:
    """The folders of which the rule set in a folder is made: its own, its bases, and what they share."""
    folders, shared = [folder], list[Path]()
    for each in folders:
        about = _about(each, Builder())
        base, of = _base_of(about, each, Builder(), ()), shared_of(about, each, Builder())
        folders += [base] if base is not None and base not in folders else []
        shared += [of.folder] if of is not None else []
    return *folders, *shared


def _about(folder: Path, draft: Builder) -> yaml.Node | None:
    return _only_document(folder / "about.yaml", f"{folder.name}/about.yaml", draft)


def _document(
    folder: Path, name: str, draft: Builder, notes: Diagnostics, needed: bool, shared: Shared | None
) -> yaml.Node | None:
    """A file of a folder, with what it shares; None where neither is there, which is a problem if it is needed."""
    path = shared.file(name) if shared is not None else None
    there = (folder / name).exists() or (needed and path is None)
    own = _only_document(folder / name, notes.file, draft) if there else None
    if shared is None or path is None or (there and own is None):
        return own
    found = _only_document(path, f"{path.parent.name}/{name}", draft)
    return shared.joined(name, found, own, notes, draft) if found is not None else own


def _only_document(path: Path, label: str, draft: Builder) -> yaml.Node | None:
    try:
        found = draft.documents(path, label)
    except Problems as error:
        draft.problems.extend(error.problems)
        return None
    if len(found) == 1:
        return found[0]
    what = "an empty file" if not found else f"{len(found)} documents"
    draft.problems.append(Problem("one-document", Place(label), what, "one document", "keep one topic a file"))
    return None


def _strangers(folder: Path) -> Iterator[Problem]:
    """A file of rules under a name that nothing reads."""
    for path in sorted(folder.glob("*.y*ml")) if folder.is_dir() else ():
        if path.name not in FILES:
            yield Problem(
                "unknown-file",
                Place(f"{folder.name}/{path.name}"),
                "a file that nothing reads",
                f"one of: {', '.join(FILES)}",
                "rename or remove it",
                closest(path.name, FILES),
            )


def _files_lacking(nowhere: Counter[str], folder: Path, draft: Builder) -> Iterator[Problem]:
    """A file of the folder that is not there, where several names lead nowhere that could stand in it."""
    for name, count in nowhere.items():
        if count > 1 and draft.about is not None and not draft.about.builds_on and not (folder / name).exists():
            found = f"no such file, and {count} names that could stand in it lead nowhere"
            yield Problem("no-file", Place(f"{folder.name}/{name}"), found, "the file", "put it there")


def _finished(draft: Builder, normalise: Callable[[], dict[str, Any]]) -> RuleSet:
    if draft.about is None:
        raise ValueError("a rule set without about.yaml")
    language = Language(draft.words, draft.phrases, draft.intents, draft.subjects, draft.answers)
    return RuleSet(
        about=draft.about,
        sources=draft.sources,
        limits=draft.limits,
        tables=draft.tables,
        terms=draft.terms,
        questions=draft.questions,
        values=draft.values,
        parts=tuple(draft.parts),
        nodes=draft.nodes,
        any_order=tuple(draft.any_order),
        endings=draft.endings,
        restrictions=draft.restrictions,
        methods=draft.methods,
        cautions=draft.cautions,
        normalised=normalise,
        language=lambda: language,
        places=draft.places,
        units=draft.units,
        read_as=tuple(draft.read_as),
    )
