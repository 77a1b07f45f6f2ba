"""Runs the plain consultation on standard input and output."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING

from advisor.engine.judge import Judge
from advisor.errors import Problems
from advisor.loading.case_file import DEFAULT_RULES
from advisor.loading.rule_set import find_rule_set, load_rule_set
from advisor.plain.consultation_lines import PROMPT, converse
from advisor.quick import dataclass, field
from advisor.talk.consultation import Consultation

if TYPE_CHECKING:
    from advisor.record.signing import Signer


@dataclass(frozen=True, slots=True)
class Kept:
    """Whether and where a consultation is kept: `folder` '' stands for the user's own one, on a terminal only.

    `about` is what is said of it beside its answers: casing, technician, plate.
    """

    folder: str = ""
    resume: bool = False
    never: bool = False
    about: Mapping[str, str] = field(default_factory=dict)
    signer: Signer | None = None


NOTHING_SAID_OF_KEEPING = Kept()


def run_plain(rules: list[str], kept: Kept = NOTHING_SAID_OF_KEEPING) -> int:
    """The consultation in plain lines; gives the exit code. End of input says what is known so far."""
    try:
        judge = Judge(load_rule_set(find_rule_set(rules[-1] if rules else DEFAULT_RULES)))
    except Problems as error:
        sys.stderr.write(f"{error}\n")
        return 2
    consultation = Consultation(judge, date.today(), datetime.now)
    on_terminal = sys.stdin.isatty()
    if not kept.never and (kept.folder or kept.resume or on_terminal):
        return _recorded(consultation, kept, on_terminal)
    for line in converse(consultation, _typed(on_terminal), lambda text: _echo(text, on_terminal)):
        sys.stdout.write(f"{line}\n")
    return 0


def _recorded(consultation: Consultation, kept: Kept, on_terminal: bool) -> int:
    from advisor.plain.recording import Recording
    from advisor.record.journal import NewerJournal
    from advisor.record.place import data_folder

    try:
        recording = Recording(data_folder(kept.folder, os.environ), datetime.now, consultation)
    except NewerJournal as error:
        sys.stderr.write(f"{error}\n")
        return 2
    recording.journal.signer = kept.signer
    typed = _typed(on_terminal)
    try:
        for line in recording.opening(typed, on_terminal, kept.resume, kept.about):
            sys.stdout.write(f"{line}\n")
        talk = converse(consultation, typed, lambda text: _echo(text, on_terminal), recording.keeper)
        for line in talk:
            sys.stdout.write(f"{line}\n")
    finally:
        for line in recording.close():
            sys.stdout.write(f"{line}\n")
    return 0


def _typed(on_terminal: bool) -> Iterator[str]:
    """The lines typed; bytes that are not UTF-8 are taken as signs for them, nothing is lost."""
    while True:
        sys.stdout.write(PROMPT if on_terminal else "")
        sys.stdout.flush()
        line = sys.stdin.buffer.readline()
        if not line:
            if on_terminal:
                sys.stdout.write("\n")
            return
        yield line.decode("utf-8", "backslashreplace").rstrip("\r\n")


def _echo(text: str, on_terminal: bool) -> None:
    """In a pipe or log the line taken is written out, so that the log can be read by itself."""
    if not on_terminal:
        from advisor.errors import shown

        sys.stdout.write(f"{PROMPT}{shown(text)}\n")
