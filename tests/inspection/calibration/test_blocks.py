"""Samples moved in blocks: the same whoever does it, each a calibration of its own."""

import sys
import threading
from dataclasses import fields, replace

import numpy as np
import pytest
from forward_ships import Invented, ship

from corrosion.foundation import parallel
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.inspection.calibration import blocks
from corrosion.inspection.calibration.blocks import move_in_blocks
from corrosion.inspection.calibration.rate_model import OWN, RateState
from corrosion.inspection.calibration.sampler import Moved, move_samples

SAMPLES, FEWEST = 160, 64  # three blocks, of 53, 53 and 54
LAST = slice(106, None)


@pytest.fixture
def known(monkeypatch: pytest.MonkeyPatch) -> Invented:
    monkeypatch.setattr(blocks, "FEWEST", FEWEST)
    return ship(np.random.default_rng(3), [30.0, 45.0, 58.0], samples=SAMPLES)


def moved(known: Invented) -> Moved:
    prior = known.prior.until(known.start.zones.shape[2] - OWN)
    draws = Draws(SAMPLES, 1, default_assumptions())
    return move_in_blocks(draws, known.start, prior, known.readings, more=1)


def same(one: RateState, other: RateState) -> bool:
    pairs = ((getattr(one, a.name), getattr(other, a.name)) for a in fields(one))
    return all(a.tobytes() == b.tobytes() and a.strides == b.strides for a, b in pairs)


@pytest.mark.skipif(sys.platform != "linux", reason="children are had on Linux alone")
def test_children_and_threads_move_to_the_same_bits(
    known: Invented, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = moved(known)
    monkeypatch.setitem(parallel._allowed, "children", True)
    monkeypatch.setattr(parallel, "_CORES", 2)
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    there = moved(known)
    assert len(here.earlier) == len(there.earlier) == 1
    assert same(here.state, there.state)
    assert same(here.earlier[0], there.earlier[0])
    assert here.wrong.tobytes() == there.wrong.tobytes()


def test_a_block_knows_nothing_of_another(known: Invented) -> None:
    first = moved(known).state
    start = replace(known.start, zones=known.start.zones.copy())
    start.zones[LAST, :, 0] += 0.1
    other = moved(replace(known, start=start)).state
    ahead = slice(LAST.start)
    assert same(first.of_samples(ahead), other.of_samples(ahead))
    assert not same(first.of_samples(LAST), other.of_samples(LAST))


def test_blocks_are_told_of_together(known: Invented) -> None:
    found = moved(known)
    prior = known.prior.until(known.start.zones.shape[2] - OWN)
    draws = Draws(SAMPLES, 1, default_assumptions())
    edges = [0, 53, 106, SAMPLES]
    alone = [
        move_samples(
            draws.generator("calibration" if k == 0 else f"calibration {k}"),
            known.start.of_samples(slice(edges[k], edges[k + 1])),
            prior,
            known.readings.of_samples(slice(edges[k], edges[k + 1])),
            more=1,
        )
        for k in range(3)
    ]
    assert found.sweeps == max(one.sweeps for one in alone)
    assert found.mixed == all(one.mixed for one in alone)
    wrong = sum(n * one.wrong for n, one in zip((53, 53, 54), alone, strict=True))
    assert found.wrong == pytest.approx(wrong / SAMPLES, abs=1e-12)
    assert np.array_equal(found.state.zones[LAST], alone[2].state.zones)


def test_up_to_so_many_samples_are_one_block(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blocks, "FEWEST", SAMPLES)
    known = ship(np.random.default_rng(3), [30.0, 45.0, 58.0], samples=SAMPLES)
    prior = known.prior.until(known.start.zones.shape[2] - OWN)
    rng = Draws(SAMPLES, 1, default_assumptions()).generator("calibration")
    alone = move_samples(rng, known.start, prior, known.readings, more=1)
    assert same(moved(known).state, alone.state)


def test_there_are_four_blocks_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blocks, "FEWEST", 8)
    sizes: list[int] = []

    def listened(rng, start, *given, **more):  # type: ignore[no-untyped-def]
        sizes.append(len(start.slips))
        return move_samples(rng, start, *given, **more)

    monkeypatch.setattr(blocks, "move_samples", listened)
    moved(ship(np.random.default_rng(3), [30.0, 45.0, 58.0], samples=SAMPLES))
    assert sizes == [40, 40, 40, 40]
