"""Tests of hull.uncertain: what is drawn, and what a berth says of it."""

import numpy as np
import pytest
from ships import berth

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.hull.uncertain import draw_paths, median_paths
from corrosion.records.kinds import EarthMetal

PATHS = draw_paths(Draws(1024, 1, default_assumptions()))


@pytest.mark.parametrize(
    ("field", "name"),
    [
        ("interface", "interface_ohm_m2"),
        ("interface_mains", "interface_ac_ohm_m2"),
        ("coating", "coating_ohm_m2"),
        ("shore_earth", "shore_earth_ohm"),
    ],
)
def test_each_is_drawn_from_its_own_entry(field: str, name: str) -> None:
    drawn, row = getattr(PATHS, field), default_assumptions()[name]
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
    assert not PATHS.couple_at(berth(None, None, "own")).any()
    for supply in ("shore earthed", "shore isolated"):
        none = berth(None, None, supply, earth_none=True)
        assert not PATHS.couple_at(none).any()
        assert not PATHS.earth_conductance_at(none).any()
        connected = PATHS.earth_conductance_at(berth(None, None, supply)) > 0.0
        assert connected.mean() == pytest.approx(0.85, abs=0.01)


@pytest.mark.parametrize(
    ("metal", "volts"),
    [
        ("copper", 0.30),
        ("steel in concrete", 0.40),
        ("galvanised", -0.30),
        ("protected quay", -0.20),
        ("bare steel", 0.0),
        ("other ship", 0.0),
    ],
)
def test_a_couple_is_of_the_kind_of_the_earth_and_of_either_sign(
    metal: EarthMetal, volts: float
) -> None:
    at = berth(None, None, "shore earthed", earth_metal=metal)
    drawn = PATHS.couple_at(at)
    assert drawn.mean() == pytest.approx(volts, abs=0.01)
    assert drawn.std() == pytest.approx(
        0.15 if metal == "other ship" else 0.1, rel=0.05
    )


def test_an_earth_of_which_nothing_is_written_is_a_mixture() -> None:
    share = np.bincount(PATHS.earth_kind, minlength=6) / 1024
    assert share == pytest.approx([0.4, 0.2, 0.1, 0.1, 0.1, 0.1], abs=0.01)
    assert 0.15 < (PATHS.couple < 0.0).mean() < 0.4


def test_a_connected_conductor_carries_the_couple_whatever_feeds_her() -> None:
    assert PATHS.couple_at(berth(None, None, "shore isolated", earth_cable=0.2)).any()


def test_what_a_berth_says_is_true_within_its_spread() -> None:
    said = berth(None, None, "shore earthed", shore_earth=4.0, earth_couple=-0.2)
    assert np.median(PATHS.shore_earth_at(said)) == pytest.approx(4.0, rel=0.01)
    assert np.median(PATHS.couple_at(said)) == pytest.approx(-0.2, rel=0.01)
    spread = np.log(PATHS.couple_at(said) / -0.2).std()
    assert spread == pytest.approx(
        np.log(default_assumptions()["earth_couple_factor"].geometric_sd), rel=0.05
    )


def test_rows_are_rows_of_everything() -> None:
    part = PATHS.rows(slice(8, 20))
    assert (part.structure == PATHS.structure[8:20]).all()
    assert (part.couple_factor == PATHS.couple_factor[8:20]).all()
    assert part.interface.shape == (12,)
