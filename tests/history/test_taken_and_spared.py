"""A direct current that returns aboard, through the whole program.

The hull of our trial: 100 x 15 x 5 m in 16 zones, 3 % bare, water of 0.27 Ω·m, a rudder
of 12 m² behind a joint of 0.5 Ω, and half an ampere that enters at the rudder for a
year and returns at the bottom amidships. The trial, a network of our own with a hull of
another program's panels, takes 2.93 kg of the rudder with this interface law.
"""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import current, zone

import corrosion
from corrosion import Estimate, Ship
from corrosion.foundation.assumptions import default_assumptions
from corrosion.inspection.whatif.measures import cleared_within
from corrosion.presentation.answers.isolation import measure_savings
from corrosion.records.dates import as_written
from corrosion.records.ship import Form, Water, Zone

KNOWN = {  # exact, so that one figure comes out
    "interface_ohm_m2": 0.586,  # 0.043 A/m² (0.05 mm a year) by a slope of 58 mV
    "anodic_tafel_v": 0.058,
    "coating_ohm_m2": 5000.0,
    "steel_structure_factor": 1.0,
    "bare_factor": 1.0,
    "bare_factor_zone": 1.0,
    "clamp_factor": 1.0,
    "coating_life_years": 140.0,  # it stays 3 % bare
    "bare_patch_radius_m": 0.001,  # the trial has no constriction at patches
    "holiday_radius_m": 0.001,
}


def shell() -> tuple[Zone, ...]:
    rows = []
    for k, start in enumerate((0, 25, 50, 75)):
        for side in ("port", "starboard"):
            for part, top, bottom in (("S", 0.0, 2.5), ("B", 2.5, 5.0)):
                row = zone(
                    f"{k}{side[0].upper()}{part}",
                    (start, start + 25),
                    side,
                    top=top,
                    bottom=bottom,
                    bare=0.03,
                    bare_seen=as_written("2021-01-01"),
                    painted=as_written("2020-12-01"),
                    cable_share=1.0
                    if (k, side, part) == (2, "starboard", "B")
                    else 0.0,
                )
                rows.append(row)
    rudder = replace(
        rows[-1],
        zone="RUD",
        side="centre",
        frame_from=99.0,
        frame_to=103.0,
        top=1.0,
        bottom=5.0,
        area=12.0,
        bond=0.5,
        bonded_to="3SB",
        cable_share=0.0,
    )
    return (*rows, rudder)


def invented() -> Ship:
    table = default_assumptions()
    for name, value in KNOWN.items():
        table = table.override(name, median=value, spread=1.0, why="a test")
    return Ship(
        name="Dunlin",
        form=Form(
            length=100.0,
            beam=15.0,
            draught=5.0,
            block_coefficient=0.7,
            frame_spacing=1.0,
        ),
        water=Water(resistivity=0.27, temperature=10.0),
        built=as_written("2020-01"),
        zones=shell(),
        faults=(
            current(
                "A",
                "2021-01-01 00:00",
                "2022-01-01 00:00",
                0.5,
                zone="RUD",
                returns="aboard",
            ),
        ),
        assumptions=table,
    )


@pytest.fixture(scope="module")
def result() -> Estimate:
    return corrosion.estimate(invented(), samples=16, as_of=date(2022, 6, 1))


def test_a_year_of_half_an_ampere_takes_its_metal_from_the_rudder(
    result: Estimate,
) -> None:
    found = result.to_json()
    rows = {row["zone"]: row for row in found["zones"]}
    assert rows["RUD"]["faults_kg"]["p50"] == pytest.approx(2.93, rel=0.05)
    (fault,) = found["faults"]
    assert fault["kg"]["p50"] == pytest.approx(
        found["totals"]["stray_kg"]["p50"], rel=1e-9
    )
    # the rudder's is the most of it, but for the last digit: they are two sums
    assert fault["kg"]["p50"] * (1.0 + 1e-12) >= rows["RUD"]["faults_kg"]["p50"]
    assert found["totals"]["spared_kg"]["p50"] > 0.5 * fault["kg"]["p50"]
    assert fault["spared_kg"]["p50"] == pytest.approx(
        found["totals"]["spared_kg"]["p50"], rel=1e-9
    )
    assert rows["RUD"]["leading_cause"] == "faults"
    assert rows["RUD"]["leading_fault"] == "A"


def test_isolation_within_a_day_keeps_nearly_all(result: Estimate) -> None:
    (row,) = measure_savings(result, [cleared_within(24.0)])
    taken = result.totals["stray_kg"]["mean"]
    assert row["kept_kg"]["mean"] > 0.95 * taken
    assert row["kept_kg"]["mean"] <= taken * (1.0 + 1e-9)
    assert row["saved_kg"] == row["kept_kg"]
    assert row["given_up_kg"]["mean"] > 0.0  # what it spared elsewhere, not netted
    assert row["given_up_kg"]["mean"] == pytest.approx(
        result.totals["spared_kg"]["mean"] * 364.0 / 365.0, rel=0.01
    )


def test_taken_and_spared_are_what_the_currents_carry(result: Estimate) -> None:
    """By Faraday: what leaves comes back elsewhere, ampere for ampere."""
    history = result.history
    year = 365 * 86400.0
    kg = 55.845e-3 / 2.0 / 96485.33212 * year  # by one ampere
    amps = history.faults_kg.sum(axis=1) / kg
    crossed = history.water_charge[:, 0] / year
    assert amps == pytest.approx(crossed, rel=0.02)
    assert (amps < 0.5).all()
    assert np.all(history.spared_kg.sum(axis=1) <= history.faults_kg.sum(axis=1) * 1.02)
