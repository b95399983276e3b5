"""Plates that grew between campaigns, and gaugings beside a renewal of their plate."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from statistics import median
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.foundation.units import YEAR
from corrosion.records.folder.columns import GaugingRow
from corrosion.records.folder.folder_tables import Tables

ABOVE_BUILT: Final = 1.03
"""Share of the thickness as built beyond which rolling tolerance explains nothing."""

_GROWN_MM: Final = 0.8  # more than two instruments differ on rough plate
_GROWN: Final = 0.05
_RENEWED: Final = frozenset({"renewed", "doubler"})
_CAMPAIGN: Final = 0.5 * YEAR  # readings within belong to one campaign
_PLATES: Final = 3  # fewer are no habit of a campaign
_ALIKE_MM: Final = 0.3  # more than blocks and probes differ by
_MOST: Final = 0.75  # of the plates
_SCATTER: Final = 0.5  # of the shift: half of the plates lie as near to it

_Pair = tuple[GaugingRow, float, float]
"""A later reading of a plate, what was read before, and what is read now [mm]."""


def odd_campaigns(tables: Tables) -> Iterator[Problem]:
    """Yield plates that grew with no new plate between: a whole campaign once."""
    for pairs in _by_campaign(tables):
        shifts = [now - before for _, before, now in pairs]
        middle = median(shifts)
        scatter = median(abs(shift - middle) for shift in shifts)
        grown = sum(shift > 0.0 for shift in shifts)
        alike = middle >= _ALIKE_MM and scatter <= _SCATTER * middle
        if len(pairs) >= _PLATES and alike and grown >= _MOST * len(pairs):
            cells = {"grown": grown, "count": len(pairs), "middle": middle}
            yield pairs[0][0].finding("campaign too thick", **cells)
            continue
        for row, before, now in pairs:
            if now > before + max(_GROWN_MM, _GROWN * before):
                yield row.finding("plate grew", before=before, now=now)


def beside_renewals(tables: Tables) -> Iterator[Problem]:
    """Yield gaugings that bear the date of a renewal of their plate."""
    renewed = [row for row in tables.works if row.work == "renewed"]
    for row in tables.gaugings:
        for work in renewed:
            apart = row.date.latest <= work.date.earliest
            apart |= row.date.earliest >= work.date.latest
            if not apart and work.zone in (row.zone, "all"):
                yield row.finding("gauged beside a renewal", work=work)


def _by_campaign(tables: Tables) -> Iterator[Sequence[_Pair]]:
    """Yield the plates of each campaign that were gauged before, each with what was."""
    pairs = sorted(_pairs(tables), key=lambda pair: pair[0].date.middle)
    campaign: list[_Pair] = []
    for pair in pairs:
        if campaign and pair[0].date.middle - campaign[0][0].date.middle > _CAMPAIGN:
            yield campaign
            campaign = []
        campaign.append(pair)
    if campaign:
        yield campaign


def _pairs(tables: Tables) -> Iterator[_Pair]:
    """Yield each day on which a plate was gauged again, means alone."""
    means: dict[str, list[GaugingRow]] = {}
    for row in tables.gaugings:
        if row.kind == "mean":
            means.setdefault(row.zone, []).append(row)
    new = {row.zone for row in tables.works if row.work in _RENEWED}
    built = {row.zone: row.built_mm for row in tables.zones or ()}
    for zone, rows in means.items():
        above = max(row.thickness_mm for row in rows) >= ABOVE_BUILT * built[zone]
        if zone in new or "all" in new or above:  # which is a doubt of its own
            continue
        days: dict[float, list[GaugingRow]] = {}
        for row in rows:
            days.setdefault(row.date.middle, []).append(row)
        for before, after in pairwise(sorted(days)):
            one, other = (
                median(row.thickness_mm for row in days[day]) for day in (before, after)
            )
            yield days[after][0], one, other
