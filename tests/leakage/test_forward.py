"""Coverage on faults that were simulated forward: they wander, are found and cleared.

Nothing here is drawn from the estimate's own posterior: resistances wander by a part
that is new each day and a slow one, watches find what lamps show and routine tests the
rest, and clerks leave dates blank or write a year. A rate passes if it meets its band
within two standard errors; with ``CORROSION_LONG=1`` these are smaller.
"""

import os
from datetime import datetime, timedelta

import numpy as np
import pytest
from ships import berth, fault, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.units import DAY, HOUR
from corrosion.leakage.fault_currents import fault_currents
from corrosion.leakage.fault_unknowns import sample_faults
from corrosion.leakage.lamp_pattern import least_visible_fault
from corrosion.leakage.time_intervals import ConstantIntervals, Stay
from corrosion.records.dates import as_written
from corrosion.records.ship import Fault, LampSet, System

TABLE = default_assumptions()
AS_OF = as_written("2024").earliest
SAMPLES = 256
TIMES = 200 if os.environ.get("CORROSION_LONG") == "1" else 50
POWER = System(
    name="power",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    capacitance=1.4e-6,
    insulation=4e5,
)
LIT = System(
    name="power",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    capacitance=1.4e-6,
    insulation=4e5,
    lamps=LampSet(volts=254.0, watts=25.0),
)


def stamp(moment: float) -> str:
    epoch = datetime(1970, 1, 1)  # noqa: DTZ001 - ship's time carries no zone
    return (epoch + timedelta(seconds=moment)).strftime("%Y-%m-%d %H:%M")


def ohms(rng: np.random.Generator) -> float:
    while True:
        found = 200.0 * 20.0 ** rng.standard_normal()
        if 0.05 < found < 1e7:
            return float(found)


def meets(rate: float, count: int, low: float, high: float) -> bool:
    error = 2.0 * np.sqrt(rate * (1.0 - rate) / count)
    return bool(low - error <= rate <= high + error)


def clamped_then_moved(rng: np.random.Generator) -> tuple[bool, bool] | None:
    """Return whether ohms and amperes are held after she went to an earthed quay."""
    farads = 1.4e-6 * 1.3 ** rng.standard_normal()
    healthy = 4e5 * 2.0 ** rng.standard_normal()
    days, first = float(rng.uniform(1.0, 60.0)), ohms(rng)
    slow = np.sqrt(2.0 * 0.85**2 * (1.0 - np.exp(-days / 120.0)))
    daily = 0.49 * np.sqrt(2.0)
    later = first * np.exp(np.hypot(slow, daily) * rng.standard_normal())
    way = 3.0 * (1.0 / healthy + 2j * np.pi * 60.0 * farads)
    volts = 440.0 / np.sqrt(3.0)
    at_sea = abs(volts * way / (1.0 + way * first))
    ashore = abs(volts * (way + 2.0) / (1.0 + (way + 2.0) * later))
    if ashore > 5.0:  # it trips
        return None
    read = at_sea * 1.03 ** rng.standard_normal() + 0.005 * rng.standard_normal()
    day = as_written("2003-03-01 12:00").earliest
    one = fault("F", stamp(day), standing=True, conductor="a", amps=round(abs(read), 3))
    change = stamp(day + (days - 0.5) * DAY)
    quay = berth(change, None, "shore earthed", earth_none=True, shore_earth=0.5)
    her = ship(systems=(POWER,), faults=(one,), berths=(berth(None, change), quay))
    unknowns = sample_faults(her, Draws(SAMPLES, 1, TABLE), as_of=AS_OF)
    at = np.full(SAMPLES, day + days * DAY)
    stay = Stay(berth=quay, start=at - 0.5 * DAY, end=at + 0.5 * DAY)
    found, *_ = fault_currents(
        her,
        unknowns,
        stay,
        intervals=ConstantIntervals(
            np.full((SAMPLES, 1), DAY), at[:, None], np.ones((SAMPLES, 1, 1), np.bool_)
        ),
        standing=np.arange(1),
        rows=slice(None),
        earth=(np.full(SAMPLES, 0.5), np.zeros(SAMPLES)),
    )
    path = unknowns.path.within(slice(None), np.arange(1), stay.start, stay.end)
    pairs = ((path[:, 0], later), (np.abs(found.amps[:, 0, 0]), ashore))
    held = [np.quantile(x, 0.1) <= t <= np.quantile(x, 0.9) for x, t in pairs]
    return bool(held[0]), bool(held[1])


def test_clamped_faults_after_the_state_has_changed() -> None:
    rng = np.random.default_rng(5)
    held = [one for _ in range(TIMES) if (one := clamped_then_moved(rng)) is not None]
    assert len(held) > 0.6 * TIMES
    for rate in np.mean(held, axis=0):
        assert meets(float(rate), len(held), 0.76, 0.84), rate


def log_of(rng: np.random.Generator, dates: str) -> tuple[list[Fault], float]:
    """Return a crew's log of twelve faults, and how long they stood in truth."""
    least = least_visible_fault(LIT)
    median = 24.0 * HOUR * 3.0 ** rng.standard_normal()
    watch, rounds = (x * 1.5 ** rng.standard_normal() for x in (4 * HOUR, 90 * DAY))
    faults, truth = [], 0.0
    for j in range(12):
        r = ohms(rng)
        look = watch if r < least else rounds
        delay = rng.exponential(look)
        response = median * np.exp(1.2 * rng.standard_normal())
        found = as_written("2002").earliest + rng.uniform(0.0, 20.0 * 365.0) * DAY
        truth += delay + response
        long = response > 10.0 * DAY  # what took long was written up by the year
        year = dates == "year" and (rng.random() < 0.5 or long)
        good = stamp(found - delay - rng.uniform(0.0, look))
        cut = 4 if year else None
        faults.append(
            fault(
                f"F{j}",
                stamp(found)[:cut],
                stamp(found + response)[:cut],
                good=good if dates == "checked" else None,
                conductor="a",
                insulation=r * 2.0 ** rng.standard_normal(),
            )
        )
    return faults, truth


@pytest.mark.parametrize("dates", ["blank", "year", "checked"])
def test_hours_of_a_ships_faults(dates: str) -> None:
    rng = np.random.default_rng(3)
    held = []
    for _ in range(TIMES):
        faults, truth = log_of(rng, dates)
        her = ship(systems=(LIT,), faults=tuple(faults))
        spans = sample_faults(her, Draws(SAMPLES, 1, TABLE), as_of=AS_OF).spans
        hours = (spans.ended - spans.began).sum(axis=1)
        held.append(np.quantile(hours, 0.1) <= truth <= np.quantile(hours, 0.9))
    rate = float(np.mean(held))
    assert meets(rate, len(held), 0.74, 0.86), rate
