"""Tests of hull.injection: shares, entry, and what leaves, by law."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ships import ZONES, berth, current, invented_body, invented_hull, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.hull.injection import (
    cable_share,
    entry_zones,
    source_transfer,
)
from corrosion.hull.network import Transfer, network, transfer
from corrosion.hull.shore_connection import shore_connection
from corrosion.hull.uncertain import draw_paths

SHIP = ship()
HULL = invented_hull(SHIP)
CABLES = np.array([0.1, 0.2, 0.3, 0.25, 0.0, 0.15])


def solved(cable: float | None = None) -> Transfer:
    at = berth(None, None, "own" if cable is None else "shore earthed")
    rng = np.random.default_rng(2)
    contact = rng.lognormal(0.0, 1.0, (3, len(HULL.body.zones)))
    unknowns = draw_paths(Draws(3, 1, default_assumptions()))
    loop = shore_connection(HULL, replace(at, earth_cable=cable), unknowns, hertz=0.0)
    return transfer(network(HULL, contact, unknowns), loop)


def shares(*written: float | None) -> Array:
    zones = tuple(
        replace(z, cable_share=w, area=a)
        for z, w, a in zip(ZONES, written, (10, 20, 30, 40, 2, 6), strict=True)
    )
    one = ship(zones=zones)
    return cable_share(one, invented_body(one))


@given(written=st.lists(st.none() | st.floats(0.001, 0.4), min_size=6, max_size=6))
@settings(deadline=None, max_examples=60)
def test_shares_sum_to_one_and_none_is_negative(written: list[float | None]) -> None:
    got = shares(*written)
    assert got.sum() == pytest.approx(1.0, rel=1e-12)
    assert (got >= 0.0).all()


def test_blank_shares_go_by_area_and_a_part_with_a_joint_carries_no_cables() -> None:
    blank = shares(*[None] * 6)
    assert blank == pytest.approx(np.array([10, 20, 30, 40, 0, 6]) / 106.0)


def test_where_no_share_is_left_the_plating_carries_the_cables() -> None:
    by_area = np.array([10, 20, 30, 40, 0, 6]) / 106.0
    assert shares(*[0.0] * 6) == pytest.approx(by_area)
    assert shares(0.0, 0.0, 0.0, 0.0, None, 0.0) == pytest.approx(by_area)
    assert shares(0.0, 0.2, 0.0, 0.0, 0.0, 0.0) == pytest.approx(np.eye(6)[1])


def test_blank_shares_get_what_the_others_leave() -> None:
    got = shares(0.3, 0.1, None, None, None, None)
    assert got == pytest.approx(
        [0.3, 0.1, 0.6 * 30 / 76, 0.6 * 40 / 76, 0, 0.6 * 6 / 76]
    )


def test_written_shares_are_scaled_to_one() -> None:
    assert shares(1.0, 1.0, 1.0, 1.0, 0.0, 0.0) == pytest.approx([0.25] * 4 + [0.0] * 2)


def test_a_part_with_a_joint_may_carry_what_is_written() -> None:
    assert shares(None, None, None, None, 0.2, None)[4] == pytest.approx(0.2)


def test_a_fault_that_was_found_enters_where_it_is_written() -> None:
    one = ship(
        faults=(
            current("A", "2003", "2004", 1.0, zone="AS"),
            current("B", "2003", "2004", 1.0, zone=None),
        )
    )
    place = (np.arange(1000)[:, None] + 0.5) / 1000.0 * np.ones(2)
    zone = entry_zones(one, CABLES, place)
    assert (zone[:, 0] == 3).all()
    drawn = np.bincount(zone[:, 1], minlength=6) / 1000.0
    assert drawn == pytest.approx(CABLES, abs=2e-3)


def test_the_last_number_still_lies_in_a_zone() -> None:
    one = ship(faults=(current("B", "2003", "2004", 1.0, zone=None),))
    zone = entry_zones(one, CABLES * (1.0 - 1e-12), np.array([[1.0 - 1e-13]]))
    assert zone.tolist() == [[5]]


def routed(got: Transfer, ashore: bool) -> Array:
    everywhere = np.tile(np.arange(6), (3, 1))
    return source_transfer(got, everywhere, np.full(6, ashore), CABLES)


def test_what_returns_aboard_leaves_and_enters_alike() -> None:
    assert np.abs(routed(solved(), ashore=False).sum(axis=2)).max() < 1e-10


def test_what_returns_ashore_all_leaves_without_a_conductor() -> None:
    assert routed(solved(), ashore=True).sum(axis=2) == pytest.approx(np.ones((3, 6)))


def test_a_conductor_spares_the_water() -> None:
    share = routed(solved(cable=0.05), ashore=True).sum(axis=2)
    assert (share < 0.2).all()
    assert (share > 0.0).all()


def test_spread_as_the_cables_are_no_current_leaves() -> None:
    # Faults everywhere, as the cables lie, that return as the cables lie.
    total = np.einsum("f,sfw->sw", CABLES, routed(solved(), ashore=False))
    assert np.abs(total).max() < 1e-12


def test_lamps_enter_at_the_switchboard() -> None:
    got = solved()
    nobody, aboard = np.zeros((3, 0), dtype=np.int64), np.zeros(0, dtype=np.bool_)
    lamps = source_transfer(got, nobody, aboard, CABLES, switchboard=3)
    assert lamps.shape == (3, 1, len(HULL.body.zones))
    assert lamps[:, 0] == pytest.approx(routed(got, ashore=False)[:, 3])
