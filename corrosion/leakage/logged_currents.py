"""Hull-current logs: evidence of a fault, and its current for the hours they cover.

A hull-current log that runs while one fault of its system or circuit stands measures
that fault's current. It is a reading of the fault in the state of each stay that it
covers, from which the network foresees every other state; and for the hours that it
covers, no more, its mean replaces what the network says. Where several faults stood at
once, nobody can say which one the log measured, and the currents stay computed.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final, cast

import numpy as np

from corrosion.foundation.data_files import sentences
from corrosion.foundation.errors import Problem
from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import HOUR
from corrosion.leakage.dated_states import berth_at
from corrosion.records.dates import When, day_of
from corrosion.records.folder.doubt_list import grouped
from corrosion.records.kinds import Current
from corrosion.records.measured import Reading
from corrosion.records.ship import Fault, Recorder, Ship

if TYPE_CHECKING:
    from corrosion.records.monitor.charge import Covered

_SAID: Final = sentences(__file__, "doubts.toml")
_LEAST = 60.0  # a log must cover a fault for so long to measure it [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedHours:
    """What a log measured of one fault, as running sums over time."""

    current: Current  # what was logged
    edges: Array  # shape (edges,): moments between which both sums run evenly [s]
    seconds: Array  # shape (edges,): time covered up to each [s]
    # shape (edges,): charge logged up to each, over the share of its time in which the
    # fault is there: a mean over hours holds those in which it is not [C]
    charge: Array

    def over(self, start: Array, end: Array) -> tuple[Array, Array]:
        """Return the time covered within some times, and the mean current then.

        Shape of ``start``; the current is 0 where nothing is covered. [s], [A]
        """
        seconds, charge = (
            np.interp(end, self.edges, sums) - np.interp(start, self.edges, sums)
            for sums in (self.seconds, self.charge)
        )
        amps = np.divide(
            charge, seconds, out=np.zeros_like(charge), where=seconds > 0.0
        )
        return seconds, amps


def with_logged_currents(ship: Ship) -> tuple[Ship, dict[str, LoggedHours], list[str]]:
    """Return the ship with logged currents as readings of her faults, and words.

    ``ship``: with a reading of each fault that a log covers alone, one a stay.
    ``hours``: by fault, what the log measured hour by hour. ``words``: what is doubtful
    in the logs; for each log series, the hours covered, the faults that it measured,
    and the hours in which it shows a current while no single fault is written.

    Raises RecordError if a log cannot be read.
    """
    if not ship.logs:
        return ship, {}, []
    paths = sorted(log.path for log in ship.logs)
    stamp = tuple((str(p), p.stat().st_mtime_ns, p.stat().st_size) for p in paths)
    readings: list[Reading] = []
    hours: dict[str, LoggedHours] = {}
    series, doubts = _read(stamp, ship.recorder)
    words = [str(doubt) for doubt in doubts]
    for covered in series:
        standing = _standing(ship.faults, covered)
        alone = standing.sum(axis=0) == 1
        for fault, stood in zip(ship.faults, standing, strict=True):
            here = stood & alone
            seconds = float(covered.seconds[here].sum())
            if seconds >= _LEAST:
                mean = float(covered.amps[here] @ covered.seconds[here]) / seconds
                cells = {"system": covered.series.system, "hours": seconds / HOUR}
                words.append(_SAID["logged"].format(fault=fault, mean=mean, **cells))
                readings += _by_stay(ship, fault, covered, here)
                hours[fault.fault] = _sums(covered, here, fault.present)
        words += _unexplained(covered, alone)
    return replace(ship, readings=(*ship.readings, *readings)), hours, words


def _by_stay(
    ship: Ship, fault: Fault, covered: "Covered", here: BoolArray
) -> list[Reading]:
    """Return one reading of a fault for each stay in which it was logged."""
    middle = covered.start[here] + 0.5 * HOUR
    stays = [berth_at(ship, moment) for moment in middle.tolist()]
    order = {id(berth): berth for berth in stays}
    found = []
    for key in order:
        mine = np.array([id(berth) == key for berth in stays])
        seconds, amps = covered.seconds[here][mine], covered.amps[here][mine]
        mean = float(amps @ seconds / seconds.sum()) / fault.present
        moment = float(middle[mine] @ seconds / seconds.sum())
        found.append(
            Reading(
                time=When(
                    text=day_of(moment).isoformat(), earliest=moment, latest=moment
                ),
                system=fault.system,
                fault=fault.fault,
                conductor=fault.readings.conductor,
                amps=mean,
                current=cast("Current", covered.series.current),
                remark="hull-current log",
            )
        )
    return found


def _sums(covered: "Covered", here: BoolArray, present: float) -> LoggedHours:
    start = covered.start[here]
    edges = np.stack([start, start + HOUR], axis=1).ravel()
    seconds = np.zeros(edges.size)
    charge = np.zeros(edges.size)
    seconds[1::2] = covered.seconds[here]
    charge[1::2] = covered.seconds[here] * covered.amps[here] / present
    return LoggedHours(
        current=cast("Current", covered.series.current),
        edges=edges + np.tile([0.0, -1e-3], start.size),  # hours touch, sums do not
        seconds=np.cumsum(seconds),
        charge=np.cumsum(charge),
    )


@lru_cache(maxsize=8)
def _read(
    stamp: tuple[tuple[str, int, int], ...], recorder: Recorder
) -> "tuple[tuple[Covered, ...], tuple[Problem, ...]]":
    """Read logs once for as long as their files stay as they are."""
    from corrosion.records.monitor.charge import hourly  # noqa: PLC0415 - pyarrow is slow

    doubts: list[Problem] = []
    covered = hourly(
        [Path(name) for name, _, _ in stamp],
        recorder.gap,
        writes=recorder.writes,
        doubts=doubts,
    )
    return covered, grouped(doubts)


def _standing(faults: Sequence[Fault], covered: "Covered") -> BoolArray:
    """Return which faults stood in which hours of a series, (faults, hours)."""
    middle = covered.start + 0.5 * HOUR
    standing = np.zeros((len(faults), middle.size), dtype=np.bool_)
    series = covered.series
    system, circuit = series.system.casefold(), series.circuit.casefold()
    for k, fault in enumerate(faults):
        mine = (fault.system or "").casefold() == system and (
            fault.source == "ground fault" or fault.current == series.current
        )
        if mine and circuit in ("", (fault.circuit or "").casefold()):
            end = np.inf if fault.standing is not False else fault.found.latest
            if fault.ended is not None:
                end = fault.ended.latest + 0.5 * HOUR
            begun = fault.found.earliest - 0.5 * HOUR
            standing[k] = (begun <= middle) & (middle <= end)
    return standing


def _unexplained(covered: "Covered", alone: BoolArray) -> list[str]:
    rest = ~alone
    seconds = float(covered.seconds[rest].sum())
    if seconds < _LEAST:
        return []
    mean = float(np.abs(covered.amps[rest]) @ covered.seconds[rest]) / seconds
    cells = {"system": covered.series.system, "mean": mean, "hours": seconds / HOUR}
    return [_SAID["unexplained"].format(**cells)]
