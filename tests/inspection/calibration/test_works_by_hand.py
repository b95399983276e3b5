"""What yards did, from a ship folder to JSON, against values worked by hand."""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from records.written import write_ship
from scipy.stats import norm
from ships import ship

import corrosion
from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.records.dates import as_written
from corrosion.records.ship import Berth, Ship, Work

CERTAIN = (
    "natural_factor_zone",
    "natural_wander",
    "natural_spread_factor",
    "bare_factor",
    "bare_factor_zone",
    "coating_initial_share",
    "coating_life_years",
    "rolling_factor",
)
WELD = Work(date=as_written("2015-05-20"), zone="AP", work="pits welded", share=0.01)
BESIDE = replace(WELD, zone="FS", date=as_written("2022-04-10"))
PAINTED = replace(WELD, zone="all", date=as_written("2022-04-12"), work="painted")


def table(**medians: float) -> Assumptions:
    """Return assumptions of which some are as given, and certain."""
    given = default_assumptions()
    for name, median in medians.items():
        given = given.override(name, median=median, why="a test")
    return given


def zones(vessel: Ship, folder: Path, day: date) -> dict[str, dict[str, Any]]:
    """Return the zones of the JSON of a ship that is written down and read."""
    write_ship(vessel, folder)
    found = corrosion.estimate(folder, samples=512, as_of=day).to_json()
    return {row["zone"]: row for row in found["zones"]}


def test_a_weld_leaves_a_third_of_the_plate(tmp_path: Path) -> None:
    """Pits of 10 mm plate are welded to 3.3 mm, which one in ten hides from.

    A month later none has grown by a tenth of a millimetre; what the inner face lost
    behind it before, a tenth or two, is not certain.
    """
    sure = table(pit_repaired_share=0.33)
    vessel = ship(works=(WELD,), assumptions=sure)
    row = zones(vessel, tmp_path / "a", date(2015, 6, 20))["AP"]
    assert row["deepest_mm"]["p50"] == pytest.approx(3.3, abs=0.1)
    assert row["deepest_mm"]["p10"] == pytest.approx(3.3, abs=0.15)
    # where surveyors differ by a fifth: 3.3 mm over and times 1.2 ** 1.2816
    row = zones(replace(vessel, assumptions=table()), tmp_path / "b", date(2015, 6, 20))
    wide = row["AP"]["deepest_mm"]
    assert wide["p10"] == pytest.approx(3.3 / 1.2 ** norm.ppf(0.9), rel=0.05)
    assert wide["p50"] == pytest.approx(3.3, rel=0.05)


def test_a_yard_that_looked_again_left_no_deeper_pit(tmp_path: Path) -> None:
    """Seven years on it was painted beside a plate that was welded: 3.3 mm at most.

    But for one in five; without that docking one in ten has grown by more than 0.3 mm.
    """
    sure = table(pit_repaired_share=0.33)
    later = ship(works=(WELD, BESIDE, PAINTED), assumptions=sure)
    day = date(2022, 5, 10)
    seen = zones(later, tmp_path / "a", day)["AP"]["deepest_mm"]
    blind = zones(replace(later, works=(WELD,)), tmp_path / "b", day)["AP"]
    assert seen["p10"] == pytest.approx(3.3, abs=0.1)
    assert seen["p50"] == pytest.approx(3.3, abs=0.1)
    assert blind["deepest_mm"]["p90"] > 3.6
    assert seen["p90"] < blind["deepest_mm"]["p90"]


def test_a_weld_afloat_says_that_pits_grow_fast_there_and_aboard(
    tmp_path: Path,
) -> None:
    """Welded in dock in 2008, and in 2018 again: in dock, or afloat, where she leaked.

    Of years in which no docking is on record it cannot be told. But for one in fifty
    nothing else is welded afloat here.
    """
    plain = ship(assumptions=table(pit_afloat_otherwise_chance=0.02))
    again = replace(WELD, date=as_written("2018-08"))
    first = replace(WELD, date=as_written("2008-05"))

    def stays(*docked: str) -> tuple[Berth, ...]:
        return tuple(
            Berth(
                start=as_written(f"{day}-01"),
                end=as_written(f"{day}-28"),
                berth="dock (invented)",
                supply="own",
                lies="dock",
            )
            for day in docked
        )

    def deep(folder: str, *docked: str) -> dict[str, float]:
        vessel = replace(plain, works=(first, again), berths=stays(*docked))
        rows = zones(vessel, tmp_path / folder, date(2024, 6, 1))
        return {zone: row["deepest_mm"]["p90"] for zone, row in rows.items()}

    leaked = deep("leaked", "2008-05", "2021-08")
    docked = deep("docked", "2008-05", "2018-08")
    unknown = deep("unknown", "2002-05")
    assert leaked["AP"] > 1.15 * docked["AP"]
    assert leaked["FP"] > docked["FP"]
    assert unknown["AP"] < leaked["AP"]


def test_a_renewed_plate_teaches_its_sister(tmp_path: Path) -> None:
    """One rate for all plates, lognormal, and one row: Bayes' rule on a grid.

    The row: 10 mm, limit 9.2, renewed at 40 years; 0.8 (1 + 2.5 / 40) = 0.85 mm, give
    or take 0.2 * 0.8, 0.3 of a gauging and 0.1 of its campaign; for other reasons one
    time in five, within 3 mm of it.
    """
    given = table(unrecorded_share=0.0005, inside_bare_share=0.001)
    for name in CERTAIN:
        given = given.override(name, median=given.value(name), why="a test")
    given = given.override("natural_factor", median=1.0, spread=1.6, why="a test")
    plates = tuple(
        replace(z, limit=0.0092, bare=0.5, bare_seen=as_written("1990-01"))
        for z in ship().zones
    )
    built = as_written("1980-01-01")
    alone = ship(built=built, zones=plates, works=(), assumptions=given)
    day = date(2026, 1, 1)
    eve = zones(alone, tmp_path / "eve", date(2020, 1, 1))["FP"]["left_mm"]["p50"]
    before = zones(alone, tmp_path / "before", day)["FS"]["natural_kg"]["p50"]
    new = Work(date=as_written("2020-01-01"), zone="FP", work="renewed")
    after = zones(replace(alone, works=(new,)), tmp_path / "after", day)["FS"]
    log = np.linspace(-2.5, 2.5, 2001)
    off, sd = (10.0 - eve) * np.exp(log) - 0.85, np.hypot(0.16, np.hypot(0.3, 0.1))
    slip = np.hypot(sd, given.value("gauging_slip_mm"))
    told = 0.8 * norm.pdf(off, scale=sd) + 0.2 * norm.pdf(off, scale=slip)
    reached = np.cumsum(norm.pdf(log / np.log(1.6)) * told)
    for key, share in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9)):
        expected = np.exp(np.interp(share, reached / reached[-1], log))
        assert after["natural_kg"][key] / before == pytest.approx(expected, rel=0.06)
