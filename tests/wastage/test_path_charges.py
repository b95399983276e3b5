"""Tests of wastage.path_charges: charges where currents do not add."""

from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wastage.told import told_by_zone

from corrosion.foundation.types import Array
from corrosion.wastage.apportionment import net_and_apportion
from corrosion.wastage.fault_charges import CurrentSource
from corrosion.wastage.path_charges import CausePath
from corrosion.wastage.step_loss import StepLoss

S, W, NODES = 6, 3, 5
COUPLE, OWN = "shore couple", "own metals"


@dataclass
class Case:
    """States of a protected ship, a state a row."""

    natural: Array
    protection: Array
    steady: dict[str, Array]
    direct: CurrentSource
    path: CausePath

    def booked(self) -> StepLoss:
        return told_by_zone(self.told)

    def told(self, to_kg: Array, *, along: bool = True) -> StepLoss:
        return net_and_apportion(
            np.ones((len(self.natural), 1, 1)),
            natural=self.natural,
            protection=self.protection,
            steady=self.steady,
            sources=([self.direct], []),
            fraction=np.full_like(self.natural, 0.005),
            through=(np.ones_like(self.natural), np.ones_like(self.natural)),
            to_kg=np.broadcast_to(to_kg, self.natural.shape),
            path=self.path if along else None,
        )


def invented(seed: int, *, faults: int = 3, curved: float = 1.0) -> Case:
    """Nodes scatter about what is driven in the end, and bring the same in sum."""
    rng = np.random.default_rng(seed)
    width = rng.dirichlet(np.full(NODES, 5.0))

    def along(whole: Array) -> Array:
        spread = 1.0 + curved * rng.uniform(-0.9, 0.9, (NODES, *whole.shape))
        sums = np.tensordot(width, spread, axes=1)
        return np.asarray(whole * spread / sums)

    transfer = rng.normal(0.0, 0.05, (S, faults, W))
    density = rng.lognormal(0.0, 0.3, (S, W))
    couple = rng.normal(0.02, 0.05, (S, W))
    return Case(
        natural=rng.lognormal(-3.5, 0.4, (S, W)),
        protection=rng.choice([0.0, 0.05, 0.2], (S, W)),
        steady={COUPLE: couple, OWN: rng.normal(0.0, 0.01, (S, W))},
        direct=CurrentSource(
            amps=rng.normal(0.0, 3.0, (S, 1, faults)),
            transfer=transfer,
            faults=np.arange(faults),
            density=density,
        ),
        path=CausePath(
            width=width,
            steady={COUPLE: along(couple)},
            sources=[along(transfer * density[:, None, :])],
        ),
    )


def test_the_hand_worked_case() -> None:
    """Protection of 1 is used up halfway, where the second fault only begins.

    The first drives 2 all along, the second 0 and then 4 (A/m²). N is -1 at nothing,
    0 halfway, 3 in the end: of the 3 that are lost the first is charged half of its 2,
    the second all of its 2. What each drives in the end, 2 and 2, would give 1.5 each.
    """
    nodes = np.array([[[[2.0], [0.0]]], [[[2.0], [4.0]]]])
    booked = Case(
        natural=np.zeros((1, 1)),
        protection=np.ones((1, 1)),
        steady={COUPLE: np.zeros((1, 1))},
        direct=CurrentSource(
            amps=np.ones((1, 1, 2)),
            transfer=np.full((1, 2, 1), 2.0),
            faults=np.arange(2),
            density=np.ones((1, 1)),
        ),
        path=CausePath(
            width=np.array([0.5, 0.5]),
            steady={COUPLE: np.zeros((2, 1, 1))},
            sources=[nodes],
        ),
    ).booked()
    ((_, taken, *_),) = booked.by_fault
    assert taken[0, :, 0] == pytest.approx([1.0, 2.0])
    assert booked.taken == pytest.approx(3.0)


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=100)
def test_accounts_are_never_negative_and_sum_to_the_whole(seed: int) -> None:
    case = invented(seed)
    booked = case.booked()
    ((_, taken, spared, _),) = booked.by_fault
    accounts = [taken, spared, *booked.steady[COUPLE], *booked.steady[OWN]]
    assert min(account.min() for account in accounts) >= 0.0
    for at, whole, faults in ((0, booked.taken, taken), (1, booked.spared, spared)):
        summed = faults.sum(axis=1) + booked.steady[COUPLE][at]
        summed += booked.steady[OWN][at]
        assert summed == pytest.approx(whole, abs=1e-9)
    quiet = case.natural - case.protection
    net = quiet + sum(case.steady.values()) + case.direct.leaving()[:, 0, 0]
    change = np.maximum(net, 0.0) - np.maximum(quiet, 0.0)
    assert booked.taken - booked.spared == pytest.approx(change, abs=1e-9)


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=60)
def test_currents_that_add_are_charged_as_without_a_path(seed: int) -> None:
    case = invented(seed, curved=0.0)
    by_path = case.booked()
    plain = told_by_zone(partial(case.told, along=False))
    for mine, other in zip(by_path.by_fault, plain.by_fault, strict=True):
        for one, two in zip(mine[1:], other[1:], strict=True):
            assert one == pytest.approx(two, abs=1e-9)
    for name in (COUPLE, OWN):
        for one, two in zip(by_path.steady[name], plain.steady[name], strict=True):
            assert one == pytest.approx(two, abs=1e-9)


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=60)
def test_a_lone_fault_is_charged_what_vanishes_without_it(seed: int) -> None:
    case = invented(seed, faults=1)
    none = np.zeros((S, W))
    alone = replace(
        case,
        steady={COUPLE: none, OWN: none},
        path=replace(case.path, steady={COUPLE: np.zeros((NODES, S, W))}),
    )
    ((_, taken, spared, _),) = alone.booked().by_fault
    quiet = case.natural - case.protection
    net = quiet + case.direct.leaving()[:, 0, 0]
    change = np.maximum(net, 0.0) - np.maximum(quiet, 0.0)
    assert taken[:, 0] == pytest.approx(np.maximum(change, 0.0), abs=1e-9)
    assert spared[:, 0] == pytest.approx(np.maximum(-change, 0.0), abs=1e-9)


@given(seed=st.integers(0, 10_000), part=st.floats(0.05, 0.95))
@settings(deadline=None, max_examples=60)
def test_a_fault_cut_in_two_is_charged_the_same(seed: int, part: float) -> None:
    case = invented(seed)
    flow, (nodes,) = case.direct, case.path.sources
    amps = np.concatenate([part * flow.amps[..., :1], flow.amps], axis=2)
    amps[..., 1] *= 1.0 - part
    two = replace(
        case,
        direct=replace(
            flow,
            amps=amps,
            transfer=np.concatenate([flow.transfer[:, :1], flow.transfer], axis=1),
            faults=np.arange(len(flow.faults) + 1),
        ),
        path=replace(
            case.path, sources=[np.concatenate([nodes[:, :, :1], nodes], axis=2)]
        ),
    ).booked()
    one = case.booked()
    for whole, halves in zip(one.by_fault[0][1:3], two.by_fault[0][1:3], strict=True):
        assert halves[:, 0] + halves[:, 1] == pytest.approx(whole[:, 0], abs=1e-9)
        assert halves[:, 2:] == pytest.approx(whole[:, 1:], abs=1e-9)
