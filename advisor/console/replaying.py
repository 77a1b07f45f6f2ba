"""A transcript: a whole consultation in plain lines, kept as a text file that can be played again.

The file is plain UTF-8 text. First a header, up to the first blank line::

    A nail in the crown of a drive tire
    What happened, in a few lines: the scenario.
    rules: us-road
    today: 2026-03-14
    Invented for the demo: who and what in it does not exist.

A line `practise: FILE.yaml` makes it a sitting of practice on the cases of that file beside it: what follows is
then what `advisor practise --cases FILE.yaml` prints. A line `order: rules` has the questions put one after another as
they stand in the rules, as `--in-order` does.

The first line is the title; lines that begin with `rules:`, `today:` and `Invented for the demo:` each come
once, after the scenario. What follows the blank line is what `advisor --plain` prints in a pipe: a line that
begins with `> ` (or is `>` alone) is what was typed, everything else is what the program said.

Where a question was added to the rules since, and says in `older-cases` what cases from before count as, that answer is
typed in its place; `--write` keeps it as a typed line. Numbers of answers (`change 3`) count without it.

To begin a transcript, write the header, the blank line and the typed lines alone; `advisor replay --write`
fills in the rest. The rule set's edition and digest change with every edit of the rules, so `(not kept)`
stands in their place, in what is kept and in what is said alike. The clock of a transcript begins at 8:00 and goes
on by a minute with each typed line.
"""

from __future__ import annotations

import difflib
import re
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path

from msgspec import Struct

from advisor.console.session_lines import PROMPT, converse
from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case
from advisor.loader.kept_cases import case_texts_in
from advisor.model.case import Case, Key
from advisor.model.problems import Place, Problem, Problems

_CHANGE = re.compile(r"(change )(\d+)")
_BEGINS = time.fromisoformat("08:00")
INVENTED = "Invented for the demo"
_KEYS = ("rules", "today", INVENTED)
_PRACTISE = "practise"
_ORDER = "order"
_TYPED = PROMPT.rstrip()
#: A typed line is left as it is; in all others the digest and the edition are taken out, also across a line's end.
_NOT_KEPT = re.compile(r"^>(?: .*)?$|\b(digest|edition)(\s+)(?:[0-9a-f]{16}|\d{4}-\d\d-\d\d(?:\.\d+)?)\b", re.MULTILINE)


class RecordedTranscript(Struct, frozen=True):
    """A transcript as read from its file; `header` and `body` are its lines as they stand there."""

    file: str
    header: tuple[str, ...]
    body: tuple[str, ...]
    rules: str
    rules_at: Place
    today: date
    practise: str = ""
    in_order: bool = False

    @property
    def title(self) -> str:
        """The first line."""
        return self.header[0]

    @property
    def typed(self) -> list[tuple[int, str]]:
        """What was typed, each with its line in the file."""
        first = len(self.header) + 2
        return [
            (line, text.removeprefix(_TYPED).removeprefix(" "))
            for line, text in enumerate(self.body, first)
            if _is_typed(text)
        ]

    @property
    def text(self) -> str:
        """The whole file as it is compared: edition and digest taken out."""
        return self.with_body(self.body)

    def with_body(self, body: tuple[str, ...]) -> str:
        """The file's text with another body under the same header."""
        return "\n".join((*self.header, "", without_digest("\n".join(body)))) + "\n"


def read_transcript(text: str, file: str) -> RecordedTranscript:
    """The transcript in a file's text. Raises Problems with everything that is wrong with its form."""
    lines = [line.rstrip() for line in text.split("\n")]
    while lines and not lines[-1]:
        del lines[-1]
    end = lines.index("") if "" in lines else len(lines)
    header, body = tuple(lines[:end]), tuple(lines[end + 1 :])
    found = _keyed(header)
    problems = list(_header_problems(header, found, file))
    today = _today(found, file, problems)
    if not any(line.startswith(_TYPED) for line in body):
        place = Place(file, end + 2)
        problems.append(
            _problem("nothing-typed", place, "no typed line", 'lines that begin with "> " after the header')
        )
    if problems or today is None:
        raise Problems(sorted(problems, key=lambda problem: problem.place))
    line, rules = found["rules"][0]
    practise = next((value for _, value in found[_PRACTISE]), "")
    in_order = any(value == "rules" for _, value in found[_ORDER])
    return RecordedTranscript(file, header, body, rules, Place(file, line), today, practise, in_order)


def _is_typed(line: str) -> bool:
    return line == _TYPED or line.startswith(PROMPT)


def _keyed(header: tuple[str, ...]) -> dict[str, list[tuple[int, str]]]:
    """The header's keyed lines: by key, each with its line in the file and its value."""
    found: dict[str, list[tuple[int, str]]] = {key: [] for key in (*_KEYS, _PRACTISE, _ORDER)}
    for number, line in enumerate(header, 1):
        key, colon, value = line.partition(":")
        if colon and key in found:
            found[key].append((number, value.strip()))
    return found


def _header_problems(header: tuple[str, ...], found: dict[str, list[tuple[int, str]]], file: str) -> Iterator[Problem]:
    keyed = sorted(number for rows in found.values() for number, _ in rows)
    first = keyed[0] if keyed else len(header) + 1
    if first < 3:
        says = "a title, then at least one line of scenario, ahead of rules, today and the rest"
        yield _problem("no-scenario", Place(file), f"{first - 1} lines ahead of the keyed lines", says)
    for key in _KEYS:
        if not found[key]:
            yield _problem("missing-line", Place(file, len(header) + 1), f'no line "{key}: ..."', f'"{key}: ..." once')
        for number, value in found[key]:
            if not value:
                yield _problem("no-value", Place(file, number), f'"{key}:" with nothing after it', "a value after it")
        for number, _ in found[key][1:]:
            yield _problem("twice", Place(file, number), f'"{key}: ..." again', f'"{key}: ..." once')


def _today(found: dict[str, list[tuple[int, str]]], file: str, problems: list[Problem]) -> date | None:
    for number, value in found["today"][:1]:
        try:
            return date.fromisoformat(value)
        except ValueError:
            if value:
                where = Place(file, number, len("today: ") + 1)
                problems.append(_problem("bad-date", where, f'"{value}"', "a date such as 2026-03-14"))
    return None


def _problem(problem_id: str, place: Place, found: str, expected: str) -> Problem:
    return Problem(problem_id, place, found, expected, "see the header of a file in transcripts_demo")


def without_digest(text: str) -> str:
    """A text with `(not kept)` for the edition and the digest of a rule set; typed lines stay as they are."""
    return _NOT_KEPT.sub(lambda m: f"{m[1]}{m[2]}(not kept)" if m[1] else m[0], text)


def played(transcript: RecordedTranscript, judge: Judge) -> str:
    """The file's text with what the program says now. Raises Problems where lines are typed after the end."""
    lines, _ = _played(transcript, judge)
    return transcript.with_body(tuple(lines))


def case_typed(transcript: RecordedTranscript, judge: Judge) -> Case:
    """The case that a transcript ends with. Raises Problems where lines are typed after the end."""
    if transcript.practise:
        first = next(case_texts_in(_beside(transcript), transcript.practise))
        return read_case(first, judge.rules, transcript.today)
    return _played(transcript, judge)[1]


def _beside(transcript: RecordedTranscript) -> Path:
    return Path(transcript.file).parent / transcript.practise


def _played(transcript: RecordedTranscript, judge: Judge) -> tuple[list[str], Case]:
    lines: list[str] = []
    taken = 0

    def echo(text: str) -> None:
        nonlocal taken
        taken += 1
        lines.append(f"{PROMPT}{text}".rstrip())

    typed = transcript.typed
    left = deque(typed)
    consultation = Consultation(judge, transcript.today, lambda: _clock(transcript.today, taken), transcript.in_order)
    said = converse(consultation, _typed_now(left, transcript, consultation), echo)
    if transcript.practise:
        said = _practised(transcript, judge, _each(left), echo, lambda: _clock(transcript.today, taken))
    for line in said:
        lines.append(line.rstrip())
    if left:
        where = Place(transcript.file, left[0][0])
        found = f"{len(left)} typed lines after the consultation was left"
        raise Problems([_problem("typed-after-quit", where, found, "quit as the last typed line, or not at all")])
    while lines and not lines[-1]:
        del lines[-1]
    return lines, consultation.case


def _each(left: deque[tuple[int, str]]) -> Iterator[str]:
    """The typed lines, each gone from what is left once it is taken."""
    while left:
        yield left.popleft()[1]


def _practised(
    transcript: RecordedTranscript,
    judge: Judge,
    typed: Iterable[str],
    echo: Callable[[str], None],
    clock: Callable[[], datetime],
) -> Iterator[str]:
    """A sitting on the cases of a file beside the transcript. Raises Problems."""
    from advisor.console.practise_lines import practise_lines
    from advisor.practise.learned import Learned
    from advisor.practise.made_up import Workshop
    from advisor.practise.own_cases import own_tires
    from advisor.practise.sitting import Sitting
    from advisor.practise.tire_maker import TireMaker
    from advisor.practise.tire_plan import empty_plan

    workshop = Workshop(judge.rules, transcript.today)
    maker = TireMaker(workshop, empty_plan(workshop))
    tires = own_tires([str(_beside(transcript))], maker)
    sitting = Sitting(maker, clock, Learned(""), None, iter(tires), None, len(tires))
    return practise_lines(sitting, typed, echo)


def _typed_now(
    left: deque[tuple[int, str]], transcript: RecordedTranscript, consultation: Consultation
) -> Iterator[str]:
    """The typed lines, and where a question was not there when it was recorded, its answer of `older-cases`."""
    said, answered = _run_together(transcript.body), set[Key]()
    recorded = any(line and not _is_typed(line) for line in transcript.body)
    while True:
        ask = consultation.ask if recorded else None
        older = ask.question.older_cases if ask and not ask.confirms and ask.key not in answered else None
        if ask and older and not any(_run_together([text]) in said for text in (ask.asks, ask.question.name)):
            answered.add(ask.key)
            yield ", ".join(older.counts_as)
        elif left:
            yield _numbered_now(left.popleft()[1], consultation, answered)
        else:
            return


def _numbered_now(text: str, consultation: Consultation, since: set[Key]) -> str:
    """A typed line; where it changes an answer by number, by the number beside answers that were not there then."""
    found = _CHANGE.fullmatch(text)
    if not found or not since:
        return text
    then = dict(enumerate((now for now, (key, _) in enumerate(consultation.listed, 1) if key not in since), 1))
    return f"{found[1]}{then.get(int(found[2]), found[2])}"


def _run_together(lines: Iterable[str]) -> str:
    return " ".join(" ".join(lines).split()).casefold()


def _clock(today: date, taken: int) -> datetime:
    """A transcript's own clock: it begins at 8:00 and goes on by a minute with each typed line."""
    return datetime.combine(today, _BEGINS) + timedelta(minutes=taken)


def transcript_difference(transcript: RecordedTranscript, now: str) -> list[str]:
    """A unified diff from what is kept to what the program says now; empty when it says the same.

    The line numbers are those of the file.
    """
    kept, said = transcript.text.split("\n"), now.split("\n")
    name = transcript.file
    return list(difflib.unified_diff(kept, said, f"{name} (kept)", f"{name} (as said now)", lineterm=""))
