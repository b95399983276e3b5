"""The work on one ship of a fleet, and who does it: this process, others, a cluster.

A ship is always computed on one thread: how many threads share a matrix product
changes its last digits, and a fleet must not depend on where it was computed.
"""

import hashlib
import io
import json
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from importlib.util import find_spec
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]  # it carries no types

from corrosion.foundation.cache import nothing_large, program
from corrosion.foundation.errors import CorrosionError, InputError
from corrosion.foundation.units import YEAR
from corrosion.records.folder.files import folder_digest
from corrosion.records.folder.read import read_ship

if TYPE_CHECKING:
    import pandas as pd

    from corrosion.records.ship import Ship
    from corrosion.results import Estimate

_SUMMARY: Final = b"corrosion"
_ANSWER_WITHIN: Final = "10s"
_BEFORE: Final = 5.0  # years that the last one is held against


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """A ship that could not be estimated."""

    folder: str  # hers, from the fleet's directory on
    reason: str  # every problem, a line each


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One ship to be estimated, and with what."""

    name: str  # her folder, from the fleet's directory on
    folder: Path  # the same, complete
    digest: str  # of its content when the work was given out
    samples: int
    seed: int
    as_of: date
    program: str = field(default_factory=program)  # digest of who gives out the work

    @property
    def key(self) -> str:
        """Name that depends on everything that the result depends on."""
        parts = (self.digest, self.samples, self.seed, str(self.as_of), self.program)
        return hashlib.sha256(repr(parts).encode()).hexdigest()


def estimate_ship(job: Job) -> bytes | Failure:
    """Estimate one ship and pack her zones and summary into a Parquet file."""
    from corrosion.estimate import estimate  # noqa: PLC0415 - not for `--help`

    if job.program != program():
        reason = "her worker has another version of this program; give it this one"
        return Failure(folder=job.name, reason=reason)
    try:
        with threadpool_limits(1), nothing_large():
            result = estimate(
                read_ship(job.folder),
                samples=job.samples,
                seed=job.seed,
                as_of=job.as_of,
            )
        unchanged = folder_digest(job.folder) == job.digest
    except CorrosionError as error:
        return Failure(folder=job.name, reason=str(error))
    except Exception as error:  # noqa: BLE001 - no ship may stop the others
        reason = f"the estimate broke off: {type(error).__name__}: {error}"
        return Failure(folder=job.name, reason=reason)
    if not unchanged:
        reason = "her folder was changed while she was estimated; run it once more"
        return Failure(folder=job.name, reason=reason)
    return _packed(result)


def _packed(result: "Estimate") -> bytes:
    kilograms = [result.totals[name]["mean"] for name in ("stray_kg", "natural_kg")]
    day = result.as_of.toordinal() - date(1970, 1, 1).toordinal()
    years = (day * 86400.0 - result.ship.built.middle) / YEAR
    summary = {
        "ship": result.ship.name,
        "as_of": result.as_of.isoformat(),
        "horizon": result.horizon.isoformat(),
        "stray_kg": kilograms[0],
        "natural_kg": kilograms[1],
        "steel_kg_a_year": sum(kilograms) / years if years > 0.0 else 0.0,
        **_faults(result.ship, now=day * 86400.0),
        "warnings": len(result.warnings),
        "doubts": "\n".join(result.warnings),
        "dangers": "\n".join(danger.text for danger in result.dangers),
    }
    return parquet(result.zones, summary)


def parquet(zones: "pd.DataFrame", more: dict[str, Any]) -> bytes:
    """Return zones as a Parquet file, with more that JSON can carry in its metadata."""
    import pyarrow as pa  # noqa: PLC0415 - not for `--help`
    import pyarrow.parquet as pq  # noqa: PLC0415 - likewise

    table = pa.Table.from_pandas(zones, preserve_index=False)
    sink = io.BytesIO()
    told = {_SUMMARY: json.dumps(more).encode()}
    pq.write_table(table.replace_schema_metadata(told), sink)
    return sink.getvalue()


def _faults(ship: "Ship", now: float) -> dict[str, Any]:
    """Return which faults stand, how many the last year brought, and years before."""
    ages = [(now - fault.found.middle) / YEAR for fault in ship.faults]
    logged = min(max([0.0, *ages]) - 1.0, _BEFORE)  # years of log before the last
    earlier = sum(1.0 <= age < 1.0 + _BEFORE for age in ages)
    return {
        "standing": ", ".join(fault.fault for fault in ship.faults if fault.stands),
        "faults_last_year": sum(age < 1.0 for age in ages),
        "faults_a_year_before": earlier / logged if logged >= 1.0 else None,
    }


def read_result(record: bytes) -> tuple[dict[str, Any], "pd.DataFrame"]:
    """Return the summary and the zones that :func:`estimate_ship` packed.

    The summary: ``ship``, ``as_of``, ``horizon``, ``stray_kg``, ``natural_kg``,
    ``steel_kg_a_year``, ``standing`` (ids), ``faults_last_year``,
    ``faults_a_year_before`` (mean of five years; None: no log of them), ``warnings``,
    ``doubts`` and ``dangers`` (a line each). The zones: a row each, the most urgent
    first. Raises ValueError if the bytes are damaged.
    """
    import pyarrow as pa  # noqa: PLC0415 - not for `--help`
    import pyarrow.parquet as pq  # noqa: PLC0415 - likewise

    try:
        table = pq.read_table(io.BytesIO(record))
        summary: dict[str, Any] = json.loads(table.schema.metadata[_SUMMARY])
        return summary, table.to_pandas()
    except (pa.ArrowException, OSError, KeyError, TypeError) as error:
        msg = f"no result of a ship ({error})"
        raise ValueError(msg) from None


def run_jobs(
    jobs: Sequence[Job], scheduler: str | None, workers: int | None
) -> Iterator[tuple[Job, bytes | Failure]]:
    """Do jobs, in any order, and yield each with its outcome when it is done.

    Parameters
    ----------
    jobs : sequence of Job
        What is to be done.
    scheduler : str or None
        Address of a running Dask scheduler; None: this machine.
    workers : int or None
        Processes of this machine; None: one a core; 1: this one.

    Yields
    ------
    job : Job
        What was done.
    outcome : bytes or Failure
        As :func:`estimate_ship` returns it.

    Raises
    ------
    InputError
        If Dask is missing, the scheduler does not answer, or workers is below 1.
    """
    if workers is not None and workers < 1:
        msg = (
            f"fleet: workers must be >= 1, got {workers}. Leave it out for one a core."
        )
        raise InputError(msg)
    if scheduler is None and workers == 1:
        for job in jobs:
            yield job, estimate_ship(job)
        return
    lost = []
    with _executor(scheduler, workers) as pool:
        given = {pool.submit(estimate_ship, job): job for job in jobs}
        for future in as_completed(given):
            try:
                yield given[future], future.result()
            except Exception:  # noqa: BLE001 - whatever became of a worker
                lost.append(given[future])
    for job in lost:  # a worker that dies takes its neighbours' jobs along: once more
        with _executor(scheduler, 1) as pool:
            try:
                outcome = pool.submit(estimate_ship, job).result()
            except Exception as error:  # noqa: BLE001 - as above
                reason = f"her worker was lost: {type(error).__name__}: {error}"
                outcome = Failure(folder=job.name, reason=reason)
        yield job, outcome


@contextmanager
def _executor(scheduler: str | None, workers: int | None) -> Iterator[Executor]:
    """Give who does the work: processes of this machine, or a Dask cluster."""
    if scheduler is None:
        spawn = get_context("spawn")  # a fork would inherit threads that hold locks
        with ProcessPoolExecutor(workers, mp_context=spawn) as pool:
            yield pool
        return
    if find_spec("distributed") is None:
        msg = (
            "fleet: a cluster needs Dask, which is not installed: "
            "pip install 'corrosion[fleet]'. Without --scheduler it is not needed."
        )
        raise InputError(msg)
    from distributed import Client  # noqa: PLC0415 - an extra

    try:
        client = Client(scheduler, timeout=_ANSWER_WITHIN)  # type: ignore[no-untyped-call] # no types
    except (OSError, ValueError) as error:
        msg = f"fleet: no Dask scheduler answers at {scheduler} ({error})."
        raise InputError(msg) from None
    with client, client.get_executor() as pool:  # type: ignore[no-untyped-call] # no types
        yield pool
