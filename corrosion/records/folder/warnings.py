"""Doubts: what may well be wrong but does not stop the work.

Run on a folder without problems; each doubt is printed and carried into the report.
"""

from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.cell_messages import unknown
from corrosion.records.folder.columns import ZoneRow
from corrosion.records.folder.date_order import doubtful_dates
from corrosion.records.folder.folder_tables import Tables
from corrosion.records.folder.slips_electric import odd_readings
from corrosion.records.folder.slips_hull import odd_hull
from corrosion.records.folder.slips_ranges import odd_numbers

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
