"""What an editor says of an id and of a key that is pointed at: in a JSON Schema, as descriptions."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from advisor.loader.builder import Builder
from advisor.model.ruleset import Basis

#: Words that may stand in place of an id.
OWN_WORDS = {
    "end": "This part ends here; the next one follows.",
    "goes-on": "Doubt holds nothing up here; the questions that follow settle it.",
    "here": "The wait begins with this step's own first tick.",
    "same": "What is in doubt counts as if it held.",
    "never": "Doubt brings no caution.",
}

#: Each key of the rule language in a sentence; one that stands in several places means the same in each.
KEYS_SAY = {
    "signs": "One sign of several: said, it counts; denied, it is only proposed that there is none.",
    "ordinary": "Words near one of the trade that are no misspelling of it.",
    "telling": "Words of something bad, by language: with nothing made of one, it stands on the card of a repair.",
    "dictated": "A word that dictation writes for another one: set right where a word of `beside` stands near.",
    "beside": "Words that stand near, so that the word is the one of the trade.",
    "hints": "Words that only propose an answer.",
    "frames": "A thing and what is said of it, in any order: said with only joining words between, it counts outright.",
    "classes": "Words of one kind under a name, for frames: @name.",
    "word": "The term that explains it.",
    "whole": "yes: who asks of it asks of the tire as it stands.",
    "weak": "yes: it counts only where nothing else is named.",
    "stands-for": "Words that mean the same, for @name in wordings.",
    "sketch": "The question whose sketch shows it.",
    "said": "Wordings: words in order with gaps, a_b together, a/b either, @class, !not, ^ and $ the ends.",
    "about": "What it is about: the tire, an earlier repair, an injury; in answers.yaml subjects, all of them named.",
    "after": "The node of the base that this one follows.",
    "all": "All of these must hold.",
    "allows": "repair: it speaks for a repair.",
    "alone": "Words that give the answer only where they stand alone.",
    "also": "Other words for it.",
    "always-shown": "Cautions shown with every verdict.",
    "angle": "The greatest angle for which it is made.",
    "answers": "What people say for a choice, outright.",
    "answered": "An answer is there, can't tell included.",
    "any": "At least one of these must hold.",
    "any-order": "Questions of which the one that narrows most comes first.",
    "ask": "The question that is asked here.",
    "as-if": "The answer by question that is tried for a moment.",
    "asked-for": "yes: it stays though no wording uses it.",
    "asked": "when: the node is met only then; unless: it is met, but its question is not asked then.",
    "asks": "The wording of the question; in a step: questions that sharpen it.",
    "at-limit": "What a reading just on the figure does.",
    "at-once": "It is said as soon as it counts.",
    "because": "Why, in words; figures and answers by {name}.",
    "before-you-begin": "Cautions shown before the first question.",
    "beyond": "On the worse side of a limit.",
    "by": "The limit by a table: the first row that holds counts.",
    "builds-on": "The rule set underneath.",
    "cant-tell": "What it brings when it can't be told. It may never count as a pass.",
    "caution": "The caution that it brings.",
    "cautions": "Cautions that belong to it.",
    "choices": "The answers to choose from.",
    "clause": "The place in the source; none where it has none.",
    "counts-as": "The choice or measure as which it counts.",
    "cues": "Small words of doubt, denial, place and time.",
    "defers-to": "Whose word comes before these rules.",
    "do-now": "What to do now, in order.",
    "done-where": "The answers that show that the step was done before the verdict.",
    "doubtful": "What people say for a choice, with a doubt.",
    "doubts": "Questions whose answers can hardly be right; it counts as doubt about them.",
    "effort": "What it takes to answer: to ask, to look, to gauge, or to look inside the demounted tire.",
    "edition": "The day, or the publisher's word, of this edition.",
    "ending": "The ending that it brings.",
    "example": "An answer as it may be typed.",
    "figures": "Limits and values by name, for its text or its function.",
    "figures-said": "Words that stand for a limit's figure.",
    "fits": "Verdicts and endings beside which it stands.",
    "for": "The tires for which it is made.",
    "formerly": "Ids that it had before; what was recorded under them is read as this one.",
    "from": "What the limit is from a day on; what is not said stays.",
    "function": "The function of the program that works it out.",
    "go": "The node that comes next.",
    "has-any": "At least one of these choices was chosen.",
    "has-none": "None of these choices was chosen.",
    "hazard": "What can hurt somebody.",
    "headline": "The verdict in a line.",
    "held-by": "Cautions that hold this step while they count.",
    "help": "What tells this choice from the others.",
    "how": "How to look or measure.",
    "id": "Its id.",
    "if-unknown": "What is said where it can't be worked out.",
    "in-case": "Its name in a case file.",
    "in-doubt": "What it brings while doubt leaves it open.",
    "injury": "The greatest injury for which it is made.",
    "instead": "How it can be settled by other answers.",
    "is": "The answer is this choice, or one of these.",
    "kind": "Of which kind it is.",
    "limits": "Limits, and limits that a table chooses.",
    "question": "The question that it is about.",
    "kinds": "Kinds of question that it answers.",
    "known": "It is known, and not in doubt.",
    "labels": "Words that name a question, ahead of its answer.",
    "left-out-by": "Others that leave this one out.",
    "leave-out": "Keys of the shared entry of which nothing is taken.",
    "length": "Its length.",
    "less": "The milder choice.",
    "likely": "How often each answer comes up, roughly: an estimate of our own, for the order of asking.",
    "limit": "The limit of this row.",
    "method": "The method.",
    "more": "The question whether there is another; in not-ordered: the worse choice.",
    "name": "Its name in a line of text.",
    "next": "The node that comes next, or a list of ways on.",
    "no-order": "Why no answer is worse than another.",
    "nodes": "What is asked and ruled, one node after the other.",
    "not": "This must not hold.",
    "not-for": "What these rules do not cover.",
    "not-ordered": "Where the order of two choices does not count, and why.",
    "not-with": "Endings and restrictions beside which it does not stand.",
    "note": "What has to be known of the figure.",
    "notes": "What each edition changed; what became looser, by its id.",
    "nouns": "Words that name a choice where it is there.",
    "of": "The quantity that is measured.",
    "of-repair": "What people say of an earlier repair.",
    "of-repair-doubtful": "What people say of an earlier repair, with a doubt.",
    "older-cases": "What kept cases from before this question count as; no case that somebody decides by.",
    "once": "Whether the step is shown only before the verdict or only after it.",
    "one-of": "The answer is one of these.",
    "only-when-asked": "Questions whose words count only when they are asked.",
    "optional": "yes: left out, it never holds up a verdict.",
    "or-clock": "A clock direction will do beside the choices.",
    "over": "What is walked: the tire, each earlier repair, each injury.",
    "parts": "The parts of the graph, in the order walked.",
    "plausible": "The range that a reading can have; beyond it, it is asked back.",
    "prompt": "Questions with the same word here are put together, for one line to answer.",
    "publisher": "Who published it.",
    "rank": "Of two methods that fit, the greater rank counts.",
    "read": "How the text was read.",
    "reads": "Which question the function reads in place of the one that it knows.",
    "restriction": "The restriction that it brings.",
    "rulings": "What counts at this node; the worst one decides.",
    "said-at": "Stages of the work at which it is said again.",
    "said-back": "It is said back as soon as it can be worked out.",
    "same-for": "Questions whose doubt counts as if it held.",
    "says": "What it says.",
    "scope": "What these rules cover.",
    "several": "Phrases that give several answers at once.",
    "several-doubtful": "Phrases that give several answers, with a doubt.",
    "shares": "The folder of questions, words and more that this set shares.",
    "shown-with-repair": "Cautions shown wherever a repair is allowed.",
    "source": "The sources that it rests on, by id in sources.yaml.",
    "speaks": "For each topic, the side that its text takes.",
    "spelled": "Words of the program as these rules spell them.",
    "conflicts": "Where two sources say otherwise, and which counts.",
    "counts": "Which of them counts, and why.",
    "looked-for": "What was looked for and not found, where, and what is done instead.",
    "where": "Where it was looked for.",
    "record": "What a record of the repair has to hold, and how long it is kept.",
    "lines": "The lines of the record, and what fills each.",
    "keep": "How long it is kept.",
    "spellings": "Other spellings of a word.",
    "stage": "The stage of the work.",
    "stages": "Stages of the work that are left out.",
    "standing": "How firm it is.",
    "stem": "The width of its stem.",
    "step": "A step of steps.yaml, by id.",
    "steps": "The steps in the order done.",
    "tell-driver": "What the driver is told.",
    "tell-driver-by": "What the driver is told instead, by the standing of the reason.",
    "title": "Its title.",
    "unit": "The unit in which it is asked.",
    "units": "Words for a unit.",
    "unanswered": "No answer is there.",
    "unless": "Then it is not asked; its rulings count all the same.",
    "fields": "What is written down at the step that is no question, such as the unit's batch.",
    "passes": "What says that the step passed.",
    "fails": "What says that it did not, by the beginnings of words; a step is open until a later reading passes.",
    "places": "Words for where it was seen.",
    "failed": "What to do where it did not pass.",
    "kept": "yes: it is proposed again for the next tire of the day.",
    "measures": "The questions that are answered anew at the step.",
    "waits-for": "The figure that says how long the step waits; without it the material's instructions do.",
    "waits-from": "The step whose tick begins the wait, or here: this step's own first tick.",
    "value": "The figure; both where two units are printed.",
    "verdict": "repair, refer, hold or scrap.",
    "when": "The condition under which it counts.",
    "when-denied": "What a denial of these words gives.",
    "when-in-doubt": "The ending that doubt brings where nothing else is said.",
    "when-unanswered": "The ending while a needed answer is missing.",
    "why": "Why it is asked.",
    "width": "Its width.",
    "within": "Not on the worse side of a limit.",
    "without": "Stages of the work that this method leaves out, and why.",
    "words-for": "Words that stand for a figure here: flat, straight.",
    "worse": "Which side is worse: above or below; found, where finding one is worse.",
    "worse-order": "The choices from the least to the worst damage.",
    "zone": "The zones for which it is made.",
}


def description(kind: str, entry: Any, draft: Builder) -> str:
    """What an entry of a kind stands for: its text, and what it rests on."""
    tell = _TELLS.get(kind.rpartition("-")[2])
    says = tell(entry, draft) if tell else ""
    basis = getattr(entry, "basis", None)
    return " ".join(f"{says} {_basis(basis, draft)}".split()) if isinstance(basis, Basis) and basis.standing else says


def _basis(basis: Basis, draft: Builder) -> str:
    titles = [draft.sources[name].title if name in draft.sources else name for name in basis.sources]
    clause = f", {basis.clause}" if basis.clause not in ("", "none") else ""
    return f"({basis.standing}: {'; '.join(titles)}{clause})"


def _limit(limit: Any, draft: Builder) -> str:
    side = f"; worse {limit.worse}, the figure itself {'passes' if limit.at_limit_passes else 'fails'}"
    return f"{limit.says}: {' or '.join(map(str, limit.figures))}{side if limit.worse else ''}"


def _node(node: Any, draft: Builder) -> str:
    asked = draft.questions.get(node.asks)
    return f"asks: {asked.asks}" if asked else "rulings only"


def _function(function: Any, draft: Builder) -> str:
    return str(function.call.__doc__ or "").partition("\n")[0]


_TELLS: dict[str, Callable[[Any, Builder], str]] = {
    "source": lambda source, _: f"{source.title} ({source.publisher}, {source.edition}; {source.kind}, {source.read})",
    "limit": _limit,
    "question": lambda question, _: f"{question.asks} ({question.name})",
    "value": lambda value, _: f"{value.name}, worked out by {value.function}",
    "ending": lambda ending, _: f"{str(ending.verdict).upper()}: {ending.headline}",
    "restriction": lambda restriction, _: restriction.says,
    "step": lambda step, _: step.says,
    "any-step": lambda step, _: step.says,
    "method": lambda method, _: f"{method.title}: {method.says}",
    "caution": lambda caution, _: f"{caution.hazard}: {caution.says}",
    "node": _node,
    "table": lambda table, _: table.says,
    "term": lambda term, _: term.says,
    "function": _function,
    "word": lambda word, _: word.title,
    "unit": lambda unit, _: unit.name,
}
