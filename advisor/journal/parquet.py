"""Records as a Parquet file and back, by the package pyarrow, which is imported only here and only then.

The same texts in the same columns as CSV, not guarded, as nothing in a Parquet file is ever a formula.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from advisor.journal.data_folder import OWNER_ONLY_FILE
from advisor.journal.export import RecordRows
from advisor.model.problems import Misread, shown

ROWS_A_GROUP = 5000
MOST_COLUMNS = 50_000
#: A group of rows that claims to be larger than this once unpacked is not unpacked.
MOST_GROUP_BYTES = 256 * 2**20


def write_parquet(path: Path, rows: RecordRows) -> None:
    """Writes the rows, a group at a time; the file takes its name only when it is whole. Raises Misread, OSError."""
    need_package()
    import pyarrow
    from pyarrow.parquet import ParquetWriter

    schema = pyarrow.schema([(name, pyarrow.string()) for name in rows.header])
    unfinished = path.with_name(f"{path.name}.part")
    with suppress(FileNotFoundError):
        unfinished.unlink()
    descriptor = os.open(unfinished, os.O_CREAT | os.O_WRONLY | os.O_EXCL, OWNER_ONLY_FILE)
    try:
        with os.fdopen(descriptor, "wb") as file:
            with ParquetWriter(file, schema, compression="zstd") as writer:
                for group in _groups(rows):
                    columns = [pyarrow.array(column, pyarrow.string()) for column in zip(*group, strict=True)]
                    writer.write_table(pyarrow.table(columns, schema=schema))
            file.flush()
            os.fsync(file.fileno())
        os.replace(unfinished, path)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise


def read_parquet(path: Path) -> tuple[list[str], Iterator[list[str]]]:
    """The columns' names and the rows of texts, a group at a time. Raises Misread for what is no such file."""
    need_package()
    import pyarrow
    from pyarrow.parquet import ParquetFile

    try:
        with ParquetFile(path) as file:
            schema = file.schema_arrow
        header = [str(name) for name in schema.names]
        texts = all(kind in (pyarrow.string(), pyarrow.large_string()) for kind in schema.types)
        if not texts or len(header) > MOST_COLUMNS:
            raise Misread(f"{shown(str(path), 200)}, whose columns are no texts", "a Parquet file that --export wrote")
        return header, _rows(ParquetFile(path, read_dictionary=header), path)
    except (pyarrow.ArrowException, ValueError, OSError) as error:
        if isinstance(error, Misread):
            raise
        raise _no_records(path, error) from None


def _rows(file: Any, path: Path) -> Iterator[list[str]]:
    import pyarrow

    for group in range(file.num_row_groups):
        if file.metadata.row_group(group).total_byte_size > MOST_GROUP_BYTES:
            raise Misread(f"{shown(str(path), 200)}: a group of rows too large", f"at most {MOST_GROUP_BYTES} bytes")
        try:
            table = file.read_row_group(group)
        except (pyarrow.ArrowException, OSError, ValueError) as error:
            raise _no_records(path, error) from None
        for row in zip(*(_texts(column) for column in table.columns), strict=True):
            yield list(row)


def _texts(column: Any) -> Iterator[str]:
    """The texts of a column; one that comes often is one text in memory, however often it comes."""
    for chunk in column.chunks:
        words = [word or "" for word in chunk.dictionary.to_pylist()]
        yield from ("" if place is None else words[place] for place in chunk.indices.to_pylist())


def need_package() -> None:
    """Raises Misread where the package that reads and writes Parquet is not installed."""
    if find_spec("pyarrow") is None:
        do = "install it with: pip install 'tire-repair-advisor[parquet]', or use a file that ends in .jsonl or .csv"
        raise Misread("no package pyarrow", "the package that reads and writes Parquet", do)


def _groups(rows: RecordRows) -> Iterator[list[list[str]]]:
    group: list[list[str]] = []
    for row in rows:
        group.append(row)
        if len(group) >= ROWS_A_GROUP:
            yield group
            group = []
    if group:
        yield group


def _no_records(path: Path, error: Exception) -> Misread:
    reason = shown(str(error).splitlines()[0] if str(error) else type(error).__name__, 120)
    return Misread(f"{shown(str(path), 200)}: {reason}", "a Parquet file that --export wrote")
