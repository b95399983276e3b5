"""Times, growth and memory, and the table of ratios in which they end."""

import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from time import perf_counter, process_time

import numpy as np
import pytest

ROOT = Path(__file__).parents[2]
GIBIBYTE = 2.0**30


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: what was found, and what was to be reached."""

    name: str
    value: float
    at_most: float | None
    at_least: float | None

    @property
    def goal(self) -> str:
        """What was to be reached."""
        if self.at_most is not None:
            return f"<= {self.at_most:g}"
        return "" if self.at_least is None else f">= {self.at_least:g}"

    @property
    def verdict(self) -> str:
        """Whether it was."""
        if self.at_most is not None:
            return "yes" if self.value <= self.at_most else "NO"
        if self.at_least is not None:
            return "yes" if self.value >= self.at_least else "NO"
        return ""


@dataclass(slots=True)
class Ratios:
    """What the benchmarks of one run found.

    Attributes
    ----------
    measuring : bool
        Whether times are wanted; if not, every benchmark runs once and small.
    rows : list of Row
        The table so far.
    """

    measuring: bool
    rows: list[Row] = field(default_factory=list)

    @property
    def rounds(self) -> int:
        """How often a piece of work is timed."""
        return 2 if self.measuring else 1

    def note(
        self,
        name: str,
        value: float,
        *,
        at_most: float | None = None,
        at_least: float | None = None,
    ) -> None:
        """Add a line to the table."""
        self.rows.append(Row(name, float(value), at_most, at_least))


def least(
    work: Callable[[], object],
    rounds: int = 3,
    clock: Callable[[], float] = process_time,
) -> float:
    """Return the least time that some work took [s]: processor's, or another clock's.

    The processor's time of all threads: a busy machine changes it little.
    """
    times = []
    for _ in range(rounds):
        start = clock()
        work()
        times.append(clock() - start)
    return min(times)


def by_the_wall(work: Callable[[], object], rounds: int = 3) -> float:
    """Return the least time that someone waits for some work [s]."""
    return least(work, rounds, perf_counter)


def exponent(sizes: Sequence[int], seconds: Sequence[float]) -> float:
    """Return the exponent of a power law through times by size; linear growth: 1."""
    slope, _ = np.polyfit(np.log(sizes), np.log(seconds), 1)
    return float(slope)


def in_python(code: str) -> str:
    """Run code in a new process and return the last line that it printed."""
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    return (done.stdout.splitlines() or [""])[-1]


def peak_bytes(code: str) -> float:
    """Return the most memory that a new process held while it ran some code.

    Linux tells it; the peak that ``resource`` tells there is also that of the process
    which began the new one.
    """
    status = Path("/proc/self/status")
    if not status.exists():
        pytest.skip("the peak of a process is read where Linux tells it")
    asked = f"print(open({str(status)!r}).read().split('VmHWM:')[1].split()[0])"
    return float(in_python(f"{code}\n{asked}")) * 1024.0
