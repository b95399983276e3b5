"""Tests of hull.held_electrodes: what metal loses that anodes hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.hull.electrodes import LAWS, Electrodes
from corrosion.hull.held_electrodes import HeldElectrodes, HeldSteel

CASES = 40


def held(seed: int) -> tuple[HeldSteel, np.ndarray]:
    """Two plates of steel and one of bronze, free to well protected; natural loss."""
    rng = np.random.default_rng(seed)
    laws = Electrodes.of([LAWS["steel"], LAWS["steel"], LAWS["bronze"]], CASES)
    laws.natural[:, :2] = rng.lognormal(-3.5, 0.5, (CASES, 1))
    laws.oxygen[:, :2] = 1.0 + rng.lognormal(0.0, 0.7, (CASES, 1))
    volts = laws.rest - rng.uniform(0.0, 0.4, (CASES, 3))
    partial = laws.at(volts)
    found = HeldSteel(
        laws=laws,
        volts=volts,
        protected=partial.net,
        base=partial.dissolution,
        steel=np.array([True, True, False]),
    )
    return found, rng.lognormal(-3.5, 0.5, (CASES, 3))


@given(seed=st.integers(0, 10_000), size=st.floats(1e-4, 30.0))
@settings(deadline=None, max_examples=100)
def test_dissolution_is_where_the_law_has_that_density(seed: int, size: float) -> None:
    found, _ = held(seed)
    rng = np.random.default_rng(seed)
    added = rng.normal(0.0, size, (CASES, 4, 3))
    driven = found.driven(added)[..., :2]
    net = (found.protected[:, None] + added)[..., :2]
    # the potential at which so much dissolves, back through the law
    laws = found.laws
    over = laws.anodic[:, None, :2] * np.log10(driven / laws.natural[:, None, :2])
    here = np.concatenate([over, np.zeros((CASES, 4, 1))], axis=2)
    again = laws.row((slice(None), None)).at(here + laws.rest[:, None]).net[..., :2]
    assert again == pytest.approx(net, rel=1e-5, abs=1e-6)


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=60)
def test_the_loss_is_natural_at_rest_and_rises_with_the_current(seed: int) -> None:
    found, natural = held(seed)
    free = HeldSteel(
        laws=found.laws,
        volts=found.laws.rest,
        protected=np.zeros((CASES, 3)),
        base=found.laws.natural,
        steel=found.steel,
    )
    at_rest = free.lost(free.driven(np.zeros((CASES, 1, 3))), natural)[:, 0]
    assert at_rest == pytest.approx(natural, rel=1e-9)
    added = np.linspace(-0.3, 3.0, 30)[None, :, None] * np.ones((CASES, 1, 3))
    lost = found.lost(found.driven(added), natural)
    assert (lost >= 0.0).all()
    assert (np.diff(lost, axis=1) >= -1e-9).all()
    # far up all that leaves is metal, and oxygen's part beside it vanishes
    steep = np.diff(lost[:, -2:], axis=1) / np.diff(added[:, -2:], axis=1)
    assert steep == pytest.approx(1.0, abs=0.02)


def test_protection_spares_as_the_trial_says() -> None:
    """At -0.5, -1 and -2 times the natural rate, twice that of oxygen at most."""
    laws = Electrodes.of([LAWS["steel"]], 1)
    natural = laws.natural.copy()
    free = HeldSteel(
        laws=laws,
        volts=laws.rest,
        protected=np.zeros((1, 1)),
        base=natural,
        steel=np.array([True]),
    )
    added = -natural[:, :, None] * np.array([0.5, 1.0, 2.0])[None, :, None]
    share = free.lost(free.driven(added), natural)[0, :, 0] / natural.item()
    assert share == pytest.approx([0.62, 0.29, 0.0], abs=0.01)


def test_a_held_electrode_adds_nothing_where_it_is_held() -> None:
    laws = Electrodes.of([LAWS["steel"], LAWS["zinc"]], 3)
    one = HeldElectrodes(laws=laws, volts=laws.rest - 0.1)
    x = np.full((3, 2), 1e-6)
    assert one.added(np.zeros((3, 2))) == pytest.approx(0.0, abs=1e-15)
    assert one.added(x) / x == pytest.approx(one.slope(0.5 * x), rel=1e-6)
    assert one.row(np.array([True, False, False])).volts.shape == (1, 2)
