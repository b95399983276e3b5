"""Integration of hull-current logs against engines that share no code with it."""

from pathlib import Path

import numpy as np
import polars as pl
import pytest
from records.hull_logs import rows, write

from corrosion.records.monitor.charge import charge, hourly


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """Return a log of three series at 1 Hz with jitter, gaps and blank readings."""
    rng = np.random.default_rng(11)
    lines: list[str] = []
    for name, current in (("main,P1", "dc"), ("main,", "ac"), ("aft,P2", "dc")):
        steps = rng.uniform(0.9, 1.1, 4000)
        steps[rng.integers(0, 4000, 12)] = rng.uniform(20.0, 9000.0, 12)
        amps = rng.normal(0.0, 0.2, 4000) if current == "dc" else rng.random(4000)
        amps[rng.integers(0, 4000, 25)] = np.nan
        times = np.round(np.cumsum(steps), 3)
        lines += rows(times, amps, name=name, current=current)
    return write(tmp_path / "log.csv", lines)


@pytest.mark.published(
    source="polars, a dataframe engine", where="group by, shift, sum", status="computed"
)
def test_charge_against_a_dataframe_engine(log: Path) -> None:
    series = ["system", "circuit", "current"]
    step = pl.col("time").diff().over(series).dt.total_nanoseconds() / 1e9
    charged = step * (pl.col("amps") + pl.col("amps").shift(1).over(series)) / 2.0
    known = charged.is_not_null() & (step <= 5.0 * step.median().over(series))
    table = (
        pl.read_csv(log, schema_overrides={"amps": pl.Float64})
        .with_columns(
            pl.col("time").str.to_datetime("%Y-%m-%dT%H:%M:%S%.fZ", time_unit="ns"),
            pl.col("circuit").fill_null(""),
        )
        .with_columns(step=step, charged=charged, known=known)
        .group_by(series)
        .agg(
            charge=pl.col("charged").filter("known").sum(),
            hours=pl.col("step").filter("known").sum() / 3600.0,
            gap_hours=pl.col("step").filter(~pl.col("known")).sum() / 3600.0,
            rows=pl.len(),
        )
        .sort(series)
    )
    ours = charge(log)
    assert ours["system"].tolist() == table["system"].to_list()
    for name in ("charge", "hours", "gap_hours", "rows"):
        np.testing.assert_allclose(ours[name], table[name], rtol=1e-10, err_msg=name)


@pytest.mark.published(
    source="numpy.trapezoid", where="each stretch between gaps", status="computed"
)
def test_charge_against_numpy(log: Path) -> None:
    table = pl.read_csv(log, schema_overrides={"amps": pl.Float64}).to_pandas()
    for _, ours in charge(log).iterrows():
        mine = table[
            (table["system"] == ours["system"])
            & (table["circuit"].fillna("") == ours["circuit"])
            & (table["current"] == ours["current"])
        ]
        moments = mine["time"].str.rstrip("Z").to_numpy().astype("datetime64[ns]")
        seconds = (moments - moments[0]) / np.timedelta64(1, "s")
        amps = mine["amps"].to_numpy()
        steps = np.diff(seconds)
        breaks = np.flatnonzero(
            (steps > 5.0 * np.median(steps)) | np.isnan(amps[1:]) | np.isnan(amps[:-1])
        )
        total = sum(
            float(np.trapezoid(i, t))
            for t, i in zip(
                np.split(seconds, breaks + 1), np.split(amps, breaks + 1), strict=True
            )
            if len(t) > 1
        )
        scale = ours["magnitude"]
        assert ours["charge"] == pytest.approx(total, rel=1e-10, abs=1e-12 * scale)


@pytest.mark.published(
    source="polars, a dataframe engine", where="group by, shift, sum", status="computed"
)
def test_held_readings_against_a_dataframe_engine(tmp_path: Path) -> None:
    rng = np.random.default_rng(7)
    t = np.cumsum(np.ceil(rng.exponential(1.0, 600) ** 3 * 60.0))
    i = 0.4 + 0.01 * np.cumsum(np.where(rng.random(600) < 0.5, -1.0, 1.0))
    path = write(tmp_path / "a.csv", rows(t, i))
    time = pl.col("time").str.to_datetime("%Y-%m-%dT%H:%M:%S%.fZ", time_unit="ns")
    step = (time.shift(-1) - time).dt.total_seconds()
    held = pl.read_csv(path).select((pl.col("amps") * step).sum()).item()
    (ours,) = charge(path).to_dict("records")
    assert ours["writes"] == "on change"
    assert ours["charge"] == pytest.approx(held, rel=1e-12)


@pytest.mark.published(
    source="numpy.interp", where="cumulative charge at full hours", status="computed"
)
def test_hours_against_the_cumulative_integral(tmp_path: Path) -> None:
    rng = np.random.default_rng(3)
    t = np.cumsum(rng.uniform(200.0, 700.0, 400))
    i = rng.uniform(0.0, 2.0, 400)
    (hours,) = hourly(write(tmp_path / "a.csv", rows(t, i)))
    fine = np.arange(round(t[0]), t[-1], 1.0)
    current = np.interp(fine + 0.5, t, i)
    by_hour = np.bincount((fine // 3600).astype(np.int64), weights=current)
    np.testing.assert_allclose(
        (hours.amps * hours.seconds)[1:-1], by_hour[1:-1], rtol=2e-4
    )
