"""Tests of leakage.resistance_law: nothing known, much known, and to the JSON."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import AC, berth, fault, ship

import corrosion
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.types import Array
from corrosion.leakage.resistance_law import ResistanceLaw
from corrosion.presentation.answers.previewed_fault import inferred_fault
from corrosion.records.ship import LampSet, Readings

TABLE = default_assumptions()
COUNT = 1024


def even(name: int) -> Array:
    """Return even numbers, each in a place of its own."""
    order = np.random.default_rng(name).permutation(COUNT)
    return np.asarray((order + 0.5) / COUNT)


def lognormal(median: float, spread: float, name: int) -> Array:
    from scipy.special import ndtri  # noqa: PLC0415

    return np.asarray(median * np.exp(np.log(spread) * ndtri(even(name))))


def drawn(columns: list[Array]) -> tuple[ResistanceLaw, Array]:
    ohms = np.column_stack(columns)
    none = np.ones(ohms.shape)
    law = ResistanceLaw.of(TABLE, ohms, none, even(0))
    rows = [law.in_keeping(one, none[:, 0]) for one in ohms.T]
    return law, np.column_stack([one[r] for one, r in zip(ohms.T, rows, strict=True)])


def test_faults_of_which_nothing_is_known_stay_as_the_table_says_and_share_a_ship() -> (
    None
):
    row = TABLE["fault_ohm"]
    _, ohms = drawn([lognormal(row.median, row.geometric_sd, k) for k in range(1, 21)])
    x = np.log(ohms)
    assert x.mean() == pytest.approx(np.log(row.median), abs=0.15)
    assert x.std() == pytest.approx(np.log(row.geometric_sd), rel=0.05)
    # The variance of a mean of twenty: the ship's own, as far as two of her faults are
    # both of her law, and a twentieth of the rest.
    both = (1.0 - TABLE.value("fault_ohm_apart")) ** 2
    of_ship, whole = both * np.log(3.0) ** 2, np.log(row.geometric_sd) ** 2
    expected = np.sqrt(of_ship + (whole - of_ship) / 20.0)
    assert x.mean(axis=1).std() == pytest.approx(expected, rel=0.08)


def test_what_was_read_of_others_tells_of_one_that_was_not() -> None:
    # Thirty, read to 3 %, about 2 kohm with a factor of 5: a median of the ship of
    # (ln 2000 * 30 / 1.61^2 + ln 200 / ln(3)^2) / (30 / 1.61^2 + 1 / ln(3)^2), or 1.7.
    rng = np.random.default_rng(5)
    true = 2e3 * 5.0 ** rng.standard_normal(30)
    true *= 2e3 / np.exp(np.log(true).mean())
    read = [lognormal(one, 1.03, k) for k, one in enumerate(true, 1)]
    row = TABLE["fault_ohm"]
    law, ohms = drawn([*read, lognormal(row.median, row.geometric_sd, 99)])
    assert np.median(ohms[:, -1]) == pytest.approx(1.7e3, rel=0.25)
    spread = float(np.mean(law.spread[law.cell]))
    assert np.std(np.log(true)) < spread < np.log(row.geometric_sd)
    assert ohms[:, :30] == pytest.approx(np.column_stack(read), rel=0.1)


def test_a_dead_short_on_a_dry_ship_is_no_slip_on_the_bench_nor_in_the_log() -> None:
    # On an earthed quay, the lamps against the tester: 0.02 ohm times or by 2.
    day, lit = date(2020, 6, 1), replace(AC, lamps=LampSet(volts=254.0, watts=25.0))
    dry = [
        fault(f"F{k}", f"20{k:02d}-05-01", f"20{k:02d}-05-02", insulation=2e4)
        for k in range(11, 20)
    ]
    quay = berth("2019", None, "shore earthed", earth_cable=0.2, shore_earth=1.0)
    her = ship(systems=(lit,), faults=tuple(dry), berths=(quay,))
    read = Readings(insulation=0.02, lamps=("bright", "out", "bright"))
    short = replace(fault("S", "2020-06-01"), readings=read)
    bench = inferred_fault(
        her, lit, short.readings, as_of=day, sampling=(256, 1), name="S"
    )["resistance_ohm"]
    both = replace(her, faults=(*dry, short))
    told = corrosion.estimate(both, samples=256, seed=1, as_of=day).to_json()
    assert told["faults"][-1]["resistance_ohm"] == pytest.approx(bench, rel=1e-12)
    assert bench["p50"] == pytest.approx(0.02, rel=0.5)
    assert bench["p10"] < 0.9 * bench["p50"]


def test_from_a_log_to_the_json() -> None:
    unread = fault("U", "2010-05-01", "2010-05-02")
    tested = [
        fault(f"F{k}", f"20{k:02d}-05-01", f"20{k:02d}-05-02", insulation=2e4)
        for k in range(11, 20)
    ]
    ohms = {}
    for name, others in (("alone", []), ("beside", tested)):
        her = ship(faults=(unread, *others))
        result = corrosion.estimate(her, samples=256, seed=1, as_of="2021-01-01")
        ohms[name] = result.to_json()["faults"][0]["resistance_ohm"]
    assert ohms["alone"]["p50"] == pytest.approx(200.0, rel=0.15)
    assert ohms["beside"]["p50"] > 10.0 * ohms["alone"]["p50"]
    assert ohms["beside"]["p10"] > 10.0 * ohms["alone"]["p10"]
