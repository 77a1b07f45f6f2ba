"""Records as CSV: a row a consultation, answers in columns named as in a batch, no cell that starts a formula.

Records as rows of texts, one a consultation, for CSV and Parquet: columns named as in a batch.
Records as JSON lines, one consultation a line, and read from them again, checked like what is typed.
"""

from __future__ import annotations

import csv
import io
import json
import re
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from msgspec.structs import replace

from advisor.journal.casing_history import CasingVisit, decided_case
from advisor.journal.csv_columns import ABOUT, PERSONAL, AnswerColumn, answered_columns, keys_in, left_out_cell
from advisor.journal.events import (
    BRANCH,
    FORGOTTEN,
    NOTHING_BEFORE,
    SALT_BYTES,
    Entry,
    NewEvent,
    Private,
    canonical,
    link_of,
    noted_beside,
)
from advisor.journal.private_words import commitments_of, private_of
from advisor.journal.queries import Summary, all_consultations, entries_of, state_after
from advisor.journal.redaction import notes_of_forgetting
from advisor.loader.answer_codec import cell_of
from advisor.loader.answer_fit import misfits
from advisor.loader.case_rows import Cells, guarded
from advisor.loader.renamed import case_now
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import RuleSet


class RecordRows:
    """The records by one rule set. Reads the journal twice: first for the columns, then for the rows.

    `elsewhere` counts records by other rule sets, `not_asked` answers to questions that these rules don't ask: neither
    has a place in rows, and JSON lines hold both.
    """

    def __init__(self, db: sqlite3.Connection, rules: RuleSet, anonymous: bool = False) -> None:
        self.db, self.rules, self.anonymous = db, rules, anonymous
        self.elsewhere = self.not_asked = 0
        used = set()
        for summary in all_consultations(db):
            if summary.rules_id != rules.about.id:
                self.elsewhere += 1
                continue
            for key in keys_in(case_now(decided_case(db, summary).case, rules)):
                if key[1][0] in rules.questions:
                    used.add(key)
                else:
                    self.not_asked += 1
        self.columns = answered_columns(rules, used)

    @property
    def header(self) -> list[str]:
        """The names of the columns."""
        return [*ABOUT, *(column.name for column in self.columns)]

    def __iter__(self) -> Iterator[list[str]]:
        cells = Cells()
        for summary in all_consultations(self.db):
            if summary.rules_id == self.rules.about.id:
                visit = decided_case(self.db, summary)
                visit = replace(visit, case=case_now(visit.case, self.rules))
                answers = (self._cell(visit, column, cells) for column in self.columns)
                yield [*self._about(visit), *answers]

    def _about(self, visit: CasingVisit) -> list[str]:
        summary = visit.summary
        about = {name: str(getattr(summary, name, "")) for name in ABOUT}
        about |= {
            "consultation": summary.id,
            "rules": summary.rules_id,
            "method": str(visit.decided.get("method", "")),
            "today": visit.case.today.isoformat() if visit.case.today else "",
            "left-out": left_out_cell(visit.case),
        }
        if self.anonymous:
            about |= dict.fromkeys(PERSONAL, "")
        return [about[name] for name in ABOUT]

    @staticmethod
    def _cell(visit: CasingVisit, column: AnswerColumn, cells: Cells) -> str:
        answer = visit.case.get(column.question.over, (column.question.id, column.index))
        return "" if answer is None else cell_of(answer, column.question, cells.answer)


FORMAT = "tire-repair-advisor records 1"
LONGEST_EXPORTED = 64 * 2**20
MOST_ENTRIES = 200_000
_KINDS = frozenset({
    "begin", "answer", "change", "skip", "step", "restart", "case", "verdict", "casing", "technician", "plate", "note",
    "left", "ended", "forgotten", "work", "heard",
    "signed",
})  # fmt: skip
_NOTE = re.compile(f"#{FORGOTTEN}-[0-9a-f]{{16}}")
_ENTRY_KEYS = {"at", "kind", "rules", "body", "link", "private"}


def export_lines(
    db: sqlite3.Connection, anonymous: bool = False, chosen: Iterable[Summary] | None = None
) -> Iterator[str]:
    """The records, a line each. Anonymous leaves out names, plates and notes; the links still hold."""
    for entry in notes_of_forgetting(db) if chosen is None else ():
        found = [_entry_data(db, entry, anonymous)]
        yield canonical({"format": FORMAT, "consultation": entry.consultation, "entries": found}) + "\n"
    for summary in all_consultations(db) if chosen is None else chosen:
        entries = [_entry_data(db, entry, anonymous) for entry in entries_of(db, summary.id)]
        yield canonical({"format": FORMAT, "consultation": summary.id, "entries": entries}) + "\n"


def _entry_data(db: sqlite3.Connection, entry: Entry, anonymous: bool) -> dict[str, Any]:
    private = {} if anonymous else {name: [salt.hex(), words] for name, salt, words in private_of(db, entry)}
    return {
        "at": entry.at,
        "kind": entry.kind,
        "rules": entry.rules,
        "body": entry.body,
        "link": entry.link.hex(),
        "private": private,
    }


def read_line(line: str, rules_by: Callable[[str], RuleSet]) -> tuple[str, list[Entry], list[NewEvent]]:
    """The consultation in a line: its id, its entries, and those made ready for a journal.

    `rules_by` gives the rule set of an id. Raises Misread for anything that does not hold together or fit.
    """
    data = _data(line)
    consultation = data["consultation"]
    if not isinstance(consultation, str) or not (is_way(consultation) or _NOTE.fullmatch(consultation)):
        raise Misread(f"{shown(repr(consultation), 60)} as a consultation", "an id such as 260314-0a1b2c3d4e")
    entries, drafts = [], []
    before = NOTHING_BEFORE
    for step, item in enumerate(data["entries"], 1):
        entry, draft = _entry(consultation, step, item, before)
        before = entry.link
        entries.append(entry)
        drafts.append(draft)
    if consultation.startswith("#"):
        _check_note(entries)
        return consultation, entries, drafts
    _check_begin(entries)
    _check_answers(entries, rules_by)
    return consultation, entries, drafts


def is_event_id(text: str) -> bool:
    """Whether a text can be a consultation's id."""
    return 0 < len(text) <= 40 and text.isascii() and text.replace("-", "").isalnum()


def is_way(text: str) -> bool:
    """Whether a text can be a consultation's id, or the name of another way that it took."""
    origin, branch, mark = text.partition(BRANCH)
    return is_event_id(origin) and (not branch or bool(re.fullmatch("[0-9a-f]{8}", mark)))


def _check_note(entries: list[Entry]) -> None:
    """A note of what was forgotten is one entry, named by what it says."""
    [note, *more] = entries
    told = note.data.get("commitments")
    named = noted_beside(FORGOTTEN, note.at, note.data).consultation == note.consultation
    whole = isinstance(told, list) and all(isinstance(each, str) for each in told)
    if (
        more
        or note.kind != FORGOTTEN
        or note.rules
        or not named
        or not whole
        or not is_event_id(str(note.data.get("of")))
    ):
        raise Misread("a note of what was forgotten that is not whole", "the note as it was exported")


def _data(line: str) -> dict[str, Any]:
    if len(line) > LONGEST_EXPORTED:
        raise Misread(f"a line of {len(line)} characters", f"at most {LONGEST_EXPORTED}")
    try:
        data = json.loads(line)
    except (ValueError, RecursionError):
        raise Misread(f'"{shown(line[:60])}"', "a line of JSON from an export") from None
    if not isinstance(data, dict) or data.get("format") != FORMAT or set(data) != {"format", "consultation", "entries"}:
        raise Misread("another kind of line", f'"format": "{FORMAT}" with consultation and entries')
    if not isinstance(data["entries"], list) or not 0 < len(data["entries"]) <= MOST_ENTRIES:
        raise Misread("entries that are no list, or too many", f"1 to {MOST_ENTRIES} entries")
    return data


def _entry(consultation: str, step: int, item: Any, before: bytes) -> tuple[Entry, NewEvent]:
    where = f"entry {step}"
    if not isinstance(item, dict) or set(item) != _ENTRY_KEYS:
        raise Misread(f"{where}, which is not whole", ", ".join(sorted(_ENTRY_KEYS)))
    texts = [item[name] for name in ("at", "kind", "rules", "body", "link")]
    if not all(isinstance(text, str) and _clean(text) for text in texts) or item["kind"] not in _KINDS:
        raise Misread(f"{where} of an unknown kind", f"one of: {', '.join(sorted(_KINDS))}")
    at, kind, rules, body, told = texts
    link = link_of(before, consultation, step, at, kind, rules, body)
    if link.hex() != told:
        raise Misread(f"{where}, which was changed since it was written", "entries as they were exported")
    entry = Entry(0, consultation, step, at, kind, rules, body, link, b"")
    _check_body(entry, where)
    return entry, NewEvent(consultation, at, kind, rules, body, _private(item["private"], entry, where))


def _clean(text: str) -> bool:
    """Whether a text can be kept as it is: no half of a sign that needs two."""
    return not any("\ud800" <= sign <= "\udfff" for sign in text)


def _check_body(entry: Entry, where: str) -> None:
    try:
        whole = json.loads(entry.body)
        written_so = isinstance(whole, dict) and canonical(whole) == entry.body
    except (ValueError, RecursionError):
        written_so = False
    if not written_so:
        raise Misread(f"{where} with a body that is not as this program writes it", "entries as they were exported")


def _private(data: Any, entry: Entry, where: str) -> tuple[Private, ...]:
    known = commitments_of(entry)
    if not isinstance(data, dict):
        raise Misread(f"{where} with personal words that are not whole", "salt and words by field")
    found = []
    for name, pair in data.items():
        private = _one_private(pair)
        if private is None:
            raise Misread(f"{where} with personal words that are not whole", "salt and words")
        if known.get(name) != private.commitment:
            raise Misread(f"{where} with personal words that were changed", "the words as they were written")
        found.append(private)
    return tuple(found)


def _one_private(pair: Any) -> Private | None:
    if not isinstance(pair, list) or len(pair) != 2 or not all(isinstance(part, str) for part in pair):
        return None
    salt, words = pair
    if len(salt) != 2 * SALT_BYTES or not _clean(words):
        return None
    try:
        return Private(words, bytes.fromhex(salt))
    except ValueError:
        return None


def _check_begin(entries: list[Entry]) -> None:
    if [entry.step for entry in entries if entry.kind == "begin"] != [1]:
        raise Misread("a consultation that does not begin once", "begin as its first entry")


def _check_answers(entries: list[Entry], rules_by: Callable[[str], RuleSet]) -> None:
    rules = rules_by(str(entries[0].data.get("rules", "")))
    try:
        cases = [state_after(entries).case]
        cases += [state_after([entry]).case for entry in entries if entry.kind == "case"]
        cases += [_of_verdict(entry) for entry in entries if entry.kind == "verdict"]
    except (KeyError, ValueError, TypeError, AttributeError, RecursionError) as error:
        if isinstance(error, Misread):
            raise
        raise Misread("answers that are not whole", "entries as they were exported") from None
    for case in cases:
        if found := misfits(case, rules):
            raise Misread("; ".join(found[:5]), "answers that fit their questions", "correct or take the line out")


def _of_verdict(entry: Entry) -> Any:
    from advisor.journal.case_data import case_from

    return case_from(entry.data["case"])


def csv_lines(rows: RecordRows) -> Iterator[str]:
    """The rows as lines of CSV, the columns' names first."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\r\n")
    writer.writerow(rows.header)
    yield _taken(buffer)
    for row in rows:
        writer.writerow([guarded(cell) for cell in row])
        yield _taken(buffer)


def _taken(buffer: io.StringIO) -> str:
    text = buffer.getvalue()
    buffer.seek(0)
    buffer.truncate()
    return text
