"""`advisor replay`: plays transcripts through the real consultation and shows where it no longer says the same."""

from __future__ import annotations

import os
import re
import sys
from argparse import Namespace
from pathlib import Path

from msgspec.structs import replace

from advisor.commands.command_parser import CommandParser, complain, usage_error
from advisor.console.replaying import RecordedTranscript, played, read_transcript, transcript_difference
from advisor.engine.evaluator import Judge
from advisor.loader.cache import ready
from advisor.loader.yaml_nodes import read_text
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Place, Problem, Problems, shown

_HUNK = re.compile(r"@@ -(\d+)")
_LONGEST_LINE = 4000


class ReplayJudges:
    """The judges of the rule sets that transcripts name, loaded once each; `asked` wins over all of them."""

    def __init__(self, asked: str = "") -> None:
        self.asked = asked
        self._loaded: dict[str, Judge] = {}
        if asked:
            self._by_name(asked)

    def of(self, transcript: RecordedTranscript) -> Judge:
        """The judge for a transcript. Raises Problems, at its line `rules:` where that names no rule set."""
        if self.asked:
            return self._by_name(self.asked)
        try:
            return self._by_name(transcript.rules)
        except Problems as error:
            raise Problems([_in_header(problem, transcript) for problem in error.problems]) from None

    def _by_name(self, name: str) -> Judge:
        if name not in self._loaded:
            self._loaded[name] = Judge(ready(name, os.environ))
        return self._loaded[name]


def _in_header(problem: Problem, transcript: RecordedTranscript) -> Problem:
    return replace(problem, place=transcript.rules_at) if problem.id == "unknown-rule-set" else problem


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("FILE", "transcripts")
    parser.flag("--write", "renew the files: what was typed and the header stay, what the program says is written anew")
    parser.after(
        "A transcript is a header (title, scenario, rules, today), a blank line, and what advisor --plain prints,"
        ' with "> " ahead of each typed line. To begin one, write the header and the typed lines, then --write. '
        "--rules wins over the rule set in the header. The example is for the project's folder.",
        "Exit code 0: all say the same, or were renewed. 1: a difference is shown. 2: a file could not be read.",
        example="advisor replay transcripts_demo/*.txt",
    )


def run(options: Namespace) -> ExitCode:
    """Plays the transcripts named; gives the exit code."""
    if not options.words:
        raise usage_error("no-file", "no transcript", "one or more files")
    judges = ReplayJudges(options.rules[-1] if options.rules else "")
    return max(_replay(name, judges, options.write) for name in options.words)


def _replay(name: str, judges: ReplayJudges, write: bool) -> ExitCode:
    try:
        text = read_text(Path(name), name)
        transcript = read_transcript(text, name)
        now = played(transcript, judges.of(transcript))
        if write:
            return _renew(name, text, now)
    except Problems as error:
        complain(error.problems)
        return ExitCode.BAD_INPUT
    changed = transcript_difference(transcript, now)
    if not changed:
        sys.stdout.write(f"{shown(name)}: says the same ({len(transcript.typed)} lines typed)\n")
        return ExitCode.DONE
    sys.stdout.write(f"{shown(name)}:{_first_line(changed)}: no longer says the same\n")
    sys.stdout.writelines(f"{shown(line, _LONGEST_LINE)}\n" for line in changed)
    return ExitCode.FOUND


def _first_line(changed: list[str]) -> int:
    """The first line of the file that differs."""
    hunk = next(match for line in changed if (match := _HUNK.match(line)))
    begin = next(place for place, line in enumerate(changed) if line.startswith("@@"))
    same = next(n for n, line in enumerate(changed[begin + 1 :]) if not line.startswith(" "))
    return int(hunk[1]) + same


def _renew(name: str, before: str, now: str) -> ExitCode:
    if now == before:
        sys.stdout.write(f"{shown(name)}: as it was\n")
        return ExitCode.DONE
    try:
        Path(name).write_text(now, encoding="utf-8", newline="\n")
    except OSError as error:
        found = f"a file that can't be written: {(error.strerror or str(error)).lower()}"
        raise Problems([Problem("unwritable-file", Place(name), found, "a file that can be written")]) from None
    sys.stdout.write(f"{shown(name)}: renewed\n")
    return ExitCode.DONE
