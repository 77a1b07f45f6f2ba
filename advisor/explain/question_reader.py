"""What a typed question asks, and about what: read by the wordings that the rules' files give, in any word order.

A pattern is words in order with anything between them: `how_long` stands together, `big/wide` are alternatives, `@may`
is a class of words, `!not` may not stand anywhere, `^` and `$` are the ends. Stems are compared by their stems,
contractions are written out, and a slip is set right to a word that the files use, never another word of the rules.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set

from msgspec import Struct

from advisor.explain.question_words import QuestionWords
from advisor.explain.sentence_forms import Forms
from advisor.model.asked import AskedSubject, ReadyAnswer
from advisor.model.ruleset import RuleSet

Stems = tuple[str, ...]
_CLAUSE = re.compile(r"[,.;:!?]+(?=\s|$)|\s-+\s")
_NAME = re.compile(r"(?<=[a-z,;] )[A-Z][a-z]{2,}\b")
SHORTEST_MENDED, TWO_SLIPS_FROM = 5, 8
#: So many words may stand between two of a pattern.
MOST_WORDS_BETWEEN = 3


class Pattern(Struct, frozen=True):
    """A pattern taken apart: at each place the runs of stems of which one stands there; what may not stand anywhere.

    `heads`: the first stems of the runs at each place.
    """

    items: tuple[tuple[Stems, ...], ...]
    heads: tuple[frozenset[str], ...]
    without: tuple[Stems, ...] = ()
    begins: bool = False
    ends: bool = False

    def can_be(self, words: frozenset[str]) -> bool:
        """Whether each of its places finds the first word of one of its runs at all."""
        return not any(map(words.isdisjoint, self.heads))

    def places(self, stems: Sequence[str], first: int) -> frozenset[int]:
        """The places of the words that it takes of a question whose first telling word stands at `first`."""
        starts = (first,) if self.begins else range(len(stems))
        return max((self.taken(stems, start) for start in starts), key=len, default=frozenset())

    def taken(self, stems: Sequence[str], start: int) -> frozenset[int]:
        """The places of the words that it takes when it begins at a place; none where it does not begin there."""
        if any(_find(stems, run, 0) >= 0 for run in self.without):
            return frozenset()
        at, places = start, set[int]()
        for place, runs in enumerate(self.items):
            reach = at + (MOST_WORDS_BETWEEN if place else 0)
            found = [(here, here + len(run)) for run in runs if at <= (here := _find(stems, run, at)) <= reach]
            if self.ends and place == len(self.items) - 1:
                ends = [(len(stems) - len(run), len(stems), run) for run in runs]
                found = [(here, end) for here, end, run in ends if at <= here <= reach and (*stems[here:],) == run]
            if not found:
                return frozenset()
            here, at = min(found, key=lambda each: (each[0], -each[1]))
            places |= {*range(here, at)}
        return frozenset(places)


def _find(stems: Sequence[str], run: Stems, at: int) -> int:
    """Where a run of stems stands, from a place on; -1 where it does not."""
    head, length = run[0], len(run)
    for start in range(at, len(stems) - length + 1):
        if stems[start] == head and (length == 1 or tuple(stems[start : start + length]) == run):
            return start
    return -1


class NamedSubject(Struct, frozen=True):
    """A subject that a question names, by how many words, and where."""

    subject: AskedSubject
    words: int
    at: int


class ReadQuestion(Struct, frozen=True):
    """A question read: its words, the kinds that it may be of and how well each fits, what it names, ready answers.

    `strange`: words that the rules and their wordings do not know. `asks`: by its form it is a question. `typed`: all
    its words, and `taken` at which of their places a kind, subject or ready answer finds its own.
    """

    text: str
    words: tuple[str, ...]
    kinds: tuple[tuple[str, float], ...]
    subjects: tuple[NamedSubject, ...]
    answers: tuple[tuple[ReadyAnswer, float], ...]
    strange: tuple[str, ...] = ()
    asks: bool = True
    typed: tuple[str, ...] = ()
    taken: Mapping[str, frozenset[int]] = {}

    def kind(self, name: str) -> float:
        """How well it fits a kind; 0 for not at all."""
        return dict(self.kinds).get(name, 0)

    def fits(self, names: Iterable[str]) -> list[float]:
        """How well it fits those of some kinds that it may be of, the best first."""
        return sorted(filter(None, map(self.kind, names)), reverse=True)


class Uncovered(Struct, frozen=True):
    """What a question says that an answer is not of: the words of other kinds of question, other words, and those of
    them that no rule and no wording knows and that stand where a thing stands. `covered`: how many words it is of;
    `elsewhere`: how many it leaves out in clauses that it does not answer; `deed`: the word behind who is to do it is
    left out, as in how do I.
    """

    asked: tuple[str, ...] = ()
    other: tuple[str, ...] = ()
    things: tuple[str, ...] = ()
    covered: int = 0
    elsewhere: int = 0
    deed: bool = False


#: Kinds that tell only of what an answer of another kind is.
_OF_NO_ANSWER = frozenset(
    {
        "of-the-repair",
        "of-the-use",
        "part-of-the-work",
        "tells-apart",
        "of-a-reading",
        "asks-may",
        "act-asked",
        "yes-or-no",
    }
)


class Reader:
    """The wordings of a rule set made ready to read questions by."""

    def __init__(self, rules: RuleSet) -> None:
        self.words = QuestionWords(rules)
        self._fillers, self.everyday = self.words.of_class("opens-with"), self.words.of_class("everyday")
        self._of_talk, self._of_day = self.words.of_class("talk"), self.words.of_class("day")
        self._doers = self.words.of_class("i")
        self._joins = self.words.of_class("joins")
        self._ahead, self._units = self.words.of_class("ahead-of-a-thing"), self.words.of_class("unit")
        self._classes = {name: each.stands_for for name, each in rules.intents.items() if each.stands_for}
        self.subjects = dict(_subjects(rules))
        self._kinds = [(name, self._patterns(each.said)) for name, each in rules.intents.items() if each.said]
        self._names = [(each, self._patterns(names_of(each, rules))) for each in self.subjects.values()]
        self._answers = [(each, self._patterns(each.said)) for each in rules.answers.values()]
        every = [patterns for _, patterns in (*self._kinds, *self._names, *self._answers)]
        used = {word for patterns in every for word in _stems_of(patterns)}
        self._used, self._misspelt = used, rules.phrases.spellings
        named = [each for subject, patterns in self._names if not subject.weak for each in patterns]
        alone = [run for each in named if len(each.items) == 1 for run in each.items[0] if len(run) == 1]
        self._trade = {run[0] for run in alone} - self.everyday
        self._alike: dict[str, set[str]] = {}
        for subject, patterns in self._names:
            same = {run[0] for each in patterns if len(each.items) == 1 for run in each.items[0] if len(run) == 1}
            for word in same if not subject.weak else ():
                self._alike.setdefault(word, set()).update(same)
        self._naming = {
            run[0] for _, patterns in self._names for each in patterns for runs in each.items for run in runs
        }
        self._own = {f"kind {name}": _stems_of(patterns) for name, patterns in self._kinds}
        self._own |= {subject.id: _stems_of(patterns) for subject, patterns in self._names}
        self._own |= {f"answer {answer.id}": _stems_of(patterns) for answer, patterns in self._answers}
        self._known = {self.words.stem(word) for text in _texts(rules) for word in self.words.split(text)} | used
        self._by_first: dict[str, list[str]] = {}
        for word in sorted(used):
            if len(word) >= SHORTEST_MENDED:
                self._by_first.setdefault(word[0], []).append(word)

    def _patterns(self, said: Iterable[str]) -> list[Pattern]:
        return [self._pattern(each) for each in said]

    def _pattern(self, text: str) -> Pattern:
        items, without, begins, ends = list[tuple[Stems, ...]](), list[Stems](), False, False
        for part in text.split():
            if part in ("^", "$"):
                begins, ends = begins or part == "^", ends or part == "$"
            elif part.startswith("!"):
                without += self._runs(part[1:])
            else:
                items.append(tuple(self._runs(part)))
        heads = tuple(frozenset(run[0] for run in runs) for runs in items)
        return Pattern(tuple(items), heads, tuple(without), begins, ends)

    def _runs(self, part: str) -> Iterator[Stems]:
        for each in part.split("/"):
            if each.startswith("@"):
                words = self._classes.get(each[1:]) or self.subjects[each[1:]].said
                yield from (run for word in words if " " not in word for run in self._runs(word))
            else:
                yield tuple(self.words.stem(word) for word in self.words.split(each.replace("_", " ")))

    def read(self, text: str) -> ReadQuestion:
        """A question read."""
        words = self.words.split(text)
        stems = [self._mended(self.words.stem(word)) for word in words if word != "?"]
        first = next((place for place, word in enumerate(stems) if word not in self._fillers), 0)
        taken, kinds = dict[str, frozenset[int]](), list[tuple[str, float]]()
        for name, patterns in self._kinds:
            score, taken[f"kind {name}"] = _best(patterns, stems, first)
            kinds += [(name, score)] if score else []
        subjects = self._named(stems, taken)
        if any(name == "difference" for name, _ in kinds):
            subjects = max(
                subjects,
                self._named(_both_whole(stems, self._joins, self.everyday), {}),
                key=lambda found: sum(not s.subject.weak for s in found),
            )
        names = {each.subject.id: each.words for each in subjects}
        answers = []
        for answer, patterns in self._answers:
            score, taken[f"answer {answer.id}"] = _best(patterns, stems, first)
            score = score + 2 if score else 0
            if answer.about and all(any(one in names for one in each.split("/")) for each in answer.about):
                own = [fit for name, fit in kinds if name in answer.kinds]
                if own:
                    about = sum(max(names.get(one, 0) for one in each.split("/")) for each in answer.about)
                    score = max(score, max(own) + about + len(answer.about) / 2)
            if score:
                answers.append((answer, score))
        answers.sort(key=lambda pair: -pair[1])
        telling = tuple(word for word in stems if word not in self._fillers)
        kinds.sort(key=lambda pair: -pair[1])
        strange = tuple(
            word for word in telling if word not in self._known and word.isalpha() and word not in self.everyday
        )
        typed = tuple(word for word in words if word != "?")
        return ReadQuestion(
            text, telling, tuple(kinds), tuple(subjects), tuple(answers), strange, typed=typed, taken=taken
        )

    def left_over(self, read: ReadQuestion, intent: str, subjects: Iterable[str], texts: Iterable[str]) -> set[str]:
        """The things of the trade that a question names and an answer neither is of nor names in any of their words."""
        weak = (each.subject.id for each in read.subjects if each.subject.weak)
        owners = (f"kind {intent}", f"answer {intent}", *subjects, *weak)
        own = set[str]().union(*(self._own.get(name, ()) for name in owners))
        told = {self.words.stem(word) for text in texts for word in self.words.split(text)}
        return {word for word in (self._trade & set(read.words)) - own if not self._alike.get(word, {word}) & told}

    def uncovered(
        self, read: ReadQuestion, intent: str, subjects: Iterable[str], texts: Iterable[str], whole: bool
    ) -> Uncovered:
        """The words of a question that an answer is not of: neither by its kind, its subject nor its text.

        Counted are the clauses that it answers. `whole`: it is of the whole case, and so of nothing that is named.
        """
        weak = (s.subject.id for s in read.subjects if s.subject.weak and not (whole and s.subject.question))
        owners = (f"kind {intent}", f"answer {intent}", *subjects)
        telling = frozenset[int]().union(*(read.taken.get(name, ()) for name in owners))
        of_answer = telling.union(*(read.taken.get(name, ()) for name in weak))
        kinds = (name for name, _ in read.kinds if name not in _OF_NO_ANSWER)
        of_kinds = frozenset[int]().union(*(read.taken.get(f"kind {name}", ()) for name in kinds))
        told = {self.words.stem(word) for text in texts for word in self.words.split(text)}
        own = self._own.get(f"kind {intent}", set()) | self._own.get(f"answer {intent}", set())
        talk = self._of_talk - self._naming if whole else self._of_talk
        plain = self.everyday | talk | self._fillers | self._names_in(read) | own | told
        stems = [self._mended(self.words.stem(word)) for word in read.typed]
        every = _clauses(read.text, self.words)
        clauses = [at for at in every if whole or telling & {*at}] or every
        asked, other, things, elsewhere, deed = list[str](), list[str](), list[str](), 0, False
        behind = max(read.taken.get(f"kind {intent}", ()), default=-1) + 1
        for at in (place for each in every for place in each):
            word, after = stems[at], stems[at + 1] if at + 1 < len(stems) else ""
            if at in of_answer or word in plain or not (word.isalpha() or after in self._units):
                continue
            if not any(at in clause for clause in clauses):
                elsewhere += 1
                continue
            (asked if at in of_kinds else other).append(read.typed[at])
            deed = deed or (at == behind > 0 and word.isalpha() and stems[at - 1] in self._doers)
            ends = not after or after in self.everyday | self._of_talk
            if word.isalpha() and word not in self._known and ends and at and stems[at - 1] in self._ahead:
                things.append(read.typed[at])
        return Uncovered(tuple(asked), tuple(other), tuple(things), len(of_answer), elsewhere, deed)

    def speaks_of_the_day(self, read: ReadQuestion) -> bool:
        """Whether a question names a day, of which the rules never speak."""
        return bool(set(read.words) & self._of_day)

    def not_known(self, read: ReadQuestion) -> list[str]:
        """The words of a question that neither the rules nor the wordings of questions have, as they were typed."""
        known = self._known | self.everyday | self._of_talk | self._fillers
        typed = [word for word in self.words.split(read.text) if word.isalpha()]
        return [word for word in dict.fromkeys(typed) if self._mended(self.words.stem(word)) not in known]

    def words_of(self, kind: str) -> set[str]:
        """The stems of all words that the wordings of a kind have."""
        return self._own.get(f"kind {kind}", set())

    def tells(self, word: str) -> bool:
        """Whether a word tells something: none of everyday talk."""
        return bool(set(self.words.stems(word)) - self.everyday - self._of_talk - self._fillers)

    def _names_in(self, read: ReadQuestion) -> set[str]:
        """Words that the rules do not know and that are written like names, inside a sentence."""
        return {
            found for name in _NAME.findall(read.text) if (found := self.words.stem(name.casefold())) not in self._known
        }

    def _named(self, stems: list[str], at: dict[str, frozenset[int]]) -> list[NamedSubject]:
        """What is named, the longest names first; a shorter one inside a longer one is none. Fills in where."""
        found, words = list[tuple[frozenset[int], AskedSubject]](), frozenset(stems)
        for subject, patterns in self._names:
            for pattern in (each for each in patterns if each.can_be(words)):
                found += [(taken, subject) for start in range(len(stems)) if (taken := pattern.taken(stems, start))]
        for taken, subject in found:
            at[subject.id] = at.get(subject.id, frozenset()) | taken
        kept = list[NamedSubject]()
        longer = list[frozenset[int]]()
        seen = set[str]()
        for taken, subject in sorted(found, key=lambda each: (-_reach(each[0]), each[1].weak, min(each[0]))):
            if subject.id in seen or any(taken < one for one in longer):
                continue
            seen.add(subject.id)
            longer.append(taken)
            kept.append(NamedSubject(subject, _reach(taken), min(taken)))
        return kept

    def _mended(self, word: str) -> str:
        """The word that was meant by a slip, or the word itself."""
        if word.endswith("in") and word not in self._known and self.words.stem(f"{word}g") in self._known:
            return self.words.stem(f"{word}g")
        if (
            word in self._known
            or len(word) < SHORTEST_MENDED
            or not word.isalpha()
            or word in self._fillers | self.everyday
        ):
            return word
        if word in self._misspelt:
            return self.words.stem(self._misspelt[word])
        from rapidfuzz.distance import OSA

        most = 2 if len(word) >= TWO_SLIPS_FROM else 1
        near = sorted(
            (slips, known)
            for known in self._by_first.get(word[0], ())
            if abs(len(known) - len(word)) <= most and (slips := OSA.distance(word, known, score_cutoff=most)) <= most
        )
        return near[0][1] if near and (len(near) == 1 or near[1][0] > near[0][0]) else word


def _clauses(text: str, words_of: QuestionWords) -> list[range]:
    """The places of the words of each clause of a text."""
    found, at = list[range](), 0
    for clause in _CLAUSE.split(text):
        words = [word for word in words_of.split(clause) if word != "?"]
        found += [range(at, at + len(words))] if words else []
        at += len(words)
    return found


_READERS: list[tuple[RuleSet, Reader, Forms]] = []


def _ready_for(rules: RuleSet) -> tuple[RuleSet, Reader, Forms]:
    for ready in _READERS:
        if ready[0] is rules:
            return ready
    _READERS[:] = [(rules, Reader(rules), Forms(rules)), *_READERS[:3]]
    return _READERS[0]


def reader_of(rules: RuleSet) -> Reader:
    """The wordings of a rule set made ready, once."""
    return _ready_for(rules)[1]


def forms_of(rules: RuleSet) -> Forms:
    """The lists and forms of a rule set's questions made ready, once."""
    return _ready_for(rules)[2]


def _reach(taken: frozenset[int]) -> int:
    return max(taken) - min(taken) + 1


_ARTICLES = frozenset({"a", "an", "the"})


def _both_whole(stems: list[str], joins: Set[str], everyday: Set[str]) -> list[str]:
    """Two things that share their last word, each with it: minor repair and a major repair."""
    for at in range(1, len(stems) - 2):
        behind = next((place for place in range(at + 1, len(stems)) if stems[place] not in _ARTICLES), at)
        if stems[at] in joins and behind + 1 < len(stems) and not everyday & {*stems[behind : behind + 2]}:
            return [*stems[:at], stems[behind + 1], *stems[at:]]
    return stems


def _stems_of(patterns: Iterable[Pattern]) -> set[str]:
    return {word for each in patterns for runs in each.items for run in runs for word in run}


def _best(patterns: Iterable[Pattern], stems: Sequence[str], first: int) -> tuple[float, frozenset[int]]:
    words = frozenset(stems)
    found = ((each, taken) for each in patterns if each.can_be(words) and (taken := each.places(stems, first)))
    scored = ((len(taken) + 0.25 * (each.begins + each.ends), taken) for each, taken in found)
    return max(scored, key=lambda pair: pair[0], default=(0, frozenset()))


def _subjects(rules: RuleSet) -> Iterator[tuple[str, AskedSubject]]:
    """The subjects of the files, then every term, question, finding and step that none of them stands for."""
    yield from rules.subjects.items()
    own = rules.subjects.values()
    words, questions = {each.word for each in own}, {each.question for each in own}
    steps = {step for each in own for step in each.steps}
    for name, word in rules.words.items():
        if name not in words:
            yield f"word:{name}", AskedSubject(f"word:{name}", word=name, name=word.title)
    for name, question in rules.questions.items():
        if name not in questions:
            yield f"question:{name}", AskedSubject(f"question:{name}", question=name, name=question.name)
    for method in rules.methods.values():
        for step in method.steps:
            if step.id not in steps and " " in step.title:
                steps.add(step.id)
                yield f"step:{step.id}", AskedSubject(f"step:{step.id}", steps=(step.id,), name=step.title)


def names_of(subject: AskedSubject, rules: RuleSet) -> Iterator[str]:
    """The words that name a subject: its own, those of its term and its question, a step's title."""
    yield from subject.said
    word = rules.words.get(subject.word)
    if word is not None:
        yield from (_together(name) for name in (word.title, *word.also))
    question = rules.questions.get(subject.question)
    if question is not None:
        name = question.name.removeprefix("the ").removeprefix("injury's ")
        names = {name, name.replace("'s ", " ")}
        yield from (_together(name) for name in sorted(names))
    if subject.id.startswith("step:"):
        yield _together(subject.name.replace("the ", ""))


def _together(name: str) -> str:
    return "_".join(name.split())


def _texts(rules: RuleSet) -> Iterator[str]:
    yield from (text for word in rules.words.values() for text in (word.says, word.title, *word.also))
    yield from (text for each in rules.questions.values() for text in (each.asks, each.how, each.why, each.name))
    yield from (each.says for each in rules.cautions.values())
    yield from (step.says for method in rules.methods.values() for step in method.steps)
    yield from (choice.says for each in rules.questions.values() for choice in each.choices)
