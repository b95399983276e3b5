"""Tests of wastage.uncertain: what is drawn, and what a record says of it."""

from dataclasses import replace

import numpy as np
import pytest
from ships import ZONES, ship, zone

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM, YEAR
from corrosion.records.dates import as_written
from corrosion.records.kinds import Inside
from corrosion.records.ship import Work
from corrosion.wastage.uncertain import draw_zones

DRAWS = Draws(1024, 1, default_assumptions())
SHIP = ship()
ZONED = draw_zones(SHIP, DRAWS)


TABLE = default_assumptions()


@pytest.mark.parametrize(
    ("values", "name"),
    [
        (ZONED.fraction[:, 0], "ac_dissolving_fraction"),
        (np.asarray(ZONED.paint.law.initial), "coating_initial_share"),
        (np.asarray(ZONED.paint.law.life) / YEAR, "coating_life_years"),
        (ZONED.rolled, "rolling_factor"),
        (ZONED.pitting, "pitting_factor"),
        (ZONED.natural, "natural_factor_zone"),
        (ZONED.under_way, "under_way_factor"),
    ],
)
def test_each_is_drawn_from_its_own_entry(values: Array, name: str) -> None:
    row = TABLE[name]
    # A cut tail moves the median a little.
    assert np.median(values) == pytest.approx(row.median, rel=0.12)
    assert np.log(values).std() == pytest.approx(np.log(row.geometric_sd), rel=0.2)


def test_zones_vary_about_the_ship_each_for_itself() -> None:
    own = np.log(ZONED.natural)
    between = np.corrcoef(own, rowvar=False) - np.eye(len(SHIP.zones))
    assert np.abs(between).max() < 0.15
    tidal = ship(zones=(zone("A", (0, 24), "port", exposure="tidal"),))
    wide = np.log(draw_zones(tidal, DRAWS).natural).std()
    assert wide > 2.0 * own[:, 0].std()


@pytest.mark.parametrize(
    ("metal", "median"),
    [
        ("steel", 0.005),
        ("stainless 316", 0.005),
        ("nickel-aluminium bronze", 0.005),
        ("aluminium 5083", 0.1),
        ("zinc", 0.001),
    ],
)
def test_alternating_current_dissolves_each_metal_in_its_own_share(
    metal: str, median: float
) -> None:
    one = ship(zones=(zone("A", (0, 24), "port", metal=metal),))
    share = draw_zones(one, DRAWS).fraction[:, 0]
    assert np.median(share) == pytest.approx(median, rel=0.12)


def test_only_the_shell_has_an_inner_face_that_looks_into_the_ship() -> None:
    inner = ZONED.inner * YEAR / MM
    assert not inner[:, SHIP.zone_index("BLG")].any()
    assert not inner[:, SHIP.zone_index("RUD")].any()  # a part hangs outside
    expected = TABLE.value("inside_unlisted_mm") * TABLE.value("inside_bare_share")
    assert np.median(inner[:, 0]) == pytest.approx(expected, rel=0.05)


def test_the_inner_face_is_lost_by_what_it_is_inside() -> None:
    places = ("dry", "void", "tank", "bilge")
    rows = tuple(
        zone(place, (0, 24), "port", inside=place, inside_bare=0.5) for place in places
    )
    rate = np.median(draw_zones(ship(zones=rows), DRAWS).inner, axis=0) * YEAR / MM
    assert rate == pytest.approx(
        [0.5 * TABLE.value(f"inside_{place}_mm") for place in places], rel=0.05
    )
    assert (np.diff(rate) > 0.0).all()


@pytest.mark.parametrize(
    ("place", "added"), [("dry", 0.5), ("void", 0.7), ("tank", 1.2), ("bilge", 1.7)]
)
def test_nineteen_in_twenty_lose_less_than_a_class_rule_adds(
    place: Inside, added: float
) -> None:
    """Corrosion additions for one side, 25 years, IACS CSR (from memory)."""
    one = ship(zones=(zone("A", (0, 24), "port", inside=place),))
    lost = 25.0 * draw_zones(one, Draws(4096, 1, TABLE)).inner[:, 0] * YEAR / MM
    assert np.quantile(lost, 0.95) == pytest.approx(added, rel=0.1)


def test_one_eye_judged_all_paint() -> None:
    seen = np.log(ZONED.paint.seen)
    assert np.median(ZONED.paint.seen[:, 0]) == pytest.approx(0.2, rel=0.02)
    assert ((ZONED.paint.seen > 0.0) & (ZONED.paint.seen <= 1.0)).all()
    assert np.corrcoef(seen[:, 0], seen[:, 1])[0, 1] > 0.6
    now = ZONED.bare(float(ZONED.paint.seen_at[0]), slice(None))
    assert now[:, 0] == pytest.approx(ZONED.paint.seen[:, 0])


def test_what_was_never_seen_is_not_known() -> None:
    blank = ship(zones=(zone("A", (0, 24), "port", bare=None, bare_seen=None),))
    paint = draw_zones(blank, DRAWS).paint
    assert np.isnan(paint.seen).all()
    assert np.isnan(paint.seen_at).all()
    share = paint.at(float(paint.dates[0, 0]), slice(None)).bare
    assert share == pytest.approx(np.asarray(paint.law.initial))


def test_a_docking_paints_what_is_under_water_and_does_not_say_otherwise() -> None:
    docked = as_written("2012-05")
    rows = (
        ZONES[0],
        zone("X", (0, 24), "starboard", painted=None),
        zone("B", (0, 24), "starboard", painted=None, exposure="bilge"),
    )
    drawn = draw_zones(ship(zones=rows, last_docking=docked), DRAWS)
    wanted = [as_written("2015-05").middle, docked.middle, np.inf]
    assert drawn.paint.dates[0].tolist() == wanted
    assert np.isinf(draw_zones(ship(zones=rows), DRAWS).paint.dates[:, 1]).all()


def test_bare_bronze_has_no_paint() -> None:
    rows = (
        zone(
            "P",
            (0, 24),
            "port",
            metal="nickel-aluminium bronze",
            bare=None,
            bare_seen=None,
            painted=None,
        ),
        zone("X", (0, 24), "starboard", bare=None, bare_seen=None, painted=None),
    )
    share = draw_zones(ship(zones=rows), DRAWS).bare(1.2e9, slice(None))
    assert (share[:, 0] == 1.0).all()
    assert (share[:, 1] < 1.0).all()


def test_works_paint_and_change_plates() -> None:
    works = (
        Work(date=as_written("2018"), zone="FP", work="painted", share=0.5),
        Work(date=as_written("2016"), zone="underwater", work="painted"),
        Work(date=as_written("2019"), zone="FP", work="renewed", thickness=0.012),
        Work(date=as_written("2020"), zone="FP", work="doubler", thickness=0.008),
    )
    drawn = draw_zones(replace(SHIP, works=works), DRAWS)
    dates = drawn.paint.dates[:, SHIP.zone_index("FP")]
    wanted = [as_written(day).middle for day in ("2015-05", "2016", "2018", "2019")]
    assert dates.tolist() == wanted
    assert [work.work for work in drawn.works] == ["renewed"]  # a doubler counts not
    before, after = (
        drawn.bare(wanted[2] + days * 86400.0, slice(None))[:, 0] for days in (-1, 1)
    )
    fresh = np.asarray(drawn.paint.law.initial)[:, 0]
    assert after == pytest.approx(0.5 * (before + fresh), rel=0.01)


def test_another_zone_leaves_the_numbers_of_the_others() -> None:
    few = draw_zones(ship(zones=ZONES[:2]), DRAWS)
    for field in ("natural", "rolled", "pitting", "deepest", "departure", "fraction"):
        assert (getattr(few, field) == getattr(ZONED, field)[:, :2]).all()
    assert (few.paint.seen == ZONED.paint.seen[:, :2]).all()


def test_departures_are_standard_normal() -> None:
    assert ZONED.departure.std(axis=0) == pytest.approx(1.0, abs=0.02)
    assert ZONED.departure.mean(axis=0) == pytest.approx(0.0, abs=0.01)
