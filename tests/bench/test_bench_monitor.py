"""Log integration against a bare scan of the same file and the plain pandas idiom.

``CORROSION_BENCH_ROWS`` sets the size of a benchmark: memory is flat up to any.
"""

import os
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.csv
import pyarrow.parquet as pq
import pytest
from bench.measuring import Ratios, by_the_wall, peak_bytes

from corrosion.records.monitor.charge import charge
from corrosion.records.monitor.log_file import LogFile
from corrosion.records.monitor.samples import Series

ROWS = int(float(os.environ.get("CORROSION_BENCH_ROWS", "4e6")))
PIECE = 1_000_000
SCHEMA = pa.schema(
    {
        "time": pa.timestamp("ms", "UTC"),
        "system": pa.string(),
        "circuit": pa.string(),
        "amps": pa.float64(),
        "current": pa.string(),
    }
)


def pieces(rows: int) -> Iterator[pa.Table]:
    """Yield a log at 1 Hz of two series, in pieces; invented."""
    rng = np.random.default_rng(1)
    for start in range(0, rows, PIECE):
        row = np.arange(start, min(start + PIECE, rows))
        seconds = 1_767_225_600 + row // 2
        pair = pa.array(row % 2)
        yield pa.table(
            {
                "time": pa.array(seconds * 1000).cast(SCHEMA.field("time").type),
                "system": pa.array(["ship service", "lighting"]).take(pair),
                "circuit": pa.array(["P1", "P2"]).take(pair),
                "amps": np.round(rng.uniform(0.0, 0.08, len(row)), 5),
                "current": pa.array(["ac", "dc"]).take(pair),
            },
            schema=SCHEMA,
        )


@pytest.fixture(scope="module", params=["csv", "parquet"])
def log(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Path]:
    path = tmp_path_factory.mktemp("bench") / f"log.{request.param}"
    rows = ROWS if request.config.getoption("benchmark_enable") else 20_000
    if request.param == "parquet":
        with pq.ParquetWriter(path, SCHEMA) as writer:
            for piece in pieces(rows):
                writer.write_table(piece)
    else:
        text = pa.schema([SCHEMA.field(k).with_type(pa.string()) for k in range(5)])
        text = text.set(3, SCHEMA.field("amps"))
        with pyarrow.csv.CSVWriter(path, text) as writer:
            for piece in pieces(rows):
                when = piece["time"].cast(pa.timestamp("s", "UTC"))
                iso = pa.compute.strftime(when, format="%Y-%m-%dT%H:%M:%SZ")
                writer.write(piece.set_column(0, text.field(0), iso))
    yield path
    path.unlink()


def bare_scan(path: Path) -> int:
    return sum(batch.num_rows for batch in LogFile(path).batches())


def pandas_idiom(path: Path) -> "pd.Series[float]":
    if path.suffix == ".parquet":
        table = pd.read_parquet(path)
    else:
        table = pd.read_csv(path, parse_dates=["time"])
    parts = table.groupby(["system", "circuit", "current"])
    steps = parts["time"].diff().dt.total_seconds()
    charged = steps * (table["amps"] + parts["amps"].shift()) / 2.0
    names = [table["system"], table["circuit"], table["current"]]
    limit = 5.0 * steps.groupby(names).transform("median")
    total: pd.Series[float] = charged.where(steps <= limit).groupby(names).sum()
    return total


def test_integration_of_a_log(benchmark: Any, ratios: Ratios, log: Path) -> None:
    frame = benchmark.pedantic(charge, (log,), rounds=ratios.rounds)
    expected = pandas_idiom(log)
    for _, row in frame.iterrows():
        name = Series(row["system"], row["circuit"], row["current"])
        key = (name.system, name.circuit, name.current)
        assert row["charge"] == pytest.approx(expected[key], rel=1e-9)
    rows = bare_scan(log)
    assert rows == frame["rows"].sum()
    if not ratios.measuring:
        return
    ours, scan, idiom = (
        by_the_wall(partial(work, log)) for work in (charge, bare_scan, pandas_idiom)
    )
    code = f"from corrosion.records.monitor.charge import charge\ncharge({str(log)!r})"
    kind = f"log, {log.suffix[1:]}, {rows / 1e6:g} million rows"
    most = 2.0 if log.suffix == ".parquet" else 3.0
    ratios.note(f"{kind}: over a bare scan", ours / scan, at_most=most)
    ratios.note("  the pandas idiom over it", idiom / ours, at_least=4.0)
    ratios.note("  peak [MiB]", peak_bytes(code) / 2**20, at_most=500.0)
