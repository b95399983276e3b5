"""Tests of foundation.sobol against the library whose digits it gives."""

import numpy as np
import pytest
from scipy.stats import qmc

from corrosion.foundation.sobol import MOST, points


@pytest.mark.published(
    source="scipy.stats.qmc.Sobol, numbers of Joe and Kuo 2008",
    where="scrambled points of 1 to 41 columns",
    status="computed",
)
@pytest.mark.parametrize("columns", [*range(1, MOST + 2)])
def test_digits_are_those_of_the_library(columns: int) -> None:
    for power in (0, 1, 7):
        theirs, ours = (np.random.default_rng(5 + power) for _ in range(2))
        expected = qmc.Sobol(columns, scramble=True, rng=theirs).random_base2(power)
        found = points(columns, power, ours)
        assert found.shape == (2**power, columns)
        assert (found == expected).all()
        assert ours.random() == theirs.random()  # and the generator goes on alike


def test_every_column_has_one_point_in_each_interval() -> None:
    found = points(MOST, 8, np.random.default_rng(2))
    cells = np.sort(np.floor(found * 256).astype(int), axis=0)
    assert (cells == np.arange(256)[:, None]).all()
