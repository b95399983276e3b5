"""63 habits of people and their spreadsheets, each the same records written otherwise.

Each makes bytes of the same table of gaugings or faults. What reads, must read as the
plain file does; what does not, must be refused with a line and a remedy.
"""

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

PLAIN: Final = (
    ("zone", "date", "frame", "thickness_mm", "readings", "sd_mm", "kind", "remark"),
    ("Z1", "2022-05-11", "40", "9.1", "12", "0.2", "mean", "clean"),
    ("Z2", "2022-05-11", "60", "10.1", "8", "0.3", "mean", ""),
    ("R1", "2022-05-25", "99", "11.5", "1", "0.2", "least", ""),
)
"""The same gaugings, plainly written."""

Rows = list[list[str]]


@dataclass(frozen=True)
class Habit:
    """One habit: its name, the bytes of gaugings.csv, and which cell says nothing."""

    name: str
    data: bytes
    blank: tuple[int, str] | None = None


def rows(change: Callable[[Rows], Rows | None] | None = None) -> Rows:
    """Return the plain rows, changed."""
    table = [list(row) for row in PLAIN]
    return table if change is None else change(table) or table


def written(table: Sequence[Sequence[str]], mark: str = ",", end: str = "\n") -> str:
    """Return rows as CSV."""
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=mark, lineterminator=end).writerows(table)
    return out.getvalue()


def plain(name: str, change: Callable[[Rows], Rows | None], mark: str = ",") -> Habit:
    """Return a habit of what stands in the cells."""
    return Habit(name=name, data=written(rows(change), mark).encode())


def spelt(name: str, mark: str, *, comma: bool, prefix: str = "") -> Habit:
    """Return a habit of separators."""
    table = rows()
    if comma:
        table = [
            [c.replace(".", ",") if c[:1].isdigit() else c for c in r] for r in table
        ]
    return Habit(name=name, data=(prefix + written(table, mark)).encode())


def column(name: str, at: int, *cells: str) -> Habit:
    """Return a habit of how one column is written."""

    def change(table: Rows) -> None:
        for row, cell in zip(table[1:], cells, strict=True):
            row[at] = cell

    return plain(name, change)


def header(name: str, **names: str) -> Habit:
    """Return a habit of headings."""

    def change(table: Rows) -> None:
        table[0] = [names.get(cell, cell) for cell in table[0]]

    return plain(name, change)


TEXT: Final = written(PLAIN)
COMMA: Final = [
    [c.replace(".", ",") if c[:1].isdigit() else c for c in r] for r in PLAIN
]

HABITS: Final = (
    # encodings and ends of lines
    Habit("byte-order mark", b"\xef\xbb\xbf" + TEXT.encode()),
    Habit("UTF-16 little-endian", TEXT.encode("utf-16")),
    Habit("UTF-16 big-endian", b"\xfe\xff" + TEXT.encode("utf-16-be")),
    Habit("UTF-16 with tabs", written(PLAIN, "\t").encode("utf-16")),
    Habit("ends of lines of another system", TEXT.replace("\n", "\r\n").encode()),
    Habit("old ends of lines", TEXT.replace("\n", "\r").encode()),
    Habit("no end of the last line", TEXT.rstrip("\n").encode()),
    Habit(
        "a Western letter of eight bits",
        TEXT.replace("clean", "fläche").encode("cp1252"),
    ),
    # separators
    spelt("semicolons and decimal commas", ";", comma=True),
    spelt("semicolons and decimal points", ";", comma=False),
    spelt("tabs and decimal commas", "\t", comma=True),
    spelt("tabs and decimal points", "\t", comma=False),
    spelt("sep= above semicolons", ";", comma=True, prefix="sep=;\n"),
    spelt("sep= above commas", ",", comma=False, prefix="sep=,\n"),
    Habit("sep= with a mark", b"\xef\xbb\xbfsep=;\r\n" + written(COMMA, ";").encode()),
    Habit("commas in quotation marks", written(COMMA).encode()),
    Habit("bars", written(PLAIN, "|").encode()),
    Habit(
        "every cell quoted",
        "\n".join(",".join(f'"{cell}"' for cell in row) for row in PLAIN).encode(),
    ),
    Habit("blanks after commas", TEXT.replace(",", ", ").encode()),
    # rows and columns around the table
    plain("a title above", lambda t: [["Gaugings 2022"], *t]),
    plain("a title and a blank row", lambda t: [["Gaugings", "2022"], [], *t]),
    plain("three lines of title", lambda t: [["Yard"], ["Report"], ["by hand"], *t]),
    plain("blank rows below", lambda t: [*t, [""] * 8, [""] * 8]),
    plain("blank rows between", lambda t: [t[0], [""] * 8, *t[1:]]),
    plain("blank columns behind", lambda t: [[*row, "", ""] for row in t]),
    plain(
        "blank columns behind all rows but the header",
        lambda t: [t[0], *([*row, ""] for row in t[1:])],
    ),
    plain("rows cut short", lambda t: [t[0], t[1], t[2][:7], t[3][:7]]),
    plain(
        "a row of units", lambda t: [t[0], ["", "", "", "mm", "", "mm", "", ""], *t[1:]]
    ),
    plain("a row of totals", lambda t: [*t, ["mean", "", "", "10.2", "", "", "", ""]]),
    plain("columns in another order", lambda t: [[*reversed(row)] for row in t]),
    plain("columns left out", lambda t: [row[:7] for row in t]),
    # headings
    header("capital headings", zone="Zone", date="DATE", thickness_mm="Thickness_mm"),
    header("headings with blanks", thickness_mm="thickness mm", sd_mm=" sd mm "),
    header("units in brackets", thickness_mm="Thickness (mm)", sd_mm="SD [mm]"),
    header("headings with hyphens", thickness_mm="thickness-mm"),
    header("a point behind a heading", frame="Frame.", zone="Zone:"),
    # numbers
    column("units in the cells", 3, "9.1 mm", "10.1 mm", "11.5 mm"),
    column("units joined on", 3, "9.1mm", "10.1mm", "11.5mm"),
    column("about", 3, "ca. 9.1", "~10.1", "11.5"),
    column("a decimal comma in one cell", 3, "9,1", "10.1", "11.5"),
    column("trailing noughts", 3, "9.10", "10.10", "11.50"),
    column("three decimals", 3, "9.100", "10.100", "11.500"),
    column("powers of ten", 3, "9.1e0", "1.01E+01", "1.15e1"),
    column("a plus sign", 3, "+9.1", "+10.1", "+11.5"),
    column("whole numbers with a point", 4, "12.0", "8.0", "1.0"),
    column("microns beside millimetres", 5, "200 µm", "0.3", "0.2"),
    column("an apostrophe before", 3, "'9.1", "'10.1", "'11.5"),
    column("a formula", 3, "=9+0.1", "10.1", "11.5"),
    # dates
    column("day.month.year", 1, "11.05.2022", "11.05.2022", "25.05.2022"),
    column("day/month/year", 1, "11/05/2022", "11/05/2022", "25/05/2022"),
    column("month/day/year", 1, "05/11/2022", "05/11/2022", "05/25/2022"),
    column("year/month/day", 1, "2022/05/11", "2022/05/11", "2022/05/25"),
    column("a month's name", 1, "11 May 2022", "11-May-2022", "May 25, 2022"),
    column(
        "a month's name of another tongue",
        1,
        "11. Mai 2022",
        "11. Mai 2022",
        "25. Mai 2022",
    ),
    column("days joined", 1, "20220511", "20220511", "20220525"),
    column(
        "a letter T and seconds", 1, "2022-05-11T00:00:00", "2022-05-11", "2022-05-25"
    ),
    column("two figures of the year", 1, "11/05/22", "11/05/22", "25/05/22"),
    column("a day's number", 1, "44692", "44692", "44706"),
    # blanks and words
    column("n/a", 7, "clean", "n/a", "n/a"),
    replace(column("a dash for nothing", 2, "-", "60", "99"), blank=(0, "frame")),
    replace(column("a question mark", 5, "0.2", "?", "0.2"), blank=(1, "sd")),
    column("capital words", 6, "Mean", "MEAN", "Least"),
    column("blanks around cells", 0, " Z1 ", "Z2  ", "  R1"),
)
