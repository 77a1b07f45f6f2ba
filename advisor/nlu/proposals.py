"""What becomes of hints: always a proposal with its words, never an answer, and only where nothing was told of it."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from advisor.model import inputs
from advisor.model.case import TIRE, Key
from advisor.model.ruleset import Question
from advisor.nlu.evidence import Piece
from advisor.nlu.hedge_scope import helps
from advisor.nlu.hints import Hints
from advisor.nlu.interpreter import ClauseAnswers
from advisor.nlu.lexicon import Lexicon
from advisor.nlu.loose_figures import Hint, one_each
from advisor.nlu.pressure_pair import pressures_in_pair
from advisor.nlu.qualifiers import ALTERED, CONTRARY, MEASURED, altered_within, nearly
from advisor.nlu.tagger import Clause

TRAILER = "trailer"
#: Axles of a truck that a trailer's may be taken for.
AXLES = frozenset({"steer", "drive"})
PLUG_ONLY = (inputs.FINDINGS, "puncture-plug-only", False)
BULGED = {((inputs.FINDINGS, TIRE), "bulge")}


def propose(clauses: Sequence[Clause], every: Sequence[Clause], sense: ClauseAnswers, lexicon: Lexicon) -> None:
    """Adds what is hinted at to what was gathered, each held back with its words."""
    hints: dict[tuple[Key, str], list[Hint]] = {}
    for hint in Hints(clauses, every, sense, lexicon).found():
        question = sense.rules.questions[hint.key[0]]
        several = question.kind in ("choices", "readings")
        hints.setdefault((hint.key, hint.written if several else ""), []).append(hint)
    told: dict[tuple[Key, str], list[Piece]] = {}
    for piece in sense.gathered.pieces:
        told.setdefault(_address(piece, sense), []).append(piece)
    for (key, part), found in hints.items():
        question = sense.rules.questions[key[0]]
        if key[0] == inputs.WHEEL_POSITION and not _of_truck(hints):
            vehicles = hints.get(((inputs.VEHICLE, TIRE), ""), ())
            vehicles = [each for each in vehicles if each.written != TRAILER]
            found = [hint for hint in found if not any(_within(hint, each) for each in vehicles)]
            found = [hint for hint in found if hint.written == "trailer"] or found
        if key[0] == inputs.VEHICLE:
            named = _named_vehicles(found, hints.get(((inputs.WHEEL_POSITION, TIRE), ""), ()))
            found = named or ([] if sense.vehicle or sense.asked else found)
        gone = [*filter(_washed_out, found)] if key[0] == inputs.SEALANT and _gone_counts(sense) else []
        if key[0] == inputs.SEALANT and sense.injuries.count and all(map(_washed_out, found)):
            continue  # what was cleaned out was the hole
        one = next((hint for hint in found if hint.against), None)
        one = one or (_one(question, gone or _but_it_is(question, found) or found) if found else None)
        if key[0] == inputs.BULGE_MARK and one and one.written == "no" and not (sense.asked or BULGED & hints.keys()):
            continue
        if one is None or (key[0] == inputs.MORE_INJURIES and sense.injuries.count > 1):
            continue
        piece = Piece(key[0], key[1], one.written, one.words, denied=one.absent, clause=one.clause)
        piece.hedge = _open_end(question, one, clauses) or one.why or f'"{one.words}" may say that'
        contrary = {hint.written for hint in found if isinstance(hint.clause, Clause) and hint.clause.opens in CONTRARY}
        there = told.get((key, part if question.kind == "choices" else ""), []) + told.get((key, "none"), [])
        for other in there:
            if one.against:
                other.written, other.denied, other.hedge = one.written, one.absent, one.why
                continue
            worse = helps(question, other) and not helps(question, piece)
            washed = bool(gone) and other.written == "yes"
            if (worse or washed or contrary - {other.written}) and not other.hedge:
                other.hedge = f'"{one.words}" beside it'
                meant = question.kind == "choice" and one.written in contrary and not helps(question, piece)
                other.written = one.written if washed or meant else other.written
                sense.gathered.ask(key[0], key[1], other.hedge)
        if not there:
            sense.gathered.say(piece)
            if question.over == "injuries" and (key[0] != inputs.MORE_INJURIES or sense.injuries.count):
                sense.injuries.count = max(sense.injuries.count, key[1] + 1)
    _of_trailer(sense)
    _of_plug(sense)
    _of_patches(sense)
    one_each(clauses, sense)
    pressures_in_pair(clauses, sense)


def _of_plug(sense: ClauseAnswers) -> None:
    """A plug that was never patched is an earlier repair, and no word that there is none."""
    pieces = sense.gathered.pieces
    plug = next((each for each in pieces if (each.question, each.written, each.denied) == PLUG_ONLY), None)
    for piece in pieces if plug else ():
        here, there = piece.clause, plug.clause if plug else None
        behind = isinstance(here, Clause) and isinstance(there, Clause) and there.marks[0].start < here.marks[0].start
        if behind and piece.question == inputs.EARLIER_REPAIRS and piece.written == "no" and plug:
            piece.written, piece.hedge = "yes", f'"{plug.words}" may say that'


def _of_patches(sense: ClauseAnswers) -> None:
    """Where only repairs may have been named, a place may be theirs: two patches in it, one in the crown."""
    earlier = any(piece.question == inputs.EARLIER_REPAIRS and piece.hedge for piece in sense.gathered.pieces)
    for piece in sense.gathered.pieces if earlier and not sense.injury_named else ():
        if piece.question == inputs.INJURY_ZONE and not piece.hedge:
            piece.hedge = f'"{piece.words}": of an injury, or of a repair?'


def _of_trailer(sense: ClauseAnswers) -> None:
    """All wheels of a trailer are trailer wheels, whichever was named, and a trailer axle is that of a trailer."""
    of_one = any(piece.question == inputs.VEHICLE and piece.written == TRAILER for piece in sense.gathered.pieces)
    for piece in sense.gathered.pieces if of_one else ():
        if piece.question == inputs.WHEEL_POSITION and piece.hedge and piece.written in AXLES:
            piece.written = TRAILER
    pieces = [piece for piece in sense.gathered.pieces if piece.question in (inputs.VEHICLE, inputs.WHEEL_POSITION)]
    told = {piece.question: piece for piece in pieces if piece.written == TRAILER}
    other = {inputs.VEHICLE, inputs.WHEEL_POSITION} - {piece.question for piece in pieces}
    for piece in told.values() if len(told) == 1 and other <= set(sense.rules.questions) else ():
        for name in other:
            why = f'"{piece.words}" may say that'
            sense.gathered.say(replace(piece, question=name, hedge=why, doubt="", weak=False))


def _of_truck(hints: dict[tuple[Key, str], list[Hint]]) -> bool:
    """Whether a truck is spoken of, so that rear may be its own: all wheels of a trailer are trailer wheels."""
    return any(hint.written == "truck" for hint in hints.get(((inputs.VEHICLE, TIRE), ""), ()))


def _gone_counts(sense: ClauseAnswers) -> bool:
    """Whether sealant that was cleaned out is none by these rules: it is where words by themselves say so."""
    return any((inputs.SEALANT, "no") in gives for gives in sense.rules.phrases.says.get("said", {}).values())


def _named_vehicles(found: list[Hint], wheels: Sequence[Hint]) -> list[Hint]:
    """Without what only the words for a wheel hint at: a steer tire may be a truck's, or of a bus that was named."""
    return [hint for hint in found if not any(one.at[0] < hint.at[1] and hint.at[0] < one.at[1] for one in wheels)]


def _washed_out(hint: Hint) -> bool:
    """Whether a clause without a denial tells that sealant was cleaned out since."""
    return hint.written == "no" and isinstance(hint.clause, Clause) and not hint.clause.having("no")


def _but_it_is(question: Question, found: Sequence[Hint]) -> list[Hint]:
    """What a clause that sets itself against the one before tells of a choice: sealant, but it's the factory's."""
    but = (hint for hint in found if isinstance(hint.clause, Clause) and hint.clause.opens in CONTRARY)
    return [hint for hint in but if question.kind == "choice"
            and not helps(question, Piece(*hint.key, hint.written, hint.words))]  # fmt: skip


def _open_end(question: Question, one: Hint, clauses: Sequence[Clause]) -> str:
    """What makes a figure another one, in its clause or behind it, or a place: it is 9 mm plus, nearly in the crown."""
    here = one.clause
    if not isinstance(here, Clause):
        return ""
    if question.kind not in MEASURED:
        word = nearly(here) if one.written in question.worse_order[:-1] else ""
        return f'{ALTERED} "{word}"' if word else ""
    rest = (each for each in clauses if each.sentence == here.sentence and each.marks[0].start >= here.marks[0].start)
    found = next((word for word in map(altered_within, rest) if word), None)
    return f'{ALTERED} "{found[0].strip()}"' if found else ""


def _address(piece: Piece, sense: ClauseAnswers) -> tuple[Key, str]:
    question = sense.rules.questions[piece.question]
    return ((piece.question, TIRE if question.over == "tire" else piece.index),
            piece.written if question.kind == "choices" else "")  # fmt: skip


def _one(question: Question, found: Sequence[Hint]) -> Hint | None:
    """One of several hints at the same: the worst where one is worse; none where they contradict each other."""
    if len({(hint.written, hint.absent) for hint in found}) == 1:
        return found[0]
    whole = [hint for hint in found if not any(_within(hint, other) for other in found)]
    if question.kind == "choices":
        return next((hint for hint in whole if not hint.absent), whole[0])
    order = question.worse_order
    if all(hint.written in order for hint in whole):
        return max(whole, key=lambda hint: order.index(hint.written))
    bad = [hint for hint in whole if not helps(question, Piece(*hint.key, hint.written, hint.words))]
    whole = bad or whole
    return whole[0] if len({(hint.written, hint.absent) for hint in whole}) == 1 else None


def _within(hint: Hint, other: Hint) -> bool:
    """Whether the words of a hint are a part of another's: the tractor of a lawn tractor."""
    near = hint.clause is other.clause or other.at[0] <= hint.at[0] < other.at[1]
    return hint.words != other.words and near and f" {hint.words} " in f" {other.words} "
