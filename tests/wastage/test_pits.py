"""Deepest pits and small holidays, in the order: laws, edges, errors."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError
from corrosion.wastage.pits import (
    as_pits_deepen,
    deepest_pit,
    holiday_concentration,
)

depth = st.floats(0.0, 0.05)
area = st.floats(1e-4, 1e4)
inside = st.floats(0.001, 0.999)
length = st.floats(1e-4, 1.0)


def pit(
    mean: float = 1e-3,
    *,
    factor: float = 3.0,
    bare: float = 1.0,
    u: float = np.exp(-1.0),
) -> float:
    return float(
        deepest_pit(mean, factor=factor, bare_area=bare, reference_area=1.0, uniform=u)
    )


def test_most_likely_on_the_reference_area_is_the_factor_times_the_mean() -> None:
    assert pit() == pytest.approx(3e-3, rel=1e-12)


def test_scale_is_that_of_the_basis_table() -> None:
    share = default_assumptions().value("pit_gumbel_scale")
    assert pit(bare=np.e) == pytest.approx(3e-3 * (1.0 + share), rel=1e-12)


@settings(deadline=None, max_examples=100)
@given(mean=depth, bare=area, u=inside, more=st.floats(1.0, 100.0))
def test_deeper_with_mean_area_and_draw(
    mean: float, bare: float, u: float, more: float
) -> None:
    now = pit(mean, bare=bare, u=u)
    assert now >= mean
    assert pit(mean, bare=bare * more, u=u) >= now
    assert pit(mean, bare=bare, u=u ** (1.0 / more)) >= now
    assert pit(mean * more, bare=bare, u=u) == pytest.approx(now * more, rel=1e-9)


@settings(deadline=None, max_examples=50)
@given(bare=area, u=inside, other=area)
def test_area_and_its_reference_scale_together(
    bare: float, u: float, other: float
) -> None:
    scaled = deepest_pit(
        1e-3, factor=3.0, bare_area=bare * other, reference_area=other, uniform=u
    )
    assert scaled == pytest.approx(pit(bare=bare, u=u), rel=1e-9)


def test_is_never_less_than_the_mean() -> None:
    assert pit(bare=1e-6) == pytest.approx(1e-3, rel=1e-12)
    assert pit(bare=0.0) == pytest.approx(1e-3, rel=1e-12)
    assert pit(0.0, bare=0.0) == 0.0


def test_broadcasts_and_keeps_unknowns() -> None:
    found = deepest_pit(
        np.array([[1e-3], [np.nan]]),
        factor=3.0,
        bare_area=np.array([1.0, 10.0, np.nan]),
        reference_area=1.0,
        uniform=0.5,
    )
    assert found.shape == (2, 3)
    assert np.isnan(found).tolist() == [[False, False, True], [True, True, True]]


@pytest.mark.parametrize(
    ("name", "value", "match"),
    [
        ("factor", 0.0, r"deepest_pit: factor must be > 0"),
        ("bare_area", -1.0, r"deepest_pit: bare_area must be >= 0 m²"),
        ("reference_area", 0.0, r"deepest_pit: reference_area must be > 0 m²"),
        ("uniform", 1.0, r"deepest_pit: uniform must lie inside 0 to 1"),
        ("uniform", 0.0, r"deepest_pit: uniform must lie inside 0 to 1"),
        ("scale", 0.0, r"deepest_pit: scale must be > 0"),
    ],
)
def test_refuses_the_impossible(name: str, value: float, match: str) -> None:
    given_ = {"factor": 3.0, "bare_area": 1.0, "reference_area": 1.0, "uniform": 0.5}
    with pytest.raises(InputError, match=match):
        deepest_pit(1e-3, **(given_ | {name: value}))


def test_refuses_a_negative_depth() -> None:
    with pytest.raises(InputError, match=r"mean_depth must be >= 0 m, got -0.001 m"):
        pit(-1e-3)


def test_localisation_by_hand() -> None:
    # π/4 · 0.25 Ω·m · 0.1 m is 0.0196 Ω·m²: little beside 1 Ω·m², much beside 0.01.
    direct = holiday_concentration(0.25, interface=1.0, holiday=0.005, patch=0.1)
    alternating = holiday_concentration(0.25, interface=0.01, holiday=0.005, patch=0.1)
    assert direct == pytest.approx(1.019635 / 1.000982, rel=1e-5)
    assert alternating == pytest.approx(0.029635 / 0.010982, rel=1e-4)


def test_localisation_of_the_basis_table() -> None:
    small, large = (
        default_assumptions().value(name)
        for name in ("holiday_radius_m", "bare_patch_radius_m")
    )
    expected = holiday_concentration(0.25, interface=0.1, holiday=small, patch=large)
    assert holiday_concentration(0.25, interface=0.1) == expected > 1.0


@settings(deadline=None, max_examples=100)
@given(
    a=length, b=length, c=length, rho=st.floats(0.05, 100.0), r_p=st.floats(1e-3, 20)
)
def test_localisation_chains_and_favours_the_small(
    a: float, b: float, c: float, rho: float, r_p: float
) -> None:
    a, b, c = sorted((a, b, c))
    one = holiday_concentration(rho, interface=r_p, holiday=a, patch=b)
    two = holiday_concentration(rho, interface=r_p, holiday=b, patch=c)
    whole = holiday_concentration(rho, interface=r_p, holiday=a, patch=c)
    assert one >= 1.0
    assert one * two == pytest.approx(whole, rel=1e-12)
    assert holiday_concentration(rho, interface=r_p, holiday=a, patch=a) == 1.0


@pytest.mark.parametrize("name", ["holiday", "patch", "interface"])
def test_localisation_refuses_the_impossible(name: str) -> None:
    given_: dict[str, Any] = {"interface": 1.0, "holiday": 0.01, "patch": 0.1} | {
        name: -1.0
    }
    match = rf"holiday_concentration: {name} must be > 0"
    with pytest.raises(InputError, match=match):
        holiday_concentration(0.25, **given_)
    match = r"holiday_concentration: resistivity must be > 0 Ω·m"
    with pytest.raises(InputError, match=match):
        holiday_concentration(0.0, interface=1.0)


@settings(deadline=None)
@given(loss=depth, reference=st.floats(1e-4, 1e-2), power=st.floats(0.3, 1.0))
def test_pits_are_deep_early_and_the_inverse_turns_back(
    loss: float, reference: float, power: float
) -> None:
    """At the reference as the factor says: more below, less above, none of nothing."""
    told = float(as_pits_deepen(loss, reference=reference, power=power))
    deeper = told / loss - 1.0 if loss > 0.0 else 0.0  # rounded where the power is 1
    assert deeper > -1e-12 if loss <= reference else deeper < 1e-12
    back = float(as_pits_deepen(told, reference=reference, power=1.0 / power))
    assert back == pytest.approx(loss, rel=1e-9, abs=1e-15)


def test_a_seventh_of_a_millimetre_has_pits_some_five_times_as_deep() -> None:
    """Southwell & Alexander 1970 (from memory): 5 times early, 3 after a millimetre."""
    table = default_assumptions()
    reference, power = table.value("pit_reference_mm"), table.value("pit_depth_power")
    early = float(as_pits_deepen(1.0 / 7.0, reference=reference, power=power))
    assert 3.0 * early * 7.0 == pytest.approx(5.0, rel=0.25)
