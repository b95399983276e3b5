"""Text files as they come: encoding, delimiter, decimal comma, line numbers.

A file may begin with a byte-order mark, with ``sep=;`` and with lines of a title; its
columns may be separated by commas, semicolons or tabs, which the header tells. It is
UTF-8, or UTF-16 with its mark, or it is refused.
"""

import csv
import io
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.headings import known_heading

Recognise = Callable[[str], str]
"""From a heading to the column that it names, or to itself."""

_DELIMITERS: Final = (",", ";", "\t", "|")
_BOM: Final = b"\xef\xbb\xbf"
_HINT: Final = re.compile(r"sep=([,;\t|])\r?\n", re.IGNORECASE)
_MOST_BYTES: Final = 16 << 20
_MOST_ROWS: Final = 50_000
_UTF_16: Final = (b"\xff\xfe", b"\xfe\xff")
_HEADER_WITHIN: Final = 20  # lines, below a title
_SIGNATURES: Final[Mapping[bytes, str]] = {
    b"PK\x03\x04": "a spreadsheet or zip file, not text",
    b"\xd0\xcf\x11\xe0": "an old spreadsheet file, not text",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A csv file, cells as text."""

    file: str  # file name relative to the ship folder
    header: tuple[str, ...]  # column names as in the design, in the order of the file
    titles: tuple[str, ...] = ()  # the same just as written; empty: as ``header``
    above: str = ""  # what stands above the header, just as written
    header_line: int = 1  # line on which the header stands
    # line at which each row begins, and its cells just as written
    rows: tuple[tuple[int, tuple[str, ...]], ...] = ()
    # delimiter, newline: what separates cells, and what ends a line
    delimiter: str = ","
    newline: str = "\n"
    # how it is written: `utf-8`, with a byte-order mark `utf-8-sig`, `utf-16`
    encoding: str = "utf-8"


def decoded(file: str, data: bytes, problems: list[Problem]) -> str | None:
    """Return the text of a file; None, with a problem added, where it is not UTF-8."""
    line: int | None = None
    for signature, words in _SIGNATURES.items():
        if data.startswith(signature):
            found = words
            break
    else:
        try:
            text = data.decode(encoding_of(data))
        except UnicodeDecodeError as error:
            place = error.start
            found = f"byte 0x{data[place]:02x} at position {place} is not UTF-8"
        else:
            place = text.find("\0")
            if place < 0:
                return text
            found = "an empty (NUL) character, as in a damaged file"
        line = data.count(b"\n", 0, place) + 1
    expected = "UTF-8 text: save the file again as 'CSV UTF-8' or plain text UTF-8"
    problems.append(Problem(file, line, "", found, expected))
    return None


def encoding_of(data: bytes) -> str:
    """Return how a text is written, as its first bytes tell."""
    if data.startswith(_UTF_16):
        return "utf-16"
    return "utf-8-sig" if data.startswith(_BOM) else "utf-8"


@dataclass(frozen=True, slots=True, kw_only=True)
class Records:
    """A text, its rows (line of each, cells just as written), what separates cells.

    Blank rows and a hint such as ``sep=;`` are left out.
    """

    text: str
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    delimiter: str


def records_of(
    file: str,
    data: bytes,
    known: Collection[str],
    problems: list[Problem],
    recognise: Recognise | None = None,
) -> Records | None:
    """Split a csv file into the cells of its rows.

    None where a problem was added.

    ``file``: name for messages. ``data``: the whole file. ``known``: column names, by
    which the delimiter is told. ``problems``: is extended where the file cannot be
    split. ``recognise``: from a heading to the column that it names; by default its own
    spelling.
    """

    def refused(line: int | None, found: str, expected: str) -> None:
        problems.append(Problem(file, line, "", found, expected))

    if len(data) > _MOST_BYTES:
        expected = f"at most {_MOST_BYTES / 1e6:.0f} MB; a log belongs in monitor/"
        refused(None, f"{len(data) / 1e6:.0f} MB", expected)
        return None
    text = decoded(file, data, problems)
    if text is None:
        return None
    hint = _HINT.match(text)
    delimiter = hint[1] if hint else _delimiter(text, known, recognise)
    records: list[tuple[int, tuple[str, ...]]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells) and not (hint and line == 1):
                records.append((line, tuple(cells)))
            # A quoted cell may run over several lines: the next row begins behind the
            # last line of this one.
            line = reader.line_num + 1
            if len(records) > _MOST_ROWS:
                expected = "fewer rows; a log of samples belongs in monitor/"
                refused(line, f"more than {_MOST_ROWS} rows", expected)
                return None
    except csv.Error as error:
        found = f"the row that begins here cannot be split ({error})"
        expected = "a quotation mark opened in a cell must be closed at its end"
        refused(line, found, expected)
        return None
    return Records(text=text, rows=tuple(records), delimiter=delimiter)


def parsed(
    file: str,
    data: bytes,
    known: Collection[str],
    problems: list[Problem],
    recognise: Recognise | None = None,
) -> Sheet | None:
    """Split a csv file into its header and the cells below it.

    As :func:`records_of` takes them; the header is told by the names that are known.
    """
    split = records_of(file, data, known, problems, recognise)
    if split is None:
        return None
    if not split.rows:
        found, expected = "an empty file", f"a header: {split.delimiter.join(known)}"
        problems.append(Problem(file, 1, "", found, expected))
        return None
    within = [cells for _, cells in split.rows[:_HEADER_WITHIN]]
    head = _header_place(within, known, recognise)
    at, names = split.rows[head]
    # Spreadsheets save columns that were once in use: those that are blank in every
    # row are cut, from the right; one that is blank in some is not.
    filled = (
        k for _, cells in split.rows[head:] for k, c in enumerate(cells, 1) if c.strip()
    )
    used = max(filled, default=0)
    # A row that is wider than its header may hold a decimal comma between commas, which
    # shifts all behind it, however blank its last cell is: it is not cut.
    wide, below = len(names), split.rows[head + 1 :]
    titles = tuple(name.strip() for name in names[:used])
    text = split.text
    return Sheet(
        file=file,
        header=tuple(known_heading(name, known) for name in titles),
        titles=titles,
        above="".join(io.StringIO(text, newline="").readlines()[: at - 1]),
        header_line=at,
        rows=tuple((n, c[:used] if len(c) == wide else c) for n, c in below),
        delimiter=split.delimiter,
        newline="\r\n" if "\r\n" in text else "\n",
        encoding=encoding_of(data),
    )


def _delimiter(text: str, known: Collection[str], recognise: Recognise | None) -> str:
    """Return what separates the names that are known, within the first lines."""
    lines = [line for line in text.splitlines()[:_HEADER_WITHIN] if line.strip()]
    # By the known names that it parts, and only then by how often it stands there:
    # a comma may be the decimal mark too.
    return max(
        _DELIMITERS,
        key=lambda mark: max(
            (_named(line.split(mark), known, recognise), line.count(mark))
            for line in lines or [""]
        ),
    )


def _named(
    cells: Sequence[str], known: Collection[str], recognise: Recognise | None
) -> int:
    """Return how many cells are the heading of a column."""
    return sum(
        (recognise(name) if recognise else known_heading(name, known)) in known
        for name in (cell.strip(' "') for cell in cells)
    )


def _header_place(
    records: Sequence[tuple[str, ...]],
    known: Collection[str],
    recognise: Recognise | None,
) -> int:
    """Return which record is the header: a title above it names no column."""
    counts = [_named(cells, known, recognise) for cells in records]
    return counts.index(max(counts)) if max(counts) > 1 else 0


def rendered(sheet: Sheet) -> bytes:
    """Return the file of a sheet, in its own spelling, with what stands above it."""
    out = io.StringIO(newline="")
    out.write(sheet.above)
    writer = csv.writer(out, delimiter=sheet.delimiter, lineterminator=sheet.newline)
    writer.writerow((*sheet.titles, *sheet.header[len(sheet.titles) :]))
    writer.writerows(cells for _, cells in sheet.rows)
    return out.getvalue().encode(sheet.encoding)
