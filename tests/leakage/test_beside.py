"""Tests of leakage.beside and inference.scenes: who stood while a fault was read."""

from dataclasses import replace

import numpy as np
import pytest
from ships import AC, fault, ship

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.leakage.beside import Beside, Known
from corrosion.leakage.conditions import evidence_for_system
from corrosion.leakage.fault_unknowns import sample_faults
from corrosion.leakage.inference.evidence import Perhaps
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.single import FaultSamples
from corrosion.records.dates import as_written
from corrosion.records.ship import Fault, Ship

AS_OF = as_written("2020").earliest
SAMPLES = 128


def beside(*faults: Fault) -> Beside:
    one = ship(faults=faults)
    draws = Draws(SAMPLES, 1, one.assumptions)
    return Beside.of(one, AC, evidence_for_system(one, AC), draws)


def stands(name: str, found: str, **more: object) -> Fault:
    return replace(fault(name, found, **more), standing=True)  # type: ignore[arg-type]


def test_those_of_whom_it_is_certain_who_stood_are_left_to_the_joint_inference() -> (
    None
):
    early, late = "2010-03-04 10:00", "2010-03-06 10:00"
    pair = stands("A", early, amps=0.2), stands("B", late, amps=0.3)
    assert beside(*pair).uncertain() == []
    apart = fault("A", early, "2010-03-05 10:00", amps=0.2), pair[1]
    assert beside(*apart).uncertain() == []
    # cleared on the day on which the other was found: before or after it
    day = fault("A", early, "2010-03-06", amps=0.2), pair[1]
    assert beside(*day).uncertain() == [0, 1]
    # an insulation test of one branch sees no other fault
    tested = stands("B", "2010-03-06", insulation=1e3)
    assert beside(day[0], tested).uncertain() == []
    crowd = [stands(f"F{k}", f"2010-03-{k + 1:02d} 10:00", amps=0.2) for k in range(9)]
    assert beside(*crowd).uncertain() == list(range(9))


def test_a_scene_holds_what_stood_on_its_conductor() -> None:
    both = (
        stands("A", "2010-03-04 10:00", conductor="b", insulation=100.0),
        stands("B", "2010-03-04 12:00", amps=0.3),
    )
    found = FaultSamples(
        resistance=np.full((SAMPLES, 2), 100.0),
        pole=np.tile(np.array([1, 2]), (SAMPLES, 1)),
    )
    healthy = np.full(SAMPLES, 1e-6), np.full(SAMPLES, 1e6)
    seen = beside(*both)
    known = Known(found, healthy, Instruments.of(seen.ship.assumptions), 2)
    scenes, _ = seen.scenes(1, seen.read[:, 1], [Perhaps(1.0, AC_TIE, None)], known)
    load = scenes.load
    assert (load[:, [0, 2]] == 0.0).all()
    # two hours apart the resistance has wandered by little: 100 ohm on conductor b
    assert np.median(1.0 / load[:, 1]) == pytest.approx(100.0, rel=0.1)
    assert np.log(load[:, 1]).std() == pytest.approx(
        seen.said.wander.between(7200.0), rel=0.2
    )
    before, _ = seen.scenes(0, seen.read[:, 0], [Perhaps(1.0, AC_TIE, None)], known)
    assert (before.load == 0.0).all()  # B was not found yet


AC_TIE = evidence_for_system(ship(faults=(stands("A", "2010"),)), AC).evidence[0].tie


def crowded_ship(seed: int) -> tuple[Ship, Array]:
    """Return a ship whose faults were clamped with others standing, and the truth.

    Currents by hand: the star point of a floating system lies where what the healthy
    conductors and all faults lead to the hull balances.
    """
    rng = np.random.default_rng(seed)
    count = 10
    ohms = np.exp(rng.normal(np.log(300.0), 2.0, count))
    pole = rng.integers(0, 3, count)
    farads = (AC.capacitance or 0.0) * np.exp(rng.normal(0.0, 0.25))
    insulation = (AC.insulation or 0.0) * np.exp(rng.normal(0.0, 0.5))
    phase = AC.volts / np.sqrt(3.0) * np.exp(-2j * np.pi * np.arange(3) / 3.0)
    y = np.full(3, 1.0 / insulation + 2j * np.pi * AC.hertz * farads)
    faults = []
    for k in range(count):
        y = y + (np.arange(3) == pole[k]) / ohms[k]
        star = -(phase @ y) / y.sum()
        amps = abs(phase[pole[k]] + star) / ohms[k]
        read = {"amps": round(amps * np.exp(rng.normal(0.0, 0.03)), 3)}
        if rng.random() < 0.5:
            read["insulation"] = float(ohms[k] * np.exp(rng.normal(0.0, 0.7)))
        faults.append(stands(f"F{k}", f"2010-03-{1 + k // 2:02d}", **read))
    one = ship(faults=tuple(faults))
    table = one.assumptions
    for name in ("fault_ohm_wander", "fault_ohm_wander_year"):
        table = table.override(name, median=1.0)  # nor do they move in truth
    return replace(one, assumptions=table), ohms


def test_resistances_read_in_a_crowd_are_held_as_promised() -> None:
    ranks = []
    for seed in range(8):
        one, truth = crowded_ship(seed)
        found = sample_faults(one, Draws(SAMPLES, seed, one.assumptions), as_of=AS_OF)
        ranks.append((found.resistance < truth).mean(axis=0))
    rank = np.concatenate(ranks)
    held = np.mean((rank > 0.1) & (rank < 0.9))
    assert 0.68 < held < 0.92  # 80 %, two standard errors of 80 faults and a little
    assert rank.mean() == pytest.approx(0.5, abs=0.1)
