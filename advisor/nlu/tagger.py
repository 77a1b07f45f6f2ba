"""Marks what each stretch of a sentence is, and cuts it into clauses.

What marks could give, and how they stand to each other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from msgspec import Struct, field
from msgspec.structs import replace

from advisor.model import inputs
from advisor.model.lexicon_entries import Given
from advisor.nlu.lexicon import Hit, Lexicon, Sense
from advisor.nlu.scope_words import ASKS, BETWEEN_NOT, DENYING
from advisor.nlu.sentence_figures import Figure, clock_at, figure_at
from advisor.nlu.small_words import said_pattern, said_words
from advisor.nlu.tokenizer import CLOCK_TIME, NUMBER_WORDS, Token, tokens_of

SENTENCE_ENDS = frozenset(".!?\n;")
SPLITTING = said_words("splitting")
SAID, ALONE = frozenset({"said"}), frozenset({"alone"})
#: The ways of counting that are answers.
_ANSWERS = ("said", "doubtful", "alone", "noun", "denied")
#: Of a clause right behind a list of injuries: which of them it speaks of is open again.
LIST_ENDED = -2
#: A correction's figure stands so many marks behind it at most.
MOST_UP_TO_FIGURE = 3
#: A denial behind another one with its object begins a clause of its own: no bulge [no cord].
RUN_ON = ("no", "nor")
SPLIT_MARKS = frozenset("/&+")
#: What can't be told behind one of these follows from what was told: still on the rim so I don't know.
SO_THAT = frozenset({"so", "because", "since", "as", "cos"})
#: So near a word has to stand that tells what another one was dictated for.
MOST_WORDS_AWAY = 4
IN_IT = said_words("in-it")
NOT_OF_INJURIES = said_words("not-of-injuries")
#: What a figure ahead of an injury may be of, with no comma between, where it is in none of these units.
OF_TIRE = (inputs.TREAD_DEPTH, inputs.FOUND_PRESSURE, inputs.SET_PRESSURE)
LENGTHS_OF_INJURY = ("mm", "cm", "in")
ANSWERING = said_words("answering")
_CORRECTS_OR_NOT = said_words("corrects-or-not")
_DENIES = said_pattern("denies-ahead")
_SAYS_OF_IT = said_words("says-of-it")
#: Right behind a figure, with nothing further, these leave its upper end open.
OPENING_UP = frozenset({"plus", "+"})


PLATES = said_words("plates")
PAPERS = said_words("papers")
AHEAD_OF_A_DATE = said_words("ahead-of-a-date")
_YEAR = re.compile(r"(?:19[89]|20[0-4])\d")
#: The kind of a token that names a vehicle, and tells nothing of the tire.
MODEL = "model"
#: How a word says which vehicle it is: its maker's, its color; it is idle as well.
WHICH_ONE = "which-one"
_SAYS_WHICH = Hit(1, (Sense("filler"), Sense(WHICH_ONE)), frozenset({"filler", WHICH_ONE}))
#: A number of so many digits measures nothing, with no unit.
SHORTEST_CODE = 4
_NUMBER = frozenset({"number", "no", "nr", "code", "id", "#"})
_LINKING = frozenset({"is", "are", "read", "reads", "says", ":"})
_PLACES = frozenset({inputs.VEHICLE, inputs.WHEEL_POSITION})


class Mark(Struct, frozen=True, gc=False):
    """A stretch of tokens from `start` up to `end`, with its senses, figure or print.

    `hows` are the ways of its senses.
    `kind`: phrase, figure, print, clock, item (the number of an injury in a list), word or sign.
    `denied`: a word of denial stands in its gap. `run`: a further reading of a list that shares its unit.
    `loose`: words stand in its gap that a denial does not cross. `sign`: its denial is not that of what it gives.
    """

    kind: str
    start: int
    end: int
    text: str
    senses: tuple[Sense, ...] = ()
    hows: frozenset[str] = frozenset()
    figure: Figure | None = None
    denied: bool = False
    run: bool = False
    loose: bool = False
    sign: bool = False

    def has(self, *hows: str) -> bool:
        """Whether one of its senses is of one of these kinds."""
        return not self.hows.isdisjoint(hows)

    @property
    def idle(self) -> bool:
        """Whether it says nothing by itself."""
        return self.has(
            "filler", "nothing", "perhaps", "about", "correction", "first", "another", "noun-before", "closing"
        )


class Clause(Struct):
    """The marks between two breaks; `sentence` counts sentences, `question` is whether it ends with a question mark.

    `item` is the injury that it tells of as part of a list, -1 for none, or LIST_ENDED right behind such a list.
    """

    marks: list[Mark]
    sentence: int
    opens: str = ""
    question: bool = False
    taken: set[int] = field(default_factory=set)
    item: int = -1
    _hows: frozenset[str] | None = None
    _text: str | None = None

    @property
    def text(self) -> str:
        """What its marks read."""
        if self._text is None:
            self._text = " ".join(mark.text for mark in self.marks)
        return self._text

    @property
    def words(self) -> list[str]:
        """The words of its marks."""
        return self.text.split()

    @property
    def closing(self) -> bool:
        """Whether it ends a list and says nothing of what stands beside it: no more; the rest is fine."""
        return bool(self.having("closing")) and all(mark.has("closing", "filler") for mark in self.marks)

    def having(self, *hows: str) -> list[Mark]:
        """The marks that have a sense of these kinds."""
        if self._hows is None:
            self._hows = frozenset().union(*(mark.hows for mark in self.marks))
        if self._hows.isdisjoint(hows):
            return []
        return [mark for mark in self.marks if not mark.hows.isdisjoint(hows)]

    def drop(self, mark: Mark) -> None:
        """Goes on without a mark."""
        self.marks.remove(mark)
        self._hows = self._text = None

    def take(self, *marks: Mark) -> None:
        """Notes marks as understood."""
        for mark in marks:
            self.taken.update(range(mark.start, mark.end))


def marked(line: str, lexicon: Lexicon) -> tuple[list[Token], list[Clause]]:
    """The tokens of a line and its clauses."""
    typed = tokens_of(line)
    models = {at for place in range(len(typed) - 1) if _of_model(place, typed, lexicon) for at in (place, place + 1)}
    tokens = _joined([replace(token, kind=MODEL, text="#") if at in models else _spelled(token, lexicon)
                      for at, token in enumerate(typed)])  # fmt: skip
    if not lexicon.dictated.keys().isdisjoint(token.text for token in tokens):
        tokens = [_dictated(place, tokens, lexicon) for place in range(len(tokens))]
    tokens = [
        token
        for place, token in enumerate(tokens)
        if not (_of_label(tokens, place, lexicon) or _corrects_nothing(tokens, place))
    ]
    codes = {at for place in range(len(tokens)) for at in _code_behind(place, tokens, lexicon)}
    tokens = [replace(each, kind="mark", text="#") if at in codes else each for at, each in enumerate(tokens)]
    words = [token.text for token in tokens]
    glued = _glued(tokens, words, lexicon)
    marks: list[Mark] = []
    place = 0
    while place < len(tokens):
        mark = _mark_at(tokens, words, place, lexicon)
        if place in glued and (mark.kind == "word" or (mark.kind == "phrase" and _yields(mark, glued[place]))):
            mark = glued[place]
        marks.append(mark)
        place = mark.end
    return tokens, _clauses(_shared_unit(_hours(_counted_out(_without_makers(marks, lexicon)))), tokens)


def _corrects_nothing(tokens: Sequence[Token], place: int) -> bool:
    """Whether a word that corrects stands beside a denial, or ahead of how it is: didn't actually look."""
    if tokens[place].text not in _CORRECTS_OR_NOT or not place:
        return False
    ahead = tokens[place - 1].text
    goes_on = place + 1 < len(tokens) and tokens[place + 1].kind == "word"
    return bool(_DENIES.fullmatch(ahead)) or (goes_on and ahead in _SAYS_OF_IT)


def _without_makers(marks: Sequence[Mark], lexicon: Lexicon) -> list[Mark]:
    """The marks, where a word right ahead of a vehicle that may tell of nothing else only says which one it is."""
    kept = [*marks]
    for place in range(len(marks) - 2, -1, -1):
        mark, behind = kept[place], kept[place + 1]
        names = behind.has(WHICH_ONE) or any(question == inputs.VEHICLE for question, _ in gives_of(behind))
        if names and mark.kind == "word" and lexicon.may_name_a_vehicle(mark.text):
            kept[place] = replace(mark, kind="phrase", senses=_SAYS_WHICH.senses, hows=_SAYS_WHICH.hows)
    return kept


def _of_model(place: int, tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a year and a word that is none of the trade name a vehicle: 2019 and what its maker calls it; F350."""
    year, word = tokens[place], tokens[place + 1]
    if year.kind == "word" and len(year.text) == 1 and word.kind == "number" and word.start == year.end:
        return word.text.isdecimal() and len(word.text) == SHORTEST_CODE - 1
    if year.kind != "number" or not _YEAR.fullmatch(year.text) or word.kind != "word":
        return False
    of_print = place > 0 and tokens[place - 1].text in AHEAD_OF_A_DATE
    return not of_print and not lexicon.speller.may_be(word.text, lexicon.telling)


def _code_behind(place: int, tokens: Sequence[Token], lexicon: Lexicon) -> Iterator[int]:
    """The tokens of the code or number that a word for a paper or a plate announces; a figure with a unit is none."""
    if tokens[place].text not in PLATES | PAPERS:
        return
    at = place + 1
    while at < len(tokens) and tokens[at].text in _NUMBER | _LINKING:
        at += 1
    between = {each.text for each in tokens[place + 1 : at]}
    ends = at + 1 >= len(tokens) or tokens[at + 1].kind == "break" or len(tokens[at].text) >= SHORTEST_CODE
    ends = ends and at < len(tokens) and tokens[place].text in ("unit", "fleet")
    numbered = tokens[place].text in PAPERS or ends or not _NUMBER.isdisjoint(between)
    hit = lexicon.single(tokens[at].text) if at + 1 < len(tokens) and tokens[at].kind == "word" else None
    lettered = hit is not None and any(name in _PLACES for sense in hit.senses for name, _ in sense.gives)
    if lettered and (numbered or tokens[place].text not in ("unit", "fleet")):
        begin = at + 1 + (tokens[at + 1].text == "-")
        if begin < len(tokens) and _plain_number(begin, tokens, lexicon):
            yield at
            at, numbered = begin, True
    while numbered and at < len(tokens) and (tokens[at].text == "-" or _plain_number(at, tokens, lexicon)):
        yield at
        at += 1


def _plain_number(place: int, tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    figure = figure_at(tokens, place, lexicon) if tokens[place].text.isdecimal() else None
    return figure is not None and not (figure.unit or figure.high or figure.crossed) and figure.end == place + 1


def _glued(tokens: Sequence[Token], words: list[str], lexicon: Lexicon) -> dict[int, Mark]:
    """The frames that hold nothing but joining words between their parts, by where they begin; the longest counts."""
    found: dict[int, Mark] = {}
    begin = 0
    for place in range(len(tokens) + 1):
        if place < len(tokens) and not (tokens[place].kind == "break" or words[place] in SPLITTING):
            continue
        for frame in lexicon.frames.found(words, begin, place):
            there = found.get(frame.start)
            if not (frame.glued and frame.outright) or frame.absent or (there and there.end >= frame.end):
                continue
            inside = {words[at] for at in range(frame.start, frame.end) if at not in frame.own}
            loose = bool(inside & DENYING) and not frame.denial_plain
            text = " ".join(words[frame.start : frame.end])
            found[frame.start] = Mark("phrase", frame.start, frame.end, text, (Sense("said", (frame.gives,)),), SAID,
                                      denied=bool(inside & DENYING), loose=loose, sign=frame.sign)  # fmt: skip
        begin = place + 1
    return found


def _yields(mark: Mark, frame: Mark) -> bool:
    """Whether a frame counts in place of the phrase that begins with it: it is longer, or says more."""
    if mark.has("no", "cannot-tell", "not-yet"):
        return False
    return mark.end < frame.end or not mark.has("said", "label", "repair", "repair-doubtful")


def _of_label(tokens: list[Token], place: int, lexicon: Lexicon) -> bool:
    """Whether a token is the colon behind a label; behind several injuries, or their place, it ends a clause."""
    if tokens[place].text != ":" or not place or tokens[place - 1].kind != "word":
        return False
    hit = lexicon.single(tokens[place - 1].text)
    return hit is None or not hit.has("thing", "opening", "noun")


def _spelled(token: Token, lexicon: Lexicon) -> Token:
    if token.kind != "word" or token.value is not None:
        return token
    text = token.text
    if text.endswith("'s") and text[:-2] in lexicon.speller.known:
        named = lexicon.single(text[:-2])
        gives = [name for each in named.senses for name, _ in each.gives] if named else []
        if text not in lexicon.speller.known or inputs.INJURY_ZONE in gives:
            return Token("word", text[:-2], token.start, token.end)
    shortened = f"{text[:-1]}'s"
    if text.endswith("s") and text not in lexicon.speller.known and shortened in lexicon.speller.known:
        return Token("word", shortened, token.start, token.end)
    right = lexicon.speller.right(text)
    return token if right == token.text else Token("word", right, token.start, token.end)


def _dictated(place: int, tokens: Sequence[Token], lexicon: Lexicon) -> Token:
    """The token, or the word of the trade that dictation wrote it for, where a word near it tells."""
    token = tokens[place]
    right, beside = lexicon.dictated.get(token.text, ("", frozenset()))
    near = {each.text for each in tokens[max(0, place - MOST_WORDS_AWAY) : place + MOST_WORDS_AWAY + 1]}
    return replace(token, text=right) if near & beside else token


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
    if token.kind in ("print", CLOCK_TIME, "break", "item"):
        return Mark(token.kind, place, place + 1, token.text)
    if clock := clock_at(words, place):
        return Mark(CLOCK_TIME, place, clock[1], clock[0])
    found = figure_at(tokens, place, lexicon)
    hit = lexicon.longest(words, place) if token.kind in ("word", "number", "mark", "pm") else None
    if hit is not None and (hit.vague or hit.open or hit.hows == ALONE) and _better_inside(words, place, hit, lexicon):
        hit = lexicon.single(words[place])
    if found is not None and (hit is None or hit.length <= found.end - place):
        return Mark("figure", place, found.end, " ".join(words[place : found.end]), figure=found)
    if hit is not None:
        end = place + hit.length
        inside = set(words[place:end]) - set(hit.gap) if hit.gap else set()
        denied = bool(DENYING & inside)
        loose = denied and not inside <= DENYING | BETWEEN_NOT
        return Mark("phrase", place, end, " ".join(words[place:end]), hit.senses, hit.hows, denied=denied, loose=loose)
    return Mark("word" if token.kind == "word" else "sign", place, place + 1, token.text)


def _better_inside(words: list[str], place: int, hit: Hit, lexicon: Lexicon) -> bool:
    """Whether a phrase that answers begins inside a vague one and reaches beyond it: in [the middle of the tread]."""
    answers = ("said", "doubtful") if hit.vague else ("said", "label") if hit.hows == ALONE else ("said",)
    for inner in range(place + 1, place + hit.length):
        other = lexicon.longest(words, inner)
        if other is not None and not other.vague and other.has(*answers) and inner + other.length > place + hit.length:
            return True
    return False


def _counted_out(marks: list[Mark]) -> list[Mark]:
    """Number words in a row ahead of 32nds are figures as well: seven and six and [five thirty-seconds]."""
    counted = [*marks]
    for place, mark in enumerate(marks):
        if mark.figure is None or mark.figure.unit != "32nds":
            continue
        at = place - 2
        while at >= 0 and marks[at + 1].text in (",", "and") and marks[at].text in NUMBER_WORDS:
            number = Figure(marks[at].end, str(NUMBER_WORDS[marks[at].text]))
            counted[at] = replace(marks[at], kind="figure", figure=number)
            at -= 2
    return counted


def _hours(marks: list[Mark]) -> list[Mark]:
    """A bare number ahead of a place on the clock is one too: patches at [3] and 8 o'clock."""
    found = [*marks]
    for place, (at, hour, joint, clock) in enumerate(zip(marks, marks[1:], marks[2:], marks[3:], strict=False)):
        bare = hour.figure is not None and not hour.figure.unit and hour.text.isdecimal()
        if at.text == "at" and bare and joint.text in ("and", ",", "&") and clock.kind == CLOCK_TIME:
            found[place + 1] = replace(hour, kind=CLOCK_TIME, text=f"{hour.text}:00", figure=None)
    return found


def _shared_unit(marks: list[Mark]) -> list[Mark]:
    """Readings in a list get the unit of the last: tread 5, 4 and 3.5 thirty-seconds."""
    shared: list[Mark] = []
    place = 0
    while place < len(marks):
        run = _run_from(marks, place)
        last = marks[run[-1]].figure if run else None
        if last is None or not _is_list(marks, place, run):
            shared.append(marks[place])
            place += 1
            continue
        of_tread = _of_tread(marks, place, run)
        for number, at in enumerate(run):
            figure = marks[at].figure
            assert figure is not None
            unit = figure.unit or (last.unit or ("32nds" if last.low.endswith("/32") else ""))
            if not of_tread:
                shared.extend(marks[run[number - 1] + 1 : at] if number else ())
            shared.append(replace(marks[at], figure=replace(figure, unit=unit), run=of_tread and number > 0))
        place = run[-1] + 1
    return shared


def _run_from(marks: list[Mark], place: int) -> list[int]:
    """The places of figures from here on that only commas, "and" or "or" stand between."""
    if marks[place].figure is None:
        return []
    run = [place]
    at = place + 1
    while at < len(marks):
        joints = at
        while at < len(marks) and (marks[at].text in (",", "and", "or", "&", "/")) and at - joints < 2:
            at += 1
        if at == joints or at >= len(marks) or marks[at].figure is None:
            break
        run.append(at)
        at += 1
    return run


def _is_list(marks: list[Mark], place: int, run: list[int]) -> bool:
    """Whether figures in a row are readings of one thing: only the last has its unit, and a word says of what."""
    figures = [marks[at].figure for at in run]
    if len(run) < 2 or any(one is None or one.unit or one.fraction or one.high for one in figures[:-1]):
        return False
    last = figures[-1]
    of_pressure = any(labels_for(each, name) for each in marks[max(0, place - 2) : place] for name in OF_TIRE[1:])
    if last is None or last.high or (of_pressure and last.quantity != "pressure"):
        return False
    if not (last.unit or last.low.endswith("/32")):
        return _of_tread(marks, place, run)
    told = any(mark.has("thing", "opening") for mark in marks[:place])
    return (last.unit == "32nds" and not told) or _of_tread(marks, place, run) or _of_injuries(marks[:place], len(run))


def _of_injuries(ahead: list[Mark], figures: int) -> bool:
    """Whether as many injuries were named ahead as there are figures: three holes, 3, 4 and 5 mm."""
    for place, mark in enumerate(ahead):
        if mark.has("thing", "opening") and mark.text.endswith("s"):
            numbers = [_count(each) for each in ahead[max(0, place - 2) : place]]
            if figures in numbers:
                return True
    return False


def _count(mark: Mark) -> int:
    if mark.text.isdecimal() and len(mark.text) < 3:
        return int(mark.text)
    return 2 if mark.text == "both" else NUMBER_WORDS.get(mark.text, 0)


def _of_tread(marks: list[Mark], place: int, run: list[int]) -> bool:
    near = [*marks[max(0, place - 2) : place], *marks[run[-1] + 1 : run[-1] + 2]]
    return any(labels_for(mark, inputs.TREAD_DEPTH) for mark in near)


def _sets_figure_right(marks: Sequence[Mark], place: int, ahead: Sequence[Mark]) -> bool:
    """Whether a correction with no comma round it stands between two figures: hole is 4 mm no wait that's 12 mm."""
    behind = marks[place + 1 : place + 1 + MOST_UP_TO_FIGURE]
    return any(mark.figure for mark in ahead) and any(mark.figure for mark in behind)


def _clauses(marks: list[Mark], tokens: Sequence[Token]) -> list[Clause]:
    clauses: list[Clause] = []
    here = Clause([], 0)
    sentence = 0

    def close(by: str) -> None:
        nonlocal here
        if here.marks:
            clauses.append(here)
        here = Clause([], sentence, by)

    for place, mark in enumerate(marks):
        if mark.text in OPENING_UP and _ends_clause(marks, place):
            here.marks.append(mark)
        elif mark.kind == "break" and mark.text != ":":
            if mark.text == "?":
                answered = {each.text for each in marks[place + 1 : place + 2]} & ANSWERING
                alone = answered and here.marks and not ASKS.match(" ".join(each.text for each in here.marks))
                _put_question(() if alone else clauses, here, sentence)
            if mark.text in SENTENCE_ENDS:
                sentence += 1
            close(mark.text)
        elif _begins_own(marks, place, here.marks):
            close(mark.text)
            here.marks.append(mark)
        elif (mark.text in SPLITTING and mark.end - mark.start == 1) or (
            mark.kind == "sign" and mark.text in SPLIT_MARKS
        ):
            close(mark.text)
        elif mark.kind == "break" and (
            any(each.has("thing", "opening") and each.text.endswith("s") for each in here.marks)
            or (here.marks and ASKS.match(here.text))
        ):
            close(":")
        elif mark.has("correction") and _sets_figure_right(marks, place, here.marks):
            close(",")
            here.marks.append(mark)
            close(",")
        elif mark.kind == "item":
            close("item")
            here.marks.append(mark)
        elif mark.kind != "break":
            here.marks.append(mark)
    close("")
    return clauses


def _begins_own(marks: Sequence[Mark], place: int, ahead: Sequence[Mark]) -> bool:
    """Whether a mark begins a clause of its own with no break ahead: a denial, what can't be told, one of several."""
    mark = marks[place]
    return (
        (mark.text in RUN_ON and _denied_before(ahead))
        or (mark.text.split()[0] in ("it's", "its") and _other_denied(ahead))
        or _told_before(mark, ahead)
        or _run_together(marks, place, ahead)
        or (mark.has("all") and bool(ahead) and _points(ahead[0]) and len(ahead) > 1)
        or (_points(mark) and marks[place + 1 : place + 2] != [] and _one_of_several(marks[place + 1], ahead))
    )


def _run_together(marks: Sequence[Mark], place: int, ahead: Sequence[Mark]) -> bool:
    """Whether a thing or a tread depth begins a clause with no comma: no cord showing [tread 9/32] [hole in the crown].

    What stands ahead is a denial with its object, or a figure of the tire with what it is of.
    """
    mark, joined = marks[place], bool(ahead) and ahead[-1].text in ("or", "nor", "and", "a", "an")
    behind = [each for each in marks[place + 1 : place + 3] if each.text not in ("is", "at", "was", "about")][:1]
    depth = labels_for(mark, inputs.TREAD_DEPTH) and bool(behind) and behind[0].figure is not None
    counted = bool(ahead) and ahead[-1].figure is not None and not ahead[-1].figure.unit
    if joined or not (depth or (mark.has("thing", "opening") and not counted)):
        return False
    figures = [at for at, each in enumerate(ahead) if each.figure is not None]
    told = bool(figures) and any(labels_for(each, name) for each in ahead[: figures[-1]] for name in OF_TIRE)
    length = bool(figures) and ahead[figures[-1]].figure.unit in LENGTHS_OF_INJURY  # type: ignore[union-attr]
    return _denied_before(ahead) or (told and not length)


def _points(mark: Mark) -> bool:
    return mark.has("first", "another") or mark.text == "one"


def _one_of_several(follows: Mark, ahead: Sequence[Mark]) -> bool:
    """Whether several were named ahead, or one of them: two nails [one in the crown] [the other in the sidewall]."""
    if follows.text.split()[0] in NOT_OF_INJURIES or not ahead or _points(ahead[-1]):
        return False
    several = any(each.has("thing", "opening") and each.text.endswith("s") for each in ahead)
    return several or (any(map(_points, ahead[:3])) and len(ahead) > 1)


def _ends_clause(marks: Sequence[Mark], place: int) -> bool:
    """Whether a word stands right behind a figure and last in its clause: 9 mm plus."""
    last = place + 1 == len(marks) or marks[place + 1].kind == "break"
    return last and place > 0 and marks[place - 1].figure is not None


def _denied_before(marks: Sequence[Mark]) -> bool:
    """Whether a denial stands ahead with its own object right behind it: no bulge [no cord]."""
    return bool(marks) and bool(gives_of(marks[-1])) and any(mark.text in ("no", "nor", "without") for mark in marks)


def _other_denied(marks: Sequence[Mark]) -> bool:
    """Whether a denial stands ahead with what it denies: it's not the rear [it's the front]."""
    denials = [at for at, mark in enumerate(marks) if mark.has("no")]
    behind = marks[denials[-1] + 1 :] if denials else ()
    return any(mark.figure is not None or gives_of(mark) or mark.has("asks", "label") for mark in behind)


def _told_before(mark: Mark, marks: Sequence[Mark]) -> bool:
    """Whether what can't be told begins a clause of its own behind what was: 2 in long [don't know how deep]."""
    told = any(each.figure is not None and each.figure.unit for each in marks)
    return mark.has("cannot-tell") and (told or any(each.text in SO_THAT for each in marks[-MOST_UP_TO_FIGURE:]))


def _put_question(clauses: Sequence[Clause], here: Clause, sentence: int) -> None:
    for clause in (*clauses, here):
        if clause.sentence == sentence:
            clause.question = True


def gives_of(mark: Mark, *hows: str) -> list[Given]:
    """What a mark could give, by any way of counting that is an answer."""
    wanted = hows or _ANSWERS
    if mark.hows.isdisjoint(wanted):
        return []
    return [given for sense in mark.senses if sense.how in wanted for given in sense.gives]


def beside(mark: Mark) -> bool:
    """Whether a word says beside or away from, and not in: near the, from the, off the."""
    if mark.text in ("and", "or", "either", "over"):
        return False
    return mark.has("beside") or mark.text.split()[0] in ("from", "off")


def labels_for(mark: Mark, question: str) -> bool:
    """Whether a mark labels a question's figure."""
    return any(sense.how == "label" and (question, "") in sense.gives for sense in mark.senses)


def a_place(mark: Mark, clause: Clause) -> bool:
    """Whether a word for the tread names a place and labels no figure: dead center of the tread, 4 mm."""
    place = clause.marks.index(mark)
    ahead = [each.text for each in clause.marks[max(0, place - 2) : place]]
    return mark.text == "tread" and len(ahead) == 2 and ahead[1] == "the" and ahead[0].split()[-1] in IN_IT


def has_article(mark: Mark, clause: Clause) -> bool:
    """Whether an article stands right ahead: a bulge."""
    place = clause.marks.index(mark)
    return place > 0 and clause.marks[place - 1].text in ("a", "an", "one", "some")


def span_of(mark: Mark, labels: Sequence[Mark]) -> tuple[Mark, Mark]:
    """The first and the last of a figure's marks."""
    every = sorted([mark, *labels], key=lambda each: each.start)
    return every[0], every[-1]
