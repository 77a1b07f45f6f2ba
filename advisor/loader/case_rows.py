"""Cases in rows: CSV columns named by question, and JSON lines read the quick way. Equal cells are read once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from advisor.loader.answer_codec import read_cell
from advisor.loader.case_constraints import impossible
from advisor.loader.reader import Diagnostics, closest, text_node
from advisor.loader.renamed import read_as
from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Answers, Case, Choice
from advisor.model.problems import Place, Problem, Problems, shown
from advisor.model.ruleset import Question, RuleSet

#: A column that is no answer: the day to judge on.
_TODAY = "today"
MOST_CELLS_KEPT = 50_000
_REPAIR = rf"(?:(?P<repairs>{inputs.EARLIER_REPAIRS})\[(?P<repair>\d{{1,3}})\]\.)?"
_LABEL = re.compile(rf"{_REPAIR}(?P<key>[a-z-]+)(?:\[(?P<index>\d{{1,3}})\])?")
_EXAMPLES = (inputs.TREAD_DEPTH, f"{inputs.INJURY_SIZE}[0]", f"{inputs.EARLIER_REPAIRS}[0].clock")


class Column(Struct, frozen=True):
    """What a column holds: an answer's question and place, or the day; question None for a column left out.

    `former`: it is named by an id that the question had formerly.
    """

    name: str
    question: Question | None = None
    index: int = TIRE
    today: bool = False
    former: bool = False


class Columns:
    """The columns of a CSV file, matched with the questions of a rule set."""

    def __init__(
        self, header: Sequence[str], rules: RuleSet, mapping: Mapping[str, str], file: str, ignored: Iterable[str] = ()
    ) -> None:
        """Raises Problems that name every column that fits no question, with the nearest ones."""
        self.rules = rules
        self._by_key = rules.by_case_key
        self._ignored = frozenset(ignored)
        problems = []
        columns: list[Column] = []
        for number, name in enumerate(header, 1):
            column = self._column(name, mapping.get(name.strip()))
            if column is None:
                problems.append(self._unknown(name, file, number))
            elif column.question and any(same_place(column, other) for other in columns):
                found = f'the column "{shown(name, 60)}", a second one for the same answer'
                problems.append(Problem("duplicate-column", Place(file, 1, number), found, "each answer once"))
            else:
                columns.append(column)
        if problems:
            raise Problems(problems)
        self.columns = tuple(columns)

    @property
    def read_as(self) -> list[str]:
        """The columns that stand under a former id, and as what they are read."""
        return [
            read_as(shown(column.name.strip(), 60), column.question.key)
            for column in self.columns
            if column.question and column.former
        ]

    def _column(self, name: str, mapped: str | None) -> Column | None:
        wanted = re.sub(r"[\s_]+", "-", (mapped if mapped is not None else name).strip().casefold())
        if not wanted or wanted in self._ignored:
            return Column(name)
        if wanted == _TODAY:
            return Column(name, today=True)
        match = _LABEL.fullmatch(wanted)
        if not match:
            return None
        if match["repairs"]:
            question = self._by_key.get((inputs.OVER_REPAIRS, match["key"]))
            return _column_of(name, question, int(match["repair"]), match["key"])
        if question := self._by_key.get(("tire", match["key"])):
            return _column_of(name, question, TIRE, match["key"]) if match["index"] is None else None
        question = self._by_key.get(("injuries", match["key"]))
        return _column_of(name, question, int(match["index"] or 0), match["key"])

    def _unknown(self, name: str, file: str, number: int) -> Problem:
        known = [question.key if over == "tire" else f"{question.key}[0]"
                 for (over, _), question in self._by_key.items() if over != inputs.OVER_REPAIRS]  # fmt: skip
        return Problem(
            "unknown-column",
            Place(file, 1, number),
            f'the column "{shown(name, 60)}"',
            f"a question's id, such as {', '.join(_EXAMPLES)}",
            f'say what it is: --map "{shown(name, 60)}=QUESTION", or leave it out: --map "{shown(name, 60)}="',
            closest(name.strip().casefold(), known),
        )


def _column_of(name: str, question: Question | None, index: int, key: str) -> Column | None:
    return Column(name, question, index, former=key != question.key) if question else None


def same_place(one: Column, other: Column) -> bool:
    """Whether two columns hold the same answer."""
    return one.question is other.question and one.index == other.index


class Cells:
    """Reads cells as answers; a text read once for a question is not read again."""

    def __init__(self) -> None:
        self._read: dict[tuple[str, str], Answer | None] = {}
        self._questions: Mapping[tuple[str, str], Question] = {}
        self._rules: RuleSet | None = None

    def question(self, rules: RuleSet, over: str, key: str) -> Question | None:
        """The question that a case names by a key."""
        if rules is not self._rules:
            self._rules = rules
            self._questions = rules.by_case_key
        return self._questions.get((over, key))

    def answer(self, question: Question, text: str, notes: Diagnostics) -> Answer | None:
        """The answer in a cell; None for an empty one, or with a problem noted."""
        key = (question.id, text)
        if key in self._read:
            return self._read[key]
        before = len(notes.problems)
        found = read_cell(question, text, notes)
        if len(notes.problems) == before:
            if len(self._read) >= MOST_CELLS_KEPT:
                self._read.clear()
            self._read[key] = found
        return found


def row_case(row: Sequence[str], columns: Columns, cells: Cells, today: date, place: Place) -> Case:
    """The case in a row. Raises Problems with everything in it that does not fit."""
    notes = Diagnostics(place.file, place.line - 1)
    if len(row) != len(columns.columns):
        found = f"{len(row)} cells in the row"
        expected = f"{len(columns.columns)}, as in the first row"
        raise Problems([Problem("uneven-row", place, found, expected, "look for a comma or a quote too many")])
    parts: dict[str, dict[int, dict[str, Answer]]] = {"tire": {}, inputs.OVER_REPAIRS: {}, "injuries": {}}
    day = today
    for number, (column, cell) in enumerate(zip(columns.columns, row, strict=True), 1):
        text, before = unguarded(cell), len(notes.problems)
        if column.today and text.strip():
            day = row_day(text, notes) or today
        elif column.question is not None:
            answer = cells.answer(column.question, text, notes)
            if answer is not None:
                parts[column.question.over].setdefault(column.index, {})[column.question.id] = answer
        if len(notes.problems) > before:
            at = Place(place.file, place.line, number)  # as in the first row: the cells are counted
            notes.problems[before:] = [replace(each, place=at) for each in notes.problems[before:]]
    if notes.problems:
        raise Problems(notes.problems)
    case = whole_case(parts, day, columns.rules)
    if wrong := impossible(case, columns.rules):
        raise Problems([Problem(one, place, f"{error.found} for {label}", error.expected, error.do)
                        for one, label, error in wrong])  # fmt: skip
    return case


def whole_case(parts: Mapping[str, Mapping[int, dict[str, Answer]]], today: date, rules: RuleSet) -> Case:
    """A case of its parts. The injuries and repairs that stand there are taken as all there are."""
    answers = dict(parts["tire"].get(TIRE, {}))
    repairs, injuries = (_items(parts[over], over, rules) for over in (inputs.OVER_REPAIRS, "injuries"))
    if repairs and (any_there := rules.question_now(inputs.EARLIER_REPAIRS)) in rules.questions:
        answers.setdefault(any_there, Choice("yes"))
    return Case(answers, repairs, injuries, today)


def _items(items: Mapping[int, dict[str, Answer]], over: str, rules: RuleSet) -> tuple[Answers, ...]:
    found: list[dict[str, Answer]] = [dict(items[index]) for index in sorted(items)]
    more = rules.more_of(over)
    for place, answers in enumerate(found, 1):
        if more:
            answers.setdefault(more, Choice("no" if place == len(found) else "yes"))
    return tuple(found)


def row_day(text: str, notes: Diagnostics) -> date | None:
    try:
        if len(text.strip()) == len("2026-03-14"):
            return date.fromisoformat(text.strip())
    except ValueError:
        pass
    notes.add("bad-date", text_node(text), f'"{shown(text, 40)}" as today', "a date such as 2026-03-14", "correct it")
    return None


#: Signs with which a spreadsheet takes a cell for a formula. Where cells end at semicolons, one begins behind each.
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "'", "＝", "＋", "－", "＠", "﹦", "﹢", "﹣", "﹫", "−")
_ENDS = (";", "\t", "\r", "\n", "|")


def guarded(text: str) -> str:
    """A cell's text of which no spreadsheet takes any part for a formula: an apostrophe goes ahead of its sign."""
    out, begins = list[str](), True
    for sign in text:
        if begins and sign in FORMULA_SIGNS:
            out.append("'")
        out.append(sign)
        begins = sign in _ENDS or (begins and sign.isspace())
    return "".join(out)


def unguarded(text: str) -> str:
    """The text of a cell that was guarded; any other text as it is."""
    if "'" not in text:
        return text
    out, begins, at = list[str](), True, 0
    while at < len(text):
        if begins and text[at] == "'" and text[at + 1 : at + 2] in FORMULA_SIGNS:
            at += 1
        sign = text[at]
        out.append(sign)
        begins = sign in _ENDS or (begins and sign.isspace())
        at += 1
    return "".join(out)
