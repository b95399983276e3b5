"""Reports of three ships: the invented demo, a hostile one, and one with nothing."""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Final

import pytest
from ships import ZONES, berth, current, fault, ship

from corrosion import estimate, read_ship
from corrosion.foundation.assumptions import default_assumptions
from corrosion.presentation.report import Contents, gather
from corrosion.records.dates import as_written
from corrosion.records.ship import Circuit, Gauging

DAY: Final = date(2026, 11, 25)
DATA: Final = Path(__file__).parents[3] / "data"
EVIL: Final = '"><script>alert("x")</script><img src=http://x.invalid/a onerror=b>'


@pytest.fixture(scope="session")
def plover() -> Contents:
    """Return what the report of the invented museum ship says."""
    result = estimate(read_ship(DATA / "grey-plover"), samples=32, seed=1, as_of=DAY)
    return gather(result, lies="alongside")


@pytest.fixture(scope="session")
def hostile() -> Contents:
    """Return what the report of a ship with hostile words everywhere says."""
    first, *rest = ZONES
    zones = (replace(first, zone=f"={EVIL}", name=EVIL), *rest)
    where = zones[0].zone
    teal = ship(
        name=f"{EVIL} Teal",
        zones=zones,
        faults=(
            fault(
                f"@{EVIL}", "2024", zone=where, circuit=f"+{EVIL}", remark=f"-{EVIL}"
            ),
            current("W-1", "2025-01-02", "2025-02-02", 3.0, zone=where),
        ),
        berths=(berth(None, None, "shore earthed", berth=f"\t{EVIL}"),),
        gaugings=(
            Gauging(
                zone=where,
                date=as_written("2025-05"),
                thickness=0.004,
                remark=f"={EVIL}",
            ),
        ),
        circuits=(Circuit(system="power", circuit=f"={EVIL}", permission=EVIL),),
        assumptions=default_assumptions().override(
            "pitting_factor", median=4.0, spread=1.5, why=EVIL
        ),
    )
    return gather(estimate(teal, samples=64, seed=1, as_of=DAY))


@pytest.fixture(scope="session")
def bare() -> Contents:
    """Return what the report of a ship without faults, gaugings or hours says."""
    return gather(estimate(ship(), samples=64, seed=1, as_of=DAY), hours=0.01)
