"""How much a ship's faults wander, learned from those that were read twice.

From the ship folder to the JSON: what was read of six faults a month apart decides how
wide the amperes of a seventh are at another berth, which was read once.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from records.written import write_ship
from ships import AC, berth, fault, ship

import corrosion
from corrosion import Ship, read_ship
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.leakage.learned_wander import learned_wander
from corrosion.leakage.wander import Wander
from corrosion.records.dates import as_written
from corrosion.records.measured import Reading

TABLE = default_assumptions()
SURE = TABLE.override("insulation_test_factor", median=1.0, spread=1.05, why="a test")
AT_SEA = berth("2010", "2024", "own")
QUAY = berth("2024", None, "shore earthed", earth_cable=0.2, shore_earth=1.0)


def her(scatter: float, *, twice: bool = True) -> Ship:
    """A ship of six faults that were tested a month apart, and one that was once."""
    rng = np.random.default_rng(4)
    faults, rows = [], []
    for k in range(6):
        ohms, name = float(rng.choice([300.0, 900.0, 4000.0])), f"F{k}"
        move = scatter * (-1.0) ** k * (0.8 + 0.4 * rng.random())
        month = f"{2012 + k}-03"
        cleared = f"{2012 + k}-08-01 09:00"
        faults.append(
            fault(name, f"{month}-01 09:00", cleared, conductor="a", insulation=ohms)
        )
        later = as_written(f"{2012 + k}-04-02 09:00")
        again = Reading(time=later, fault=name, insulation=ohms * np.exp(move))
        rows += [again] if twice else []
    last = fault("ONE", "2023-10-01 09:00", conductor="a", insulation=600.0)
    return ship(
        systems=(replace(AC, insulation=5e6),),
        faults=(*faults, replace(last, standing=True)),
        berths=(AT_SEA, QUAY),
        readings=tuple(rows),
        assumptions=SURE,
    )


def factor(one: Ship) -> float:
    draws = Draws(64, 1, one.assumptions)
    return learned_wander(one, draws).slow / Wander.of(one.assumptions).slow


def test_what_moved_little_and_what_moved_much_is_learned() -> None:
    usual = Wander.of(TABLE).between(32.0 * 86400.0)  # a month, from the table
    little, as_said, much = (factor(her(x * usual)) for x in (0.1, 1.0, 2.5))
    assert little < 0.45
    assert as_said == pytest.approx(1.0, abs=0.35)
    assert much > 2.2


def test_a_fault_read_once_teaches_nothing() -> None:
    assert factor(her(2.0, twice=False)) == 1.0


def test_the_grid_is_the_normal_posterior() -> None:
    """Against scipy's quadrature of the same prior and likelihood."""
    from scipy.integrate import quad  # noqa: PLC0415
    from scipy.stats import norm  # noqa: PLC0415

    one = her(1.5)
    usual = Wander.of(TABLE).between(32.0 * 86400.0)
    rows = {row.fault: row.insulation for row in one.readings}
    moved = [
        np.log(float(rows[f.fault] or 0.0) / f.readings.insulation)
        for f in one.faults
        if f.fault in rows and f.readings.insulation
    ]
    known = 2.0 * (np.log(1.15) ** 2 + np.log(1.05) ** 2)

    def density(z: float) -> float:
        sd = np.sqrt(1.6 ** (2.0 * z) * usual**2 + known)
        return float(norm.pdf(z) * np.prod(norm.pdf(moved, scale=sd)))

    top = quad(lambda z: 1.6 ** (2.0 * z) * density(z), -3.0, 3.0)[0]
    assert factor(one) == pytest.approx(top / quad(density, -3.0, 3.0)[0], rel=0.1)


def test_amperes_of_a_fault_read_once_are_as_wide_as_the_others_moved(
    tmp_path: Path,
) -> None:
    widths = []
    for name, scatter in (("dry", 0.1), ("damp", 3.0)):
        write_ship(her(scatter), tmp_path / name)
        found: Any = corrosion.estimate(
            read_ship(tmp_path / name), samples=256, as_of=date(2026, 1, 1)
        ).to_json()
        amps = found["faults"][-1]["amps"]
        widths.append(np.log(amps["p90"] / amps["p10"]))
    dry, damp = widths
    assert damp > 1.7 * dry


def test_a_reading_before_the_middle_of_its_day_is_no_time_run_backwards() -> None:
    one = her(1.0, twice=False)
    morning = Reading(time=as_written("2012-03-01 07:00"), fault="F0", insulation=800.0)
    day = replace(one.faults[0], found=as_written("2012-03-01"))  # noon, in the middle
    early = replace(one, faults=(day, *one.faults[1:]), readings=(morning,))
    assert np.isfinite(factor(early))
