"""Known-truth ships: the crew's pencil is as good as it claims, and intervals hold.

Bounds of the small study: ten ships of thirty-one zones, seed 4 stated, not chosen.
Zones of one ship share unknowns, so that 310 zones are far fewer independent answers:
from one ship to the next the share held varies by 0.10 (mean loss, natural kg), 0.08
(thickness left) and 0.36 (stray kg, which hangs on one couple), as sixty ships showed.
Over ten ships that makes standard errors of 0.033, 0.025 and 0.11; a bound is four of
them, and three for stray kg. The study itself is ``python -m corrosion.simulate``.
"""

from contextlib import AbstractContextManager
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from corrosion.estimate import set_clock
from corrosion.foundation import assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM, YEAR
from corrosion.history.inputs import Case, prepare
from corrosion.history.integrate import keep_books
from corrosion.inspection.calibration.calibrate import predicted_thickness
from corrosion.leakage.network import solve
from corrosion.records.dates import as_written
from corrosion.records.folder.read import read_ship
from corrosion.records.folder.write import write_ship
from corrosion.records.ship import Ship
from corrosion.simulate import AS_OF, Study, invent, rehearse, study
from corrosion.simulate.__main__ import main
from corrosion.simulate.crew import gauge, read_faults
from corrosion.simulate.truth import Wander

PERFECT = (
    "clamp_factor",
    "insulation_tester_factor",
    "lamp_eye_factor",
    "voltmeter_factor",
)
FINE = {
    "clamp_resolution_ma": 0.05,
    "gauging_sd_mm": 0.003,
    "voltmeter_resolution_v": 0.01,
}
BOUNDS = {"mean_loss_mm": 0.13, "stray_kg": 0.33, "natural_kg": 0.13, "left_mm": 0.1}


@pytest.fixture(scope="module")
def case() -> Case:
    """One invented ship on her own supply, each of her faults in a month of its own."""
    plan = invent(5)
    months = [as_written(f"{2001 + k // 12}-{1 + k % 12:02d}") for k in range(40)]
    alone = tuple(
        replace(fault, last_good=month, found=month, cleared=month)
        for fault, month in zip(plan.faults, months, strict=False)
    )
    plan = replace(plan, faults=alone, berths=plan.berths[:1])
    return prepare(plan, Draws(1, 11), set_clock(plan, AS_OF))


def perfect() -> AbstractContextManager[None]:
    """Let instruments read what is true, to the last digit that they show."""
    medians = dict.fromkeys(PERFECT, 1.0) | FINE
    return assumptions.stated(
        assumptions.restate(name, median=median, spread=1.0, why="test")
        for name, median in medians.items()
    )


def test_the_interval_holds_and_the_ranking_finds_the_worst() -> None:
    result = Study(tuple(study(10, samples=128, seed=4)))
    for name, bound in BOUNDS.items():
        share, _ = result.held()[name]
        assert share == pytest.approx(0.8, abs=bound), name
    ours, naive = result.found()
    assert ours >= 2.0 * naive


def test_perfect_instruments_write_down_what_the_network_says(case: Case) -> None:
    seen = {"amps": 0, "ohms": 0, "volts": 0}
    truth = case.faults
    with perfect():
        log = read_faults(case, np.random.default_rng(3))
    for k, fault in enumerate(log.faults):
        if fault.system is None:
            assert fault == case.ship.faults[k]
            continue
        read = fault.readings
        stated = case.ship.system(fault.system)
        system = replace(
            stated,
            capacitance=float(truth.capacitance[fault.system][0]),
            insulation=float(truth.insulation[fault.system][0]),
        )
        conductor = system.conductors[truth.pole[0, k]]
        assert read.conductor in (None, conductor)
        ohms = float(truth.resistance[0, k])
        found = solve(system, [(conductor, ohms)], lamps=True)
        current = found.fault_amps[0]
        true = current.real if system.current == "dc" else abs(current)
        if read.amps is not None:
            assert log.amps[0, k] == pytest.approx(true, rel=1e-9)
            assert read.amps == pytest.approx(true, abs=0.0055)
            seen["amps"] += 1
        else:
            assert np.isnan(log.amps[0, k])
        if read.insulation is not None:
            assert read.insulation == float(f"{ohms:.2g}")
            seen["ohms"] += 1
        if read.hull_volts:
            shown = solve(system, [(conductor, ohms)], read.meter, lamps=True)
            assert read.hull_volts == pytest.approx(abs(shown.hull_volts), abs=0.5)
            seen["volts"] += 1
    assert min(seen.values()) >= 3


def test_instruments_err_as_the_basis_table_says(case: Case) -> None:
    tester, clamp = [], []
    ohms, width = (
        case.faults.resistance[0],
        np.log(assumptions.entry("clamp_factor").spread),
    )
    for seed in range(60):
        log = read_faults(case, np.random.default_rng(seed))
        for k, fault in enumerate(log.faults):
            if fault.readings.insulation is not None:
                tester.append(np.log(ohms[k] / fault.readings.insulation))
            if fault.system and fault.readings.amps is not None:
                true = abs(log.amps[0, k])
                if true > 0.02:  # nearer to nothing an alternating current has no sign
                    blur = np.hypot(width * true, 0.005)
                    clamp.append((true - abs(fault.readings.amps)) / blur)
    # the standard error of a standard deviation from n is its share 1/sqrt(2n)
    wide = np.log(assumptions.entry("insulation_tester_factor").spread)
    for errors, spread in ((tester, wide), (clamp, 1.0)):
        assert len(errors) > 200
        bound = 4.0 / np.sqrt(2.0 * len(errors))
        assert np.std(errors) == pytest.approx(spread, rel=bound)


def test_a_perfect_gauging_is_the_plate_and_its_departure(case: Case) -> None:
    (books,) = keep_books(case, [case.faults.spans])
    zones = len(case.ship.zones)
    away: Array = 1e-3 * np.arange(zones, dtype=np.float64)[None, :]
    true = predicted_thickness(case, books)[0]
    with perfect():
        taken = gauge(case, books, lambda _: away, np.random.default_rng(1))
    exact = [k for k, g in enumerate(taken) if g.kind == "mean" and g.sd is None]
    assert len(exact) >= 5
    for k in exact:
        wanted = true[k] + away[0, case.ship.zone_index(taken[k].zone)]
        assert taken[k].thickness == pytest.approx(wanted, abs=0.0501 * MM)


def test_the_departure_walks_on_with_the_root_of_time() -> None:
    moments = 10.0 * YEAR + YEAR * np.array([0.0, 1.0, 5.0, 30.0])
    wander = Wander.drawn(moments, 10.0 * YEAR, 3, np.random.default_rng(2))
    twin = np.random.default_rng(2)
    walk, start = twin.standard_normal((4, 3)), twin.standard_normal(3)
    at = [wander.departure(float(moment))[0] for moment in moments]
    assert at[0] == pytest.approx(0.3e-3 * start, rel=1e-9)
    for k, years in enumerate((1.0, 4.0, 25.0), start=1):
        step = 0.07e-3 * np.sqrt(years) * walk[k]
        assert at[k] - at[k - 1] == pytest.approx(step, rel=1e-9)


def test_the_truth_lies_within_the_dates_as_written() -> None:
    records, truth = rehearse(8)
    spans = truth.case.faults.spans
    for k, fault in enumerate(records.faults):
        assert fault.found.earliest <= spans.found[0, k] <= fault.found.latest
        if fault.cleared is None:
            assert spans.ended[0, k] == np.inf
        else:
            assert spans.ended[0, k] <= fault.cleared.latest


def test_the_same_seed_rehearses_the_same_ship() -> None:
    one, again, other = rehearse(3), rehearse(3), rehearse(4)
    assert one[0] == again[0]
    assert one[1].books.stray_kg.tolist() == again[1].books.stray_kg.tolist()
    assert one[0] != other[0]


@pytest.mark.parametrize("seed", range(4))
def test_a_rehearsed_ship_passes_through_real_files(seed: int, tmp_path: Path) -> None:
    records, _ = rehearse(seed)
    write_ship(records, tmp_path / "ship")
    read = read_ship(tmp_path / "ship")
    assert _told(read) == _told(records)
    assert 10 <= len(read.faults) <= 40
    assert {zone.side for zone in read.zones} == {"port", "starboard", "centre"}


def test_the_command_prints_both_figures(tmp_path: Path) -> None:
    runner = CliRunner()
    done = runner.invoke(main, ["--ships", "2", "--samples", "16", "--seed", "9"])
    assert done.exit_code == 0
    shares = [line.split() for line in done.stdout.splitlines() if line.endswith("%")]
    assert [words[0] for words in shares] == [
        "mean_loss_mm",
        "stray_kg",
        "natural_kg",
        "left_mm",
        "ship_stray_kg",
        "ship_natural_kg",
    ]
    assert all(0.0 <= float(words[1]) <= 100.0 for words in shares)
    assert "in a list by ampere-hours" in done.stdout
    kept = runner.invoke(main, ["--seed", "2", "--keep", str(tmp_path / "ship")])
    assert kept.exit_code == 0
    assert _told(read_ship(tmp_path / "ship")) == _told(rehearse(2)[0])


def _told(ship: Ship) -> Ship:
    return replace(
        ship,
        folder=None,
        doubts=(),
        faults=tuple(replace(row, line=0) for row in ship.faults),
        gaugings=tuple(replace(row, line=0) for row in ship.gaugings),
    )
