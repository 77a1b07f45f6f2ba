"""Which words for a zone tell where the injury is, and what can't be told or was not looked at yet."""

from __future__ import annotations

from advisor.model import inputs
from advisor.nlu.negation_scope import Denial, denial_of
from advisor.nlu.slots.base import ZONE, Sayer
from advisor.nlu.small_words import said_pattern, said_words
from advisor.nlu.tagger import Clause, Mark, beside, gives_of, labels_for
from advisor.nlu.tokenizer import CLOCK_TIME

ARTICLES = said_words("articles-of-a-place")
_LEADING = said_words("ahead-of-a-place")
_WELL = said_pattern("well-said")


class ZoneAnswers(Sayer):
    """Zones, and how sure a clause is."""

    def _zones(self, clause: Clause, follows: Clause | None) -> list[Mark]:
        """The words for a zone that tell where the injury is, and not where it is near to or something else is."""
        found = [mark for mark in clause.marks if any(question == ZONE for question, _ in gives_of(mark))]
        if not found:
            return []
        of = {inputs.FINDINGS} if self.injuries.count else {inputs.FINDINGS, inputs.INSIDE_SIGNS}
        findings = [m for m in clause.marks if any(q in of for q, _ in gives_of(m, "said", "asks"))]
        nouns = [mark for mark in clause.having("thing", "opening") if denial_of(mark, clause) is not Denial.DENIED]
        if findings and not nouns:
            return []
        ahead = follows is not None and bool(follows.having("thing", "opening")) and follows.sentence == clause.sentence
        if not nouns and said_well(clause, found[-1]):
            return []
        about_injury = bool(nouns) or _tells_of_injury(clause)
        counted = []
        for mark in found:
            place = clause.marks.index(mark)
            before = list(clause.marks[max(0, place - 3) : place])
            near = [other for other in before if beside(other)]
            named_only = all(other in found or other.text in ARTICLES for other in clause.marks)
            if clause.opens == "and" and (self.between or (self.beside_before and named_only)):
                near = [mark]
            if near:
                ahead_of_it = "and" if near == [mark] else near[-1].text.removesuffix(" the")
                self.zone_doubt = f"{ahead_of_it} the {mark.text}: in it, or beside it?"
                clause.take(mark, *near)
                continue
            if (
                mark.has("said")
                or any(question == inputs.INJURY_DEPTH for question, _ in gives_of(mark, "doubtful"))
                or about_injury
                or (_nothing_else(clause, found) and (ahead or self._injury_in_hand(clause)))
                or _by_itself(mark, clause)
            ):
                counted.append(mark)
        return counted

    def _injury_in_hand(self, clause: Clause) -> bool:
        """Whether an injury is spoken of already, or one of several that were announced begins here."""
        several = self.injuries.declared > 1 and bool(clause.having("first", "another", "all"))
        return self.injuries.now >= 0 or several

    def _cannot_tell(self, clause: Clause, zones: list[Mark]) -> None:
        asked: dict[str, None] = {}
        places = [mark for mark in clause.marks if any(question == ZONE for question, _ in gives_of(mark))]
        for mark in clause.marks:
            for question, _ in gives_of(mark):
                if question != ZONE or mark in zones or len(places) > 1:
                    asked[question] = None
            asked.update(dict.fromkeys(name for name, _ in gives_of(mark, "label", "asks")))
            if mark.text == "size" and inputs.INJURY_SIZE in asked:
                del asked[inputs.INJURY_SIZE]
                self._ask(inputs.INJURY_SIZE, "the size of the tire, or of the injury?")
                clause.take(mark, *clause.having("cannot-tell"))
            if mark.text in ("depth", "deep") and inputs.CUT_DEPTH in asked:
                del asked[inputs.CUT_DEPTH]
                self._ask(inputs.INJURY_DEPTH, "of the injury, as it reaches inward: can't it be told?")
                clause.take(mark, *clause.having("cannot-tell"))
        texts = {mark.text for mark in clause.marks}
        if not asked and {"pressure", "reading", "readings"} & {*clause.words}:
            asked[inputs.FOUND_PRESSURE] = None
        if len(asked) > 1 and "in it" in texts and "pressure" not in texts:
            asked.pop(inputs.FOUND_PRESSURE, None)  # if there's sealant in it
        figures = any(mark.kind == "figure" for mark in clause.marks)
        in_turn = clause.marks[0].has("cannot-tell") and any(mark.text in ("or", "nor") for mark in clause.marks)
        for question in asked:
            known = self.rules.questions[question]
            if figures or known.kind == "choices" or (len(asked) > 1 and not in_turn):
                self._ask(question, "can't it be told, or was that the answer?")
            else:
                self._say(question, "cant-tell", self._text(clause.marks[0], clause.marks[-1]), "")
        if asked:
            clause.take(*clause.having("cannot-tell"))
            clause.take(*(mark for mark in clause.marks if mark.kind == "phrase"))

    def _not_yet(self, clause: Clause) -> None:
        doubt = [mark.text for mark in clause.having("open")]
        why = f'"{doubt[0]}" leaves it open' if doubt else "not looked at yet, as was said"
        for mark in clause.marks:
            names = [name for name, _ in gives_of(mark)]
            names += [name for name, _ in gives_of(mark, "label", "asks")]
            for name in names:
                self._ask(name, why)
                clause.take(mark, *clause.having("not-yet", "open"))


def said_well(clause: Clause, part: Mark) -> bool:
    """Whether a clause says of a part of the tire that it is well: bead all right."""
    behind = " ".join(mark.text for mark in clause.marks[clause.marks.index(part) + 1 :])
    return bool(_WELL.search(behind)) and not clause.having("no")


def _tells_of_injury(clause: Clause) -> bool:
    """Whether a clause names where the injury is, how deep it goes or how it leans."""
    said = {question for mark in clause.marks for question, _ in gives_of(mark, "said")}
    return any(labels_for(mark, ZONE) for mark in clause.marks) or not said.isdisjoint(
        (inputs.INJURY_DEPTH, inputs.INJURY_ANGLE)
    )


def _nothing_else(clause: Clause, zones: list[Mark]) -> bool:
    """Whether a clause holds nothing beside its zones but figures and what qualifies them."""
    return all(
        mark.idle
        or mark.has("beside", "about", "no", "cannot-tell")
        or mark in zones
        or mark.kind in ("figure", CLOCK_TIME)
        for mark in clause.marks
    )


def _by_itself(mark: Mark, clause: Clause) -> bool:
    """Whether a zone stands for where the injury is with no injury named: shoulder, 5 mm; it's in the shoulder."""
    place = clause.marks.index(mark)
    ahead = [each for each in clause.marks[:place] if each.text not in ARTICLES]
    if clause.having("road", "repair-named", "no"):
        return False
    strange = any(
        each.kind in ("word", "sign")
        or each.has("denied")
        or any(q == inputs.FINDINGS for q, _ in gives_of(each, "said"))
        for each in clause.marks
    )
    opens = not strange and (
        not ahead
        or ahead[-1].text in _LEADING
        or ahead[-1].kind == "item"
        or ahead[-1].has("correction", "first", "perhaps")
    )
    return mark.has("alone", "noun") and opens
