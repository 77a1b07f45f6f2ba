"""`advisor compare --records`: every recorded case under another edition; what would be decided otherwise."""

from __future__ import annotations

import os
import sys
from collections import Counter
from contextlib import closing

from advisor.commands.batch import Chunk, Cores, each_done
from advisor.engine.evaluator import Judge
from advisor.journal.data_folder import FILE_NAME, data_folder
from advisor.journal.rejudge import Rejudged, decided_records, left_aside, rejudge
from advisor.journal.store import UNUSABLE, Connection, DamagedJournal, NewerJournal, opened_to_read
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Place, Problem, Problems, json_shown, shown
from advisor.model.ruleset import RuleSet


def compare_records(old: RuleSet, new: RuleSet, folder: str, as_json: bool) -> ExitCode:
    """Lists each record that would be decided otherwise, as it is found, then the counts.

    Raises Problems where the journal can't be read.
    """
    place = data_folder(folder, os.environ)
    try:
        with closing(opened_to_read(place / FILE_NAME)) as db:
            return _list(db, Judge(old), Judge(new), as_json)
    except BrokenPipeError:
        raise
    except (*UNUSABLE, DamagedJournal, NewerJournal) as error:
        found = f"a journal that can't be read: {shown(str(error), 200)}"
        where, do = Place(shown(str(place), 200)), "name its folder with --data"
        raise Problems([Problem("unreadable-journal", where, found, "a journal", do)]) from None


def _list(db: Connection, old: Judge, new: Judge, as_json: bool) -> ExitCode:
    counts: Counter[tuple[str, str]] = Counter()
    judged = unread = 0
    begin_comparing((old, new))
    items = decided_records(db, old.rules.about.id)
    cores = Cores(os.cpu_count() or 1, begin_comparing, (old, new))
    for each in (one for found in each_done(compare_chunk, items, cores) for one in found):
        judged += 1
        unread += bool(each.problem)
        if each.problem:
            sys.stderr.write(f"{each.id}: can't be read: {shown(each.problem, 200)}\n")
        elif each.differs:
            counts[(each.old, each.new if each.old != each.new else "")] += 1
            sys.stdout.write(f"{_json(each) if as_json else _line(each)}\n")
    _tell(counts, judged, unread, old, new, as_json)
    _tell_left_aside(*left_aside(db, old.rules.about.id), old, as_json)
    return ExitCode.FOUND if counts else ExitCode.DONE


_JUDGES: list[tuple[Judge, Judge]] = []


def begin_comparing(judges: tuple[Judge, Judge]) -> None:
    """Makes a process ready: both editions are known."""
    _JUDGES[:] = [judges]


def compare_chunk(items: Chunk) -> list[Rejudged]:
    """Some records judged by both editions."""
    [(old, new)] = _JUDGES
    return [rejudge(record, old, new) for _, record in items]


def _line(each: Rejudged) -> str:
    said = [f"now counts: {', '.join(each.new_rulings)}"] if each.new_rulings else []
    if each.old_method != each.new_method:
        said.append(f"method {each.old_method or 'none'} to {each.new_method or 'none'}")
    said += [f"restriction added: {name}" for name in each.restrictions_added]
    said += [f"restriction gone: {name}" for name in each.restrictions_gone]
    casing = f"casing {shown(each.casing, 60)}, " if each.casing else ""
    verdicts = f"{each.old} to {each.new}" if each.old != each.new else f"{each.old}, otherwise"
    return "; ".join((f"{verdicts}: {casing}{each.id}, decided {each.decided[:10]}", *said))


def _json(each: Rejudged) -> str:
    names = (
        "id", "casing", "decided", "recorded", "old", "new", "new_rulings", "not_fitting", "old_method", "new_method",
        "restrictions_added", "restrictions_gone",
    )  # fmt: skip
    return json_shown({name: getattr(each, name) for name in names})


def _tell(counts: Counter[tuple[str, str]], judged: int, unread: int, old: Judge, new: Judge, as_json: bool) -> None:
    out = sys.stderr if as_json else sys.stdout
    one, other = (f"{judge.rules.about.id} {judge.rules.about.edition} ({judge.rules.digest})" for judge in (old, new))
    out.write(f"Records judged by {one} and by {other}: {judged}\n")
    for (before, after), count in sorted(counts.items()):
        what = f"{before} to {after}" if after else f"{before}, with another method or restriction"
        out.write(f"  {what}: {count}\n")
    if not counts:
        out.write("  none would be decided otherwise\n")
    if unread:
        out.write(f"  can't be read: {unread}\n")


def _tell_left_aside(not_decided: int, by_others: int, old: Judge, as_json: bool) -> None:
    out = sys.stderr if as_json else sys.stdout
    if not_decided:
        out.write(f"  left aside, not finished: {not_decided}\n")
    if by_others:
        out.write(f"  left aside, decided by other rules than {old.rules.about.id}: {by_others}\n")
