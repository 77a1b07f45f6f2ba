"""Marks what each stretch of a sentence is, and cuts it into clauses."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.quick import dataclass, field
from advisor.talk.hear.figures import Figure, figure_at
from advisor.talk.hear.lexicon import Lexicon, Sense
from advisor.talk.hear.tokens import Token, tokens_of

SENTENCE_ENDS = frozenset(".!?\n;")
SPLITTING = frozenset({"but", "though", "however", "although", "and", "plus", "then"})
SPLIT_MARKS = frozenset("/&+")


@dataclass(frozen=True, slots=True)
class Mark:
    """A stretch of tokens from `start` up to `end`, with its senses, figure or print.

    `kind`: phrase, figure, print, clock, word or sign. `denied`: a word of denial stands in its gap.
    """

    kind: str
    start: int
    end: int
    text: str
    senses: tuple[Sense, ...] = ()
    figure: Figure | None = None
    denied: bool = False

    def has(self, *hows: str) -> bool:
        """Whether one of its senses is of one of these kinds."""
        return any(sense.how in hows for sense in self.senses)

    @property
    def idle(self) -> bool:
        """Whether it says nothing by itself."""
        return self.has("filler", "nothing", "perhaps", "about", "correction", "first", "another", "noun-before")


@dataclass(slots=True)
class Clause:
    """The marks between two breaks; `sentence` counts sentences, `question` is whether it ends with a question mark."""

    marks: list[Mark]
    sentence: int
    opens: str = ""
    question: bool = False
    taken: set[int] = field(default_factory=set)

    def having(self, *hows: str) -> list[Mark]:
        """The marks that have a sense of these kinds."""
        return [mark for mark in self.marks if mark.has(*hows)]

    def take(self, *marks: Mark) -> None:
        """Notes marks as understood."""
        for mark in marks:
            self.taken.update(range(mark.start, mark.end))


def marked(line: str, lexicon: Lexicon) -> tuple[list[Token], list[Clause]]:
    """The tokens of a line and its clauses."""
    tokens = _joined([_spelled(token, lexicon) for token in tokens_of(line)])
    words = [token.text for token in tokens]
    marks: list[Mark] = []
    place = 0
    while place < len(tokens):
        mark = _mark_at(tokens, words, place, lexicon)
        marks.append(mark)
        place = mark.end
    return tokens, _clauses(marks, tokens)


def _spelled(token: Token, lexicon: Lexicon) -> Token:
    if token.kind != "word" or token.value is not None:
        return token
    text = token.text
    if text.endswith("'s") and text not in lexicon.speller.known and text[:-2] in lexicon.speller.known:
        return Token("word", text[:-2], token.start, token.end)
    right = lexicon.speller.right(text)
    return token if right == token.text else Token("word", right, token.start, token.end)


def _joined(tokens: list[Token]) -> list[Token]:
    """Without hyphens between two words: run-flat is run flat."""
    kept: list[Token] = []
    for place, token in enumerate(tokens):
        after = tokens[place + 1] if place + 1 < len(tokens) else None
        hyphen = token.text in "-–" and kept and after is not None and token.kind in ("mark", "sign")
        if hyphen and kept[-1].end == token.start and token.end == after.start:  # type: ignore[union-attr]
            if kept[-1].kind == "word" and after is not None and after.kind == "word":
                continue
            if kept[-1].kind == "number" and after is not None and after.kind == "word":
                continue
        kept.append(token)
    return kept


def _mark_at(tokens: Sequence[Token], words: list[str], place: int, lexicon: Lexicon) -> Mark:
    token = tokens[place]
    if token.kind in ("print", "clock", "break"):
        return Mark(token.kind, place, place + 1, token.text)
    if token.value is not None and words[place + 1 : place + 2] in (["o'clock"], ["oclock"]) and 1 <= token.value <= 12:
        return Mark("clock", place, place + 2, f"{token.value}:00")
    found = figure_at(tokens, place, lexicon)
    hit = lexicon.longest(words, place) if token.kind in ("word", "number", "mark", "pm") else None
    if found is not None and (hit is None or hit.length <= found.end - place):
        return Mark("figure", place, found.end, " ".join(words[place : found.end]), figure=found)
    if hit is not None:
        end = place + hit.length
        inside = {"no", "not", "never", "without", "didn't", "wasn't", "don't"} & set(words[place:end])
        return Mark("phrase", place, end, " ".join(words[place:end]), hit.senses, denied=hit.gap and bool(inside))
    return Mark("word" if token.kind == "word" else "sign", place, place + 1, token.text)


def _clauses(marks: list[Mark], tokens: Sequence[Token]) -> list[Clause]:
    clauses: list[Clause] = []
    here = Clause([], 0)
    sentence = 0

    def close(by: str) -> None:
        nonlocal here
        if here.marks:
            clauses.append(here)
        here = Clause([], sentence, by)

    for mark in marks:
        if mark.kind == "break" and mark.text != ":":
            if mark.text == "?":
                _put_question(clauses, here, sentence)
            if mark.text in SENTENCE_ENDS:
                sentence += 1
            close(mark.text)
        elif (mark.text in SPLITTING and mark.end - mark.start == 1) or (
            mark.kind == "sign" and mark.text in SPLIT_MARKS
        ):
            close(mark.text)
        elif mark.kind != "break":
            here.marks.append(mark)
    close("")
    return clauses


def _put_question(clauses: list[Clause], here: Clause, sentence: int) -> None:
    for clause in (*clauses, here):
        if clause.sentence == sentence:
            clause.question = True
