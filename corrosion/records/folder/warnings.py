"""Doubts: what may well be wrong but does not stop the work.

Run on a folder without problems; each doubt is printed and carried into the report. The
bounds of usual numbers are common practice of ships' electrics and plating, with no
source: outside them a number is rare enough to ask. Nothing is changed.
"""

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import islice
from math import isfinite
from typing import Final

from corrosion.foundation.data_files import csv_rows
from corrosion.foundation.errors import Problem
from corrosion.records.folder.cell_messages import unit_of, unknown
from corrosion.records.folder.columns import BerthRow, ZoneRow
from corrosion.records.folder.date_order import doubtful_dates
from corrosion.records.folder.folder_tables import Tables
from corrosion.records.folder.row import Row
from corrosion.records.folder.ship_toml_keys import SystemKeys
from corrosion.records.folder.slips_electric import odd_readings
from corrosion.records.folder.slips_hull import odd_hull

_SUM_TOLERANCE: Final = 0.02
_MOST_OVERLAPS: Final = 1000  # no list of doubts is as long
_TRIFLE: Final = 0.05  # of the smaller zone's frames and depth
_INSIDE: Final = frozenset({"bilge", "tank", "dry"})
_SHORE: Final = {
    "shore earthed": "an earthed supply: not known, and a danger while faults stand",
    "shore isolated": "a shore supply: a couple with the shore earth may flow",
}


def doubts(tables: Tables, now: float) -> Iterator[Problem]:
    """Yield every doubt about a folder without problems.

    ``now``: today, from 1970-01-01. [s]
    """
    yield from doubtful_dates(tables, now)
    yield from odd_numbers(tables)
    yield from odd_hull(tables)
    yield from odd_readings(tables, now)
    yield from _cables(tables)
    yield from _circuits(tables)
    yield from _blanks(tables)
    yield from _unasked(tables)
    yield from _overlapping(tables)


def _cables(tables: Tables) -> Iterator[Problem]:
    shares = [
        row.cable_share for row in tables.zones or () if row.cable_share is not None
    ]
    whole = len(shares) == len(tables.zones or ())
    if sum(shares) > 1.0 + _SUM_TOLERANCE or (
        whole and abs(sum(shares) - 1.0) > _SUM_TOLERANCE
    ):
        found = f"the shares sum to {sum(shares):.3g}"
        expected = "let them sum to 1; they are scaled to it"
        yield Problem("zones.csv", None, "cable_share", found, expected)
    routed = {(row.system, row.circuit) for row in tables.circuits if row.zone}
    for row in tables.faults:
        if row.zone is None and not shares and (row.system, row.circuit) not in routed:
            yield row.finding("fault nowhere")


def _circuits(tables: Tables) -> Iterator[Problem]:
    listed: dict[str, dict[str, None]] = {}
    for row in tables.circuits:
        listed.setdefault(row.system, {})[row.circuit] = None
    for row in tables.circuits:
        if row.fed_from is not None and row.fed_from not in listed[row.system]:
            found, near = unknown("circuit", row.fed_from, listed[row.system])
            expected = f"{near} Write a row for it; blank is the switchboard"
            yield row.problem("fed_from", f"there is {found}", expected)
    for fault in tables.faults:
        known = listed.get(fault.system or "")
        if known and fault.circuit is not None and fault.circuit not in known:
            words = unknown("circuit", fault.circuit, known)
            yield fault.problem(
                "circuit", f"there is {words[0]}", f"{words[1]} (circuits.csv)"
            )


def _blanks(tables: Tables) -> Iterator[Problem]:
    """Yield blanks that now say less than somebody may think; of surfaces, once."""
    for berth in tables.berths:
        blank = berth.earth_cable_ohm is None and berth.afloat not in ("no", "dock")
        if blank and berth.supply in _SHORE:
            yield berth.finding("cable not told", at=_SHORE[berth.supply])
    for fault in tables.faults:
        clamp = fault.source == "welding" and fault.returns != "ashore"
        if clamp and fault.return_zone is None:
            yield fault.finding("clamp not told")
    bare = [row for row in tables.gaugings if row.surface is None]
    for gauging in bare[:1]:
        cells = {"count": len(bare), "all": len(tables.gaugings)}
        yield gauging.finding("surface not told", **cells)


def _unasked(tables: Tables) -> Iterator[Problem]:
    """Yield lamps that failed, and, once, that nobody wrote whom to ask."""
    for fault in tables.faults:
        for column, lamp in zip("abc", fault.lamps(), strict=True):
            if lamp == "failed":
                yield fault.finding("lamp failed", key=f"lamp_{column}")
    unasked = [row for row in tables.circuits if not row.permission]
    told = {"vital", "open_when", "spare_of", "test"}
    if not any(told & row.model_fields_set for row in tables.circuits):
        for circuit in unasked[:1]:
            yield circuit.finding("nobody to ask", count=len(unasked))


def _overlapping(tables: Tables) -> Iterator[Problem]:
    plating = [row for row in tables.zones or () if row.bonded_to is None]
    found_first = islice(_covering(plating), _MOST_OVERLAPS)
    for one, other in sorted(found_first, key=lambda pair: [row.line for row in pair]):
        yield other.finding("zones overlap", other=one)


def _covering(plating: Sequence[ZoneRow]) -> Iterator[tuple[ZoneRow, ZoneRow]]:
    """Yield pairs that share plating, the one that is written first in front.

    From aft on, each zone is held only against those that begin before it ends.
    """
    faces: dict[tuple[str, bool], list[tuple[int, ZoneRow]]] = {}
    for place, row in enumerate(plating):
        faces.setdefault((row.side, row.exposure in _INSIDE), []).append((place, row))
    for rows in faces.values():
        rows.sort(key=lambda each: each[1].frame_from)
        for at, (place, one) in enumerate(rows):
            for later, other in rows[at + 1 :]:
                if other.frame_from >= one.frame_to:
                    break
                if _overlap(one, other):
                    yield (one, other) if place < later else (other, one)


def _overlap(one: ZoneRow, other: ZoneRow) -> bool:
    """Return whether two zones share more than a trifle of frames and of depth."""
    spans = (
        ((one.frame_from, one.frame_to), (other.frame_from, other.frame_to)),
        ((one.top_m, one.bottom_m), (other.top_m, other.bottom_m)),
    )
    for (low, high), (start, end) in spans:
        shared = min(high, end) - max(low, start)
        if shared <= _TRIFLE * min(high - low, end - start):
            return False
    return True


_VOLTAGES: Final = (
    *(12, 24, 28, 32, 36, 42, 48, 60, 80, 100, 110, 115, 120, 127, 200, 208, 220),
    *(225, 230, 240, 250, 380, 400, 415, 440, 450, 460, 480, 500, 525, 575, 600, 660),
    *(690, 750, 1000, 1500, 3000, 3300, 4160, 6000, 6600, 10000, 11000, 13800, 15000),
)
_FREQUENCIES: Final = (16.7, 25, 50, 60, 400)
_NEAR: Final = 0.04


@cache
def _usual() -> tuple[tuple[str, str, float, float, str], ...]:
    """Return table and column, what it holds as a rule, and what to ask elsewhere."""
    rows = [row.values() for row in csv_rows(__file__, "usual.csv")]
    return tuple((t, c, float(low), float(high), q) for t, c, low, high, q in rows)


def odd_numbers(tables: Tables) -> Iterator[Problem]:
    """Yield each number outside what its column holds as a rule; zero is none."""
    file = tables.file
    systems = file.systems or ()
    keys = {"ship": (file.ship,), "water": (file.water,), "system": systems}
    for table, column, low, high, question in _usual():
        if table != "prices":
            for row in keys.get(table) or getattr(tables, table, None) or ():
                yield from _odd(row, column, low, high, question)
            continue
        steel = file.prices.steel_per_kg  # of a record already
        if steel and not low <= steel <= high:
            found, expected = f"{steel:g} is not usual here", f"write {question}"
            yield Problem("ship.toml", None, "prices.steel_per_kg", found, expected, 2)
    rows: tuple[SystemKeys | BerthRow, ...] = (*systems, *tables.berths)
    for row in rows:
        for value, known, check in (
            (row.volts, _VOLTAGES, "no such volts"),
            (row.hertz, _FREQUENCIES, "no such hertz"),
        ):
            if value and not any(abs(value / one - 1.0) <= _NEAR for one in known):
                yield row.finding(check)


def _odd(
    row: Row, column: str, low: float, high: float, question: str
) -> Iterator[Problem]:
    value = getattr(row, column)
    size = value if low < 0.0 or value is None else abs(value)
    if size and isfinite(size) and not low <= size <= high:
        unit = unit_of(type(row).model_fields[column])
        shown = f"{value:g} {unit.unit if unit else ''}".strip()
        shown = shown.replace(" Ω, or none", " Ω")
        cells = {"key": column, "shown": shown, "question": question}
        yield row.finding("outside the usual", **cells)
