"""Tests of hull.plating, in the order: published, laws, edges."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ships import invented_hull, ship, zone

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.types import Array
from corrosion.hull.geometry.borders import shell_mesh
from corrosion.hull.plating import (
    conducting_thickness,
    grounded_inverse,
    steel_resistance,
)
from corrosion.hull.uncertain import median_paths
from corrosion.records.ship import Form, Ship, Side, Zone

TABLE = default_assumptions()
SIDES: tuple[Side, Side] = ("port", "starboard")
BOTTOMS = (("A", (40, 64)), ("B", (64, 88)))
RHO = TABLE.value("steel_resistivity")


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
    mu = 4e-7 * np.pi * TABLE.value("steel_relative_permeability")
    bands = np.zeros((3, n), dtype=np.complex128)
    bands[0, 1:] = bands[2, :-1] = 1.0
    bands[1] = -2.0 - 1j * 2.0 * np.pi * hertz * mu / RHO * h**2
    right = np.zeros(n, dtype=np.complex128)
    right[0] = -1.0
    field = np.abs(solve_banded((1, 1), bands, right))
    depth = h + h * np.interp(1.0, -np.log(field), np.arange(n))
    assert conducting_thickness(1.0, hertz, assumptions=TABLE) == pytest.approx(
        2.0 * depth, rel=1e-4
    )


def test_the_whole_plate_carries_direct_current() -> None:
    assert conducting_thickness(0.012, 0.0, assumptions=TABLE) == 0.012


@given(t=st.floats(1e-4, 0.05), hertz=st.floats(1.0, 1e4))
@settings(deadline=None, max_examples=50)
def test_never_more_than_the_plate_and_less_at_a_higher_frequency(
    t: float, hertz: float
) -> None:
    used = conducting_thickness(np.array([t, 10.0]), hertz, assumptions=TABLE)
    assert used[0] == min(t, used[1])
    faster = conducting_thickness(10.0, 4.0 * hertz, assumptions=TABLE)
    assert faster == pytest.approx(used[1] / 2.0)  # as the square root


BARGE = Form(
    length=60.0, beam=12.0, draught=4.0, block_coefficient=0.96, frame_spacing=0.5
)


def laid(*zones: Zone) -> Ship:
    """Return an upright-sided barge of some zones."""
    return ship(zones=zones, form=BARGE, systems=(), berths=())


def side(
    name: str, frames: tuple[float, float], top: float = 0.0, bottom: float = 2.0
) -> Zone:
    """Return a zone amidships, high on the port side."""
    return zone(name, frames, "port", top=top, bottom=bottom)


def steel(one: Ship, hertz: float = 0.0) -> Array:
    mesh = shell_mesh(one)
    return steel_resistance(one, hertz, reference=0, mesh=mesh)


def whole(  # plating and joints, of one sample
    one: Ship,
    *,
    reference: int = 0,
    structure: float = 1.0,
    brush: float = 1.0,
    turns: float = 0.0,
) -> Array:
    paths = replace(
        median_paths(TABLE),
        structure=np.array([structure]),
        brush=np.array([brush]),
        turns=np.array([turns]),
    )
    hull = invented_hull(one, reference)
    return np.asarray(hull.plating(paths).among(np.arange(len(one.zones)))[0])


def borders(one: Ship) -> Array:
    """Length of the border that two zones share, shape (zones, zones) [m]."""
    mesh, count = shell_mesh(one), len(one.zones)
    member = np.equal.outer(mesh.zone, np.arange(count))
    return np.asarray(member.T @ mesh.length @ member)


FORE, AFT = side("A", (40, 64)), side("B", (64, 88))


def test_a_strip_of_plate_resists_as_its_length_over_its_section() -> None:
    # what enters one zone evenly and leaves the next evenly: two thirds of a length in
    # the limit, 19/27 in three plates each
    length, wide = 12.0, 2.0
    found = steel(laid(FORE, AFT))[1, 1]
    assert found == pytest.approx(19 / 27 * RHO * length / (0.010 * wide), rel=0.01)


def test_plates_of_two_thicknesses_lie_in_series() -> None:
    thin = replace(AFT, built=0.005)
    once, twice, both = (
        steel(laid(*pair))[1, 1]
        for pair in (
            (FORE, AFT),
            (replace(FORE, built=0.005), thin),
            (FORE, thin),
        )
    )
    assert both == pytest.approx(0.5 * (once + twice), rel=1e-6)


def test_alternating_current_finds_the_skin_only() -> None:
    one = laid(FORE, AFT)
    ratio = steel(one)[1, 1] / steel(one, 60.0)[1, 1]
    skin = float(conducting_thickness(1.0, 60.0, assumptions=TABLE))
    assert ratio == pytest.approx(skin / 0.010)


def test_is_symmetric_and_positive_about_the_reference() -> None:
    k = steel(ship())
    assert (k == k.T).all()
    assert not k[0].any()
    assert (np.linalg.eigvalsh(k[1:, 1:]) > 0.0).all()


def test_a_jointed_part_hangs_on_its_joint_alone() -> None:
    one = ship()
    part, at = one.zone_index("RUD"), one.zone_index("AS")
    k = whole(one)
    assert k[part, part] - k[at, at] == pytest.approx(0.02)
    assert k[part, :part] == pytest.approx(k[at, :part])
    tab = replace(one.zones[part], zone="TAB", bonded_to="RUD", bond=0.3)
    longer = replace(one, zones=(*one.zones, tab))
    k = whole(longer)
    assert k[-1, -1] - k[at, at] == pytest.approx(0.32)
    about = whole(longer, reference=part)  # counted from the rudder itself
    away = k - k[part] - k[:, part][:, None] + k[part, part]
    assert about == pytest.approx(away, abs=1e-12)


def test_no_structure_eases_a_joint() -> None:
    one = ship()
    part, at = one.zone_index("RUD"), one.zone_index("AS")
    stiff = whole(one, structure=4.0)
    assert stiff[part, part] - stiff[at, at] == pytest.approx(0.02)
    assert 4.0 * stiff[at, at] == pytest.approx(whole(one)[at, at])


@pytest.mark.parametrize(
    ("metal", "turning", "ohms"),
    [
        ("steel", None, 0.02),  # a rudder does not turn
        ("steel", 0.5, 0.5),
        ("nickel-aluminium bronze", None, 0.3),  # the drawn brush
        ("nickel-aluminium bronze", 0.001, 0.001),
    ],
)
def test_a_turning_shaft_hangs_on_its_brush(
    metal: str, turning: float | None, ohms: float
) -> None:
    one = ship()
    part, at = one.zone_index("RUD"), one.zone_index("AS")
    shaft = replace(one.zones[part], metal=metal, turning=turning)
    one = replace(
        one, zones=tuple(shaft if k == part else z for k, z in enumerate(one.zones))
    )
    half = 2.0 / (1.0 / 0.02 + 1.0 / ohms)  # by the mean conductance
    for turns, expected in ((0.0, 0.02), (1.0, ohms), (0.5, half)):
        k = whole(one, brush=0.3, turns=turns)
        assert k[part, part] - k[at, at] == pytest.approx(expected)
    k = whole(one, brush=0.001, turns=1.0)
    if turning is None:
        assert k[part, part] - k[at, at] == pytest.approx(0.02)


def test_zones_that_only_meet_at_a_corner_do_not_touch() -> None:
    found = borders(
        laid(
            side("A", (40, 64), bottom=1.0),
            side("B", (64, 88), top=1.0),
            side("C", (40, 64), top=1.0),
        )
    )
    assert found[0, 1] == 0.0
    assert found[0, 2] == pytest.approx(12.0, rel=0.01)  # frames that they share
    assert found[1, 2] == pytest.approx(1.0, rel=0.01)  # depths that they share


def test_the_halves_meet_at_the_keel_and_nowhere_else() -> None:
    port, starboard = (zone(s, (40, 64), s, bottom=4.0) for s in SIDES)
    aft = replace(starboard, frame_from=52.0)
    assert borders(laid(port, starboard))[0, 1] == pytest.approx(12.0)
    assert borders(laid(port, aft))[0, 1] == pytest.approx(6.0)
    high = [replace(z, bottom=2.0) for z in (port, starboard)]
    assert borders(laid(*high))[0, 1] == 0.0


def test_a_bottom_touches_both_sides_and_the_next_bottom_across_its_girth() -> None:
    one, two = (zone(n, f, "centre", top=3.0, bottom=4.0) for n, f in BOTTOMS)
    wings = [zone(s, (40, 64), s, bottom=3.0) for s in SIDES]
    found = borders(laid(one, two, *wings))
    assert found[0, 2] == found[0, 3] == pytest.approx(12.0, rel=0.01)
    assert 12.0 < found[0, 1] < 14.0  # the beam and a metre of bilge on either side


def test_islands_are_joined_to_the_nearest_plate_and_to_no_other() -> None:
    gap = laid(side("A", (40, 50)), side("B", (60, 70)), side("C", (76, 88)))
    k = steel(gap)
    assert not borders(gap)[0, 1:].any()
    assert np.isfinite(k).all()
    assert k[2, 2] > k[1, 1] > 0.0  # C hangs on B, which hangs on A
    assert k[2, 1] == pytest.approx(k[1, 1], rel=0.2)


def test_a_single_zone_needs_no_steel() -> None:
    assert steel(laid(side("A", (40, 88)))).tolist() == [[0.0]]


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
