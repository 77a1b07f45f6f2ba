"""Why the verdict is what it is, on one page: which answers, which limit, whose limit, which clause, how firm.

However it is asked, it is this one text of one explanation; each step of it can be opened further. Also: why a question
is asked, what lies ahead, and the trade's terms.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence

from advisor.engine.evaluator import Judge, label_of
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.templates import limit_in_words, row_in_words, value_in_words
from advisor.model.case import Case, Key
from advisor.model.problems import closest, shown
from advisor.model.ruleset import UNSOURCED, Limit, Node, RuleSet, Verdict, Word, leaves
from advisor.wording.blocks import Block, Said, blocks_of, under
from advisor.wording.explanation import Explanation, explain
from advisor.wording.messages import Message, MessagePart
from advisor.wording.verdict_card import basis_in_words, question_in_words, questions_in_words

#: A text of a page is as wide as that, and what belongs under it.
_OUTER_COLUMNS = 74
_INNER_COLUMNS = 70
#: A screen of 24 lines, less the line that was typed.
PAGE_LINES = 23
#: So much of a long list of answers stands on the page; the rest is opened by name.
LONGEST_LIST = 200
#: So many steps are named at the foot of the page.
_MOST_NAMED = 3
STEP = re.compile(r"why\s+(?:number\s+|step\s+)?(?P<what>[0-9]{1,2}|answers?|limits?)\s*\??", re.I)
UNTIL_KNOWN = "Until everything needed is known nothing counts as a pass. Still to answer:"
ALSO = "These count as well:"
MOST_TERMS = 6
#: Words that an ordinary sentence uses in their everyday sense.
VERDICT_WORDS = frozenset({"repair", "refer", "hold", "scrap", "limit", "ruling"})


def explained(judge: Judge, now: Judgement) -> Explanation:
    """The explanation with the shortest reason; what finds it is loaded only now, as it is seldom asked at a start."""
    from advisor.explain.sufficient_reason import short_reason

    short = short_reason(judge, now.walk.tire.case, now)
    return explain(judge, now, short.core, short.rest)


def why(judge: Judge, case: Case, now: Judgement) -> Message:
    """Why things stand as they do; where the whole chain takes more than a page, its steps."""
    found = explained(judge, now)
    parts = tuple(
        {**_answer(key, case, judge), "role": "brings it" if key in found.core else "keeps it so"}
        for key in (*found.core, *found.rest)
    )
    whole = tuple(_whole(found, case, judge))
    return Message("why", whole if lines_taken(whole) <= PAGE_LINES else _page(found, case, judge), parts=parts)


def _whole(found: Explanation, case: Case, judge: Judge) -> Iterator[Said]:
    """The chain from the answers to the verdict, and the terms used in it."""
    yield found.headline
    yield from _shortest(found, case, judge)
    for number, reason in enumerate(found.steps, 1):
        yield _chain(number, reason, judge.rules)
    if found.verdict is Verdict.REPAIR:
        yield from _passed(found)
    if found.open:
        yield Block(UNTIL_KNOWN, tuple(questions_in_words(found.open, judge.rules)), "title")
    if found.others:
        yield Block(ALSO, tuple(reason.says for reason in found.others), "title")
    yield from _terms(found.steps, judge)


def _page(found: Explanation, case: Case, judge: Judge) -> tuple[Said, ...]:
    """The same in short: of the steps as many as there is room for, and how to open them."""
    named = [f"why {number}" for number in range(1, min(len(found.steps), _MOST_NAMED) + 1)]
    foot: list[Said] = []
    if found.open:
        foot.append(Block(UNTIL_KNOWN, ("; ".join(questions_in_words(found.open, judge.rules)),), "title"))
    foot.append(f"To open a step: {', '.join([*named, 'why answers', 'why limits'])}.")
    foot.append("To go further: why not repair, what if …, how sure, least change, what is a word.")
    head: list[Said] = [found.headline, *map(_in_short, _shortest(found, case, judge))]
    if found.others:
        foot.insert(0, Block("", (f"also counting: {len(found.others)}; open them by why limits.",)))
    title = "What was said for it:" if found.verdict is Verdict.REPAIR else "The rulings that bring it:"
    steps = _steps(found.steps, judge.rules, PAGE_LINES - lines_taken([*head, title, *foot]))
    return (*head, *([Block(title, tuple(steps), "title")] if steps else []), *foot)


def _steps(reasons: Sequence[Reason], rules: RuleSet, room: int) -> list[Said]:
    """Rulings, numbered, in so many lines: what each rests on as far as there is room, then how firm it is alone."""
    whole = [Block(f"{n}. {each.says}", (f"- {basis_in_words(each, rules)}",)) for n, each in enumerate(reasons, 1)]
    words = [f"{step.text} ({each.basis.standing})" for step, each in zip(whole, reasons, strict=True)]
    for count in range(len(whole), 0, -1):
        steps: list[Said] = [*whole[:count], *words[count:]]
        if lines_taken([Block("", tuple(steps))]) <= room:
            return steps
    if not reasons:
        return []
    count = next((n for n in range(len(words), 1, -1) if lines_taken([Block("", tuple(words[:n]))]) < room), 1)
    more = len(words) - count
    return [*words[:count], *([f"and {more} more: why {count + 1} …"] if more else [])]


def lines_taken(said: Iterable[Said]) -> int:
    """How many lines of a page blocks take, wrapped as the faces wrap them."""
    return sum(
        (_taken(block.said, _OUTER_COLUMNS) if block.text or not block.details else 0)
        + sum(_taken(each.said, _INNER_COLUMNS) for each in under(block))
        for block in blocks_of(said)
    )


def _taken(text: str, columns: int) -> int:
    return len(textwrap.wrap(text, columns)) or 1


def _shortest(found: Explanation, case: Case, judge: Judge) -> Iterator[Block]:
    """The shortest reason: the answers that bring the verdict, and those that keep it so."""
    core, rest = found.core, found.rest
    if core:
        does = ("brings it", "bring it") if rest else ("alone gives it", "alone give it")
        these = f"this one answer {does[0]}" if len(core) == 1 else f"these {len(core)} answers {does[1]}"
        yield Block(f"The shortest reason - {these}:", tuple(_said(key, case, judge) for key in core), "title")
    if rest:
        names = "; ".join(question_in_words(key, judge.rules) for key in rest)
        first = "These keep it from being anything else" if core else "It takes every one of these answers"
        yield Block(f"{first} ({len(rest)}):", (names,), "title")


def _in_short(block: Block) -> Block:
    """A block whose long lists are cut."""
    details = (detail.said for detail in under(block))
    cut = (text if len(text) <= LONGEST_LIST else f"{text[:LONGEST_LIST].rpartition(';')[0]}; …" for text in details)
    return Block(block.text, tuple(cut), block.role)


def _value(key: Key, case: Case, judge: Judge) -> str:
    question = judge.rules.questions[key[0]]
    return value_in_words(case.get(question.over, key), question)


def _said(key: Key, case: Case, judge: Judge) -> str:
    return f"{question_in_words(key, judge.rules)}: {_value(key, case, judge)}"


def _answer(key: Key, case: Case, judge: Judge) -> MessagePart:
    return {"question": label_of(key, judge.rules), "answer": _value(key, case, judge)}


def why_step(judge: Judge, case: Case, now: Judgement, what: str) -> Message:
    """One step of the page opened: a ruling by its number, the answers, or the limits held against."""
    if what.isdecimal():
        return _ruling(judge, now, int(what))
    if what.casefold().startswith("answer"):
        found = explained(judge, now)
        keys = (*found.core, *found.rest)
        says = Block(f"It rests on these {len(keys)} answers:", tuple(_said(key, case, judge) for key in keys), "title")
        return Message("why", (says,), parts=tuple(_answer(key, case, judge) for key in keys))
    found = explain(judge, now)
    others = [Block(ALSO, tuple(reason.says for reason in found.others), "title")] if found.others else []
    return Message("why", (*_passed(found), *others) or ("No other limit was held against the answers.",))


def _ruling(judge: Judge, now: Judgement, number: int) -> Message:
    steps = explain(judge, now).steps
    if not 1 <= number <= len(steps):
        known = f"1 to {len(steps)}" if steps else "none"
        return Message("complaint", (f"There is no step {number}; the steps are {known}.",))
    each = steps[number - 1]
    question = label_of(each.key, judge.rules) if each.question else None
    part: MessagePart = {"ruling": each.ruling, "question": question, "says": each.says}
    return Message("why", (_chain(number, each, judge.rules), *_terms((each,), judge)), parts=(part,))


def _chain(number: int, reason: Reason, rules: RuleSet) -> Block:
    """A ruling from the answer to whose rule it is, and how firm."""
    return Block(f"{number}. {reason.says}", tuple(_links(reason, rules)), "step")


def _links(reason: Reason, rules: RuleSet) -> Iterator[str]:
    if reason.question:
        yield f"You answered: {question_in_words(reason.key, rules)} - {reason.answer}"
    yield from (f"It holds that {rules.terms[name].says}" for name in reason.terms)
    if reason.limit is not None:
        yield f"The limit: {limit_meaning(reason.limit)}"
    if reason.table:
        table = rules.tables[reason.table]
        rows = "; ".join(
            f"{row_in_words(row.when, rules)}: {limit_in_words(rules.limits[row.limit])}" for row in table.rows
        )
        yield f"Chosen by: {table.says} - {rows}"
    for source in reason.basis.sources:
        text = rules.sources[source]
        yield f"Whose: {text.title} - {text.publisher} ({text.edition})"
        yield f"What it is: {text.kind}{'' if 'law' in text.kind else '; no law'}"
    if reason.basis.clause not in ("", "none"):
        yield f"Where in it: {reason.basis.clause}"
    yield f"How firm: {standing_meaning(reason.basis.standing, rules)}"
    if reason.limit is not None and reason.limit.note:
        yield f"Note: {reason.limit.note}"


def limit_meaning(limit: Limit) -> str:
    """A limit with its figure, and what a reading just on it means."""
    at = "itself still passes" if limit.at_limit_passes else "itself fails"
    return f"{limit.says}: {limit_in_words(limit)}; the figure {at}"


def standing_meaning(standing: str, rules: RuleSet) -> str:
    """A standing with what it means."""
    word = rules.words.get(standing.replace(" ", "-"))
    mark = "NOTE: no rule stands behind it. " if standing in UNSOURCED else ""
    return f"{mark}{standing}. {word.says}" if word else f"{mark}{standing}"


def _passed(found: Explanation) -> list[Block]:
    """The limits held against the answers and not exceeded; nothing where there is none."""
    head = "Held against these limits too, and on their good side:"
    return [Block(head, found.passed, "title")] if found.passed else []


def why_asked(judge: Judge, question_id: str) -> Message:
    """Why a question is asked: its reason, and the endings it can bring by itself."""
    rules = judge.rules
    endings = list[str]()
    for ruling in rules.rulings():
        named = {leaf.subject for leaf in leaves(ruling.when)}
        if ruling.ending and (question_id in named or rules.nodes[ruling.node].asks == question_id):
            ending = rules.endings[ruling.ending]
            says = judge.in_words(ending.headline)
            endings.append(f"it can bring {str(ending.verdict).upper()}: {says} ({ruling.basis.standing})")
    says = judge.in_words(rules.questions[question_id].why)
    return Message("help", (Block(says, tuple(dict.fromkeys(endings))),))


def no_text_behind(judge: Judge) -> Message:
    """The limits that rest on common practice or on memory, so that they can be told from those with a text."""
    limits = [limit for limit in judge.rules.limits.values() if limit.basis.standing in UNSOURCED]
    lines = [f"{limit.basis.standing}: {limit_in_words(limit)} - {limit.says}" for limit in limits]
    head = Block("No rule or text stands behind these limits; all others name theirs:", role="title")
    return Message("help", (head, *sorted(lines)))


def what_lies_ahead(judgement: Judgement, judge: Judge, node: Node) -> Message:
    """The questions still to be asked in their order, and the endings that the graph still leads to from here."""
    from advisor.engine.question_graph import endings_from

    rules = judge.rules
    ends = [rules.endings[name] for name in endings_from(rules, node.id)]
    ahead = tuple(
        f"{str(verdict).upper()}: {judge.in_words(ending.headline)}"
        for verdict in judgement.could_end
        for ending in ends
        if ending.verdict is verdict
    )
    to_ask = tuple(questions_in_words(tuple(judgement.walk.to_ask), rules))
    asked = Block("Still to be asked, as things stand:", to_ask, "title")
    return Message("help", (asked, Block("Endings that the question graph still leads to from here:", ahead, "title")))


def find_word(term: str, rules: RuleSet) -> Word | None:
    """The word that a term names, by id, title or another name for it."""
    wanted = " ".join(term.casefold().replace("-", " ").split()).strip("'\"?.")
    for word in rules.words.values():
        if wanted in _names(word) or wanted.removesuffix("s") in _names(word):
            return word
    return None


def _names(word: Word) -> set[str]:
    return {word.id.replace("-", " "), *(name.casefold().replace("-", " ") for name in (word.title, *word.also))}


def explain_word(term: str, judge: Judge) -> Message:
    """A term of the trade in a sentence or two; for an unknown one the nearest."""
    rules = judge.rules
    word = find_word(term, rules)
    if word is not None:
        return Message("help", (f"{word.title}: {judge.in_words(word.says)}",))
    names = [name for word in rules.words.values() for name in sorted(_names(word))]
    nearest = closest(term.casefold(), names)
    tail = f" Nearest: {', '.join(nearest)}." if nearest else " `advisor words` lists all of them."
    return Message("complaint", (f'"{shown(term, 60)}" is not among the words explained here.{tail}',))


def word_lines(judge: Judge) -> list[str]:
    """Every term with its explanation, in order of the alphabet."""
    words = sorted(judge.rules.words.values(), key=lambda word: word.title.casefold())
    return [f"{word.title}: {judge.in_words(word.says)}" for word in words]


def _terms(reasons: Iterable[Reason], judge: Judge) -> list[Block]:
    """The trade's terms that reasons use, explained; nothing where they use none."""
    text = " ".join(f"{reason.says} {reason.limit.says if reason.limit else ''}" for reason in reasons)
    words = (word for word in judge.rules.words.values() if word.id not in VERDICT_WORDS and not word.asked_for)
    used = [word for word in words if any(_stands_in(name, text) for name in (word.title, *word.also))]
    says = tuple(f"{word.title}: {judge.in_words(word.says)}" for word in used[:MOST_TERMS])
    return [Block("Words used above:", says, "title")] if says else []


def _stands_in(name: str, text: str) -> bool:
    return bool(re.search(rf"\b{re.escape(name)}\b", text, re.IGNORECASE))
