"""Invented ships of any number of faults and zones."""

from dataclasses import replace
from datetime import date, timedelta

import ships

from corrosion import Ship
from corrosion.records.dates import as_written
from corrosion.records.ship import Gauging

AS_OF = date(2026, 1, 1)
FIRST = date(2005, 1, 1)


def with_faults(ship: Ship, count: int, zone: str) -> Ship:
    """Return the ship with faults of a day each, spread over twenty years."""
    every = timedelta(days=20 * 365 // count)
    found = [FIRST + k * every for k in range(count)]
    faults = tuple(
        ships.fault(
            f"F{k}",
            day.isoformat(),
            (day + timedelta(days=1)).isoformat(),
            good=(day - timedelta(days=1)).isoformat(),
            conductor="abc"[k % 3],
            amps=0.1 + 0.01 * (k % 7),
            zone=zone,
        )
        for k, day in enumerate(found)
    )
    return replace(ship, faults=faults)


def with_zones(count: int) -> Ship:
    """Return a ship whose two sides are cut into strips of equal length."""
    frames = 48.0 / (count // 2)
    zones = tuple(
        ships.zone(f"{side[0]}{k}", (k * frames, (k + 1) * frames), side)
        for k in range(count // 2)
        for side in ("port", "starboard")
    )
    system = replace(ships.AC, switchboard_zone="p0")
    return with_faults(ships.ship(zones=zones, systems=(system,)), 40, "p0")


def by_samples(_: int) -> Ship:
    return with_faults(ships.ship(), 50, "FP")


def by_faults(count: int) -> Ship:
    return with_faults(ships.ship(), count, "FP")


def gauged(ship: Ship, count: int) -> Ship:
    """Return a ship whose zones were gauged in turn, a few tenths under built."""
    rows = tuple(
        Gauging(
            zone=zone.zone,
            date=as_written(f"{2001 + k // len(ship.zones) % 25}-06-01"),
            thickness=zone.built - 3e-4,
            readings=4,
        )
        for k in range(count)
        for zone in [ship.zones[k % len(ship.zones)]]
    )
    return replace(ship, gaugings=rows)


def by_gaugings(count: int) -> Ship:
    return gauged(with_faults(ships.ship(), 50, "FP"), count)
