"""Tests of wastage.apportionment: the accounts' laws, one number at a time."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wastage.told import told_by_zone

from corrosion.foundation.types import Array
from corrosion.wastage.apportionment import MULTIPLIERS, net_and_apportion
from corrosion.wastage.fault_charges import CurrentSource
from corrosion.wastage.step_loss import StepLoss

S, K, W = 4, 5, 3  # samples, stretches, wetted zones


@dataclass
class Page:
    """What a slab is booked from, as a test invents it."""

    duration: Array
    natural: Array
    protection: Array
    couple: Array
    dc: list[CurrentSource]
    ac: list[CurrentSource]
    fraction: Array
    through: tuple[Array, Array]

    def booked(self) -> StepLoss:
        one = told_by_zone(lambda to_kg: self.told(self.duration[:, None], to_kg))
        return replace(one, lost=one.lost * self.duration[:, :, None])

    def told(self, duration: Array, to_kg: Array) -> StepLoss:
        return net_and_apportion(
            duration,
            natural=self.natural,
            protection=self.protection,
            steady={"shore couple": self.couple},
            sources=(self.dc, self.ac),
            fraction=self.fraction,
            through=self.through,
            to_kg=np.broadcast_to(to_kg, self.natural.shape),
        )


def invented(seed: int, *, couple: float = 0.02, protected: float = 0.01) -> Page:
    rng = np.random.default_rng(seed)

    def flow(first: int, count: int, *, alternating: bool) -> CurrentSource:
        amps = rng.normal(0.0, 2.0, (S, K, count))
        on = rng.random((S, K, count)) < 0.7
        turned = amps * np.exp(1j * rng.uniform(0.0, 6.3, (S, K, count)))
        return CurrentSource(
            amps=np.where(on, turned if alternating else amps, 0.0),
            transfer=rng.normal(0.0, 0.02, (S, count, W)),
            faults=np.arange(first, first + count),
            density=rng.lognormal(0.0, 0.5, (S, W)),
        )

    duration = rng.exponential(1e4, (S, K)) * (rng.random((S, K)) < 0.8)
    return Page(
        duration=duration,
        natural=rng.lognormal(-4.0, 0.5, (S, W)),
        protection=protected * np.array([0.0, 1.0, 3.0]),
        couple=couple * rng.normal(1.0, 0.2, (S, W)),
        dc=[flow(0, 2, alternating=False), flow(2, 1, alternating=False)],
        ac=[flow(3, 3, alternating=True), flow(6, 1, alternating=True)],
        fraction=rng.uniform(0.001, 0.1, (S, W)),
        through=(1.0 + rng.exponential(0.3, (S, W)), 1.0 + rng.uniform(0, 0.1, (S, W))),
    )


def stray_term(
    page: Page, at: tuple[int, int, int], scale: Mapping[int, float]
) -> tuple[float, float]:
    """Return stray density and alternating rms of one sample, stretch and zone.

    ``scale`` multiplies the current of single faults; -1 is the couple.
    """
    s, k, z = at
    direct = page.couple[s, z] * scale.get(-1, 1.0)
    for flow in page.dc:
        for i, f in enumerate(flow.faults.tolist()):
            crossing = flow.amps[s, k, i] * flow.transfer[s, i, z] * flow.density[s, z]
            direct += crossing.real * scale.get(f, 1.0)
    squares = 0.0
    for flow in page.ac:
        total = 0.0j
        for i, f in enumerate(flow.faults.tolist()):
            crossing = flow.amps[s, k, i] * flow.transfer[s, i, z] * flow.density[s, z]
            total += crossing * scale.get(f, 1.0)
        squares += abs(total) ** 2
    rms = float(np.sqrt(squares))
    return float(direct + page.fraction[s, z] * rms), rms


EVERY = range(-1, 7)
"""The couple, then the faults."""


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=25)
def test_is_what_a_reckoning_one_number_at_a_time_gives(seed: int) -> None:
    page = invented(seed)
    booked = page.booked()
    taken, spared, peak = np.zeros((S, W)), np.zeros((S, W)), np.zeros((S, W))
    by_cause = np.zeros((2, 8, S, W))
    kinds = [page.through[f not in {-1, 0, 1, 2}] for f in EVERY]
    paint = np.roll(kinds, -1, axis=0)  # of faults 0 to 6, then of the couple
    for s, k, z in np.ndindex(S, K, W):
        x, rms = stray_term(page, (s, k, z), {})
        seconds = float(page.duration[s, k])
        least = float(page.natural[s, z] - page.protection[z])
        change = (max(0.0, least + x) - max(0.0, least)) * seconds
        taken[s, z] += max(change, 0.0)
        spared[s, z] += max(-change, 0.0)
        if seconds > 0.0:
            peak[s, z] = max(float(peak[s, z]), rms)
        charges = np.array([charge(page, (s, k, z), f) for f in EVERY])
        for account, sign in ((0, 1.0), (1, -1.0)):
            driven = np.maximum(sign * np.roll(charges, -1), 0.0)
            share = driven / max(driven.sum(), 1e-300) * max(sign * change, 0.0)
            by_cause[account, :, s, z] += share * (paint[:, s, z], 1.0)[account]
    size = float(np.abs(by_cause).max())
    whole = booked.direct + booked.alternating
    assert whole == pytest.approx(taken, rel=1e-9, abs=1e-9)
    assert booked.spared == pytest.approx(spared, rel=1e-9, abs=1e-9)
    assert booked.peak == pytest.approx(peak, rel=1e-12)
    for account in (0, 1):
        couple = booked.steady["shore couple"][account]
        assert couple == pytest.approx(by_cause[account, -1], abs=1e-6 * size)
    for faults, *accounts, _ in booked.by_fault:
        for i, f in enumerate(faults.tolist()):
            for account, part in enumerate(accounts):
                expected = by_cause[account, f]
                assert part[:, i] == pytest.approx(expected, abs=1e-6 * size)


def charge(page: Page, at: tuple[int, int, int], fault: int) -> float:
    """Return what one cause adds to the stray term, by shrinking it a hair [A/m²]."""
    up, down = (
        stray_term(page, at, {fault: scale})[0] for scale in (1.0 + 1e-6, 1.0 - 1e-6)
    )
    return (up - down) / 2e-6


def test_histories_of_the_same_states_are_netted_together_as_each_alone() -> None:
    page = invented(3)
    shorter = page.duration * np.random.default_rng(4).uniform(0.0, 1.0, (S, K))
    both = page.told(np.stack([page.duration, shorter], axis=1), np.ones(1))
    for k, duration in enumerate((page.duration, shorter)):
        mine = both.history(k)
        alone = replace(page, duration=duration).booked()
        for name in ("natural", "direct", "alternating", "taken", "spared", "peak"):
            assert getattr(mine, name) == pytest.approx(
                getattr(alone, name), rel=1e-9, abs=1e-12
            )
        for one, two in zip(mine.by_fault, alone.by_fault, strict=True):
            assert one[1] == pytest.approx(two[1].sum(axis=2), rel=1e-9, abs=1e-12)


pages = st.builds(
    invented,
    st.integers(0, 10_000),
    protected=st.sampled_from([0.0, 0.01, 0.5]),
    couple=st.sampled_from([0.0, 0.02, -0.5]),
)


@given(page=pages)
@settings(deadline=None, max_examples=100)
def test_accounts_are_never_negative_and_add_up_in_every_state(page: Page) -> None:
    booked = page.booked()
    least = page.natural - page.protection
    base = np.maximum(least, 0.0) * page.duration.sum(axis=1)[:, None]
    accounts = [booked.direct, booked.alternating, booked.spared, booked.taken]
    accounts += list(booked.steady["shore couple"])
    accounts += [part for _, *parts, _ in booked.by_fault for part in parts]
    for account in accounts:
        assert (account >= 0.0).all()
    assert booked.natural - booked.protection_spared == pytest.approx(base, rel=1e-12)
    size = float(booked.taken.max() + booked.spared.max()) + 1.0
    for at, whole in ((0, booked.taken), (1, booked.spared)):
        parts = [pair[1 + at].sum(axis=1) for pair in booked.by_fault]
        summed = booked.steady["shore couple"][at] + sum(parts)
        assert summed == pytest.approx(whole, abs=1e-9 * size)
    lost = booked.lost.sum(axis=1)
    assert lost == pytest.approx(base + booked.taken - booked.spared, abs=1e-9 * size)
    assert (booked.lost >= -1e-9 * size).all()
    thin = replace(page, through=(np.ones((S, W)), np.ones((S, W)))).booked()
    by_state = netted(page)
    largest = float(by_state.max()) + 1.0
    assert thin.lost == pytest.approx(by_state, abs=1e-9 * largest)


def netted(page: Page) -> Array:
    """Return the charge lost in each state, (samples, states, wetted) [C/m²]."""
    lost = np.zeros((S, K, W))
    for s, k, z in np.ndindex(S, K, W):
        least = float(page.natural[s, z] - page.protection[z])
        x, _ = stray_term(page, (s, k, z), {})
        lost[s, k, z] = max(0.0, least + x) * float(page.duration[s, k])
    return lost


@given(page=pages, fault=st.integers(0, 6))
@settings(deadline=None, max_examples=60)
def test_a_lone_fault_is_charged_what_vanishes_without_it(
    page: Page, fault: int
) -> None:
    def only(flow: CurrentSource) -> CurrentSource:
        return replace(flow, amps=np.where(flow.faults == fault, flow.amps, 0.0))

    alone = replace(
        page,
        couple=np.zeros((S, W)),
        dc=[only(f) for f in page.dc],
        ac=[only(f) for f in page.ac],
    )
    with_it = alone.booked()
    without = replace(alone, dc=[], ac=[]).booked()
    change = with_it.lost - without.lost
    ((taken, spared),) = [
        (part[:, i], less[:, i])
        for faults, part, less, _ in with_it.by_fault
        for i in np.flatnonzero(faults == fault)
    ]
    size = float(np.abs(change).max()) + 1.0
    gone = np.maximum(change, 0.0).sum(axis=1)
    assert taken == pytest.approx(gone, abs=1e-9 * size)
    assert spared == pytest.approx(
        np.maximum(-change, 0.0).sum(axis=1), abs=1e-9 * size
    )


@given(page=pages, part=st.floats(0.05, 0.95), which=st.sampled_from(["dc", "ac"]))
@settings(deadline=None, max_examples=60)
def test_a_fault_cut_in_two_is_charged_the_same(
    page: Page, part: float, which: str
) -> None:
    flow = getattr(page, which)[0]
    amps, transfer = flow.amps, flow.transfer
    cut = replace(
        flow,
        amps=np.concatenate([part * amps[..., :1], amps, amps[..., :0]], axis=2),
        transfer=np.concatenate([transfer[:, :1], transfer], axis=1),
        faults=np.concatenate([[7], flow.faults]),
    )
    cut.amps[..., 1] *= 1.0 - part
    flows = [cut, *getattr(page, which)[1:]]
    two = (
        replace(page, dc=flows) if which == "dc" else replace(page, ac=flows)
    ).booked()
    one = page.booked()
    at = 0 if which == "dc" else len(page.dc)
    size = float(one.taken.max() + one.spared.max()) + 1.0
    for account in (1, 2):
        whole, halves = one.by_fault[at][account], two.by_fault[at][account]
        assert halves[:, 0] + halves[:, 1] == pytest.approx(
            whole[:, 0], abs=1e-9 * size
        )
        assert halves[:, 2:] == pytest.approx(whole[:, 1:], abs=1e-9 * size)


@given(page=pages)
@settings(deadline=None, max_examples=30)
def test_the_natural_rate_multiplied_is_the_loss_netted_again(page: Page) -> None:
    booked = page.booked()
    for k, times in enumerate(MULTIPLIERS):
        again = netted(replace(page, natural=times * page.natural)).sum(axis=1)
        assert booked.multiplied[:, k] == pytest.approx(again, rel=1e-9, abs=1e-9)


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=20)
def test_without_stray_current_only_nature_takes(seed: int) -> None:
    booked = replace(invented(seed, couple=0.0), dc=[], ac=[]).booked()
    assert not booked.taken.any()
    assert not booked.spared.any()
    assert not booked.peak.any()
    assert booked.by_fault == []


@given(page=pages, at=st.integers(0, K - 1), part=st.floats(0.0, 1.0))
@settings(deadline=None, max_examples=30)
def test_splitting_a_state_changes_nothing(page: Page, at: int, part: float) -> None:
    def doubled(array: Any) -> Any:
        return np.insert(array, at, array[:, at], axis=1)

    duration = doubled(page.duration)
    duration[:, at] *= part
    duration[:, at + 1] *= 1.0 - part
    split = replace(
        page,
        duration=duration,
        dc=[replace(f, amps=doubled(f.amps)) for f in page.dc],
        ac=[replace(f, amps=doubled(f.amps)) for f in page.ac],
    )
    one, two = page.booked(), split.booked()
    for name in ("taken", "spared", "natural", "protection_spared", "multiplied"):
        assert getattr(two, name) == pytest.approx(
            getattr(one, name), rel=1e-9, abs=1e-9
        )


def lone(amps: complex, *, alternating: bool) -> Page:
    """Return a step of 100 h with one source, all of it through one zone."""
    flow = CurrentSource(
        amps=np.full((1, 1, 1), amps, dtype=np.complex128 if alternating else None),
        transfer=np.ones((1, 1, 1)),
        faults=np.array([0]),
        density=np.full((1, 1), 1.0 / 20.0),
    )
    return Page(
        duration=np.full((1, 1), 3.6e5),
        natural=np.full((1, 1), 0.04),
        protection=np.zeros(1),
        couple=np.zeros((1, 1)),
        dc=[] if alternating else [flow],
        ac=[flow] if alternating else [],
        fraction=np.full((1, 1), 0.005),
        through=(np.full((1, 1), 1.2), np.full((1, 1), 1.1)),
    )


def test_an_ampere_hour_is_an_ampere_hour() -> None:
    booked = lone(2.0, alternating=False).booked()
    assert booked.direct * 20.0 / 3600.0 == pytest.approx(200.0)
    assert booked.taken.item() == pytest.approx(1.2 * booked.direct.item())
    assert booked.by_fault[0][1].item() == pytest.approx(booked.taken.item())
    assert not booked.alternating.any()


def test_an_alternating_ampere_hour_is_a_small_fraction_of_one() -> None:
    booked = lone(2.0j, alternating=True).booked()
    assert booked.alternating * 20.0 / 3600.0 == pytest.approx(200.0 * 0.005)
    assert booked.direct == pytest.approx(0.0)
    assert booked.taken.item() == pytest.approx(1.1 * booked.alternating.item())
    assert booked.peak == pytest.approx(2.0 / 20.0)


def test_an_entering_current_spares_the_natural_loss_and_no_more() -> None:
    booked = lone(-50.0, alternating=False).booked()
    assert booked.spared == pytest.approx(0.04 * 3.6e5)
    assert booked.by_fault[0][2].item() == pytest.approx(0.04 * 3.6e5)
    assert not booked.taken.any()


def test_what_leaves_one_zone_is_not_paid_back_by_another() -> None:
    """A current that returns aboard leaves at one zone and enters at another."""
    page = lone(1.0, alternating=False)
    both = replace(
        page,
        natural=np.full((1, 2), 0.2),
        protection=np.zeros(2),
        couple=np.zeros((1, 2)),
        dc=[
            replace(
                page.dc[0],
                transfer=np.array([[[1.0, -1.0]]]),
                density=np.full((1, 2), 0.05),
            )
        ],
        fraction=np.full((1, 2), 0.005),
        through=(np.ones((1, 2)), np.ones((1, 2))),
    ).booked()
    assert both.taken.tolist() == [[pytest.approx(0.05 * 3.6e5), 0.0]]
    assert both.spared.tolist() == [[0.0, pytest.approx(0.05 * 3.6e5)]]


def test_a_pair_that_cancels_is_charged_nothing() -> None:
    page = lone(1.0, alternating=False)
    against = replace(page.dc[0], amps=-page.dc[0].amps, faults=np.array([1]))
    booked = replace(page, dc=[page.dc[0], against]).booked()
    assert booked.taken.item() == 0.0
    assert [part.item() for _, part, *_ in booked.by_fault] == [0.0, 0.0]


@pytest.mark.parametrize("alternating", [False, True])
def test_what_lamps_carry_is_charged_to_the_faults_of_their_system(
    *, alternating: bool
) -> None:
    page = lone(2.0j if alternating else 2.0, alternating=alternating)
    (flow,) = page.ac or page.dc
    lit = replace(
        flow,
        amps=np.concatenate([0.5 * flow.amps, flow.amps, 0.2 * flow.amps], axis=2),
        transfer=np.array([[[1.0], [1.0], [0.5]]]),
        faults=np.array([0, 1]),
    )
    lit_page = replace(page, ac=[lit]) if alternating else replace(page, dc=[lit])
    booked = lit_page.booked()
    (_, taken, *_) = booked.by_fault[0]
    assert taken.sum() == pytest.approx(booked.taken.item())
    assert taken[0, 0, 0] == pytest.approx(0.5 * taken[0, 1, 0])


def test_nothing_is_lost_in_no_time() -> None:
    booked = replace(invented(3), duration=np.zeros((S, K))).booked()
    for part in (booked.natural, booked.taken, booked.spared, booked.peak):
        assert not part.any()
