"""Figures and choices that a sentence's run tells, with no label beside them: had 15, wants 42; no, nearside front.

What is told so is always a proposal. Where a sentence sets something right, what stood before it goes with it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import count

from msgspec import Struct

from advisor.loader.answer_codec import read_written
from advisor.model import inputs
from advisor.model.case import TIRE
from advisor.model.problems import Misread
from advisor.model.ruleset import Question
from advisor.nlu.evidence import Piece
from advisor.nlu.qualifiers import ALTERED
from advisor.nlu.slots.base import ZONE, Sayer
from advisor.nlu.tagger import Clause, Mark, gives_of
from advisor.nlu.tokenizer import NUMBER_WORDS, ONES, TENS

_ONE, _TEN = "|".join(ONES), "|".join(TENS)
_SPOKEN = rf"(?:(?:a|one) hundred(?: and)?(?: (?:{_TEN}|{_ONE}))?|(?:{_TEN})(?:[ -](?:{_ONE}))?|(?:{_ONE}))\b"
#: A tread depth's unit, which a fraction as said is of no more: 9/32.
PARTS_OF_INCH = "32nds"
_HUNDRED = {"hundred": NUMBER_WORDS["ten"] * NUMBER_WORDS["ten"]}
_WRITTEN = r"\d+/\d+|\d+(?:[.,]\d+)?(?:[ -]\d+/\d+)?"
_UNIT = (
    r"(?:psi|pounds?|lbs?|bar|kpa|mm|mils?|mills?|millimet(?:er|re)s?|cm|in(?:ch|ches)?"
    r"(?! (?:it|there|the|them)\b)|\"|deg(?:rees?)?)(?!\w)"
)
_UNITS = {"kpa": "kPa", "pound": "psi", "lb": "psi", "mil": "mm", "mill": "mm",
          "millimeter": "mm", "millimetre": "mm", "inch": "in",
          "inches": "in", '"': "in", "degree": "deg", "deg": "deg"}  # fmt: skip
#: Behind a figure that is meant to be the pressure, or ahead of it.
_MEANT = (
    r"(?:wants?|wanted|needs?|needed|(?:is |was )?meant to (?:have|be)|should (?:be|have)|calls? for|called"
    r" for|asks for"
    r"|takes|placard(?: says| wants| is)?|plate(?:d at)?(?: says)?|spec(?: is)?|set (?:at|for)|supposed to"
    r" (?:have|be))"
)
_SO = r"(?: (?:it|is|was|only|about|around|just|at|the|a|to|be|have|psi|cold|says))*"
_ANY = r"[^?!;]"


class Run(Struct, frozen=True):
    """A run of words with figures: `<id>` is a figure of that question.

    `cues`: one of these words has to be in the line. `sets`: what was told of the same before no longer holds.
    `drops`: what the same words were taken for besides is in doubt.
    """

    cues: frozenset[str]
    text: str
    sets: bool = False
    drops: tuple[str, ...] = ()


_ANY_UNIT = re.compile(rf"(?<=\d) ?({_UNIT})")


def _run(cues: str, text: str, sets: bool = False, drops: tuple[str, ...] = ()) -> Run:
    return Run(frozenset(cues.split()), text, sets, drops)


_PRESSED = (
    "wants want wanted needs need needed meant should calls called asks takes placard plate plated spec set supposed"
)
_LONG = r"(?:along|long|lengthways|lengthwise)(?: the tread| round the ty?i?re)?"
_WIDE = r"(?:across|wide|broad|crossways)"
_AND = r"(?:,? (?:by|and|x)|,) (?:about )?"
_OF_UNIT = r"(?:patch|unit|section) (?:i'm|im|we're|i'll be|i am|that's|thats|i'll|we'll|i|we)\b"
_OF_OLD = (
    r"(?:(?:repair|patch|section)s? (?:done )?(?:before|already|there)|(?:old|earlier|previous|existing|last) (?:\w+ )?"
    r"(?:repair|patch|section|one)|section repair)"
)
_READ = (inputs.INJURY_SIZE, inputs.FOUND_PRESSURE)
_OF_INJURY = (inputs.INJURY_SIZE, inputs.INJURY_LENGTH, inputs.INJURY_ANGLE)
_OF_PATCH = (inputs.TREAD_WIDTH, inputs.INJURY_SIZE, inputs.INJURY_LENGTH, inputs.EARLIER_REPAIRS)
RUNS = (
    _run(_PRESSED, rf"<found-pressure>{_ANY}{{0,45}}?\b{_MEANT}{_SO} <set-pressure>"),
    _run(_PRESSED, rf"\b{_MEANT}{_SO} <set-pressure>{_ANY}{{0,35}}?\b(?:had|has|got|found|reads?|at|only|came in)"
         rf"(?: (?:it|only|about|in|at|with|just))* <found-pressure>"),
    _run("called for", r"<found-pressure>(?: (?:found|in it|there|on it|when found))?,? (?:and |but"
         r" )?<set-pressure> "
         r"(?:called for|wanted|needed|meant|required|on the (?:plate|placard|door|sticker))"),
    _run("psi pound bar", rf"\b(?:a|an) <set-pressure> (?:tire|tyre|one)\b{_ANY}{{0,25}}?\b"
         rf"(?:ran|run|driven|drove|had|found|running|runs|been|sat)"
         rf"(?: (?:it|him|her|on|with))* (?:at|on|with) <found-pressure>", sets=True),
    _run("this ours mine", rf"\b(?:other|mate|next|spare|front|neighbou?r)\b{_ANY}{{0,40}}?<found-pressure>"
         rf"{_ANY}{{0,6}}\b(?:this|ours|mine)(?: one)?(?:'s| is| had| has| reads| at| only)*"
         rf" <found-pressure>", sets=True),
    _run("bar except apart", rf"<tread-depth>{_ANY}{{0,30}}?\b(?:bar|except|apart from)(?: for)? (?:for"
         rf" )?(?:one|a|the|1)"
         rf" (?:\w+ )?(?:spot|place|bit|patch|rib|edge|shoulder|corner)(?: \w+)? (?:at|of|is|down to|with|on)"
         rf" <tread-depth>", sets=True, drops=_READ),
    _run("tread treads mm", rf"(?:\btreads?\b|mm (?:all round|all over|of"
         rf" tread|tread|left)){_ANY}{{0,40}}?\b(?:down|worn)"
         rf" to(?: about)? <tread-depth>(?! ?(?:psi|bar|kpa|pounds|lbs))", sets=True, drops=_READ),
    _run("across centre center middle", r"<tread-depth>(?: (?:across|in|at|on|down))+ (?:the"
         r" )?(?:cent(?:re|er)|middle),?"
         r" (?:and |but )?<tread-depth> (?:on|at|along|in) (?:the |its |one )?(?:\w+"
         r" )?(?:edge|shoulder|side|rib)"
         r"(?:,? (?:and |but )?<tread-depth> (?:on|at|along|in))?", sets=True, drops=_READ),
    _run("left remaining", r"<tread-depth>(?<=mm|32) (?:left|remaining)\b(?! (?:of|side|hand|in (?:it|there)))",
         drops=_READ[:1]),
    _run("before reamed reaming drilled drilling cleaned cleaning buffed opened", rf"<injury-size>{_ANY}{{0,25}}?"
         rf"\b(?:before|then) (?:\w+ ){{0,2}}(?:ream|drill|clean|buff|ran|open)\w*{_ANY}{{0,30}}?\b"
         rf"(?:it's|its|it is|now) (?:now )?(?:a |about )?<injury-size>", sets=True, drops=(inputs.INJURY_DEPTH,)),
    _run("reamed reaming carbide drilled drilling cleaned cleaning buffed opened", rf"<injury-size>{_ANY}{{0,12}}?"
         rf"\b(?:then|before){_ANY}{{0,35}}?\b(?:now|and|comes to|measures)(?: \w+){{0,2}} <injury-size>", sets=True),
    _run("measured measures is", r"<injury-size>(?: (?:measured|across|once|wide))* after"
         r" (?:ream|drill|clean|buff)ing"),
    _run("correction sorry make scratch meant mean", r"<found-pressure>(?: \w+){0,2},? (?:correction|no"
         r" sorry|sorry"
         r"|make that|scratch that|i meant?|no wait),? (?:its |it's )?<found-pressure>",
         sets=True, drops=(inputs.SET_PRESSURE,)),
    _run("apart", rf"<apart-along>(?: apart)? (?:along|round|around)(?: the (?:tread|tyre|tire))?{_AND}"
         rf"<apart-across>(?: apart)? (?:across|sideways)", sets=True),
    _run("apart", rf"<apart-along> apart (?:along|round|around)(?: the"
         rf" (?:tread|tyre|tire))?{_AND}<apart-across>"
         rf" (?:across|sideways)", sets=True),
    _run("mate dual twin", rf"\b(?:mate|dual|twin)\b{_ANY}{{0,30}}? <pair-diameter>(?: across| tall|"
         rf" high)?,? (?:and |but )?"
         rf"(?:this|ours)(?: one)?(?:'s| is| measures)? <own-diameter>", sets=True, drops=_READ[:1]),
    _run("girth round circumference", rf"\b(?:girth|circumference)\b{_ANY}{{0,15}}?<own-girth>{_ANY}{{0,25}}?"
         rf"\b(?:mate|twin|other dual)(?:'s| is| at| has)* <pair-girth>"),
    _run("wheel brush drill burr rasp carbide cutter buffer", r"\b(?:brush|burr|rasp|cutter|buffing"
         r" wheel|stone) (?:is|of|at)"
         r" (?:a |about )?<tool-diameter>", drops=_READ[:1]),
    _run("patch unit section", rf"{_OF_UNIT}{_ANY}{{0,25}}? <unit-length> {_LONG}{_AND}<unit-width>(?:"
         rf" {_WIDE})?",
         sets=True, drops=_OF_PATCH),
    _run("turned", rf"\b(?:unit|patch|section)(?:'s| is| will be)?{_ANY}{{0,20}}?\bturned"
         rf" (?:about |by )?"
         rf"<unit-turn>", drops=(inputs.INJURY_ANGLE,)),
    _run("repair repairs patch section", rf"{_OF_OLD}{_ANY}{{0,30}}? <repair-unit-length> {_LONG}{_AND}"
         rf"<repair-unit-width>(?: {_WIDE})?(?:,? (?:turned|twisted) (?:by |about )?<repair-unit-turn>)?",
         sets=True, drops=_OF_INJURY),
    _run("repair repairs patch section", rf"{_OF_OLD}{_ANY}{{0,60}}? <repair-offset> (?:off|from|out from)"
         rf" (?:the )?"
         rf"cent(?:re|er)", drops=(inputs.OFFSET,)),
    _run("square straight", rf"\boff (?:the )?(?:tread )?(?:face|surface){_ANY}{{0,20}}?<injury-angle>"
         rf" (?:off|from) "
         rf"(?:square|straight)", sets=True),
)  # fmt: skip
#: Behind one of these another choice of the same question is meant than the one before.
CHANGES = re.compile(
    r"\b(?:nope|nah|no)\b,? (?:it's|its|it is|that's|i mean|make that|the)\b|\b(?:i )?tell a lie\b|\bmy"
    r" mistake\b"
    r"|\b(?:fine|ok|okay|good|alright),? (?:but )?(?:it's|its|it is) the\b"
    r"|\bthought (?:it|that|this)(?:'d| was| were| is)\b.{0,60}?\b(?:it's|its|it is|is actually|turns out)\b"
    r"|\b(?:scratch|strike|scrap) that\b|\bcorrection\b|\bno wait\b",
    re.I,
)
_WANTING = frozenset({"want", "wants", "wanted", "need", "needs"})
_CHANGED = (ZONE, inputs.WHEEL_POSITION, inputs.VEHICLE)
_CHANGE_WORDS = frozenset({"nope", "nah", "no", "lie", "mistake", "fine", "ok", "okay", "good", "alright", "thought",
                           "scratch", "strike", "scrap", "correction", "tell"})  # fmt: skip
#: Behind a list of things looked for these deny all of it.
NONE_OF = re.compile(
    r"\b(?:checked|looked|felt|searched|checking|looking|feeling|went over it|been over it)\b[^.?!;]{0,15}?"
    r" for "
    r"(?P<list>[^.?!;]{3,120}?),? (?:and |but )?(?:i |we |there"
    r" )?(?:got|found|saw|had|see|was|were|is|are|find)? ?"
    r"(?:none(?: of (?:those|them|that|it|the lot))?|not one of (?:those|them)|no sign of any)\b\s*(?:[.,;]|$)",
    re.I,
)


def told_by_run(clauses: Sequence[Clause], every: Sequence[Clause], sense: Sayer) -> None:
    """Proposes what the run of a line tells; `clauses` are those of `every` one that tell something."""
    words = {token.text for token in sense.tokens}
    open_ones = [*clauses, *filter(_wanting, every)]
    lower = sense.line.casefold()
    spoken = any(token.kind == "word" and token.value is not None for token in sense.tokens)
    for run in RUNS:
        if run.cues.isdisjoint(words):
            continue
        for match in _compiled(run.text, spoken).finditer(lower):
            if _tells(run, match, open_ones, sense):
                _tell(run, match, open_ones, sense)
    if not _CHANGE_WORDS.isdisjoint(words):
        _changed(every, sense)
    if "none" in words or "not" in words:
        _none_of(clauses, sense)


def _wanting(clause: Clause) -> bool:
    """Whether a clause is set aside for nothing but what the tire wants."""
    aside = clause.having("aside")
    told = bool(aside) and all(mark.text.split()[0] in _WANTING for mark in aside)
    return told and not clause.question and not clause.having("supposed", "unsafe", "elsewhere")


def _tells(run: Run, match: re.Match[str], clauses: Sequence[Clause], sense: Sayer) -> bool:
    """Whether the last figure stands where something is told; any of them does where one is set right by another."""
    places = sorted(match.span(name)[0] for name, text in match.groupdict().items() if text)
    told = places if run.sets or f"<{inputs.PAIR_GIRTH}>" in run.text else places[-1:]
    return any(_covers(clause, place, sense) for clause in clauses for place in told)


def _covers(clause: Clause, place: int, sense: Sayer) -> bool:
    start, end = sense.tokens[clause.marks[0].start].start, sense.tokens[clause.marks[-1].end - 1].end
    return start <= place < end


@cache
def _compiled(text: str, spoken: bool) -> re.Pattern[str]:
    numbers = count()
    figure = f"{_WRITTEN}|{_SPOKEN}" if spoken else _WRITTEN
    return re.compile(
        re.sub(r"<([a-z-]+)>", lambda match: _group(match[1], next(numbers), figure), text.replace(" ", r"\s+")), re.I
    )


def _group(name: str, number: int, figure: str) -> str:
    known = f"{name.replace('-', '_')}_{number}"
    return rf"(?<![\w./,])(?P<{known}>{figure})(?:[ -]*(?P<in_{known}>{_UNIT}))?(?![\w/]|[.,]\d)"


def _tell(run: Run, match: re.Match[str], clauses: Sequence[Clause], sense: Sayer) -> None:
    figures = [(name, text) for name, text in match.groupdict().items() if text and not name.startswith("in_")]
    units = {name: _unit(match.groupdict()[f"in_{name}"] or "") for name, _ in figures}
    of_all = next((unit for unit in units.values() if unit), "")
    ahead = [_unit(each) for each in _ANY_UNIT.findall(sense.line[: match.start()])]
    told: dict[str, list[str]] = {}
    for name, text in figures:
        question = name.rpartition("_")[0].replace("_", "-")
        unit = units[name] or of_all
        written = next(
            filter(None, (_written(question, text, each, sense) for each in (unit, *ahead, "") if each or not unit)), ""
        )
        if not written:
            return
        told.setdefault(question, []).append(written)
    for question, values in told.items():
        if sense.rules.questions[question].kind != "readings":
            values = values[-1:]
        _propose(question, values, run.sets, match, clauses, sense)
    numbers = {each.split()[0] for values in told.values() for each in values}
    for piece in [*sense.gathered.pieces]:
        if piece.question not in run.drops or piece.denied or piece.question in told:
            continue
        if piece.written.split()[0] in numbers:
            sense.gathered.pieces.remove(piece)
        elif _within(piece, match, sense):
            piece.hedge = piece.hedge or f'{ALTERED} "{_said(match)}"'


def _unit(text: str) -> str:
    bare = text.casefold()
    return _UNITS.get(bare) or _UNITS.get(bare.removesuffix("s")) or bare


def _written(name: str, text: str, unit: str, sense: Sayer) -> str:
    question = sense.rules.questions.get(name)
    if question is None:
        return ""
    number = text if text[0].isdigit() else str(_spoken(text))
    unit = unit or question.unit
    if "/" in number and unit == PARTS_OF_INCH:
        unit = "in"
    written = f"{number.replace(',', '.')} {unit}".strip()
    try:
        read_written(question, written)
    except (Misread, ValueError):
        return ""
    return written


def _spoken(text: str) -> int:
    words = re.split(r"[ -]", text.casefold())
    hundreds = sum(_HUNDRED.get(word, 0) for word in words)
    return hundreds + sum(NUMBER_WORDS.get(word, 0) for word in words[bool(hundreds) :])


def _said(match: re.Match[str]) -> str:
    return " ".join(match[0].split())


def _propose(
    name: str, values: list[str], sets: bool, match: re.Match[str], clauses: Sequence[Clause], sense: Sayer
) -> None:
    question = sense.rules.questions[name]
    index = TIRE if question.over == "tire" else 0
    if question.over == inputs.OVER_REPAIRS:
        if not sense.repairs:
            sense.repairs = 1
            sense.gathered.say(Piece(inputs.EARLIER_REPAIRS, TIRE, "yes", _said(match), hedge=_why(match)))
        index = sense.repairs - 1
    elif question.over == "injuries":
        index = max(sense.injuries.now, 0)
        if sense.injuries.count > 1 and not sets:
            return
        sense.injuries.count = max(sense.injuries.count, index + 1)
    there = [piece for piece in sense.gathered.pieces if piece.question == name and piece.index in (index, TIRE, -1)]
    outright = [piece.written for piece in there if not piece.hedge]
    if (outright and not sets) or [piece.written for piece in there] == values == outright:
        return
    sense.gathered.pieces[:] = [piece for piece in sense.gathered.pieces if piece not in there]
    for each in values:
        sense.gathered.say(Piece(name, index, each, _said(match), clause=clauses[0], hedge=_why(match)))
    sense.gathered.asks.pop((name, index), None)
    _take(match.span(), clauses, sense)


def _why(match: re.Match[str]) -> str:
    return f'"{_said(match)}" may say that'


def _take(span: tuple[int, int], clauses: Sequence[Clause], sense: Sayer) -> None:
    within = [at for at, token in enumerate(sense.tokens) if span[0] <= token.start < span[1]]
    clauses[0].taken.update(
        at for at in within if sense.tokens[at].kind == "number" or sense.tokens[at].value is not None
    )


def _within(piece: Piece, match: re.Match[str], sense: Sayer) -> bool:
    """Whether a piece was told in the words of a match, or its clause reaches into them."""
    if not isinstance(piece.clause, Clause):
        return False
    start = sense.tokens[piece.clause.marks[0].start].start
    end = sense.tokens[piece.clause.marks[-1].end - 1].end
    return start < match.end() and match.start() < end


def _changed(clauses: Sequence[Clause], sense: Sayer) -> None:
    """Proposes the choice that a sentence puts in the place of another one: drive? nope, its the steer."""
    match = CHANGES.search(sense.line)
    if match is None:
        return
    for name in _CHANGED:
        question = sense.rules.questions.get(name)
        before, behind = list[tuple[str, str]](), list[tuple[str, str]]()
        for clause in clauses:
            for mark in clause.marks if not clause.question or clause is clauses[0] else ():
                given = [choice for one, choice in _given(mark) if one == name] or _of_another(mark, question)
                into = behind if sense.tokens[mark.end - 1].end > match.end() else before
                into += [(choice, mark.text) for choice in given]
        if question is None or not before or not behind or behind[0][0] == before[-1][0]:
            continue
        index = TIRE if question.over == "tire" else max(sense.injuries.now, 0)
        sense.gathered.pieces[:] = [piece for piece in sense.gathered.pieces if piece.question != name]
        sense.gathered.asks.pop((name, index), None)
        if question.over == "injuries":
            sense.injuries.count = max(sense.injuries.count, index + 1)
        why = f'set right: "{behind[0][1]}", not "{before[-1][1]}"'
        sense.gathered.say(Piece(name, index, behind[0][0], behind[0][1], clause=clauses[0], hedge=why))


def _of_another(mark: Mark, question: Question | None) -> list[str]:
    """The choice that the words for another one hold: the trailer one."""
    if question is None or not mark.has("elsewhere") or not mark.text.endswith(" one"):
        return []
    return [each.id for each in question.choices if each.id in mark.text.split()]


def _given(mark: Mark) -> Iterator[tuple[str, str]]:
    yield from gives_of(mark, "said", "noun", "doubtful", "alone")


def _none_of(clauses: Sequence[Clause], sense: Sayer) -> None:
    """A list of what was looked for that "none of those" ends is denied, each part of it."""
    match = NONE_OF.search(sense.line)
    if match is None:
        return
    start, end = match.span("list")
    for piece in sense.gathered.pieces:
        clause = piece.clause
        if not isinstance(clause, Clause) or piece.denied:
            continue
        begins = sense.tokens[clause.marks[0].start].start
        if sense.rules.questions[piece.question].kind == "choices" and match.start() <= begins <= end and start < end:
            piece.denied, piece.hedge = True, f'"{_said(match)[-40:]}": none of it?'
            sense.gathered.asks.pop((piece.question, piece.index), None)
