"""What words hint at and do not say outright: a weak word, a frame with strange ones in it, a thing that was asked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec.structs import replace

from advisor.model import inputs
from advisor.model.case import TIRE
from advisor.model.lexicon_entries import Given
from advisor.model.ruleset import Question
from advisor.nlu.evidence import Piece
from advisor.nlu.factuality import asked_in, of_repair
from advisor.nlu.frames import FrameFound
from advisor.nlu.hedge_scope import ALWAYS_THERE, helps
from advisor.nlu.interpreter import ClauseAnswers, joined_by_or
from advisor.nlu.lexicon import Lexicon
from advisor.nlu.loose_figures import Hint, of_another_tire, of_figures
from advisor.nlu.negation_scope import AFFIRMS, OWN_DENIAL
from advisor.nlu.part_runs import part_runs_of
from advisor.nlu.qualifiers import CONTRARY
from advisor.nlu.result import SEVERAL_OPEN
from advisor.nlu.scope_words import BEHIND, BETWEEN_NOT, DEFINITE, DENYING, EXCEPTING, NO_WORDS
from advisor.nlu.slots.base import ZONE
from advisor.nlu.slots.injury_zones import said_well
from advisor.nlu.small_words import said_words
from advisor.nlu.tagger import ANSWERING, Clause, Mark, beside, gives_of
from advisor.nlu.which_tire import AS_OTHER, ON_PAPER, words_heard

_WEAK = ("noun", "alone", "doubtful")
_OF_REPAIR = ("repair", "repair-doubtful")
DENIALS = NO_WORDS | DENYING
SETTING_APART = said_words("setting-apart")
#: Of a finding in the same clause these are told besides: what is seen around the injury, and how deep it goes.
BESIDE_FINDINGS = frozenset({inputs.INSIDE_SIGNS, inputs.INJURY_DEPTH})
REPAIRED = said_words("repaired")
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
OF_IT = said_words("of-it")
GOES_ON = said_words("goes-on")
OFF_OF = DEFINITE | {"a", "an"}
LENGTHS = said_words("of-a-length")
STILL_ON = (inputs.DEMOUNTED, "no")
#: What a question may name of the tire at hand, and the word class of one that asks what holds of any tire.
OF_RULES = "of-rules"
#: What one tire may have and another not.
SET_AGAINST = frozenset({inputs.FINDINGS, inputs.INSIDE_SIGNS, inputs.SEALANT, inputs.RETREAD, inputs.RUN_LOW,
                         inputs.SELF_SUPPORTING, inputs.EARLIER_REPAIRS, inputs.DEMOUNTED})  # fmt: skip
NAMED_ASKING = frozenset({ZONE, inputs.VEHICLE, inputs.WHEEL_POSITION, inputs.FINDINGS, inputs.INSIDE_SIGNS})


class Hints:
    """What one line hints at: `clauses` are those of `every` one that tell something."""

    def __init__(
        self, clauses: Sequence[Clause], every: Sequence[Clause], sense: ClauseAnswers, lexicon: Lexicon
    ) -> None:
        self._clauses, self._every, self._sense = clauses, every, sense
        self._frames, self._words = lexicon.frames, [token.text for token in sense.tokens]

    def found(self) -> Iterator[Hint]:
        """Every one."""
        yield from self._in_clauses()
        yield from self._answered()
        yield from self._in_questions()
        yield from self._set_against()

    def _in_clauses(self) -> Iterator[Hint]:
        sense, every = self._sense, self._every
        degrees = any(one.mark.figure is not None and one.mark.figure.unit == "deg" for one in sense.gathered.loose)
        injured = sense.injury_named or sense.injuries.count > 0 or degrees
        injured = injured or any(each.having("thing") and self._asking(each) for each in every)
        apart = {place for each in every for mark in each.having("nothing") for place in range(mark.start, mark.end)}
        named = not REPAIRED.isdisjoint(word for place, word in enumerate(self._words) if place not in apart)
        repaired = sense.repairs > 0 or any(map(of_repair, self._clauses)) or named
        clauses = [clause for clause in self._clauses if not of_another_tire(clause, sense)]
        for place, clause in enumerate(clauses):
            marks = [mark for each in clauses if each.sentence == clause.sentence for mark in each.marks]
            found = list(self._of_frames(clause, _begin(place, clauses), marks))
            if clause.having("cannot-tell", "not-yet", "open", "supposed") or _denied_list(place, clauses):
                unseen = bool(clause.having("not-yet", "cannot-tell"))
                yield from (each for each in found if (each.key[0], each.written) == STILL_ON and unseen)
                continue
            found += [hint for mark in clause.marks for hint in self._of_mark(mark, clause, repaired)]
            repaired = repaired or any(
                hint.key[0] == inputs.EARLIER_REPAIRS and hint.written == "yes" for hint in found
            )
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
                of_it = of_it or (
                    each.key[0] in OF_ITSELF and not each.absent and (plain or each.key[0] == OF_ITSELF[0])
                )
                told = (
                    repaired
                    if over == inputs.OVER_REPAIRS
                    else of_it and not (elsewhere and not (injured and each.key[0] in BESIDE_FINDINGS))
                )
                injured = injured or (each.key[0] in (ZONE, inputs.INJURY_DEPTH) and of_it)
                if over == inputs.OVER_TIRE or told:
                    clause.taken.update(range(*each.at))
                    yield each
        yield from of_figures(clauses, sense, injured)

    def _of_frames(self, clause: Clause, begin: int, marks: Sequence[Mark]) -> Iterator[Hint]:
        words = self._words
        for frame in self._frames.found(words, begin, clause.marks[-1].end):
            if frame.end <= clause.marks[0].start or _asunder(frame, begin, clause, words):
                continue
            said = self._said(clause, frame.start, frame.end, frame.own)
            if frame.absent:
                said = "said" if said == "denied" and _denial_spent(frame.start, clause) else said
                said = {"said": "denied", "denied": ""}.get(said, "")
            question = self._sense.rules.questions[frame.gives[0]]
            if _spoken_for(frame.start, frame.end, question.id, clause):
                continue
            angled = any(mark.figure is not None and mark.figure.quantity == "angle" for mark in marks)
            if question.id == inputs.LEAN and not angled and LENGTHS & set(words[begin : clause.marks[-1].end]):
                continue
            yield from self._hint(question, frame.gives[1], said, frame.start, frame.end, clause)

    def _of_mark(self, mark: Mark, clause: Clause, repaired: bool) -> Iterator[Hint]:
        """What a word says mostly, or by itself: said where nothing else told of its question."""
        if not mark.has(*_WEAK, *_OF_REPAIR, "denied"):
            return
        place = clause.marks.index(mark)
        behind = [word for each in clause.marks[place + 1 : place + 2] for word in each.text.split()[:1]]
        if mark.text.endswith(" off") and not {*behind}.isdisjoint(OFF_OF):
            return
        near = any(beside(each) for each in clause.marks[max(0, place - 2) : place])
        own = frozenset(range(mark.start, mark.end)) if self._words[mark.start] in OWN_DENIAL else frozenset[int]()
        said = self._said(clause, mark.start, mark.end, own)
        weak = [*gives_of(mark, *_WEAK), *(gives_of(mark, *_OF_REPAIR) if repaired else ())]
        weak += [given for given in gives_of(mark, "denied") if said == "denied" or given[1] != ALWAYS_THERE]
        for name, choice in weak:
            if not near or name in (ZONE, inputs.FINDINGS):
                yield from self._hint(self._sense.rules.questions[name], choice, said, mark.start, mark.end, clause)

    def _answered(self) -> Iterator[Hint]:
        """What is asked and answered in one breath: bulge? yes; sealant? no."""
        for clause, follows in pairwise(self._every):
            if not clause.question or follows.sentence == clause.sentence or follows.marks[0].text not in ANSWERING:
                continue
            said = "said" if follows.marks[0].text in AFFIRMS else "denied"
            begin, end = clause.marks[0].start, clause.marks[-1].end
            if {"i", "we"} & set(self._words[begin:end]) or any(mark.text == "or" for mark in follows.marks):
                continue
            for (name, choice), start, stop in self._named(clause, clause.marks):
                if choice and not clause.having("no"):
                    yield from self._hint(self._sense.rules.questions[name], choice, said, start, stop, clause)

    def _set_against(self) -> Iterator[Hint]:
        """What is said by a mere yes or no behind what was said of another tire, or stood on paper: mine doesn't."""
        parts = part_runs_of(self._sense.rules.phrases)
        for before, clause in pairwise(self._every):
            here = words_heard(clause)
            if clause.question or not parts.whole_words(here, AS_OTHER):
                continue
            told, elsewhere = (any(each is one for one in self._clauses) for each in (clause, before))
            if not (told and not elsewhere) and not parts.has(words_heard(before), ON_PAPER):
                continue
            denied = any(word in DENIALS or word.endswith("n't") for word in here)
            why = f'"{" ".join(here)}": as was said ahead of it?'
            for (name, choice), start, stop in self._named(before, before.marks):
                if not DENIALS.isdisjoint(self._words[start:stop]):
                    choice = self._sense.flipped(name, choice)
                if name in SET_AGAINST and choice:
                    said = "denied" if denied else "said"
                    for hint in self._hint(self._sense.rules.questions[name], choice, said, start, stop, clause):
                        yield replace(hint, why=why, against=True)

    def _in_questions(self) -> Iterator[Hint]:
        """What a question names of the tire at hand, and asks no rule of: is a nail in the shoulder fixable?"""
        sense, clauses, every = self._sense, self._clauses, self._every
        of_rules = {*sense.rules.phrases.classes.get(OF_RULES, ())}
        for clause in every if len(clauses) < len(every) and sense.injuries.count <= 1 else ():
            words = set(self._words[clause.marks[0].start : clause.marks[-1].end])
            at_hand = clause.having("thing", "opening") or {"like", "with", "has"} & words
            barred = clause.having("no", "elsewhere", "past", "road") or of_rules & words
            if barred or not at_hand or any(clause is each for each in clauses) or not self._asking(clause):
                continue
            told = [mark for mark in clause.marks if not mark.has("denied")]
            for (name, choice), start, stop in self._named(clause, told):
                question = sense.rules.questions[name]
                said = sense.words_at(start, stop)
                why = f'"{said}", in a question'
                hint = Hint(
                    (name, TIRE if question.over == "tire" else 0), choice, said, False, clause, why, (start, stop)
                )
                if name in NAMED_ASKING and not helps(question, Piece(name, 0, choice, said)):
                    yield hint

    def _named(self, clause: Clause, marks: Sequence[Mark]) -> list[tuple[Given, int, int]]:
        """What frames and marks of a clause give, with their places."""
        frames = self._frames.found(self._words, clause.marks[0].start, clause.marks[-1].end)
        named = [(frame.gives, frame.start, frame.end) for frame in frames if not frame.absent]
        return named + [(given, mark.start, mark.end) for mark in marks for given in gives_of(mark)]

    def _asking(self, clause: Clause) -> bool:
        asked = asked_in([each for each in self._every if each.sentence == clause.sentence])
        return any(clause is each for each in asked)

    def _said(self, clause: Clause, start: int, end: int, own: frozenset[int]) -> str:
        """`said`, `denied` by plain words, or empty where it can't be told; `own` are places of what is said itself."""
        words, first, last = self._words, clause.marks[0].start, clause.marks[-1].end
        cues = {mark.start for mark in clause.having("no") if mark.text not in EXCEPTING}
        denying = {at for at in range(min(first, start), last) if words[at] in DENIALS or words[at].endswith("n't")}
        denying -= {
            mark.start for mark in clause.marks if mark.start >= end and " " in mark.text and not mark.has("no")
        }
        denials = sorted(at for at in (denying | cues) - own if at < end or not _has_own_object(at, clause))
        ahead = [at for at in denials if at < start]
        if len(denials) > 1 and (not ahead or any(after - at == 1 for at, after in pairwise(denials))):
            return ""
        if ahead:
            between = set(words[ahead[-1] + 1 : start])
            return "denied" if between <= BETWEEN_NOT | self._frames.words and between.isdisjoint(SETTING_APART) else ""
        near = [at for at in denials if at <= end + 1 and set(words[max(at + 1, end) : last]) <= BEHIND]
        return "denied" if near else "" if denials and denials[0] <= end + 1 else "said"

    def _hint(self, question: Question, choice: str, said: str, start: int, end: int, clause: Clause) -> Iterator[Hint]:
        sense, absent = self._sense, False
        words = sense.words_at(start, end)
        if not said:
            sense.gathered.ask(question.id, sense.injuries.now, f'"{words}": said, or denied?')
            return
        if said == "denied":
            absent = question.kind == "choices" and choice != "none"
            choice = choice if absent else sense.flipped(question.id, choice)
            if not choice:
                return
        places = sense.places(clause, question)
        why = f'"{words}": {SEVERAL_OPEN}' if len(places) > 1 else ""
        for index in places:
            yield Hint((question.id, index), choice, words, absent, clause, why, (start, end))


def _well(hint: Hint, clause: Clause) -> bool:
    """Whether a hint at a place only names a part that is well: crown looks fine, one scratch."""
    part = next((mark for mark in clause.marks if mark.start >= hint.at[0]), None)
    return part is not None and not clause.having("thing", "opening") and said_well(clause, part)


def _denied_list(place: int, clauses: Sequence[Clause]) -> bool:
    """Whether a clause only goes on with the names of a denial ahead: no bulges, [lumps or bumps]."""
    clause, follows = clauses[place], clauses[place + 1] if place + 1 < len(clauses) else None
    ahead = any(each.sentence == clause.sentence and each.having("no") for each in clauses[:place])
    return ahead and joined_by_or(clause, follows)


def _asunder(frame: FrameFound, begin: int, clause: Clause, words: Sequence[str]) -> bool:
    """Whether a frame is none: good except the liner; no bulge, could have been run flat; no cracks, liner fine."""
    between = " ".join("|" if at in frame.own or (words[at] == "but" and words[at + 1] in GOES_ON) else words[at]
                       for at in range(frame.start, frame.end))  # fmt: skip
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


def _begin(place: int, clauses: Sequence[Clause]) -> int:
    """Where frames of a clause may begin: a clause that names nothing goes on from the one before."""
    clause, before = clauses[place], clauses[place - 1] if place else None
    figures = any(mark.figure is not None for mark in clause.marks)
    names = clause.having("said", "denied", "noun", "thing", "opening", "repair-named", "no")
    names = names or (clause.having("label") if figures else [])
    of_it = clause.opens not in CONTRARY or clause.marks[0].text in GOES_ON
    if before is None or names or before.sentence != clause.sentence or not of_it:
        return clause.marks[0].start
    return before.marks[0].start


def _has_own_object(denial: int, clause: Clause) -> bool:
    """Whether what a denial denies stands right behind it: the shoulder, not [the crown]."""
    behind = next((mark for mark in clause.marks if mark.start > denial and not mark.idle), None)
    return behind is not None and bool(gives_of(behind, "said", "noun", "alone", "doubtful"))
