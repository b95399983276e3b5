"""What can hurt: dangers to life, and the cautions that stand before an act."""

import warnings
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

import numpy as np

from corrosion.foundation.defaults import SAMPLES
from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.json_values import json_value
from corrosion.foundation.sampling import Draws
from corrosion.foundation.units import MILLIAMPERE
from corrosion.inspection.cautions import DIVER, ENCLOSED, THIN
from corrosion.inspection.dangers import Danger, dangers, without_holes
from corrosion.leakage.fault_unknowns import FaultUnknowns
from corrosion.leakage.kept_faults import kept_faults
from corrosion.leakage.logged_currents import with_logged_currents
from corrosion.leakage.touch import healthy_touch, standing, standing_touch
from corrosion.records.as_of import end_of_day, records_as_of
from corrosion.records.ship import Ship, Zone
from corrosion.results import Estimate


def dangers_of(result: Estimate) -> list[dict[str, Any]]:
    """Return the dangers of a ship that has been estimated, as JSON carries them."""
    return danger_rows(result.dangers)


def heading(result: Estimate) -> dict[str, Any]:
    """Return what stands first in an answer: whose, of when, how sampled, dangers."""
    return {
        "ship": result.ship.name,
        "as_of": result.as_of.isoformat(),
        "samples": result.samples,
        "seed": result.seed,
        "dangers": dangers_of(result),
    }


def danger_rows(found: Iterable[Danger]) -> list[dict[str, Any]]:
    """Return dangers as objects of ``text``, ``berth``, ``fault`` and ``zone``."""
    return [asdict(danger) for danger in found]


def dangers_on(
    ship: Ship, as_of: date, *, samples: int = SAMPLES, seed: int = 1
) -> list[dict[str, Any]]:
    """Return the dangers of a ship on a day, without the rest of an estimate.

    ``samples``, ``seed``: as for :func:`corrosion.estimate`, which draws the same.
    Rows as of :func:`danger_rows`.
    """
    known, _ = records_as_of(ship, as_of)
    end = end_of_day(as_of)
    return danger_rows(
        dangers(known, lambda: _drawn(known, samples, seed, end), as_of=end)
    )


def touched_on(
    ship: Ship, as_of: date, *, samples: int = SAMPLES, seed: int = 1
) -> dict[str, dict[str, Any]]:
    """Return what a body would carry on a day, by system; as :func:`touched`."""
    known, _ = records_as_of(ship, as_of)
    end = end_of_day(as_of)
    return touched(known, _drawn(known, samples, seed, end), as_of=end)


def touched_of(result: Estimate) -> dict[str, dict[str, Any]]:
    """Return what a body would carry, by system; as :func:`touched`."""
    inputs = result.inputs
    return touched(result.ship, inputs.faults, as_of=inputs.time_grid.as_of)


def touched(
    ship: Ship, unknowns: FaultUnknowns, *, as_of: float
) -> dict[str, dict[str, Any]]:
    """Return what 1,000 Ω would carry from one conductor to hull, by system.

    Parameters
    ----------
    ship : Ship
        As her records stood.
    unknowns : FaultUnknowns
        Samples of what is not known of her faults.
    as_of : float
        The moment, from 1970-01-01 00:00. [s]

    Returns
    -------
    dict
        ``healthy``, floating and without lamps, and ``as_she_stands`` (median), with
        lamps, monitor and standing faults; the largest over the conductors; and from
        what on it can kill, ``danger``. [mA]
    """
    return {
        system.name: {
            "healthy": healthy_touch(system, assumptions=ship.assumptions)
            / MILLIAMPERE,
            "as_she_stands": json_value(
                np.median(
                    standing_touch(
                        system,
                        standing(ship, system, unknowns, as_of=as_of),
                        assumptions=ship.assumptions,
                    )
                )
                / MILLIAMPERE
            ),
            "danger": ship.assumptions.value("danger_fault_ma"),
        }
        for system in ship.systems
    }


def _drawn(known: Ship, samples: int, seed: int, as_of: float) -> FaultUnknowns:
    """Draw what an estimate draws of the same ship, samples and seed."""
    with warnings.catch_warnings():  # an estimate carries them among its doubts
        warnings.simplefilter("ignore", ValidityWarning)
        logged, hours, _ = with_logged_currents(without_holes(known))
        draws = Draws(samples, seed, known.assumptions)
        return kept_faults(logged, draws, as_of, hours)


def gauging_cautions(result: Estimate) -> dict[str, list[str]]:
    """Return what can hurt whoever gauges each zone, by zone; none: an empty list.

    Thin plate where the deciles leave less than ``thin_plate_mm`` of the basis table
    or than its limit under the deepest pit; diving; enclosed spaces: the inside of a
    tank, of a bilge, and of shell below the waterline, since it is not written what
    stands behind that.
    """
    thin = result.ship.assumptions.value("thin_plate_mm")
    rows = {row["zone"]: row for row in result.zone_table.rows}
    return {
        zone.zone: [
            *[THIN] * (row["left_under_pit_mm_p10"] < max(thin, row["pit_limit_mm"])),
            *_way_in(zone),
        ]
        for zone in result.ship.zones
        for row in [rows[zone.zone]]
    }


def _way_in(zone: Zone) -> list[str]:
    if zone.access == "diver":
        return [DIVER]
    closed = zone.exposure in ("bilge", "tank", "immersed", "tidal")
    return [ENCLOSED] if zone.access == "inside" and closed else []


def grouped(cautions: Mapping[str, Sequence[str]]) -> list[tuple[str, list[str]]]:
    """Return each caution once with the zones to which it applies.

    Examples
    --------
    >>> grouped({"A": ["thin"], "B": [], "C": ["diver", "thin"]})
    [('thin', ['A', 'C']), ('diver', ['C'])]
    """
    found: dict[str, list[str]] = {}
    for zone, said in cautions.items():
        for text in said:
            found.setdefault(text, []).append(zone)
    return list(found.items())
