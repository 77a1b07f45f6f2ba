"""Understands a sentence: every answer that it states, and only those; the rest is asked back or left as it is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from msgspec.structs import replace

from advisor.loader.answer_codec import words_for
from advisor.loader.renamed import asked_as_inputs
from advisor.model import inputs
from advisor.model.case import Case, Choice, Choices, Key
from advisor.model.ruleset import RuleSet
from advisor.nlu.coreference import Injuries
from advisor.nlu.evidence import Gathered, asked_back
from advisor.nlu.factuality import stated
from advisor.nlu.hedge_scope import Scope, held_back, turn_denials
from advisor.nlu.interpreter import ClauseAnswers
from advisor.nlu.lexicon import Lexicon
from advisor.nlu.no_reading import leave_aside
from advisor.nlu.part_runs import part_runs_of
from advisor.nlu.proposals import propose
from advisor.nlu.qualifiers import ALTERED
from advisor.nlu.result import AskBack, Heard, Understood
from advisor.nlu.said_figures import Runs
from advisor.nlu.small_words import said_pattern
from advisor.nlu.tagger import MODEL, SPLITTING, Clause, marked
from advisor.nlu.tokenizer import CLOCK_TIME, Token
from advisor.nlu.which_tire import which_tires

#: Only so much of a pasted novel is looked at; the rest is named as not understood.
MOST_LOOKED_AT = 2000
CORRECTS = said_pattern("corrects", re.IGNORECASE)
#: Choices that mean in each question something else.
_BARE = frozenset({"yes", "no", "other"})


class Listener:
    """A rule set's words made ready for listening. Pure: the same sentence always gives the same."""

    def __init__(self, rules: RuleSet) -> None:
        self._now: dict[str, str] = {
            rules.input_of(name): name for name in rules.questions if rules.input_of(name) != name
        }
        self._input_of = {name: known for known, name in self._now.items()}
        self.rules = asked_as_inputs(rules)
        self.lexicon = Lexicon(self.rules)
        self._runs = Runs(self.rules.phrases)
        self._parts = part_runs_of(self.rules.phrases)

    def spoken_of(self, text: str) -> set[str]:
        """The questions that a line names, whatever it says of them; a question names none."""
        _, clauses = marked(text[:MOST_LOOKED_AT], self.lexicon)
        senses = (sense for clause in clauses if not clause.question for mark in clause.marks if not mark.has("filler")
                  for sense in mark.senses if sense.how in ("label", "asks", "said", "noun"))  # fmt: skip
        return {name for sense in senses for name, _ in sense.gives}

    def hear(self, text: str, after: Case | None = None, asked: Key | None = None, facts: bool = True) -> Heard:
        """What a sentence says.

        `after` is the case that it goes on from, `asked` the question put last; `facts` False takes words
        such as "if" and "would" as no bar, for a what-if.
        """
        if self._now:
            asked = (self._input_of.get(asked[0], asked[0]), asked[1]) if asked else None
        looked_at = text[:MOST_LOOKED_AT]
        tokens, clauses = marked(looked_at, self.lexicon)
        leave_aside(clauses, self._parts)
        gathered = Gathered(self.rules)
        injuries = self._injuries_so_far(after, asked)
        corrects = bool(CORRECTS.match(text))
        sense = ClauseAnswers(self.rules, gathered, injuries, asked, looked_at, tokens)
        vehicle = after.answers.get(self._now.get(inputs.VEHICLE, inputs.VEHICLE)) if after else None
        sense.vehicle = vehicle.id if isinstance(vehicle, Choice) else ""
        off = after.answers.get(self._now.get(inputs.DEMOUNTED, inputs.DEMOUNTED)) if after else None
        sense.inside = isinstance(off, Choice) and off.id == "yes"
        tires = which_tires(clauses, self._parts)
        kept = stated(clauses, tires) if facts else clauses
        sense.hear_all(kept)
        if facts:
            scope = Scope(clauses, gathered, self.rules, tires)
            held_back(gathered, scope, self.rules, injuries)
            told = [clause for clause in kept if not scope.of(clause).asked]
            propose(told, clauses, sense, self.lexicon)
            self._runs.told(told, clauses, sense)
            sense.doubt_axle()
            turn_denials(gathered, scope, self.rules)
        said, held = gathered.settled()
        understood, proposed = self._set_right(tuple(said), tuple(held), looked_at)
        telling = {id(piece.clause) for piece in gathered.pieces}
        for clause in kept:
            if id(clause) not in telling and _only_denied(clause):
                clause.taken.clear()
        taken = {place for clause in kept for place in clause.taken}
        left = _left_over(looked_at, tokens, clauses, taken)
        if len(text) > MOST_LOOKED_AT:
            left.append(f"… and {len(text) - MOST_LOOKED_AT} more characters")
        asks = asked_back(gathered.asks)
        over = _passed_over(tokens, clauses, self.rules.phrases.telling, (*understood, *proposed), asks)
        heard = Heard(text, understood, tuple(left), asks, injuries.count, corrects, sense.repairs, proposed, over)
        return self._by_ids(heard) if self._now else heard

    def _set_right(
        self, understood: tuple[Understood, ...], proposed: tuple[Understood, ...], text: str
    ) -> tuple[tuple[Understood, ...], tuple[Understood, ...]]:
        """A choice that "no" and another one of its question follow is in doubt: drive no steer may set it right."""
        altered = list[Understood]()
        affirmed = self._parts.within(text, "affirmed") if any(map(_denies, (*understood, *proposed))) else ""
        for one in understood:
            if affirmed and _denies(one):
                altered.append(replace(one, hedge=f'{ALTERED} "{affirmed}"'))
            if not isinstance(one.answer, Choice):
                continue
            others = [each for each in self.rules.questions[one.key[0]].choices if each.id not in _BARE]
            words = (word for each in others if each.id != one.answer.id for word in words_for(each))
            said = (re.search(rf"\bno,? (?:the )?{re.escape(word)}\b", text, re.I) for word in words)
            if (match := next(filter(None, said), None)) and match[0].casefold() not in one.words.casefold():
                altered.append(replace(one, hedge=f'{ALTERED} "{match[0]}"'))
        if affirmed:
            held = (replace(one, hedge=f'{ALTERED} "{affirmed}"') if _denies(one) else one for one in proposed)
            proposed = tuple(held)
        keys = {one.key for one in altered}
        return tuple(one for one in understood if one.key not in keys), (*proposed, *altered)

    def _injuries_so_far(self, after: Case | None, asked: Key | None) -> Injuries:
        known = len(after.injuries) if after else 0
        if asked is not None and self.rules.questions[asked[0]].over == "injuries":
            return Injuries(now=asked[1], count=max(known, asked[1] + 1))
        return Injuries(now=0 if known == 1 else -1, count=known, declared=known if known > 1 else 0)

    def _by_ids(self, heard: Heard) -> Heard:
        """What was heard, under the ids of the rules."""
        lists = {name: tuple(map(self._with_id, getattr(heard, name)))
                 for name in ("understood", "proposed", "asks_back")}  # fmt: skip
        return replace(heard, **lists)

    def _with_id(self, one: Any) -> Any:
        return replace(one, key=(self._now.get(one.key[0], one.key[0]), one.key[1]))


def _denies(one: Understood) -> bool:
    """Whether an answer only says what was not found."""
    return isinstance(one.answer, Choices) and bool(one.answer.absent) and not one.answer.present


def _only_denied(clause: Clause) -> bool:
    """Whether a clause denies something of which no question is: no damage."""
    return bool(clause.having("no") and clause.having("opening", "thing")) and not any(
        mark.figure is not None or mark.has("said", "denied", "noun", "label", "asks") for mark in clause.marks
    )


def _left_over(line: str, tokens: Sequence[Token], clauses: Sequence[Clause], taken: set[int]) -> list[str]:
    """The words that nothing was made of, as typed, in order."""
    closing = () if all(clause.closing for clause in clauses) else ("closing",)
    idle = {
        place
        for clause in clauses
        for mark in clause.marks
        if mark.has(*closing)
        or (mark.idle and not mark.has("nothing", "no", "closing"))
        or (mark.has("no") and clause.taken)
        or mark.text == "between"
        for place in range(mark.start, mark.end)
    }
    return [
        line[token.start : token.end]
        for place, token in enumerate(tokens)
        if (
            token.kind in ("word", "number", "print", CLOCK_TIME, MODEL)
            and token.text not in SPLITTING
            and place not in taken
            and place not in idle
        )
        or (token.kind == "mark" and not token.text.isascii() and place not in taken)
    ]


def _passed_over(
    tokens: Sequence[Token],
    clauses: Sequence[Clause],
    telling: frozenset[str],
    answers: Sequence[Understood],
    asks: Sequence[AskBack],
) -> tuple[str, ...]:
    """The words that tell of something bad, that no answer rests on, and that are neither denied nor asked."""
    words = [f"{one.words} {one.hedge}" for one in answers] + [ask.why for ask in asks]
    used = set(re.findall(r"[^\W\d_]+", " ".join(words).casefold()))
    apart = set[int]()
    for clause in clauses:
        places = [place for mark in clause.marks for place in range(mark.start, mark.end)]
        begins = [mark.start for mark in clause.marks if mark.has("no")]
        apart.update(places if clause.question else (place for place in places if begins and place > min(begins)))
    return tuple(
        dict.fromkeys(
            token.text
            for place, token in enumerate(tokens)
            if token.text in telling and token.text not in used and place not in apart
        )
    )
