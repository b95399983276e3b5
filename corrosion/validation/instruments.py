"""What is read on the day a fault is found: clamps, testers, voltmeters, lamps."""

from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.validation.currents import earth_conductance
from corrosion.validation.life import Life
from corrosion.validation.phasors import pictures, solve
from corrosion.validation.vessels import Supply

Readings = list[dict[str, object]]
"""One mapping a fault: column of faults.csv to what is written there."""

_LAMPS: Final = ("out", "dim", "even", "bright")
_METERS: Final = (1e7, 3e5, 3e3)  # input resistances met aboard [Ω]
_CLAMP_SD, _VOLT_SD = 0.005, 0.5  # A, V
_RANGE = 1000.0  # of a clamp meter [A]; beyond it shows no number


def read(life: Life, which: IntArray) -> tuple[Readings, Array]:
    """Return what is read of faults on finding them, and their true resistance [Ω]."""
    rng = life.nature.rng("instruments")
    faults = life.faults
    rows: Readings = [{} for _ in which]
    ohms = np.empty(len(which))
    meter = float(rng.choice(_METERS, p=[0.7, 0.2, 0.1]))
    for s in range(len(life.vessel.systems)):
        mine = np.flatnonzero(faults.system[which] == s)
        if not len(mine):
            continue
        scene = _Scene(life, s, which[mine], faults.found[which[mine]] + 1.0)
        ohms[mine] = scene.ohms
        for row, written in zip(mine, _written(scene, meter, rng), strict=True):
            rows[row] = written
            if rng.random() < 0.6:
                pole = faults.pole[which[row]]
                rows[row]["conductor"] = scene.system.conductors[pole]
    return rows, ohms


def _written(
    scene: "_Scene", meter: float, rng: np.random.Generator
) -> Iterator[dict[str, object]]:
    """Yield what is written of each fault of a system on its day."""
    system, nature, count = scene.system, scene.nature, len(scene.ohms)
    filled = rng.random((count, 4)) < [0.45, 0.45, 0.35, 0.5]
    error = {
        law: nature.draw(law, count, system.name)
        for law in ("clamp", "tester", "tested_not_served", "voltmeter")
    }
    volts = scene.volts(meter)
    eye = nature.draw("light", count * len(system.conductors), system.name)
    code = scene.lamps(eye.reshape(count, -1))
    noise = rng.standard_normal((count, 4))
    for k in range(count):
        out: dict[str, object] = {}
        if filled[k, 0]:
            seen = scene.amps[k] / error["clamp"][k] + _CLAMP_SD * noise[k, 0]
            shown = clamped(seen if system.direct else abs(seen))
            out |= {"amps": shown} if shown else {}
        if filled[k, 1]:
            off = error["tester"][k] * error["tested_not_served"][k]
            out["insulation_ohm"] = float(f"{scene.ohms[k] / off:.2g}")
        if filled[k, 2]:
            seen = volts[k] / error["voltmeter"][k] + _VOLT_SD * noise[k, 1:]
            _measured(out, seen, system, meter)
        if system.lamps and filled[k, 3]:
            words = [_LAMPS[int(c)] for c in code[k]]
            out |= dict(zip(("lamp_a", "lamp_b", "lamp_c"), words, strict=False))
        yield out


def clamp(life: Life, which: IntArray, at: Array) -> Array:
    """Return true current of faults on given days, in their system's own kind [A].

    Direct current bears its sign; alternating is rms.
    """
    out = np.full(len(which), np.nan)
    for s in range(len(life.vessel.systems)):
        mine = np.flatnonzero(life.faults.system[which] == s)
        if len(mine):
            out[mine] = _Scene(life, s, which[mine], at[mine]).amps
    return out


def clamped(amps: float) -> float | None:
    """Return what a clamp meter shows of a current; None: beyond its range."""
    return round(float(amps), 2) if abs(amps) <= _RANGE else None


def _measured(
    out: dict[str, object], volts: Array, system: Supply, meter: float
) -> None:
    names: Mapping[str, str] = {"+": "pos", "-": "neg"}
    top = 1.08 * system.volts  # what a panel meter of that system shows
    for name, value in zip(system.conductors, volts, strict=False):
        shown = value if system.direct else abs(value)
        column = f"hull_v_{names.get(name, name)}"
        out[column] = float(f"{np.clip(shown, -top, top):.3g}")
    out["meter_ohm"] = meter


class _Scene:
    """A system on the days on which some of its faults were found."""

    def __init__(self, life: Life, s: int, found: IntArray, at: Array) -> None:
        faults = life.faults
        self.system, self.nature = life.vessel.systems[s], life.nature
        same = np.flatnonzero(faults.system == s)
        stood: BoolArray = faults.stood(at)[:, same] | np.equal.outer(found, same)
        ohms = faults.ohms_at(at)[:, same]
        self._all = np.where(stood, ohms, np.inf)
        self._pole = faults.pole[same]
        self._tie = earth_conductance(life.vessel, life.voyages)[life.voyages.at(at), s]
        own = np.searchsorted(same, found)
        rows = np.arange(len(found))
        solved = solve(self.system, self._all, self._pole, earth=self._tie)
        self.ohms = ohms[rows, own]
        phasor = solved.fault_amps[rows, own]
        self.amps = phasor.real if self.system.direct else np.abs(phasor)
        self._lit = solved.volts

    def volts(self, meter: float) -> Array:
        """Return what a voltmeter shows on each conductor in turn, (days, 3) [V]."""
        n = len(self.system.conductors)
        out = np.zeros((len(self._all), 3))
        for c in range(n):
            beside = np.zeros(n, np.complex128)
            beside[c] = 1.0 / meter
            shown = solve(
                self.system, self._all, self._pole, earth=self._tie, beside=beside
            ).volts[:, c]
            out[:, c] = shown.real if self.system.direct else np.abs(shown)
        return out

    def lamps(self, eye: Array) -> Array:
        """Return what each lamp looks like to this eye, a code a conductor."""
        if self.system.lamps is None:
            return np.zeros(eye.shape)
        return pictures(self._lit, self.system.lamps, eye)
