"""Tests of hull.plating, in the order: published, laws, edges."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ships import ZONES, invented_body, ship, zone

from corrosion.foundation import assumptions
from corrosion.foundation.types import Array
from corrosion.hull.plating import conductances, conducting_thickness, grounded_inverse
from corrosion.records.ship import Ship

RHO = assumptions.value("steel_resistivity")


@pytest.mark.published(
    source="diffusion of a field into a half-space, solved on a grid",
    where="depth at which the field has fallen to 1/e, 50 and 60 Hz",
    status="computed",
)
@pytest.mark.parametrize("hertz", [50.0, 60.0])
def test_two_skin_depths_by_solving_the_field(hertz: float) -> None:
    from scipy.linalg import solve_banded  # noqa: PLC0415 - only here

    # d²H/dx² = jωμσ H on 4,000 steps of 5 µm, 1 at the surface, 0 far inside.
    n, h = 4000, 5e-6
    mu = 4e-7 * np.pi * assumptions.value("steel_relative_permeability")
    bands = np.zeros((3, n), dtype=np.complex128)
    bands[0, 1:] = bands[2, :-1] = 1.0
    bands[1] = -2.0 - 1j * 2.0 * np.pi * hertz * mu / RHO * h**2
    right = np.zeros(n, dtype=np.complex128)
    right[0] = -1.0
    field = np.abs(solve_banded((1, 1), bands, right))
    depth = h + h * np.interp(1.0, -np.log(field), np.arange(n))
    assert conducting_thickness(1.0, hertz) == pytest.approx(2.0 * depth, rel=1e-4)


def test_the_whole_plate_carries_direct_current() -> None:
    assert conducting_thickness(0.012, 0.0) == 0.012


@given(t=st.floats(1e-4, 0.05), hertz=st.floats(1.0, 1e4))
@settings(deadline=None, max_examples=50)
def test_never_more_than_the_plate_and_less_at_a_higher_frequency(
    t: float, hertz: float
) -> None:
    used = conducting_thickness(np.array([t, 10.0]), hertz)
    assert used[0] == min(t, used[1])
    faster = conducting_thickness(10.0, 4.0 * hertz)
    assert faster == pytest.approx(used[1] / 2.0)  # as the square root


def laid(*frames: tuple[float, float], built: float = 0.010) -> Ship:
    """Return a ship with zones of one side, one behind the other."""
    return ship(
        zones=tuple(
            zone(f"Z{k}", pair, "port", built=built) for k, pair in enumerate(frames)
        )
    )


def between(one: Ship, hertz: float = 0.0) -> Array:
    return conductances(one, invented_body(one), hertz)


def test_a_strip_of_plate_conducts_as_its_section_over_its_length() -> None:
    one = laid((0, 24), (24, 48))
    apart = 12.0  # centres, 24 frames of 0.5 m
    assert between(one)[0, 1] == pytest.approx(2.0 * 0.010 / (RHO * apart), rel=1e-12)


def test_alternating_current_finds_the_skin_only() -> None:
    one = laid((0, 24), (24, 48))
    ratio = between(one, 60.0)[0, 1] / between(one)[0, 1]
    assert ratio == pytest.approx(float(conducting_thickness(1.0, 60.0)) / 0.010)


def test_is_symmetric_and_connected_with_nothing_to_itself() -> None:
    one = ship()
    g = between(one)
    assert (g == g.T).all()
    assert not np.diag(g).any()
    reached = np.linalg.matrix_power(np.eye(len(g)) + (g > 0.0), len(g))
    assert (reached > 0.0).all()


def test_a_jointed_part_hangs_on_its_joint_alone() -> None:
    one = ship()
    g, part = between(one), one.zone_index("RUD")
    at = one.zone_index("AS")
    assert g[part, at] == pytest.approx(1.0 / 0.02)
    assert np.count_nonzero(g[part]) == 1


def test_zones_that_only_meet_at_a_corner_do_not_touch() -> None:
    corner = ship(
        zones=(
            zone("A", (0, 24), "port", bottom=1.0),
            zone("B", (24, 48), "port", top=1.0),
            zone("C", (0, 24), "port", top=1.0),
        )
    )
    assert between(corner)[0, 1] == 0.0
    assert between(corner)[0, 2] > 0.0
    assert between(corner)[1, 2] > 0.0


def test_port_and_starboard_meet_along_their_frames() -> None:
    one = ship(zones=ZONES[:2])
    half = ship(zones=(ZONES[0], replace(ZONES[1], frame_from=12.0)))
    ratio = between(half)[0, 1] / between(one)[0, 1]
    apart = [
        np.linalg.norm(np.diff(invented_body(s).centre, axis=0)) for s in (one, half)
    ]
    assert ratio == pytest.approx(0.5 * apart[0] / apart[1])


def test_islands_are_joined_to_the_nearest_zone_and_to_no_other() -> None:
    gap = laid((0, 10), (20, 30), (36, 48))
    g = between(gap)
    # As a plate as wide as the side of a square of the smaller zone's area.
    apart = 0.5 * (25.0 - 5.0)
    assert g[0, 1] == pytest.approx(0.010 * np.sqrt(10.0) / (RHO * apart), rel=1e-12)
    assert g[1, 2] > 0.0
    assert g[0, 2] == 0.0


def test_a_single_zone_needs_no_steel() -> None:
    assert between(laid((0, 48))).tolist() == [[0.0]]


@given(seed=st.integers(0, 1000), n=st.integers(2, 7), reference=st.integers(0, 6))
@settings(deadline=None, max_examples=40)
def test_inverse_answers_as_kirchhoff_does(seed: int, n: int, reference: int) -> None:
    rng = np.random.default_rng(seed)
    g = np.triu(rng.lognormal(0.0, 2.0, (n, n)), 1)
    g, ref = g + g.T, reference % n
    k = grounded_inverse(g, ref)
    assert (k == k.T).all()
    assert not k[ref].any()
    for j in range(n):
        volts = k[:, j]
        out = (g * (volts[:, None] - volts[None])).sum(axis=1)  # from each zone
        expected = np.eye(n)[j] - np.eye(n)[ref]
        assert out == pytest.approx(expected, abs=1e-8)


def test_resistance_between_two_zones_is_that_of_the_chain() -> None:
    g = np.zeros((3, 3))
    g[0, 1] = g[1, 0] = 4.0
    g[1, 2] = g[2, 1] = 5.0
    assert grounded_inverse(g, 0)[2, 2] == pytest.approx(1.0 / 4.0 + 1.0 / 5.0)
