"""Tests of leakage.inference.scenes: what a fault passes in a scene, by hand."""

import numpy as np
import pytest
from ships import AC

from corrosion.leakage.earthing import FLOATING, Tie
from corrosion.leakage.inference.evidence import Perhaps
from corrosion.leakage.inference.grid import GRID
from corrosion.leakage.inference.scenes import Scenes


def test_a_fault_passes_what_two_resistances_in_a_row_do() -> None:
    """440 V through 40 ohm of another on b; 254 V through 1 ohm to an earthed star."""
    quay = Perhaps(1.0, Tie("star", 1.0), None)
    scenes = Scenes(
        healthy=(np.full(2, 1e-12), np.full(2, 1e12)),
        load=np.array([[0.0, 1.0 / 40.0, 0.0], [0.0, 0.0, 0.0]]),
        state=np.array([0, 1]),
        ways=[Perhaps(1.0, FLOATING, None), quay],
    )
    amps = scenes.amps(AC, "a")
    assert amps.shape == (2, 1, len(GRID))
    assert amps[0, 0] == pytest.approx(440.0 / (GRID + 40.0), rel=1e-4)
    assert amps[1, 0] == pytest.approx(440.0 / np.sqrt(3.0) / (GRID + 1.0), rel=1e-4)
    every = scenes.amps(AC, None)
    assert every[:, :1] == pytest.approx(amps)
    assert every[0, 1] == pytest.approx(0.0, abs=1e-6)  # on b itself nothing drives it
