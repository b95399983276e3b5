"""Tests of hull.water_currents: laws, edges, errors.

The network as a whole is held against nodal analysis in tests/published.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from nonlinear_oracle import nonlinear_currents
from ships import AC, ZONES, at_patches, berth, invented_hull, mirrored, ship

from corrosion.foundation.errors import InputError
from corrosion.hull.model import build_hull
from corrosion.hull.network import (
    contact_resistance,
    network,
    spreading_resistance,
    total_over_bare_current,
    transfer,
)
from corrosion.hull.shore_connection import polarised_ohms, shore_connection
from corrosion.hull.uncertain import median_paths
from corrosion.hull.water_currents import water_currents

SHIP = ship()
HULL = invented_hull(SHIP)
MEDIAN = median_paths()
AFLOAT = berth(None, None)
EARTHED = berth(
    None, None, "shore earthed", earth_cable=0.1, shore_earth=0.8, earth_couple=0.3
)
FLOATING = replace(EARTHED, earth_cable=None, earth_none=True)
amperes = st.lists(st.floats(-100.0, 100.0), min_size=6, max_size=6)


@given(amps=amperes)
@settings(deadline=None, max_examples=40)
def test_what_returns_aboard_sums_to_zero(amps: list[float]) -> None:
    injected = np.array(amps) - np.mean(amps)
    leaving = water_currents(HULL, injected, AFLOAT)
    assert abs(leaving.sum()) <= 1e-10 * max(1.0, float(np.abs(injected).max()))


def test_all_of_it_crosses_without_a_protective_conductor() -> None:
    for zone in range(6):
        leaving = water_currents(HULL, np.eye(6)[zone], FLOATING)
        assert leaving.sum() == pytest.approx(1.0, rel=1e-10)


@given(one=amperes, two=amperes, factor=st.floats(-10.0, 10.0))
@settings(deadline=None, max_examples=30)
def test_is_linear_about_the_couple(
    one: list[float], two: list[float], factor: float
) -> None:
    a, b = np.array(one), np.array(two)
    idle = water_currents(HULL, np.zeros(6), EARTHED)
    both = water_currents(HULL, a + factor * b, EARTHED) - idle
    parts = [water_currents(HULL, x, EARTHED) - idle for x in (a, b)]
    assert both == pytest.approx(parts[0] + factor * parts[1], abs=1e-8)


def test_the_answer_does_not_depend_on_where_the_reference_lies() -> None:
    injected = np.array([1.0, -2.0, 0.5, 3.0, 0.0, 1.0])
    for at in (AFLOAT, FLOATING):
        answers = [
            water_currents(invented_hull(SHIP, k), injected, at) for k in range(6)
        ]
        assert np.ptp(answers, axis=0).max() < 1e-9


def test_what_one_zone_does_to_another_the_other_does_to_the_one() -> None:
    # Reciprocity of a network of resistors, among the zones that face the water.
    wet = HULL.body.zones
    leaving = np.array([water_currents(HULL, np.eye(6)[z], FLOATING)[wet] for z in wet])
    contact = contact_resistance(
        HULL.bare[None, wet], HULL.body.area[wet], MEDIAN.interface, MEDIAN.coating
    )[0]
    load = HULL.body.matrix + np.diag(contact + at_patches(HULL))
    volts = leaving @ load
    assert volts == pytest.approx(volts.T, rel=1e-9)


def test_a_part_behind_a_poor_joint_sends_its_current_through_the_water() -> None:
    part, plate = SHIP.zone_index("RUD"), SHIP.zone_index("FP")
    injected = np.eye(6)[part] - np.eye(6)[plate]
    crossing = []
    for ohms in (1e-4, 1e-2, 1.0, 1e4):
        zones = tuple(
            replace(z, bond=ohms) if z.bond is not None else z for z in SHIP.zones
        )
        hull = invented_hull(ship(zones=zones))
        crossing.append(water_currents(hull, injected, AFLOAT)[part])
    assert crossing == sorted(crossing)
    assert crossing[0] < 0.01
    assert crossing[-1] == pytest.approx(1.0, rel=1e-3)


def test_a_mirrored_ship_has_mirrored_currents() -> None:
    near = replace(EARTHED, shore_side="port", shore_distance=3.0)
    one = ship(berths=(near,))
    two = mirrored(one)
    injected = np.array([1.0, -2.0, 0.5, 3.0, 0.0, 1.0])
    assert water_currents(invented_hull(one), injected, one.berths[0]) == pytest.approx(
        water_currents(invented_hull(two), injected, two.berths[0]), rel=1e-12
    )


def test_the_near_side_faces_the_shore_earth() -> None:
    near = replace(EARTHED, shore_side="port", shore_distance=1.0)
    even = ship(zones=tuple(replace(z, bare=0.2) for z in ZONES[:2]))
    hull = invented_hull(even)
    port, starboard = water_currents(hull, np.zeros(2), near)
    assert port > starboard > 0.0
    far = water_currents(hull, np.zeros(2), EARTHED)
    assert far[0] == pytest.approx(far[1], rel=1e-3)  # but for the plate between
    assert port + starboard > far.sum()  # and the way is shorter


def test_the_couple_drives_current_out_of_the_hull_and_an_isolator_stops_it() -> None:
    driven = water_currents(HULL, np.zeros(6), EARTHED)
    assert (driven[HULL.body.zones] > 0.0).all()
    stopped = water_currents(
        HULL, np.zeros(6), replace(EARTHED, galvanic_isolator=True)
    )
    assert not stopped.any()
    turned = water_currents(HULL, np.zeros(6), replace(EARTHED, earth_couple=-0.3))
    assert (turned[HULL.body.zones] < 0.0).all()


@pytest.mark.published(
    source="trial of this project, solved by a separate program",
    where="an earth of 1 Ω and a limit of 1 A: a pure resistance lets 1.37 times flow",
    status="computed",
)
def test_a_shore_earth_polarises() -> None:
    # the couple of copper on a hull without resistance to speak of, through 0.1 and 1 Ω
    at = replace(EARTHED, earth_metal="copper", earth_couple=0.295)
    ohms = np.array([1.1])
    extra = polarised_ohms(at, MEDIAN, ohms)
    assert 0.295 / (ohms + extra)[0] == pytest.approx(0.193, rel=0.03)
    endless = replace(MEDIAN, earth_limit=np.array([1e6]))
    assert polarised_ohms(at, endless, ohms)[0] < 1e-3


def test_an_isolator_passes_alternating_current() -> None:
    fitted = replace(EARTHED, galvanic_isolator=True)
    direct, alternating = (
        shore_connection(HULL, fitted, MEDIAN, hertz=hertz) for hertz in (0.0, 60.0)
    )
    assert direct.conductance == 0.0
    assert alternating.conductance == pytest.approx(10.0)
    assert not alternating.couple.any()


def test_an_electrode_is_felt_as_far_as_its_distance() -> None:
    near = replace(EARTHED, shore_side="port", shore_distance=3.0)
    loop = shore_connection(HULL, near, MEDIAN, hertz=0.0)
    # Abreast of midships at the surface, 3 m off the port side of a hull 6 m wide.
    x, y, z = HULL.body.centre[0]
    apart = np.sqrt((x - 12.0) ** 2 + (y + 6.0) ** 2 + z**2)
    assert loop.mutual[0] == pytest.approx(0.25 / (2.0 * np.pi * apart))
    assert not shore_connection(HULL, EARTHED, MEDIAN, hertz=0.0).mutual.any()


def test_contact_is_bare_and_coated_area_in_parallel() -> None:
    bare, area = np.array([[0.1]]), np.array([20.0])
    ohms = contact_resistance(bare, area, np.array([0.5]), np.array([900.0]))
    two, eighteen = 0.5 / 2.0, 900.0 / 18.0
    assert ohms.item() == pytest.approx(two * eighteen / (two + eighteen), rel=1e-12)


def test_more_structure_keeps_more_in_the_steel() -> None:
    contact = np.full((1, len(HULL.body.zones)), 0.05)
    loop = shore_connection(HULL, AFLOAT, MEDIAN, hertz=0.0)
    pair = np.array([1.0, 0.0, 0.0, -1.0, 0.0, 0.0])
    crossing = [
        np.abs(
            transfer(
                network(HULL, contact, replace(MEDIAN, structure=np.full(1, s))), loop
            ).per_ampere_over(pair)
        ).sum()
        for s in (1.0, 2.0, 4.0)
    ]
    assert crossing[0] / crossing[1] == pytest.approx(2.0, rel=0.1)
    assert crossing[1] / crossing[2] == pytest.approx(2.0, rel=0.1)


def test_every_zone_a_jointed_part_is_no_hull() -> None:
    with pytest.raises(InputError, match="at least one must be plating"):
        build_hull(ship(zones=(ZONES[4],), systems=()))


def test_builds_a_hull_at_every_frequency_about_the_switchboard() -> None:
    hull = build_hull(SHIP)
    assert hull.reference == SHIP.zone_index("AS")
    assert set(hull.steel) == {0.0, 60.0}
    assert hull.bare == pytest.approx([0.2, 0.1, 0.3, 0.05, 0.5, 0.2])
    fifty = build_hull(ship(systems=(replace(AC, hertz=50.0),)))
    assert set(fifty.steel) == {0.0, 50.0, 60.0}
    alone = build_hull(ship(systems=()))
    assert alone.reference == 0


@pytest.mark.parametrize("amps", [[1.0], np.zeros((2, 6)), 1.0])
def test_wants_one_current_a_zone(amps: object) -> None:
    with pytest.raises(InputError, match=r"one current a zone, shape \(6,\), got"):
        water_currents(HULL, amps, AFLOAT)  # type: ignore[arg-type] # that is the test


def test_in_dry_dock_nothing_crosses_the_water() -> None:
    amps = np.linspace(-1.0, 3.0, len(ZONES))
    dry = replace(EARTHED, lies="dock")
    assert np.abs(water_currents(HULL, amps, EARTHED)).max() > 0.1
    assert (water_currents(HULL, amps, dry) == 0.0).all()
    assert (nonlinear_currents(HULL, amps, dry) == 0.0).all()


def test_paint_lets_by_what_does_not_leave_at_bare_steel() -> None:
    bare, area = np.array([[1e-4, 0.02, 1.0]]), np.array([3.0, 4.0, 5.0])
    interface, coating = np.array([[0.5, 1.0, 2.0]]), np.array([800.0])
    contact = contact_resistance(bare, area, interface, coating)
    at_bare_steel = contact * bare * area / interface  # of each ampere
    share = total_over_bare_current(bare, interface, coating)
    assert share * at_bare_steel == pytest.approx(np.ones((1, 3)), rel=1e-12)


@pytest.mark.published(
    source="Newman, J. Electrochem. Soc. 113, 1966, 501",
    where="disks of 0.1 m in an insulating plane, ρ/4a each, far from one another",
    status="secondary",
)
def test_few_patches_meet_the_water_as_disks_in_parallel() -> None:
    river = replace(HULL, body=replace(HULL.body, resistivity=50.0))
    bare = np.full((1, len(HULL.body.zones)), 1e-4)
    endless = np.array([1e12])  # paint that lets nothing through
    found = spreading_resistance(
        river, bare, interface=np.array([1.0]), coating=endless
    )
    disks = bare * river.contact_area / (np.pi * 0.1**2)
    assert found == pytest.approx(50.0 / (4.0 * 0.1) / disks, rel=0.02)


def test_where_all_is_bare_nothing_narrows() -> None:
    bare = np.ones((1, len(HULL.body.zones)))
    found = spreading_resistance(
        HULL, bare, interface=MEDIAN.interface, coating=MEDIAN.coating
    )
    assert not found.any()
