"""What is asked of a sentence that waits, and how it is answered: yes, no, numbers to take or to leave out."""

from __future__ import annotations

import re

from msgspec import Struct
from msgspec.structs import replace

from advisor.dialogue.proposed_answers import NUMBERS, taken
from advisor.dialogue.state import Pending
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import OTHER_NO, OTHER_YES, plain
from advisor.model.ruleset import CantTellRule, ChoiceText, Node, Question, RuleSet
from advisor.nlu.part_runs import any_word_of, part_runs_of
from advisor.nlu.qualifiers import CONTRARY, TAKES_BACK
from advisor.nlu.result import Understood
from advisor.nlu.scope_words import HEDGE, NOT_LOOKED, OTHERS_WORD, SUPPOSED
from advisor.wording.verdict_card import question_in_words

CONFIRM = Question(
    id="understood",
    over="tire",
    key="understood",
    name="whether that was understood right",
    asks="Is that what you said?",
    kind="choice",
    choices=(
        ChoiceText("yes", "Yes, it counts"),
        ChoiceText("no", "No, drop all of it"),
    ),
    how="Or set it right in your own words: no, the steer axle. Type not 2 to take number 2 out.",
)
#: The same where nothing was said outright.
CONFIRM_DOUBT = replace(
    CONFIRM,
    choices=(ChoiceText("yes", "Yes, kept as a doubt"), CONFIRM.choices[1]),
    how="Or say outright what was found. Type not 1 to take number 1 out.",
)
CONFIRM_NODE = Node("understood", "", "understood", False, "", None, CantTellRule(), (), ())
#: The choice that takes all that can be taken by its number; the class of words for it.
_TAKE, _ALL_OF_THEM = "take", "all-of-them"
#: The class of words for a bare no.
_SAYS_NO = "says-no"
YES = OTHER_YES | {
    "yes", "y", "1", "correct", "right", "ok", "okay", "that's right", "true", "take it", "yes it counts",
    "yes, it counts",
}  # fmt: skip
NO = OTHER_NO | {
    "no",
    "n",
    "2",
    "wrong",
    "drop",
    "drop it",
    "drop them",
    "drop all of it",
    "no, drop all of it",
    "false",
}
#: One or several numbers to take or to leave out, in a line of their own or ahead of other words.
_PICKS = re.compile(
    rf"(?:(?P<yes>yes|yep|yeah|ok|okay)\b[ ,.;]*)?(?:and\s+)?"
    rf"(?P<how>take out|take|not|drop|without|except)\s+{NUMBERS}(?=$|[.!]$|[ ]*[,.;][ ]*(?=[^\s\d])|[ ]+and[ ]+\D)"
    r"[ ,.;!]*(?:and[ ]+)?",
    re.I,
)


#: So many words of a line may be its yes.
_LONGEST_YES = 8
_WORDS = re.compile(r"[^\s,;.!]+")


def agrees(word: str) -> bool:
    """Whether a word agrees with something that waits, and is no number."""
    return word in YES and not word.isdecimal()


def yes_and_rest(text: str, rules: RuleSet) -> str | None:
    """What stands behind a yes, in whatever words people say it; None where a line doesn't begin with one."""
    runs, words = part_runs_of(rules.phrases), list(_WORDS.finditer(text))[:_LONGEST_YES]
    for word in reversed(words):
        if runs.whole(text[: word.end()], "agreed"):
            return text[word.end() :].strip(" \t,;.!-")
    return None


def takes_some_back(rest: str, rules: RuleSet) -> bool:
    """Whether what stands behind a yes may take some of it back: an exception, a denial, a guess, a question."""
    words, runs = re.findall(r"[^\W\d_]+(?:'[^\W\d_]+)?", plain(rest)), part_runs_of(rules.phrases)
    denied = any(runs.whole(" ".join(words[place:]), "denial") for place in range(len(words)))
    taken_back = "if" in words or (words and words[0] in CONTRARY | TAKES_BACK)
    guessed = any(doubt.search(plain(rest)) for doubt in (HEDGE, NOT_LOOKED, OTHERS_WORD, SUPPOSED))
    return bool("?" in rest or guessed or denied or taken_back or runs.within(rest, "exception"))


def says_both(text: str, rules: RuleSet, waits: bool = False) -> bool:
    """Whether a line is a yes and a no in one, and nothing else: yeah, nah. `waits`: a yes is asked for: right, no."""
    runs, words = part_runs_of(rules.phrases), re.sub(r"\s-+\s|\.+(?=\s)", ", ", text)
    return runs.whole(words, "both-ways") or (waits and runs.whole(words, "both-at-a-yes"))


def begins_with_yes(text: str) -> bool:
    """Whether a line begins with a word for yes."""
    first = re.split(r"[\s,;.]", plain(text), maxsplit=1)[0]
    return first in YES and not first.isdecimal()


def says_no(text: str, behind: str, rules: RuleSet) -> bool:
    """Whether a line begins with a bare no and has this `behind` it, given as a pattern."""
    no = any_word_of(rules.phrases.classes.get(_SAYS_NO, ()))
    return bool(re.match(rf"\s*(?:{no}){behind}", text, re.I))


def to_confirm(pending: Pending, rules: RuleSet) -> Question:
    """What is asked of what waits; with a choice that takes what can be taken by its number."""
    put = CONFIRM if pending.answers or pending.drops else CONFIRM_DOUBT
    numbers = takeable(pending, rules)
    if not numbers:
        return put
    *most, last = map(str, numbers)
    which = f"numbers {', '.join(most)} and {last}" if most else f"number {last}"
    says = f"Yes, and {which} too" if pending.answers else f"Yes, {which} {'are' if len(numbers) > 1 else 'is'} so"
    ones = [(number, pending.proposed[number - len(pending.answers) - 1]) for number in numbers]
    told = (f"{number}. {question_in_words(one.key, rules)}: {_value_of(one, pending, rules)}" for number, one in ones)
    says = f"{says} - {'; '.join(told)}"  # what a yes adds stands where it is said
    return replace(put, choices=(*put.choices, ChoiceText(_TAKE, says)))


def _value_of(one: Understood, pending: Pending, rules: RuleSet) -> str:
    """What is taken of it, in words."""
    now = taken(one, rules, " ".join(pending.lines))
    return value_in_words(one.answer if isinstance(now, str) else now.answer, rules.questions[one.key[0]])


def takeable(pending: Pending, rules: RuleSet) -> list[int]:
    """The numbers of what was not said outright and can be taken by them."""
    first = len(pending.answers) + 1
    return [place for place, one in enumerate(pending.proposed, first) if not isinstance(taken(one, rules), str)]


def takes_all(word: str, pending: Pending, rules: RuleSet) -> bool:
    """Whether a word takes all that can be taken by its number along with the rest."""
    choices = enumerate(to_confirm(pending, rules).choices, 1)
    take = [(place, each.says) for place, each in choices if each.id == _TAKE]
    said = [word for place, says in take for word in (str(place), plain(says), plain(says.partition(" - ")[0]))]
    return bool(said) and word in (*said, *rules.phrases.classes.get(_ALL_OF_THEM, ()))


class Picked(Struct, frozen=True):
    """What a line takes and leaves out by number, whether it says yes to all, and what else stands behind it."""

    take: tuple[int, ...] = ()
    out: tuple[int, ...] = ()
    yes: bool = False
    rest: str = ""

    @property
    def words(self) -> str:
        """The numbers as a line of their own."""
        takes, outs = ((word, numbers) for word, numbers in (("take", self.take), ("not", self.out)))
        return ", ".join(f"{word} {', '.join(map(str, numbers))}" for word, numbers in (takes, outs) if numbers)


def picked_in(text: str) -> Picked | None:
    """The numbers at the head of a line: take 4 and 5, not 6, the tread is 12/32; None where it begins otherwise."""
    take, out, yes, at = list[int](), list[int](), False, 0
    while match := _PICKS.match(text, at):
        numbers = [int(number) for number in re.findall(r"\d+", match["numbers"])]
        (take if match["how"].casefold() == "take" else out).extend(numbers)
        yes, at = yes or bool(match["yes"]), match.end()
    return Picked(tuple(take), tuple(out), yes, text[at:].strip()) if take or out else None
