"""What was described stays described until it is taken back in so many words: `drop injury 2`, `drop repair 1`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from msgspec.structs import replace

from advisor.dialogue.state import Pending, SessionState, View
from advisor.engine.templates import value_in_words
from advisor.engine.traversal import Walk
from advisor.loader.answer_codec import plain
from advisor.model import inputs
from advisor.model.case import TIRE, Answers, Case, Choices, Key
from advisor.model.problems import Misread
from advisor.model.ruleset import RuleSet
from advisor.model.saved import Saved
from advisor.wording.blocks import Said
from advisor.wording.messages import Message, complaint

if TYPE_CHECKING:
    from advisor.nlu.result import Understood

#: So many injuries or earlier repairs can be described; who has more of them can't tell their number.
MOST_DESCRIBED = 99
_DROP = re.compile(r"drop\s+(?P<what>injury|repair)\s+(?:number\s+)?(?P<number>\d{1,3})", re.I)
_OVERS = {"injury": "injuries", "repair": inputs.OVER_REPAIRS}
WORDS = {over: word for word, over in _OVERS.items()}


def would_vanish(before: Walk, after: Walk) -> Message | None:
    """Why an answer isn't taken: with it an injury or earlier repair that was described would count no longer."""
    for over, index in sorted(_counting(before) - _counting(after)):
        word = f"{WORDS[over]} {index + 1}"
        says = f"{word.capitalize()} is described and would count no longer. If it is not there, type: drop {word}."
        return Message("complaint", (says,))
    return None


def too_many(before: Walk, after: Walk) -> Message | None:
    """Why an answer isn't taken: with it there would be more injuries or earlier repairs than are kept."""
    known = [(each.facts.over, each.facts.index) for each in before.passages]
    for each in after.passages:
        over, index = each.facts.over, each.facts.index
        if index >= MOST_DESCRIBED and (over, index) not in known:
            found = f"{WORDS[over]} {index + 1}; {MOST_DESCRIBED} can be described"
            return complaint(Misread(found, "can't tell, for whether there is one more"))
    return None


def _counting(walk: Walk) -> set[tuple[str, int]]:
    """The injuries and earlier repairs on the way of a case that hold an answer."""
    return {
        (each.facts.over, each.facts.index) for each in walk.passages if each.facts.index != TIRE and each.facts.answers
    }


#: That the tire has no injury, and what else is the matter with it: no hole, just the bulge.
_NO_INJURY = re.compile(
    r"(?:(?:there is|there's|theres|it has|it's got|i see|has) )?(?:no|not any|not a|never an?y?) "
    r"(?:injury|injuries|hole|holes|puncture|punctures)(?: at all| here| in it| there)*"
    r"(?:(?:,? |, ?)(?:(?:it is|it's|its|there is) )?(?:just|only|but) (?:an? |the )?(?P<else>[a-z ]+))?",
    re.I,
)


def without_injury(view: View, text: str) -> bool:
    """Whether a text says that there is no injury, where the first one is asked for and nothing of it was told.

    What it names beside that has to stand already: else it is a sentence that tells something.
    """
    drops, match = _DROP.fullmatch(text.strip().rstrip(".!")), _NO_INJURY.fullmatch(plain(text))
    if drops is None and match is None:
        return False
    asked, case = view.question_key, view.state.case
    here = asked is not None and asked[1] == 0 and view.judge.rules.over_of(asked[0]) == inputs.OVER_INJURIES
    if not here or view.state.pending is not None or any(case.injuries):
        return False
    if drops is not None:
        return drops["what"].casefold() == WORDS[inputs.OVER_INJURIES] and int(drops["number"]) == 1
    heard = view.listener.hear((match and match["else"]) or "", case, None)
    return all(_stands(one, case) for one in heard.understood) and not (
        heard.proposed or heard.asks_back or heard.not_understood
    )


def _stands(one: Understood, case: Case) -> bool:
    """Whether what was heard to be found stands already."""
    there = case.get(one.over, one.key)
    return isinstance(one.answer, Choices) and isinstance(there, Choices) and one.answer.present <= there.present


def drop_line(view: View, text: str) -> tuple[SessionState, list[Message]] | None:
    """Takes `drop injury 2`; None where the text is no such line."""
    match = _DROP.fullmatch(text.strip().rstrip(".!"))
    if match is None:
        return None
    state, word = view.state, match["what"].casefold()
    over, index = _OVERS[word], int(match["number"]) - 1
    items = state.case.instances(over)
    if not 0 <= index < len(items) or not items[index]:
        return state, [Message("complaint", (f"No {word} {index + 1} was described.",))]
    return taken_back(state, view.judge.rules, over, index)


def taken_back(state: SessionState, rules: RuleSet, over: str, index: int) -> tuple[SessionState, list[Message]]:
    """Takes an injury or earlier repair back: nothing of it counts, and a note says that it was described."""
    word = f"{WORDS[over]} {index + 1}"
    left = replace(state, saved=_dropped(state.saved, rules, over, index))
    says = f"{word.capitalize()}: taken back. Nothing of it counts."
    return left.noting(f"{word} was described, then taken back"), [Message("noted", (says,))]


def drop_shown_back(view: View, pending: Pending) -> list[Said]:
    """What would be taken back with a yes: the injury, by what was said of it."""
    rules, index = view.judge.rules, pending.drops - 1
    told = view.state.case.injuries[index].items() if index < len(view.state.case.injuries) else ()
    says = (f"{rules.questions[name].name}: {value_in_words(answer, rules.questions[name])}" for name, answer in told)
    return [
        f"Understood, not counted yet: there is no injury {pending.drops}.",
        f"With yes it is taken back: {'; '.join(says)}.",
    ]


def _dropped(saved: Saved, rules: RuleSet, over: str, index: int) -> Saved:
    """The state without one injury or repair; those after it move up, and whether there is one more is asked again."""
    items = [dict(answers) for answers in saved.case.instances(over)]
    more = next((part.more for part in rules.parts if part.over == over and part.more), "")
    if index == len(items) - 1 and index and more:
        items[index - 1].pop(more, None)
    del items[index]

    def moved(key: Key) -> Key | None:
        if key[1] == TIRE or rules.questions[key[0]].over != over or key[1] < index:
            return key
        return None if key[1] == index else (key[0], key[1] - 1)

    order = (moved(key) for key in saved.order)
    skipped = (moved(key) for key in saved.case.skipped)
    case = replace(saved.case, skipped=frozenset(key for key in skipped if key is not None))
    return Saved(_with_items(case, over, tuple(items)), tuple(key for key in order if key is not None))


def _with_items(case: Case, over: str, items: tuple[Answers, ...]) -> Case:
    return replace(case, injuries=items) if over == "injuries" else replace(case, repairs=items)
