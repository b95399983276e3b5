"""Tests of leakage.duration_laws against a survival library."""

import numpy as np
import pytest
from lifelines import LogNormalFitter
from scipy.special import ndtr
from ships import fault, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.foundation.units import DAY, HOUR
from corrosion.leakage.duration_laws import sample_laws
from corrosion.leakage.durations import Duration, DurationLaws
from corrosion.records.dates import When, as_written
from corrosion.records.ship import Fault, Ship

AS_OF = 1.6e9


def at(moment: float, width: float = 0.0) -> When:
    return When(text="x", earliest=moment, latest=moment + width)


def entry(k: int, found: float, ended: float | None, width: float = 0.0) -> Fault:
    one = fault(f"F{k}", "2010", standing=True if ended is None else None)
    dates = {"found": at(found, width)}
    if ended is not None:
        dates["cleared"] = at(ended, width)
    return Fault(**{**{f: getattr(one, f) for f in one.__dataclass_fields__}, **dates})


def laws_of(one: Ship, draws: Draws) -> DurationLaws:
    none = np.zeros(len(one.faults))
    return sample_laws(one, draws, shown=none + 1.0, opened=none, as_of=AS_OF)


def durations(rng: np.random.Generator, count: int) -> Array:
    return np.asarray(30.0 * HOUR * np.exp(1.1 * rng.standard_normal(count)))


@pytest.mark.published(
    source="lifelines, survival library: LogNormalFitter, right-censored",
    where="60 entries cleared, 20 that stand",
    status="computed",
)
def test_response_is_the_lognormal_fit_of_a_survival_library() -> None:
    rng = np.random.default_rng(2)
    seconds = durations(rng, 80)
    stands = np.arange(80) >= 60
    seconds[stands] *= rng.random(20)  # seen to stand for part of what they will
    faults = tuple(
        entry(k, AS_OF - s if stood else 1.2e9 + 1e6 * k, None if stood else
              1.2e9 + 1e6 * k + s)
        for k, (s, stood) in enumerate(zip(seconds, stands, strict=True))
    )  # fmt: skip
    fit = LogNormalFitter().fit(seconds, ~stands)
    table = default_assumptions()
    table = table.override("response_hours", median=24.0, spread=20.0)
    table = table.override("response_spread", median=1.2, spread=2.0)
    one = ship(faults=faults)
    laws = laws_of(one, Draws(1024, 1, table))
    law = laws.response["power"]
    assert np.median(law.median) == pytest.approx(fit.mu_, abs=0.1)
    assert np.median(law.spread) == pytest.approx(fit.sigma_, rel=0.1)
    error = fit.summary["se(coef)"]["mu_"]
    assert law.median.std() == pytest.approx(error, rel=0.4)


def test_coarse_entries_have_a_factor_that_the_years_teach() -> None:
    # Dated entries take a day; those of a year and the next took some months.
    rng = np.random.default_rng(4)
    year = 365.0 * DAY
    short = tuple(
        entry(k, 1.2e9 + 1e6 * k, 1.2e9 + 1e6 * k + s)
        for k, s in enumerate(durations(rng, 30))
    )
    long = tuple(
        entry(k, 9e8 + 3e7 * k, 9e8 + 3e7 * k + year, year) for k in range(30, 40)
    )
    table, drawn = default_assumptions(), {}
    for name, faults in (("dated", short), ("both", (*short, *long))):
        one = ship(faults=faults)
        drawn[name] = laws_of(one, Draws(512, 1, table))
    prior = np.log(table.value("coarse_response_factor"))
    assert np.median(drawn["dated"].coarse) == pytest.approx(prior, abs=0.15)
    assert np.median(drawn["both"].coarse) > prior + 1.0
    days = np.exp(drawn["both"].response["power"].median) / DAY
    assert 0.5 < np.median(days) < 3.0


def test_what_months_teach_holds_for_years_by_the_width_of_their_dates() -> None:
    # Ten entries of a month and the next stood ten times as long as thirty of a day;
    # one of a year is said to have stood for the 1.7th power of that, not for as much.
    rng = np.random.default_rng(7)
    month, year = 30.4 * DAY, 365.0 * DAY
    dated = tuple(
        entry(k, 1.2e9 + 1e6 * k, 1.2e9 + 1e6 * k + s)
        for k, s in enumerate(durations(rng, 30))
    )
    long = tuple(
        entry(k, 9e8 + 3e7 * k, 9e8 + 3e7 * k + month, month) for k in range(30, 40)
    )
    one = entry(50, 6e8, 6e8, year)
    laws = laws_of(
        ship(faults=(*dated, *long, one)), Draws(512, 1, default_assumptions())
    )
    by_month, by_year = (
        np.median(laws.response_of(each)[1]) for each in (long[0], one)
    )
    assert by_month > np.log(8.0)
    assert by_year / by_month == pytest.approx(np.log(365.0) / np.log(30.4), rel=1e-6)
    assert laws.response_of(dated[0])[1] == pytest.approx(0.0)


def test_systems_share_a_ship() -> None:
    faults = tuple(
        entry(k, 1.2e9 + 1e6 * k, 1.2e9 + 1e6 * k + 300.0 * HOUR) for k in range(30)
    )
    one = ship(faults=faults)
    laws = laws_of(one, Draws(512, 1, default_assumptions()))
    read, unread, none = (
        np.exp(np.median(laws.response[name].median)) / HOUR
        for name in ("power", "battery", "")
    )
    assert read == pytest.approx(300.0, rel=0.1)
    assert 24.0 < unread < 300.0
    assert none == pytest.approx(unread, rel=0.2)


def test_durations_between_bounds() -> None:
    law = Duration(np.full(1000, np.log(100.0)), np.full(1000, 1.0))
    u = (np.arange(1000) + 0.5) / 1000
    free = law.sample(u)
    assert np.median(free) == pytest.approx(100.0, rel=0.01)
    assert np.log(free).std() == pytest.approx(1.0, rel=0.02)
    cut = law.sample(u, 50.0, 80.0)
    assert cut.min() >= 50.0
    assert cut.max() <= 80.0
    assert np.all(np.diff(cut) > 0.0)
    far = law.sample(u, 1e9, 2e9)  # no chance by the law: evenly, as written
    assert np.median(far) == pytest.approx(1.5e9, rel=0.01)


def test_dates_of_one_year_say_little_of_the_gap_between_them() -> None:
    hours, months = (
        Duration(np.array([np.log(median)]), np.array([np.log(4.0)]))
        for median in (4.0 * HOUR, 90.0 * DAY)
    )
    year, day = as_written("2010"), as_written("2010-06-10 12:00")
    short, long = (float(law.chance_of_dates(year, year)[0]) for law in (hours, months))
    assert short == pytest.approx(1.0, abs=0.06)  # hours fit, but at the turn of a year
    # Gaps of 180 days times or by 4 that fit before an even moment of the year.
    moment = (np.arange(1000) + 0.5) / 1000 * 365.0 / 180.0
    fits = ndtr(np.log(moment) / np.log(4.0)).mean()
    assert long == pytest.approx(fits, abs=0.01)
    assert 0.4 < fits < 0.5
    # Known to the minute, a month says as much as its densities do.
    month = as_written("2010-05-10 12:00")
    short, long = (float(law.chance_of_dates(month, day)[0]) for law in (hours, months))
    z = [np.log(31.0 * DAY / 2.0 / median) / np.log(4.0) for median in
         (4.0 * HOUR, 90.0 * DAY)]  # fmt: skip
    expected = np.exp(0.5 * (z[1] ** 2 - z[0] ** 2))
    assert short / long == pytest.approx(expected, rel=0.03)


@pytest.mark.parametrize(
    ("found", "ended"),
    [
        ("2010", "2010"),
        ("2010", "2011"),
        ("2010-05", "2010-05"),
        ("2010", "2010-06-03"),
    ],
)
def test_how_likely_a_response_is_dated_so_by_simulation(
    found: str, ended: str
) -> None:
    median, spread = 5.0 * DAY, 1.6
    law = Duration(np.array([np.log(median)]), np.array([spread]))
    rng, begun, over = np.random.default_rng(1), as_written(found), as_written(ended)
    start = begun.earliest + begun.width * rng.random(400_000)
    end = start + median * np.exp(spread * rng.standard_normal(len(start)))
    within = float(np.mean((end >= over.earliest) & (end <= over.latest)))
    sd = np.sqrt(within / len(start))
    told = float(law.chance_of_end(begun, over)[0])
    assert told == pytest.approx(within, abs=5.0 * sd)
    after = float(np.mean(end > begun.latest))
    assert law.chance_to_last(begun, begun.latest) == pytest.approx(after, rel=0.03)
