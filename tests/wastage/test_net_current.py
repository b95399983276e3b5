"""The balance at bare steel, in the order: laws, edges, errors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError
from corrosion.wastage.net_current import loss_density, stray_part

density = st.floats(0.0, 100.0)
signed = st.floats(-100.0, 100.0)
share = st.floats(0.0, 1.0)
state = st.tuples(density, signed, density, share, density)


def test_adds_what_leaves_and_takes_what_enters() -> None:
    # 40 mA/m² natural, 100 out, 2 A/m² rms of which a half per cent, 20 protection.
    assert loss_density(0.04, 0.1, 2.0, 0.005, 0.02) == pytest.approx(0.13, rel=1e-12)
    assert loss_density(0.04, -0.03, 2.0, 0.005, 0.0) == pytest.approx(0.02, rel=1e-12)
    assert stray_part(0.04, 0.1, 2.0, 0.005, 0.02) == pytest.approx(0.11, rel=1e-12)


@settings(deadline=None, max_examples=100)
@given(state=state)
def test_no_stray_current_no_stray_loss(
    state: tuple[float, float, float, float, float],
) -> None:
    natural, _, _, fraction, protection = state
    assert stray_part(natural, 0.0, 0.0, fraction, protection) == 0.0


@settings(deadline=None, max_examples=100)
@given(state=state)
def test_credit_ends_at_the_natural_loss(
    state: tuple[float, float, float, float, float],
) -> None:
    without = loss_density(state[0], 0.0, 0.0, state[3], state[4])
    assert loss_density(*state) >= 0.0
    assert stray_part(*state) >= -without
    assert stray_part(*state) + without == pytest.approx(
        loss_density(*state), abs=1e-12
    )


@settings(deadline=None, max_examples=100)
@given(state=state, factor=st.floats(1.0, 10.0))
def test_twice_the_current_is_twice_the_stray_term_while_the_balance_is_positive(
    state: tuple[float, float, float, float, float], factor: float
) -> None:
    natural, direct, alternating, fraction, _ = state
    once = stray_part(natural, abs(direct), alternating, fraction, 0.0)
    more = stray_part(
        natural, factor * abs(direct), factor * alternating, fraction, 0.0
    )
    assert more == pytest.approx(factor * once, rel=1e-9, abs=1e-9)


@settings(deadline=None, max_examples=100)
@given(state=state, more=density)
def test_more_protection_never_costs_and_more_current_never_spares(
    state: tuple[float, float, float, float, float], more: float
) -> None:
    natural, direct, alternating, fraction, protection = state
    now = loss_density(*state)
    assert (
        loss_density(natural, direct, alternating, fraction, protection + more) <= now
    )
    assert (
        loss_density(natural, direct + more, alternating, fraction, protection) >= now
    )
    assert (
        loss_density(natural, direct, alternating + more, fraction, protection) >= now
    )


def test_a_cathodic_stretch_is_no_credit_against_the_next() -> None:
    direct = np.array([1.0, -1.0])  # as long out as in: a sum would say nothing lost
    lost = loss_density(0.04, direct, 0.0, 0.0, 0.0)
    np.testing.assert_allclose(lost, [1.04, 0.0], rtol=1e-12)
    assert stray_part(0.04, direct, 0.0, 0.0, 0.0).sum() == pytest.approx(0.96)


def test_broadcasts_samples_over_stretches_and_zones() -> None:
    found = loss_density(
        np.full((5, 1, 3), 0.04),
        np.zeros((5, 7, 3)),
        np.zeros((1, 7, 1)),
        np.full((5, 1, 1), 0.005),
        np.zeros(3),
    )
    assert found.shape == (5, 7, 3)


@pytest.mark.parametrize("place", range(5))
def test_unknown_stays_unknown(place: int) -> None:
    state = [0.04, 0.1, 2.0, 0.005, 0.02]
    state[place] = np.nan
    assert np.isnan(loss_density(*state))


@pytest.mark.parametrize(
    ("place", "name"), [(0, "natural"), (2, "alternating"), (4, "protection")]
)
def test_refuses_a_negative_density_that_has_no_sign(place: int, name: str) -> None:
    state = [0.04, 0.1, 2.0, 0.005, 0.02]
    state[place] = -1.0
    with pytest.raises(InputError, match=rf"loss_density: {name} must be >= 0 A/m²"):
        loss_density(*state)


def test_refuses_a_fraction_in_per_cent() -> None:
    with pytest.raises(InputError, match="fraction must lie in 0 to 1"):
        loss_density(0.04, 0.1, 2.0, 1.5, 0.0)
