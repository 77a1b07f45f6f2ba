"""What a sentence hints at and does not say outright: a weak word, a frame with strange words in it, a loose figure.

A hint is always a proposal with its words, never an answer, and only where the sentence told nothing of the question.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from advisor.loader.answer_codec import read_written
from advisor.model import inputs
from advisor.model.case import TIRE, Key
from advisor.model.problems import Misread
from advisor.model.quantity import number_of
from advisor.model.ruleset import Question
from advisor.nlu.evidence import Loose, Piece
from advisor.nlu.factuality import asked_in, of_repair
from advisor.nlu.frames import FrameFound
from advisor.nlu.hedge_scope import ALWAYS_THERE, helps
from advisor.nlu.interpreter import ClauseAnswers, joined_by_or
from advisor.nlu.lexicon import Lexicon
from advisor.nlu.negation_scope import AFFIRMS, OWN_DENIAL
from advisor.nlu.part_runs import part_runs_of
from advisor.nlu.qualifiers import ALTERED, CONTRARY, MEASURED, altered_within, nearly, withdrawn
from advisor.nlu.scope_words import BEHIND, BETWEEN_NOT, DENYING, EXCEPTING, NO_WORDS, OTHER_TIRE
from advisor.nlu.sentence_figures import Figure
from advisor.nlu.slots.base import ZONE
from advisor.nlu.slots.injury_zones import said_well
from advisor.nlu.slots.measures import (
    ALONG_CUT,
    CUTS,
    OF_UNIT,
    SERIAL_SIDE,
    figure_fits,
    figure_with_unit,
    in_fahrenheit,
)
from advisor.nlu.tagger import ANSWERING, Clause, Mark, a_place, beside, gives_of, labels_for
from advisor.nlu.tokenizer import NUMBER_WORDS
from advisor.nlu.which_tire import AS_OTHER, ON_PAPER, words_heard

#: Of figures that a reason of these takes out of play nothing is proposed.
_OUT_OF_PLAY = ("a distance", "a bound", "denied", "what it has to be", "which is across")
_WEAK = ("noun", "alone", "doubtful")
_OF_QUANTITY = {
    "speed": inputs.MEAN_SPEED,
    "angle": inputs.INJURY_ANGLE,
    "share": inputs.HUMIDITY,
    "temperature": inputs.SHOP_TEMPERATURE,
}
_OF_REPAIR = ("repair", "repair-doubtful")
DENIALS = NO_WORDS | DENYING
#: What stands behind one of these is not denied by a word ahead of it: no other than the one section.
SETTING_APART = frozenset({"than", "besides", "bar", "but", "except", "apart", "aside"})
#: Of a finding in the same clause these are told besides: what is seen around the injury, and how deep it goes.
BESIDE_FINDINGS = frozenset({inputs.INSIDE_SIGNS, inputs.INJURY_DEPTH})
#: What a hole was widened to is its size.
WIDENED = re.compile(r"\b(?:open|clean|wid|ream|drill|buff)\w* (?:up |out )?to\b")
#: With one of these an earlier repair may be spoken of.
REPAIRED = frozenset({"patch", "patches", "plug", "plugs", "repair", "repairs", "mushroom", "vulc", "unit", "string"})
#: These are told of an injury though none was named; all but the first only where no figure stands beside them.
OF_ITSELF = (
    inputs.INJURY_DEPTH,
    ZONE,
    inputs.LEAN,
    inputs.INJURY_ANGLE,
    inputs.INSIDE_SIGNS,
    inputs.INSIDE_GROOVES,
    inputs.MORE_INJURIES,
)
#: A clause that begins so and names a place tells where the injury is.
OF_IT = frozenset({"it", "it's", "its", "mine's", "mine", "ours", "this one's"})
#: With one of these a way along the tread is that of a length.
LENGTHS = frozenset({"apart", "between", "long", "length", "runs", "running"})
TRAILER = "trailer"
PLUG_ONLY = (inputs.FINDINGS, "puncture-plug-only", False)
BULGED = {((inputs.FINDINGS, TIRE), "bulge")}
STILL_ON = (inputs.DEMOUNTED, "no")
#: What is said of all injuries of several.
OF_ALL = frozenset({"both", "each", "all"})
#: What a rim by itself tells of the kind of tire.
RIMS = {"22.5": "medium-truck", "24.5": "medium-truck"}
#: Right behind a figure these tell that it is of what wears down: 7 mm left.
LEFT = frozenset({"left", "remaining"})
#: Behind one of these a bare number of so much and more may be a pressure: this one's at 21.
READ, LEAST_READ = frozenset({"at", "had", "reads", "read", "got", "says", "said", "showed", "shows"}), 15
#: What a question may name of the tire at hand, and the word class of one that asks what holds of any tire.
OF_RULES = "of-rules"
NAMED_ASKING = frozenset({ZONE, inputs.VEHICLE, inputs.WHEEL_POSITION, inputs.FINDINGS, inputs.INSIDE_SIGNS})
#: What one tire may have and another not.
SET_AGAINST = frozenset({inputs.FINDINGS, inputs.INSIDE_SIGNS, inputs.SEALANT, inputs.RETREAD, inputs.RUN_LOW,
                         inputs.SELF_SUPPORTING, inputs.EARLIER_REPAIRS, inputs.DEMOUNTED})  # fmt: skip
#: Right ahead of a figure these tell how much is gone.
GONE = frozenset({"lost", "lose", "loses", "losing", "drops", "dropping"})
#: So many injuries at least are told of in turn.
SEVERAL = 2


class Hint(Struct, frozen=True):
    """One thing hinted at: address, value as written, its words, whether it is that there is none."""

    key: Key
    written: str
    words: str
    absent: bool = False
    clause: object = None
    why: str = ""
    at: tuple[int, int] = (0, 0)


def propose(clauses: Sequence[Clause], every: Sequence[Clause], sense: ClauseAnswers, lexicon: Lexicon) -> None:
    """Adds what is hinted at to what was gathered, each held back with its words."""
    hints: dict[tuple[Key, str], list[Hint]] = {}
    asked = _in_questions(clauses, every, sense, lexicon)
    against = [*_set_against(clauses, every, sense, lexicon)]
    for hint in (*_all(clauses, every, sense, lexicon), *_answered(every, sense, lexicon), *asked, *against):
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
        one = next((hint for hint in found if hint in against), None) or (
            _one(question, gone or found) if found else None
        )
        if key[0] == inputs.BULGE_MARK and one and one.written == "no" and not (sense.asked or BULGED & hints.keys()):
            continue
        if one is None or (key[0] == inputs.MORE_INJURIES and sense.injuries.count > 1):
            continue
        piece = Piece(key[0], key[1], one.written, one.words, denied=one.absent, clause=one.clause)
        piece.hedge = _open_end(question, one, clauses) or one.why or f'"{one.words}" may say that'
        contrary = {hint.written for hint in found if isinstance(hint.clause, Clause) and hint.clause.opens in CONTRARY}
        there = told.get((key, part if question.kind == "choices" else ""), []) + told.get((key, "none"), [])
        for other in there:
            if one in against:
                other.written, other.denied, other.hedge = one.written, one.absent, one.why
                continue
            worse = helps(question, other) and not helps(question, piece)
            washed = bool(gone) and other.written == "yes"
            if (worse or washed or contrary - {other.written}) and not other.hedge:
                other.hedge = f'"{one.words}" beside it'
                other.written = one.written if washed else other.written
                sense.gathered.ask(key[0], key[1], other.hedge)
        if not there:
            sense.gathered.say(piece)
            if question.over == "injuries" and (key[0] != inputs.MORE_INJURIES or sense.injuries.count):
                sense.injuries.count = max(sense.injuries.count, key[1] + 1)
    _of_trailer(sense)
    _of_plug(sense)
    _one_each(clauses, sense)
    _set_right(clauses, sense)


def _one_each(clauses: Sequence[Clause], sense: ClauseAnswers) -> None:
    """Proposes the sizes of several injuries that are told in turn, as many as there are: one 3 mm one 5."""
    many = sense.injuries.declared
    marks = [(mark, clause) for clause in clauses for mark in clause.marks if not _of_another(clause, sense)]
    told = [(mark, mark.figure, clause) for mark, clause in marks
            if mark.figure is not None and (mark.figure.unit or mark.start not in clause.taken)]  # fmt: skip
    units = {figure.unit for _, figure, _ in told if figure.unit}
    named = {name for mark, _ in marks for each in mark.senses if each.how == "label" for name, _ in each.gives}
    apart = any(mark.text in ("apart", "between", "each") for mark, _ in marks)
    if (
        apart
        or many < SEVERAL
        or len(told) != many
        or len(units) != 1
        or not named <= {inputs.INJURY_SIZE, inputs.CLOCK}
    ):
        return
    question = sense.rules.questions[inputs.INJURY_SIZE]
    unit = units.pop()
    written = [replace(figure, unit=unit).written() for _, figure, _ in told]
    if not all(figure_fits(question, replace(figure, unit=unit)) for _, figure, _ in told) or unit == "32nds":
        return
    plain = [piece for piece in sense.gathered.pieces if piece.question == inputs.INJURY_SIZE]
    if sorted((piece.index, piece.written) for piece in plain) == [*enumerate(written)]:
        return
    sense.gathered.pieces[:] = [piece for piece in sense.gathered.pieces if piece not in plain]
    for index, (mark, _, clause) in enumerate(told):
        sense.gathered.asks.pop((inputs.INJURY_SIZE, index), None)
        words = sense.line[sense.tokens[mark.start].start : sense.tokens[mark.end - 1].end]
        hedge = f'"{words}": of this one of {many}?'
        sense.gathered.say(Piece(inputs.INJURY_SIZE, index, written[index], words, clause=clause, hedge=hedge))
        clause.take(mark)


def _of_plug(sense: ClauseAnswers) -> None:
    """A plug that was never patched is an earlier repair, and no word that there is none."""
    pieces = sense.gathered.pieces
    plug = next((each for each in pieces if (each.question, each.written, each.denied) == PLUG_ONLY), None)
    for piece in pieces if plug else ():
        here, there = piece.clause, plug.clause if plug else None
        behind = isinstance(here, Clause) and isinstance(there, Clause) and there.marks[0].start < here.marks[0].start
        if behind and piece.question == inputs.EARLIER_REPAIRS and piece.written == "no" and plug:
            piece.written, piece.hedge = "yes", f'"{plug.words}" may say that'


def _of_trailer(sense: ClauseAnswers) -> None:
    """All wheels of a trailer are trailer wheels, whichever was named, and a trailer axle is that of a trailer."""
    pieces = [piece for piece in sense.gathered.pieces if piece.question in (inputs.VEHICLE, inputs.WHEEL_POSITION)]
    told = {piece.question: piece for piece in pieces if piece.written == TRAILER}
    other = {inputs.VEHICLE, inputs.WHEEL_POSITION} - {piece.question for piece in pieces}
    for piece in told.values() if len(told) == 1 and other <= set(sense.rules.questions) else ():
        for name in other:
            why = f'"{piece.words}" may say that'
            sense.gathered.say(replace(piece, question=name, hedge=why, doubt="", weak=False))


def _set_right(clauses: Sequence[Clause], sense: ClauseAnswers) -> None:
    """Proposes the figure that a sentence puts in the place of another one: 4 psi, i mean 14; 14, not 4."""
    marks = [(mark, clause) for clause in clauses for mark in clause.marks if not mark.idle or mark.has("correction")]
    for at, (mark, clause) in enumerate(marks):
        number = mark.figure.low if mark.figure else str(NUMBER_WORDS.get(mark.text, ""))
        if not number or mark.start in clause.taken or (mark.figure and mark.figure.unit):
            continue
        around = [each for each, _ in (*marks[max(0, at - 1) : at], *marks[at + 1 : at + 2]) if each.has("correction")]
        behind = [each for each, _ in marks[at + 1 : at + 3]]
        denied = len(behind) > 1 and behind[0].text == "not" and behind[1].figure
        old = denied.low if denied else ""
        piece = _piece_before(mark, clause, old, sense)
        if piece is None or not (old or around):
            continue
        last = piece.written.split()[-1]
        written = f"{number}/32 in" if piece.written.endswith("/32 in") else f"{number} {last}"
        try:
            read_written(sense.rules.questions[piece.question], written)
        except Misread:
            continue
        words = sense.line[sense.tokens[mark.start].start : sense.tokens[mark.end - 1].end]
        piece.hedge = f'{ALTERED} "{words}"'
        piece.written, piece.words = written, f"{piece.words}; {words}"
        clause.take(mark)


def _piece_before(mark: Mark, clause: Clause, old: str, sense: ClauseAnswers) -> Piece | None:
    """The last figure of the sentence that was made something of, up to a clause; the one that is denied, if any."""
    for piece in reversed(sense.gathered.pieces):
        here = piece.clause
        if sense.rules.questions[piece.question].kind != "measure" or not isinstance(here, Clause):
            continue
        if here.sentence != clause.sentence or here.marks[0].start > mark.start or "-" in piece.written:
            continue
        if not old or old in piece.written.split():
            return piece
    return None


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
    return hint.words != other.words and hint.clause is other.clause and f" {hint.words} " in f" {other.words} "


def _all(clauses: Sequence[Clause], every: Sequence[Clause], sense: ClauseAnswers, lexicon: Lexicon) -> Iterator[Hint]:
    words = [token.text for token in sense.tokens]
    degrees = any(one.mark.figure is not None and one.mark.figure.unit == "deg" for one in sense.gathered.loose)
    injured = sense.injury_named or sense.injuries.count > 0 or degrees
    injured = injured or any(each.having("thing") and _asking(each, every) for each in every)
    apart = {place for each in every for mark in each.having("nothing") for place in range(mark.start, mark.end)}
    named = not REPAIRED.isdisjoint(word for place, word in enumerate(words) if place not in apart)
    repaired = sense.repairs > 0 or any(map(of_repair, clauses)) or named
    clauses = [clause for clause in clauses if not _of_another(clause, sense)]
    for place, clause in enumerate(clauses):
        marks = [mark for each in clauses if each.sentence == clause.sentence for mark in each.marks]
        found = list(_of_frames(clause, words, sense, lexicon, _begin(place, clauses), marks))
        if clause.having("cannot-tell", "not-yet", "open", "supposed") or _denied_list(place, clauses):
            unseen = bool(clause.having("not-yet", "cannot-tell"))
            yield from (each for each in found if (each.key[0], each.written) == STILL_ON and unseen)
            continue
        found += [hint for mark in clause.marks for hint in _of_mark(mark, clause, words, sense, lexicon, repaired)]
        found += _of_rims(clause, sense)
        repaired = repaired or any(hint.key[0] == inputs.EARLIER_REPAIRS and hint.written == "yes" for hint in found)
        elsewhere = not clause.having("thing", "opening") and (
            any(name == inputs.FINDINGS for mark in clause.marks for name, _ in gives_of(mark, "said"))
            or any(hint.key[0] == inputs.FINDINGS for hint in found)
        )
        plain = not (repaired or clause.having("road") or any(mark.figure is not None for mark in clause.marks))
        for each in found:
            if each.key[0] == ZONE and (_well(each, clause) or (sense.repairs and not sense.injury_named)):
                continue
            over = sense.rules.questions[each.key[0]].over
            of_it = injured or (each.key[0] == ZONE and clause.marks[0].text in OF_IT)
            of_it = of_it or (each.key[0] in OF_ITSELF and not each.absent and (plain or each.key[0] == OF_ITSELF[0]))
            told = (
                repaired
                if over == inputs.OVER_REPAIRS
                else of_it and not (elsewhere and not (injured and each.key[0] in BESIDE_FINDINGS))
            )
            injured = injured or (each.key[0] in (ZONE, inputs.INJURY_DEPTH) and of_it)
            if over == inputs.OVER_TIRE or told:
                clause.taken.update(range(*each.at))
                yield each
    yield from _of_figures(clauses, sense, injured)


def _well(hint: Hint, clause: Clause) -> bool:
    """Whether a hint at a place only names a part that is well: crown looks fine, one scratch."""
    part = next((mark for mark in clause.marks if mark.start >= hint.at[0]), None)
    return part is not None and not clause.having("thing", "opening") and said_well(clause, part)


def _answered(every: Sequence[Clause], sense: ClauseAnswers, lexicon: Lexicon) -> Iterator[Hint]:
    """What is asked and answered in one breath: bulge? yes; sealant? no."""
    words = [token.text for token in sense.tokens]
    for clause, follows in pairwise(every):
        if not clause.question or follows.sentence == clause.sentence or follows.marks[0].text not in ANSWERING:
            continue
        said = "said" if follows.marks[0].text in AFFIRMS else "denied"
        begin, end = clause.marks[0].start, clause.marks[-1].end
        if {"i", "we"} & set(words[begin:end]) or any(mark.text == "or" for mark in follows.marks):
            continue
        found = [(frame.gives, frame.start, frame.end) for frame in lexicon.frames.found(words, begin, end)
                 if not frame.absent]  # fmt: skip
        found += [(given, mark.start, mark.end) for mark in clause.marks for given in gives_of(mark)]
        for (name, choice), start, stop in found:
            if choice and not clause.having("no"):
                yield from _hint(sense.rules.questions[name], choice, said, start, stop, clause, sense)


def _set_against(
    clauses: Sequence[Clause], every: Sequence[Clause], sense: ClauseAnswers, lexicon: Lexicon
) -> Iterator[Hint]:
    """What is said by a mere yes or no behind what was said of another tire, or stood on paper: this one doesn't."""
    words, parts = [token.text for token in sense.tokens], part_runs_of(sense.rules.phrases)
    for before, clause in pairwise(every):
        here = words_heard(clause)
        if clause.question or not parts.whole_words(here, AS_OTHER):
            continue
        of_this = any(clause is each for each in clauses) and not any(before is each for each in clauses)
        if not of_this and not parts.has(words_heard(before), ON_PAPER):
            continue
        denied = any(word in DENIALS or word.endswith("n't") for word in here)
        found = [(frame.gives, frame.start, frame.end)
                 for frame in lexicon.frames.found(words, before.marks[0].start, before.marks[-1].end)
                 if not frame.absent]  # fmt: skip
        found += [(given, mark.start, mark.end) for mark in before.marks for given in gives_of(mark)]
        why = f'"{" ".join(here)}": as was said ahead of it?'
        for (name, choice), start, stop in found:
            if not DENIALS.isdisjoint(words[start:stop]):
                choice = sense.flipped(name, choice)
            if name in SET_AGAINST and choice:
                hints = _hint(
                    sense.rules.questions[name], choice, "denied" if denied else "said", start, stop, clause, sense
                )
                yield from (replace(hint, why=why) for hint in hints)


def _in_questions(
    clauses: Sequence[Clause], every: Sequence[Clause], sense: ClauseAnswers, lexicon: Lexicon
) -> Iterator[Hint]:
    """What a question names of the tire at hand, and asks no rule of: is a nail in the shoulder fixable?"""
    words, of_rules = [token.text for token in sense.tokens], {*sense.rules.phrases.classes.get(OF_RULES, ())}
    for clause in every if len(clauses) < len(every) and sense.injuries.count <= 1 else ():
        begin, end = clause.marks[0].start, clause.marks[-1].end
        at_hand = clause.having("thing", "opening") or {"like", "with", "has"} & set(words[begin:end])
        barred = clause.having("no", "elsewhere", "past", "road") or of_rules & set(words[begin:end])
        if barred or not at_hand or any(clause is each for each in clauses) or not _asking(clause, every):
            continue
        found = [(frame.gives, frame.start, frame.end) for frame in lexicon.frames.found(words, begin, end)
                 if not frame.absent]  # fmt: skip
        found += [(given, mark.start, mark.end) for mark in clause.marks for given in gives_of(mark)
                  if not mark.has("denied")]  # fmt: skip
        for (name, choice), start, stop in found:
            question = sense.rules.questions[name]
            said = sense.line[sense.tokens[start].start : sense.tokens[stop - 1].end]
            why = f'"{said}", in a question'
            hint = Hint((name, TIRE if question.over == "tire" else 0), choice, said, False, clause, why, (start, stop))
            if name in NAMED_ASKING and not helps(question, Piece(name, 0, choice, said)):
                yield hint


def _asking(clause: Clause, every: Sequence[Clause]) -> bool:
    asked = asked_in([each for each in every if each.sentence == clause.sentence])
    return any(clause is each for each in asked)


def _denied_list(place: int, clauses: Sequence[Clause]) -> bool:
    """Whether a clause only goes on with the names of a denial ahead: no bulges, [lumps or bumps]."""
    clause, follows = clauses[place], clauses[place + 1] if place + 1 < len(clauses) else None
    ahead = any(each.sentence == clause.sentence and each.having("no") for each in clauses[:place])
    return ahead and joined_by_or(clause, follows)


def _of_another(clause: Clause, sense: ClauseAnswers) -> bool:
    """Whether a clause speaks of another tire; an inside dual may be this one, the other one of several injuries."""
    other = OTHER_TIRE.search(" ".join(mark.text for mark in clause.marks))
    named = sense.injuries.declared > 1 or sense.injury_named
    of_injury = named and other is not None and other[0] == "the other"
    return other is not None and not other[0].endswith("dual") and not of_injury


def _of_frames(
    clause: Clause,
    words: Sequence[str],
    sense: ClauseAnswers,
    lexicon: Lexicon,
    begin: int,
    marks: Sequence[Mark],
) -> Iterator[Hint]:
    for frame in lexicon.frames.found(words, begin, clause.marks[-1].end):
        if frame.end <= clause.marks[0].start or _asunder(frame, begin, clause, words):
            continue
        said = _said(clause, words, frame.start, frame.end, frame.own, lexicon.frames.words)
        if frame.absent:
            said = "said" if said == "denied" and _denial_spent(frame.start, clause) else said
            said = {"said": "denied", "denied": ""}.get(said, "")
        question = sense.rules.questions[frame.gives[0]]
        if _spoken_for(frame.start, frame.end, question.id, clause):
            continue
        angled = any(mark.figure is not None and mark.figure.quantity == "angle" for mark in marks)
        if question.id == inputs.LEAN and not angled and LENGTHS & set(words[begin : clause.marks[-1].end]):
            continue
        yield from _hint(question, frame.gives[1], said, frame.start, frame.end, clause, sense)


def _asunder(frame: FrameFound, begin: int, clause: Clause, words: Sequence[str]) -> bool:
    """Whether a frame is none: good except the liner; no bulge, could have been run flat; no cracks, liner fine."""
    between = " ".join("|" if at in frame.own else words[at] for at in range(frame.start, frame.end))
    if any(f" {each} " in between for each in (*EXCEPTING, "but")):
        return True
    return any(
        words[at] in DENIALS for at in range(begin, clause.marks[0].start) if frame.start < clause.marks[0].start
    )


def _denial_spent(start: int, clause: Clause) -> bool:
    """Whether the denial ahead has its own object: no bulge [beads look good]."""
    ahead = [mark for mark in clause.marks if mark.end <= start]
    denials = [at for at, mark in enumerate(ahead) if mark.has("no")]
    return bool(denials) and any(gives_of(mark) for mark in ahead[denials[-1] + 1 :])


def _spoken_for(start: int, end: int, name: str, clause: Clause) -> bool:
    """Whether words stand in a phrase that means nothing, or in one of not having demounted: haven't broke the bead."""
    for mark in clause.marks:
        told = gives_of(mark, "said")
        apart = mark.has("nothing") or (name == inputs.FINDINGS and STILL_ON in told)
        if apart and mark.start < end and start < mark.end and mark.text.count(" ") > 1:
            return True
        of_kind = name == inputs.FINDINGS and start < mark.end and mark.start < end <= mark.end and " " in mark.text
        if of_kind and any(given == inputs.REPAIR_KIND for given, _ in gives_of(mark, *_OF_REPAIR)):
            return True  # plug and patch is no plug without one
        within = mark.start <= start and end <= mark.end and end - start < mark.end - mark.start
        if within and told and name in (inputs.FOUND_PRESSURE, inputs.INJURY_ANGLE, inputs.RUN_LOW):
            return all(name != other for other, _ in told)
    return False


def _of_mark(
    mark: Mark, clause: Clause, words: Sequence[str], sense: ClauseAnswers, lexicon: Lexicon, repaired: bool
) -> Iterator[Hint]:
    """What a word says mostly, or by itself: said where nothing else told of its question."""
    if not mark.has(*_WEAK, *_OF_REPAIR, "denied"):
        return
    place = clause.marks.index(mark)
    near = any(beside(each) for each in clause.marks[max(0, place - 2) : place])
    own = frozenset(range(mark.start, mark.end)) if words[mark.start] in OWN_DENIAL else frozenset[int]()
    said = _said(clause, words, mark.start, mark.end, own, lexicon.frames.words)
    weak = [*gives_of(mark, *_WEAK), *(gives_of(mark, *_OF_REPAIR) if repaired else ())]
    weak += [given for given in gives_of(mark, "denied") if said == "denied" or given[1] != ALWAYS_THERE]
    for name, choice in weak:
        if not near or name in (ZONE, inputs.FINDINGS):
            yield from _hint(sense.rules.questions[name], choice, said, mark.start, mark.end, clause, sense)


def _begin(place: int, clauses: Sequence[Clause]) -> int:
    """Where frames of a clause may begin: a clause that names nothing goes on from the one before."""
    clause, before = clauses[place], clauses[place - 1] if place else None
    names = clause.having("said", "denied", "noun", "thing", "opening", "label", "repair-named", "no")
    if before is None or names or before.sentence != clause.sentence or clause.opens in CONTRARY:
        return clause.marks[0].start
    return before.marks[0].start


def _of_rims(clause: Clause, sense: ClauseAnswers) -> Iterator[Hint]:
    """The kind of tire that a rim tells where no size was read, which tells it by itself: it's a 22.5 though."""
    question = sense.rules.questions.get(inputs.TIRE_CLASS)
    known = {choice.id for choice in question.choices} if question is not None else set()
    for mark in clause.marks:
        choice = RIMS.get(mark.text, "")
        if mark.figure is not None and not mark.figure.unit and choice in known:
            yield Hint((inputs.TIRE_CLASS, TIRE), choice, mark.text, False, clause)


def _said(
    clause: Clause, words: Sequence[str], start: int, end: int, own: frozenset[int], known: frozenset[str]
) -> str:
    """`said`, `denied` by plain words, or empty where it can't be told; `own` are places of what is said itself."""
    first, last = clause.marks[0].start, clause.marks[-1].end
    cues = {mark.start for mark in clause.having("no") if mark.text not in EXCEPTING}
    denying = {at for at in range(min(first, start), last) if words[at] in DENIALS or words[at].endswith("n't")}
    denying -= {mark.start for mark in clause.marks if mark.start >= end and " " in mark.text and not mark.has("no")}
    denials = sorted(at for at in (denying | cues) - own if at < end or not _has_own_object(at, clause))
    ahead = [at for at in denials if at < start]
    if len(denials) > 1 and (not ahead or any(after - at == 1 for at, after in pairwise(denials))):
        return ""
    if ahead:
        between = set(words[ahead[-1] + 1 : start])
        return "denied" if between <= BETWEEN_NOT | known and between.isdisjoint(SETTING_APART) else ""
    near = [at for at in denials if at <= end + 1 and set(words[max(at + 1, end) : last]) <= BEHIND]
    return "denied" if near else "" if denials and denials[0] <= end + 1 else "said"


def _has_own_object(denial: int, clause: Clause) -> bool:
    """Whether what a denial denies stands right behind it: the shoulder, not [the crown]."""
    behind = next((mark for mark in clause.marks if mark.start > denial and not mark.idle), None)
    return behind is not None and bool(gives_of(behind, "said", "noun", "alone", "doubtful"))


def _hint(
    question: Question, choice: str, said: str, start: int, end: int, clause: Clause, sense: ClauseAnswers
) -> Iterator[Hint]:
    tokens = sense.tokens
    words = sense.line[tokens[start].start : tokens[end - 1].end]
    absent = False
    if not said:
        sense.gathered.ask(question.id, sense.injuries.now, f'"{words}": said, or denied?')
        return
    if said == "denied":
        absent = question.kind == "choices" and choice != "none"
        choice = choice if absent else sense.flipped(question.id, choice)
        if not choice:
            return
    for index in sense.places(clause, question):
        yield Hint((question.id, index), choice, words, absent, clause, at=(start, end))


def _of_figures(clauses: Sequence[Clause], sense: ClauseAnswers, injured: bool) -> Iterator[Hint]:
    """What figures may be of that no word beside them told: the nearest label of the clause, or the unit."""
    loose = [one for one in sense.gathered.loose if any(one.clause is clause for clause in clauses)]
    if len(clauses) == 1 and sense.asked and sense.rules.questions[sense.asked[0]].kind in MEASURED:
        loose = [one for one in loose if not all(each is one.mark or each.idle for each in one.clause.marks)]
    loose = [one for one in loose if _crossed(one.mark, one.clause, sense) or _in_play(one)]
    of_each = [
        one for one in loose if one.mark.figure is not None and (one.mark.figure.fraction or one.mark.figure.unit)
    ]
    in_turn = sense.injuries.declared > 1 and len(of_each) == sense.injuries.declared
    for one in loose:
        figure, clause = one.mark.figure, one.clause
        if figure is None:
            continue
        name = _crossed(one.mark, clause, sense) or _labelled(one.mark, figure, clause, sense, injured)
        warm = not name and figure.unit == "deg" and not sense.injury_named and _of_air(clauses)
        of_it = inputs.SHOP_TEMPERATURE if warm else one.why.partition("|")[0]
        name = of_it if of_it in (inputs.OFFSET, inputs.SHOP_TEMPERATURE) else name
        is_cut = any(mark.text in CUTS for mark in clause.having("opening"))
        name = name or (inputs.INJURY_LENGTH if one.why.endswith(ALONG_CUT) and is_cut else "")
        question = sense.rules.questions.get(name or _by_unit(one.mark, figure, clause, injured))
        if question is None or not _fits(question, figure):
            continue
        pair = clause.marks if _crossed(one.mark, clause, sense) else []
        if not figure.unit:
            units = [each.figure.unit for each in pair if each.figure]
            figure = replace(figure, unit=next(filter(None, units), ""))
        written, _ = figure_with_unit(figure, question, in_fahrenheit(sense.rules))
        if question.id == inputs.OFFSET and _away(sense):
            written = f"-{written.removeprefix('-')}"
        places: Sequence[int] = (TIRE if question.over == "tire" else max(one.index, 0),)
        if question.over == "injuries" and one.index < 0 and sense.injuries.declared > 1:
            of_all = any(mark.text in OF_ALL for mark in clause.marks)
            turn = (of_each.index(one),) if in_turn and one in of_each else ()
            places = range(sense.injuries.declared) if of_all else turn
        for place in places if written else ():
            yield Hint((question.id, place), written, one.mark.text, False, clause, one.why.rpartition("|")[2])


def _in_play(one: Loose) -> bool:
    """Whether nothing took a figure out: a distance, a bound; what a hole was opened or cleaned out to is none."""
    place = one.clause.marks.index(one.mark)
    if withdrawn(one.clause, place) or any(mark.text in GONE for mark in one.clause.marks[max(0, place - 1) : place]):
        return False
    if one.why.startswith("a bound") or not one.why:
        text = " ".join(mark.text for mark in one.clause.marks)
        return not one.clause.having("bound") or bool(WIDENED.search(text))
    return not any(why in one.why for why in _OUT_OF_PLAY)


def _crossed(mark: Mark, clause: Clause, sense: ClauseAnswers) -> str:
    """Length and width, of a repair unit or an injury, which is longer than wide: 75 by 65, the long way along."""
    place = clause.marks.index(mark)
    near = [each for each in clause.marks[max(0, place - 2) : place + 3] if each.figure is not None]
    figures = [each.figure for each in near if each.figure]
    lengths = all(figure.quantity in ("", "length") for figure in figures)
    if len(near) != 2 or not lengths or not any(figure.crossed for figure in figures):
        return ""
    of_unit = sense.unit_sentence == clause.sentence
    if "along" in sense.line.casefold() or not of_unit:
        near.sort(key=lambda each: -number_of(each.figure.low) if each.figure else 0)
    longer, wider = (inputs.UNIT_LENGTH, inputs.UNIT_WIDTH) if of_unit else (inputs.INJURY_LENGTH, inputs.INJURY_SIZE)
    return longer if near[0] is mark else wider


def _away(sense: ClauseAnswers) -> bool:
    """Whether an offset counts away from the serial side; where no side was said, its reason says so."""
    text, sides = sense.line.casefold(), sense.rules.phrases.classes.get(SERIAL_SIDE, ())
    return any(side in text for side in sides) and ("away" in text or "opposite" in text)


def _fits(question: Question | None, figure: Figure) -> bool:
    """Whether a figure can be of a question; degrees may be those of warmth."""
    if question is not None and question.quantity == "temperature" and figure.unit == "deg":
        return True
    return figure_fits(question, figure)


def _labelled(mark: Mark, figure: Figure, clause: Clause, sense: ClauseAnswers, injured: bool) -> str:
    place = clause.marks.index(mark)
    best = ("", 99)
    for at, other in enumerate(clause.marks):
        for each in other.senses if not a_place(other, clause) else ():
            for name, _ in each.gives if each.how == "label" else ():
                distance = place - at if at < place else at - place
                question = sense.rules.questions.get(name)
                loose = question is not None and question.over == "injuries" and not injured
                if _fits(question, figure) and distance < best[1] and not loose:
                    best = (name, distance)
    return OF_UNIT.get(best[0], best[0]) if sense.unit_sentence == clause.sentence else best[0]


def _of_air(clauses: Sequence[Clause]) -> bool:
    """Whether a line speaks of the air or the liner, so that degrees are those of warmth: humidity 68, 14 degrees."""
    marks = [mark for clause in clauses for mark in clause.marks]
    return any(
        (mark.figure is not None and mark.figure.quantity in ("share", "temperature"))
        or any(labels_for(mark, name) for name in (inputs.SHOP_TEMPERATURE, inputs.LINER_TEMPERATURE, inputs.HUMIDITY))
        for mark in marks
    )


def _by_unit(mark: Mark, figure: Figure, clause: Clause, injured: bool) -> str:
    if figure.unit == "32nds" or "/32" in figure.written():
        if clause.having("thing") and not any(labels_for(each, inputs.TREAD_DEPTH) for each in clause.marks):
            return inputs.INJURY_SIZE
        return inputs.CUT_DEPTH if clause.having("opening") and injured else inputs.TREAD_DEPTH
    if figure.quantity == "pressure":
        return inputs.FOUND_PRESSURE
    behind = clause.marks[clause.marks.index(mark) + 1 :]
    if behind and behind[0].text in LEFT and figure.quantity in ("", "length"):
        return inputs.TREAD_DEPTH
    if figure.quantity in _OF_QUANTITY:
        return _OF_QUANTITY[figure.quantity]
    if figure.quantity == "length" or figure.fraction:
        return inputs.INJURY_SIZE if injured else inputs.BULGE_HEIGHT if _of_bulge(clause) else ""
    ahead = " ".join(each.text for each in clause.marks[: clause.marks.index(mark)]).split()[-1:]
    read = (ahead[:1] and ahead[0] in READ) or any(each.text == "pressure" for each in clause.marks)
    read = read and not clause.having("thing", "opening", "time-of-day", "road")
    return inputs.FOUND_PRESSURE if read and figure.low.isdecimal() and int(figure.low) >= LEAST_READ else ""


def _of_bulge(clause: Clause) -> bool:
    return any(given == (inputs.FINDINGS, "bulge") for mark in clause.marks for given in gives_of(mark, "said"))
