"""The log of faults as it is kept: what was found, rounded, and what went missing."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.validation.habits import Habits, coarseness, written_date
from corrosion.validation.instruments import read
from corrosion.validation.life import Life
from corrosion.validation.nature import HOUR, NOW

__all__ = ["Logbook", "keep_log"]

Row = dict[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Logbook:
    """Rows of the fault log, and which faults of the life they are about.

    Attributes
    ----------
    rows : list of dict
        Columns of faults.csv.
    which : ndarray of int
        Fault of the life, a row each.
    ohms : ndarray
        True resistance on being found. [Ω]
    level : ndarray of int
        How coarsely dated: 0 minute to 3 year.
    """

    rows: list[Row]
    which: IntArray
    ohms: Array
    level: IntArray

    def id(self, k: int) -> str:
        """Return the id of a row."""
        return str(self.rows[k]["fault"])


def keep_log(life: Life, habits: Habits) -> Logbook:
    """Return the log of a life.

    Parameters
    ----------
    life : Life
        The truth.
    habits : Habits
        Of the people who write.
    """
    faults, vessel = life.faults, life.vessel
    rng = life.nature.rng("clerk")
    which = np.flatnonzero(faults.found < NOW - 2.0 * HOUR)
    which = which[np.argsort(faults.found[which])]
    readings, ohms = read(life, which)
    end = np.minimum(faults.end[which], NOW)
    hours = (end - faults.began[which]) / HOUR
    level = coarseness(faults.found[which], hours, rng)
    if habits.years_only:
        level = np.full(len(which), 3)
    chance = rng.random((len(which), 4))
    rows: list[Row] = []
    for k, f in enumerate(which):
        circuit = vessel.circuits[faults.circuit[f]]
        coarse = int(level[k])
        row: Row = {
            "fault": f"F-{k + 1:03d}",
            "system": vessel.systems[circuit.system].name,
            "circuit": circuit.name,
            "source": "ground fault",
            "found": written_date(float(faults.found[f]), coarse),
        }
        if chance[k, 0] < 0.85:
            row["zone"] = vessel.plates[faults.plate[f]].zone
        if chance[k, 1] < habits.good and faults.last_good[f] > life.vessel.built:
            row["last_good"] = written_date(float(faults.last_good[f]), coarse)
        if faults.end[f] < NOW and chance[k, 2] < habits.cleared:
            row["cleared"] = written_date(float(faults.end[f]), coarse)
        if faults.end[f] >= NOW:
            row["standing"] = "yes"
        elif "cleared" not in row and chance[k, 3] < 0.5:
            row["standing"] = "no"
        if faults.share[f] < 1.0 and chance[k, 3] < 0.5:
            row["present_percent"] = float(f"{100.0 * faults.share[f]:.1g}")
        rows.append(row | readings[k])
    return Logbook(rows=rows, which=which, ohms=ohms, level=level)
