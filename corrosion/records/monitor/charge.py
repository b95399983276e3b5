"""Hull-current logs of any length: charge, hours covered, hours that are missing.

Memory does not grow with the log: see :mod:`corrosion.records.monitor.state` for what
is kept of it, and :mod:`corrosion.records.monitor.charge_sums` for how gaps are told
from steps.

Files may overlap where they say the same (a backup, a log cut anew): such rows count
once. Where overlapping files differ, nothing is counted and the files are named.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from corrosion.foundation.data_files import sentences
from corrosion.foundation.errors import InputError, Problem
from corrosion.foundation.types import Array
from corrosion.foundation.units import HOUR
from corrosion.records.folder.doubt_list import grouped
from corrosion.records.kinds import RecorderWrites
from corrosion.records.monitor.charge_sums import NANOSECONDS, Sums, Tally, hour_sums
from corrosion.records.monitor.run import Run
from corrosion.records.monitor.samples import Series
from corrosion.records.monitor.state import LogState, integrate, joined, scan

if TYPE_CHECKING:
    import pandas as pd

_SAID: Final = sentences(__file__, "doubts.toml")
_LOST: Final = 0.1  # of its hours, above which a log loses many
_LIKELY_AMPS: Final = 100.0  # mean, above which it was likelier milliamperes

Logs = str | PathLike[str] | Iterable[str | PathLike[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Covered:
    """One series by the hour, where it was measured."""

    series: Series  # which
    start: Array  # beginning of each hour with any known time, shape (hours,) [s]
    seconds: Array  # known time within that hour, shape (hours,) [s]
    amps: Array  # mean current over that time, shape (hours,) [A]


def charge(
    path: Logs, gap: float | None = None, *, writes: RecorderWrites | None = None
) -> "pd.DataFrame":
    r"""Integrate hull-current logs: coulombs and hours covered.

    Nothing is counted across a gap, nor next to a blank reading.

    Parameters
    ----------
    path : str, path, or several of them
        Log files, in any order.
    gap : float, optional
        Length above which a step between two samples is a gap; by default five
        times the median step of that series, and none of a recorder that writes on
        change. [s]
    writes : {'on change', 'at intervals'}, optional
        How the recorder writes; by default what the rows of each series look like.

    Returns
    -------
    DataFrame
        One row a (system, circuit, current): ``charge`` [C], positive from the
        circuit into the steel for dc and the integral of the rms current for ac;
        ``magnitude``, the integral of the current's size [C]; ``hours`` covered and
        ``gap_hours`` not covered between ``first`` and ``last`` moment (from
        1970-01-01 00:00 UTC [s]); ``rows``, of which ``duplicates``; how the recorder
        ``writes`` and the ``gap``, as they were used [s]. ``attrs["doubts"]`` holds
        what is doubtful, as :class:`~corrosion.foundation.errors.Problem`.

    Raises
    ------
    RecordError
        If a file has problems, or overlapping files differ.
    InputError
        If there is no path, or the gap is not positive.

    Notes
    -----
    The trapezoid rule over consecutive samples, and the step rule where a recorder
    writes on change,

    .. math::

        Q = \sum_k \tfrac12 (i_k + i_{k+1}) (t_{k+1} - t_k), \qquad
        Q = \sum_k i_k (t_{k+1} - t_k)

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     log = pathlib.Path(folder, "hull.csv")
    ...     _ = log.write_text(
    ...         "time,system,amps,current\n"
    ...         "2026-11-25T12:00:00Z,ship service,0.5,dc\n"
    ...         "2026-11-25T12:00:10Z,ship service,1.5,dc\n"
    ...     )
    ...     float(charge(log)["charge"].iloc[0])
    10.0
    """
    import pandas as pd  # noqa: PLC0415 - importing corrosion stays light

    total, _ = integrate(_paths(path))
    rules = {series: _rule(run, gap, writes) for series, run in total.runs.items()}
    rows = []
    for series, run in total.runs.items():
        rule = rules[series]
        sums = _counted(run, *rule)
        rows.append(
            {
                "system": series.system,
                "circuit": series.circuit,
                "current": series.current,
                "charge": sums["charge"],
                "magnitude": sums["magnitude"],
                "hours": sums["covered"] / HOUR,
                "gap_hours": sums["lost"] / HOUR,
                "first": run.first / NANOSECONDS,
                "last": run.last / NANOSECONDS,
                "rows": run.rows,
                "duplicates": run.duplicates,
                "writes": "on change" if rule[0] else "at intervals",
                "gap": rule[1] / NANOSECONDS,
            }
        )
    frame = pd.DataFrame(rows)
    frame.attrs["doubts"] = grouped(_doubts(total, rules, told=writes is not None))
    return frame


def _doubts(
    total: LogState, rules: Mapping[Series, tuple[bool, float]], *, told: bool
) -> Iterator[Problem]:
    """Yield what somebody should look into; ``told``: how the recorder writes."""
    yield from total.doubts
    for series, (held, limit) in rules.items():
        sums = _counted(total.runs[series], held, limit)
        seconds, lost = sums["covered"], sums["lost"]
        mean = sums["magnitude"] / seconds if seconds else 0.0
        cells = {
            "series": series,
            "mean": mean,
            "lost": lost / HOUR,
            "whole": (seconds + lost) / HOUR,
        }
        for doubt, weight, holds in (
            ("held", 2, held and not told),
            ("gaps", 2, lost > _LOST * (seconds + lost)),
            ("amps", 3, mean > _LIKELY_AMPS),
        ):
            if holds:
                found = _SAID[doubt].format(**cells)
                yield Problem("monitor", None, "", found, _SAID[f"{doubt}, so"], weight)


def _counted(run: Run, held: bool, limit: float) -> dict[str, float]:
    """Return charge and its magnitude [C], time covered and not covered [s]."""
    counted = run.sums.key <= run.longest(limit)
    rule = slice(2, 4) if held else slice(0, 2)
    charged, magnitude = run.sums.part[rule, counted].sum(axis=1)
    known = int(run.sums.whole[2, counted].sum())
    return {
        "charge": float(charged),
        "magnitude": float(magnitude),
        "covered": known / NANOSECONDS,
        "lost": (run.last - run.first - known) / NANOSECONDS,
    }


def hourly(
    path: Logs,
    gap: float | None = None,
    *,
    writes: RecorderWrites | None = None,
    doubts: list[Problem] | None = None,
) -> tuple[Covered, ...]:
    """Return mean current and time covered, hour by hour.

    The files are read twice: gaps are known only after the last row.

    Parameters
    ----------
    path : str, path, or several of them
        Log files, in any order.
    gap : float, optional
        As for :func:`charge`. [s]
    writes : {'on change', 'at intervals'}, optional
        As for :func:`charge`.
    doubts : list of Problem, optional
        Is extended by what is doubtful.

    Returns
    -------
    tuple of Covered
        One a (system, circuit, current), in the order of :func:`charge`; its sum of
        mean current times seconds is the charge.

    Raises
    ------
    RecordError
        If a file has problems, or overlapping files differ.
    InputError
        If there is no path, or the gap is not positive.
    """
    paths = _paths(path)
    total, trims = integrate(paths)
    rules = {series: _rule(run, gap, writes) for series, run in total.runs.items()}
    if doubts is not None:
        doubts += _doubts(total, rules, told=writes is not None)

    def by_hour(series: Series) -> Tally:
        held, limit = rules[series]
        longest = total.runs[series].longest(limit)
        return partial(hour_sums, longest=longest, held=held)

    states = [
        scan(one, tallies=by_hour, after=trim)
        for one, trim in zip(paths, trims, strict=True)
    ]
    return tuple(
        _covered(series, run.sums)
        for series, run in joined(states, by_hour).runs.items()
    )


def _covered(series: Series, sums: Sums) -> Covered:
    seconds = sums.whole[0] / NANOSECONDS
    return Covered(
        series=series,
        start=np.asarray(sums.key * HOUR),
        seconds=seconds,
        amps=sums.part[0] / seconds,
    )


def _rule(
    run: Run, gap: float | None, writes: RecorderWrites | None
) -> tuple[bool, float]:
    """Return whether readings are held, and above which length a step is a gap [ns]."""
    if gap is not None and not (math.isfinite(gap) and gap > 0.0):
        msg = f"charge: gap must be > 0 s, got {gap:g} s. Leave it out for five steps."
        raise InputError(msg)
    held = run.on_change if writes is None else writes == "on change"
    if gap is not None:
        return held, gap * NANOSECONDS
    return held, math.inf if held else run.gap


def _paths(path: Logs) -> list[Path]:
    paths = [Path(path)] if isinstance(path, str | PathLike) else [*map(Path, path)]
    if not paths:
        msg = "charge: path must name at least one log file, got none."
        raise InputError(msg)
    return paths
