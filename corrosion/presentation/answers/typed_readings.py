"""Thickness readings typed in from the printed sheet: read, checked, made into rows."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, median
from typing import Final

from corrosion.records.folder.numbers import BLANKS, written_number
from corrosion.records.ship import Zone

_APART: Final = re.compile(r"[\s;]+|,\s+")
_INCH_MM: Final = 25.4
_THICKER: Final = 1.1  # over as built: a slip, or a plate renewed and not written
_ODD: Final = 0.2  # of the median, by which a reading stands apart from the rest
_LEFT: Final = 0.2  # of as built, below which a reading may be in inches


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedZone:
    """What was typed in of one zone."""

    zone: str  # its id
    readings_mm: tuple[float, ...] = ()  # in the order typed, without holes [mm]
    least_mm: float | None = None  # least found beside them; 0: a hole [mm]
    problems: tuple[str, ...] = ()  # why it cannot be saved, in sentences
    doubts: tuple[str, ...] = ()  # what is odd, in sentences

    @property
    def mean_mm(self) -> float | None:
        """Mean of the readings, None without any [mm]."""
        return fmean(self.readings_mm) if self.readings_mm else None


def typed_zone(zone: Zone, readings: str, least: str) -> TypedZone:
    """Read and check what was typed in of one zone.

    ``readings``, ``least``: millimetres as typed: readings apart by blanks or
    semicolons, either decimal mark; and the least found, if any.

    Examples
    --------
    >>> from corrosion.records.ship import Zone
    >>> plate = Zone(zone="A", name="A", frame_from=0, frame_to=1, side="port", top=0,
    ...     bottom=1, exposure="immersed", built=10e-3, limit=8e-3, pit_limit=5e-3)
    >>> typed_zone(plate, "9.6 9,4; 9.5", "").readings_mm
    (9.6, 9.4, 9.5)
    >>> typed_zone(plate, "9.6 x", "").problems
    ("'x' is no thickness in millimetres, such as 9.6.",)
    """
    built = 1e3 * zone.built
    problems: list[str] = []
    values = [
        value
        for part in _APART.split(readings.strip())
        if part and (value := _millimetres(part, built, problems)) is not None
    ]
    low = _millimetres(least.strip(), built, problems) if least.strip() else None
    whole = tuple(value for value in values if value > 0.0)
    if len(whole) < len(values):
        low = 0.0
    if low is not None and whole and low > min(whole):
        problems.append(
            f"The least, {low:g} mm, is more than {min(whole):g} mm among the readings."
        )
    return TypedZone(
        zone=zone.zone,
        readings_mm=whole,
        least_mm=low,
        problems=tuple(dict.fromkeys(problems)),
        doubts=tuple(_doubts(whole, low, built)),
    )


def _millimetres(part: str, built: float, problems: list[str]) -> float | None:
    if part in BLANKS:
        return None
    number = written_number(part, "mm")
    value = None if number is None else number.value(None)
    if number is not None and number.ambiguous and (value or 0.0) > 10.0 * built:
        value = number.value(",")  # 9,400 of a plate of 12 mm
    if value is None:
        problems.append(f"{part!r} is no thickness in millimetres, such as 9.6.")
        return None
    if not 0.0 <= value <= 10.0 * built:
        problems.append(
            f"{part} mm cannot be of a plate built {built:g} mm thick; is a decimal "
            "point missing?"
        )
        return None
    return value


def _doubts(values: Sequence[float], low: float | None, built: float) -> Iterable[str]:
    if low == 0.0:
        yield (
            "0 mm is a hole: plug and pump ready, tell owner and class now. Write it "
            "only if it is one."
        )
    if not values:
        return
    middle = median(values)
    if middle < _LEFT * built:
        inches = f"{middle:g} in are {_INCH_MM * middle:.1f} mm"
        yield f"Readings about {middle:g} mm on a plate of {built:g} mm: {inches}."
    elif odd := [f"{v:g}" for v in values if abs(v - middle) > _ODD * middle]:
        yield f"{', '.join(odd)} mm stand apart from the rest ({middle:g} mm): slips?"
    if max(values) > _THICKER * built:
        yield (
            f"{max(values):g} mm is more than as built, {built:g} mm: a slip, paint "
            "counted, or a plate renewed that works.csv does not tell?"
        )


def gauging_rows(
    typed: Iterable[TypedZone], written: Mapping[str, str]
) -> list[dict[str, str]]:
    """Return what was typed in as rows of gaugings.csv.

    ``typed``: zones without problems. ``written``: what all rows share: ``date``, and
    where known ``by``, ``instrument`` and ``surface``. Returns a row for the mean of a
    zone's readings, and one for a least that was found.
    """
    shared = {key: cell.strip() for key, cell in written.items() if cell.strip()}
    rows = []
    for one in typed:
        count = len(one.readings_mm)
        if one.mean_mm is not None:
            rows.append(_row(one.zone, one.mean_mm, count, "mean", shared))
        if one.least_mm is not None:
            spots = count + (one.least_mm not in one.readings_mm)
            rows.append(_row(one.zone, one.least_mm, spots, "least", shared))
    return rows


def _row(
    zone: str, mm: float, count: int, kind: str, shared: Mapping[str, str]
) -> dict[str, str]:
    return {
        "zone": zone,
        **shared,
        "thickness_mm": f"{round(mm, 2):g}",
        "readings": str(count),
        "kind": kind,
    }
