"""Many ships side by side: every ship folder under a directory, ranked.

Ships are estimated in processes of this machine, or on a Dask cluster. A ship that
fails is reported and does not stop the rest. What is finished is kept in a store, each
ship under a name that depends on all that her estimate depends on: a run that was
interrupted goes on where it stopped, and only what changed is computed again.
"""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from corrosion.fleet.ranking import Record, ranked
from corrosion.fleet.workers import Failure, Job, parquet, read_result, run_jobs
from corrosion.foundation.cache import cache_directory
from corrosion.foundation.defaults import SAMPLES
from corrosion.foundation.errors import CorrosionError, InputError
from corrosion.records.folder.atomic_write import SaveError, locked, replace_file
from corrosion.records.folder.files import folder_digest

if TYPE_CHECKING:
    import pandas as pd

_SIGNS: Final = ("ship.toml", "zones.csv")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fleet:
    """What became of a fleet."""

    as_of: date  # date of the estimates
    # samples, seed: number of samples and seed of each
    samples: int
    seed: int
    # one row a ship, the one with the worst zone first: ``rank``, ``folder``, ``ship``,
    # ``worst_zone``, ``worst_name``; ``priority``, ``chance_below_limit`` and
    # ``inspect_by`` of that zone; ``zones``, of which ``zones_due`` are to be gauged by
    # now and ``zones_due_by_docking`` by her next docking; ``stray_kg`` and
    # ``natural_kg`` (means), ``steel_kg_a_year`` (mean of both together since she was
    # built); ``standing`` (ids of faults), ``faults_last_year`` and
    # ``faults_a_year_before`` (mean of five years); number of ``warnings``, and they
    # themselves as ``doubts``; ``dangers`` to life; a line each
    ships: "pd.DataFrame"
    zones: "pd.DataFrame"  # of all ships, ships in order of rank
    failures: tuple[Failure, ...]  # ships that could not be estimated
    reused: int  # ships that were finished before and not computed again
    file: Path  # Parquet file of ``zones``; its metadata hold ships and failures

    def to_json(self) -> dict[str, Any]:
        """Return ships and failures as an object that JSON can carry."""
        from corrosion.foundation.json_values import json_value  # noqa: PLC0415 - pandas stays lazy

        return {
            "as_of": self.as_of.isoformat(),
            "samples": self.samples,
            "seed": self.seed,
            "dangers": [
                {"ship": row["ship"], "text": text}
                for row in self.ships.to_dict("records")
                for text in row["dangers"].splitlines()
            ],
            "ships": [
                {name: json_value(value) for name, value in row.items()}
                for row in self.ships.to_dict("records")
            ],
            "failed": [
                {"folder": one.folder, "problems": one.reason.splitlines()}
                for one in self.failures
            ],
        }


def ship_folders(folder: str | Path) -> list[Path]:
    """Return every ship folder under a directory, and the directory if it is one.

    Raises InputError if there is none.
    """
    root = Path(folder)
    found = sorted({path.parent for sign in _SIGNS for path in root.rglob(sign)})
    if not found:
        msg = (
            f"fleet: no ship folder under {folder}; a ship folder holds ship.toml. "
            "`corrosion new` writes an example."
        )
        raise InputError(msg)
    return found


def estimate_fleet(  # noqa: PLR0913 - the command's options, one each
    folder: str | Path,
    *,
    samples: int = SAMPLES,
    seed: int = 1,
    as_of: date | None = None,
    scheduler: str | None = None,
    workers: int | None = None,
    results: str | Path | None = None,
    on_progress: Callable[[str], None] | None = None,
) -> Fleet:
    """Estimate every ship under a directory and rank the ships by their worst zone.

    Parameters
    ----------
    folder : str or Path
        Directory that holds ship folders, at any depth.
    samples, seed : int, optional
        As for :func:`corrosion.estimate`. [-]
    as_of : date, optional
        Date of the estimates; None: today.
    scheduler : str, optional
        Address of a running Dask scheduler whose workers see the same folders, such
        as ``tcp://10.0.0.5:8786``. Only one that is trusted: it runs what it is sent.
    workers : int, optional
        Processes of this machine; None: one a core; 1: no other process.
    results : str or Path, optional
        Directory of the store and of the Parquet file; None: in the user's cache.
    on_progress : callable, optional
        Is given the folder of each ship that is done.

    Returns
    -------
    Fleet
        Ranked ships, all zones, and the ships that failed.

    Raises
    ------
    InputError
        If there is no ship folder, Dask is missing, or the scheduler does not answer.
    SaveError
        If the store cannot be written.

    Notes
    -----
    A script that calls this with several workers must guard its own first call by
    ``if __name__ == "__main__":``, for each worker begins by importing the script.
    """
    root = Path(folder)
    day = as_of or date.today()  # noqa: DTZ011 - ship's time carries no zone
    store = Path(results) if results is not None else cache_directory() / "fleet"
    done: dict[str, Record] = {}
    failures: list[Failure] = []
    todo: list[Job] = []
    for path in ship_folders(root):
        name = path.relative_to(root).as_posix()
        try:
            job = Job(
                name=name,
                folder=path.resolve(),
                digest=folder_digest(path),
                samples=samples,
                seed=seed,
                as_of=day,
            )
        except CorrosionError as error:
            failures.append(Failure(folder=name, reason=str(error)))
            continue
        with suppress(OSError, ValueError):  # not there, or damaged: computed again
            done[name] = read_result(_place(store, job).read_bytes())
        if name not in done:
            todo.append(job)
    reused = len(done)
    for job, outcome in run_jobs(todo, scheduler, workers) if todo else ():
        if isinstance(outcome, Failure):
            failures.append(outcome)
        else:
            _save(_place(store, job), outcome)
            done[job.name] = read_result(outcome)
        if on_progress is not None:
            on_progress(job.name)
    failures.sort(key=lambda one: one.folder)
    ships, zones = ranked(done)
    fleet = Fleet(
        as_of=day,
        samples=samples,
        seed=seed,
        ships=ships,
        zones=zones,
        failures=tuple(failures),
        reused=reused,
        file=store / "fleet.parquet",
    )
    _save(fleet.file, parquet(fleet.zones, fleet.to_json()))
    return fleet


def _place(store: Path, job: Job) -> Path:
    return store / f"{job.key}.parquet"


def _save(path: Path, data: bytes) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        msg = (
            f"fleet: the folder of results {path.parent} cannot be made "
            f"({error.strerror or error}). Make room, or set CORROSION_CACHE to a "
            "folder that can be written."
        )
        raise SaveError(msg) from None
    with locked(path):
        replace_file(path, data)
