"""What a crew writes down of a truth: instruments that err, eyes, round figures."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation import assumptions
from corrosion.foundation.sampling import lognormal
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import MILLIAMPERE, MM
from corrosion.history.inputs import Books, Case
from corrosion.inspection.calibration.calibrate import predicted_thickness
from corrosion.leakage.conditions import AFLOAT, is_earthed
from corrosion.leakage.fault_currents import leaks
from corrosion.leakage.lamp_load import conductor_volts_with_lamps, relative_light
from corrosion.leakage.lamp_pattern import PICTURES, picture_of_light
from corrosion.leakage.network import metered_volts
from corrosion.leakage.neutral_point import Phasors, healthy_admittance
from corrosion.records.ship import Berth, Fault, Gauging, Picture, Readings, System

__all__ = ["Log", "gauge", "read_faults"]

_OFTEN = np.array([0.6, 0.4, 0.4, 0.3, 0.4])  # how often each column is filled in
_METERS = (1e7, 3e5, 3e3)  # one a ship [Ω]
_CLAMP_STEP, _VOLT_STEP, _GAUGE_STEP = 0.01, 1.0, 0.1 * MM  # last digits: A, V, m


@dataclass(frozen=True, slots=True)
class Log:
    """The log of faults, and the true currents of those that were clamped.

    Attributes
    ----------
    faults : tuple of Fault
        As written.
    amps : ndarray, shape (1, faults)
        True current; NaN where the network tells. [A]
    """

    faults: tuple[Fault, ...]
    amps: Array


def read_faults(case: Case, rng: np.random.Generator) -> Log:
    """Return the log as a crew writes it on finding each fault.

    Parameters
    ----------
    case : Case
        One sample of everything: the truth.
    rng : numpy.random.Generator
        For instruments, eyes, and what is not looked at.

    Returns
    -------
    Log
        Faults in file order.
    """
    amps = case.faults.amps.copy()
    meter = float(rng.choice(_METERS))
    written = []
    for k, fault in enumerate(case.ship.faults):
        if fault.system is None:
            written.append(fault)
            continue
        scene = _Scene.of(case, k)
        readings = scene.read(meter, rng)
        if readings.amps is not None:
            amps[0, k] = scene.amps
        written.append(replace(fault, readings=readings))
    return Log(tuple(written), amps)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scene:
    """One fault at the moment it was found: the network as it was."""

    system: System
    pole: int
    ohms: float
    amps: float  # true current into the steel [A]
    admittance: Phasors  # conductor to hull, shape (c,), without the lamps
    tie: float

    @classmethod
    def of(cls, case: Case, k: int) -> "_Scene":
        ship, truth = case.ship, case.faults
        system = ship.system(ship.faults[k].system or "")
        at = truth.spans.found[0, k]
        began, ended = truth.spans.began[0], truth.spans.ended[0]
        stood = (began <= at) & (at < ended)
        stood[k] = True
        mine = [f.system == system.name for f in ship.faults]
        standing: IntArray = np.flatnonzero(stood & mine)
        berth = _berth(case, at)
        earth = case.paths.shore_earth_at(berth)
        (leak,) = leaks(
            ship,
            truth,
            berth,
            active=np.ones((1, 1, len(standing)), np.bool_),
            standing=standing,
            rows=slice(0, 1),
            shore_earth=earth,
        )
        through = leak.amps[0, 0, int(np.flatnonzero(standing == k)[0])]
        y = healthy_admittance(
            system,
            capacitance=np.full(len(system.conductors), truth.capacitance[system.name]),
            insulation=truth.insulation[system.name],
        )
        np.add.at(y, truth.pole[0, standing], 1.0 / truth.resistance[0, standing])
        tie = 0.0
        if is_earthed(system, berth):
            cable = 0.0 if berth.earth_cable is None else 1.0 / berth.earth_cable
            tie = 1.0 / float(earth[0]) + cable
        return cls(
            system=system,
            pole=int(truth.pole[0, k]),
            ohms=float(truth.resistance[0, k]),
            amps=float(through.real if system.current == "dc" else abs(through)),
            admittance=y,
            tie=tie,
        )

    def read(self, meter: float, rng: np.random.Generator) -> Readings:
        """Return what is written down of it: some instruments, some blanks."""
        named, clamp, tester, voltmeter, looked = rng.random(5) < _OFTEN
        return Readings(
            conductor=self.system.conductors[self.pole] if named else None,
            amps=self._clamped(rng) if clamp else None,
            insulation=self._tested(rng) if tester else None,
            hull_volts=self._volts(meter, rng) if voltmeter else (),
            meter=meter,
            lamps=self._lamps(rng) if looked else (),
        )

    def _clamped(self, rng: np.random.Generator) -> float:
        blur = assumptions.value("clamp_resolution_ma") * MILLIAMPERE
        shown = self.amps / _drawn("clamp_factor", rng)
        read = _last_digit(shown, blur, _CLAMP_STEP, rng)
        return abs(read) if self.system.current == "ac" else read

    def _tested(self, rng: np.random.Generator) -> float:
        shown = self.ohms / _drawn("insulation_tester_factor", rng)
        return float(f"{shown:.2g}")

    def _volts(self, meter: float, rng: np.random.Generator) -> tuple[float, ...]:
        lamps, blur = self.system.lamps, assumptions.value("voltmeter_resolution_v")
        volts = metered_volts(
            self.system, self.admittance, meter, lamps=lamps, tie=self.tie
        )
        return tuple(
            abs(_last_digit(v / _drawn("voltmeter_factor", rng), blur, _VOLT_STEP, rng))
            for v in np.abs(volts).tolist()
        )

    def _lamps(self, rng: np.random.Generator) -> tuple[Picture, ...]:
        lamps = self.system.lamps
        if lamps is None:
            return ()
        volts, _ = conductor_volts_with_lamps(
            self.system.star_volts, self.admittance, lamps, self.tie
        )
        light = relative_light(np.abs(volts) / lamps.ratio, rated_volts=lamps.volts)
        eye = lognormal("lamp_eye_factor", rng.random(len(light)))
        codes = picture_of_light(light * eye)
        if rng.random() < assumptions.value("lamp_misread_chance"):
            codes = rng.integers(0, len(PICTURES), len(codes))
        elif set(codes) > {2} and rng.random() < assumptions.value(
            "lamp_coarse_chance"
        ):
            codes = np.where(codes == 2, rng.choice([1, 3]), codes)
        return tuple(PICTURES[code] for code in codes)


def gauge(
    case: Case,
    books: Books,
    departure: Callable[[float], Array],
    rng: np.random.Generator,
) -> tuple[Gauging, ...]:
    """Return the gaugings as measured.

    Parameters
    ----------
    case, books : Case, Books
        The truth.
    departure : callable
        Of each zone from the model at a moment, shape (1, zones). [m]
    rng : numpy.random.Generator
        For the instrument.

    Returns
    -------
    tuple of Gauging
        In file order.
    """
    true = predicted_thickness(case, books)[0]
    blank, allowance = (
        assumptions.value(name) * MM for name in ("gauging_sd_mm", "model_sd_mm")
    )
    rows = []
    for row, plate in zip(case.ship.gaugings, true, strict=True):
        sd = blank if row.sd is None else row.sd
        blur = (
            np.hypot(sd, allowance) if row.kind == "least" else sd / row.readings**0.5
        )
        away = departure(row.date.middle)[0, case.ship.zone_index(row.zone)]
        read = _last_digit(plate + away, blur, _GAUGE_STEP, rng)
        rows.append(replace(row, thickness=round(read / MM, 1) * MM))
    return tuple(rows)


def _berth(case: Case, moment: float) -> Berth:
    """Return how she truly lay at a moment."""
    for period in case.periods:
        if period.start[0] <= moment < period.end[0]:
            return period.berth
    return AFLOAT


def _drawn(name: str, rng: np.random.Generator) -> float:
    return float(lognormal(name, rng.random(1))[0])


def _last_digit(
    shown: float, blur: float, step: float, rng: np.random.Generator
) -> float:
    """Return a reading rounded to its last digit, all told uncertain by ``blur``."""
    other = np.sqrt(max(blur**2 - step**2 / 12.0, 0.0))
    steps = round(float((shown + other * rng.standard_normal()) / step))
    return float(f"{steps * step:.12g}")
