"""Amperes into the steel, in each stretch of constant state.

A measured current is taken as measured. Every other fault of a system is solved
together with those that stand beside it, from the resistance that its readings leave
possible.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

import numpy as np

from corrosion.foundation.sampling import Draws, lognormal
from corrosion.foundation.types import Array, BoolArray, ComplexArray, IntArray
from corrosion.foundation.units import MAINS
from corrosion.leakage.conditions import evidence_for_system, is_earthed
from corrosion.leakage.inference.infer import sample_healthy_system, sample_resistances
from corrosion.leakage.inference.likelihood import Instruments, clear_caches
from corrosion.leakage.inference.system_posterior import infer_system
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.neutral_point import conductor_volts, healthy_admittance
from corrosion.leakage.standing_times import (
    FAULT_COLUMNS,
    FaultIntervals,
    fault_intervals,
)
from corrosion.records.ship import Berth, Current, Ship, System

__all__ = [
    "FaultUnknowns",
    "SystemCurrents",
    "fault_currents",
    "returns_ashore",
    "sample_faults",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultUnknowns:
    """All that is not known for certain about the faults, a sample a row.

    Attributes
    ----------
    spans : FaultIntervals
        When each stood.
    resistance : ndarray, shape (samples, faults)
        Resistance of the fault; NaN where no network drives it. [Ω]
    amps : ndarray, shape (samples, faults)
        Current as measured, true to the clamp's tolerance, and of a ground fault to
        its last digit; direct current is positive into the steel; NaN where not
        measured. [A]
    pole : ndarray of int, shape (samples, faults)
        Position of the conductor that touches the hull.
    trip : ndarray, shape (samples, faults)
        The most that an earthed supply carries through a fault without tripping. [A]
    place : ndarray, shape (samples, faults)
        Uniform number that says where in the ship a fault is that was not found. [-]
    capacitance, insulation : mapping of str to ndarray, shape (samples,)
        Each conductor of each system to hull, healthy. [F], [Ω]
    """

    spans: FaultIntervals
    resistance: Array
    amps: Array
    pole: IntArray
    trip: Array
    place: Array
    capacitance: Mapping[str, Array]
    insulation: Mapping[str, Array]


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemCurrents:
    """Currents into the steel from one system during a slab of time.

    Attributes
    ----------
    current : {'ac', 'dc'}
        Kind.
    hertz : float
        Frequency; 0 for direct current. [Hz]
    faults : ndarray of int, shape (leaking,)
        Positions in ``ship.faults``.
    amps : ndarray, shape (samples, stretches, leaking)
        Into the steel; complex rms phasors for alternating current. [A]
    lamps : ndarray, shape (samples, stretches) or None
        From the conductors through the detector lamps into the hull at the
        switchboard. [A]
    system : System or None
        None: currents of no system of hers.
    """

    current: Current
    hertz: float
    faults: IntArray
    amps: Array | ComplexArray
    lamps: Array | ComplexArray | None
    system: System | None


def sample_faults(ship: Ship, draws: Draws) -> FaultUnknowns:
    """Return samples of everything unknown about the faults of a ship."""
    uniform = np.empty((draws.samples, len(ship.faults), len(FAULT_COLUMNS)))
    for k, fault in enumerate(ship.faults):
        uniform[:, k] = draws.block(f"fault {fault.fault}", len(FAULT_COLUMNS))
    column = {name: uniform[:, :, k] for k, name in enumerate(FAULT_COLUMNS)}
    measured = [fault.readings.amps for fault in ship.faults]
    clamp = np.array([np.nan if a is None else a for a in measured])
    resistance = np.full(uniform.shape[:2], np.nan)
    pole = np.zeros(uniform.shape[:2], dtype=np.int64)
    capacitance, insulation = {}, {}
    for system in ship.systems:
        mine, readings = evidence_for_system(ship, system)
        healthy = sample_healthy_system(system, draws)
        taught = infer_system(
            system,
            readings,
            uniform=draws.block(f"learn {system.name}", 1)[:, 0],
            capacitance=healthy[0],
            insulation=healthy[1],
        )
        capacitance[system.name] = taught.capacitance
        insulation[system.name] = taught.insulation
        found = sample_resistances(
            system,
            readings,
            uniform=column["ohms"][:, mine],
            capacitance=taught.capacitance,
            insulation=taught.insulation,
            looks=taught.looks,
        )
        resistance[:, mine], pole[:, mine] = found.resistance, found.pole
    clear_caches()
    return FaultUnknowns(
        spans=fault_intervals(ship, uniform),
        resistance=resistance,
        amps=np.where(
            [fault.source == "ground fault" for fault in ship.faults],
            Instruments.stated().measured(clamp, column["amps"]),
            clamp * lognormal("clamp_factor", column["amps"]),
        ),
        pole=pole,
        trip=lognormal("sustained_earthed_amps", column["trip"]),
        place=column["zone"].copy(),  # without all else that was drawn with it
        capacitance=capacitance,
        insulation=insulation,
    )


def returns_ashore(ship: Ship, berth: Berth) -> BoolArray:
    """Return which faults' currents return ashore at a berth, shape (faults,).

    As each fault's record says; where it is blank, ashore on an earthed shore supply
    that feeds the fault's system, else aboard.
    """
    shore = berth.supply == "shore earthed"
    fed = {system.name: system.fed_from_shore for system in ship.systems}
    return np.array(
        [
            shore and fed.get(fault.system or "", True)
            if fault.returns is None
            else fault.returns == "ashore"
            for fault in ship.faults
        ],
        dtype=np.bool_,
    )


def fault_currents(  # noqa: PLR0913 - a slab of time is ship, unknowns, berth and who stands
    ship: Ship,
    unknowns: FaultUnknowns,
    berth: Berth,
    *,
    active: BoolArray,
    standing: IntArray,
    rows: slice,
    shore_earth: Array,
) -> list[SystemCurrents]:
    """Return the currents into the steel in each stretch of a slab.

    Parameters
    ----------
    ship : Ship
        The ship.
    unknowns : FaultUnknowns
        Samples of what is not known about her faults.
    berth : Berth
        How she lies.
    active : ndarray of bool, shape (samples, stretches, standing)
        Which faults stand in each stretch.
    standing : ndarray of int, shape (standing,)
        Positions in ``ship.faults``.
    rows : slice
        Which samples of ``unknowns``.
    shore_earth : ndarray, shape (samples,)
        Shore earth of this berth to remote earth. [Ω]

    Returns
    -------
    list of SystemCurrents
        One a system that leaks, and one for each kind of other current.
    """
    found: list[SystemCurrents] = []
    here = [ship.faults[k] for k in standing]
    for system in ship.systems:
        mine = [
            i
            for i, fault in enumerate(here)
            if fault.source == "ground fault" and fault.system == system.name
        ]
        if mine:
            tie = _tie(system, berth, shore_earth)
            found.append(
                _solved(system, unknowns, active[:, :, mine], standing[mine], rows, tie)
            )
    for kind in get_args(Current):
        mine = [
            i
            for i, fault in enumerate(here)
            if fault.source != "ground fault" and fault.current == kind
        ]
        if mine:
            amps = active[:, :, mine] * unknowns.amps[rows, None, standing[mine]]
            found.append(
                SystemCurrents(
                    current=kind,
                    hertz=0.0 if kind == "dc" else MAINS,
                    faults=standing[mine],
                    amps=amps if kind == "dc" else amps.astype(np.complex128),
                    lamps=None,
                    system=None,
                )
            )
    return found


def _tie(system: System, berth: Berth, shore_earth: Array) -> Array:
    """Return the admittance of star point to hull in each sample [S]."""
    if not is_earthed(system, berth):
        return np.zeros(len(shore_earth))
    cable = 0.0 if berth.earth_cable is None else 1.0 / berth.earth_cable
    return 1.0 / shore_earth + cable


def _solved(
    system: System,
    unknowns: FaultUnknowns,
    active: BoolArray,
    faults: IntArray,
    rows: slice,
    tie: Array,
) -> SystemCurrents:
    """Solve the faults of one system that stand together, in every stretch."""
    conductance = active / unknowns.resistance[rows, None, faults]  # (s, K, F)
    pole = unknowns.pole[rows, faults]
    on = (pole[:, :, None] == np.arange(len(system.conductors))).astype(np.float64)
    healthy = healthy_admittance(
        system,
        capacitance=unknowns.capacitance[system.name][rows],
        insulation=unknowns.insulation[system.name][rows],
    )
    admittance = conductance @ on + np.reshape(healthy, (-1, 1, 1))
    earthed = tie[:, None]
    lamps: Array | ComplexArray | None = None
    if system.lamps is None:
        volts = conductor_volts(system.star_volts, admittance, earthed)
    else:
        volts, lit = conductor_volts_with_lamps(
            system.star_volts, admittance, system.lamps, earthed
        )
        lamps = (volts * lit).sum(axis=-1)
    at_fault = np.take_along_axis(volts, pole[:, None, :], axis=2)
    amps = at_fault * conductance
    if tie.any():  # an earthed supply trips on more: such a fault did not stand
        most = unknowns.trip[rows, None, faults]
        amps = amps * (most / np.maximum(np.abs(amps), most))
    clamp = unknowns.amps[rows, None, faults]
    measured = np.where(np.isnan(clamp), 0.0, clamp) * active
    if system.current == "ac":
        size = np.abs(at_fault)
        turn = np.divide(at_fault, size, out=np.ones_like(at_fault), where=size > 0.0)
        measured = measured * turn
    return SystemCurrents(
        current=system.current,
        hertz=system.hertz,
        faults=faults,
        amps=np.where(np.isnan(clamp), amps, measured),
        lamps=lamps,
        system=system,
    )
