"""Tests of results: tables summed up from samples, JSON."""

import json
import math
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any

import numpy as np
import pytest
from ships import berth, current, fault, ship

import corrosion
from corrosion.foundation.json_values import STATISTICS, json_value, row_to_json
from corrosion.foundation.statistics import summarise
from corrosion.result_tables import ACCOUNTS
from corrosion.wastage.faraday import mass_loss

TODAY = date(2026, 1, 1)
ONE = ship(
    berths=(berth("2018", None, "shore earthed", earth_cable=0.1),),
    faults=(
        fault("A", "2019-05", "2020-06", conductor="a", insulation=60.0, good="2019"),
        current("W", "2021-01-02", "2021-02-06", -4.0, zone="AP", remark="reversed"),
        current("N", "2021-01-02", "2021-02-06", 4.0, zone=None),
    ),
)


@cache
def result() -> corrosion.Estimate:
    """Return her estimate, made when first asked."""
    return corrosion.estimate(ONE, samples=128, seed=1, as_of=TODAY)


def fault_rows() -> list[dict[Any, Any]]:
    return result().faults.to_dict("records")


def zone_rows() -> list[dict[Any, Any]]:
    return result().zones.to_dict("records")


def test_a_summary_is_mean_and_quantiles_of_each_column() -> None:
    values = np.arange(12.0).reshape(6, 2)
    got = summarise(values)
    assert tuple(got) == STATISTICS
    assert got["mean"].tolist() == [5.0, 6.0]
    assert got["p50"].tolist() == [5.0, 6.0]
    assert got["p10"].tolist() == [1.0, 2.0]
    assert got["p90"].tolist() == [9.0, 10.0]


def test_a_summary_of_no_columns_is_empty() -> None:
    assert all(x.shape == (0,) for x in summarise(np.zeros((4, 0))).values())


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (np.float64(1.5), 1.5),
        (np.int64(3), 3),
        (np.bool_(True), True),
        (float("nan"), None),
        (np.float64("inf"), None),
        ("words", "words"),
        (None, None),
    ],
)
def test_plain_values_are_what_json_carries(value: object, expected: object) -> None:
    got = json_value(value)
    assert got == expected
    assert type(got) is type(expected)


def test_nested_gathers_the_statistics_of_a_quantity() -> None:
    row = {"zone": "A", **{f"kg_{s}": k for k, s in enumerate(STATISTICS)}}
    assert row_to_json(row, ("zone", "kg")) == {
        "zone": "A",
        "kg": {"mean": 0, "p10": 1, "p50": 2, "p90": 3},
    }


def test_a_fault_table_has_the_faults_in_file_order() -> None:
    assert [row["fault"] for row in fault_rows()] == ["A", "W", "N"]
    assert [row["current"] for row in fault_rows()] == ["ac", "dc", "dc"]
    assert fault_rows()[1]["remark"] == "reversed"
    assert math.isnan(fault_rows()[1]["resistance_ohm_mean"])


def test_the_ceiling_charges_every_ampere_whatever_its_sign() -> None:
    reversed_ = fault_rows()[1]
    expected = mass_loss(reversed_["charge_ah_mean"] * 3600.0, "steel")
    assert reversed_["ceiling_kg_mean"] == pytest.approx(float(expected), rel=1e-9)
    assert reversed_["charge_ah_mean"] == pytest.approx(4.0 * 35 * 24, rel=0.01)


def test_ceilings_by_zone_and_by_fault_are_the_same_sum() -> None:
    by_zone = sum(row["ceiling_kg_mean"] for row in zone_rows())
    by_fault = sum(row["ceiling_kg_mean"] for row in fault_rows())
    assert by_zone == pytest.approx(by_fault, rel=1e-9)
    assert result().totals["ceiling_kg"]["mean"] == pytest.approx(by_fault, rel=1e-9)


KG = tuple(name.removesuffix("_kg") for name in ACCOUNTS)


def test_totals_are_the_sums_of_the_zones() -> None:
    for name in ACCOUNTS:
        summed = sum(row[f"{name}_mean"] for row in zone_rows())
        assert result().totals[name]["mean"] == pytest.approx(summed, rel=1e-9)
    charge = sum(row["charge_ah_mean"] for row in fault_rows())
    assert result().totals["charge_ah"]["mean"] == pytest.approx(charge, rel=1e-9)


def test_accounts_complete_the_identity_of_what_was_lost() -> None:
    """Taken, spared and natural, as printed: ship folder in, JSON out."""
    found = result().to_json()
    for row in (found["totals"], *found["zones"]):
        kg = {name: row[f"{name}_kg"]["mean"] for name in KG}
        assert kg["stray"] == pytest.approx(kg["faults"] + kg["couple"], rel=1e-9)
        assert kg["natural"] == pytest.approx(
            kg["natural_sea"] + kg["natural_inside"], rel=1e-9
        )
        lost = kg["natural"] - kg["protection_spared"] - kg["spared"]
        lost += kg["stray"] + kg["own_metals"] + kg["unexplained"]
        assert kg["lost"] == pytest.approx(lost, rel=1e-9)
        assert min(kg.values()) >= 0.0
    by_fault = sum(row["kg"]["mean"] for row in found["faults"])
    assert found["totals"]["faults_kg"]["mean"] == pytest.approx(by_fault, rel=1e-6)
    causes = {row["leading_cause"] for row in found["zones"]}
    assert causes <= {"faults", "shore couple", "own metals", "natural", "inside"}


def test_an_unlocated_fault_has_no_zone_and_its_ceiling_lies_by_the_cables() -> None:
    assert fault_rows()[2]["zone"] is None
    alone = replace(ONE, faults=ONE.faults[2:])
    zones = corrosion.estimate(alone, samples=512, as_of=TODAY).zones
    area = zones["area_m2"].where(zones["zone"] != "RUD", 0.0)
    share = zones["ceiling_kg_mean"] / zones["ceiling_kg_mean"].sum()
    assert share.tolist() == pytest.approx((area / area.sum()).tolist(), abs=0.01)


def test_json_is_plain_and_knows_no_nan() -> None:
    written = json.dumps(result().to_json(), allow_nan=False)
    assert json.loads(written) == result().to_json()
    by_name = {row["fault"]: row for row in result().to_json()["faults"]}
    assert by_name["W"]["resistance_ohm"]["mean"] is None
    assert by_name["N"]["zone"] is None


def test_tables_of_a_ship_without_faults_are_empty_and_whole() -> None:
    idle = corrosion.estimate(ship(), samples=16, as_of=TODAY)
    assert set(idle.faults.columns) == set(result().faults.columns)
    assert idle.to_json()["faults"] == []
