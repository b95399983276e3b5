"""A fault read beside others, from the ship folder to the JSON, by hand.

Two others stood for certain. A third was cleared on the day on which the fault was
clamped, before or after it: what was read is one resistance if it still stood and
another if it was gone, and both are worked out with a circuit of three conductors.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest
from records.written import write_ship
from ships import AC, fault, ship

import corrosion
from corrosion import read_ship
from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.records.dates import as_written
from corrosion.records.ship import Fault

POWER: Final = replace(AC, capacitance=1e-6, insulation=4e5)
SURE: Final = (("b", 2000.0), ("c", 5000.0))
PERHAPS: Final = ("b", 150.0)
OHMS: Final = 2000.0  # of the fault on a, if the third still stood
NEAR: Final = 0.08  # a step of the grid (5 %) and a clamp good to 3 %


def amps(ohms: float, others: Sequence[tuple[str, float]]) -> float:
    """Return what a fault on a carries on a floating star point, by Millman's theorem.

    Each conductor leads to the hull through its capacitance, its insulation and what
    is at fault on it; their currents sum to nothing.
    """
    phase = 440.0 / np.sqrt(3.0) * np.exp(-2j * np.pi * np.arange(3) / 3.0)
    y = np.full(3, 1.0 / 4e5 + 2j * np.pi * 60.0 * 1e-6)
    for conductor, other in (("a", ohms), *others):
        y["abc".index(conductor)] += 1.0 / other
    hull = (phase @ y) / y.sum()
    return float(abs(phase[0] - hull) / ohms)


def same_reading(read: float, others: Sequence[tuple[str, float]]) -> float:
    """Return the resistance through which others leave that reading, by halving."""
    low, high = 1.0, 1e5
    for _ in range(60):
        middle = np.sqrt(low * high)
        low, high = (middle, high) if amps(middle, others) > read else (low, middle)
    return float(np.sqrt(low * high))


def exact() -> Assumptions:
    """Return a table in which instruments are good and resistances do not wander."""
    table = default_assumptions()
    for name, spread in (
        ("capacitance_factor", 1.001), ("insulation_factor", 1.001),
        ("insulation_test_factor", 1.001), ("insulation_tester_factor", 1.03),
        ("clamp_factor", 1.03), ("fault_ohm_wander", 1.0001),
        ("fault_ohm_wander_year", 1.0001),
    ):  # fmt: skip
        table = table.override(name, median=1.0, spread=spread, why="a test")
    return table.override("direct_source_chance", median=1e-6, why="a test")


def stands(name: str, found: str, **more: object) -> Fault:
    return replace(fault(name, found, **more), standing=True)  # type: ignore[arg-type]


def told(folder: Path, cleared: str | None, read: float) -> dict[str, Any]:
    """Return the JSON of the fault on a; the third was cleared then, or stands."""
    tested = [
        stands(f"N{k}", "2010-03-01 10:00", conductor=pole, insulation=ohms)
        for k, (pole, ohms) in enumerate(SURE)
    ]
    third: dict[str, Any] = {"conductor": PERHAPS[0], "insulation": PERHAPS[1]}
    at = "2010-03-05 10:00"
    last = stands("U", at, **third) if cleared is None else fault("U", at, cleared,
                                                                  **third)  # fmt: skip
    clamped = stands("F", "2010-03-06", conductor="a", amps=read)
    good = as_written("2010-03-05 22:00")  # so that it stood beside them all the time
    clamped = replace(clamped, last_good=good)
    one = ship(systems=(POWER,), faults=(*tested, last, clamped), assumptions=exact())
    write_ship(one, folder)
    found = corrosion.estimate(read_ship(folder), samples=256, as_of=date(2010, 9, 1))
    rows = {row["fault"]: row for row in found.to_json()["faults"]}
    return dict(rows["F"])


def test_a_fault_read_beside_one_that_may_have_been_cleared(tmp_path: Path) -> None:
    read = amps(OHMS, (*SURE, PERHAPS))
    gone = same_reading(read, SURE)
    assert gone < 0.7 * OHMS  # the two ways are two answers
    both = told(tmp_path / "both", "2010-03-06", read)["resistance_ohm"]
    assert both["p10"] == pytest.approx(gone, rel=NEAR)
    assert both["p90"] == pytest.approx(OHMS, rel=NEAR)
    before = told(tmp_path / "before", "2010-03-05 18:00", read)
    assert before["resistance_ohm"]["p50"] == pytest.approx(gone, rel=NEAR)
    # From then on the two others stand beside it, as it was read.
    assert before["amps_ac"]["p50"] == pytest.approx(read, rel=NEAR)
    still = told(tmp_path / "still", None, read)
    assert still["resistance_ohm"]["p50"] == pytest.approx(OHMS, rel=NEAR)
    assert still["amps_ac"]["p50"] == pytest.approx(read, rel=NEAR)


def test_amperes_after_the_third_was_cleared_are_those_of_either_way(
    tmp_path: Path,
) -> None:
    read = amps(OHMS, (*SURE, PERHAPS))
    found = told(tmp_path / "both", "2010-03-06", read)["amps_ac"]
    # Half a year without the third: as read, or what the higher resistance then passes.
    assert found["p90"] == pytest.approx(read, rel=NEAR)
    assert found["p10"] == pytest.approx(amps(OHMS, SURE), rel=NEAR)
