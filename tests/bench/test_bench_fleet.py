"""Dask workers beside one, on unlike invented ships."""

from pathlib import Path
from shutil import copytree
from time import perf_counter
from typing import Any

import pytest
from bench.measuring import ROOT, Ratios

from corrosion.fleet.fleet import Fleet, estimate_fleet
from corrosion.records.folder.first_ship import write_example


def sailed(
    folder: Path, ratios: Ratios, workers: int, seeds: tuple[int, ...]
) -> tuple[Fleet, float]:
    """Estimate the fleet on a cluster and return it with the seconds waited.

    Once with the first seed, so that the workers have begun and know the hulls, then
    timed with each of the others.
    """
    distributed = pytest.importorskip("distributed")
    count = 1024 if ratios.measuring else 8
    waited = []
    with distributed.LocalCluster(
        n_workers=workers, threads_per_worker=1, dashboard_address=None, silence_logs=50
    ) as cluster:
        for seed in seeds:
            start = perf_counter()
            fleet = estimate_fleet(
                folder,
                samples=count,
                seed=seed,
                scheduler=cluster.scheduler_address,
                results=folder.parent / f"{workers} workers",
            )
            waited.append(perf_counter() - start)
    return fleet, min(waited[1:] or waited)


def test_workers_beside_one(benchmark: Any, ratios: Ratios, tmp_path: Path) -> None:
    ships = 16 if ratios.measuring else 2
    seeds = (1, 2, 3) if ratios.measuring else (1,)
    for number in range(ships):
        write_example(tmp_path / "fleet" / f"{number:02}")
    if ratios.measuring:  # one that takes ten times as long, and comes last
        copytree(ROOT / "data" / "grey-plover", tmp_path / "fleet" / "unlike")
        ships += 1
    both, two = benchmark.pedantic(sailed, (tmp_path / "fleet", ratios, 2, seeds))
    assert len(both.ships) == ships
    assert not both.failures
    if ratios.measuring:
        _, one = sailed(tmp_path / "fleet", ratios, 1, seeds)
        _, four = sailed(tmp_path / "fleet", ratios, 4, seeds)
        words = f"Dask workers over one, {ships} unlike ships"
        ratios.note(f"two {words}", one / two, at_least=1.7)
        ratios.note(f"four {words}", one / four)
