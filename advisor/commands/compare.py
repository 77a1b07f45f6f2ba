"""`advisor compare`: what a new edition of a rule set changes for cases."""

from __future__ import annotations

import os
import re
import sys
import tempfile
from argparse import Namespace
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from advisor.commands.command_parser import CommandParser, a_number, declare_cluster, usage_error
from advisor.commands.revisions import folder_as_named
from advisor.loader.earlier import Earlier, named, read_earlier
from advisor.loader.kept_cases import kept_texts
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Problems
from advisor.model.ruleset import RuleSet

if TYPE_CHECKING:
    from advisor.loader.case_file import CaseText
    from advisor.tools.diff.entries import EntryDifference
    from advisor.tools.diff.limit_use import Unshown
    from advisor.tools.diff.ruleset_diff import Comparison, RuleChange

#: So many changes of one thing in one direction are told with an example; the others on a line.
MOST_IN_FULL = 2
#: So many texts are shown as they were and are.
MOST_WORDED = 20
MARK_NAMED = " (named in the notes)"
IN_ANOTHER_ORDER = "ASKED IN ANOTHER ORDER"
#: What a note calls something by whose id is a single word.
KINDS_IN_NOTES = frozenset(
    {"ruling", "question", "limit", "method", "part", "caution", "step", "ending", "answer", "restriction"}
)


def declare(parser: CommandParser) -> None:
    """The options of the command."""
    parser.words("OLD NEW", "two rule sets, by id or folder, or as they stood")
    parser.value("--cases", "FOLDER", "write the example of each change as a case file there", default="")
    parser.flag(
        "--records",
        "instead: every recorded case by both, and which would be decided otherwise; exit code 1 where there are any",
    )
    parser.value(
        "--data", "FOLDER", "with --records: where the journal is; with --cluster: the dataset of records", default=""
    )
    parser.flag("--json", "with --records: one object a line")
    parser.value("--into", "FOLDER", "with --cluster: where the recall list goes", default="")
    declare_cluster(parser)
    parser.value(
        "--cores",
        "N",
        "with --cluster local: how many processes",
        default=os.cpu_count() or 1,
        type=a_number("--cores"),
    )
    parser.after(
        "OLD and NEW are rule sets by id or folders; NAME@REVISION is one as it stood in a git revision, "
        "NAME@2026-11-25 the last state of that edition, REVISION:FOLDER a folder of the git repository that you "
        "stand in.",
        "Cases are split by both rule sets together; each change is a group of regions that came out alike before and "
        "come out alike now, with one example case: verdict, ending, methods, restrictions. Under headings of their "
        "own stand figures old to new, cautions or steps lost, what is asked otherwise or in another order, what is "
        "read otherwise, what has another name, texts old to new, and what could decide and yet changes no case. No "
        "case comes out otherwise is said where every region was looked at; where that could not be proved, it is said "
        "of what. A figure that decides only by way of a "
        "worked-out value is named even where no case tried comes out otherwise. What of OLD can't be read is left out "
        "and named; where a file that decides has such a thing, no case is judged, and what the other files say is "
        "compared.",
        "Whatever is looser, and every caution or step lost, has to be named in the new edition's notes (about.yaml), "
        "by the id of the ruling, limit, question, method, caution or step; an id of one word with its kind: question "
        "sealant.",
        "Exit code 0: nothing looser and nothing lost, or all of it named in the notes. 1: something looser that no "
        "note names, or other content under the same edition. 2: bad input. 3: nothing looser that is not named, but a "
        "caution or step lost that no note names. 4: neither, but a part of OLD, which an edition of before may have "
        "written otherwise, could not be read and was not compared; what part is said first.",
        example="advisor compare us-road demo-shop",
    )


def run(options: Namespace) -> ExitCode:
    """Compares two rule sets; gives the exit code."""
    if len(options.words) != 2:
        raise usage_error("bad-option", f"{len(options.words)} rule sets", "two: the old and the new")
    with tempfile.TemporaryDirectory() as scratch:
        folders = [folder_as_named(name, Path(scratch) / str(number)) for number, name in enumerate(options.words)]
        new = load_rule_set(folders[1])
        earlier = read_earlier(folders[0])
        kept = [text for folder in dict.fromkeys(folders) for text in kept_texts(folder)]
    old = earlier.rules
    if old is None:
        if options.records:
            raise Problems([each.problem for each in earlier.not_read])
        return _show_contents(earlier, new)
    if options.records and options.cluster:
        from advisor.commands.fleet import compare_fleet

        return compare_fleet(old, new, options)
    if options.cluster:
        raise usage_error("bad-option", "--cluster without --records", "--records --data DATASET")
    if options.records:
        from advisor.commands.compare_records import compare_records

        return compare_records(old, new, options.data, options.json)
    return _show(earlier, old, new, options.cases, kept)


def _show(earlier: Earlier, old: RuleSet, new: RuleSet, folder: str, kept: Sequence[CaseText]) -> ExitCode:
    from advisor.tools.diff.entries import ORDER, differing_asking

    out = sys.stdout.write
    _show_heads(earlier, new)
    asked = list(differing_asking(old, new)) if old.digest == new.digest else None
    if asked is not None and all(entry.heading == ORDER for entry in asked):
        _section(IN_ANOTHER_ORDER, map(str, asked))
        out("\nthe same content but for the order of asking\n" if asked else "the same content\n")
        return ExitCode.DONE
    days = sorted({*old.days, *new.days})
    told: set[EntryDifference] = set()
    codes = [_show_changes(earlier, old.on(None), new.on(None), folder, kept, told, until=days[0] if days else None)]
    for day in days:
        out(f"\nFROM {day} ON:\n")
        codes.append(_show_changes(earlier, old.on(day), new.on(day), folder, kept, told, day))
    return _gravest(earlier, codes)


def _show_heads(earlier: Earlier, new: RuleSet) -> None:
    sys.stdout.write(f"from {earlier.named}\nto   {named(new)}\n")
    _section("NOT COMPARED, SINCE THIS PROGRAM CAN'T READ IT", map(str, earlier.not_read))


def _gravest(earlier: Earlier, codes: Sequence[ExitCode]) -> ExitCode:
    whole = ExitCode.PARTLY if earlier.not_read else ExitCode.DONE
    return next((code for code in (ExitCode.FOUND, ExitCode.LOST) if code in codes), whole)


def _show_contents(earlier: Earlier, new: RuleSet) -> ExitCode:
    """What the files that could be read say otherwise, where the others leave no case to be judged."""
    from advisor.tools.diff.entries import (
        ADDED,
        ASKED,
        CHECKED,
        DECIDES,
        LOST,
        READ,
        RENAMED,
        UNITS,
        WORDED,
        differing_contents,
    )

    _show_heads(earlier, new)
    sys.stdout.write("\nno case was judged; what the other files say otherwise:\n")
    now = {file: says for file, says in new.content.items() if earlier.is_read(file)}
    entries = list(differing_contents(earlier.content, now))
    notes = _words_of(
        note for note in new.about.notes if note not in earlier.content.get("about.yaml", {}).get("notes", [])
    )
    for heading, what in (
        ("COULD DECIDE", DECIDES),
        ("CAUTIONS OR STEPS LOST", LOST),
        ("CAUTIONS OR STEPS ADDED OR CHANGED", ADDED),
        ("ASKED OTHERWISE", ASKED),
        ("READ OTHERWISE", READ),
        ("REPAIR UNITS", UNITS),
        ("RENAMED", RENAMED),
        ("ONLY LOOKED AT BY CHECKS", CHECKED),
    ):
        _section(heading, (str(entry) for entry in entries if entry.heading == what))
    worded = dict.fromkeys(entry.name for entry in entries if entry.heading == WORDED)
    _section(f"ONLY WORDING OR SOURCES, {_counted(len(worded), 'entry', 'entries')}", worded)
    lost = any(entry.heading == LOST and not _is_named(entry.names, notes) for entry in entries)
    return _gravest(earlier, [ExitCode.LOST] * lost)


def _show_changes(
    earlier: Earlier,
    old: RuleSet,
    new: RuleSet,
    folder: str,
    kept: Sequence[CaseText],
    told: set[EntryDifference],
    day: date | None = None,
    until: date | None = None,
) -> ExitCode:
    """What comes out otherwise, under the same headings before the first day of a dated figure and from each day on.

    `told`: the entries that differ and were told of an earlier day; here are told those that it has besides, and what
    of a figure begins on that day. `until`: the first day from which on something comes out otherwise.
    """
    from advisor.tools.diff.entries import ADDED, ASKED, CHECKED, LOST, ORDER, READ, RENAMED, UNITS, WORDED
    from advisor.tools.diff.ruleset_diff import compare

    comparison = compare(old, new, kept=kept)
    compared = tuple(entry for entry in comparison.entries if earlier.is_read(entry.file, entry.path))
    comparison = replace(comparison, entries=compared)
    here = [entry for entry in compared if entry not in told and _is_told(entry, day, until)]
    told |= {*here}

    def under(heading: str) -> list[EntryDifference]:
        return [entry for entry in here if entry.heading == heading]

    notes = _words_of(note for note in new.about.notes if note not in old.about.notes)
    changes = sorted(comparison.changes, key=lambda each: (each.direction != "looser", each.about, each.direction))
    shown: Counter[tuple[str, str]] = Counter()
    for number, change in enumerate(changes, 1):
        kind = change.about, change.direction
        shown[kind] += 1
        _show_change(change, notes, brief=shown[kind] > MOST_IN_FULL)
        if folder:
            of_day = replace(change, case=replace(change.case, today=day)) if day else change
            name = f"{f'{day}-' if day else ''}{number:02d}-{change.direction}.yaml"
            _write_example(Path(folder) / name, of_day, old, new)
    for moved in comparison.unshown:
        _show_unshown(moved, old, new, notes)
    lost = [(str(entry), entry.names) for entry in under(LOST)]
    lost += [
        (f"{c.about}: no {c.before}, where {'; '.join(c.example)}", c.names) for c in comparison.cautions if c.before
    ]
    more = [
        f"{c.about}: {c.after}, where {'; '.join(c.example)}" for c in comparison.cautions if c.after and not c.before
    ]
    asked = [f"{c.about}: {c.before} -> {c.after}, where {'; '.join(c.example)}" for c in comparison.asked]
    figures = [f"{name}: {' -> '.join(_figures(name, old, new))}" for name in comparison.limits]
    _section("FIGURES", figures)
    _section("CAUTIONS OR STEPS LOST", [text + (MARK_NAMED if _is_named(ids, notes) else "") for text, ids in lost])
    _section("CAUTIONS OR STEPS ADDED OR CHANGED", [*map(str, under(ADDED)), *more])
    _section("ASKED OTHERWISE", [*asked, *map(str, under(ASKED))])
    _section(IN_ANOTHER_ORDER, map(str, under(ORDER)))
    _section("READ OTHERWISE", map(str, under(READ)))
    _section("REPAIR UNITS", map(str, under(UNITS)))
    _section("RENAMED", map(str, under(RENAMED)))
    _section("ONLY LOOKED AT BY CHECKS", map(str, under(CHECKED)))
    _section("WORKED OUT OTHERWISE", comparison.worked_out)
    _section("REASONS SHOWN OTHERWISE", comparison.reasons)
    without, through = ([str(e) for e in each if e in here] for each in (comparison.without_effect, comparison.behind))
    _section("BEHIND WHAT COMES OUT OTHERWISE", through)
    _section("COULD DECIDE, BUT NO CASE COMES OUT OTHERWISE BY IT", without)
    _section("NEITHER SHOWN BY A CASE NOR PROVED TO CHANGE NONE", comparison.open)
    worded = [str(entry) for entry in under(WORDED) if entry.path[0] not in ("edition", "notes")]
    rest = [f"and {len(worded) - MOST_WORDED} more"] if len(worded) > MOST_WORDED else []
    _section("WORDED OTHERWISE, OR BY ANOTHER SOURCE", [*worded[:MOST_WORDED], *rest])
    if not day and old.about.id == new.about.id and _number(new.about.edition) < _number(old.about.edition):
        _section("AN EARLIER EDITION THAN BEFORE", [f"{old.about.edition} -> {new.about.edition}"])
    same_edition = not day and (old.about.id, old.about.edition) == (new.about.id, new.about.edition)
    _section(
        "SAME EDITION, OTHER CONTENT",
        [f"{new.about.edition} on both sides: give what changed an edition of its own (about.yaml)"] * same_edition,
    )
    ends = _summed_up(earlier, comparison, lost, notes, new, until)
    return ExitCode.FOUND if same_edition and ends is ExitCode.DONE else ends


def _is_told(entry: EntryDifference, day: date | None, until: date | None) -> bool:
    """Whether what differs is of the days told of: what of a figure begins on a day is told of that one alone."""
    begins = entry.path[2:3] if entry.path[1:2] == ("from",) else None
    return begins is None or (not until and begins in ((), (str(day),)))


def _number(edition: str) -> list[int]:
    """An edition by which it is earlier or later than another one: the figures in it."""
    return [int(figures) for figures in re.findall(r"\d+", edition)]


def _summed_up(
    earlier: Earlier,
    comparison: Comparison,
    lost: list[tuple[str, tuple[str, ...]]],
    notes: set[str],
    new: RuleSet,
    until: date | None = None,
) -> ExitCode:
    from advisor.tools.diff.entries import ORDER, READ, UNITS, WORDED

    out = sys.stdout.write
    if not comparison.changes and not comparison.unshown:
        worded = dict.fromkeys(entry.name for entry in comparison.entries)
        if all(entry.heading in (WORDED, ORDER) for entry in comparison.entries):
            what = "only wording and sources changed"
            what += ", and the order of asking" if comparison.entries_of(ORDER) else ""
        elif comparison.open or comparison.entries_of(UNITS):
            what = "no case was found that comes out otherwise"
        else:
            what = "no case comes out otherwise"
            what += " of those that are read alike" if comparison.entries_of(READ) else ""
        what += " by what was compared" if earlier.not_read else ""
        what += f" until {until}" if until else ""
        out(f"\n{what}; {_counted(len(worded), 'entry differs', 'entries differ')}:\n")
        out("".join(f"  {entry}\n" for entry in worded))
    looser = [change.names for change in comparison.changes if change.direction == "looser"]
    looser += [(moved.limit,) for moved in comparison.unshown if moved.looser]
    unnamed = sum(not _is_named(names, notes) for names in looser)
    lost_unnamed = sum(not _is_named(names, notes) for _, names in lost)
    count = _counted(len(comparison.changes) + len(comparison.unshown), "change", "changes")
    gone = f", {_counted(len(lost), 'caution or step', 'cautions or steps')} lost" if lost else ""
    not_named = f"{unnamed + lost_unnamed} of those named in no note of {new.about.id}"
    if comparison.changes or comparison.unshown or lost:
        out(f"\n{count}, {len(looser)} looser{gone}, {not_named}\n")
    return ExitCode.FOUND if unnamed else ExitCode.LOST if lost_unnamed else ExitCode.DONE


def _section(heading: str, lines: Iterable[str]) -> None:
    from advisor.console.verdict_lines import wrapped

    every = list(dict.fromkeys(lines))
    if every:
        sys.stdout.write(f"\n{heading}:\n")
        sys.stdout.write("".join("\n".join(wrapped(line, "  ", "    ")) + "\n" for line in every))


def _figures(limit: str, old: RuleSet, new: RuleSet) -> Iterator[str]:
    """The figures of a limit before and now; where it was turned also the worse side, and what the figure does."""
    found = [rules.limits[limit] for rules in (old, new)]
    for each in found:
        text = ", ".join(str(figure) for figure in each.figures)
        if found[0].at_limit_passes != found[1].at_limit_passes:
            text = f"{'passes' if each.at_limit_passes else 'fails'} at {text}"
        yield text if found[0].worse == found[1].worse else f"{text}, worse {each.worse or 'on no side'}"


def _show_change(change: RuleChange, notes: set[str], brief: bool) -> None:
    from advisor.console.verdict_lines import wrapped

    mark = MARK_NAMED if change.direction == "looser" and _is_named(change.names, notes) else ""
    count = f"{change.regions} region{'s' if change.regions > 1 else ''}"
    if brief:
        too = f"too, {count}: from {change.before} to {change.after}"
        sys.stdout.write("\n".join(wrapped(too, "  ", "       ")) + "\n")
        return
    sys.stdout.write(f"\n{change.direction.upper()}{mark}: {change.about}, {count}\n")
    sys.stdout.write(f"  from     {change.before}\n  to       {change.after}\n")
    sys.stdout.write("\n".join(wrapped(f"example  {'; '.join(change.example)}", "  ", "           ")) + "\n")


def _show_unshown(moved: Unshown, old: RuleSet, new: RuleSet, notes: set[str]) -> None:
    from advisor.console.verdict_lines import wrapped

    mark = MARK_NAMED if moved.looser and _is_named((moved.limit,), notes) else ""
    how = f"LOOSER{mark}" if moved.looser else "STRICTER"
    says = moved.looser or f"now {[*_figures(moved.limit, old, new)][1]}"
    goes_by = ", ".join(moved.deciding) + (f" by way of {', '.join(moved.values)}" if moved.values else "")
    sys.stdout.write(f"\n{how}: limit {moved.limit}, by its figure alone\n")
    sys.stdout.write("\n".join(wrapped(f"figure   {says}", "  ", "           ")) + "\n")
    sys.stdout.write("\n".join(wrapped(f"decides  {goes_by}", "  ", "           ")) + "\n")
    sys.stdout.write("  example  none of the cases tried comes out otherwise\n")


def _write_example(file: Path, change: RuleChange, old: RuleSet, new: RuleSet) -> None:
    from advisor.loader.renamed import asked_as_inputs
    from advisor.tools.case_writer import case_text, write_case

    either = replace(new, questions={**old.questions, **new.questions})
    named = {name for item in (change.case.answers, *change.case.repairs, *change.case.injuries) for name in item}
    rules = next((each for each in (old, new, asked_as_inputs(new)) if named <= each.questions.keys()), either)
    text = case_text(change.case, rules, new.about.id)
    key, words = change.typed
    if key:
        text = "".join(
            f"{line.partition(f'{key}:')[0]}{key}: {words}\n" if line.lstrip(" -").startswith(f"{key}:") else line
            for line in text.splitlines(keepends=True)
        )
    write_case(file.parent, file.name, text)


def _counted(number: int, one: str, more: str) -> str:
    return f"{number} {one if number == 1 else more}"


def _words_of(notes: Iterable[str]) -> set[str]:
    """The ids that notes name: a word with a hyphen, any other after its kind, as in "question sealant"."""
    found: set[str] = set()
    for note in notes:
        words = [word.strip(".,;:()\"'") for word in note.split()]
        found |= {word for word in words if "-" in word}
        found |= {word for kind, word in pairwise(words) if kind in KINDS_IN_NOTES}
    return found


def _is_named(names: Iterable[str], notes: set[str]) -> bool:
    return any(name in notes for name in names)
