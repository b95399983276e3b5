"""Tests of hull.nonlinear.currents and polarisation: laws, edges, errors."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from nonlinear_oracle import linear_error, nonlinear_currents
from scipy.optimize import brentq
from ships import at_patches, berth, invented_hull, mirrored, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.hull.network import contact_resistance, network
from corrosion.hull.nonlinear.currents import linear_and_nonlinear
from corrosion.hull.nonlinear.polarisation import (
    BareSteel,
    natural_density,
    polarisation,
)
from corrosion.hull.shore_connection import shore_connection
from corrosion.hull.uncertain import PathUnknowns, draw_paths, median_paths
from corrosion.hull.water_currents import water_currents
from corrosion.records.ship import Berth

TABLE = default_assumptions()
SHIP = ship()
HULL = invented_hull(SHIP)
WET = HULL.body.zones
MEDIAN = median_paths()
AFLOAT = berth(None, None)
EARTHED = berth(
    None, None, "shore earthed", earth_cable=0.1, shore_earth=0.8, earth_couple=0.3
)
EARTHED_ALONE = replace(EARTHED, earth_couple=0.0)
LEADS = {
    "afloat": AFLOAT,
    "earthed": EARTHED,
    "no conductor": replace(EARTHED, earth_cable=None, earth_none=True),
    "isolator": replace(EARTHED, galvanic_isolator=True),
    "near": replace(EARTHED, shore_side="port", shore_distance=3.0),
    "near, no conductor": replace(
        EARTHED,
        earth_cable=None,
        earth_none=True,
        shore_side="port",
        shore_distance=3.0,
    ),
    "poor earth": replace(EARTHED, shore_earth=50.0, earth_cable=0.01),
}
berths = st.sampled_from(sorted(LEADS))
volts = st.floats(-2.0, 2.0)
parts = st.lists(st.floats(-1.0, 1.0), min_size=6, max_size=6)


def net_density(eta: npt.ArrayLike, interface: float | Array) -> Array:
    """Return what leaves bare steel, polarised by volts from free corrosion [A/m²]."""
    law = BareSteel.at_rest(interface, assumptions=TABLE)
    return law.added(np.asarray(eta, dtype=np.float64))


def faces(hull_bare: Array, amps: Array) -> Array:
    """Net density at the bare steel of each wetted zone, were no paint to conduct."""
    return np.asarray(amps[WET] / (hull_bare[WET] * HULL.body.area[WET]))


def balance(leaving: Array, injected: Array, at: Berth, p: PathUnknowns) -> Array:
    """What Kirchhoff's laws leave over, by another route than the solver's.

    From the currents alone to each zone's drop of potential, the law turned round by
    bisection, and the cable from the hull's potential.
    """
    i = leaving[WET]
    loop = shore_connection(HULL, replace(at, galvanic_isolator=False), p, hertz=0.0)
    contact = contact_resistance(
        HULL.bare[None, WET], HULL.contact_area, p.interface, p.coating
    )
    tied = network(HULL, contact + at_patches(HULL, p), p)
    polarised = shore_connection(HULL, at, p, hertz=0.0, hull_ohms=tied.hull_ohms)
    loop = replace(loop, electrode=polarised.electrode)
    steel = HULL.plating(p).among(np.arange(len(HULL.bare)))[0] @ (injected - leaving)
    water = HULL.body.matrix @ i - loop.mutual * i.sum() + at_patches(HULL, p) * i
    shore = loop.mutual @ i - loop.electrode[0] * i.sum()
    bare, area = HULL.bare[WET], HULL.body.area[WET]
    low, high = np.full(len(WET), -1e4), np.full(len(WET), 1e4)
    with np.errstate(over="ignore"):
        for _ in range(200):
            x = 0.5 * (low + high)
            amps = (
                bare * area * net_density(x, p.interface)
                + (1.0 - bare) * area * x / p.coating
            )
            low, high = np.where(amps < i, x, low), np.where(amps < i, high, x)
    reference = x + water - steel[WET]  # the same for every zone
    cable = injected.sum() - i.sum()
    driven = reference.mean() - shore - loop.couple[0]
    if not at.galvanic_isolator:
        over = cable - loop.conductance * driven
    else:  # open below the threshold, an ohmic conductor well above it
        threshold = default_assumptions().value("isolator_threshold_v")
        past = np.sign(driven) * max(abs(driven) - threshold, 0.0)
        slack = 0.7 * default_assumptions().value("isolator_slope_v") * loop.conductance
        over = max(abs(cable - loop.conductance * past) - slack, 0.0)
    return np.append(reference - reference.mean(), over)


@given(eta=volts, step=st.floats(1e-6, 1.0), r=st.floats(0.05, 20.0))
@settings(deadline=None, max_examples=60)
def test_the_law_rises_and_turns_round(eta: float, step: float, r: float) -> None:
    low, high = net_density([eta, eta + step], r)
    assert high > low
    assert polarisation(low, r, assumptions=TABLE) == pytest.approx(eta, abs=1e-9)


def test_at_free_corrosion_the_slope_is_the_interface() -> None:
    for r in (0.05, 1.0, 20.0):
        assert net_density(0.0, r) == 0.0
        around = (net_density(1e-6, r) - net_density(-1e-6, r)) / 2e-6
        assert around == pytest.approx(1.0 / r, rel=1e-8)
        slope = BareSteel.at_rest(r, assumptions=TABLE).slope(np.array(0.0))
        assert slope == pytest.approx(1.0 / r, rel=1e-14)


def test_the_slope_is_the_derivative() -> None:
    steel, eta = (
        BareSteel.at_rest(0.7, -0.1, assumptions=TABLE),
        np.linspace(-0.8, 0.3, 12),
    )
    around = (steel.added(eta + 1e-6) - steel.added(eta - 1e-6)) / 2e-6
    assert steel.slope(eta) == pytest.approx(around, rel=1e-6)


def test_far_out_each_branch_has_its_own_slope() -> None:
    free = natural_density(1.0, assumptions=TABLE)
    a, h, onset = (
        default_assumptions().value(name)
        for name in ("anodic_tafel_v", "hydrogen_tafel_v", "hydrogen_onset_v")
    )
    up = net_density([6 * a, 7 * a], 1.0) + free
    assert up[1] / up[0] == pytest.approx(10.0, rel=1e-6)
    down = net_density([-onset - 6 * h, -onset - 7 * h], 1.0) + free
    assert down[1] / down[0] == pytest.approx(10.0, rel=1e-6)
    # oxygen alone until hydrogen takes up as much
    assert net_density(-onset / 2, 1.0) == pytest.approx(-free, rel=0.02)
    assert net_density(-onset, 1.0) == pytest.approx(-2.0 * free, rel=0.001)


@pytest.mark.parametrize("at", sorted(LEADS))
@pytest.mark.parametrize("ashore", [True, False])
def test_a_small_current_leaves_as_by_the_linear_law(at: str, ashore: bool) -> None:
    lying = replace(LEADS[at], earth_couple=0.0)
    injected = np.array([1.0, -2.0, 0.5, 3.0, 0.0, 1.0]) * 1e-7
    if not ashore:
        injected -= injected.mean()
    linear = water_currents(HULL, injected, lying)
    size = np.abs(linear).max()
    bent = nonlinear_currents(HULL, injected, lying)
    assert np.abs(bent - linear).max() < 1e-6 * size
    assert linear_error(HULL, injected, lying) < 1e-6


@pytest.mark.parametrize("at", sorted(LEADS))
def test_the_linear_half_is_that_of_the_paths(at: str) -> None:
    injected = 10.0 * np.array([1.0, -2.0, 0.5, 3.0, 0.0, 1.0])
    linear = linear_and_nonlinear(HULL, injected, LEADS[at])[0]
    expected = water_currents(HULL, injected, LEADS[at])
    assert linear == pytest.approx(expected, rel=1e-9)


@given(at=berths, shape=parts, decade=st.floats(-6.0, 4.0))
@settings(deadline=None, max_examples=80)
def test_every_node_balances_from_a_microampere_to_ten_thousand(
    at: str, shape: list[float], decade: float
) -> None:
    injected = 10.0**decade * np.array(shape)
    leaving = nonlinear_currents(HULL, injected, LEADS[at])
    if LEADS[at].earth_cable is None:
        # of a sum of parts that falls beneath a nanoampere no more is asked
        size = max(np.abs(leaving).max(), abs(injected.sum()), 1e-9)
        assert abs(leaving.sum() - injected.sum()) <= 1e-10 * size
    left = balance(leaving, injected, LEADS[at], MEDIAN)
    drop = max(1.0, float(np.abs(HULL.body.matrix @ leaving[WET]).max()))
    assert np.abs(left[:-1]).max() <= 1e-9 * drop  # volts
    assert abs(left[-1]) <= 1e-8 * max(1.0, float(np.abs(injected).max()))


@given(at=berths, shape=parts, zone=st.integers(0, 5), more=st.floats(0.01, 100.0))
@settings(deadline=None, max_examples=40)
def test_more_current_ashore_never_takes_from_what_leaves(
    at: str, shape: list[float], zone: int, more: float
) -> None:
    before, after = nonlinear_currents(
        HULL, 5.0 * np.array(shape) + [[0.0], [more]] * np.eye(6)[zone], LEADS[at]
    )
    assert (after - before).sum() >= -1e-9 * more
    if zone in WET:
        assert after[zone] > before[zone]


def test_twice_the_current_is_not_twice_what_leaves() -> None:
    one, two = nonlinear_currents(
        HULL, [[20.0, 0, 0, 0, 0, 0], [40.0, 0, 0, 0, 0, 0]], AFLOAT
    )
    assert one.sum() == pytest.approx(20.0, rel=1e-10)
    assert np.abs(two - 2.0 * one).max() > 0.1


def test_a_mirrored_ship_has_mirrored_currents() -> None:
    one = ship(berths=(LEADS["near"],))
    two = mirrored(one)
    injected = np.array([100.0, -20.0, 0.5, 3.0, 0.0, 1.0])
    assert nonlinear_currents(
        invented_hull(one), injected, one.berths[0]
    ) == pytest.approx(
        nonlinear_currents(invented_hull(two), injected, two.berths[0]), rel=1e-9
    )


def test_the_answer_does_not_depend_on_where_the_reference_lies() -> None:
    injected = np.array([100.0, -200.0, 50.0, 3.0, 0.0, 1.0])
    answers = [
        nonlinear_currents(invented_hull(SHIP, k), injected, LEADS["no conductor"])
        for k in range(6)
    ]
    assert np.ptp(answers, axis=0).max() < 1e-7


def test_protection_holds_a_zone_cathodic() -> None:
    injected = np.array([0.02, 0, 0, 0, 0, 0])
    shield = np.array([0.02, 0, 0, 0, 0, 0])
    free = nonlinear_currents(HULL, injected, AFLOAT)
    held = nonlinear_currents(HULL, injected, AFLOAT, protection=shield)
    assert held.sum() == pytest.approx(free.sum(), rel=1e-10)
    assert 0.0 < held[0] < 0.6 * free[0]  # it is harder to draw current out of it
    assert (faces(HULL.bare, held) - shield[WET])[0] < 0.0
    none = nonlinear_currents(HULL, np.zeros(6), AFLOAT, protection=shield)
    assert not none.any()


def test_about_a_protected_rest_the_interface_is_the_slope_there() -> None:
    rest = float(
        brentq(
            lambda eta: float(net_density(eta, 1.0)) + 0.02,
            -0.5,
            0.0,
        )
    )
    around = float(net_density(rest + 1e-6, 1.0) - net_density(rest - 1e-6, 1.0))
    steeper = replace(MEDIAN, interface=np.array([2e-6 / around]))
    injected = 1e-6 * np.array([1.0, -0.2, 0.5, 0.3, 0.0, 0.1])
    held = nonlinear_currents(HULL, injected, EARTHED_ALONE, protection=0.02)
    expected = nonlinear_currents(HULL, injected, EARTHED_ALONE, unknowns=steeper)
    assert held == pytest.approx(expected, rel=1e-4)


def test_hydrogen_bounds_how_far_a_zone_is_polarised() -> None:
    taken = nonlinear_currents(HULL, [-50.0, 0, 0, 0, 0, 0], AFLOAT)
    assert taken.sum() == pytest.approx(-50.0, rel=1e-10)
    reached = polarisation(faces(HULL.bare, taken), 1.0, assumptions=TABLE)
    onset, tafel = (
        default_assumptions().value("hydrogen_onset_v"),
        default_assumptions().value("hydrogen_tafel_v"),
    )
    assert (reached < -onset).all()
    assert (reached > -onset - 3.0 * tafel).all()  # linear: some volts
    contact = contact_resistance(
        HULL.bare[None, WET], HULL.body.area[WET], MEDIAN.interface, MEDIAN.coating
    )[0]
    assert (taken[WET] * contact < -1.0).all()


def test_an_isolator_is_open_below_its_threshold_and_conducts_above() -> None:
    fitted = LEADS["isolator"]
    few, many = nonlinear_currents(
        HULL, [[0.5, 0, 0, 0, 0, 0], [500.0, 0, 0, 0, 0, 0]], fitted
    )
    assert few.sum() == pytest.approx(0.5, rel=1e-3)
    plain = nonlinear_currents(HULL, [500.0, 0, 0, 0, 0, 0], EARTHED)
    assert plain.sum() < many.sum() < plain.sum() + 1.6  # threshold over 0.8 Ω
    linear = linear_and_nonlinear(HULL, [500.0, 0, 0, 0, 0, 0], fitted)[0]
    assert linear.sum() == pytest.approx(500.0, rel=1e-9)
    idle = nonlinear_currents(HULL, np.zeros(6), fitted)
    assert 0.0 < idle.sum() < 1e-6


def test_many_samples_at_once_are_each_alone() -> None:
    drawn = draw_paths(Draws(8, 3, default_assumptions()))
    injected = np.array([30.0, -2.0, 0.5, 3.0, 0.0, 1.0])
    every = nonlinear_currents(HULL, injected, LEADS["near"], unknowns=drawn)
    assert every.shape == (8, 6)
    for k, row in enumerate(every):
        alone = nonlinear_currents(
            HULL, injected, LEADS["near"], unknowns=drawn.rows(slice(k, k + 1))
        )
        assert row == pytest.approx(alone, rel=1e-9)
        left = balance(row, injected, LEADS["near"], drawn.rows(slice(k, k + 1)))
        assert np.abs(left).max() < 1e-8


def test_the_linear_error_is_the_worst_zone_of_the_worst_case() -> None:
    injected = np.array([[0.1, 0, 0, 0, 0, 0], [30.0, 0, 0, 0, 0, 0]])
    linear, bent = linear_and_nonlinear(HULL, injected, AFLOAT)
    small, large = np.abs(linear - bent).max(axis=1) / np.maximum(
        np.abs(bent), np.abs(linear)
    ).max(axis=1)
    assert 0.0 < small < 0.05 < large
    assert linear_error(HULL, injected, AFLOAT) == pytest.approx(large)
    assert linear_error(HULL, injected[0], AFLOAT) == pytest.approx(small)
    assert linear_error(HULL, np.zeros(6), LEADS["isolator"]) < 1e-4  # a leak of nA
    assert linear_error(HULL, np.zeros(6), AFLOAT) == 0.0


def test_one_case_keeps_its_shape() -> None:
    assert nonlinear_currents(HULL, np.ones(6), AFLOAT).shape == (6,)
    assert nonlinear_currents(HULL, np.ones((1, 6)), AFLOAT).shape == (1, 6)


@pytest.mark.parametrize("amps", [0.1, 7.0, 100.0])
def test_a_large_hull_beside_an_electrode_without_a_conductor_balances(
    amps: float,
) -> None:
    wide = replace(HULL, body=replace(HULL.body, matrix=0.3 * HULL.body.matrix))
    injected = np.zeros(len(SHIP.zones))
    injected[4] = amps
    leaving = nonlinear_currents(wide, injected, LEADS["near, no conductor"])
    assert leaving.sum() == pytest.approx(amps, rel=1e-9)


@pytest.mark.parametrize("amps", [[1.0], np.zeros((2, 5)), 1.0, np.zeros((1, 1, 6))])
def test_wants_one_current_a_zone(amps: object) -> None:
    with pytest.raises(InputError, match=r"one current a zone, shape \(6,\) or"):
        linear_and_nonlinear(HULL, amps, AFLOAT)  # type: ignore[arg-type] # that is the test


def test_wants_finite_currents() -> None:
    with pytest.raises(InputError, match="must be finite"):
        linear_and_nonlinear(HULL, [np.nan, 0, 0, 0, 0, 0], AFLOAT)
    with pytest.raises(InputError, match="must be finite"):
        polarisation(np.inf, 1.0, assumptions=TABLE)


def test_wants_protection_that_enters() -> None:
    with pytest.raises(InputError, match=r"not be negative .* got -0\.02 A/m²"):
        linear_and_nonlinear(HULL, np.zeros(6), AFLOAT, protection=-0.02)
