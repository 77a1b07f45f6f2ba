"""Every difference in what the files of two rule sets say, each under the heading of what it can change.

A key that is neither known to be wording nor named here counts as one that decides: a new key never passes for wording.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import takewhile
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from advisor.model.ruleset import RuleSet

#: What a difference can change. `LOST` and `ADDED` are cautions and steps; `CHECKED` is what only checks look at,
#: `ORDER` what comes first of what is asked.
DECIDES, LOST, ADDED, ASKED, READ, UNITS, RENAMED, CHECKED, ORDER, WORDED = (
    *("decides", "lost", "added", "asked", "read", "units", "renamed", "checked", "order", "worded"),
)
#: Cautions and steps: lost or added by what is there more or less.
_WORK = "work"
#: Keys whose lists narrow where something stands: one more there is something lost.
_NARROWS = frozenset({"not-with", "without", "when", "fits", "passes", "kept", "done-where"})

_KEYS: dict[str, dict[str, str]] = {
    "about.yaml": {
        **dict.fromkeys(("when-unanswered", "when-in-doubt"), DECIDES),
        **dict.fromkeys(("before-you-begin", "always-shown", "shown-with-repair"), _WORK),
    },
    "questions.yaml": dict.fromkeys(("worse", "worse-order", "no-order", "not-ordered"), CHECKED)
    | dict.fromkeys(
        ("choices", "also", "kind", "of", "unit", "plausible", "figures-said", "or-clock", "left-out-by"), READ
    ),
    "paths.yaml": {
        **dict.fromkeys(("parts", "any-order", "ask", "asked", "optional", "instead", "next", "part"), ASKED),
        **dict.fromkeys(("rulings", "cant-tell"), DECIDES),
    },
    "endings.yaml": {"cautions": _WORK, "speaks": CHECKED},
    "restrictions.yaml": {"said-at": _WORK, "speaks": CHECKED},
    "methods.yaml": {"cautions": _WORK, "steps": _WORK, "without": _WORK},
    "cautions.yaml": {"fits": _WORK, "not-with": _WORK, "at-once": _WORK, "do-now": _WORK, "speaks": CHECKED},
}
#: Files that are of one heading whole; what is left in steps.yaml no method has, in terms.yaml only what they say.
_WHOLE = {
    "words.yaml": WORDED,
    "sources.yaml": WORDED,
    "terms.yaml": WORDED,
    "steps.yaml": WORDED,
    "intents.yaml": WORDED,
    "subjects.yaml": WORDED,
    "answers.yaml": WORDED,
    "phrases.yaml": READ,
    "units.yaml": UNITS,
}
#: Files whose entries are cautions or steps.
_OF_THE_WORK = frozenset({"cautions.yaml", "methods.yaml"})
_WORDING = frozenset(
    (
        *("says", "because", "standing", "source", "clause", "note", "notes", "name", "title", "asks", "how", "why"),
        *("example", "headline", "do-now", "tell-driver", "tell-driver-by", "help", "if-unknown", "said-back"),
        *("shown-as", "scope", "not-for", "defers-to", "edition", "id", "spelled", "hazard", "about"),
        *("conflicts", "looked-for"),
    )
)
_OF_ASKING = {**dict.fromkeys(("effort", "prompt", "after", "likely"), ORDER), "words-for": READ}
#: In the steps of a method these are more than wording.
_NOT_WORDING_OF_STEPS = frozenset({"asks"})

#: Keys whose content is told whole: conditions and ways.
_TOLD_WHOLE = frozenset({"when", "unless", "next", "cant-tell", "in-doubt"})

Path = tuple[str, ...]


class EntryDifference(Struct, frozen=True):
    """A difference: where it stands, what it says in a few words, and what it can change."""

    file: str
    path: Path
    says: str
    heading: str
    gone: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """What a note can name it by: where it stands, and what is not there any more."""
        return *self.path, *self.gone

    @property
    def name(self) -> str:
        """The entry that it stands in: `endings.yaml: scrap-tread`."""
        return f"{self.file}: {self.path[1] if self.path[0] == 'nodes' else self.path[0]}"

    def __str__(self) -> str:
        path = self.path[:-1] if self.heading == RENAMED else self.path
        where = [each for each in path if each not in ("nodes", "rulings", "steps", "parts")]
        return ": ".join((*where, self.says))


def differing_entries(old: RuleSet, new: RuleSet) -> Iterator[EntryDifference]:
    """Every difference between the files of two rule sets, and the order of parts and of rulings."""
    yield from differing_contents(_content(old), _content(new))
    yield from _orders(old, new)
    yield from differing_asking(old, new)


def differing_asking(old: RuleSet, new: RuleSet) -> Iterator[EntryDifference]:
    """By what the order of asking goes, and words that stand for a figure: no digest is of those."""
    for name, before in old.questions.items():
        after = new.questions.get(name, before)
        for key, heading in _OF_ASKING.items():
            one, two = (getattr(question, key.replace("-", "_")) for question in (before, after))
            if one != two:
                yield EntryDifference("questions.yaml", (name, key), _in_words(_plain(one), _plain(two)), heading)


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def differing_contents(one: Mapping[str, Any], two: Mapping[str, Any]) -> Iterator[EntryDifference]:
    """Every difference between files as plain data."""
    every = dict[Path, EntryDifference]()
    while renamed := {entry.path: entry for entry in _renames(one, two) if entry.path not in every}:
        yield from renamed.values()
        every |= renamed
        two = _called_as_before(two, {entry.gone[0]: entry.path[-1] for entry in renamed.values()})
    for file in dict.fromkeys((*one, *two)):
        for path, before, after in _differences(one.get(file, {}), two.get(file, {}), ()):
            entry = _entry(file, path, before, after)
            told = entry.path[-1:] == ("formerly",) and any(entry.path[:-1] == each.path for each in every.values())
            yield replace(entry, heading=WORDED) if told else entry


def _orders(old: RuleSet, new: RuleSet) -> Iterator[EntryDifference]:
    """Parts walked in another order, and in each part nodes that stand in another order."""
    for path, *orders in (
        (("parts", "order"), [part.id for part in old.parts], [part.id for part in new.parts]),
        *((("parts", part.id, "order"), _nodes(part.id, old), _nodes(part.id, new)) for part in new.parts),
    ):
        one, two = ([name for name in order if all(name in other for other in orders)] for order in orders)
        if one != two:
            while one[0] == two[0]:
                del one[0], two[0]
            while one[-1] == two[-1]:
                del one[-1], two[-1]
            yield EntryDifference("paths.yaml", path, f"{_brief(one)} -> {_brief(two)}", ASKED)


def _nodes(part: str, rules: RuleSet) -> list[str]:
    return [node.id for node in rules.nodes.values() if node.part == part]


def _content(rules: RuleSet) -> Mapping[str, Any]:
    """The files as plain data; what about.yaml of an overlay adds to its base's lists is told as a whole."""
    about = rules.about
    lists = {"before-you-begin": about.before, "always-shown": about.always, "shown-with-repair": about.with_repair}
    whole = {name: list(each) for name, each in lists.items()}
    return {**rules.content, "about.yaml": {**rules.content.get("about.yaml", {}), **whole}}


def _entry(file: str, path: Path, before: Any, after: Any) -> EntryDifference:
    heading = _heading(file, path)
    if heading == _WORK:
        heading = _lost_or_added(path, before, after)
    return EntryDifference(file, path, _in_words(before, after), heading, tuple(sorted(_items(before) - _items(after))))


def _renames(one: Mapping[str, Any], two: Mapping[str, Any]) -> Iterator[EntryDifference]:
    """What is there under another name with the same content: entries of a file, nodes, rulings, steps."""
    for file in one.keys() & two.keys():
        yield from _renamed_in(file, one[file], two[file], ())


def _renamed_in(file: str, before: Any, after: Any, path: Path) -> Iterator[EntryDifference]:
    one, two = _by_id(before), _by_id(after)
    if one is None or two is None or before == after:
        return
    come = [name for name in two if name not in one and isinstance(two[name], dict)]
    for name, content in one.items():
        twin = name if name in two else next((other for other in come if _called_before(two[other], content, name)), "")
        if twin and twin != name:
            come.remove(twin)
            yield EntryDifference(file, (*path, name), f"{name} -> {twin}", RENAMED, (twin,))
        elif twin and name not in _TOLD_WHOLE:
            yield from _renamed_in(file, content, two[name], (*path, name))


def _called_before(new: Mapping[str, Any], old: Any, name: str) -> bool:
    """Whether an entry is one that there was: it says that it was called so, or holds the same."""
    former = new.get("formerly", [])
    return new == old or name in ([former] if isinstance(former, str) else former)


def _called_as_before(content: Any, names: Mapping[str, str]) -> Any:
    """The content with what was renamed under its old name, wherever it is named: a plain word only by itself."""
    word = re.compile(rf"(?<![\w-])({'|'.join(map(re.escape, names))})(?![\w-])")

    def called(value: Any, said: bool = False) -> Any:
        if isinstance(value, dict):
            return {called(key): called(each, said) for key, each in value.items()}
        if isinstance(value, list):
            return value if said else [called(each) for each in value]
        return word.sub(name, value) if isinstance(value, str) else value

    def name(found: re.Match[str]) -> str:
        text, now = found.string, found[0]
        alone = "-" in now or now == text or f"{{{now}}}" == text[found.start() - 1 : found.end() + 1]
        return names[now] if alone else now

    return {file: called(tree, said=file == "phrases.yaml") for file, tree in content.items()}


def _heading(file: str, path: Path) -> str:
    if file in _WHOLE:
        return _WHOLE[file]
    keys = _KEYS.get(file, {})
    inside = path if file in ("about.yaml", "paths.yaml") else path[1:]
    if not inside:
        return _WORK if file in _OF_THE_WORK else DECIDES
    in_steps = "steps" in inside
    if inside[-1] == "formerly":
        return READ  # what was refused under that id is read
    for key in reversed(inside):
        if key in keys and not (in_steps and key == "do-now"):
            return keys[key]
        if key in _WORDING and not (in_steps and key in _NOT_WORDING_OF_STEPS):
            return WORDED
    return DECIDES


def _lost_or_added(path: Path, before: Any, after: Any) -> str:
    """Lost where anything is there less, or where what narrows it is there more."""
    key = next((each for each in reversed(path) if each in _NARROWS), "")
    one, two = _items(before), _items(after)
    if key == "fits" and (before is None or after is None):
        return LOST if before is None else ADDED
    if key and key != "fits":
        one, two = two, one
    changed = before is not None and after is not None and one == two
    return LOST if changed or one - two else ADDED


def _items(value: Any) -> set[str]:
    if value is None:
        return set()
    return {_brief(each) for each in value} if isinstance(value, list) else {_brief(value)}


def _differences(before: Any, after: Any, path: Path) -> Iterator[tuple[Path, Any, Any]]:
    """Every place in which two contents differ; lists of entries with ids are held together by id."""
    if before == after:
        return
    one, two = (None, None) if path and path[-1] in _TOLD_WHOLE else (_by_id(before), _by_id(after))
    if one is None or two is None:
        yield path, before, after
        return
    for name in one:
        if name in two:
            yield from _differences(one[name], two[name], (*path, name))
        else:
            yield (*path, name), one[name], None
    yield from (((*path, name), None, two[name]) for name in two if name not in one)
    if isinstance(before, list) and set(one) == set(two) and list(one) != list(two):
        yield (*path, "order"), list(one), list(two)


def _by_id(value: Any) -> Mapping[str, Any] | None:
    """A mapping as it is, a list of entries by id; None for anything else."""
    if isinstance(value, dict):
        return value
    if isinstance(value, list) and value and all(isinstance(each, dict) and "id" in each for each in value):
        return {each["id"]: {key: item for key, item in each.items() if key != "id"} for each in value}
    return None


def _in_words(before: Any, after: Any) -> str:
    """What was and what is; of two lists only what is dropped and what is put in."""
    if isinstance(before, list) and isinstance(after, list):
        gone = [_on_a_line(each) for each in before if each not in after]
        come = [_on_a_line(each) for each in after if each not in before]
        if gone or come:
            alike = _alike([*gone, *come]) if max(map(len, (*gone, *come))) > _MOST else 0
            gone, come = ([_cut(f"…{text[alike:]}" if alike else text) for text in each] for each in (gone, come))
            parts = (f"no {', '.join(gone)} any more" if gone else "", f"{', '.join(come)} put in" if come else "")
            return ", ".join(filter(None, parts))
    if before is None:
        return f"new: {_brief(after)}" if not isinstance(after, dict) else "new"
    if after is None:
        return f"gone: {_brief(before)}" if not isinstance(before, dict) else "gone"
    one, two = _on_a_line(before), _on_a_line(after)
    if max(len(one), len(two)) > _MOST:  # long ones from a little ahead of where they differ
        alike = _alike([one, two])
        one, two = (f"…{text[alike:]}" if alike else text for text in (one, two))
    return f"{_cut(one)} -> {_cut(two)}"


_MOST, _AHEAD = 160, 30


def _alike(texts: Sequence[str]) -> int:
    """How much of texts is left out at their heads: a little less than what they have in common."""
    together = zip(*texts, strict=False) if len(texts) > 1 else ()
    return max(0, sum(1 for _ in takewhile(lambda signs: len(set(signs)) == 1, together)) - _AHEAD)


def _brief(value: Any) -> str:
    """A value of the files on one line, cut where it is long."""
    return _cut(_on_a_line(value))


def _cut(text: str) -> str:
    return text if len(text) <= _MOST else f"{text[:_MOST]}…"


def _on_a_line(value: Any) -> str:
    if isinstance(value, Mapping):
        return f"{{{', '.join(f'{key}: {_on_a_line(each)}' for key, each in value.items())}}}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"[{', '.join(map(_on_a_line, value))}]"
    return str(value)
