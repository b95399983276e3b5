"""The fault that readings point to, as the log will have it once it is saved."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np

from corrosion.foundation.json_values import summary
from corrosion.foundation.sampling import Draws
from corrosion.hull.uncertain import draw_paths
from corrosion.inspection.cautions import FAILED_LAMP, LAMPS, ZERO_VOLTS
from corrosion.leakage.conditions import occasions
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.earthing import median_earthing
from corrosion.leakage.inference.consistency import contradictions
from corrosion.leakage.neutral_point import (
    conductor_index,
    conductor_volts,
    median_admittance,
)
from corrosion.leakage.preview import Preview, preview
from corrosion.records.as_of import end_of_day, records_as_of
from corrosion.records.dates import as_written
from corrosion.records.ship import Berth, Fault, Reading, Readings, Ship, System

Sampling = tuple[int, int]
"""Number of samples, and seed."""


def inferred_fault(  # noqa: PLR0913 - whose fault, what was read, when, how
    ship: Ship,
    system: System,
    readings: Readings,
    *,
    as_of: date,
    sampling: Sampling,
    name: str = "preview",
    rows: Sequence[Reading] = (),
) -> dict[str, Any]:
    """Return the fault that readings point to, at the berth of a day.

    Inferred as it will be once it is in the log, with the faults of its system that
    stand: a preview and the fault once saved agree.

    ``readings``: what was read, as a row of faults.csv holds it, on the day ``as_of``.
    ``name``: the id that the fault will have; with it the digits are the saved fault's.
    ``rows``: what was read beside it, as rows of readings.csv; the fault they name is
    this. Raises InputError if a reading is impossible on this system.

    Returns ``resistance_ohm``, ``amps`` and ``amps_dc`` (the direct component of an
    alternating system; None: none was read; each mean, p10, p50, p90), ``conductors``
    (chance of each), ``contradictions`` and ``cautions`` (in words: zero volts is not
    dead, lamps prove nothing), ``earthed_at`` (the berth whose supply ties the system
    to earth; None: it floats), ``amps_ashore`` (what it would drive on an earthed shore
    supply; None: she does not feed from shore).
    """
    draws = Draws(*sampling, ship.assumptions)
    known, fault = with_fault(ship, system, readings, rows, as_of=as_of, name=name)
    berth = berth_at(known, fault.found.middle)
    found = preview(
        known,
        fault,
        draws,
        as_of=end_of_day(as_of),
        earth=draw_paths(draws).earth_at(berth),
    )
    tie = median_earthing(system, berth, ship.assumptions)
    doubts = [
        words
        for _, evidence in occasions(known, fault, system)
        for words in contradictions(system, evidence, assumptions=ship.assumptions)
    ]
    count = len(system.conductors)
    chance = np.bincount(found.pole, minlength=count) / found.pole.size
    size = found.amps_ac if system.current == "ac" else found.amps_dc
    likely = np.median(np.abs(found.amps_dc)) > 0.0  # that nobody read is not told
    direct = found.amps_dc if likely else None
    return {
        "resistance_ohm": summary(found.resistance),
        "amps": summary(size),
        "amps_dc": None if direct is None else summary(direct),
        "conductors": dict(zip(system.conductors, chance.tolist(), strict=True)),
        "contradictions": doubts,
        "cautions": [*_zero(ship, readings, rows), *_lamps(readings)],
        "earthed_at": None if tie.at is None else berth.berth,
        "amps_ashore": _ashore(ship, system, found),
    }


def with_fault(
    ship: Ship,
    system: System,
    readings: Readings,
    rows: Sequence[Reading],
    *,
    as_of: date,
    name: str,
) -> tuple[Ship, Fault]:
    """Return a fault that is not in the log, and the ship as of then, with its rows.

    ``ship``, ``system``, ``readings``, ``rows``, ``as_of``, ``name``: as
    :func:`inferred_fault` takes them.
    """
    fault = Fault(
        fault=name,
        system=system.name,
        found=as_written(as_of.isoformat()),
        current=readings.current or system.current,
        readings=readings,
    )
    known, _ = records_as_of(ship, as_of)
    mine = (replace(row, fault=name) for row in rows)
    return replace(known, readings=(*known.readings, *mine)), fault


def _ashore(ship: Ship, system: System, found: Preview) -> dict[str, Any] | None:
    """Return what the fault would drive on an earthed shore supply, alone."""
    if not system.fed_from_shore:
        return None
    own = ship.assumptions
    tie = median_earthing(
        system, Berth(start=None, end=None, berth="", supply="shore earthed"), own
    )
    count = len(system.conductors)
    on = found.pole[:, None] == np.arange(count)
    y = median_admittance(system, assumptions=own) + on / found.resistance[:, None]
    neutral = tie.conductance
    if tie.at in system.conductors:
        y[:, conductor_index(system, str(tie.at))] += neutral
        neutral = 0.0
    volts = conductor_volts(system.star_volts, y, neutral)
    own_volts = np.take_along_axis(volts, found.pole[:, None], axis=1)[:, 0]
    return summary(np.abs(own_volts) / found.resistance)


def _zero(ship: Ship, readings: Readings, rows: Sequence[Reading]) -> list[str]:
    """Return the caution of a conductor that reads nearly nothing to hull."""
    least = ship.assumptions.value("dead_reading_v")
    read = [*readings.hull_volts, *(row.volts for row in rows if row.to is None)]
    low = any(volts is not None and abs(volts) < least for volts in read)
    return [ZERO_VOLTS] * low


def _lamps(readings: Readings) -> list[str]:
    if "failed" in readings.lamps:
        return [f"{FAILED_LAMP} {LAMPS}"]
    return [LAMPS] * any(readings.lamps)
