"""Tests of hull.inverse: against LAPACK."""

import numpy as np
import pytest

from corrosion.hull.inverse import symmetric_inverse


@pytest.mark.parametrize("count", [1, 2, 7, 8, 15, 25, 40])
def test_as_lapack_has_it(count: int) -> None:
    """Resistances over six decades: water and plating, and contacts on the diagonal."""
    rng = np.random.default_rng(count)
    root = rng.normal(size=(16, count, count))
    contact = 10.0 ** rng.uniform(-3.0, 3.0, (16, count, 1)) * np.eye(count)
    matrices = root @ root.swapaxes(1, 2) + contact
    found, known = symmetric_inverse(matrices), np.linalg.inv(matrices)
    scale = np.abs(known).max(axis=(1, 2), keepdims=True)
    assert np.abs(found - known).max() <= 1e-9 * scale.max()
    assert (np.abs(found - known) <= 1e-9 * scale).all()
