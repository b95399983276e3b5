"""How well readings agree with every case of an explanation."""

from collections.abc import Sequence

import numpy as np

from corrosion.foundation.types import Array
from corrosion.leakage.explanations.cases import (
    Cases,
    lamp_chance,
    read_volts,
    unloaded_volts,
)
from corrosion.leakage.inference.instruments import Instruments
from corrosion.records.ship import Picture, Reading


def picture_of(readings: Sequence[Reading]) -> tuple[Picture | None, ...]:
    """Return the last picture of the lamps; nothing where one of the set had failed."""
    shown = [row.lamps for row in readings if any(row.lamps)]
    if not shown or "failed" in shown[-1]:
        return ()
    return tuple(each for each in shown[-1] if each != "failed")


def likelihood(cases: Cases, readings: Sequence[Reading], tools: Instruments) -> Array:
    """Return the likelihood of all readings in each case.

    Parameters
    ----------
    cases : Cases
    readings : sequence of Reading
        What was read in one state of the system. A direct component on an alternating
        system, and volts to a shore earth, say nothing here.
    tools : Instruments

    Returns
    -------
    ndarray, shape (cases,)
        Up to a factor that is the same for every explanation. [-]
    """
    found = np.ones(len(cases))
    for row in readings:
        if row.current not in (None, cases.system.current):
            continue
        if row.volts is not None and row.conductor is not None:
            found *= _volts(cases, row, abs(row.volts), tools)
        if row.amps is not None and row.clamped in ("fault path", "feeder"):
            found *= _clamp(cases, row, abs(row.amps), tools)
        if row.insulation is not None:
            found *= _insulation(cases, row, row.insulation, tools)
        if row.monitor is not None:
            found *= _monitor(cases, row.monitor, tools)
    seen = picture_of(readings)
    return found * lamp_chance(cases, seen, tools) if seen else found


def _volts(cases: Cases, row: Reading, read: float, tools: Instruments) -> Array:
    names = cases.system.conductors
    if row.conductor not in names or row.to not in (None, *names):
        return np.ones(1)
    to = None if row.to is None else names.index(row.to)
    at = names.index(str(row.conductor))
    volts = read_volts(cases, at, to, row.meter, tools.law)
    width = tools.meter_width(volts, cases.within(volts))
    scale = max(read, tools.voltmeter_resolution)
    return _gaussian((read - volts) / width, scale / width, tools.slip)


def _clamp(cases: Cases, row: Reading, read: float, tools: Instruments) -> Array:
    """Weigh a clamp: what the faults of the conductor, or all, drive together."""
    on = _on(cases, row)
    share = 1.0 - tools.feeder if row.clamped == "feeder" else 1.0
    volts = unloaded_volts(cases, tools.law)
    driven = np.zeros(len(cases), volts.dtype)
    for k in on:
        driven = driven + volts[:, cases.poles[k]] / cases.ohms[:, k]
    amps = share * np.abs(driven)
    width = tools.clamp_width(amps, cases.within(amps) + ((1.0 - share) * amps) ** 2)
    scale = max(read, tools.clamp_resolution)
    return _gaussian((read - amps) / width, scale / width, tools.slip)


def _on(cases: Cases, row: Reading) -> list[int]:
    """Return which faults are on the conductor that was read; all, of no one."""
    names = cases.system.conductors
    return [
        k for k, pole in enumerate(cases.poles) if row.conductor in (None, names[pole])
    ]


def _insulation(cases: Cases, row: Reading, read: float, tools: Instruments) -> Array:
    on = _on(cases, row)
    total = cases.healthy.real + (1.0 / cases.ohms[:, on]).sum(axis=-1)
    return _decades(cases, read * total, tools)


def _monitor(cases: Cases, read: float, tools: Instruments) -> Array:
    total = len(cases.system.conductors) * cases.healthy.real
    return _decades(cases, read * (total + (1.0 / cases.ohms).sum(axis=-1)), tools)


def _decades(cases: Cases, ratio: Array, tools: Instruments) -> Array:
    away = np.log(ratio)
    width = np.hypot(tools.insulation_tester, np.sqrt(cases.within(away)))
    return _gaussian(away / width, 1.0 / width, tools.slip)


def _gaussian(away: Array, sharpness: Array, slip: float) -> Array:
    return np.asarray(np.exp(-0.5 * away**2) * sharpness * (1.0 - slip) + slip)
