from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

import corrosion
from corrosion.presentation.answers import history
from corrosion.presentation.answers.currents import (
    ANODES,
    COUPLE,
    FAULTS,
    OWN_METALS,
    causes_of,
    leaving,
    panels,
)
from corrosion.presentation.answers.previewed_fault import inferred_fault
from corrosion.records.ship import Readings
from corrosion.result_tables import ResultTable

DATA = Path(__file__).parents[3] / "data"


@pytest.fixture(scope="module")
def result() -> corrosion.Estimate:
    ship = corrosion.read_ship(DATA / "grey-plover")
    return corrosion.estimate(ship, samples=32, seed=1, as_of="2026-11-25")


def test_the_years_add_up_to_the_totals(result: corrosion.Estimate) -> None:
    years = history.loss_by_year(result, most=500)
    assert years["year"].iloc[-1] == result.as_of.year
    totals = {name: value["mean"] for name, value in result.totals.items()}
    summed = years.drop(columns="year").sum()
    everything = totals["stray_kg"] + totals["natural_kg"]
    both = summed["stray_kg_mean"] + summed["natural_kg_mean"]
    assert both == pytest.approx(everything, rel=5e-4)
    assert summed["couple_kg_mean"] == pytest.approx(totals["couple_kg"], rel=0.05)


def test_the_last_years_are_those_of_all(result: corrosion.Estimate) -> None:
    some = history.loss_by_year(result, most=3)
    assert some["year"].tolist() == [result.as_of.year - k for k in (2, 1, 0)]


def test_causes_of_a_zone_add_up(result: corrosion.Estimate) -> None:
    lost = history.loss_by_zone(result).set_index("zone")
    zones = result.zones.set_index("zone")
    assert lost["stray_kg_mean"].is_monotonic_decreasing
    assert np.allclose(lost["stray_kg_mean"], zones["stray_kg_mean"].loc[lost.index])
    of_faults = result.faults.groupby("zone")["kg_mean"].sum()
    assert (lost["stray_kg_mean"] >= lost["couple_kg_mean"] - 1e-9).all()
    total = lost["couple_kg_mean"].sum() + of_faults.sum()
    assert total == pytest.approx(lost["stray_kg_mean"].sum(), rel=0.01)


def test_gaugings_stand_beside_what_was_foreseen(result: corrosion.Estimate) -> None:
    table = history.gaugings(result)
    assert len(table) == len(result.ship.gaugings)
    assert table["measured_mm"].iloc[0] == pytest.approx(10.6)
    measured = result.calibration.measured
    assert measured is not None  # readings of a zone, day and campaign are one row
    middle = 1e3 * np.median(result.calibration.predicted, axis=0)[measured.row]
    assert table["predicted_mm_p50"].to_numpy() == pytest.approx(middle)
    worst = table["zone"].iloc[int(table["deviations"].abs().argmax())]
    assert worst == result.calibration.disagreements[0].zone


def test_what_gaugings_changed_ends_at_the_estimate(result: corrosion.Estimate) -> None:
    after = history.calibrated_thickness(result).set_index("zone")["after_mm_p50"]
    zones = result.zones.set_index("zone")["left_mm_p50"]
    assert np.allclose(after, zones.loc[after.index])


def test_a_fan_meets_the_table_at_the_date(result: corrosion.Estimate) -> None:
    zone = result.ship.zones[0].zone
    fan = history.fan(result, zone)
    now = fan.iloc[
        (fan["year"] - 1970.0 - result.inputs.time_grid.as_of / 31557600.0)
        .abs()
        .argmin()
    ]
    left = result.zones.set_index("zone").loc[zone, "left_mm_p50"]
    assert now["p50"] == pytest.approx(left)


def test_what_returns_aboard_sums_to_nothing(result: corrosion.Estimate) -> None:
    berths = [berth.supply for berth in result.ship.berths]
    own = leaving(result, berths.index("own"), "M2-S-BOT")
    assert own.table["leaving_ma"].sum() == pytest.approx(0.0, abs=1e-9)
    assert 0.0 < own.share < 0.1


def test_what_returns_ashore_leaves_in_full_where_no_earth_is_tied(
    result: corrosion.Estimate,
) -> None:
    berths = result.ship.berths
    at = next(
        k
        for k, berth in enumerate(berths)
        if berth.supply == "shore earthed" and berth.earth_cable is None
    )
    gone = leaving(result, at, "M2-S-BOT")
    assert gone.table["leaving_ma"].sum() == pytest.approx(1000.0)
    assert leaving(result, at, COUPLE).share == pytest.approx(0.0, abs=1e-12)


def test_her_own_metals_drive_current_out_of_steel_and_into_the_propeller(
    result: corrosion.Estimate,
) -> None:
    at = [berth.supply for berth in result.ship.berths].index("own")
    gone = leaving(result, at, OWN_METALS)
    amps = gone.table.set_index("zone")["leaving_ma"]
    assert amps.sum() == pytest.approx(0.0, abs=1e-6)
    assert amps["C-PRP"] == amps.min()
    assert amps["C-PRP"] == pytest.approx(-1000.0 * gone.share, rel=0.05)
    dock = [berth.afloat for berth in result.ship.berths].index(False)
    assert leaving(result, dock, OWN_METALS).share == 0.0


def test_each_panel_has_the_density_of_its_zone(result: corrosion.Estimate) -> None:
    gone = leaving(result, 0, "M2-S-BOT")
    corners, density = panels(result, gone.table)
    assert corners.shape == (len(density), 4, 3)
    known = gone.table["density_ma_per_m2"].to_numpy()
    assert set(np.round(density, 12)) <= set(np.round([0.0, *known], 12))
    amps = gone.table["density_ma_per_m2"] * gone.table["area_m2"]
    assert np.allclose(amps, gone.table["leaving_ma"])


def test_berths_follow_one_another(result: corrosion.Estimate) -> None:
    spans = history.berth_intervals(result)
    assert (spans["start"] <= spans["end"]).all()
    assert len(spans) == len(result.ship.berths)


def test_readings_are_taken_at_the_berth_of_the_day() -> None:
    ship = corrosion.read_ship(DATA / "grey-plover")
    system = ship.system("ship service")
    read = Readings(hull_volts=(430.0, 40.0, 420.0))
    sampling = (256, 1)
    at_sea = inferred_fault(
        ship, system, read, as_of=date(1980, 6, 1), sampling=sampling
    )
    ashore = inferred_fault(
        ship, system, read, as_of=date(2026, 11, 25), sampling=sampling
    )
    assert at_sea["earthed_at"] is None
    assert ashore["earthed_at"].startswith("Museum Quay")
    assert ashore["resistance_ohm"]["p50"] < 0.1 * at_sea["resistance_ohm"]["p50"]


def test_standing_faults_are_drawn_as_they_return(result: corrosion.Estimate) -> None:
    assert FAULTS in causes_of(result)
    assert ANODES not in causes_of(result)
    stand = result.faults[result.faults["standing"]]
    most = stand["amps_dc_mean"].abs().sum()
    berths = [berth.supply for berth in result.ship.berths]
    aboard = leaving(result, berths.index("own"), FAULTS)
    assert aboard.table["leaving_ma"].sum() == pytest.approx(0.0, abs=1e-6)
    assert 0.0 < aboard.share < most
    no = np.zeros(len(result.faults), np.bool_)
    none = {**result.fault_table.columns, "standing": no}
    cleared = replace(result, fault_table=ResultTable(none))
    assert leaving(cleared, 0, FAULTS).share == 0.0
