"""What figures hint at that no word told of: the nearest label, the unit, the figure that they set right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from advisor.model import inputs
from advisor.model.case import TIRE, Key
from advisor.model.quantity import number_of
from advisor.model.ruleset import Question
from advisor.nlu.evidence import Loose, Piece
from advisor.nlu.interpreter import ClauseAnswers
from advisor.nlu.qualifiers import MEASURED, withdrawn
from advisor.nlu.scope_words import OTHER_TIRE
from advisor.nlu.sentence_figures import Figure
from advisor.nlu.slots.measures import (
    ALONG_CUT,
    CUTS,
    OF_UNIT,
    SERIAL_SIDE,
    figure_fits,
    figure_with_unit,
    in_fahrenheit,
)
from advisor.nlu.small_words import said_pattern, said_words
from advisor.nlu.tagger import Clause, Mark, a_place, labels_for

#: Of figures that a reason of these takes out of play nothing is proposed.
_OUT_OF_PLAY = ("a distance", "a bound", "denied", "what it has to be", "which is across")
_OF_QUANTITY = {
    "speed": inputs.MEAN_SPEED,
    "angle": inputs.INJURY_ANGLE,
    "share": inputs.HUMIDITY,
    "temperature": inputs.SHOP_TEMPERATURE,
}
WIDENED = said_pattern("widened")
OF_ALL = said_words("of-all")
LEFT = said_words("left-over")
_ON_IT = frozenset({"on it", "on", "it", "dipped it", "tread", "left"})
#: Behind one of these a bare number of so much and more may be a pressure: this one's at 21.
READ, LEAST_READ = frozenset({"at", "had", "reads", "read", "got", "says", "said", "showed", "shows"}), 15
GONE = said_words("gone")
#: So many injuries at least are told of in turn.
SEVERAL = 2


class Hint(Struct, frozen=True, gc=False):
    """One thing hinted at: address, value as written, its words, whether it is that there is none.

    `against`: another tire was named ahead, and this one is set against it.
    """

    key: Key
    written: str
    words: str
    absent: bool = False
    clause: object = None
    why: str = ""
    at: tuple[int, int] = (0, 0)
    against: bool = False


def one_each(clauses: Sequence[Clause], sense: ClauseAnswers) -> None:
    """Proposes the sizes of several injuries that are told in turn, as many as there are: one 3 mm one 5."""
    many, question = sense.injuries.declared, sense.rules.questions[inputs.INJURY_SIZE]
    marks = [(mark, clause) for clause in clauses for mark in clause.marks if not of_another_tire(clause, sense)]
    told = [(mark, mark.figure, clause) for mark, clause in marks
            if mark.figure is not None and (mark.figure.unit or mark.start not in clause.taken)]  # fmt: skip
    units = {figure.unit for _, figure, _ in told if figure.unit} - {"32nds"}
    named = {name for mark, _ in marks for each in mark.senses if each.how == "label" for name, _ in each.gives}
    apart = any(mark.text in ("apart", "between", "each") for mark, _ in marks)
    if apart or not SEVERAL <= many == len(told) or len(units) != 1 or not named <= {inputs.INJURY_SIZE, inputs.CLOCK}:
        return
    figures = [replace(figure, unit=next(iter(units))) for _, figure, _ in told]
    plain = [piece for piece in sense.gathered.pieces if piece.question == inputs.INJURY_SIZE]
    known = sorted((piece.index, piece.written) for piece in plain) == [*enumerate(map(Figure.written, figures))]
    if known or not all(figure_fits(question, figure) for figure in figures):
        return
    sense.gathered.pieces[:] = [piece for piece in sense.gathered.pieces if piece not in plain]
    for index, (mark, _, clause) in enumerate(told):
        sense.gathered.asks.pop((inputs.INJURY_SIZE, index), None)
        words = sense.words_at(mark.start, mark.end)
        hedge = f'"{words}": of this one of {many}?'
        sense.gathered.say(Piece(question.id, index, figures[index].written(), words, clause=clause, hedge=hedge))
        clause.take(mark)


def of_another_tire(clause: Clause, sense: ClauseAnswers) -> bool:
    """Whether a clause speaks of another tire; an inside dual may be this one, the other one of several injuries."""
    other = OTHER_TIRE.search(clause.text)
    several = sense.injuries.declared > 1 or sense.injury_named
    of_injury = several and other is not None and other[0] == "the other"
    return other is not None and not other[0].endswith("dual") and not of_injury


def of_figures(clauses: Sequence[Clause], sense: ClauseAnswers, injured: bool) -> Iterator[Hint]:
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
        name = name or (inputs.TREAD_DEPTH if _of_tread(one, clauses, sense) else "")
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


def _of_tread(one: Loose, clauses: Sequence[Clause], sense: ClauseAnswers) -> bool:
    """Whether a bare length stands among what is told of the tire, ahead of any injury: retread, 8 mm, 100 psi."""
    figure, clause, question = one.mark.figure, one.clause, sense.rules.questions.get(inputs.TREAD_DEPTH)
    if figure is None or question is None or figure.unit != "mm" or one.index >= 0 or sense.asked:
        return False
    others = [each for each in clause.marks if each is not one.mark and not (each.idle or each.text in _ON_IT)]
    ahead = [each for each in clauses if each.marks[0].start <= one.mark.start]
    injured = any(each.having("thing", "opening") and not each.having("no") for each in ahead)
    of_tire = any(sense.rules.questions[piece.question].over == inputs.OVER_TIRE for piece in sense.gathered.pieces)
    return not others and not injured and of_tire


def _in_play(one: Loose) -> bool:
    """Whether nothing took a figure out: a distance, a bound; what a hole was opened or cleaned out to is none."""
    place = one.clause.marks.index(one.mark)
    if withdrawn(one.clause, place) or any(mark.text in GONE for mark in one.clause.marks[max(0, place - 1) : place]):
        return False
    if one.why.startswith("a bound") or not one.why:
        return not one.clause.having("bound") or bool(WIDENED.search(one.clause.text))
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
        return inputs.INJURY_SIZE if injured else ""
    ahead = " ".join(each.text for each in clause.marks[: clause.marks.index(mark)]).split()[-1:]
    read = (ahead[:1] and ahead[0] in READ) or any(each.text == "pressure" for each in clause.marks)
    read = read and not clause.having("thing", "opening", "time-of-day", "road")
    return inputs.FOUND_PRESSURE if read and figure.low.isdecimal() and int(figure.low) >= LEAST_READ else ""
