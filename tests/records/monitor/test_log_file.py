"""Tests of reading hull-current logs: forms, edges, errors."""

import gzip
import random
from contextlib import suppress
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from records.hull_logs import HEADING, START, rows, write

from corrosion.foundation.errors import RecordError
from corrosion.records.monitor import log_file
from corrosion.records.monitor.charge import charge, hourly
from corrosion.records.monitor.log_file import LogFile
from corrosion.records.monitor.samples import read_samples

LINES = rows(np.arange(6.0), np.arange(6.0) / 4.0)
WHOLE = 0.25 * 12.5  # ampere-seconds: a ramp to 1.25 A in 5 s


def total(path: Path) -> float:
    frame = charge(path)
    assert frame.attrs["doubts"] == ()
    assert len(frame) == 1
    return float(frame["charge"].iloc[0])


def refused(path: Path) -> str:
    with pytest.raises(RecordError, match=path.name) as caught:
        charge(path)
    return str(caught.value)


def table(**columns: Any) -> pa.Table:
    words = {
        "system": pa.array(["ship service"] * 6),
        "amps": pa.array(np.arange(6.0) / 4.0),
        "current": pa.array(["dc"] * 6),
    }
    time = pa.array(range(START, START + 6)).cast(pa.timestamp("s", "UTC"))
    return pa.table({"time": time} | words | columns)


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_text_of_any_delimiter(
    tmp_path: Path, delimiter: str, end: str, mark: bytes
) -> None:
    text = end.join([HEADING, *LINES, ""]).replace(",", delimiter)
    path = tmp_path / "a.csv"
    path.write_bytes(mark + text.encode())
    assert total(path) == pytest.approx(WHOLE / 1.0)


@pytest.mark.parametrize("delimiter", [";", "\t", "|"])
def test_decimal_comma(tmp_path: Path, delimiter: str) -> None:
    lines = [line.replace(",", delimiter).replace(".", ",") for line in LINES]
    path = write(tmp_path / "a.csv", lines, HEADING.replace(",", delimiter))
    assert total(path) == pytest.approx(WHOLE)


def test_gzip_is_told_by_its_bytes(tmp_path: Path) -> None:
    packed = write(tmp_path / "a.csv.gz", LINES)
    assert total(packed) == pytest.approx(WHOLE)
    assert total(packed.rename(tmp_path / "a.csv")) == pytest.approx(WHOLE)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("2026-01-01T00:00:00Z", "2026-01-01T00:00:10Z"),
        ("2026-01-01T01:00:00+01:00", "2026-01-01T00:00:10Z"),
        ("2026-01-01 00:00:00", "2026-01-01T00:00:10.000000000"),
        (" 2026-01-01T00:00:00 ", "2025-12-31T19:30:10-04:30"),
        ("2026-01-01", "2026-01-01T00:00:10"),
        ('"2026-01-01 00:00"', "2026-01-01T00:00:10+0000"),
    ],
)
def test_times_with_and_without_offset(tmp_path: Path, first: str, second: str) -> None:
    log = write(tmp_path / "a.csv", [f"{first},s,,1.0,dc", f"{second},s,, 1.0 ,dc"])
    frame = charge(log)
    assert frame["charge"].iloc[0] == pytest.approx(10.0)
    assert frame["first"].iloc[0] == START


@pytest.mark.parametrize(
    "columns",
    [
        {},
        {"circuit": pa.array(["P1"] * 6)},
        {"circuit": pa.nulls(6, pa.string())},
        {"circuit": pa.array(["P1"] * 6).dictionary_encode()},
        {"circuit": pa.array(range(6)).cast(pa.int8()).take(pa.array([1] * 6))},
        {"time": pa.array(range(START, START + 6)).cast(pa.timestamp("s"))},
        {
            "time": pa.array(range(START, START + 6))
            .cast(pa.timestamp("s"))
            .cast(pa.timestamp("us", "Europe/Lisbon"))
        },
        {"time": pa.array([line.split(",")[0] for line in LINES])},
        {"time": pa.array([line.split(",")[0] for line in LINES]).dictionary_encode()},
        {"system": pa.array(["ship service"] * 6, pa.large_string())},
        {"amps": pa.array(np.arange(6) / 4, pa.float32())},
        {"amps": pa.array([Decimal(k) / 4 for k in range(6)], pa.decimal128(9, 4))},
        {"amps": pa.array([str(k / 4) for k in range(6)])},
    ],
)
def test_parquet_of_many_types(tmp_path: Path, columns: dict[str, Any]) -> None:
    pq.write_table(table(**columns), tmp_path / "a.parquet")
    frame = charge(tmp_path / "a.parquet")
    assert frame["charge"].tolist() == [pytest.approx(WHOLE)]
    assert frame["first"].iloc[0] == START


def test_columns_in_any_order_and_others_are_a_doubt(tmp_path: Path) -> None:
    lines = [",".join(reversed(line.split(","))) + ",x" for line in LINES]
    heading = "Current, AMPS ,circuit,system,time,remark"
    frame = charge(write(tmp_path / "a.csv", lines, heading))
    assert frame["charge"].iloc[0] == pytest.approx(WHOLE)
    (doubt,) = frame.attrs["doubts"]
    assert "left out: 'remark'; a log's columns are time, system" in str(doubt)


def test_blank_lines_are_passed_over_and_lines_still_counted(tmp_path: Path) -> None:
    spaced = [part for line in LINES for part in (line, "")]
    assert total(write(tmp_path / "a.csv", spaced)) == pytest.approx(WHOLE)
    spaced[6] = spaced[6].replace("0.75", "0.75x")
    assert "b.csv:8: amps: '0.75x'; a number of" in refused(
        write(tmp_path / "b.csv", spaced)
    )


@pytest.mark.parametrize("lost", range(1, len(LINES[-1]) + 1, 7))
def test_a_last_line_without_its_end_is_left_out(tmp_path: Path, lost: int) -> None:
    path = write(tmp_path / "a.csv", LINES)
    path.write_bytes(path.read_bytes()[:-lost])
    frame = charge(path)
    assert frame["rows"].iloc[0] == 5
    assert frame["charge"].iloc[0] == pytest.approx(0.25 * 8.0)
    (doubt,) = frame.attrs["doubts"]
    assert "the end is half-written" in str(doubt)


def test_blocks_of_zeros_after_a_power_cut_are_left_out(tmp_path: Path) -> None:
    path = write(tmp_path / "a.csv", LINES)
    path.write_bytes(path.read_bytes() + bytes(4096))
    assert charge(path)["charge"].iloc[0] == pytest.approx(WHOLE)


def test_a_compressed_file_cut_short_gives_what_stands_before(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    lines = rows(np.arange(20000.0), rng.uniform(0.0, 1.0, 20000))
    path = write(tmp_path / "a.csv.gz", lines)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    frame = charge(path)
    assert 8000 < frame["rows"].iloc[0] < 12000
    assert "the compressed file ends before its end" in str(frame.attrs["doubts"][0])


def test_batches_and_blocks_change_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = np.random.default_rng(2)
    lines = [
        line
        for pair in zip(
            rows(np.arange(300.0), rng.normal(0.0, 1.0, 300)),
            rows(np.arange(300.0), rng.uniform(0.0, 1.0, 300), current="ac"),
            strict=True,
        )
        for line in pair
    ]
    text = write(tmp_path / "a.csv", lines)
    whole = charge(text)
    monkeypatch.setattr(log_file, "_BLOCK_BYTES", 1000)
    cut = charge(text)
    np.testing.assert_allclose(cut["charge"], whole["charge"], rtol=1e-12)
    assert cut.drop(columns=["charge", "magnitude"]).equals(
        whole.drop(columns=["charge", "magnitude"])
    )
    lines[500] = lines[500].replace("ac", "AB").replace("dc", "AB")
    assert "b.csv:502: current: 'ab'; ac or dc" in refused(
        write(tmp_path / "b.csv", lines)
    )


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("2026-01-01T00:00:09Z,s,,1.0,dc,9", r"a.csv:3: 6 values; 5 values as in"),
        ("2026-01-01T00:00:09Z,s,1.0", r"a.csv:3: 3 values; 5 values as in line 1"),
        ("2026-02-30,s,,1.0,dc", "a.csv:3: time: '2026-02-30'; ISO 8601 such as"),
        ("1500-01-01,s,,1.0,dc", "a.csv:3: time: '1500-01-01'; ISO 8601 such as"),
        (",s,,1.0,dc", "a.csv:3: time: blank; ISO 8601 such as"),
        ("2026-01-01T00:00:09Z,s,,1.0 mm,dc", "a.csv:3: amps: '1.0 mm'; a number of"),
        ("2026-01-01T00:00:09Z,s,,inf,dc", "a.csv:3: amps: inf (1 such rows near)"),
        ("2026-01-01T00:00:09Z,s,,2e6,dc", "a.csv:3: amps: 2e+06 (1 such rows near)"),
        ("2026-01-01T00:00:09Z,s,,-1,ac", "a.csv:3: amps: -1 (1 such rows near); 0 to"),
        ("2026-01-01T00:00:09Z,,,1.0,dc", "a.csv:3: system: blank; the name of"),
        ("2026-01-01T00:00:09Z,s,,1.0,", "a.csv:3: current: ''; ac or dc"),
        ("2026-01-01T00:00:09Z,s,,1.0,rms", "a.csv:3: current: 'rms'; ac or dc"),
        (
            "2025-12-31T23:59:59Z,s,,1.0,dc",
            "a.csv:3: time: goes back from 2026-01-01T00:00:00.000Z to 2025-12-31T23",
        ),
    ],
)
def test_a_bad_row_is_named(tmp_path: Path, line: str, message: str) -> None:
    lines = ["2026-01-01T00:00:00Z,s,,1.0,dc", line]
    text = refused(write(tmp_path / "a.csv", lines))
    assert message in text
    assert len(text.splitlines()) == 1


def test_all_bad_rows_are_told_up_to_a_limit(tmp_path: Path) -> None:
    lines = LINES.copy()
    lines[1] = lines[1].replace("T", "?")
    lines[4] = lines[4].replace("dc", "dc,")
    lines[5] = lines[5].replace("1.25", "high")
    text = refused(write(tmp_path / "a.csv", lines))
    assert [line.split(" ")[0].split(":")[1] for line in text.splitlines()] == [
        "6",
        "3",
        "7",
    ]
    many = refused(write(tmp_path / "b.csv", ["never,s,,1,dc"] * 5000))
    assert len(many.splitlines()) == 27
    assert "reading stopped here" in many


@pytest.mark.parametrize(
    ("heading", "message"),
    [
        ("time,system,circuit,ampage,current", "a.csv:1: amps: no column 'amps'; did"),
        ("time,system,system,amps,current", "a.csv:1: system: stands twice"),
        ("a;b", "a.csv:1: time: no column 'time'"),
        ("", "a.csv:2: time: no column 'time'"),
        ("time,system,amps (furlong),current", "'furlong' is no unit of current"),
    ],
)
def test_a_bad_heading_is_named(tmp_path: Path, heading: str, message: str) -> None:
    assert message in refused(write(tmp_path / "a.csv", LINES, heading))


def test_an_hour_set_back_in_local_time_is_refused(tmp_path: Path) -> None:
    clock = ["01:58", "01:59", "01:00", "01:01"]
    lines = [f"2026-10-25T{time}:00,s,,1,dc" for time in clock]
    assert "a.csv:4: time: goes back" in refused(write(tmp_path / "a.csv", lines))
    offsets = ["+01:00", "+01:00", "+00:00", "+00:00"]
    lines = [
        f"2026-10-25T{time}:00{offset},s,,1,dc"
        for time, offset in zip(clock, offsets, strict=True)
    ]
    assert charge(write(tmp_path / "b.csv", lines))["charge"].iloc[0] == 180.0


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\n",
        b"\xff\xfe" + "time,system,amps,current\n".encode("utf-16-le"),
        b"PAR1" + bytes(100),
        b"\x1f\x8b" + bytes(50),
        bytes(5000),
        HEADING.encode(),
        f"{HEADING}\n".encode(),
        f"{HEADING}\r{LINES[0]}\r".encode(),
    ],
)
def test_what_is_no_log_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(content)
    assert "a.csv" in refused(path)


def test_text_that_is_not_utf8_is_refused(tmp_path: Path) -> None:
    path = write(tmp_path / "a.csv", LINES)
    path.write_bytes(path.read_bytes().replace(b"ship", b"sch\xfcff"))
    assert "a.csv:2: system: 'sch\ufffdff service'; UTF-8 text" in refused(path)


def test_a_folder_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    assert "cannot be read" in refused(tmp_path)
    assert "cannot be read" in refused(tmp_path / "none.csv")


def test_a_line_without_end_does_not_fill_the_memory(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"x" * (log_file._BLOCK_BYTES + 10))
    assert "a line is longer than" in refused(path)


def test_a_log_with_a_circuit_in_every_row_is_refused(tmp_path: Path) -> None:
    lines = [f"2026-01-01T00:00:00Z,s{k},,1,dc" for k in range(3000)]
    assert "more than 1000 circuits" in refused(write(tmp_path / "a.csv", lines))


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        ({"time": pa.array(range(6))}, "a.parquet:1: time: '0'; ISO 8601"),
        ({"time": pa.nulls(6, pa.timestamp("ms"))}, "a.parquet:1: time: blank"),
        ({"time": pa.array([10**12] * 6, pa.timestamp("s"))}, "a.parquet:1: time: "),
        ({"amps": pa.array([True] * 6)}, "a.parquet:1: amps: 'true'; a number"),
        ({"system": pa.nulls(6)}, "a.parquet:1: system: blank"),
    ],
)
def test_parquet_of_wrong_types_is_refused(
    tmp_path: Path, columns: dict[str, Any], message: str
) -> None:
    pq.write_table(table(**columns), tmp_path / "a.parquet")
    assert message in refused(tmp_path / "a.parquet")


def test_samples_come_as_written(tmp_path: Path) -> None:
    log = LogFile(write(tmp_path / "a.csv", LINES))
    (samples,) = read_samples(log)
    moment = datetime(2026, 1, 1, tzinfo=UTC).timestamp()
    np.testing.assert_array_equal(
        samples.moments, (round(moment) + np.arange(6)) * 10**9
    )
    np.testing.assert_array_equal(samples.amps, np.arange(6.0) / 4.0)


def packed(kind: str, folder: Path) -> bytes:
    path = folder / f"whole.{kind}"
    if kind == "parquet":
        circuit = pa.array(["P1", None] * 3)
        pq.write_table(table(circuit=circuit), path)
        return path.read_bytes()
    text = "".join(f"{line}\n" for line in [HEADING, *LINES]).encode()
    return gzip.compress(text, mtime=0) if kind == "csv.gz" else text


@pytest.mark.parametrize("kind", ["csv", "csv.gz", "parquet"])
@given(seed=st.integers(0, 2**32))
@settings(max_examples=8, deadline=None)
def test_damaged_bytes_give_a_result_or_a_reason(
    tmp_path_factory: pytest.TempPathFactory, kind: str, seed: int
) -> None:
    folder = tmp_path_factory.mktemp("damaged")
    whole = packed(kind, folder)
    chance = random.Random(seed)  # noqa: S311 - damage, not secrets
    for _ in range(25):
        content = bytearray(whole)
        for _ in range(chance.choice((1, 1, 2, 20))):
            content[chance.randrange(len(content))] = chance.randrange(256)
        path = folder / f"a.{kind}"
        path.write_bytes(
            content[: chance.choice((len(content), chance.randrange(400)))]
        )
        with suppress(RecordError):
            frame = charge(path)
            hourly(path)
            assert np.isfinite(frame["charge"]).all()
            assert (frame["hours"] >= 0.0).all()
            assert (frame["gap_hours"] >= 0.0).all()
