"""What stands behind a thing said: said outright, or hedged, not looked at, somebody's word, a question, a wish.

`Scope` reads the clauses of a line once and says of each why what it tells is not said outright. `held_back` puts
that to each answer: what was not said outright never counts as an answer, it is proposed and asked back.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from re import Pattern

from msgspec import Struct
from msgspec.structs import replace

from advisor.model import inputs
from advisor.model.case import Answer, Choice, Choices
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.coreference import Injuries
from advisor.nlu.evidence import Gathered, Piece
from advisor.nlu.factuality import asked_in, tells_nothing
from advisor.nlu.qualifiers import (
    ALTERED,
    AT_ITS_WORST,
    CONTRARY,
    MEASURED,
    ONE,
    ONE_PLACE,
    Tail,
    beside_the_tire,
    strange,
    tails,
)
from advisor.nlu.scope_words import (
    CARRYING,
    EXCEPTING,
    HEDGE,
    LEADING,
    LOCAL,
    LOOKING,
    MEANT,
    NEGATIVE,
    NO_DENIAL,
    NOT_LOOKED,
    ORDERS,
    OTHER_TIME,
    OTHER_TIRE,
    OTHERS_WORD,
    PART,
    PLAIN,
    SUPPOSED,
    TO_COME,
    TURNED,
)
from advisor.nlu.small_words import said_pattern, said_words
from advisor.nlu.tagger import RUN_ON, Clause, Mark, gives_of
from advisor.nlu.tokenizer import CLOCK_TIME
from advisor.nlu.which_tire import OfTires

#: How a hedge ends where what stands beside a denial may take some of it back.
BESIDE_A_DENIAL = "beside a denial"
#: What is meant to be is the very answer here.
MEANT_TO_BE = frozenset({inputs.SET_PRESSURE})
#: Where an injury is says nothing of what an inspection was of.
ONLY_PLACES = frozenset(
    {inputs.INJURY_ZONE, inputs.FINDINGS, inputs.INSIDE_SIGNS, inputs.CLOCK, inputs.WHEEL_POSITION, inputs.VEHICLE}
)
READING_VERBS = said_words("reading-verbs")
WHEELS = said_words("wheels")
#: How deep an injury goes.
DEPTHS = frozenset({inputs.INJURY_DEPTH, inputs.CUT_DEPTH})
#: Its words name a part that every tire has: the nail missed the cord.
ALWAYS_THERE = "exposed-cord"
BY_HAND = said_words("by-hand")
_ONLY_OF = said_pattern("only-of")
ONLY_THERE = said_words("only-there")
#: The word class of what is spoken of where air is looked for that leaks.
LEAK_TEST = "leak-test"
#: Doubts of the ear's own that are no reading of a word: what was said contradicts itself.
TAKEN_BACK = ("can't tell", "a correction?", "denied only in part")


class Stand(Struct):
    """Why a clause's answers are not said outright: any of them, what only helps a repair, a denial. Empty: they are.

    `meant`: what is meant to be, and no reading. `other`: of another tire; `elsewhere`: of another time or tire, or
    supposed; `untold`: the same but for another tire.
    `asked`: it is the question itself, and says nothing. `turned`: what says that a denial no longer holds.
    """

    every: str = ""
    meant: str = ""
    helpful: str = ""
    denial: str = ""
    other: str = ""
    elsewhere: str = ""
    untold: str = ""
    turned: str = ""
    asked: bool = False


class Scope:
    """The stands of a line's clauses."""

    def __init__(self, clauses: Sequence[Clause], gathered: Gathered, rules: RuleSet, tires: OfTires) -> None:
        self.words = frozenset(word for clause in clauses for word in clause.words)
        self._rules, self._held, self._told = rules, tires.held, {id(piece.clause) for piece in gathered.pieces}
        self._stands = {id(clause): Stand() for clause in clauses}
        sentences: list[list[Clause]] = []
        for clause in clauses:
            if clause.closing:
                continue
            if not sentences or sentences[-1][0].sentence != clause.sentence:
                sentences.append([])
            sentences[-1].append(clause)
        for place, sentence in enumerate(sentences):
            self._asking(sentence)
            self._sentence(sentence, sentences[place - 1] if place else [])
        self._tails = tails(sentences, gathered.pieces, rules)

    def of(self, clause: object) -> Stand:
        """The stand of one clause."""
        return self._stands.get(id(clause)) or Stand()

    def follows(self, clause: object, earlier: object) -> bool:
        """Whether a clause stands behind another one."""
        order = list(self._stands)
        return id(earlier) in self._stands and order.index(id(earlier)) < order.index(id(clause))

    def tail(self, clause: object) -> Tail:
        """What stands beside one clause and alters what it tells."""
        return self._tails.get(id(clause)) or Tail()

    def _asking(self, sentence: list[Clause]) -> None:
        """A question gives no answers; a statement beside it in the same sentence is no more than proposed."""
        asked = asked_in(sentence)
        for clause in sentence if asked else ():
            stand = self.of(clause)
            stand.asked = any(clause is each for each in asked)
            stand.every = "" if stand.asked else "said along with a question"

    def _sentence(self, sentence: list[Clause], before: list[Clause]) -> None:
        word, denials, ahead = "", "", ""
        unread: str = ""
        for place, clause in enumerate(sentence):
            stand, text = self.of(clause), clause.text
            if clause.opens in CONTRARY:
                word = denials = ""
            hedge, other = _found(HEDGE, text), _others_word(clause, text)
            word = word or other or _found(CARRYING, text)
            stand.every = stand.every or hedge or word or ahead or _of_wheel(clause) or self._held.get(id(clause), "")
            ahead = hedge if id(clause) not in self._told else ""
            stand.meant = _meant(clause)
            turned = TURNED.search(", ".join(each.text for each in sentence[place:]))
            stand.turned = f'"{turned[0]}"' if turned else ""
            stand.untold = _found(OTHER_TIME, text) or _found(SUPPOSED, text)
            tire = _found(OTHER_TIRE, text)
            stand.other = "" if tire.endswith('dual"') else tire
            stand.elsewhere = stand.untold or tire
            stand.helpful = stand.helpful or stand.elsewhere or denials
            if clause.opens in RUN_ON and place:
                self._runs_on(stand, self.of(sentence[place - 1]))
            denials = (hedge or denials) if clause.having("no") else ""
            unlooked = _found(NOT_LOOKED, text)
            unplaced = bool(hedge or other) and id(clause) not in self._told and not clause.having("past", "aside")
            empty = unplaced or tells_nothing(clause)
            if unlooked and (empty or not _own_object(clause)):
                for each in sentence:
                    self._note(each, helpful=unlooked)
            stand.helpful = stand.helpful or unlooked
            if empty:
                self._back(sentence[:place] or before, hedge or other or unlooked or _meant(clause))
                back = _takes_back(clause) and not beside_the_tire(clause, self._rules)
                if back if place else ONE & set(text.split()):
                    self._back_denials(sentence[:place] or before, text)
                unread = text if _leads(clause) else unread
            elif unread:
                self._note(clause, denial=f'"{unread}"')

    def _runs_on(self, stand: Stand, before: Stand) -> None:
        """One denial right behind another, with no comma: what stands ahead of both is of both."""
        for name in ("every", "elsewhere", "untold", "helpful", "denial"):
            setattr(stand, name, getattr(stand, name) or getattr(before, name))

    def _back(self, clauses: Sequence[Clause], why: str) -> None:
        """A hedge by itself behind what was said: no bulge, i think."""
        if not why:
            return
        for clause in clauses:
            self._note(clause, helpful=why)
        for clause in clauses[-1:]:
            if why and not self.of(clause).every and not why.startswith("not looked"):
                self.of(clause).every = why

    def _back_denials(self, clauses: Sequence[Clause], text: str) -> None:
        for clause in clauses:
            self._note(clause, denial=f'"{text}" behind it')

    def _note(self, clause: Clause, helpful: str = "", denial: str = "") -> None:
        stand = self.of(clause)
        stand.helpful = stand.helpful or helpful
        stand.denial = stand.denial or denial


def _found(pattern: Pattern[str], text: str) -> str:
    match = pattern.search(text)
    if match is None:
        return ""
    names = {NOT_LOOKED: "not looked at outright", OTHERS_WORD: "somebody's word"}
    return (
        f'{names.get(pattern, "said with")} "{match[0]}"' if pattern not in names else f'{names[pattern]}: "{match[0]}"'
    )


def _others_word(clause: Clause, text: str) -> str:
    """Whose word it is, where a word of saying is no part of an answer: see daylight."""
    if not _found(OTHERS_WORD, text):
        return ""
    rest = " ".join(mark.text for mark in clause.marks if not mark.has("said"))
    return _found(OTHERS_WORD, rest)


def _meant(clause: Clause) -> str:
    """What is only meant to be so, where no label says of which figure: should be 110."""
    figures = any(mark.figure is not None for mark in clause.marks)
    return _found(MEANT, " ".join(mark.text for mark in clause.marks if not (figures and mark.has("label"))))


def _of_wheel(clause: Clause) -> str:
    """A wheel that a figure is said of, which may be another one: left steer reads 12/32."""
    plain = [mark for mark in clause.marks if mark.text not in ("a", "an", "all", "the", "tire", "tires", "ones")]
    plain = [mark for mark, after in pairwise(plain) if mark.text != "are" or after.text != "at"] + plain[-1:]
    for ahead, mark, figure in zip(plain, plain[1:], plain[2:], strict=False):
        wheel = any(name == inputs.WHEEL_POSITION for name, _ in gives_of(ahead))
        named = WHEELS & {*ahead.text.split()}
        wheel = wheel or any(figure.kind == "print" or word.endswith("s") for word in named)
        if wheel and mark.text in READING_VERBS and (figure.figure is not None or figure.kind == "print"):
            return f'"{ahead.text} {mark.text}": of this tire?'
    for ahead, figure in pairwise(plain):
        if figure.kind == "print" and ahead.text.endswith("'s") and ahead.text[:-2].split()[-1] in WHEELS:
            return f'"{ahead.text}": of this tire?'
    return ""


def _own_object(clause: Clause) -> bool:
    """Whether a clause tells what was not looked at: haven't measured the tread."""
    names = {name for mark in clause.marks for name, _ in (*gives_of(mark), *gives_of(mark, "label", "asks"))}
    return bool(names - ONLY_PLACES) and not any(mark.kind == "word" for mark in clause.marks)


def _takes_back(clause: Clause) -> bool:
    words = set(clause.words)
    if words & LOOKING and not clause.having("no", "not-yet"):
        return False
    if clause.opens in CONTRARY or words & ONE:
        return True
    return any(mark.kind == "word" and mark.text not in PLAIN for mark in clause.marks)


def _leads(clause: Clause) -> bool:
    return clause.marks[0].text.split()[0] in LEADING


def _unplain(clause: Clause, inside: bool) -> str:
    """The first word beside a denial that is of no closed list: what it says of the denial is not known."""
    words = clause.words
    both = bool({"inside", "both"} & set(words))
    for mark in clause.marks[_begin(clause) :]:
        if not (inside or both) and any(name == inputs.INJURY_ZONE for name, _ in gives_of(mark)):
            return mark.text
        if _understood(mark) or mark.start in clause.taken:
            continue
        for word in mark.text.split():
            if word in PLAIN or (word in PART and both) or (word in LOCAL and (inside or "all" in words)):
                continue
            if word == "with" and BY_HAND & set(words):
                continue
            return word
    if not inside and clause.having("opening", "thing") and LOCAL & set(words):
        return "round one place only"
    return ""


def _begin(clause: Clause) -> int:
    """Where what belongs to a clause's first denial begins: behind the last thing told outright ahead of it."""
    denial = next((place for place, mark in enumerate(clause.marks) if mark.has("no")), 0)
    told = [
        place
        for place, mark in enumerate(clause.marks[:denial])
        if mark.kind in ("figure", "print", CLOCK_TIME) or mark.has("said", "noun")
    ]
    return told[-1] + 1 if told else 0


def _understood(mark: Mark) -> bool:
    if mark.kind in ("figure", "print", CLOCK_TIME, "item", "break"):
        return True
    return bool(gives_of(mark)) or mark.has("label", "thing", "opening", "repair-named")


def helps(question: Question, piece: Piece) -> bool:
    """Whether an answer only helps a repair: not found, none, no such thing, off the wheel."""
    if question.kind == "choices":
        return piece.denied or piece.written == "none"
    return _helps(question, piece.written)


def helps_answer(question: Question, answer: Answer) -> bool:
    """The same of an answer as a case holds it."""
    if isinstance(answer, Choices):
        return answer.complete or bool(answer.absent and not answer.present)
    return isinstance(answer, Choice) and _helps(question, answer.id)


def _helps(question: Question, choice: str) -> bool:
    if question.kind != "choice" or "no" not in {each.id for each in question.choices}:
        return False
    return choice == (question.worse_order[0] if question.worse_order else "no")


def held_back(gathered: Gathered, scope: Scope, rules: RuleSet, injuries: Injuries) -> None:
    """Notes of each answer why it is not said outright; what was only asked is none."""
    gathered.pieces[:] = [piece for piece in gathered.pieces if not scope.of(piece.clause).asked]
    for piece in gathered.pieces:
        if piece.written == "cant-tell":
            continue
        question = rules.questions[piece.question]
        stand = scope.of(piece.clause)
        piece.hedge = (
            piece.hedge or _altered(question, piece, scope.tail(piece.clause), stand) or _why(question, piece, stand)
        )
        taken_back = [text for text in piece.doubt.split("; ") if any(end in text for end in TAKEN_BACK)]
        piece.hedge = piece.hedge or "; ".join(taken_back)
    leak_test = scope.words & {*rules.phrases.classes.get(LEAK_TEST, ())}
    _of_the_injury(gathered, bool(injuries.count or leak_test), rules)
    _where_gauged(gathered, rules)
    _how_many(gathered, injuries, rules)
    _corrections(gathered, scope, rules)


def _where_gauged(gathered: Gathered, rules: RuleSet) -> None:
    """A place alone beside a measure of the tire, where no injury is told of, may be where that was read."""
    told = [(rules.questions[piece.question], piece) for piece in gathered.pieces]
    if {question.id for question, _ in told if question.over == "injuries"} != {inputs.INJURY_ZONE}:
        return
    gauged = any(question.over == "tire" and question.kind in MEASURED for question, _ in told)
    for question, piece in told if gauged else ():
        clause = piece.clause
        if question.id == inputs.INJURY_ZONE and isinstance(clause, Clause) and not ONLY_THERE.isdisjoint(clause.words):
            piece.hedge = piece.hedge or f'"{clause.text}": the injury, or where it was read?'


def _how_many(gathered: Gathered, injuries: Injuries, rules: RuleSet) -> None:
    """Where more injuries were told of than their number says, which of them is which is in doubt."""
    if 1 < injuries.declared < injuries.count:
        for piece in gathered.pieces:
            if rules.questions[piece.question].over == "injuries" and not piece.hedge:
                piece.hedge = f"{injuries.declared} were named, and {injuries.count} told of: which of them?"


def _of_the_injury(gathered: Gathered, leaking: bool, rules: RuleSet) -> None:
    """What may be denied of the injury alone: cut 4/32 deep, no steel; round the hole no rust; nail, no bubbles."""
    signs = rules.questions.get(inputs.INSIDE_SIGNS)
    own = {choice.id for choice in signs.choices} if signs else set()
    clauses = [(each.question, each.clause) for each in gathered.pieces if isinstance(each.clause, Clause)]
    listed = {each.clause.sentence for each in gathered.pieces if isinstance(each.clause, Clause)
              and each.question == inputs.FINDINGS and each.denied and each.written != ALWAYS_THERE}  # fmt: skip
    told = {clause.sentence for name, clause in clauses if name in DEPTHS}
    told |= {clause.sentence for _, clause in clauses if clause.having("opening")} - listed
    near = {clause.sentence for name, clause in clauses if name == inputs.INSIDE_SIGNS}
    for piece in [*gathered.pieces]:
        clause = piece.clause
        if piece.question != inputs.FINDINGS or not piece.denied or piece.hedge or not isinstance(clause, Clause):
            continue
        bare = any(mark.has("denied") and not mark.has("said") for mark in clause.marks)
        if clause.sentence in told and bare and piece.written == ALWAYS_THERE:
            piece.hedge = f'"{piece.words}": in the injury, or on the tire?'
        elif leaking and "bubble" in piece.words.casefold():
            piece.hedge = f'"{piece.words}": on the tire, or of air at the hole?'
        elif clause.sentence in near and piece.written in own:
            piece.hedge = f'"{piece.words}": round the injury, or anywhere?'
            index = next(each.index for each in gathered.pieces if each.question == inputs.INSIDE_SIGNS)
            gathered.say(replace(piece, question=inputs.INSIDE_SIGNS, index=index))


def _denying(piece: Piece) -> bool:
    """Whether an answer was said by a denial, whatever it is: no tube, not directional."""
    words = piece.words.casefold().replace("-", " ").split()
    return any(word.strip(":,") in NEGATIVE or (word.endswith(("n't", "nt")) and word != "front") for word in words)


def turn_denials(gathered: Gathered, scope: Scope, rules: RuleSet) -> None:
    """A denial that the sentence says to hold no longer is proposed as its contrary: no bulge before, now there is."""
    for piece in gathered.pieces:
        question, why = rules.questions[piece.question], scope.of(piece.clause).turned
        if piece.question == inputs.EARLIER_REPAIRS and (word := _excepted(piece.clause)):
            why = f'"{word}" behind it'
        if why and question.kind == "choices" and piece.denied:
            piece.denied, piece.hedge = False, why
        elif why and piece.written == "no" and question.choice("yes") and helps(question, piece):
            piece.written, piece.hedge = "yes", why


def _excepted(clause: object) -> str:
    """The word by which a clause excepts something from what it denies: not repaired before apart from one patch."""
    text = " ".join(mark.text for mark in clause.marks[1:]) if isinstance(clause, Clause) else ""
    return next((word for word in sorted(EXCEPTING, key=len, reverse=True) if f" {word} " in f" {text} "), "")


def _by_denial(question: Question, piece: Piece) -> bool:
    """Whether a choice that is no plain no was said by a denial: no tube."""
    plain = "no" in {each.id for each in question.choices} or piece.written in question.worse_order[-1:]
    return question.kind == "choice" and not plain and _denying(piece)


def _altered(question: Question, piece: Piece, tail: Tail, stand: Stand) -> str:
    if question.kind in MEASURED:
        return tail.figure or (stand.elsewhere if question.over == "tire" else stand.untold)
    graded = tail.graded or (tail.place if question.over == "injuries" else "")
    if piece.written in question.worse_order[:-1] and (graded or (stand.untold and question.over == "injuries")):
        return graded or stand.untold
    if not (helps(question, piece) or _by_denial(question, piece)):
        return ""
    if piece.denies and isinstance(piece.clause, Clause) and (words := list(strange(piece.clause.marks, piece.clause))):
        return f'"{words[0]}" {BESIDE_A_DENIAL}'
    if piece.denies and isinstance(piece.clause, Clause) and (only := _ONLY_OF.search(piece.clause.text)):
        return f'"{only[0]}" {BESIDE_A_DENIAL}'
    if piece.written == "yes" and isinstance(piece.clause, Clause):
        words = [word for word in piece.clause.words if word in PART]
        words += strange(piece.clause.marks, piece.clause)
        return tail.denial or (f'"{words[0]}" beside it' if words else "")
    if (
        question.kind == "choices"
        and isinstance(piece.clause, Clause)
        and (where := _in_one_place(piece.clause, question.over == "injuries"))
    ):
        return f'"{where}" beside it'
    return tail.denial


def _in_one_place(clause: Clause, within: bool) -> str:
    """Where something is well, when it is said of one place only: inside clean on one side. `within`: inside is all."""
    words = [word for word in clause.words if not (within and word == "inside")]
    if AT_ITS_WORST & set(words):
        return ""
    if "inside" in words and not {"outside", "out"} & set(words):
        return "inside"
    found = ONE_PLACE.search(" ".join(words))
    return found[0] if found else ""


def _why(question: Question, piece: Piece, stand: Stand) -> str:
    if piece.there and not helps(question, piece):
        return ""
    if stand.every:
        return stand.every
    clause = piece.clause if isinstance(piece.clause, Clause) else None
    words = (word for word in strange(clause.marks, clause) if word not in NO_DENIAL) if clause else iter(())
    if question.kind == "choices" and not helps(question, piece) and (word := next(words, "")):
        return f'"{word}" beside it'
    if stand.other and question.over == "tire":
        return stand.other
    if stand.meant and question.id not in MEANT_TO_BE:
        return stand.meant
    if not (helps(question, piece) or _by_denial(question, piece)):
        return ""
    if stand.helpful:
        return stand.helpful
    if question.id == inputs.RUN_LOW and not _denying(piece):
        return f'"{piece.words}": and no way on it at all?'
    if clause is None:
        return ""
    if piece.written == "yes":
        if question.id == inputs.DEMOUNTED and piece.words.casefold().split()[:1] in (["it's"], ["its"]):
            return f'"{piece.words}": off the rim?'
        if ORDERS.search(clause.text) and not clause.text.startswith("see "):
            return f'"{clause.words[0]}": an order?'
        return _found(TO_COME, clause.text)
    if not (piece.denied or _denying(piece)):
        return stand.denial
    beside = _unplain(clause, question.over == "injuries")
    return stand.denial or (f'"{beside}" {BESIDE_A_DENIAL}' if beside else "")


def _corrections(gathered: Gathered, scope: Scope, rules: RuleSet) -> None:
    """A correction that sets nothing right leaves all ahead of it in doubt that something worse could follow."""
    for correction in gathered.corrections:
        before = [piece for piece in gathered.pieces if scope.follows(correction, piece.clause)]
        earlier = {piece.question for piece in before}
        if any(piece.corrected and piece.question in earlier for piece in gathered.pieces if piece not in before):
            continue
        for piece in before:
            question = rules.questions[piece.question]
            graded = piece.written in question.worse_order[:-1]
            if (graded or question.kind in MEASURED or helps(question, piece)) and not piece.hedge:
                piece.hedge = f"{ALTERED} a correction"
