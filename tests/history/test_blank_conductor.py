"""A protective conductor of which nobody wrote: there in most samples, from the folder.

Blank is unknown, ``none`` is none (issue of the amperes that belong to a state): what a
ship folder says of it must come out of the estimate's JSON.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from records.written import write_ship
from ships import berth, ship

import corrosion
from corrosion import Estimate, Ship, read_ship
from corrosion.foundation.assumptions import default_assumptions
from corrosion.records.kinds import Supply
from corrosion.records.ship import Berth

QUAY = berth("2018-03", "2024-05", "shore earthed", earth_cable=0.2, shore_earth=1.0)
BLANK = replace(QUAY, earth_cable=None)


def lying(at: Berth) -> Ship:
    table = default_assumptions().override(
        "earth_cable_ohm", median=0.2, spread=1.0, why="a test"
    )
    return ship(berths=(at,), systems=(), assumptions=table)


def run(at: Berth, folder: Path) -> Estimate:
    write_ship(lying(at), folder)
    return corrosion.estimate(read_ship(folder), samples=64, as_of=date(2026, 1, 1))


def test_a_blank_conductor_is_there_in_most_samples(tmp_path: Path) -> None:
    written, blank = (
        run(at, tmp_path / name) for at, name in ((QUAY, "written"), (BLANK, "blank"))
    )
    there = blank.inputs.paths.earth_conductance > 0.0
    assert there.mean() == pytest.approx(0.85, abs=0.02)
    one, two = (each.history.couple_kg.sum(axis=1) for each in (written, blank))
    assert two[there] == pytest.approx(one[there], rel=1e-9)
    assert not two[~there].any()
    said = [each.to_json()["totals"]["couple_kg"]["mean"] for each in (written, blank)]
    assert said == pytest.approx([one.mean(), one[there].sum() / 64.0], rel=1e-9)


@pytest.mark.parametrize("supply", ["shore earthed", "shore isolated"])
def test_none_is_none_whatever_feeds_her(supply: Supply, tmp_path: Path) -> None:
    without = replace(BLANK, earth_none=True, supply=supply)
    assert not run(without, tmp_path / "none").history.couple_kg.any()


def test_a_connected_one_carries_the_couple_whatever_feeds_her(tmp_path: Path) -> None:
    isolated = replace(QUAY, supply="shore isolated")
    found = run(isolated, tmp_path / "isolated").history.couple_kg
    assert np.median(found.sum(axis=1)) > 0.0
