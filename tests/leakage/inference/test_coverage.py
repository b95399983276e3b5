"""Whether intervals hold what they promise: many faults, every mix of readings.

Truth is invented from the prior: resistance (most of it within five decades),
conductor, capacitance, insulation, instruments and eyes. Seed 7 is stated, not chosen.
With ``CORROSION_LONG=1`` 2,000 faults stand alone: the share that an honest 80 %
interval holds has a standard error of 0.9 %, and the bound of 76 to 84 % is four and a
half of them; otherwise a part of them is held to the same bound. Faults that stand
together are invented likewise, each read while those before it stood; half of them
are not written down by conductor, half not tested.
"""

import os
from dataclasses import replace

import numpy as np
import pytest
from leakage.systems import TOOLS

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, BoolArray
from corrosion.leakage.filament import relative_light
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.grid import sample_healthy_system
from corrosion.leakage.inference.infer import infer_fault, sample_resistances
from corrosion.leakage.inference.system_posterior import infer_system
from corrosion.leakage.lamp_pattern import PICTURES, picture_of_light
from corrosion.leakage.network import solve
from corrosion.records.ship import LampSet, Picture, Readings, System

LONG = os.environ.get("CORROSION_LONG") == "1"
ALONE, PAIRS, THREES = (2000, 150, 120) if LONG else (600, 75, 60)
TABLE = Draws(1, 1, default_assumptions())
SYSTEMS = [
    System(
        name="power",
        kind="ac3",
        volts=440.0,
        hertz=60.0,
        capacitance=1.4e-6,
        insulation=4e5,
        lamps=LampSet(volts=127.0, watts=15.0, ratio=2.0),
    ),
    System(name="propulsion", kind="ac3", volts=690.0, hertz=60.0),
    System(
        name="legacy",
        kind="dc2",
        volts=220.0,
        insulation=2e4,
        lamps=LampSet(volts=220.0, watts=25.0),
    ),
    System(name="lighting", kind="ac1", volts=230.0, hertz=50.0, capacitance=0.3e-6),
]


def _drawn(name: str, rng: np.random.Generator) -> float:
    return float(TABLE.lognormal(name, rng.random(1))[0])


def _seen(light: Array, rng: np.random.Generator) -> tuple[Picture, ...]:
    eye = TABLE.lognormal("lamp_eye_factor", rng.random(len(light)))
    codes = picture_of_light(light * eye, TOOLS.law)
    if rng.random() < TABLE.value("lamp_misread_chance"):
        codes = rng.integers(0, 4, len(codes)).astype(codes.dtype)
    elif set(codes) > {2} and rng.random() < TABLE.value("lamp_coarse_chance"):
        codes = np.where(codes == 2, rng.choice([1, 3]), codes)
    return tuple(PICTURES[code] for code in codes)


def _healthy(system: System, rng: np.random.Generator) -> System:
    """Return a system with its true capacitance and insulation."""
    farads, ohms = (
        each[0]
        for each in sample_healthy_system(
            system, Draws(1, int(rng.integers(10**9)), TABLE.assumptions)
        )
    )
    return replace(system, capacitance=float(farads), insulation=float(ohms))


def _fault(system: System, rng: np.random.Generator) -> tuple[str, float]:
    """Return conductor and resistance of a fault."""
    ohms = _drawn("fault_ohm", rng)
    return str(rng.choice(system.conductors)), ohms


def _read(
    truth: System, faults: list[tuple[str, float]], rng: np.random.Generator
) -> Readings:
    """Return what was read of the last of the faults that stand."""
    conductor, ohms = faults[-1]
    meter = float(rng.choice([1e7, 3e3]))
    lit = truth.lamps is not None
    base = solve(truth, faults, lamps=lit)
    read = np.abs(solve(truth, faults, meter=meter, lamps=lit).hull_volts)
    clamp, tester, voltmeter, lamps, named = rng.random(5) < 0.5
    amps = base.fault_amps[-1]
    amps = float(amps if truth.current == "dc" else abs(amps))
    volts = [
        abs(v * _drawn("voltmeter_factor", rng) + 0.5 * rng.standard_normal())
        if rng.random() < 0.7
        else None
        for v in read.tolist()
    ]
    pictures: tuple[Picture, ...] = ()
    if truth.lamps is not None and base.lamp_volts is not None and lamps:
        light = relative_light(base.lamp_volts, rated_volts=truth.lamps.volts)
        pictures = _seen(light, rng)
    return Readings(
        conductor=conductor if named else None,
        amps=amps * _drawn("clamp_factor", rng) + 0.005 * rng.standard_normal()
        if clamp
        else None,
        insulation=ohms
        / _drawn("insulation_tester_factor", rng)
        / _drawn("insulation_test_factor", rng)
        if tester
        else None,
        hull_volts=tuple(volts) if voltmeter else (),
        meter=meter,
        lamps=pictures,
    )


def _invented(system: System, rng: np.random.Generator) -> tuple[float, Readings]:
    """Return a true resistance and what was read of it."""
    truth = _healthy(system, rng)
    fault = _fault(system, rng)
    return fault[1], _read(truth, [fault], rng)


def _held_together(system: System, count: int, rng: np.random.Generator) -> BoolArray:
    """Return which of some faults that stood together are held, shape (count,)."""
    truth = _healthy(system, rng)
    faults: list[tuple[str, float]] = []
    evidence = []
    for k in range(count):
        faults.append(_fault(system, rng))
        read = _read(truth, faults, rng)
        evidence.append(Evidence(readings=(read,), beside=tuple(range(k))))
    draws = Draws(256, 3, TABLE.assumptions)
    farads, ohms = sample_healthy_system(system, draws)
    taught = infer_system(
        system,
        evidence,
        uniform=draws.block("learn", 1)[:, 0],
        capacitance=farads,
        insulation=ohms,
        tools=TOOLS,
    )
    found = sample_resistances(
        system,
        evidence,
        uniform=draws.block("faults", count),
        capacitance=taught.capacitance,
        insulation=taught.insulation,
        tools=TOOLS,
        taught=taught,
    )
    low, high = np.quantile(found.resistance, [0.1, 0.9], axis=0)
    true = np.array([ohms for _, ohms in faults])
    return np.asarray((low <= true) & (true <= high))


def test_eighty_per_cent_intervals_hold_eighty_per_cent_of_the_truth() -> None:
    rng = np.random.default_rng(7)
    held = []
    for k in range(ALONE):
        system = SYSTEMS[k % len(SYSTEMS)]
        truth, readings = _invented(system, rng)
        found = infer_fault(system, readings, samples=256, seed=3).resistance
        low, high = np.quantile(found, [0.1, 0.9])
        held.append(low <= truth <= high)
    assert 0.76 <= np.mean(held) <= 0.84


def test_so_do_those_of_their_currents_however_solid_the_fault() -> None:
    # 400 faults below 1 Ω: there the prior pulls resistances up, and no current with
    # them, since what limits it is the way back. A standard error of 2 %. Where most
    # of an interval hangs on a clamp's last digit, it holds more than it promises.
    rng = np.random.default_rng(7)
    held = []
    for k in range(400):
        system = SYSTEMS[k % len(SYSTEMS)]
        truth = _healthy(system, rng)
        fault = (str(rng.choice(system.conductors)), float(10 ** rng.uniform(-2, 0)))
        readings = _read(truth, [fault], rng)
        amps = solve(truth, [fault], lamps=system.lamps is not None).fault_amps[0]
        found = infer_fault(system, readings, samples=256, seed=3).amps
        low, high = np.quantile(found, [0.1, 0.9])
        held.append(low <= (amps if system.current == "dc" else abs(amps)) <= high)
    assert 0.76 <= np.mean(held) <= 0.84


@pytest.mark.parametrize(("count", "companies"), [(2, PAIRS), (3, THREES)])
def test_so_do_those_of_faults_that_stood_together(count: int, companies: int) -> None:
    # The long run's 300 faults in pairs, 360 in threes: errors of 2.3 and 2.1 %.
    rng = np.random.default_rng(7)
    held = [
        _held_together(SYSTEMS[k % len(SYSTEMS)], count, rng) for k in range(companies)
    ]
    assert 0.76 <= np.mean(held) <= 0.84


@pytest.mark.parametrize("system", SYSTEMS, ids=lambda s: s.name)
def test_so_do_those_of_faults_that_share_a_system(system: System) -> None:
    # 400 faults of a system: a standard error of 2 %, a bound of six of them.
    rng = np.random.default_rng(7)
    cases = [_invented(system, rng) for _ in range(400)]
    draws = Draws(256, 3, TABLE.assumptions)
    farads, ohms = sample_healthy_system(system, draws)
    found = sample_resistances(
        system,
        [readings for _, readings in cases],
        uniform=draws.block("faults", 400),
        capacitance=farads,
        insulation=ohms,
        tools=TOOLS,
    ).resistance
    low, high = np.quantile(found, [0.1, 0.9], axis=0)
    truth = np.array([ohms for ohms, _ in cases])
    assert np.mean((low <= truth) & (truth <= high)) == pytest.approx(0.8, abs=0.12)
