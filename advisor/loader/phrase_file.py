"""phrases.yaml: words and phrases that people say, and the answers that they give."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import product

import yaml

from advisor.loader.builder import Builder
from advisor.loader.reader import text_of
from advisor.loader.schema_types import Reading, Ref, String, Values
from advisor.model.lexicon_entries import FigureRun, Given, Phrases, WordFrame, folded
from advisor.model.problems import shown

#: The ways in which a phrase of an answer counts, and the key of each in the file.
WAYS = {
    "answers": "said",
    "doubtful": "doubtful",
    "alone": "alone",
    "when-denied": "denied",
    "nouns": "noun",
    "of-repair": "repair",
    "of-repair-doubtful": "repair-doubtful",
}
CUES = (
    "no",
    "perhaps",
    "about",
    "bound",
    "cannot-tell",
    "not-yet",
    "supposed",
    "elsewhere",
    "beside",
    "correction",
    "thing",
    "opening",
    "found",
    "another",
    "first",
    "back-to",
    "aside",
    "past",
    "repair-named",
    "cleaned",
    "required",
    "capacity",
    "unit-named",
    "open",
    "side",
    "all",
    "noun-before",
    "noun-after",
    "road",
    "time-of-day",
    "valve-side",
    "warmth",
    "nothing",
    "closing",
    "unsafe",
    "rude",
    "filler",
)
#: What a part of a line is that some words make up.
PART_KINDS = (
    "idle",
    "well",
    "absent",
    "ticked",
    "not-done",
    "grown",
    "against",
    "poorly",
    "poorly-said",
    "of-figure",
    "of-injury",
    "of-wheel",
    "first",
    "no-again",
    "closing",
    "there-is",
    "yes-again",
    "only-one",
    "still-demounted",
    "but-demounted",
    "still-more-injuries",
    "but-more-injuries",
    "exception-ahead",
    "one-more-ahead",
    "still-earlier-repairs",
    "but-earlier-repairs",
    "still-run-low",
    "but-run-low",
    "still-sealant",
    "but-sealant",
    "still-findings",
    "still-inside-signs",
    "agreed",
    "both-ways",
    "both-at-a-yes",
    "denial",
    "exception",
    "affirmed",
    "other-tire",
    "owned-tire",
    "several-tires",
    "in-turn",
    "this-tire",
    "on-this-tire",
    "in-general",
    "as-the-other",
    "on-paper",
    "no-reading",
)
#: Words of a language for these count as these, wherever a part of a line is nothing else.
BARE_KINDS = ("yes", "no", "none", "cant-tell")

#: Ahead of a choice: its frames say that there is none.
DENIES = "not "


def spelled_out(text: str) -> tuple[str, ...]:
    """Each phrase that a line with alternatives stands for: `cord|cords is|are|- showing`; `-` leaves a word out."""
    if "|" not in text:
        return (folded(text),)
    ways = [[folded(word.replace("_", " ")) for word in part.split("|")] for part in text.split()]
    return tuple(dict.fromkeys(" ".join(filter(None, chosen)) for chosen in product(*ways)))


#: A phrase as written, all that its alternatives stand for, with the place where it is written.
_Placed = tuple[tuple[str, ...], yaml.Node]


class Phrase(String):
    """A phrase, with alternatives."""

    def read(self, node: yaml.Node, at: Reading, what: str) -> _Placed:
        """All that it stands for, and where it is written."""
        text = text_of(node, at.diagnostics, what)
        return spelled_out(text) if text else (), node


class ChoiceRef(Ref):
    """A choice of the question under which it stands; a figure as typed where that has none, `none` where several."""

    def __init__(self) -> None:
        super().__init__("choice:{entry}")

    def read(self, node: yaml.Node, at: Reading, what: str) -> str:
        """Its id, looked up later where it has to be one of the question's."""
        question = at.draft.questions.get(at.entry)
        if question is None or not question.choices or (question.kind == "choices" and node.value == "none"):
            return str(node.value)
        return super().read(node, at, what)


class FrameRef(ChoiceRef):
    """The same, with `not` ahead where the frame says that there is none."""

    def read(self, node: yaml.Node, at: Reading, what: str) -> str:
        """Its id, with `not` as it stands."""
        text = str(node.value)
        if not text.startswith(DENIES):
            return super().read(node, at, what)
        bare = yaml.ScalarNode(node.tag, text.removeprefix(DENIES), node.start_mark, node.end_mark)
        return f"{DENIES}{super().read(bare, at, what)}"


def build_phrases(read: Values, draft: Builder) -> None:
    """Adds the phrases of a file to those that there are."""
    old = draft.phrases
    claims = _Claims(read.at, {how: dict(found) for how, found in old.says.items()})
    for key, how in WAYS.items():
        for question, by_choice in read[key.replace("-", "_")].items():
            for choice, phrases in by_choice.items():
                claims.put_all(phrases, ((question, choice),), how)
    for question, phrases in read["asks"].items():
        claims.put_all(phrases, ((question, ""),), "asks")
    for key, how in (("several", "said"), ("several_doubtful", "doubtful")):
        for phrase, gives in read[key].items():
            claims.put(spelled_out(phrase), tuple(gives.items()), how, read[key].nodes[phrase])
    classes = {**old.classes}
    for name, words in read["classes"].items():
        classes[name] = (*classes.get(name, ()), *map(folded, words))
    labels, cues, units, spellings = dict(old.labels), dict(old.cues), dict(old.units), dict(old.spellings)
    for known, key in ((labels, "labels"), (cues, "cues")):
        for meaning, phrases in read[key].items():
            for word in _of_classes(f"{key}: {meaning}", phrases, classes, read):
                known[word] = tuple(dict.fromkeys((*known.get(word, ()), meaning)))
    units |= {folded(word): (unit["unit"], unit["ask"]) for word, unit in read["units"].items()}
    for right, phrases in read["spellings"].items():
        spellings |= dict.fromkeys(_words(phrases), folded(right))
    dictated = {**old.dictated}
    for wrong, slip in read["dictated"].items():
        dictated[folded(wrong)] = (folded(slip["right"]), frozenset(map(folded, slip["beside"])))
    asked = old.only_when_asked | {folded(word) for word in read["only_when_asked"]}
    frames = (
        *old.frames,
        *_frames(read["frames"], outright=True),
        *_frames(read["signs"], outright=True, sign=True),
        *_frames(read["hints"], outright=False),
    )
    _classes_known(frames, classes, read)
    ordinary = old.ordinary.union(read["ordinary"].casefold().split())
    telling = old.telling.union(*(words.casefold().split() for words in read["telling"].values()))
    parts, bare = dict(old.parts), dict(old.bare)
    for kind, runs in read["parts"].items():
        parts[kind] = (*parts.get(kind, ()), *runs)
    _classes_of_parts_known(classes, read)
    for word, others in read["bare"].items():
        bare[word] = bare.get(word, frozenset()).union(map(folded, others))
    told = (FigureRun(run["said"], run["sets"], tuple(run["drops"]), tuple(run["having"])) for run in read["runs"])
    draft.phrases = Phrases(
        claims.says,
        labels,
        cues,
        units,
        spellings,
        asked,
        classes,
        frames,
        ordinary,
        (*old.runs, *told),
        (*old.sets_right, *read["sets_right"]),
        (*old.none_of, *read["none_of"]),
        dictated,
        telling,
        parts,
        bare,
    )


def _frames(read: Values, outright: bool, sign: bool = False) -> Iterator[WordFrame]:
    for question, by_choice in read.items():
        for choice, frames in by_choice.items():
            for frame in frames:
                parts = tuple(folded(part).replace(" ", "_") for part in frame.split("&"))
                yield WordFrame(
                    (question, choice.removeprefix(DENIES)), parts, choice.startswith(DENIES), outright, sign
                )


def _classes_known(frames: Iterable[WordFrame], classes: Mapping[str, tuple[str, ...]], read: Values) -> None:
    """A problem for each class that a frame names and nobody gives."""
    for frame in frames:
        for part in frame.parts:
            _known("a frame", part, classes, read, read.node)


def _classes_of_parts_known(classes: Mapping[str, tuple[str, ...]], read: Values) -> None:
    """A problem for each class that a run of a part names and nobody gives."""
    for kind, runs in read["parts"].items():
        for part in (part for run in runs for part in run.split()):
            _known(f"parts: {kind}", part, classes, read, read["parts"].nodes[kind])


def _known(of: str, part: str, classes: Mapping[str, tuple[str, ...]], read: Values, node: yaml.Node) -> None:
    for option in part.removeprefix("!").removesuffix("*").split("|"):
        if option.startswith("@") and option[1:] not in classes:
            read.at.diagnostics.add(
                "unknown-name",
                node,
                f'the word class "{shown(option, 60)}" of {of}',
                f"one of classes: {', '.join(sorted(classes))}",
                "add it under classes:, or correct it",
            )


def _of_classes(
    of: str, phrases: Iterable[_Placed], classes: Mapping[str, tuple[str, ...]], read: Values
) -> Iterator[str]:
    """The words of some phrases, those of a class where its name stands."""
    for words, node in phrases:
        for word in words:
            _known(of, word, classes, read, node)
            yield from classes.get(word[1:], ()) if word.startswith("@") else (word,)


def _words(phrases: Iterable[_Placed]) -> list[str]:
    return [word for words, _ in phrases for word in words]


class _Claims:
    """What each phrase gives, and where it was said first."""

    def __init__(self, at: Reading, says: dict[str, dict[str, tuple[Given, ...]]]) -> None:
        self._diagnostics, self.says = at.diagnostics, says
        self._first: dict[str, dict[str, yaml.Node]] = {}

    def put_all(self, phrases: Iterable[_Placed], gives: tuple[Given, ...], how: str) -> None:
        """Notes what each phrase of a list gives."""
        for words, node in phrases:
            self.put(words, gives, how, node)

    def put(self, phrases: tuple[str, ...], gives: tuple[Given, ...], how: str, node: yaml.Node) -> None:
        """Notes what phrases give; a problem where another answer has one already."""
        ways = ("said", "doubtful") if how in ("said", "doubtful") else (how,)
        for way in ways:
            if not self.says.get(way, {}).keys().isdisjoint(phrases):
                phrases = tuple(phrase for phrase in phrases if self._is_free(phrase, gives, way, node))
        self.says.setdefault(how, {}).update(dict.fromkeys(phrases, gives))
        self._first.setdefault(how, {}).update(dict.fromkeys(phrases, node))

    def _is_free(self, phrase: str, gives: tuple[Given, ...], way: str, node: yaml.Node) -> bool:
        there = self.says[way].get(phrase)
        if there is None or there == gives:
            return True
        first = self._first.get(way, {}).get(phrase)
        self._diagnostics.add(
            "phrase-twice",
            node,
            f'the phrase "{shown(phrase, 60)}" for {_named(gives)} and for {_named(there)}',
            "one meaning for each phrase",
            "take it out of one of the two, or put it under several:",
            see=((self._diagnostics.place(first), "the other one"),) if first else (),
        )
        return False


def _named(gives: tuple[Given, ...]) -> str:
    return " and ".join(f"{question}: {choice}" if choice else question for question, choice in gives)
