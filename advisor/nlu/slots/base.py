"""What all takers of answers share: the rule set, what was gathered, the injury spoken of, the words of the line."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct, field

from advisor.model import inputs
from advisor.model.case import TIRE, Key
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.coreference import Injuries
from advisor.nlu.evidence import Gathered, Piece
from advisor.nlu.result import SEVERAL_OPEN
from advisor.nlu.tagger import Clause, Mark
from advisor.nlu.tokenizer import Token

ZONE = inputs.INJURY_ZONE


class Placed(Struct):
    """Where a figure goes: question (empty: nowhere), as a case file writes it, and why it is asked back."""

    question: str
    written: str = ""
    why: str = ""
    labels: tuple[Mark, ...] = ()


class Pressure(Struct):
    """A pressure said, and where it goes as far as its own clause tells."""

    mark: Mark
    clause: Clause
    place: Placed


class Sayer(Struct):
    """Says answers and asks back; `gathered` and `injuries` grow."""

    rules: RuleSet
    gathered: Gathered
    injuries: Injuries
    asked: Key | None
    line: str
    tokens: Sequence[Token]
    last: str = ""
    denied_list: bool = False
    zone_doubt: str = ""
    beside_before: bool = False
    opening_ahead: bool = False
    figured: bool = False
    between: bool = False
    before: int = 0
    repairs: int = 0
    repairing: int = -1
    repairs_open: bool = False
    repair_sentence: int = -1
    repair_turn: int = 0
    correcting_to: str = ""
    denied_to: str = ""
    all_of: bool = False
    paired: bool = False
    injury_named: bool = False
    clocks: int = 0
    clocks_said: int = 0
    of_unit: bool = False
    unit_sentence: int = -1
    vehicle: str = ""
    inside: bool = False
    apart_sentence: int = -1
    touched: str = ""
    touching: str = ""
    there: bool = False
    zones: list[Mark] = field(default_factory=list)
    follows: Clause | None = None
    pressures: list[Pressure] = field(default_factory=list)
    spoken_of: dict[int, tuple[int, ...]] = field(default_factory=dict)

    def places(self, clause: Clause, question: Question) -> tuple[int, ...]:
        """The injuries, or earlier repairs, that a clause speaks of; the tire."""
        if question.over == "tire":
            return (TIRE,)
        if question.over == inputs.OVER_REPAIRS:
            return (max(self.repairs - 1, 0),)
        return self.spoken_of.get(id(clause), ())

    def _say(
        self,
        question: str,
        written: str,
        words: str,
        doubt: str,
        denied: bool = False,
        denies: str = "",
        weak: bool = False,
    ) -> None:
        over = self.rules.questions[question].over
        if over == "injuries" and self.all_of:
            for index in range(max(self.injuries.declared, self.injuries.count)):
                self.gathered.say(Piece(question, index, written, words, doubt, denied))
            return
        if over == "injuries" and self.injuries.open:
            outright = question == ZONE and not denied and not self.figured
            hedge = "" if outright else f'"{words}": {SEVERAL_OPEN}'
            known = self.rules.questions[question].kind.startswith("choice")
            for index in range(self.injuries.declared) if known else ():
                self.gathered.say(Piece(question, index, written, words, doubt, denied, hedge=hedge))
            if hedge:
                self._ask(question, hedge)
            return
        index = TIRE if over == "tire" else max(self.injuries.now, 0)
        if over == "injuries":
            self.injuries.now, self.injuries.count = index, max(self.injuries.count, index + 1)
        self.gathered.say(
            Piece(question, index, written, words, doubt, denied, denies=denies, weak=weak, there=self.there)
        )

    def _ask(self, question: str, why: str) -> None:
        known = self.rules.questions.get(question)
        if known is not None and known.over == "injuries" and self.injuries.open and not why.endswith(SEVERAL_OPEN):
            why = f"{why}{'' if why.endswith('?') else ';'} {SEVERAL_OPEN}"
        self.gathered.ask(question, max(self.injuries.now, 0), why)

    def _words(self, mark: Mark) -> str:
        return self._text(mark, mark)

    def _text(self, first: Mark, last: Mark) -> str:
        return self.words_at(first.start, last.end)

    def words_at(self, start: int, end: int) -> str:
        """What stands between two tokens, as typed."""
        return self.line[self.tokens[start].start : self.tokens[end - 1].end]
