"""Tests of wastage.apportionment: laws, and a reckoning sample by sample."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.types import Array
from corrosion.wastage.apportionment import CurrentSource, StepLoss, net_and_apportion

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
        return net_and_apportion(
            self.duration,
            natural=self.natural,
            protection=self.protection,
            couple=self.couple,
            flows=(self.dc, self.ac),
            fraction=self.fraction,
            through=self.through,
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
        fraction=rng.uniform(0.001, 0.1, S),
        through=(1.0 + rng.exponential(0.3, (S, W)), 1.0 + rng.uniform(0, 0.1, (S, W))),
    )


def charged(booked: StepLoss) -> Array:
    return booked.couple + sum(
        (shares.sum(axis=1) for _, shares in booked.by_fault), np.zeros((S, W))
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
    return float(direct + page.fraction[s] * rms), rms


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=25)
def test_is_what_a_reckoning_one_number_at_a_time_gives(seed: int) -> None:
    page = invented(seed)
    booked = page.booked()
    stray, peak, shares = np.zeros((S, W)), np.zeros((S, W)), np.zeros((8, S, W))
    kinds = [page.through[f not in {-1, 0, 1, 2}] for f in range(-1, 7)]
    paint = np.roll(kinds, -1, axis=0)  # of faults 0 to 6, then of the couple
    for s, k, z in np.ndindex(S, K, W):
        x, rms = stray_term(page, (s, k, z), {})
        seconds = float(page.duration[s, k])
        least = float(page.natural[s, z] - page.protection[z])
        added = max(0.0, least + x) - max(0.0, least)
        stray[s, z] += added * seconds
        if seconds > 0.0:
            peak[s, z] = max(float(peak[s, z]), rms)
        for f in range(-1, 7):  # what the stray term owes each, by shrinking it a hair
            up, down = (
                stray_term(page, (s, k, z), {f: scale})[0]
                for scale in (1.0 + 1e-6, 1.0 - 1e-6)
            )
            shares[f, s, z] += added / x * (up - down) / 2e-6 * seconds * paint[f, s, z]
    size = float(np.abs(shares).max())
    assert booked.stray == pytest.approx(stray, rel=1e-9, abs=1e-9)
    assert booked.peak == pytest.approx(peak, rel=1e-12)
    assert booked.couple == pytest.approx(shares[-1], abs=1e-6 * size)
    for faults, part in booked.by_fault:
        for i, f in enumerate(faults.tolist()):
            assert part[:, i] == pytest.approx(shares[f], abs=1e-6 * size)


@given(seed=st.integers(0, 10_000), protected=st.sampled_from([0.0, 0.01, 0.5]))
@settings(deadline=None, max_examples=60)
def test_what_is_charged_adds_up_to_what_is_lost(seed: int, protected: float) -> None:
    booked = invented(seed, protected=protected).booked()
    largest = np.abs(booked.metal).max() + np.abs(booked.couple).max() + 1.0
    assert charged(booked) == pytest.approx(booked.metal, abs=1e-12 * largest)


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=20)
def test_without_stray_current_only_nature_takes(seed: int) -> None:
    page = replace(invented(seed, couple=0.0), dc=[], ac=[])
    booked = page.booked()
    base = np.maximum(0.0, page.natural - page.protection)
    seconds = page.duration.sum(axis=1)[:, None]
    assert booked.natural == pytest.approx(base * seconds)
    assert not booked.stray.any()
    assert not booked.couple.any()
    assert not booked.peak.any()
    assert booked.by_fault == []


@given(seed=st.integers(0, 10_000), factor=st.floats(0.1, 10.0))
@settings(deadline=None, max_examples=30)
def test_stray_loss_grows_as_the_current_where_the_balance_stays_positive(
    seed: int, factor: float
) -> None:
    page = replace(
        invented(seed, couple=0.0, protected=0.0), natural=np.full((S, W), 50.0)
    )
    more = replace(
        page,
        dc=[replace(f, amps=factor * f.amps) for f in page.dc],
        ac=[replace(f, amps=factor * f.amps) for f in page.ac],
    )
    one, two = page.booked(), more.booked()
    size = factor * np.abs(one.stray).max() + 1.0
    assert two.stray == pytest.approx(factor * one.stray, abs=1e-9 * size)
    assert two.peak == pytest.approx(factor * one.peak)


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=30)
def test_no_stretch_takes_more_than_all_that_leaves(seed: int) -> None:
    page = replace(invented(seed), ac=[])
    booked = page.booked()
    leaving = np.maximum(page.couple, 0.0)[:, None] + sum(
        np.maximum(
            flow.amps[:, :, :, None]
            * flow.transfer[:, None]
            * flow.density[:, None, None],
            0.0,
        ).sum(axis=2)
        for flow in page.dc
    )
    ceiling = np.einsum("skz,sk->sz", leaving, page.duration)
    assert (booked.stray <= ceiling * (1.0 + 1e-12) + 1e-9).all()


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=30)
def test_stray_current_spares_no_more_than_there_was(seed: int) -> None:
    booked = invented(seed).booked()
    assert (booked.natural + booked.stray >= -1e-9).all()


@given(seed=st.integers(0, 10_000), at=st.integers(0, K - 1), part=st.floats(0.0, 1.0))
@settings(deadline=None, max_examples=30)
def test_splitting_a_stretch_changes_nothing(seed: int, at: int, part: float) -> None:
    page = invented(seed)

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
    assert two.stray == pytest.approx(one.stray, rel=1e-9, abs=1e-9)
    assert two.metal == pytest.approx(one.metal, rel=1e-9, abs=1e-9)
    assert charged(two) == pytest.approx(charged(one), rel=1e-9, abs=1e-9)


def lone(amps: complex, *, alternating: bool) -> Page:
    """Return a slab of 100 h with one source, all of it through one zone."""
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
        fraction=np.full(1, 0.005),
        through=(np.full((1, 1), 1.2), np.full((1, 1), 1.1)),
    )


def test_an_ampere_hour_is_an_ampere_hour() -> None:
    booked = lone(2.0, alternating=False).booked()
    assert booked.stray * 20.0 / 3600.0 == pytest.approx(200.0)
    assert booked.metal.item() == pytest.approx(1.2 * booked.stray.item())
    assert booked.by_fault[0][1].item() == pytest.approx(booked.metal.item())
    assert not booked.alternating.any()


def test_an_alternating_ampere_hour_is_a_small_fraction_of_one() -> None:
    booked = lone(2.0j, alternating=True).booked()
    assert booked.stray * 20.0 / 3600.0 == pytest.approx(200.0 * 0.005)
    assert booked.alternating == pytest.approx(booked.stray)
    assert booked.metal.item() == pytest.approx(1.1 * booked.stray.item())
    assert booked.peak == pytest.approx(2.0 / 20.0)


def test_an_entering_current_spares_the_natural_loss_and_no_more() -> None:
    booked = lone(-50.0, alternating=False).booked()
    assert booked.natural + booked.stray == pytest.approx(0.0, abs=1e-9)
    assert booked.natural == pytest.approx(0.04 * 3.6e5)


def test_a_pair_that_cancels_is_charged_nothing() -> None:
    page = lone(1.0, alternating=False)
    against = replace(page.dc[0], amps=-page.dc[0].amps, faults=np.array([1]))
    booked = replace(page, dc=[page.dc[0], against]).booked()
    assert booked.stray.item() == 0.0
    assert [shares.item() for _, shares in booked.by_fault] == [0.0, 0.0]


def test_lamps_join_in_the_sum_and_are_charged_to_nobody() -> None:
    page = invented(5)
    lit = page.ac[0]
    page = replace(page, ac=[replace(lit, faults=lit.faults[:2]), page.ac[1]])
    booked = page.booked()
    assert booked.stray == pytest.approx(invented(5).booked().stray)
    assert booked.alternating == pytest.approx(invented(5).booked().alternating)
    assert [len(faults) for faults, _ in booked.by_fault] == [2, 1, 2, 1]
    assert [part.shape[1] for _, part in booked.by_fault] == [2, 1, 2, 1]


def test_nothing_is_booked_of_no_time() -> None:
    page = replace(invented(3), duration=np.zeros((S, K)))
    booked = page.booked()
    for part in (booked.natural, booked.stray, booked.couple, booked.peak):
        assert not part.any()
