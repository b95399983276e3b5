"""Hull-current log files: from bytes to record batches, one bounded piece at a time.

A log is CSV (comma, semicolon, tab or bar; plain or gzip) or Parquet. What stands above
its rows (encoding, delimiter, title, headings) is read as that of every other sheet;
the rows, of which there may be millions, are split by a library. Nothing here looks at
what a row says: a batch holds the columns of :data:`COLUMNS` as they stand in the file.
What cannot be read is noted with its place, and reading goes on.
"""

import bisect
import csv
import gzip
import io
import zlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

import pyarrow as pa
import pyarrow.csv as pc
import pyarrow.parquet as pq

from corrosion.foundation.errors import LookupFailed, Problem, RecordError
from corrosion.records.folder.columns import LogRow
from corrosion.records.folder.csv_file import parsed
from corrosion.records.folder.headings import known_heading
from corrosion.records.folder.numbers import Mark
from corrosion.records.folder.row import columns
from corrosion.records.imports.matching import Match, log_heading, match_headings
from corrosion.records.monitor.streams import Utf16, WholeLines, one_ahead
from corrosion.records.said_dates import DayFirst

COLUMNS: Final = columns(LogRow)  # columns of a log; ``circuit`` may be left out
_NAMES: Final = ("system", "circuit", "current")
_BLOCK_BYTES: Final = 4 << 20
_BATCH_ROWS: Final = 1 << 17
_MOST_PROBLEMS: Final = 25
_HEAD_LINES: Final = 20
_GZIP: Final = b"\x1f\x8b"
_UTF_16: Final = (b"\xff\xfe", b"\xfe\xff")
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
    """One log file: its rows in batches, and what is wrong with it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.name = "/".join(path.parts[-2:])  # in messages
        self.delimiter = ","  # of cells; also in Parquet
        self.unit, self.scale = "A", 1.0  # of its currents, as the heading says
        self.mark: Mark | None = None  # before decimals; None: no cell has told yet
        self.first: DayFirst | None = None  # in dates of figures; None likewise
        # what stops the work, and what does not; complete once all batches are read
        self.problems: list[Problem] = []
        self.doubts: list[Problem] = []
        self._first_line = 1
        self._refused: list[int] = []
        self._said: set[tuple[str, str]] = set()

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

        Raises RecordError with all problems so far, once there are too many to go on.
        """
        self._note(line, column, found, expected)
        if len(self.problems) > _MOST_PROBLEMS:
            self._note(None, "", "reading stopped here", "fewer problems; correct them")
            raise RecordError(self.problems)

    def doubt(self, found: str, expected: str, *, weight: int = 1) -> None:
        """Note what is doubtful about the whole file but does not stop the work."""
        self.doubts.append(Problem(self.name, None, "", found, expected, weight))

    def say_once(self, kind: str, row: int, column: str, words: str) -> None:
        """Note how a kind of doubtful cells is read, at the first of them."""
        if (kind, column) not in self._said:
            self._said.add((kind, column))
            found = f"{words}, and so are all cells like it"
            expected = "write it plainly where something else was meant"
            line = self.line_of(row)
            self.doubts.append(Problem(self.name, line, column, found, expected))

    def _note(self, line: int | None, column: str, found: str, expected: str) -> None:
        self.problems.append(Problem(self.name, line, column, found, expected))

    def batches(self) -> Iterator[pa.RecordBatch]:
        """Yield the rows in file order; names come dictionary-encoded.

        Yields columns of :data:`COLUMNS`, ``circuit`` only where the file has it. Blank
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
            expected = "a CSV or Parquet file that is whole; restore it from a copy"
            self.problem(None, "", f"cannot be read ({reason})", expected)

    def _parquet(self, file: io.BufferedReader) -> Iterator[pa.RecordBatch]:
        schema = pq.read_schema(file)
        known = {
            schema.names[match.place]: match.column
            for match in self._accept(schema.names)
        }
        if known:
            words = [
                name
                for name, column in known.items()
                if column in _NAMES
                and schema.field(name).type in (pa.string(), pa.large_string())
            ]
            # Buffering ahead would hold the whole file in the end.
            table = pq.ParquetFile(file, read_dictionary=words, pre_buffer=False)
            for batch in table.iter_batches(_BATCH_ROWS, columns=list(known)):
                batch.validate(full=True)  # damaged words would point anywhere
                yield batch.rename_columns([known[name] for name in batch.schema.names])

    def _text(
        self, file: io.BufferedReader | gzip.GzipFile
    ) -> Iterator[pa.RecordBatch]:
        wide = file.peek(2)[:2] in _UTF_16
        lines = WholeLines(Utf16(file) if wide else file, _BLOCK_BYTES)
        head = lines.head(_HEAD_LINES)
        sheet = parsed(self.name, head, COLUMNS, self.problems, log_heading)
        if sheet is None:
            return
        self.delimiter = sheet.delimiter
        self._first_line = sheet.header_line + 1
        lines.skip(sheet.header_line)
        heading = head.decode("utf-8-sig").split("\n")[sheet.header_line - 1]
        width = len(next(csv.reader([heading], delimiter=sheet.delimiter), []))
        matches = {match.place: match.column for match in self._accept(sheet.titles)}
        names = [matches.get(place, f"\0{place}") for place in range(width)]
        if matches and lines.head(1):
            yield from pc.open_csv(
                lines,
                read_options=pc.ReadOptions(
                    block_size=_BLOCK_BYTES, use_threads=False, column_names=names
                ),
                parse_options=pc.ParseOptions(
                    delimiter=sheet.delimiter,
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
        self._say_cut(lines)

    def _say_cut(self, lines: WholeLines) -> None:
        left = f"{len(lines.left)} bytes of a last line are left out"
        if lines.cut_short:
            found = f"the compressed file ends before its end: {left}"
            expected = "the whole file, copied again; normal while it is being written"
            self.doubt(found, expected, weight=2)
        elif lines.left:
            expected = "a last line with its end; normal while it is being written"
            self.doubt(f"the end is half-written: {left}", expected)

    def _refuse(self, row: Any) -> str:
        line = row.number + self._first_line - 1
        self._refused.append(line)
        if len(self.problems) < _MOST_PROBLEMS:  # nothing may be raised from here
            expected = (
                f"{row.expected_columns} values as in line {self._first_line - 1}"
            )
            self._note(line, "", f"{row.actual_columns} values", expected)
        return "skip"

    def _accept(self, titles: Sequence[str]) -> tuple[Match, ...]:
        """Return which heading is which column; note what is missing or twofold."""
        matches = match_headings(titles, "monitor")
        found = {match.column: match for match in matches}
        line, before = self._first_line - 1 or 1, len(self.problems)
        spelt = [known_heading(title.strip(), COLUMNS) for title in titles]
        for name in COLUMNS:
            if name not in found and name != "circuit":
                missing = LookupFailed.among("column", name, filter(None, spelt))
                expected = f"columns {', '.join(COLUMNS)}"
                self.problem(line, name, str(missing), expected)
            elif spelt.count(name) > 1:
                self.problem(line, name, "stands twice in the heading", "one of them")
        if len(self.problems) > before:
            return ()
        self._take_unit(found["amps"], line)
        used = {match.place for match in matches}
        others = [repr(t) for n, t in enumerate(titles) if t and n not in used]
        if others:
            known = ", ".join(COLUMNS)
            self.doubt(f"left out: {', '.join(others)}", f"a log's columns are {known}")
        for match in matches:
            if match.column != spelt[match.place]:
                unit = f" in {match.unit}" if match.unit else ""
                found_ = f"{match.heading!r} is taken for {match.column}{unit}"
                self.doubt(found_, "another heading where it is something else")
        return matches if len(self.problems) == before else ()

    def _take_unit(self, amps: Match, line: int) -> None:
        if amps.factor is None:
            found = f"{amps.heading!r}: {amps.unit!r} is no unit of current"
            self.problem(line, "amps", found, "A or mA")
        elif amps.unit:
            self.unit, self.scale = amps.unit, amps.factor


_WORDS: Final = pa.dictionary(pa.int32(), pa.string())
