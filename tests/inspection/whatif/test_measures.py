"""Tests of inspection.whatif.measures: each measure, against what it must do."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ships import ALTERNATING_ALONE, ZONES, berth, current, fault, ship

from corrosion.estimate import estimate
from corrosion.foundation.cache import forget
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.units import HOUR
from corrosion.history.integrate import integrate_history
from corrosion.history.loss import LossHistory
from corrosion.history.time_steps import Scenario
from corrosion.inspection.pit_parts import deepest
from corrosion.inspection.whatif import measures, savings
from corrosion.inspection.whatif.measures import Measure
from corrosion.inspection.whatif.savings import Saved, what_if
from corrosion.presentation.answers.isolation import (
    MeasureChoice,
    chosen_measures,
    isolation_result,
    measure_savings,
)
from corrosion.records.dates import as_written
from corrosion.records.ship import Prices
from corrosion.results import Estimate

SHIP = replace(
    ship(
        faults=(
            fault("A", "2019-05", "2020-06", conductor="a", insulation=60.0),
            fault("B", "2020-02", conductor="b", insulation=9e3, zone="AS"),
            replace(
                current("W", "2021-01-02", "2021-02-06", 4.0, zone="AP"), circuit="arc"
            ),
        ),
        berths=(
            berth("2018-03", "2024-05", "shore earthed", earth_cable=0.1),
            berth("2024-05", None, "shore isolated", earth_none=True),
        ),
    ),
    prices=Prices(steel_per_kg=14.0, steel_per_m2=900.0),
    # direct sources against one another: the end of one makes more of the other
    assumptions=ALTERNATING_ALONE,
)


@cache
def base() -> Estimate:
    """Return the estimate that all measures are held against, made when first asked."""
    return estimate(SHIP, samples=64, as_of=date(2026, 1, 1))


@cache
def at_sea() -> Estimate:
    """Return the same ship's, never at a berth."""
    return estimate(replace(SHIP, berths=()), samples=64, as_of=date(2026, 1, 1))


def kept(*measures: Measure) -> list[Saved]:
    return what_if(base().inputs, base().calibration, measures)


def test_what_changes_nothing_saves_exactly_nothing() -> None:
    same = Measure(words="nothing")
    drawn_again = Measure(words="nothing", inputs=replace)
    late = measures.cleared_within(1e9)
    dry = measures.detected_above(1e-6, hours=0.0)
    as_she_is = measures.renewed_paint(SHIP, "FP", as_written("2015-05"))
    for saved in kept(same, drawn_again, late, dry, as_she_is):
        assert not saved.kept_kg.any(), saved.measure.words
        assert not saved.given_up_kg.any(), saved.measure.words
        assert (saved.saved_depth == 0.0).all(), saved.measure.words
        assert (saved.fault_hours == 0.0).all(), saved.measure.words
        assert (saved.chance_below == base().outlook.chance_ahead).all()


@settings(max_examples=3, deadline=None)
@given(st.lists(st.floats(0.0, 2e4), min_size=5, max_size=5, unique=True))
@pytest.mark.parametrize("told", [base, at_sea])
def test_a_tighter_limit_never_loses_more_steel(
    told: Callable[[], Estimate], hours: list[float]
) -> None:
    limits = [measures.cleared_within(each) for each in sorted(hours)]
    for tight, wide in pairwise(what_if(told().inputs, told().calibration, limits)):
        assert (tight.history.faults_kg <= wide.history.faults_kg + 1e-12).all()
        assert (tight.kept_kg >= wide.kept_kg - 1e-12).all()
        assert (tight.fault_hours >= wide.fault_hours).all()


def test_a_current_that_returns_aboard_spares_where_it_enters_the_steel() -> None:
    (saved,) = what_if(
        at_sea().inputs, at_sea().calibration, [measures.cleared_within(0.0)]
    )
    kept_kg, given_up = (
        getattr(saved.history, name).mean(axis=0) for name in ("kept_kg", "given_up_kg")
    )
    entry = at_sea().ship.zone_index("AP")
    assert kept_kg[entry] > 0.0
    assert given_up[entry] < 1e-3 * kept_kg[entry]
    assert given_up.max() > 0.0
    assert saved.kept_kg.mean() > 0.8 * at_sea().totals["faults_kg"]["mean"]


def test_a_limit_spares_the_hours_beyond_it() -> None:
    (saved,) = kept(measures.cleared_within(24.0))
    spans = base().inputs.faults.spans
    ended = np.minimum(spans.ended, base().inputs.time_grid.as_of)
    beyond = np.maximum(ended - spans.found - 24.0 * HOUR, 0.0).sum(axis=1) / HOUR
    assert np.sort(saved.fault_hours) == pytest.approx(np.sort(beyond), rel=1e-9)
    assert (saved.stray_kg >= 0.0).all()


def test_cleared_at_once_leaves_what_came_before_the_finding() -> None:
    at_once, never = kept(
        measures.cleared_within(0.0),
        Measure(words="no fault", spans=lambda _, s: replace(s, ended=s.began)),
    )
    spans = base().inputs.faults.spans
    before = spans.found - spans.began
    assert (before > 0.0).any()
    assert at_once.kept_kg.mean() < never.kept_kg.mean()
    assert at_once.history.seconds == pytest.approx(before)
    assert not never.history.fault_kg.any()


def test_a_monitor_finds_only_what_falls_below_its_alarm() -> None:
    low, high = kept(
        measures.detected_above(1e3, hours=1.0),
        measures.detected_above(1e5, hours=1.0),
    )
    stood = base().history.seconds
    assert (low.history.seconds[:, 1] <= stood[:, 1]).all()
    assert low.history.seconds[:, 0].mean() < stood[:, 0].mean()
    assert (low.history.seconds[:, 1] >= high.history.seconds[:, 1]).all()
    assert (low.history.seconds[:, 2] == stood[:, 2]).all()  # no network: never shown
    short = base().inputs.faults.spans.began + HOUR
    found = base().inputs.faults.spans.found
    gained = np.maximum(found - short, 0.0)[:, 0]
    shown = base().inputs.faults.resistance[:, 0] < 1e3
    assert stood[:, 0] - low.history.seconds[:, 0] == pytest.approx(
        np.where(shown, gained, 0.0), abs=1e-3
    )


def test_transformers_and_isolators_end_the_couple() -> None:
    before = base().history.couple_kg.sum()
    transformed, isolated = kept(
        measures.isolating_transformers(), measures.galvanic_isolators()
    )
    assert not transformed.history.couple_kg.any()
    assert transformed.kept_kg.mean() > 0.0
    assert isolated.history.couple_kg.sum() < 0.02 * before  # a fault may open its way
    assert isolated.kept_kg.mean() > 0.0


def test_a_repaired_circuit_is_charged_nothing() -> None:
    (saved,) = kept(measures.repaired(SHIP, ["arc"]))
    assert not saved.history.fault_kg[:, 2].any()
    assert not saved.history.seconds[:, 2].any()
    assert (saved.history.seconds[:, :2] == base().history.seconds[:, :2]).all()


def test_a_renewed_joint_draws_the_part_nearer_to_the_hull() -> None:
    far = ship(
        zones=tuple(replace(z, bond=z.bond and 5.0) for z in ZONES),
        faults=(current("W", "2021-01", "2024-02", 4.0, zone="RUD", returns="ashore"),),
        berths=(berth("2018-03", None, "shore earthed", earth_cable=0.1),),
    )
    base = estimate(far, samples=32, as_of=date(2026, 1, 1))
    (saved,) = what_if(
        base.inputs,
        base.calibration,
        [measures.renewed_joint(far, "RUD")],
    )
    rudder = far.zone_index("RUD")
    assert (
        saved.history.stray_kg[:, rudder].mean()
        < base.history.stray_kg[:, rudder].mean()
    )
    with pytest.raises(InputError, match="zone FP is welded plating and has no joint"):
        measures.renewed_joint(far, "FP")


def test_paint_spares_its_zone() -> None:
    (saved,) = kept(measures.renewed_paint(SHIP, "FP", as_written("2019-01")))
    drives_out = base().inputs.paths.couple > 0.0  # of an earth that nobody wrote
    out, back = (
        saved.history.kept_kg[rows].mean(axis=0) for rows in (drives_out, ~drives_out)
    )
    assert out[0] > 0.0
    assert out[1:].sum() < 1e-3 * out[0]
    # a couple that protects her finds other ways, and spares more there
    assert 1e-3 * back[0] < back[1:].sum() < 0.1 * back[0]


def test_paint_to_come_moves_nothing_that_has_been() -> None:
    log = replace(
        SHIP, zones=(replace(ZONES[0], bare_seen=None, bare=None), *ZONES[1:])
    )
    base = estimate(log, samples=32, as_of=date(2026, 1, 1))
    soon = measures.renewed_paint(log, "FP", as_written("2026-03"))
    beyond = measures.renewed_paint(log, "FP", as_written("2046-03"))
    nothing, saved, late = what_if(
        base.inputs, base.calibration, [Measure(words="nothing"), soon, beyond]
    )
    for name in ("natural_kg", "stray_kg", "fault_kg", "spot", "taken_spot", "seconds"):
        same = getattr(nothing.history, name)
        assert (getattr(saved.history, name) == same).all()  # the past is one
        assert (getattr(late.history, name) == same).all()
    assert (late.history.mean == nothing.history.mean).all()
    assert late.history.charged == pytest.approx(nothing.history.charged, rel=1e-12)
    for name in ("natural_kg", "stray_kg", "fault_kg", "spot", "taken_spot"):
        assert getattr(saved.history, name) == pytest.approx(
            getattr(base.history, name), rel=1e-9
        ), name
    ahead = [
        kept.mean[:, int(np.searchsorted(kept.moments, base.inputs.time_grid.horizon))]
        for kept in (base.history, saved.history)
    ]
    assert ahead[0][:, 0].mean() > ahead[1][:, 0].mean()


def test_paint_counts_until_the_next_that_is_written() -> None:
    zones = base().inputs.zones
    written, seen = zones.paint.dates[0, 0], zones.paint.seen_at[0]
    early, late = zones.with_paint(0, written - 9e7), zones.with_paint(0, seen - 9e7)
    rows = slice(0, 8)
    for moment in (written + 1e3, seen, seen + 9e7):
        assert (early.bare(moment, rows) == zones.bare(moment, rows)).all()
    fresh = early.bare(written - 1e3, rows)[:, 0]
    grown = zones.paint.law.share(9e7 - 1e3)[rows, 0]
    assert fresh == pytest.approx(grown)
    assert (late.bare(seen, rows)[:, 0] < zones.bare(seen, rows)[:, 0]).all()
    assert (late.bare(seen - 1e8, rows) == zones.bare(seen - 1e8, rows)).all()


def test_paint_fills_no_pit() -> None:
    inputs, spans = at_sea().inputs, at_sea().inputs.faults.spans
    middle, never = inputs.zones.paint.seen_at[0], replace(spans, ended=spans.began)
    moments = np.array([middle, middle + 1.0, inputs.time_grid.as_of])
    inputs = replace(inputs, time_grid=replace(inputs.time_grid, moments=moments))
    again = replace(inputs, zones=inputs.zones.with_paint(0, middle))
    one, two = integrate_history(
        [Scenario(inputs, never), Scenario(again, never)], moments
    )
    assert two.since[:, 0] == pytest.approx(one.since[:, 0])
    assert (two.since[:, 2, 0] < one.since[:, 2, 0]).all()
    assert two.since[:, 2, 1:] == pytest.approx(one.since[:, 2, 1:])
    deep = [deepest(again, two, at)[:, 0] for at in range(3)]
    assert deep[1] == pytest.approx(deep[0], rel=1e-3)
    assert (deep[2] >= deep[1] - 1e-12).all()
    assert np.median(deep[2]) < 0.8 * np.median(deepest(inputs, one, 2)[:, 0])


def test_prices_by_weight_and_by_area() -> None:
    (row,) = measure_savings(base(), [measures.isolating_transformers()])
    assert row["saved_money"]["mean"] == pytest.approx(14.0 * row["saved_kg"]["mean"])
    (saved,) = kept(measures.isolating_transformers())
    spared = (
        base().outlook.chance_ahead - saved.chance_below
    ) * base().inputs.hull.body.area
    assert row["spared_renewal_money"] == pytest.approx(900.0 * spared.sum())
    unpriced = replace(base(), ship=replace(base().ship, prices=Prices()))
    assert "money" not in str(
        measure_savings(unpriced, [measures.galvanic_isolators()])
    )


def test_measures_asked_for_are_those_done() -> None:
    asked = MeasureChoice(
        transformers=True,
        isolators=True,
        alarm_ohm=5e3,
        alarm_hours=2.0,
        circuits=("arc",),
        painted="FP",
        paint_date="2019",
    )
    rows = measure_savings(base(), chosen_measures(asked, base().ship))
    assert [row["measure"] for row in rows] == [
        "an isolating transformer at every earthed shore supply",
        "a galvanic isolator in every protective conductor",
        "an insulation monitor set at 5000 Ω, heeded within 2 h",
        "circuits arc repaired",
        "FP painted in 2019",
    ]
    assert measure_savings(base(), []) == []
    assert isolation_result(base(), [4.0])["limits"][0]["within_hours"] == 4.0


@pytest.mark.parametrize(
    ("make", "error", "words"),
    [
        (lambda: measures.cleared_within(-1.0), InputError, "0 hours or more, got -1"),
        (lambda: measures.cleared_within(np.nan), InputError, "got nan"),
        (
            lambda: measures.detected_above(0.0, hours=1.0),
            InputError,
            r"alarm level above 0 Ω .* got 0 Ω and 1 h",
        ),
        (
            lambda: measures.repaired(SHIP, ["ark"]),
            LookupFailed,
            "no circuit with faults 'ark'; did you mean 'arc'",
        ),
        (
            lambda: measures.renewed_paint(SHIP, "FQ", as_written("2019")),
            LookupFailed,
            "no zone 'FQ'",
        ),
    ],
)
def test_names_what_is_impossible(
    make: object, error: type[Exception], words: str
) -> None:
    assert callable(make)
    with pytest.raises(error, match=words):
        make()


def test_what_was_reckoned_is_not_integrated_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path))
    counted: list[int] = []

    def listened(*given: Any, **more: Any) -> list[LossHistory]:
        counted.append(len(given[0]) - 1)
        return integrate_history(*given, **more)

    monkeypatch.setattr(savings, "integrate_history", listened)
    fresh = isolation_result(base(), [4.0, 24.0])
    forget()
    assert isolation_result(base(), [4.0, 24.0]) == fresh
    assert counted == [2]
    dearer = replace(base(), ship=replace(SHIP, prices=Prices(steel_per_kg=28.0)))
    told = isolation_result(dearer, [4.0, 24.0])["limits"][0]["saved_money"]["mean"]
    before = fresh["limits"][0]["saved_money"]["mean"]
    assert told == pytest.approx(2.0 * before, rel=1e-12)
    isolation_result(base(), [4.0])
    isolation_result(estimate(SHIP, samples=64, seed=2, as_of=date(2026, 1, 1)), [4.0])
    assert counted == [2, 2, 1, 1]
