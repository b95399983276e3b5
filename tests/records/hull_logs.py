"""Write small hull-current logs for tests; all data are invented."""

import gzip
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from corrosion.foundation.types import IntArray

Floats = npt.NDArray[np.floating[Any]]
HEADING = "time,system,circuit,amps,current"
START = 1_767_225_600  # 2026-01-01 00:00 UTC


def moment(nanoseconds: int) -> str:
    """Return a moment as ISO 8601 text in UTC."""
    return f"{np.datetime64(int(nanoseconds), 'ns')}Z"


def rows(
    seconds: Sequence[float] | Floats,
    amps: Sequence[float] | Floats,
    *,
    name: str = "ship service,P1",
    current: str = "dc",
) -> list[str]:
    """Return lines of a log that begins at START; NaN is written as blank."""
    return [
        f"{moment(START * 10**9 + round(float(t) * 1e9))},{name},"
        f"{'' if np.isnan(i) else repr(float(i))},{current}"
        for t, i in zip(seconds, amps, strict=True)
    ]


def write(path: Path, lines: Sequence[str], heading: str = HEADING) -> Path:
    """Write a log; compressed where its name ends in gz."""
    text = "".join(f"{line}\n" for line in [heading, *lines]).encode()
    path.write_bytes(gzip.compress(text) if path.suffix == ".gz" else text)
    return path


def nanoseconds(seconds: Sequence[float] | Floats) -> IntArray:
    """Return the moments of a log that begins at START."""
    return START * 10**9 + np.round(np.asarray(seconds) * 1e9).astype(np.int64)
