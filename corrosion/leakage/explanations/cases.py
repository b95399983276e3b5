"""Cases of one explanation on a grid, and what instruments would show in each."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.leakage.filament import LampLaw, filament_conductance
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.lamp_observation import (
    observation_probability,
    pattern_codes,
)
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.neutral_point import Phasors, conductor_volts
from corrosion.records.ship import Picture, System

_ROUNDS: Final = 80  # of the lamps' fixed point: each takes off half of what is left


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBranch:
    """A conductor of a branch that is open: it floats beside its live neighbours."""

    conductor: int  # position of the conductor that is open
    # shape (cases,): to each other conductor, by capacitance or through a load [S]
    coupling: Phasors
    to_hull: Phasors  # shape (cases,): to the hull [S]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cases:
    """One explanation, tried at many resistances, capacitances and insulations."""

    system: System  # as it is fed
    family: int  # so many cases that follow one another are the parts of one cell
    # shape (cases, c): each conductor to hull, faults included, lamps and meter not [S]
    admittance: Phasors
    # shape (cases,): of it, what is healthy, of each conductor; to tell
    # the insulation from [S]
    healthy: Phasors
    neutral: float  # star point to hull [S]
    poles: tuple[int, ...] = ()  # conductor of each fault
    ohms: Array  # shape (cases, faults): resistance of each fault [Ω]
    # a conductor that is open in the branch that was read
    branch: OpenBranch | None = None
    dark: int | None = None  # conductor whose lamp does not burn, whatever its volts
    # whether all conductors of the branch that was read are open, and discharged
    off: bool = False

    def __len__(self) -> int:
        return len(self.admittance)

    def within(self, values: Array) -> Array:
        """Return how much values vary within the reach of each case.

        Parameters
        ----------
        values : ndarray, shape (cases,)
            Smooth from case to case.

        Returns
        -------
        ndarray, shape (cases,)
            Variance. [unit of values squared]

        Notes
        -----
        A quantity of slope J over a cell of length h varies by (Jh)²/12 within it; its
        two halves lie h/2 apart, with a variance of (Jh)²/16 between them and (Jh)²/48
        within each: a third.
        """
        parts = values.reshape(-1, self.family)
        return np.repeat(parts.var(axis=1) / 3.0, self.family)


def _volts(cases: Cases, admittance: Phasors, law: LampLaw) -> Phasors:
    """Return each conductor to hull with the lamps that burn, shape (cases, c)."""
    lamps, source = cases.system.lamps, cases.system.star_volts
    if lamps is None or cases.dark is None:
        volts, _ = conductor_volts_with_lamps(
            source, admittance, lamps, cases.neutral, law=law
        )
        return volts
    lit = np.arange(admittance.shape[-1]) != cases.dark
    volts = conductor_volts(source, admittance, cases.neutral)
    drawn = np.zeros(admittance.shape)
    for _ in range(_ROUNDS):
        drawn = 0.5 * (drawn + filament_conductance(np.abs(volts), lamps, law) * lit)
        volts = conductor_volts(source, admittance + drawn, cases.neutral)
    return volts


def unloaded_volts(cases: Cases, law: LampLaw) -> Phasors:
    """Return each conductor to hull with no meter connected, shape (cases, c) [V]."""
    return _volts(cases, cases.admittance, law)


def read_volts(
    cases: Cases, conductor: int, to: int | None, meter: float, law: LampLaw
) -> Array:
    """Return what a voltmeter reads in each case.

    Parameters
    ----------
    cases : Cases
    conductor, to : int, int or None
        Between which conductors; ``to`` None: to the hull.
    meter : float
        Input resistance. [Ω]
    law : LampLaw

    Returns
    -------
    ndarray, shape (cases,)
        Magnitude. Between two live conductors it is the line voltage, whatever the
        faults; one that is open follows its neighbours by capacitance, or through a
        load, as far as meter and hull let it. [V]
    """
    if cases.off:
        return np.zeros(len(cases))
    branch, source = cases.branch, cases.system.star_volts
    load = 1.0 / meter
    is_open = branch is not None and branch.conductor in (conductor, to)
    if branch is not None and is_open:
        volts = unloaded_volts(cases, law)
        others = [k for k in range(len(source)) if k != branch.conductor]
        pulled = branch.coupling * volts[:, others].sum(axis=-1)
        total = branch.coupling * len(others) + branch.to_hull + load
        if to is None:
            return np.asarray(np.abs(pulled / total))
        live = volts[:, to if conductor == branch.conductor else conductor]
        return np.asarray(np.abs((pulled + load * live) / total - live))
    if to is not None:
        apart = abs(source[conductor] - source[to])
        return np.full(len(cases), float(apart))
    loaded = cases.admittance.copy()
    loaded[:, conductor] += load
    return np.abs(_volts(cases, loaded, law)[:, conductor])


def lamp_chance(
    cases: Cases, seen: tuple[Picture | None, ...], tools: Instruments
) -> Array:
    """Return the chance that lamps are written down as they were, shape (cases,)."""
    lamps = cases.system.lamps
    if lamps is None:
        return np.ones(len(cases))
    volts = np.abs(unloaded_volts(cases, tools.law))
    if cases.dark is not None:
        volts[:, cases.dark] = 0.0
    codes = pattern_codes(lamps, volts.T[:, None, :], tools.eye, tools.law)[0]
    agrees = observation_probability(seen, tools.law)
    return tools.lamp_likelihood(
        np.asarray(agrees[codes].mean(axis=-1)), float(agrees.mean())
    )
