"""Tests of hull.uncertain: what is drawn, and what a berth says of it."""

import numpy as np
import pytest
from ships import berth

from corrosion.foundation import assumptions
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.hull.uncertain import draw_paths, median_paths

PATHS = draw_paths(Draws(1024, 1, default_assumptions()))


@pytest.mark.parametrize(
    ("field", "name"),
    [
        ("interface", "interface_ohm_m2"),
        ("interface_mains", "interface_ac_ohm_m2"),
        ("coating", "coating_ohm_m2"),
        ("shore_earth", "shore_earth_ohm"),
        ("couple", "earth_couple_v"),
    ],
)
def test_each_is_drawn_from_its_own_entry(field: str, name: str) -> None:
    drawn, row = getattr(PATHS, field), assumptions.entry(name)
    assert np.median(drawn) == pytest.approx(row.median, rel=0.03)
    assert np.log(drawn).std() == pytest.approx(np.log(row.geometric_sd), rel=0.1)
    assert getattr(median_paths(), field).item() == pytest.approx(row.median, rel=0.02)


def test_the_interface_is_a_capacitance_to_alternating_current() -> None:
    assert (PATHS.interface_at(0.0) == PATHS.interface).all()
    assert (PATHS.interface_at(60.0) == PATHS.interface_mains).all()
    assert PATHS.interface_at(400.0) * 400.0 == pytest.approx(
        PATHS.interface_at(50.0) * 50.0
    )


def test_a_berth_that_says_nothing_takes_what_was_drawn() -> None:
    blank = berth(None, None, "shore earthed")
    assert (PATHS.shore_earth_at(blank) == PATHS.shore_earth).all()
    assert (PATHS.couple_at(blank) == PATHS.couple).all()
    for supply in ("own", "shore isolated"):
        assert not PATHS.couple_at(berth(None, None, supply)).any()


def test_what_a_berth_says_is_true_within_its_spread() -> None:
    said = berth(None, None, "shore earthed", shore_earth=4.0, earth_couple=-0.2)
    assert np.median(PATHS.shore_earth_at(said)) == pytest.approx(4.0, rel=0.01)
    assert np.median(PATHS.couple_at(said)) == pytest.approx(-0.2, rel=0.01)
    spread = np.log(PATHS.couple_at(said) / -0.2).std()
    assert spread == pytest.approx(
        np.log(assumptions.entry("earth_couple_factor").geometric_sd), rel=0.05
    )


def test_rows_are_rows_of_everything() -> None:
    part = PATHS.rows(slice(8, 20))
    assert (part.structure == PATHS.structure[8:20]).all()
    assert (part.couple_factor == PATHS.couple_factor[8:20]).all()
    assert part.interface.shape == (12,)
