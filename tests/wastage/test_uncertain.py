"""Tests of wastage.uncertain: what is drawn, and what a record says of it."""

import numpy as np
import pytest
from ships import ZONES, ship, zone

from corrosion.foundation import assumptions
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.units import MM, YEAR
from corrosion.wastage.uncertain import draw_zones

DRAWS = Draws(1024, 1, default_assumptions())
SHIP = ship()
ZONED = draw_zones(SHIP, DRAWS)


@pytest.mark.parametrize(
    ("field", "name", "scale"),
    [
        ("fraction", "ac_dissolving_fraction", 1.0),
        ("natural_ship", "natural_factor", 1.0),
        ("initial", "coating_initial_share", 1.0),
        ("rate", "coating_rate_per_year", 1.0 / YEAR),
        ("rolled", "rolling_factor", 1.0),
        ("pitting", "pitting_factor", 1.0),
    ],
)
def test_each_is_drawn_from_its_own_entry(field: str, name: str, scale: float) -> None:
    row = assumptions.entry(name)
    drawn = getattr(ZONED, field) / scale
    # A cut tail moves the median a little.
    assert np.median(drawn) == pytest.approx(row.median, rel=0.05)
    assert np.log(drawn).std() == pytest.approx(np.log(row.geometric_sd), rel=0.2)


def test_a_zones_natural_loss_is_the_ships_times_its_own() -> None:
    own = np.log(ZONED.natural / ZONED.natural_ship[:, None])
    spread = np.log(assumptions.entry("natural_factor_zone").geometric_sd)
    assert own.std(axis=0) == pytest.approx(spread, rel=0.05)
    between = np.corrcoef(own, rowvar=False) - np.eye(len(SHIP.zones))
    assert np.abs(between).max() < 0.15


def test_only_the_shell_has_an_inner_face_that_looks_into_the_ship() -> None:
    inner = ZONED.inner * YEAR / MM
    bilge = SHIP.zone_index("BLG")
    assert not inner[:, bilge].any()
    assert np.median(inner[:, 0]) == pytest.approx(0.01, rel=0.05)
    assert (inner <= assumptions.entry("inner_loss_mm_per_year").high).all()


def test_a_bare_share_that_was_seen_varies_about_what_was_written() -> None:
    seen = ZONED.seen[:, 0]
    assert np.median(seen) == pytest.approx(0.2, rel=0.01)
    assert ((seen > 0.0) & (seen <= 1.0)).all()
    now = ZONED.bare(float(ZONED.seen_at[0]), slice(None))
    assert now[:, 0] == pytest.approx(seen)


def test_breakdown_grows_from_when_it_was_seen() -> None:
    at = float(ZONED.seen_at[0])
    early, late = (ZONED.bare(at + t * YEAR, slice(0, 9)) for t in (1.0, 4.0))
    assert (late >= early).all()
    grown = late[:, 0] - early[:, 0]
    free = late[:, 0] < 1.0
    rate = ZONED.rate[:9, 0] * YEAR
    assert grown[free] == pytest.approx(3.0 * rate[free], rel=1e-6)


def test_what_was_never_seen_is_not_known() -> None:
    blank = ship(zones=(zone("A", (0, 24), "port", bare=None, bare_seen=None),))
    drawn = draw_zones(blank, DRAWS)
    assert np.isnan(drawn.seen).all()
    assert np.isnan(drawn.seen_at).all()
    share = drawn.bare(float(drawn.painted[0]), slice(None))
    assert share[:, 0] == pytest.approx(drawn.initial[:, 0])


def test_a_docking_paints_every_zone_that_does_not_say_otherwise() -> None:
    from corrosion.records.dates import as_written  # noqa: PLC0415 - only here

    docked = as_written("2012-05")
    rows = (ZONES[0], zone("X", (0, 24), "starboard", painted=None))
    drawn = draw_zones(ship(zones=rows, last_docking=docked), DRAWS)
    assert drawn.painted.tolist() == [as_written("2015-05").middle, docked.middle]
    assert np.isnan(draw_zones(ship(zones=rows), DRAWS).painted[1])


def test_another_zone_leaves_the_numbers_of_the_others() -> None:
    few = draw_zones(ship(zones=ZONES[:2]), DRAWS)
    for field in ("natural", "seen", "rolled", "pitting", "deepest", "departure"):
        assert (getattr(few, field) == getattr(ZONED, field)[:, :2]).all()
    assert (few.fraction == ZONED.fraction).all()


def test_departures_are_standard_normal() -> None:
    assert ZONED.departure.std(axis=0) == pytest.approx(1.0, abs=0.02)
    assert ZONED.departure.mean(axis=0) == pytest.approx(0.0, abs=0.01)
