"""A Parquet dataset cut into partitions; a folder of results in which each partition is whole or not there.

What a run is of stands in its manifest: rules, day, columns and input by their hashes. A run that stopped goes on only
as the same run; a partition counts as done where its file says that it is of this run.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any, BinaryIO

import pyarrow
from msgspec import Struct
from pyarrow.parquet import ParquetFile, write_table

from advisor.fleet.columns import ROWS_A_BATCH, texts_in
from advisor.model.problems import Place, Problem, Problems, shown
from advisor.model.version import __version__

#: A partition has no more rows than this; where it has fewer, its row group has no more.
MOST_ROWS = 50_000
MOST_TOLD = 5
_FORMAT = "tire-repair-advisor fleet 1"
_MANIFEST = "_manifest.json"
_MARK = b"advisor"
_UNREADABLE = (pyarrow.ArrowException, OSError, ValueError)


class ParquetRows:
    """The rows of a Parquet file as rows of texts, for those who take them one by one."""

    def __init__(self, file: BinaryIO, name: str) -> None:
        """Raises Problems for what is no such file."""
        self._name, self._given = name, 0
        try:
            self._file = ParquetFile(file, pre_buffer=False)
        except _UNREADABLE as error:
            raise _not_parquet(name, error) from None
        self.names = [str(each) for each in self._file.schema_arrow.names]
        self.total = self._file.metadata.num_rows

    def share(self) -> float:
        """How much of the rows was given out."""
        return self._given / max(1, int(self.total))

    def rows(self, first: int) -> Iterator[tuple[int, list[str]]]:
        """Number and cells of each row from the first one wanted on. Raises Problems."""
        end = 0
        try:
            for batch in self._file.iter_batches(ROWS_A_BATCH, use_threads=False):
                end = end + batch.num_rows
                batch = batch.slice(max(0, first - 1 - end + batch.num_rows))
                texts = [texts_in(column, name) for column, name in zip(batch.columns, self.names, strict=True)]
                for self._given, row in enumerate(zip(*texts, strict=True), end - batch.num_rows + 1):
                    yield self._given, list(row)
        except _UNREADABLE as error:
            raise _not_parquet(self._name, error) from None


class Partition(Struct, frozen=True):
    """Some rows of a dataset: of which file and row group; `row` is the number of the first one in its file, from 1."""

    number: int
    file: str
    group: int
    first: int
    rows: int
    row: int

    @property
    def name(self) -> str:
        """The file that holds what came of it."""
        return f"part-{self.number:06d}.parquet"

    def table(self) -> pyarrow.Table:
        """Its rows. Raises Problems."""
        try:
            with ParquetFile(self.file) as file:
                return file.read_row_group(self.group, use_threads=False).slice(self.first, self.rows)
        except _UNREADABLE as error:
            raise _not_parquet(self.file, error) from None


class Dataset:
    """A Parquet file, or all of them in a folder, in the order of their names."""

    def __init__(self, name: str) -> None:
        """Raises Problems for what is no dataset."""
        path = Path(name).resolve()
        if not path.exists():
            raise Problems([Problem("unreadable", Place(shown(name, 200)), "no file and no folder", "a dataset")])
        found = sorted(path.rglob("*.parquet")) if path.is_dir() else [path]
        self.files = [each for each in found if not each.name.startswith((".", "_"))]
        self.headers: dict[Path, list[str]] = {}
        self.partitions: list[Partition] = []
        for file in self.files:
            self._cut(file)
        self.rows = sum(part.rows for part in self.partitions)
        if not self.rows:
            raise Problems([Problem("no-case", Place(shown(name)), "no rows", "a Parquet file, or a folder of them")])

    def _cut(self, path: Path) -> None:
        try:
            with ParquetFile(path) as file:
                self.headers[path] = [str(each) for each in file.schema_arrow.names]
                groups = [file.metadata.row_group(number).num_rows for number in range(file.num_row_groups)]
        except _UNREADABLE as error:
            raise _not_parquet(str(path), error) from None
        row = 1
        for group, rows in enumerate(groups):
            for first in range(0, rows, MOST_ROWS):
                count = min(MOST_ROWS, rows - first)
                self.partitions.append(Partition(len(self.partitions), str(path), group, first, count, row))
                row += count

    def digest(self) -> str:
        """A hash of all that is in its files, and of how it is cut."""
        found = hashlib.blake2b(digest_size=16)
        for file in self.files:
            with file.open("rb") as stream:
                found.update(hashlib.file_digest(stream, lambda: hashlib.blake2b(digest_size=16)).digest())
        found.update(repr([(part.number, part.rows) for part in self.partitions]).encode())
        return found.hexdigest()


class PartDone(Struct, frozen=True):
    """What came of a partition: how many rows, how many could not be read, some of them told, and counts by outcome."""

    number: int
    rows: int
    failed: int
    told: tuple[str, ...]
    counts: dict[str, int]


class PartWork(Struct, frozen=True):
    """Judges a partition and writes what came of it into the folder: all that a process of the cluster does.

    `outcome` gives the rows to write and the counts; `run` is the hash of the manifest.
    """

    outcome: Callable[[pyarrow.Table], PartOutcome]
    folder: str
    run: str
    carried: tuple[str, ...]

    def __call__(self, part: Partition) -> PartDone:
        """Raises Problems."""
        table = part.table()
        kept = [name for name in self.carried if name in table.column_names]
        place = pyarrow.table({
            "file": pyarrow.array([Path(part.file).name]).take(pyarrow.array([0] * table.num_rows, pyarrow.int32())),
            "row": pyarrow.array(range(part.row, part.row + table.num_rows), pyarrow.int64()),
        })  # fmt: skip
        outcome = self.outcome(table)
        for name in kept:
            place = place.append_column(name, table[name])
        place = place.take(outcome.places) if outcome.places is not None else place
        for name in outcome.table.column_names:
            place = place.append_column(name, outcome.table[name])
        told = tuple(f"{part.file}:{part.row + at}: {text}" for at, text in outcome.told)
        done = PartDone(part.number, part.rows, outcome.failed, told, outcome.counts)
        write_whole(Path(self.folder) / part.name, place, self.run, done)
        return done


class PartOutcome(Struct, frozen=True):
    """What comes of some rows: those to write (their places where it is not all of them), and the counts."""

    table: pyarrow.Table
    places: pyarrow.Array | None
    failed: int
    told: tuple[tuple[int, str], ...]
    counts: dict[str, int]


def write_whole(path: Path, table: pyarrow.Table, run: str, done: PartDone) -> None:
    """Writes a file that takes its name only when it is whole, with what came of it in its footer. Raises OSError."""
    about = {"run": run, "number": done.number, "rows": done.rows, "failed": done.failed, "counts": done.counts}
    table = table.replace_schema_metadata({_MARK: json.dumps(about)})
    with NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.", suffix=".unfinished", delete=False) as file:
        try:
            write_table(table, file, compression="zstd")
            file.flush()
            os.fsync(file.fileno())
            os.replace(file.name, path)
        except BaseException:
            with suppress(OSError):
                os.unlink(file.name)
            raise


class ResultFolder:
    """The folder of a run's results: its manifest, and the partitions that are done."""

    def __init__(self, name: str, manifest: dict[str, Any]) -> None:
        """Begins a run, or goes on with the same one. Raises Problems for a folder that holds anything else."""
        self.path = Path(name).resolve()
        try:
            self.path.mkdir(parents=True, exist_ok=True)
            self.begun = (self.path / _MANIFEST).exists()
            if not self.begun and any(self.path.iterdir()):
                raise _other(name, "a folder that holds something else")
            if self.begun:
                _same_run(name, self._read(), manifest)
            else:
                self._write(manifest)
        except OSError as error:
            raise _other(name, f"a folder that can't be written: {(error.strerror or str(error)).lower()}") from None
        self.run = run_of(manifest)

    def _read(self) -> dict[str, Any]:
        try:
            found = json.loads((self.path / _MANIFEST).read_text(encoding="utf-8"))
        except ValueError:
            found = None
        return found if isinstance(found, dict) else {}

    def _write(self, manifest: dict[str, Any]) -> None:
        with NamedTemporaryFile("w", dir=self.path, prefix=".", delete=False, encoding="utf-8") as file:
            json.dump(manifest, file, indent=1)
            file.flush()
            os.fsync(file.fileno())
            os.replace(file.name, self.path / _MANIFEST)

    def done(self, parts: Sequence[Partition]) -> dict[int, PartDone]:
        """What is whole of this run already."""
        return {part.number: found for part in parts if (found := self._done(part)) is not None}

    def _done(self, part: Partition) -> PartDone | None:
        try:
            with ParquetFile(self.path / part.name) as file:
                about = json.loads((file.schema_arrow.metadata or {})[_MARK])
            if (about["run"], about["number"], about["rows"]) != (self.run, part.number, part.rows):
                return None
            return PartDone(part.number, part.rows, about["failed"], (), about["counts"])
        except (*_UNREADABLE, KeyError, TypeError):
            return None

    def rows(self, parts: Sequence[Partition]) -> Iterator[dict[str, Any]]:
        """Every row that was written, in the order of the dataset."""
        for part in parts:
            with ParquetFile(self.path / part.name) as file:
                for batch in file.iter_batches(ROWS_A_BATCH):
                    yield from batch.to_pylist()

    def tidy(self) -> None:
        """Takes away what processes that were killed left unfinished."""
        for file in self.path.glob(".part-*.unfinished"):
            file.unlink(missing_ok=True)


def manifest_of(
    what: str, rules: Sequence[tuple[str, str, str]], day: date, dataset: Dataset, columns: dict[str, Any]
) -> dict[str, Any]:
    """What a run is of: rules by id, edition and digest."""
    return {
        "format": _FORMAT,
        "what": what,
        "program": __version__,
        "rules": [dict(zip(("id", "edition", "digest"), each, strict=True)) for each in rules],
        "day": day.isoformat(),
        "columns": columns,
        "input": {"digest": dataset.digest(), "rows": dataset.rows, "partitions": len(dataset.partitions)},
    }


def run_of(manifest: dict[str, Any]) -> str:
    """The hash by which partitions are known to be of a run."""
    return hashlib.blake2b(json.dumps(manifest, sort_keys=True).encode(), digest_size=16).hexdigest()


def day_begun(name: str, default: date) -> date:
    """The day that a run in a folder judges on, where one was begun."""
    with suppress(OSError, ValueError, KeyError, TypeError):
        return date.fromisoformat(json.loads((Path(name) / _MANIFEST).read_text(encoding="utf-8"))["day"])
    return default


def _same_run(name: str, found: dict[str, Any], wanted: dict[str, Any]) -> None:
    for key, value in wanted.items():
        if found.get(key) != value:
            was, now = (shown(json.dumps(each), 200) for each in (found.get(key), value))
            raise _other(name, f"results of another run: {key} is {was}, not {now}")


def _other(name: str, found: str) -> Problems:
    do = "name a new folder, or go on by the same rules, day and input"
    return Problems(
        [Problem("other-run", Place(shown(name, 200)), found, "a new folder, or one begun the same way", do)]
    )


def _not_parquet(name: str, error: Exception) -> Problems:
    reason = shown(str(error).splitlines()[0] if str(error) else type(error).__name__, 120)
    return Problems([Problem("unreadable", Place(shown(name, 200)), reason, "a Parquet file", "check the file")])
