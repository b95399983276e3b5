"""When sweeps end: what began is forgotten, and the mean stays."""

import numpy as np
import pytest

from corrosion.inspection.calibration.mixing import Mixing

SAMPLES = 512


def swept(memory: float, shift: float = 0.0, far: float = 0.0) -> Mixing:
    """Return what was seen of chains with such a correlation from sweep to sweep.

    Their mean moves by ``shift`` standard deviations a sweep; one sample in fifty
    stands for ever so ``far`` off.
    """
    rng = np.random.default_rng(21)
    mixing = Mixing(least=10, most=32)
    now = rng.normal(size=(SAMPLES, 8))
    off = far * (np.arange(SAMPLES) % 50 == 0)[:, None]
    while not mixing.done(now + off + shift * mixing.sweeps):
        fresh = rng.normal(size=now.shape)
        now = memory * now + np.sqrt(1.0 - memory**2) * fresh
    return mixing


@pytest.mark.parametrize(
    ("memory", "shift", "far", "sweeps", "mixed"),
    [
        (0.5, 0.0, 0.0, 8, True),  # 3 sweeps on: an eighth is left
        (0.8, 0.0, 0.0, 18, True),  # 0.8⁶ = 0.26; 0.41 and 0.51 before
        (0.99, 0.0, 0.0, 32, False),
        (0.5, 0.1, 0.0, 32, False),  # 0.3 standard deviations in the first stretch
        (0.5, 0.0, 20.0, 8, True),  # few that stay far off do not decide
    ],
)
def test_sweeps_end_where_the_start_is_forgotten(
    memory: float, shift: float, far: float, sweeps: int, mixed: bool
) -> None:
    found = swept(memory, shift, far)
    assert (found.sweeps, found.mixed) == (sweeps, mixed)
