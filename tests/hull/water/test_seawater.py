"""Tests of hull.water.seawater, in the order: published, laws, edges, errors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError, ValidityWarning
from corrosion.hull.water.seawater import resistivity


@settings(deadline=None, max_examples=30)
@given(
    salt=st.floats(2.0, 41.0), warmth=st.floats(-2.0, 39.0), step=st.floats(0.01, 1.0)
)
def test_saltier_and_warmer_water_conducts_better(
    salt: float, warmth: float, step: float
) -> None:
    here = resistivity(salt, warmth)
    assert resistivity(salt + step, warmth) < here
    assert resistivity(salt, warmth + step) < here


def test_broadcasts_and_keeps_unknowns() -> None:
    rho = resistivity([[30.0], [np.nan]], [5.0, 10.0, 15.0])
    assert rho.shape == (2, 3)
    assert np.isnan(rho[1]).all()
    assert (np.diff(rho[0]) < 0.0).all()


@pytest.mark.parametrize(
    ("salt", "warmth", "match"),
    [
        (1.0, 10.0, r"salinity outside 2 to 42 g/kg.*got 1 g/kg"),
        (60.0, 10.0, r"salinity outside 2 to 42 g/kg.*got 60 g/kg"),
        (35.0, 45.0, r"temperature outside -2 to 40 °C.*got 45 °C"),
    ],
)
def test_warns_outside_the_scale(salt: float, warmth: float, match: str) -> None:
    with pytest.warns(ValidityWarning, match=match):
        assert resistivity(salt, warmth) > 0.0


@pytest.mark.parametrize(
    ("salt", "warmth", "match"),
    [
        (0.0, 10.0, r"salinity must be > 0.*got 0 g/kg.*described by its resistivity"),
        (35000.0, 10.0, r"got 35000 g/kg \(1 of 1\)\. Salinity in parts per million"),
        (35.0, 288.0, r"temperature must be.*got 288 °C.*not kelvin"),
    ],
)
def test_refuses_what_no_sea_has(salt: float, warmth: float, match: str) -> None:
    with pytest.raises(InputError, match=match):
        resistivity(salt, warmth)
