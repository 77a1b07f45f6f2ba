"""What was heard and not said outright: shown apart, taken by its number or not at all, and never lost as a doubt."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Sequence

from msgspec.structs import replace

from advisor.dialogue.not_counted import SAID_IN_DOUBT
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import NONE_WORDS, read_typed, words_for
from advisor.model.case import CANT_TELL, Answer, Case, Choice, Choices, Key, Readings
from advisor.model.problems import Misread, shown
from advisor.model.quantity import Measure, read_measure
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.hedge_scope import helps_answer
from advisor.nlu.part_runs import part_runs_of
from advisor.nlu.qualifiers import ALTERED, ONE_PLACE
from advisor.nlu.result import Heard, Understood
from advisor.nlu.scope_words import ALTERS, HEDGE, ROUGHLY
from advisor.nlu.slots.measures import WHICH_PRESSURE
from advisor.nlu.what_weighs import weighs
from advisor.wording.blocks import Block, Said
from advisor.wording.verdict_card import question_in_words

#: One number of the list, or several: 3, 3 and 4, 3, 4 & 5.
NUMBERS = r"(?:numbers?\s+)?(?P<numbers>\d{1,2}(?:(?:\s*,\s*|\s+)(?:(?:and|&|or)\s+)*\d{1,2})*)"
WHO_MEASURED = "narrower than what stands"
#: Takes a doubt back in so many words: measured again myself, scratch that, I was wrong.
_TAKEN_BACK = re.compile(
    r"\b(?:re-?measured|(?:i|we|i've|we've) (?:just )?(?:measured|gauged|checked) (?:it |that )?(?:again"
    r"|myself|ourselves)"
    r"|(?:measured|gauged|checked) (?:it |that )?(?:again|myself|once more)|scratch|strike|correction"
    r"|i was wrong|my mistake"
    r"|forget (?:the|what i said)|i take (?:it|that) back|not \d)",
    re.I,
)
_PARTS = re.compile(r"[,;]\s+|\n+")
#: Of a figure that was said exactly it is only open what it measures.
_OF_WHAT, OF_TREAD = ": of what?", ": the tread depth?"
_OTHERS = ("somebody's word", WHO_MEASURED, "said along with a question", "asked")


def narrower_apart(heard: Heard, case: Case, rules: RuleSet, asked: Key | None, notes: Iterable[str]) -> Heard:
    """A reading inside a doubtful one, or milder than it, is proposed until the doubt is taken back outright.

    What can't be told is found out by saying it, unless the `notes` have something of it that was said in doubt.
    """
    if _TAKEN_BACK.search(heard.text):
        return heard
    doubted = {match["name"] for note in doubts_noted(notes) if (match := _NOTED.match(note))}
    held = [one for one in heard.understood if one.key != asked and _narrower(one, case, rules, doubted)]
    again = {one.words for one in heard.proposed if _said_again(one, case)}
    stands = {one.key for one in heard.proposed if _said_again(one, case)}
    if not heard.understood and len(stands) == len(heard.proposed):
        again, stands = set(), set()  # else nothing would come of the line
    why = f"{WHO_MEASURED}: who measured it, and how?"
    proposed = tuple(
        replace(one, hedge=f"{why} ({one.hedge})") if _narrower(one, case, rules, doubted) else one
        for one in heard.proposed
        if one.key not in stands
    )
    return replace(
        heard,
        asks_back=tuple(ask for ask in heard.asks_back if ask.key not in stands),
        not_understood=tuple(word for word in heard.not_understood if word not in again),
        understood=tuple(one for one in heard.understood if one not in held),
        proposed=(*proposed, *(replace(one, hedge=why) for one in held)),
    )


def _said_again(one: Understood, case: Case) -> bool:
    """Whether what may only be meant is the very answer that stands: ran 30 miles at 78, and 78 psi stands."""
    old, now = case.get(one.over, one.key), one.answer
    if one.hedge != f'"{one.words}" may say that':
        return False
    if isinstance(old, Measure) and isinstance(now, Measure):
        return old.exact and now.exact and now.to(old.unit).low == old.low
    return isinstance(now, Choice) and now == old


def _narrower(one: Understood, case: Case, rules: RuleSet, doubted: Container[str]) -> bool:
    question = rules.questions[one.key[0]]
    old = case.get(one.over, one.key)
    if old is CANT_TELL:
        return question_in_words(one.key, rules) in doubted  # else it was found out since
    if question.kind not in ("measure", "readings") or old is None or one.answer is CANT_TELL:
        return False
    before, now = _measures(old), _measures(one.answer)
    if not before or not now or all(each.exact for each in before):
        return False
    low, high = min(each.low for each in before), max(each.high for each in before)
    new = [each.to(before[0].unit) for each in now]
    least, most = min(each.low for each in new), max(each.high for each in new)
    if question.worse == "above":
        return most <= high and (least, most) != (low, high)
    if question.worse == "below":
        return least >= low and (least, most) != (low, high)
    return low <= least and most <= high and (least, most) != (low, high)


def _measures(answer: Answer) -> tuple[Measure, ...]:
    if isinstance(answer, Measure):
        return (answer,)
    return answer.readings if isinstance(answer, Readings) else ()


def proposed_blocks(proposed: Sequence[Understood], first: int, case: Case, rules: RuleSet) -> list[Said]:
    """What may have been heard, numbered on from what was said outright."""
    if not proposed:
        return []
    heard = list[str]()
    for number, one in enumerate(proposed, first):
        question = rules.questions[one.key[0]]
        old = case.get(one.over, one.key)
        was = f" (stands: {value_in_words(old, question)})" if old is not None else ""
        said = f"{question_in_words(one.key, rules)}: {value_in_words(one.answer, question)}{was}"
        heard.append(f"{number}. {said} - {heard_in(one)}")
    lines: list[Said] = [Block("I may have heard, not counted:", to_look_at(heard))]
    takeable = [number for number, one in enumerate(proposed, first) if not isinstance(taken(one, rules), str)]
    if takeable:
        words = " or ".join(f"take {number}" for number in takeable)
        lines.append(f"Yes leaves these out. Type {words} if that is so; the rest has to be said outright.")
    else:
        lines.append("Yes leaves these out: what was found has to be said outright by whoever looked or measured.")
    return lines


def to_look_at(items: Iterable[str]) -> tuple[Said, ...]:
    """Items by their numbers, each to be looked at."""
    return tuple(Block(each, role="look" if each[:1].isdigit() else "plain") for each in items)


def heard_in(one: Understood) -> str:
    """The words that something was heard in, and why it was not said outright."""
    words = f'"{shown(one.words, 80)}"'
    return f"perhaps: {words}" if one.hedge == f"{words} may say that" else f"from {words}; {shown(one.hedge, 160)}"


def taken(one: Understood, rules: RuleSet, lines: str = "") -> Understood | str:
    """A proposal as an answer that keeps its doubt, or why it can't be taken by its number.

    A figure that was said exactly stays so where it was only open what it is of, and nothing in the `lines` hedges.
    """
    question = rules.questions[one.key[0]]
    name = question_in_words(one.key, rules)
    if one.hedge.startswith(_OTHERS):
        return f"{name}: who found that, and how? Look or measure yourself, and say what you find."
    milder = isinstance(one.answer, Choice) and one.answer.id in question.worse_order[:-1]
    if one.hedge.startswith(ALTERED) and milder:
        return f"{name}: {one.hedge}. Say it outright where you looked yourself, or can't tell."
    if one.hedge.startswith(ALTERED) and not isinstance(one.answer, Choice | Choices):
        return f"{name}: {one.hedge}. Say the figure by itself, as measured where it is worst, or can't tell."
    if helps_answer(question, one.answer):
        return f"{name}: that rests on a guess. Look yourself, and say outright what you find, or can't tell."
    answer = one.answer
    if isinstance(answer, Choices):
        answer = Choices(answer.present, frozenset())  # what was not found has to be said outright
    exactly = _as_said(one, lines)
    if isinstance(answer, Measure) and answer.exact and not exactly:
        try:
            answer = read_measure(f"about {one.written}", question.quantity)
        except Misread:
            answer = CANT_TELL
    elif isinstance(answer, Readings) and not exactly:
        answer = CANT_TELL
    return replace(one, answer=answer, doubt=one.doubt or one.hedge, hedge="")


def _as_said(one: Understood, lines: str) -> bool:
    """Whether a figure was said exactly: nothing in its part of the lines hedges or alters it."""
    said = lines.casefold()
    if not lines or one.hedge.startswith(("said with", ALTERED)):
        return False
    if isinstance(one.answer, Readings):
        plain_tread = one.hedge.endswith((f": {WHICH_PRESSURE}", OF_TREAD)) and said.count("/32") == 1
        once = one.hedge == f"{one.words}{OF_TREAD}" and "/32" not in said and said.count(one.words.casefold()) == 1
        return (plain_tread or once) and one.answer.readings[0].exact and not _rough(said)
    if not isinstance(one.written, str):
        return False
    figure = one.written.partition(" ")[0]
    return not any(_rough(part) for part in _PARTS.split(said) if figure in part)


def _rough(said: str) -> bool:
    return any(pattern.search(said) for pattern in (ROUGHLY, HEDGE, ALTERS, ONE_PLACE))


def doubts(
    proposed: Iterable[Understood], given: dict[Key, Answer], case: Case, rules: RuleSet
) -> list[tuple[Key, Answer]]:
    """What answers that stand become by a worse one that was said in doubt: open again, or a range of both."""
    found = []
    for one in proposed:
        old = given.get(one.key, case.get(one.over, one.key))
        new = _doubted(old, one.answer, rules.questions[one.key[0]]) if old is not None else None
        if isinstance(new, Measure) and one.hedge.startswith(ALTERED):
            new = CANT_TELL  # 9 mm plus goes on past 9 mm
        if new is not None and new != old:
            found.append((one.key, new))
    return found


def _doubted(old: Answer, new: Answer, question: Question) -> Answer | None:
    if isinstance(old, Choices) and isinstance(new, Choices):
        there = new.present - old.present
        every = frozenset(choice.id for choice in question.choices) if old.complete else old.absent or frozenset()
        return Choices(old.present, every - old.present - there) if there else None
    if isinstance(old, Choice) and isinstance(new, Choice):
        order = question.worse_order
        if old.id in order and new.id in order:
            return CANT_TELL if order.index(new.id) > order.index(old.id) else None
        return CANT_TELL if helps_answer(question, old) and not helps_answer(question, new) else None
    if isinstance(old, Measure) and isinstance(new, Measure):
        now = new.to(old.unit)
        low = min(old.low, now.low) if question.worse != "above" else old.low
        high = max(old.high, now.high) if question.worse != "below" else old.high
        return Measure(low, high, old.unit) if (low, high) != (old.low, old.high) else None
    if isinstance(old, Readings) and isinstance(new, Readings):
        return Readings((*old.readings, *new.readings)) if question.worse == "below" else None
    return None


def note_of(one: Understood, rules: RuleSet, asked: str = "") -> str:
    """A note of a proposal that did not count; with why it is `asked` back, where that says more."""
    question = rules.questions[one.key[0]]
    words = shown(one.words, 120)
    said = f"{question_in_words(one.key, rules)}: {value_in_words(one.answer, question)}"
    why = "; ".join(dict.fromkeys((one.hedge, *asked.split("; ")))) if asked else one.hedge
    return f'{SAID_IN_DOUBT}{said}, from "{words}"; {why}'


def note_of_asked(key: Key, why: str, text: str, rules: RuleSet) -> str:
    """A note of what a line only touches, and that was asked back."""
    return f'{SAID_IN_DOUBT}{question_in_words(key, rules)}: {_LEFT_OPEN}, from "{shown(text, 120)}"; {why}'


def doubts_noted(notes: Iterable[str]) -> list[str]:
    """What of a consultation's notes was said in doubt, for how sure."""
    return list(dict.fromkeys(note for note in notes if note.startswith(SAID_IN_DOUBT)))


_LEFT_OPEN = "left open"
#: The class of words that say that something holds of a part only.
PARTIAL = "partial"
#: Why a word that tells an answer was left in doubt: another one beside it says the contrary.
_LEAVES_OPEN = "leaves it open"
_NOTED = re.compile(rf'{SAID_IN_DOUBT}(?P<name>.+): (?P<value>.+?), from "(?P<words>.+?)"; (?P<why>.*)', re.S)
_QUOTED = re.compile(r'"([^"]+)"')
_FIGURE = re.compile(r"\d+(?:[.,/]\d+)?")
#: So many doubts are named on the card; all are among the notes.
MOST_DOUBTS_SHOWN = 3


def answered_over(notes: Iterable[str], case: Case, keys: Iterable[Key], rules: RuleSet) -> str:
    """What was said in doubt and then answered milder, for the card of a repair; empty where nothing was.

    `keys` are the questions answered. A doubt that was borne out, or that is milder than what stands, is settled.
    """
    by_name = {question_in_words(key, rules): key for key in keys}
    over: dict[str, str] = {}
    for note in doubts_noted(notes):
        match = _NOTED.match(note)
        if match and not _settled(match, case, by_name.get(match["name"]), rules):
            words, altered = f'"{shown(match["words"], 60)}"', match["why"].startswith(ALTERED)
            told = {*_FIGURE.findall(match["words"])} <= {*_FIGURE.findall(f"{match['why']} {match['value']}")}
            words = f"{words} {match['why']}" if altered and not told else match["why"] if altered else words
            over[f"{shown(words, 80)} ({match['name']})"] = _how_answered(
                match, case, by_name.get(match["name"]), rules
            )
    last = dict(list(over.items())[-MOST_DOUBTS_SHOWN:])
    heads = dict.fromkeys(last.values())
    said = [f"Said in doubt, {head}: {', '.join(each for each in last if last[each] == head)}." for head in heads]
    return " ".join([*said, "Be sure of it."]) if said else ""


def _how_answered(noted: re.Match[str], case: Case, key: Key | None, rules: RuleSet) -> str:
    """What became of something said in doubt: it was left open, answered the same, or otherwise."""
    stands = None if key is None else case.get(rules.questions[key[0]].over, key)
    if key is None or stands is None:
        return "then left open"
    denied = isinstance(stands, Choices) and not stands.present and noted["value"][:3] in ("no ", "non")
    same = denied or noted["value"] == value_in_words(stands, rules.questions[key[0]])
    if same:
        return "then answered the same"
    return "then answered" if noted["value"] == _LEFT_OPEN else "then answered otherwise"


def _settled(noted: re.Match[str], case: Case, key: Key | None, rules: RuleSet) -> bool:
    """Whether what was said in doubt is borne out by the answer that stands, or milder than it.

    What altered a figure or a choice, or tells of something bad, is not settled by the same without it.
    """
    if key is None:
        return False
    value, question = noted["value"], rules.questions[key[0]]
    stands = case.get(question.over, key)
    if key in case.skipped:
        return False
    if stands is None or value == value_in_words(CANT_TELL, question):
        of_a_figure = noted["why"].endswith(_OF_WHAT.removeprefix(": "))  # of which nothing was made
        return stands is not None or not of_a_figure
    if value == _LEFT_OPEN:
        return _closed(noted["words"], stands, question)
    if value == value_in_words(stands, question):
        runs, quoted = part_runs_of(rules.phrases), _QUOTED.findall(noted["why"])
        alters = any(weighs(words, rules.phrases, named=True) and not runs.whole(words, "closing") for words in quoted)
        altered = noted["why"].startswith(ALTERED) and alters
        left_open = altered or _LEAVES_OPEN in noted["why"] or _tells_bad(noted["why"], rules)
        return not left_open or stands == _worst(question)
    if isinstance(stands, Choice):
        said = next((each.id for each in question.choices if each.says == value), "")
        order = question.worse_order
        return said in order and stands.id in order and order.index(said) <= order.index(stands.id)
    if isinstance(stands, Choices) and value[:3] == "no ":
        return bool(stands.present) or not (noted["why"].startswith(ALTERED) or _tells_bad(noted["words"], rules))
    if isinstance(stands, Choices):
        return (
            all(each.says not in value or each.id in stands.present for each in question.choices) or value[:3] == "no "
        )
    try:
        return _doubted(stands, read_typed(question, value), question) is None
    except Misread:
        return False


def _tells_bad(words: str, rules: RuleSet) -> bool:
    """Whether one of some words tells of something bad, or that it holds of a part only."""
    found, phrases = set(re.findall(r"[^\W\d_]+", words.casefold())), rules.phrases
    return not (phrases.telling.isdisjoint(found) and found.isdisjoint(phrases.classes.get(PARTIAL, ())))


def _worst(question: Question) -> Choice | None:
    return Choice(question.worse_order[-1]) if question.worse_order else None


def _closed(words: str, stands: Answer, question: Question) -> bool:
    """Whether an answer closes what some words had left open: it found something, is no milder, has their figure."""
    if isinstance(stands, Choices):
        return bool(stands.present)
    if isinstance(stands, Choice):
        others = (word for each in question.choices if each.id != stands.id for word in words_for(each))
        named = any(re.search(rf"\b{re.escape(word)}\b", words, re.I) for word in others if word not in NONE_WORDS)
        return stands.id not in question.worse_order[:-1] and not named
    figures = set(_FIGURE.findall(words))
    return stands is CANT_TELL or (bool(figures) and figures <= set(_FIGURE.findall(value_in_words(stands, question))))
