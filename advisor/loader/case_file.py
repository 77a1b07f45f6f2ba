"""Reads cases from YAML documents, JSON or JSON lines; every misfit is a problem with its place.

Where in a case's text something stands that cannot be true.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from datetime import date
from itertools import pairwise
from typing import Any

import yaml
from msgspec import Struct
from msgspec.structs import replace

from advisor.loader.answer_codec import read_answer, written
from advisor.loader.case_constraints import impossible
from advisor.loader.reader import Diagnostics, closest, described, is_empty, pairs_of, text_of, value_of
from advisor.loader.renamed import read_as, renames_answers
from advisor.loader.yaml_nodes import each_document
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Answer, Answers, Case, Choice
from advisor.model.problems import Place, Problem, Problems, shown
from advisor.model.ruleset import Question, RuleSet


def check_case(case: Case, node: yaml.Node, notes: Diagnostics, rules: RuleSet) -> None:
    """Diagnostics a problem for answers that cannot be true together."""
    for problem_id, label, error in impossible(case, rules):
        notes.add(problem_id, _node_of(node, label), f"{error.found} for {label}", error.expected, error.do)


def _node_of(node: yaml.Node, label: str) -> yaml.Node:
    """The node that a label names, or the nearest one above it."""
    for name in label.replace("]", "").replace("[", ".").split("."):
        below = _child(node, name)
        if below is None and name == inputs.EARLIER_REPAIRS:
            answers = _child(node, "answers")
            below = _child(answers, name) if answers is not None else None
        if below is None:
            return node
        node = below
    return node


def _child(node: yaml.Node, name: str) -> yaml.Node | None:
    if isinstance(node, yaml.MappingNode):
        return value_of(node, name)
    if isinstance(node, yaml.SequenceNode) and name.isdigit() and int(name) < len(node.value):
        item = node.value[int(name)]
        return item if isinstance(item, yaml.Node) else None
    return None


#: `ends` and `says` tell how a case is to end; `kept_cases.py` reads them, and whoever judges a case passes them over.
TOP_KEYS = ("rules", "today", "answers", "injuries", "ends", "says")
#: What `advisor hear` says beside the answers; a case may carry it along.
PROPOSED = "proposed"
HEARD_BESIDE = (PROPOSED, "not_understood", "asks_back")


class CaseText(Struct, frozen=True):
    """One case of a file before it is read: its node, or the problems that kept it from being one."""

    file: str
    node: yaml.Node | None
    problems: tuple[Problem, ...] = ()
    first_line: int = 0

    @property
    def line(self) -> int:
        """The line in the file where the case begins."""
        return self.first_line + (self.node.start_mark.line if self.node else 0) + 1

    @property
    def rules(self) -> str:
        """The rule set that the case names, or an empty text."""
        node = self._rules_node()
        return str(node.value) if node else ""

    def notes(self) -> Diagnostics:
        """Where problems of this case are gathered, with places of the whole file."""
        return Diagnostics(self.file, self.first_line)

    @property
    def rules_place(self) -> Place:
        """Where the case names its rule set; the head of the file when it doesn't."""
        node = self._rules_node()
        return self.notes().place(node) if node else Place(self.file)

    def _rules_node(self) -> yaml.Node | None:
        if isinstance(self.node, yaml.MappingNode):
            for key, value in self.node.value:
                if key.value == "rules" and isinstance(value, yaml.ScalarNode) and not is_empty(value):
                    return value
        return None


def split_cases(text: str, file: str) -> Iterator[CaseText]:
    """The cases of a text, one by one, so that one that is bad does not stop the others."""
    if is_json_lines(text, file):
        for number, line in enumerate(text.splitlines()):
            if line.strip():
                yield from _of_text(line, file, number, one_line=True)
        return
    for first_line, document in _documents(text):
        yield from _of_text(document, file, first_line)


def is_json_lines(text: str, file: str = "") -> bool:
    """Whether a text is one JSON object a line: by the file's name, or by a first line that is one by itself."""
    if file.endswith((".jsonl", ".ndjson")):
        return True
    lines = (line.strip() for line in text.splitlines())
    first, second = (next((line for line in lines if line), "") for _ in range(2))
    if not second or not first.startswith("{"):
        return False
    try:
        return isinstance(json.loads(first), dict)
    except (ValueError, RecursionError):
        return False


#: Where a YAML document begins; nothing else may stand so at the head of a line.
_DOCUMENT = re.compile(r"^---(?=\s|$)", re.MULTILINE)


def _documents(text: str) -> Iterator[tuple[int, str]]:
    """The YAML documents of a text, each with the number of lines before it: a bad one must not spoil the others."""
    starts = [match.start() for match in _DOCUMENT.finditer(text)]
    if starts and all(line.lstrip()[:1] in ("", "#", "%") for line in text[: starts[0]].splitlines()):
        starts[0] = 0
    elif starts:
        starts.insert(0, 0)
    first_line = 0
    for start, end in pairwise([*starts, len(text)] if starts else [0, len(text)]):
        yield first_line, text[start:end]
        first_line += text.count("\n", start, end)


#: JSON writes signs beyond the basic plane as two escapes, which YAML does not know.
_PAIR = re.compile(r"\\u(d[89ab][0-9a-f]{2})\\u(d[c-f][0-9a-f]{2})", re.IGNORECASE)


def _joined(match: re.Match[str]) -> str:
    high, low = int(match[1], 16), int(match[2], 16)
    return chr(0x10000 + ((high - 0xD800) << 10) + (low - 0xDC00))


def _of_text(text: str, file: str, first_line: int, one_line: bool = False) -> Iterator[CaseText]:
    found = False
    try:
        for node in each_document(_PAIR.sub(_joined, text) if text.lstrip().startswith("{") else text, file):
            found = True
            yield CaseText(file, node, first_line=first_line)
    except Problems as error:
        found = True
        yield CaseText(file, None, tuple(_placed(problem, first_line, one_line) for problem in error.problems))
    if not found:
        empty = Problem("no-case", Place(file), "no case", "a case with answers", "write answers: and injuries:")
        yield CaseText(file, None, (empty,))


def _placed(problem: Problem, first_line: int, one_line: bool) -> Problem:
    """A problem in the whole file's lines; the end of a lone line counts as that line."""
    if one_line and problem.place.line > 1:
        problem = replace(problem, place=Place(problem.place.file, 1, 1))
    return problem.at(problem.place.file, first_line)


def read_case(case_text: CaseText, rules: RuleSet, today: date) -> Case:
    """The case in a text. Raises Problems with everything that doesn't fit the rule set's questions."""
    notes = case_text.notes()
    if case_text.node is None:
        raise Problems(case_text.problems)
    pairs = list(pairs_of(case_text.node, notes, "the case"))
    own = (_date(value, notes) for key, _, value in pairs if key == "today")
    case = Case(today=next(own, None) or today)
    rules = rules.on(case.today)
    for key, key_node, value in pairs:
        if key == "answers" and not is_empty(value):
            case = _with_tire(case, value, notes, rules)
        elif key == "injuries" and not is_empty(value):
            case = replace(case, injuries=_items(value, notes, rules, "injuries"))
        elif key == "today":
            continue  # read ahead of the answers
        elif key == "rules":
            text_of(value, notes, '"rules"')
        elif key not in (*TOP_KEYS, *HEARD_BESIDE):
            _unknown_key(key, key_node, notes, rules)
    for key, _, value in pairs:
        if key == PROPOSED:
            case = _in_doubt(case, value, rules)
    check_case(case, case_text.node, notes, rules)
    if notes.problems:
        raise Problems(sorted(notes.problems, key=lambda problem: problem.place))
    return case


def _in_doubt(case: Case, proposed: yaml.Node, rules: RuleSet) -> Case:
    """A case in which what may be left out, and was only proposed, can't be told."""
    optional = {node.asks for node in rules.nodes.values() if node.optional}
    heard, listed = _child(proposed, "answers"), _child(proposed, "injuries")

    def with_doubt(answers: Answers, over: str, node: yaml.Node | None) -> Answers:
        keys = [str(key.value) for key, _ in node.value] if isinstance(node, yaml.MappingNode) else []
        asked = (rules.by_case_key.get((over, key)) for key in keys)
        return {**{each.id: CANT_TELL for each in asked if each is not None and each.id in optional}, **answers}

    def each_with_doubt(items: tuple[Answers, ...], over: str, node: yaml.Node | None) -> tuple[Answers, ...]:
        return tuple(with_doubt(item, over, node and _child(node, str(at))) for at, item in enumerate(items))

    earlier = heard and _child(heard, inputs.EARLIER_REPAIRS)
    return replace(
        case,
        answers=with_doubt(case.answers, "tire", heard),
        injuries=each_with_doubt(case.injuries, "injuries", listed),
        repairs=each_with_doubt(case.repairs, inputs.OVER_REPAIRS, earlier),
    )


def passed_over(case_text: CaseText, rules: RuleSet, others: Iterable[RuleSet]) -> tuple[CaseText, list[str]]:
    """A case without the answers that a rule set has no question or choice for and another one does; their labels.

    What the rule set asks of something else stays, and so what is misplaced there is told. Of several choices those
    that it has stay as seen, and the rest as not looked for.
    """
    here = {key for _, key in rules.by_case_key}
    beside = list(others)
    elsewhere = {place for each in beside for place in each.by_case_key if place[1] not in here}
    choices = {place: _choices_of(beside, place) - _choices_of([rules], place) for place in rules.by_case_key}
    labels: list[str] = []
    if case_text.node is None or not (elsewhere or any(choices.values())):
        return case_text, labels
    return replace(case_text, node=_without(case_text.node, (elsewhere, choices), "", "", labels)), labels


def _choices_of(sets: Iterable[RuleSet], place: tuple[str, str]) -> frozenset[str]:
    """The ids of a question's choices in rule sets, by its place in a case."""
    asked = (each.by_case_key.get(place) for each in sets)
    every = (choice for question in asked if question for choice in question.choices)
    return frozenset(name for choice in every for name in (choice.id, *choice.formerly))


#: What a rule set does not ask, by its place in a case, and the choices that it does not have.
_Strange = tuple[set[tuple[str, str]], dict[tuple[str, str], frozenset[str]]]


#: Under which key of a case, or of its answers, what stands is of what.
_OVER = {"answers": "tire", "injuries": "injuries", inputs.EARLIER_REPAIRS: inputs.OVER_REPAIRS}


def _without(node: yaml.Node, strange: _Strange, over: str, index: str, labels: list[str]) -> yaml.Node:
    """A case, or a part of it, without the answers to some questions."""
    if over and isinstance(node, yaml.SequenceNode):
        items = [_without(each, strange, over, f"[{number}]", labels) for number, each in enumerate(node.value)]
        return yaml.SequenceNode(node.tag, items, node.start_mark, node.end_mark)
    if not isinstance(node, yaml.MappingNode):
        return node
    pairs = []
    for key, value in node.value:
        name = str(key.value)
        label = f"{inputs.EARLIER_REPAIRS}{index}.{name}" if over == inputs.OVER_REPAIRS else f"{name}{index}"
        if over and (over, name) in strange[0]:
            labels.append(label)
        elif found := _named(value, strange[1].get((over, name), frozenset())):
            labels += [f"{label}: {choice}" for choice in found]
            if (rest := _known_of(value, found)) is not None:
                pairs.append((key, rest))
        elif (over, name) == ("tire", inputs.EARLIER_REPAIRS) or (not over and name in _OVER):
            pairs.append((key, _without(value, strange, _OVER[name], "", labels)))
        else:
            pairs.append((key, value))
    return yaml.MappingNode(node.tag, pairs, node.start_mark, node.end_mark)


def _named(node: yaml.Node, choices: frozenset[str]) -> list[str]:
    """Those of the choices that an answer names, as there or as not there."""
    if isinstance(node, yaml.MappingNode):
        return [choice for _, value in node.value for choice in _named(value, choices)]
    given = node.value if isinstance(node, yaml.SequenceNode) else [node]
    return [str(each.value) for each in given if isinstance(each, yaml.ScalarNode) and each.value in choices]


def _known_of(node: yaml.Node, found: list[str]) -> yaml.Node | None:
    """What is left of an answer without some choices: of a list those seen, the others not looked for."""
    if isinstance(node, yaml.MappingNode):
        lists = [(key, _left(value, found)) for key, value in node.value]
        return yaml.MappingNode("", lists, node.start_mark, node.end_mark)
    if not isinstance(node, yaml.SequenceNode) or not (rest := _left(node, found)).value:
        return None
    key = yaml.ScalarNode("", "present", node.start_mark, node.end_mark)
    return yaml.MappingNode("", [(key, rest)], node.start_mark, node.end_mark)


def _left(node: yaml.Node, found: list[str]) -> yaml.Node:
    if not isinstance(node, yaml.SequenceNode):
        return node
    rest = [each for each in node.value if each.value not in found]
    return yaml.SequenceNode("", rest, node.start_mark, node.end_mark)


def _unknown_key(key: str, node: yaml.Node, notes: Diagnostics, rules: RuleSet) -> None:
    home = rules.questions.get(key)
    do = f'put it under "{"injuries" if home.over == "injuries" else "answers"}"' if home else "correct or remove it"
    notes.add(
        "unknown-key",
        node,
        f'the key "{shown(key, 60)}" in the case',
        f"one of: {', '.join(TOP_KEYS)}",
        do,
        closest(key, TOP_KEYS),
    )


def case_file_text(case: Case, rules: RuleSet) -> str:
    """A case as a case file in JSON: `read_case` gives the same case back, without what was left out."""
    answers = _written(case.answers, rules)
    asked = rules.question_now(inputs.EARLIER_REPAIRS)
    if case.answers.get(asked) == Choice("yes"):
        answers[rules.questions[asked].key] = [_written(each, rules) for each in case.repairs]
    held = {
        "rules": rules.about.id,
        **({"today": case.today.isoformat()} if case.today else {}),
        "answers": answers,
        "injuries": [_written(each, rules) for each in case.injuries],
    }
    return f"{json.dumps(held, ensure_ascii=False, indent=1)}\n"


def _written(answers: Answers, rules: RuleSet) -> dict[str, Any]:
    return {rules.questions[name].key: written(answer) for name, answer in answers.items() if name in rules.questions}


def _date(node: yaml.Node, notes: Diagnostics) -> date | None:
    text = text_of(node, notes, "today")
    try:
        if len(text) == len("2026-03-14"):
            return date.fromisoformat(text)
    except ValueError:
        pass
    if text:
        notes.add("bad-date", node, f'"{shown(text, 40)}" as today', "a date such as 2026-03-14", "correct it")
    return None


def _with_tire(case: Case, node: yaml.Node, notes: Diagnostics, rules: RuleSet) -> Case:
    answers: dict[str, Answer] = {}
    given: dict[str, str] = {}
    for key, key_node, value in pairs_of(node, notes, '"answers"'):
        question = rules.by_case_key.get(("tire", key))
        if question is None:
            _unknown_answer(key, key_node, notes, rules, "tire", '"answers"')
        elif _told_already(question, key, key_node, given, notes):
            continue
        elif question.id == rules.question_now(inputs.EARLIER_REPAIRS) and isinstance(value, yaml.SequenceNode):
            repairs = _items(value, notes, rules, inputs.OVER_REPAIRS)
            case = replace(case, repairs=repairs)
            answers[question.id] = Choice("yes" if value.value else "no")
        elif not is_empty(value):
            answer = read_answer(question, value, notes)
            if answer is not None:
                answers[question.id] = answer
    return replace(case, answers=answers)


def _told_already(question: Question, key: str, node: yaml.Node, given: dict[str, str], notes: Diagnostics) -> bool:
    """Whether an answer stands under another name of its question already, which is noted."""
    first = given.setdefault(question.id, key)
    if first == key:
        return False
    found = f'"{shown(key, 60)}" beside "{shown(first, 60)}", two names of one question'
    notes.add("said-twice", node, found, "each answer once", f"keep {question.key}, its name now")
    return True


def names_read(case_text: CaseText, rules: RuleSet) -> list[str]:
    """What of a case stood under a former id, and as what it was read, each once."""
    if case_text.node is None or not renames_answers(rules):
        return []
    found: dict[str, None] = {}
    for over, part in _parts_of(case_text.node):
        for key, value in part.value:
            question = rules.by_case_key.get((over, str(key.value)))
            if question is None:
                continue
            if key.value in question.formerly and key.value != question.key:
                found[read_as(str(key.value), question.key)] = None
            for word in _words_in(value):
                if (now := question.choice_now(word)) != word and not question.choice(word):
                    found[read_as(f"{question.key}: {word}", now)] = None
    return list(found)


def _parts_of(node: yaml.Node) -> Iterator[tuple[str, yaml.MappingNode]]:
    """The mappings of answers in a case, and what they are of."""
    answers = _child(node, "answers")
    lists = [("injuries", _child(node, "injuries"))]
    if isinstance(answers, yaml.MappingNode):
        yield "tire", answers
        lists += [(inputs.OVER_REPAIRS, value) for _, value in answers.value]
    for over, found in lists:
        for item in found.value if isinstance(found, yaml.SequenceNode) else ():
            if isinstance(item, yaml.MappingNode):
                yield over, item


def _words_in(node: yaml.Node) -> Iterator[str]:
    if isinstance(node, yaml.ScalarNode):
        yield str(node.value)
    for item in node.value if isinstance(node, yaml.SequenceNode | yaml.MappingNode) else ():
        yield from _words_in(item[1] if isinstance(item, tuple) else item)


def _items(node: yaml.Node, notes: Diagnostics, rules: RuleSet, over: str) -> tuple[Answers, ...]:
    """The answers of each injury or earlier repair. A list that is given is taken as whole."""
    if not isinstance(node, yaml.SequenceNode):
        notes.add("wrong-kind", node, f'{described(node)} as "{over}"', "a list", "write a dash before each")
        return ()
    items: list[Answers] = []
    more = rules.more_of(over)
    for number, item in enumerate(node.value):
        answers = _item(item, notes, rules, over, f"{over}[{number}]")
        last = number == len(node.value) - 1
        if more:
            answers.setdefault(more, Choice("no" if last else "yes"))
        items.append(answers)
    return tuple(items)


def _item(node: yaml.Node, notes: Diagnostics, rules: RuleSet, over: str, what: str) -> dict[str, Answer]:
    answers: dict[str, Answer] = {}
    given: dict[str, str] = {}
    for key, key_node, value in pairs_of(node, notes, what):
        question = rules.by_case_key.get((over, key))
        if question is None:
            _unknown_answer(key, key_node, notes, rules, over, what)
        elif _told_already(question, key, key_node, given, notes):
            continue
        elif not is_empty(value):
            answer = read_answer(question, value, notes)
            if answer is not None:
                answers[question.id] = answer
    return answers


def _unknown_answer(key: str, node: yaml.Node, notes: Diagnostics, rules: RuleSet, over: str, what: str) -> None:
    known = [question.key for question in rules.questions.values() if question.over == over]
    elsewhere = next((q.over for q in rules.questions.values() if q.key == key and q.over != over), "")
    do = "correct the spelling, or take it out"
    if elsewhere:
        do = f'put it under "{"answers" if elsewhere == "tire" else elsewhere}"'
    notes.add(
        "unknown-question",
        node,
        f'the key "{shown(key, 60)}" in {what}',
        f"one of: {', '.join(sorted(known))}",
        do,
        closest(key, known),
    )
