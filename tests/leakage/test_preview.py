"""A preview and the fault once saved: one inference, the same digits, to the JSON."""

from dataclasses import replace
from datetime import date

import pytest
from ships import AC, fault, ship

import corrosion
from corrosion.presentation.answers.previewed_fault import inferred_fault
from corrosion.records.dates import as_written
from corrosion.records.measured import Reading
from corrosion.records.ship import LampSet

DAY = date(2020, 1, 5)


def test_preview_and_saved_fault_agree() -> None:
    # Beside another that stands: a preview that leaves it out finds another fault. So
    # does one that leaves out those of other systems, which tell of the ship.
    other = replace(fault("O", "2020-01-01", conductor="b", amps=0.3), standing=True)
    far = fault(
        "B", "2019-05-01", "2019-05-02", system="battery", current="dc", insulation=9e4
    )
    saved = fault("P", "2020-01-05", conductor="a", amps=0.2, insulation=900.0)
    one = ship(faults=(other, far))
    found = inferred_fault(
        one, AC, saved.readings, as_of=DAY, sampling=(256, 1), name="P"
    )
    both = replace(one, faults=(other, far, saved))
    result = corrosion.estimate(both, samples=256, seed=1, as_of=DAY)
    row = result.to_json()["faults"][2]
    assert found["resistance_ohm"] == pytest.approx(row["resistance_ohm"], rel=1e-12)
    alone = inferred_fault(
        replace(one, faults=()), AC, saved.readings, as_of=DAY, sampling=(256, 1)
    )
    assert alone["resistance_ohm"]["p50"] != found["resistance_ohm"]["p50"]


def test_a_direct_component_reaches_the_json_beside_the_alternating_current() -> None:
    lit = replace(AC, lamps=LampSet(volts=254.0, watts=25.0))
    read = fault(
        "F", "2020-01-01 10:00", "2020-01-05 10:00", good="2020-01-01 09:00",
        conductor="a", insulation=90.0,
    )  # fmt: skip
    row = Reading(
        time=as_written("2020-01-01 10:00"), fault="F", amps=0.15, current="dc"
    )
    one = replace(ship(systems=(lit,), faults=(read,)), readings=(row,))
    result = corrosion.estimate(one, samples=256, seed=1, as_of=date(2020, 2, 1))
    (found,) = result.to_json()["faults"]
    assert found["current"] == "both"
    assert found["amps_dc"]["p10"] < 0.15 < found["amps_dc"]["p90"]
    assert found["amps_ac"]["p50"] > 0.0
    # 96 hours and what went before: the direct part is booked as direct.
    hours = found["hours"]["p50"]
    assert found["charge_ah_dc"]["p50"] == pytest.approx(
        hours * found["amps_dc"]["p50"], rel=0.2
    )
    whole = found["charge_ah_ac"]["mean"] + found["charge_ah_dc"]["mean"]
    assert found["charge_ah"]["mean"] == pytest.approx(whole, rel=1e-9)
    assert result.totals["charge_ah_dc"]["mean"] == pytest.approx(
        found["charge_ah_dc"]["mean"]
    )
    opposite = replace(one, readings=(replace(row, amps=-0.15),))
    turned = corrosion.estimate(opposite, samples=256, seed=1, as_of=date(2020, 2, 1))
    assert turned.to_json()["faults"][0]["amps_dc"]["p90"] < 0.0
