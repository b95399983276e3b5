"""The log of faults as people keep it: who rounds dates, what goes missing."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.validation.instruments import clamp, clamped, read
from corrosion.validation.life import Life
from corrosion.validation.nature import DAY, HOUR, NOW, YEAR

_FORMS = ("%Y-%m-%d %H:%M", "%Y-%m-%d", "%Y-%m", "%Y")


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """What people write, each a chance unless said."""

    good: float = 0.5  # a fault's last good check
    cleared: float = 0.92  # that a fault was cleared, and when
    years_only: bool = False  # every date of a fault is a year
    campaigns: int = 5  # most gauging campaigns of a life; 0: never gauged
    # a gauging of another plate, misread, or taken from the drawing
    slips: float = 0.03
    dockings: bool = True  # whether any docking or painting is written down
    # whether a recorder writes the current of each system into the hull, on change, for
    # the last two years
    recorder: bool = False


def coarseness(found: Array, hours: Array, rng: np.random.Generator) -> IntArray:
    """Return how coarsely each fault's dates are written: 0 minute, 1 day, 2 month, 3.

    The older an entry and the longer the fault stood, the coarser.
    """
    age = (NOW - found) / YEAR
    blur = 0.45 * np.log10(np.maximum(hours, 1.0)) + 0.05 * age
    blur += 0.4 * rng.standard_normal(len(found))
    return np.digitize(blur, [0.9, 1.7, 2.5]).astype(np.int64)


def written_date(moment: float, level: int) -> str:
    """Return a date as a clerk writes it.

    Parameters
    ----------
    moment : float
        From 1970-01-01. [s]
    level : int
        0 minute, 1 day, 2 month, 3 year.
    """
    days, rest = divmod(moment, 24.0 * HOUR)
    start = datetime.fromordinal(719163 + int(days)).replace(tzinfo=UTC)
    whole = start.replace(hour=int(rest // HOUR), minute=int(rest % HOUR // 60.0))
    return whole.strftime(_FORMS[level])


Row = dict[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Logbook:
    """Rows of the fault log, and which faults of the life they are about."""

    rows: list[Row]  # columns of faults.csv
    which: IntArray  # fault of the life, a row each
    ohms: Array  # true resistance on being found [Ω]
    level: IntArray  # how coarsely dated: 0 minute to 3 year
    # columns of readings.csv: clamped again on another day, direct components of
    # alternating systems, rounds that found nothing
    further: list[Row]
    recorded: list[Row]  # columns of a hull-current log

    def id(self, k: int) -> str:
        """Return the id of a row."""
        return str(self.rows[k]["fault"])


def keep_log(life: Life, habits: Habits) -> Logbook:
    """Return the log of a life."""
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
        coarse = int(level[k])
        row = _entry(life, int(f), coarse) | {"fault": f"F-{k + 1:03d}"}
        if chance[k, 0] < 0.85:
            row["zone"] = vessel.plates[faults.plate[f]].zone
        if chance[k, 1] < habits.good and faults.last_good[f] > vessel.built:
            row["last_good"] = written_date(float(faults.last_good[f]), coarse)
        if faults.end[f] < NOW and chance[k, 2] < habits.cleared:
            row["cleared"] = written_date(float(faults.end[f]), coarse)
        elif faults.end[f] >= NOW:
            row["standing"] = "yes"
        elif chance[k, 3] < 0.5:
            row["standing"] = "no"
        rows.append(row | readings[k])
    further = [*_again(life, which, rows), *_rounds(life)]
    return Logbook(
        rows=rows,
        which=which,
        ohms=ohms,
        level=level,
        further=further,
        recorded=list(_recorded(life)) if habits.recorder else [],
    )


def _entry(life: Life, f: int, coarse: int) -> Row:
    """Return what every entry says."""
    faults, vessel = life.faults, life.vessel
    circuit = vessel.circuits[faults.circuit[f]]
    row: Row = {
        "fault": "",
        "system": vessel.systems[circuit.system].name,
        "circuit": circuit.name,
        "source": "ground fault",
        "found": written_date(float(faults.found[f]), coarse),
    }
    if faults.share[f] < 1.0:
        row["present_percent"] = float(f"{100.0 * faults.share[f]:.1g}")
    return row


def _again(life: Life, which: IntArray, rows: list[Row]) -> Iterator[Row]:
    """Yield clamp readings of another day, and those of a direct component."""
    faults, rng = life.faults, life.nature.rng("again")
    end = np.minimum(faults.end[which], NOW)
    later = faults.found[which] + rng.uniform(0.1, 0.9, len(which)) * (
        end - faults.found[which]
    )
    amps = clamp(life, which, later) / life.nature.draw("clamp", len(which), "again")
    piece = np.searchsorted(life.currents.start, later, side="right") - 1
    chance = rng.random((len(which), 2))
    for k, f in enumerate(which):
        row = {"time": written_date(float(later[k]), 0), "system": rows[k]["system"]}
        row |= {"fault": rows[k]["fault"]}
        shown = clamped(amps[k])
        lasted = end[k] - faults.found[f] > 2.0 * DAY
        if chance[k, 0] < 0.3 and lasted and shown is not None:
            direct = life.vessel.systems[faults.system[f]].direct
            yield row | {"amps": shown, "current": "dc" if direct else "ac"}
        if chance[k, 1] < 0.4 and faults.direct_v[f] > 0.0:
            shown = round(float(life.currents.dc[piece[k], f]), 3)
            yield row | {"amps": shown, "current": "dc"}


def _rounds(life: Life) -> Iterator[Row]:
    """Yield a few rounds of healthy systems: checks that found nothing."""
    rng = life.nature.rng("rounds")
    moments = rng.uniform(max(life.voyages.log_begins, NOW - 5.0 * YEAR), NOW - DAY, 12)
    stood = life.faults.stood(moments)
    for k, moment in enumerate(moments):
        for s, system in enumerate(life.vessel.systems):
            if not (stood[k] & (life.faults.system == s)).any():
                yield {"time": written_date(float(moment), 0), "system": system.name}


def _recorded(life: Life) -> Iterator[Row]:
    """Yield what recorders write: a row whenever a system's current has changed."""
    flown, faults = life.currents, life.faults
    edge = np.clip(flown.start, max(life.voyages.log_begins, NOW - 2.0 * YEAR), NOW)
    last = np.append(edge[1:], NOW) > edge  # of pieces cut to one moment
    gain = life.nature.draw("clamp", len(life.vessel.systems), "recorder")
    for s, system in enumerate(life.vessel.systems):
        flow = flown.dc if system.direct else flown.ac
        amps = (flow * faults.share)[:, faults.system == s].sum(axis=1)[last] / gain[s]
        shown = np.round(amps.real if system.direct else np.abs(amps), 3)
        new = np.append(True, np.diff(shown) != 0.0)
        moments = np.append(edge[last][new], NOW - HOUR)
        for moment, value in zip(moments, [*shown[new], shown[-1]], strict=True):
            yield {
                "time": f"{written_date(float(moment), 0)}Z",
                "system": system.name,
                "amps": value,
                "current": "dc" if system.direct else "ac",
            }
