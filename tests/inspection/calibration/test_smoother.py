"""Tests of calibration.smoother: near what was read, far from what cannot be."""

from dataclasses import replace

import numpy as np
from forward_ships import ship

from corrosion.foundation.types import Array
from corrosion.foundation.units import MM
from corrosion.inspection.calibration.smoother import smoothed


def foreseen(gone: Array | None = None, seed: int = 5) -> tuple[Array, Array, Array]:
    """Return what the samples foresee of each reading, before and after; readings."""
    known = ship(np.random.default_rng(seed), [30.0, 45.0], samples=128)
    rows, prior = known.readings, known.prior.until(2)
    if gone is not None:
        rows = replace(rows, gone=gone)
    state = smoothed(np.random.default_rng(1), known.start, prior, rows)
    before, after = (rows.of_all(one, prior) for one in (known.start, state))
    return before, after, rows.gone


def test_samples_come_near_what_was_read() -> None:
    before, after, read = foreseen()
    near, far = (np.median(np.abs(x.mean(axis=0) - read)) for x in (after, before))
    assert near < 0.6 * far
    assert (after.std(axis=0) < 0.8 * before.std(axis=0)).mean() > 0.8


def test_a_reading_that_cannot_be_pulls_no_plate() -> None:
    # Two plates read fifty millimetres thicker than built: a slip of the pen.
    _, sound, read = foreseen()
    wild = read.copy()
    wild[:2] = -50.0 * MM
    _, after, _ = foreseen(wild)
    assert np.isfinite(after).all()
    moved = np.abs(after.mean(axis=0) - sound.mean(axis=0))[2:] / sound.std(axis=0)[2:]
    assert np.median(moved) < 0.5
    assert after.max() < sound.max() + 3.0 * MM
