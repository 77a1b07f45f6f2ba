"""What a learner has learned, in a file of its own: one a name, apart from the journal, written whole or not at all.

The file is lines of JSON: what it is and whose, then one line a tire. Nothing else about the person is in it, and no
state that could disagree: what comes due is worked out of the lines, by ruling and limit, with the FSRS scheduler.
A ruling or limit that reads otherwise in the rules of today than when it was practised is due at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from zlib import crc32

import msgspec
from msgspec import Struct

from advisor.journal.data_folder import make_folder, write_private
from advisor.model.problems import Place, Problem, Problems, shown
from advisor.model.ruleset import Limit, RuleSet, digest_of, leaves
from advisor.practise.grading import CAREFUL, NEAR, RIGHT, UNSAFE, WRONG, Grade
from advisor.practise.job import LIMIT, REASON, VERDICT, Job

PRACTICE_FOLDER = "practice"
FORM_OF_FILE = 1
_LONGEST_NAME = 60
#: How well something went: again, hard, good, easy, as the scheduler counts it.
AGAIN, HARD, GOOD, EASY = 1, 2, 3, 4


class Learner(Struct, frozen=True):
    """The first line of a file: its form, and the name that was chosen."""

    practice: int
    name: str


class Attempt(Struct, frozen=True, omit_defaults=True):
    """One tire: when, by which rules, which tire, what was said and what the rules have, and how each part went.

    `items`: by ruling and limit how well it went; `prints`: what each of them read like then.
    """

    at: str
    rules: str
    edition: str
    digest: str
    tire: str
    mark: str
    said: dict[str, str]
    theirs: dict[str, str]
    marks: dict[str, str]
    sure: int
    faults: tuple[str, ...] = ()
    items: dict[str, int] = {}
    prints: dict[str, str] = {}
    set: str = ""


class Due(Struct, frozen=True):
    """A ruling or limit that was practised: when it comes again, how often it went wrong, whether it was changed."""

    item: str
    at: datetime
    tries: int
    misses: int
    unsafe: int
    changed: bool = False


class Learned(Struct, frozen=True):
    """All that is kept of one name."""

    name: str
    attempts: tuple[Attempt, ...] = ()


def record_file(folder: Path, name: str) -> Path:
    """The file of a name; the name itself stands in it."""
    plain = "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in name.casefold())[:24]
    return folder / PRACTICE_FOLDER / f"{plain}-{crc32(name.casefold().encode()):08x}.jsonl"


def checked_name(name: str) -> str:
    """A name as it was chosen. Raises Problems for one that can't be kept."""
    plain = " ".join(name.split())
    if not plain or len(plain) > _LONGEST_NAME or not plain.isprintable():
        found = f'"{shown(name, 60)}" as a name'
        expected = f"1 to {_LONGEST_NAME} letters, any name you like"
        raise Problems([Problem("bad-name", Place("command line"), found, expected, "choose another")])
    return plain


def read_record(folder: Path, name: str) -> Learned:
    """What is kept of a name. Raises Problems where the file can't be read whole; it is left as it is."""
    file = record_file(folder, name)
    try:
        lines = file.read_text(encoding="utf-8").splitlines()
    except FileNotFoundError:
        return Learned(name)
    except OSError as error:
        found = f"a file of practice that can't be read: {(error.strerror or str(error)).lower()}"
        raise Problems(
            [Problem("unreadable-file", Place(str(file)), found, "a folder of your own", "see --data")]
        ) from None
    except UnicodeDecodeError as error:
        raise Problems([_damaged(file, 1, str(error))]) from None
    return _read_lines(lines, file, name)


def _read_lines(lines: list[str], file: Path, name: str) -> Learned:
    attempts: list[Attempt] = []
    problems: list[Problem] = []
    for number, line in enumerate(lines, 1):
        try:
            if number == 1:
                head = msgspec.json.decode(line, type=Learner)
                if head.practice != FORM_OF_FILE:
                    problems.append(_damaged(file, 1, f"the form {head.practice}, which this program does not know"))
            else:
                attempts.append(msgspec.json.decode(line, type=Attempt))
        except (msgspec.DecodeError, ValueError) as error:
            problems.append(_damaged(file, number, str(error)))
    if not lines:
        problems.append(_damaged(file, 1, "an empty file"))
    if problems:
        raise Problems(problems)
    return Learned(name, tuple(attempts))


def _damaged(file: Path, line: int, found: str) -> Problem:
    do = "nothing was changed: put a copy of it back, or move it elsewhere to begin anew"
    return Problem(
        "damaged-practice", Place(str(file), line), f"a line of practice that can't be read: {found}", "", do
    )


def kept_record(folder: Path, record: Learned) -> None:
    """Writes all that is known of a name: the file is the new one whole, or stays the old one. Raises OSError."""
    file = record_file(folder, record.name)
    make_folder(file.parent)
    head = msgspec.json.encode(Learner(FORM_OF_FILE, record.name)).decode()
    lines = (msgspec.json.encode(each).decode() for each in record.attempts)
    write_private(file, (f"{line}\n" for line in (head, *lines)))


def forgotten(folder: Path, name: str) -> bool:
    """Deletes all that is kept of a name; whether there was anything. Raises OSError."""
    file = record_file(folder, name)
    there = file.exists()
    file.unlink(missing_ok=True)
    return there


def names_kept(folder: Path) -> list[str]:
    """The names that something is kept of; a file whose head can't be read is passed over."""
    found = []
    for file in sorted((folder / PRACTICE_FOLDER).glob("*.jsonl")):
        try:
            with file.open(encoding="utf-8") as lines:
                found.append(msgspec.json.decode(lines.readline(), type=Learner).name)
        except (OSError, ValueError, msgspec.DecodeError):
            continue
    return found


def attempt_of(job: Job, grade: Grade, rules: RuleSet, at: datetime, set_line: str = "") -> Attempt:
    """What is kept of a job."""
    return Attempt(
        at=at.isoformat(timespec="seconds"),
        rules=rules.about.id,
        edition=rules.about.edition,
        digest=rules.digest,
        tire=job.tire.name,
        mark=job.tire.mark,
        said={mark.part: mark.said for mark in grade.marks},
        theirs={mark.part: mark.rules for mark in grade.marks},
        marks={mark.part: mark.mark for mark in grade.marks},
        sure=grade.sure,
        faults=grade.faults,
        items={item: rated(item, grade) for item in job.tire.items},
        prints={item: print_of(item, rules) for item in job.tire.items},
        set=set_line,
    )


def rated(item: str, grade: Grade) -> int:
    """How well a ruling or limit went: unsafe or a wrong verdict is again; then by what it is about."""
    verdict = grade.of(VERDICT).mark
    if grade.unsafe or verdict in (WRONG, CAREFUL):
        return AGAIN
    own = grade.of(LIMIT if item.startswith("limit/") else REASON).mark
    if own == WRONG:
        return AGAIN if item.startswith("limit/") else HARD
    if own == NEAR or grade.faults:
        return HARD
    return EASY if grade.sure == EASY else GOOD


def print_of(item: str, rules: RuleSet) -> str:
    """What a ruling or limit says in these rules, as a hash; empty where they have it not.

    Of a ruling its condition, what it brings, and the limits that it holds readings against; no wording.
    """
    kind, _, name = item.partition("/")
    if kind == "limit":
        return digest_of({"limit": _figures(rules.limits[name])}) if name in rules.limits else ""
    ruling = next((each for each in rules.rulings() if each.id == name), None)
    if ruling is None:
        return digest_of({"can't tell": name}) if name.removesuffix("-cant-tell") in rules.nodes else ""
    held = {leaf.operand[0] for leaf in leaves(ruling.when) if leaf.test in ("beyond", "within")}
    brings = [ruling.ending, sorted(ruling.restrictions), ruling.allows, ruling.in_doubt]
    return digest_of(
        {"when": repr(ruling.when), "brings": brings, "limits": [_figures(rules.limits[n]) for n in sorted(held)]}
    )


def _figures(limit: Limit) -> list[object]:
    figures = [(str(each.low), str(each.high), each.unit) for each in limit.figures]
    return [figures, limit.worse, limit.at_limit_passes]


def due_of(record: Learned, rules: RuleSet) -> list[Due]:
    """What was practised of these rules, what comes due first ahead; what was changed since is due at once."""
    from fsrs import Card, Rating, Scheduler

    scheduler = Scheduler(enable_fuzzing=False)
    cards: dict[str, Card] = {}
    counts: dict[str, list[int]] = {}
    prints: dict[str, str] = {}
    for attempt in record.attempts:
        if attempt.rules != rules.about.id:
            continue
        at = datetime.fromisoformat(attempt.at)
        unsafe = UNSAFE in attempt.marks.values()
        for item, rating in attempt.items.items():
            card = cards.get(item)
            if card is None or prints.get(item) != attempt.prints.get(item, ""):
                card = Card(card_id=len(cards) + 1, due=at)
            cards[item], _ = scheduler.review_card(card, Rating(rating), at)
            prints[item] = attempt.prints.get(item, "")
            count = counts.setdefault(item, [0, 0, 0])
            count[0] += 1
            count[1] += rating == AGAIN
            count[2] += unsafe and rating == AGAIN
    found = [_due(item, card, counts[item], prints[item], rules) for item, card in cards.items()]
    return sorted((each for each in found if each is not None), key=lambda each: (each.at, -each.unsafe, each.item))


def _due(item: str, card: object, counts: list[int], was: str, rules: RuleSet) -> Due | None:
    now = print_of(item, rules)
    if not now:
        return None
    changed = now != was
    at: datetime = card.last_review if changed else card.due  # type: ignore[attr-defined]
    tries, misses, unsafe = counts
    return Due(item, at, tries, misses, unsafe, changed)


def due_now(record: Learned, rules: RuleSet, at: datetime) -> list[Due]:
    """What is due at a moment."""
    return [each for each in due_of(record, rules) if each.at <= at]


def never_tried(record: Learned, items: Iterable[str]) -> list[str]:
    """Those that no kept tire trained."""
    tried = {item for attempt in record.attempts for item in attempt.items}
    return [item for item in items if item not in tried]


def figures_of(attempts: Iterable[Attempt]) -> Mapping[str, int]:
    """The figures of some attempts: tires, right verdicts, misses, unsafe misses, sure and wrong, too careful."""
    found = dict.fromkeys(("tires", "right", "misses", "unsafe", "sure and wrong", "stricter", "looking faults"), 0)
    for attempt in attempts:
        verdict, unsafe = attempt.marks[VERDICT], UNSAFE in attempt.marks.values()
        found["tires"] += 1
        found["right"] += verdict == RIGHT
        found["unsafe"] += unsafe
        found["misses"] += verdict in (WRONG, UNSAFE)
        found["stricter"] += verdict == CAREFUL
        found["sure and wrong"] += attempt.sure >= GOOD and verdict != RIGHT
        found["looking faults"] += bool(attempt.faults)
    return found
