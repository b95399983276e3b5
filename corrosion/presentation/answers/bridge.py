"""What stands on the first page: zones to gauge first, faults that stand, causes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from corrosion.foundation.json_values import json_value
from corrosion.foundation.units import YEAR
from corrosion.presentation.format import month, quantity
from corrosion.records.dates import day_of
from corrosion.records.ship import Gauging, Ship
from corrosion.results import Estimate

_NOTHING_KG: Final = 1e-3
_LONG_AGO: Final = 15.0  # years after which a gauging's age is the reason to gauge


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneCard:
    """One zone to gauge, as a card tells it."""

    zone: str  # id
    name: str  # up to its first remark
    against_limit: str  # the last gauging against the limit, in words
    below: bool  # whether that gauging lies below the limit
    reason: str  # why it is to be gauged, in about four words
    chance: float  # to be below a limit at the horizon [-]
    chance_error: float  # its sampling error [-]
    due: date | None  # by when to gauge; None: not within the outlook
    hours: float  # what gauging it takes [h]
    access: str  # way in
    limit_mm: float  # least thickness allowed [mm]
    low_mm: float  # p10 of what is left today [mm]
    high_mm: float  # p90 of it [mm]
    gauged_mm: float | None  # the last mean gauging [mm]
    row: dict[str, Any]  # the zone's whole row of the estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultCard:
    """One standing fault, as a card tells it."""

    fault: str  # id
    system: str | None  # that it is on
    where: str  # circuit or source
    conductor: str | None  # None: not known
    days: float  # since it was found [d]
    amps: float  # median current into the hull [A]
    water_amps: float  # median of what crosses the water [A]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One cause of loss: its key, its words, its expected mass in kilograms."""

    key: str
    words: str
    expected_kg: float


_CAUSES: Final = (
    ("natural_sea_kg", "natural", "natural, sea side"),
    ("natural_inside_kg", "inside", "natural, inside"),
    ("natural_kg", "natural", "natural corrosion"),
    ("unexplained_kg", "unexplained", "not explained by the records"),
    ("own_metals_kg", "metals", "own metals"),
    ("couple_kg", "couple", "shore earth couple"),
    ("faults_kg", "faults", "faults"),
)


_SPARED: Final = {
    "protection_spared_kg": "protection",
    "spared_kg": "currents that enter",
}


def spared_words(mean: Mapping[str, float]) -> str:
    """Return what spared natural loss of the sea side, of means in kilograms.

    Examples
    --------
    >>> spared_words({"protection_spared_kg": 38.0, "spared_kg": 0.0})
    'protection spared 38.0 kg'
    """
    found = [
        f"{words} spared {quantity(mean.get(name, 0.0), 'kg')}"
        for name, words in _SPARED.items()
        if mean.get(name, 0.0) > _NOTHING_KG
    ]
    return ", ".join(found)


def short_name(name: str) -> str:
    """Return a zone's name without its remarks.

    Examples
    --------
    >>> short_name("Sea chest: bolted (rubber joint)")
    'Sea chest'
    """
    return name.split(":", maxsplit=1)[0].split(" (", maxsplit=1)[0]


def last_gauging(ship: Ship, zone: str) -> Gauging | None:
    """Return a zone's latest mean gauging, None where there is none."""
    found = [g for g in ship.gaugings if g.zone == zone and g.kind == "mean"]
    return max(found, key=lambda one: one.date.middle, default=None)


def against_limit(gauged: Gauging | None, limit_mm: float) -> str:
    """Return the last gauging against the limit, in words."""
    if gauged is None:
        return f"never gauged, limit {limit_mm:.1f} mm"
    mm, year = 1e3 * gauged.thickness, day_of(gauged.date.middle).year
    over = mm - limit_mm
    if over < 0.0:
        tail = "already below"
    elif round(over, 1) > 0.0:
        tail = f"{over:.1f} mm to spare"
    else:
        tail = "none to spare"
    return f"{mm:.1f} mm in {year}, limit {limit_mm:.1f}: {tail}"


def gauged_below(ship: Ship) -> list[tuple[str, str]]:
    """Return zones whose last mean gauging lies below the limit, the lowest first.

    By short name, each with that gauging against its limit in words; of records alone.
    """
    last = [(zone, last_gauging(ship, zone.zone)) for zone in ship.zones]
    found = [(one.thickness - z.limit, z, one) for z, one in last if one is not None]
    return [
        (short_name(zone.name), against_limit(one, 1e3 * zone.limit))
        for over, zone, one in sorted(found, key=lambda row: row[0])
        if over < 0.0
    ]


def zone_cards(result: Estimate, count: int | None = None) -> list[ZoneCard]:
    """Return the zones the most urgent first as cards.

    ``count``: how many; None: all.
    """
    return [_zone_card(result, row) for row in result.zone_table.rows[:count]]


def _zone_card(result: Estimate, row: dict[str, Any]) -> ZoneCard:
    gauged = last_gauging(result.ship, row["zone"])
    mm = None if gauged is None else 1e3 * gauged.thickness
    chance, due = float(row["chance_below_limit"]), json_value(row["inspect_by"])
    return ZoneCard(
        zone=row["zone"],
        name=short_name(row["name"]),
        against_limit=against_limit(gauged, row["limit_mm"]),
        below=mm is not None and mm < row["limit_mm"],
        reason=_reason(row, gauged, result.as_of),
        chance=chance,
        chance_error=_error(row, chance, result.samples),
        due=date.fromisoformat(due) if due else None,
        hours=float(row["gauge_hours"]),
        access=row["access"],
        limit_mm=float(row["limit_mm"]),
        low_mm=float(row["left_mm_p10"]),
        high_mm=float(row["left_mm_p90"]),
        gauged_mm=mm,
        row=row,
    )


def _error(row: dict[str, Any], chance: float, samples: int) -> float:
    """Return the sampling error of a chance: the estimate's own, or counting's."""
    own = row.get("chance_error")
    return float((chance * (1.0 - chance) / samples) ** 0.5 if own is None else own)


def _reason(row: dict[str, Any], gauged: Gauging | None, today: date) -> str:
    if gauged is None:
        return "never gauged"
    if 1e3 * gauged.thickness < row["limit_mm"]:
        return "gauged below its limit"
    pitted = row["left_under_pit_mm_p10"] < row["pit_limit_mm"]
    if row["left_mm_p10"] > row["limit_mm"] and pitted:
        return "its deepest pit"
    years = (today - day_of(gauged.date.middle)).days / (YEAR / 86400.0)
    if years > _LONG_AGO:
        return f"not gauged for {years:.0f} years"
    return {
        "natural": "bare steel, natural loss",
        "inside": "loss of the inner face",
        "shore couple": "couple with the shore earth",
        "own metals": "couple with her own metals",
        "unexplained": "loss that no record explains",
    }.get(row["leading_cause"], f"stray current, {row['leading_fault'] or 'faults'}")


def gauge_by(card: ZoneCard, today: date) -> str:
    """Return by when a zone is to be gauged, in a word or two."""
    if card.due is None:
        return "later"
    return "now" if card.due <= today else month(card.due)


def fault_cards(result: Estimate) -> list[FaultCard]:
    """Return the faults that stand, most amperes in the water first."""
    cards = [
        FaultCard(
            fault=row["fault"],
            system=json_value(row["system"]),
            where=json_value(row["circuit"]) or row["source"],
            conductor=json_value(row["conductor"]),
            days=float(row["hours_p50"]) / 24.0,
            amps=float(row["amps_p50"]),
            water_amps=float(row["amps_p50"] * row["water_share_p50"]),
        )
        for row in result.fault_table.rows
        if row["standing"]
    ]
    return sorted(cards, key=lambda one: -one.water_amps)


def ship_means(result: Estimate) -> dict[str, float]:
    """Return the expectation of each of the ship's totals, by name."""
    return {key: float(stats["mean"]) for key, stats in result.totals.items()}


def zone_means(row: Mapping[str, Any]) -> dict[str, float]:
    """Return the expected masses of a zone's row of the estimate, by name [kg]."""
    return {
        key.removesuffix("_mean"): float(value)
        for key, value in row.items()
        if key.endswith("_kg_mean")
    }


def causes(mean: Mapping[str, float]) -> Sequence[Cause]:
    """Return what took metal, as expectations, which add up to what is gone.

    Of :func:`ship_means` or :func:`zone_means`; natural loss of the sea side is what
    protection and currents left of it.
    """
    mean = dict(mean)
    if "faults_kg" not in mean:
        mean["faults_kg"] = mean["stray_kg"] - mean["couple_kg"]
    if "natural_sea_kg" in mean:
        del mean["natural_kg"]
        mean["natural_sea_kg"] -= sum(mean.get(name, 0.0) for name in _SPARED)
    return [
        Cause(key=key, words=words, expected_kg=max(mean[name], 0.0))
        for name, key, words in _CAUSES
        if name in mean
    ]
