"""Runs the plain consultation on standard input and output."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct, field

from advisor import start
from advisor.console.session_lines import PROMPT, converse
from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.loader.cache import copies_folder, ready_rule_set
from advisor.loader.paths import DEFAULT_RULES, find_rule_set
from advisor.model.problems import Problems

if TYPE_CHECKING:
    from advisor.console.live_lines import LiveLines
    from advisor.journal.signing import Signer
    from advisor.loader.watcher import Watch


class Kept(Struct, frozen=True):
    """Whether and where a consultation is kept: `folder` '' stands for the user's own one, on a terminal only.

    `about` is what is said of it beside its answers: casing, technician, plate. `watch` is whether the rules are
    looked at again while it goes on. `in_order`: questions one after another, as they stand in the rules. `record` is
    one of the journal to take up.
    """

    folder: str = ""
    resume: bool = False
    never: bool = False
    about: Mapping[str, str] = field(default_factory=dict)
    signer: Signer | None = None
    watch: bool = False
    in_order: bool = False
    make_page: Callable[[str], tuple[str, ...]] | None = None
    record: str = ""


NOTHING_SAID_OF_KEEPING = Kept()


def run_plain(rules: list[str], kept: Kept = NOTHING_SAID_OF_KEEPING) -> int:
    """The consultation in plain lines; gives the exit code. End of input says what is known so far."""
    try:
        folder = find_rule_set(rules[-1] if rules else DEFAULT_RULES)
        watch = _watch(folder) if kept.watch else None
        judge = Judge(ready_rule_set(folder, copies_folder(os.environ)))
    except Problems as error:
        sys.stderr.write(f"{error}\n")
        return 2
    start.done()
    consultation = Consultation(judge, date.today(), datetime.now, kept.in_order)
    consultation.make_page = kept.make_page
    on_terminal = sys.stdin.isatty()
    live = _live(consultation, watch) if watch is not None else None
    if not kept.never and (kept.folder or kept.resume or kept.record or on_terminal):
        return _recorded(consultation, kept, on_terminal, live)
    typed = _typed(on_terminal, live)
    for line in converse(consultation, typed, lambda text: _echo(text, on_terminal), whole=not on_terminal):
        sys.stdout.write(f"{line}\n")
    return 0


def _recorded(consultation: Consultation, kept: Kept, on_terminal: bool, live: LiveLines | None) -> int:
    from advisor.console.journal_lines import PlainRecording
    from advisor.journal.data_folder import data_folder
    from advisor.journal.log import NewerJournal

    try:
        recording = PlainRecording(data_folder(kept.folder, os.environ), datetime.now, consultation)
    except NewerJournal as error:
        sys.stderr.write(f"{error}\n")
        return 2
    recording.journal.signer = kept.signer
    if live is not None:
        live.recorder = lambda: recording.keeper
    typed = _typed(on_terminal, live)
    try:
        for line in recording.opening(typed, on_terminal, kept.resume, kept.about, kept.record):
            sys.stdout.write(f"{line}\n")
        keeper = recording.keeper
        talk = converse(consultation, typed, lambda text: _echo(text, on_terminal), keeper, not on_terminal)
        for line in talk:
            sys.stdout.write(f"{line}\n")
    finally:
        for line in recording.close():
            sys.stdout.write(f"{line}\n")
    return 0


def _watch(folder: Path) -> Watch:
    from advisor.loader.watcher import Watch

    return Watch(folder)


def _live(consultation: Consultation, watch: Watch) -> LiveLines:
    from advisor.console.live_lines import LiveLines
    from advisor.dialogue.hot_reload import LiveRules

    return LiveLines(LiveRules(consultation, watch))


def _typed(on_terminal: bool, live: LiveLines | None) -> Iterator[str]:
    """The lines typed; bytes that are not UTF-8 are taken as signs for them, nothing is lost."""
    while True:
        sys.stdout.write(PROMPT if on_terminal else "")
        sys.stdout.flush()
        if live is not None and on_terminal:
            live.while_waiting()
        line = sys.stdin.buffer.readline()
        if not line:
            if on_terminal:
                sys.stdout.write("\n")
            return
        if live is not None:
            live.before_a_line()
        yield line.decode("utf-8", "backslashreplace").rstrip("\r\n")


def _echo(text: str, on_terminal: bool) -> None:
    """In a pipe or log the line taken is written out, so that the log can be read by itself."""
    if not on_terminal:
        from advisor.model.problems import shown

        sys.stdout.write(f"{PROMPT}{shown(text)}\n")
