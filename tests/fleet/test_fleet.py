"""Tests of fleet.fleet: laws, edges, errors, faults survived."""

import json
import os
import shutil
import signal
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import Any

import pandas as pd
import pyarrow.parquet as pq
import pytest
from records.folders import without_anodes

from corrosion import estimate, read_ship
from corrosion.fleet import workers as processes
from corrosion.fleet.fleet import Fleet, estimate_fleet, ship_folders
from corrosion.foundation.errors import InputError
from corrosion.records.folder.atomic_write import SaveError

DAY = date(2026, 11, 25)


def die_or_live(job: processes.Job) -> bytes:
    if job.name == "dies":
        os._exit(9)
    return b"alive"


def sail(folder: Path, results: Path, **how: Any) -> Fleet:
    return estimate_fleet(
        folder, samples=16, seed=3, as_of=DAY, results=results, **({"workers": 1} | how)
    )


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CORROSION_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


def invented(fleet: Path) -> Path:
    """Return a fleet of three sound ships and one that is not; all invented."""
    for name, paint in (("one", "8"), ("deep/two", "60"), ("three", "30")):
        folder = without_anodes(fleet / name)
        zones = folder / "zones.csv"
        row = "immersed,steel,10,7.5,,8,"
        assert row in zones.read_text()
        zones.write_text(zones.read_text().replace(row, row.replace("8", paint)))
    bad = fleet / "bad"
    bad.mkdir()
    (bad / "zones.csv").write_text("zone\nZ1\n")
    return fleet


@pytest.fixture
def ships(tmp_path: Path) -> Path:
    return invented(tmp_path / "fleet")


@pytest.fixture(scope="module")
def sailed(tmp_path_factory: pytest.TempPathFactory, cache: None) -> tuple[Path, Fleet]:
    """Return where a fleet and its store are, and what was made of it: to look at."""
    place = tmp_path_factory.mktemp("sailed")
    return place, sail(invented(place / "fleet"), place / "store")


@pytest.fixture
def one(sailed: tuple[Path, Fleet]) -> Fleet:
    return sailed[1]


@pytest.fixture
def store(sailed: tuple[Path, Fleet], tmp_path: Path) -> Path:
    """Return a copy of the store, beside a copy of the fleet, to write into."""
    return shutil.copytree(sailed[0] / "store", tmp_path / "store")


def test_ships_are_ranked_by_their_worst_zone(ships: Path, one: Fleet) -> None:
    assert one.ships["rank"].tolist() == [1, 2, 3]
    assert set(one.ships["folder"]) == {"one", "deep/two", "three"}
    worst = one.zones.groupby("folder")["priority"].first()  # of the first to gauge
    assert one.ships["priority"].tolist() == sorted(worst, reverse=True)
    for _, row in one.ships.iterrows():
        ship = read_ship(ships / row["folder"])
        result = estimate(ship, samples=16, seed=3, as_of=DAY)
        stands = [fault.fault for fault in ship.faults if fault.stands]
        assert row["standing"] == ", ".join(stands)
        late = [f for f in ship.faults if f.found.text >= "2025-11-25"]
        assert row["faults_last_year"] == len(late)
        assert row["worst_zone"] == result.zones["zone"].iloc[0]
        assert row["zones"] == len(result.zones)
        stray = result.totals["stray_kg"]["mean"]
        natural = result.totals["natural_kg"]["mean"]
        assert row["stray_kg"] == pytest.approx(stray, rel=1e-6)
        # Built in 1968, so half a year is the most by which her age is uncertain.
        years = 2026.9 - 1968.5
        assert row["steel_kg_a_year"] == pytest.approx(
            (stray + natural) / years, rel=1e-3
        )
        due = result.zones["inspect_by"].dropna()
        assert row["zones_due"] == (due <= DAY.isoformat()).sum()
        assert row["zones_due_by_docking"] == (due <= result.horizon.isoformat()).sum()


def test_a_ship_that_fails_is_told_and_stops_no_other(one: Fleet) -> None:
    (failure,) = one.failures
    assert failure.folder == "bad"
    assert "ship.toml: no such file" in failure.reason
    assert one.to_json()["failed"][0]["folder"] == "bad"


def test_an_estimate_that_breaks_off_is_told(
    ships: Path, tmp_path: Path, cache: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any, **__: Any) -> None:
        msg = "singular"
        raise ZeroDivisionError(msg)

    monkeypatch.setattr(import_module("corrosion.estimate"), "estimate", broken)
    fleet = sail(ships, tmp_path / "store")
    assert len(fleet.failures) == 4
    assert fleet.ships.empty
    assert "the estimate broke off: ZeroDivisionError: singular" in (
        fleet.failures[1].reason
    )


def test_everything_is_in_one_file(one: Fleet) -> None:
    table = pq.read_table(one.file)
    pd.testing.assert_frame_equal(table.to_pandas(), one.zones)
    assert json.loads(table.schema.metadata[b"corrosion"]) == one.to_json()


def test_finished_ships_are_not_repeated(
    ships: Path, store: Path, one: Fleet, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    with monkeypatch.context() as patch:
        patch.setattr(processes, "estimate_ship", None)
        again = sail(ships, store, on_progress=done.append)
    assert (again.reused, done) == (3, [])
    pd.testing.assert_frame_equal(again.zones, one.zones)
    remark = ships / "one" / "faults.csv"
    remark.write_text(remark.read_text().replace("dried", "Dried"))
    assert sail(ships, store, on_progress=done.append).reused == 2
    assert done == ["one"]


def test_an_interruption_loses_no_finished_ship(
    ships: Path, tmp_path: Path, cache: None
) -> None:
    def stop(_: str) -> None:
        msg = "enough"
        raise KeyboardInterrupt(msg)

    for reused in (0, 1):
        with pytest.raises(KeyboardInterrupt, match="enough"):
            sail(ships, tmp_path / "store", on_progress=stop)
        kept = list((tmp_path / "store").glob("*.parquet"))
        assert len(kept) == reused + 1
    assert sail(ships, tmp_path / "store").reused == 2


def test_a_damaged_result_is_computed_again(
    ships: Path, store: Path, one: Fleet
) -> None:
    for path in store.glob("*.parquet"):
        path.write_bytes(path.read_bytes()[:-9])
    again = sail(ships, store)
    assert again.reused == 0
    pd.testing.assert_frame_equal(again.zones, one.zones)


def test_a_folder_changed_meanwhile_gives_no_result(ships: Path, cache: None) -> None:
    task = processes.Job(
        name="one", folder=ships / "one", digest="old", samples=16, seed=3, as_of=DAY
    )
    outcome = processes.estimate_ship(task)
    assert isinstance(outcome, processes.Failure)
    assert "was changed while she was estimated" in outcome.reason
    outcome = processes.estimate_ship(replace(task, program="other"))
    assert isinstance(outcome, processes.Failure)
    assert "another version of this program" in outcome.reason


@pytest.mark.published(
    source="Dask distributed",
    where="two workers against a serial run",
    status="computed",
)
def test_dask_equals_the_serial_run_to_the_bit_though_a_worker_is_killed(
    ships: Path, tmp_path: Path, store: Path, one: Fleet
) -> None:
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50
    ) as cluster:
        pids = [worker.pid for worker in cluster.workers.values()]

        def kill(_: str) -> None:
            if pids:
                os.kill(pids.pop(), signal.SIGKILL)
                pids.clear()

        other = sail(
            ships,
            tmp_path / "other",
            scheduler=cluster.scheduler_address,
            workers=None,
            on_progress=kill,
        )
    assert other.reused == 0
    assert other.failures == one.failures
    for path in store.glob("*.parquet"):
        assert (tmp_path / "other" / path.name).read_bytes() == path.read_bytes()


def test_processes_of_this_machine(ships: Path, tmp_path: Path, one: Fleet) -> None:
    other = sail(ships / "one", tmp_path / "other", workers=2)
    same = ["zone", "priority", "left_mm_mean"]
    pd.testing.assert_frame_equal(
        other.zones[same],
        one.zones.loc[one.zones["folder"] == "one", same].reset_index(drop=True),
        check_exact=True,
    )


def test_a_process_that_dies_loses_no_other_ship(
    ships: Path, tmp_path: Path, cache: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    jobs = [
        processes.Job(
            name=name, folder=ships, digest="", samples=8, seed=1, as_of=DAY, program=""
        )
        for name in ("dies", "lives")
    ]
    monkeypatch.setattr(processes, "estimate_ship", die_or_live)
    found = {job.name: said for job, said in processes.run_jobs(jobs, None, 2)}
    assert found["lives"] == b"alive"
    assert isinstance(found["dies"], processes.Failure)
    assert "her worker was lost" in found["dies"].reason


def test_a_ship_folder_is_a_fleet_of_one(ships: Path) -> None:
    assert ship_folders(ships / "one") == [ships / "one"]
    assert [path.name for path in ship_folders(ships)] == ["bad", "two", "one", "three"]


def test_no_ship_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"no ship folder under .*ship folder holds"):
        estimate_fleet(tmp_path)


def test_no_worker_is_refused(ships: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="workers must be >= 1, got 0"):
        sail(ships, tmp_path / "store", workers=0)


def test_without_dask_a_cluster_is_refused(
    ships: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(processes, "find_spec", lambda _: None)
    with pytest.raises(InputError, match=r"pip install 'corrosion\[fleet\]'"):
        sail(ships, tmp_path / "store", scheduler="tcp://127.0.0.1:9")


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nowhere://x", "?"])
def test_a_scheduler_that_does_not_answer_is_refused(
    ships: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, address: str
) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr(processes, "_ANSWER_WITHIN", "0.5s")
    with pytest.raises(InputError, match="no Dask scheduler answers at"):
        sail(ships, tmp_path / "store", scheduler=address)


def test_results_that_cannot_be_kept_are_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    without_anodes(tmp_path / "teal")
    with pytest.raises(SaveError, match=r"folder of results .* Make room, or set"):
        estimate_fleet(
            tmp_path, samples=8, workers=1, results=tmp_path / "file" / "within"
        )
