"""Hull-current log files: from bytes to record batches, one bounded piece at a time.

A log is CSV (comma, semicolon, tab or bar; plain or gzip) or Parquet. Nothing here
looks at what a row says: a batch holds the columns of :data:`COLUMNS` as they stand in
the file. What cannot be read is noted with its place, and reading goes on.
"""

import bisect
import csv
import gzip
import io
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pyarrow as pa
import pyarrow.csv as pc
import pyarrow.parquet as pq

from corrosion.foundation.errors import LookupFailed, Problem, RecordError
from corrosion.records.monitor.streams import ByteStream, WholeLines, one_ahead

__all__ = ["COLUMNS", "LogFile"]

COLUMNS: Final = ("time", "system", "circuit", "amps", "current")
"""Columns of a log; ``circuit`` may be left out."""

_NAMES: Final = ("system", "circuit", "current")
_BLOCK_BYTES: Final = 4 << 20
_BATCH_ROWS: Final = 1 << 17
_MOST_PROBLEMS: Final = 25
_GZIP: Final = b"\x1f\x8b"
_PARQUET: Final = b"PAR1"
_DAMAGE: Final = (
    EOFError,
    OSError,
    UnicodeDecodeError,
    zlib.error,
    pa.ArrowException,
    csv.Error,
)


class LogFile:
    """One log file: its rows in batches, and what is wrong with it.

    Parameters
    ----------
    path : Path
        Where it lies.

    Attributes
    ----------
    name : str
        How messages call it: the file's name and its folder's.
    decimal_comma : bool
        Whether numbers are written with a comma; known once reading has begun.
    problems, doubts : list of Problem
        What stops the work, and what does not; complete once all batches are read.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.name = "/".join(path.parts[-2:])
        self.decimal_comma = False
        self.problems: list[Problem] = []
        self.doubts: list[Problem] = []
        self._first_line = 1
        self._refused: list[int] = []

    def line_of(self, row: int) -> int:
        """Return the line of a row (both of the whole file) for messages.

        Rows count from 0 over all batches, lines from 1. In a Parquet file, which
        has no lines, row 0 is called line 1.
        """
        line = row + self._first_line
        while (shifted := row + self._first_line + self._refused_up_to(line)) != line:
            line = shifted
        return line

    def _refused_up_to(self, line: int) -> int:
        return bisect.bisect_right(self._refused, line)

    def problem(self, line: int | None, column: str, found: str, expected: str) -> None:
        """Note a problem.

        Raises
        ------
        RecordError
            With all problems so far, once there are too many to go on.
        """
        self._note(line, column, found, expected)
        if len(self.problems) > _MOST_PROBLEMS:
            self._note(None, "", "reading stopped here", "fewer problems; correct them")
            raise RecordError(self.problems)

    def doubt(self, found: str, expected: str) -> None:
        """Note what is doubtful about the whole file but does not stop the work."""
        doubt = Problem(
            file=self.name, line=None, column="", found=found, expected=expected
        )
        self.doubts.append(doubt)

    def _note(self, line: int | None, column: str, found: str, expected: str) -> None:
        problem = Problem(
            file=self.name, line=line, column=column, found=found, expected=expected
        )
        self.problems.append(problem)

    def batches(self) -> Iterator[pa.RecordBatch]:
        """Yield the rows in file order; names come dictionary-encoded.

        Yields
        ------
        RecordBatch
            Columns of :data:`COLUMNS`, ``circuit`` only where the file has it. Blank
            is null; a blank line of a text file is a row of nulls.
        """
        try:
            with self.path.open("rb") as file:
                start = file.read(4)
                file.seek(0)
                if start == _PARQUET or self.path.suffix.lower() == ".parquet":
                    yield from one_ahead(self._parquet(file))
                elif start.startswith(_GZIP):
                    with gzip.open(file) as plain:
                        yield from one_ahead(self._text(plain))
                else:
                    yield from one_ahead(self._text(file))
        except _DAMAGE as error:
            reason = (str(error).splitlines() or [type(error).__name__])[0]
            self.problem(
                None,
                "",
                f"cannot be read ({reason})",
                "a CSV or Parquet file that is whole; restore it from a copy",
            )

    def _parquet(self, file: io.BufferedReader) -> Iterator[pa.RecordBatch]:
        schema = pq.read_schema(file)
        columns = {name.strip().lower(): name for name in schema.names}
        if self._accept(list(columns)):
            known = {columns[name]: name for name in COLUMNS if name in columns}
            words = [
                columns[name]
                for name in _NAMES
                if name in columns and _is_text(schema.field(columns[name]).type)
            ]
            # Buffering ahead would hold the whole file in the end.
            table = pq.ParquetFile(file, read_dictionary=words, pre_buffer=False)
            for batch in table.iter_batches(_BATCH_ROWS, columns=list(known)):
                batch.validate(full=True)  # damaged words would point anywhere
                yield batch.rename_columns([known[name] for name in batch.schema.names])

    def _text(self, file: ByteStream) -> Iterator[pa.RecordBatch]:
        lines = WholeLines(file, _BLOCK_BYTES)
        header = lines.first()
        if b"\0" in header:
            expected = "UTF-8 text; save it again as CSV UTF-8"
            self.problem(1, "", "not UTF-8 text", expected)
            return
        heading = header.decode("utf-8-sig")
        delimiter = max(",;\t|", key=heading.count)
        names = [
            name.strip().lower()
            for name in next(csv.reader([heading], delimiter=delimiter), [])
        ]
        self.decimal_comma = delimiter != ","
        self._first_line = 2
        if self._accept(names):
            yield from pc.open_csv(
                lines,
                read_options=pc.ReadOptions(
                    block_size=_BLOCK_BYTES, use_threads=False, column_names=names
                ),
                parse_options=pc.ParseOptions(
                    delimiter=delimiter,
                    ignore_empty_lines=False,
                    invalid_row_handler=self._refuse,
                ),
                convert_options=pc.ConvertOptions(
                    column_types={
                        n: _WORDS if n in _NAMES else pa.string() for n in names
                    },
                    include_columns=[name for name in COLUMNS if name in names],
                    strings_can_be_null=True,
                    null_values=[""],
                ),
            )
        if lines.left or lines.cut_short:
            self.doubt(
                f"the end is half-written ({len(lines.left)} bytes); it is left out",
                "a last line with its end; normal while the monitor is still writing",
            )

    def _refuse(self, row: Any) -> str:
        line = row.number + 1
        self._refused.append(line)
        if len(self.problems) < _MOST_PROBLEMS:  # nothing may be raised from here
            expected = f"{row.expected_columns} values as in line 1"
            self._note(line, "", f"{row.actual_columns} values", expected)
        return "skip"

    def _accept(self, names: list[str]) -> bool:
        """Check the heading; note what is missing, twofold or unknown."""
        for name in COLUMNS:
            if name not in names and name != "circuit":
                missing = LookupFailed.among("column", name, [n for n in names if n])
                self.problem(1, name, str(missing), f"columns {', '.join(COLUMNS)}")
            elif names.count(name) > 1:
                self.problem(1, name, "stands twice in the heading", "one such column")
        others = [repr(name) for name in names if name and name not in COLUMNS]
        if others and not self.problems:
            known = ", ".join(COLUMNS)
            self.doubt(f"left out: {', '.join(others)}", f"a log's columns are {known}")
        return not self.problems


_WORDS: Final = pa.dictionary(pa.int32(), pa.string())


def _is_text(kind: pa.DataType) -> bool:
    return bool(pa.types.is_string(kind) or pa.types.is_large_string(kind))
