"""A plate is where it was measured, unless the measurement is named as wrong."""

from dataclasses import replace

import numpy as np
import pytest
import ships
from forward_ships import READ, SLIPS, Invented, ship

import corrosion
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM, YEAR
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.calibration.rate_model import OWN
from corrosion.inspection.calibration.sampler import Moved, move_samples
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging

NAMED = 0.2  # chance to be wrong from which page and report name a reading


def posterior(result: corrosion.Estimate) -> tuple[Measured, Array]:
    """Return the rows, and the mean thickness of their zones on their days [m]."""
    found, moments = result.calibration, result.history.moments
    rows = found.measured
    assert rows is not None
    after = np.searchsorted(moments, rows.moment)
    part = (rows.moment - moments[after - 1]) / (moments[after] - moments[after - 1])
    early, late = (result.history.mean[:, at, rows.zone] for at in (after - 1, after))
    built = np.array([zone.built for zone in result.ship.zones])
    whole = built * result.inputs.zones.rolled + found.factors.offset
    return rows, whole[:, rows.zone] - early - part * (late - early)


@pytest.mark.parametrize("name", ["grey-plover", "saltmarsh"])
def test_demo_ships_stand_where_they_were_gauged_last(name: str) -> None:
    # The measure of the design: within 2 √(sd² + campaign bias²) of the reading less
    # its campaign's bias, all but named slips.
    result = corrosion.estimate(f"data/{name}", samples=128, as_of="2026-11-25")
    rows, thickness = posterior(result)
    found = result.calibration
    built = np.array([z.built for z in result.ship.zones])[rows.zone]
    read = built - rows.gone - found.bias.mean(axis=0)
    within = 2.0 * np.sqrt(rows.sd**2 + found.bias.var(axis=0))
    off = np.abs(np.median(thickness, axis=0) - read)
    last = np.zeros(rows.zone.size, np.bool_)
    for zone in np.unique(rows.zone[~rows.pitted]):
        own = np.flatnonzero((rows.zone == zone) & ~rows.pitted)
        last[own[np.argmax(rows.moment[own])]] = True
    sound = last & (found.wrong < NAMED)
    assert sound.sum() >= 0.85 * last.sum()
    assert (off[sound] <= within[sound]).all()


def test_a_plate_gauged_thin_twice_that_day_is_taken_as_thin() -> None:
    # M3-S-BOT of grey-plover: a mean of eight of 9.6 mm, asked to repeat, and a least
    # of 7.4 mm, where 12.0 mm was foreseen.
    result = corrosion.estimate("data/grey-plover", samples=128, as_of="2026-11-25")
    rows, thickness = posterior(result)
    zone = result.ship.zone_index("M3-S-BOT")
    at = np.flatnonzero((rows.zone == zone) & ~rows.pitted)
    at = at[np.argmax(rows.moment[at])]
    wrong = result.calibration.wrong[at]
    low, middle = np.quantile(thickness[:, at], [0.1, 0.5]) / MM
    assert wrong < 0.5
    assert 9.2 < low < 10.2
    assert middle < 10.6


def read(gone: list[float], campaign: list[int], times: list[float]) -> Invented:
    """Return a ship of which one plate was read, in mm gone since she was built."""
    known = ship(np.random.default_rng(4), [40.0, 41.0], samples=512)
    twice = np.flatnonzero(np.bincount(known.readings.zone) == 2)[:1]
    rows = known.readings.of_zones(twice)
    pick = np.array(campaign)
    number = np.array(times)
    return replace(
        known,
        readings=replace(
            rows,
            zone=rows.zone[pick],
            campaign=pick,
            gone=np.array(gone) * MM,
            sd=np.sqrt(READ**2 / number + (0.1 * MM) ** 2),  # as read, and the spot
            times=number,
            backed=np.ones(pick.size),
            replaced=np.zeros(pick.size),
            slip_prior=SLIPS,
            sea=rows.sea[:, pick],
            inside=rows.inside[:, pick],
            fixed=rows.fixed[:, pick],
            caused=rows.caused[pick],
            pitted=rows.pitted[pick],
        ),
    )


def losses(known: Invented, row: int) -> tuple[Moved, Array]:
    """Return the posterior, and the loss at a row [mm]."""
    prior = known.prior.until(known.start.zones.shape[2] - OWN)
    prior = replace(prior, extra=1.5 * MM, extra_share=0.1)
    rng = np.random.default_rng(5)
    found = move_samples(rng, known.start, prior, known.readings, sweeps=(24, 48))
    return found, known.readings.of_all(found.state, prior)[:, row] / MM


def test_ten_readings_of_eleven_and_one_of_one_are_eleven() -> None:
    found, loss = losses(read([1.0, 11.0], [1, 1], [10.0, 1.0]), 0)
    assert found.wrong[0] < 0.1
    assert found.wrong[1] > 0.95
    assert np.quantile(loss, [0.1, 0.9]) == pytest.approx([1.0, 1.0], abs=0.6)


def test_two_campaigns_that_contradict_give_two_answers() -> None:
    # a year apart, 3 mm: one is wrong, or something happened; none says 2.2 mm
    found, loss = losses(read([3.5, 0.5], [0, 1], [1.0, 1.0]), 1)
    assert found.wrong.max() > 0.3
    near = (np.abs(loss - 0.5) < 0.75) | (np.abs(loss - 3.5) < 0.75)
    assert near.mean() > 0.85


@pytest.mark.parametrize(
    ("built_mm", "since", "rate_mm"),
    [(8.0, 2006, 0.15), (12.0, 2006, 0.15), (20.0, 2006, 0.3), (12.0, 1970, 0.1)],
)
def test_five_campaigns_on_a_line_show_level_and_rate(
    built_mm: float, since: int, rate_mm: float
) -> None:
    # Whatever the records foresee, and where what took the metal began long after her
    # building: within 0.3 mm of the line, and a third of its rate carried forward.
    years = [2006, 2011, 2016, 2021, 2026]
    gone = [rate_mm * (year - since) + 0.1 for year in years]
    gaugings = tuple(
        Gauging(
            zone="FP",
            date=as_written(f"{year}-05-10"),
            thickness=(built_mm - lost) * MM,
            readings=12,
            sd=0.1 * MM,
            surface="prepared",
        )
        for year, lost in zip(years, gone, strict=True)
    )
    zones = tuple(
        replace(zone, built=built_mm * MM) if zone.zone == "FP" else zone
        for zone in ships.ZONES
    )
    one = ships.ship(built=as_written("1970"), zones=zones, gaugings=gaugings)
    result = corrosion.estimate(one, samples=256, as_of="2026-05-10")
    k, found = one.zone_index("FP"), result.calibration
    left = np.median(result.outlook.left[:, k]) / MM
    assert left == pytest.approx(built_mm - gone[-1], abs=0.3)
    assert found.mixed
    assert found.wrong.max() < NAMED
    moments = result.history.moments
    now = int(np.searchsorted(moments, result.inputs.time_grid.as_of))
    then = int(np.searchsorted(moments, moments[now] + 5.0 * YEAR))
    more = np.diff(result.history.mean[:, [now, then], k], axis=1) / MM
    assert np.median(more) / 5.0 == pytest.approx(rate_mm, rel=1.0 / 3.0)


def test_another_plates_thickness_does_not_move_its_campaign() -> None:
    """58.7 mm of a plate of 10 mm, on plate as found: that of a propeller, say."""
    rows = tuple(
        Gauging(
            zone=zone.zone,
            date=as_written("2022-11"),
            thickness=0.0096,
            readings=10,
            surface="as found",
        )
        for zone in ships.ZONES
    )
    gross = replace(rows[0], thickness=0.0587, date=as_written("2022-10"))
    plain, slipped = (
        corrosion.estimate(ships.ship(gaugings=gauged), samples=128, as_of="2026-01-01")
        for gauged in (rows[1:], (gross, *rows[1:]))
    )
    others = slice(1, None)
    left, after = (
        np.median(x.outlook.left[:, others], axis=0) for x in (plain, slipped)
    )
    assert after == pytest.approx(left, abs=0.3 * MM)
    assert slipped.calibration.wrong[0] > 0.99
    bias = np.median(slipped.calibration.bias, axis=0)
    assert bias[1:] == pytest.approx(np.median(plain.calibration.bias), abs=0.2 * MM)
