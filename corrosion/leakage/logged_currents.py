"""Measured logs stand in for computed currents.

A hull-current log that runs while one fault of its system or circuit stands measures
that fault's current, better than any reading of a clamp: its mean over the hours that
both cover is taken for the whole life of the fault. Where several faults stood at
once, nobody can say which one the log measured, and the currents stay computed.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from corrosion.foundation.types import BoolArray
from corrosion.foundation.units import HOUR
from corrosion.records.ship import Fault, Ship

if TYPE_CHECKING:
    from corrosion.records.monitor.charge import Covered

__all__ = ["with_logged_currents"]

_LEAST = 60.0  # a log must cover a fault for so long to measure it [s]


def with_logged_currents(ship: Ship) -> tuple[Ship, list[str]]:
    """Return the ship with logged currents as readings of her faults, and words.

    Parameters
    ----------
    ship : Ship
        The ship, her logs not yet read.

    Returns
    -------
    ship : Ship
        With the mean logged current as the measured one of each fault that a log
        covers alone.
    words : list of str
        For each log series, the hours covered, the faults that it measured, and the
        hours in which it shows a current while no single fault is written.

    Raises
    ------
    RecordError
        If a log cannot be read.
    """
    if not ship.logs:
        return ship, []
    paths = sorted(log.path for log in ship.logs)
    stamp = tuple((str(p), p.stat().st_mtime_ns, p.stat().st_size) for p in paths)
    measured, words = {}, []
    for covered in _read(stamp):
        standing = _standing(ship.faults, covered)
        alone = standing.sum(axis=0) == 1
        for fault, stood in zip(ship.faults, standing, strict=True):
            here = stood & alone
            seconds = float(covered.seconds[here].sum())
            if seconds >= _LEAST:
                mean = float(covered.amps[here] @ covered.seconds[here]) / seconds
                measured[fault.fault] = mean
                words.append(_said(fault, covered, mean, seconds))
        words += _unexplained(covered, alone)
    faults = tuple(
        fault
        if fault.fault not in measured
        else replace(
            fault, readings=replace(fault.readings, amps=measured[fault.fault])
        )
        for fault in ship.faults
    )
    return replace(ship, faults=faults), words


@lru_cache(maxsize=8)
def _read(stamp: tuple[tuple[str, int, int], ...]) -> "tuple[Covered, ...]":
    """Read logs once for as long as their files stay as they are."""
    from corrosion.records.monitor.charge import hourly  # noqa: PLC0415 - pyarrow is slow

    return hourly([Path(name) for name, _, _ in stamp])


def _standing(faults: Sequence[Fault], covered: "Covered") -> BoolArray:
    """Return which faults stood in which hours of a series, (faults, hours)."""
    middle = covered.start + 0.5 * HOUR
    standing = np.zeros((len(faults), middle.size), dtype=np.bool_)
    series = covered.series
    for k, fault in enumerate(faults):
        mine = fault.system == series.system and fault.current == series.current
        if mine and series.circuit in ("", None, fault.circuit):
            end = np.inf if fault.cleared is None else fault.cleared.latest + 0.5 * HOUR
            begun = fault.found.earliest - 0.5 * HOUR
            standing[k] = (begun <= middle) & (middle <= end)
    return standing


def _said(fault: Fault, covered: "Covered", mean: float, seconds: float) -> str:
    return (
        f"fault {fault.fault}: its current is taken from the hull-current log of "
        f"{covered.series.system!r}, {mean:.3g} A over {seconds / HOUR:.3g} hours "
        "covered"
    )


def _unexplained(covered: "Covered", alone: BoolArray) -> list[str]:
    rest = ~alone
    seconds = float(covered.seconds[rest].sum())
    if seconds < _LEAST:
        return []
    mean = float(np.abs(covered.amps[rest]) @ covered.seconds[rest]) / seconds
    return [
        f"the hull-current log of {covered.series.system!r} shows {mean:.3g} A over "
        f"{seconds / HOUR:.3g} hours in which no single fault is written; they are "
        "not counted: complete faults.csv"
    ]
