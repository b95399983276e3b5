"""Samples moved by the gaugings in blocks: each a calibration of its own.

What moves a sample rests on the others of its block alone, so that each core moves one.
Small blocks cost more: of 128 samples two thirds of what 512 do.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from corrosion.foundation.parallel import at_once
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.inspection.calibration.rate_model import RatePrior, RateState, joined
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.sampler import Moved, move_samples

FEWEST: Final = 512
"""Up to so many samples are one block."""

_BLOCKS: Final = 4  # at most


def move_in_blocks(
    draws: Draws,
    start: RateState,
    prior: RatePrior,
    readings: Readings,
    *,
    more: int = 0,
) -> Moved:
    """Move every sample of the prior to the posterior given the readings.

    Parameters
    ----------
    draws : Draws
        Random numbers.
    start, prior, readings, more
        As :func:`move_samples` takes them.

    Returns
    -------
    Moved
        The same samples in the same order, whatever did it.
    """
    count = min(-(-draws.samples // FEWEST), _BLOCKS)
    edges = np.linspace(0, draws.samples, count + 1).astype(int)

    def moved(k: int) -> Moved:
        some = slice(edges[k], edges[k + 1])
        rng = draws.generator("calibration" if k == 0 else f"calibration {k}")
        with np.errstate(all="ignore"):  # a chain that runs away is brought back
            return move_samples(
                rng,
                start.of_samples(some),
                prior,
                readings.of_samples(some),
                more=more,
            )

    parts = at_once(moved, range(count), apart=True)
    return _together(parts, np.diff(edges) / draws.samples)


def _together(parts: Sequence[Moved], share: Array) -> Moved:
    if len(parts) == 1:
        return parts[0]
    return replace(
        parts[0],
        state=joined([one.state for one in parts]),
        earlier=tuple(
            joined(states)
            for states in zip(*(one.earlier for one in parts), strict=True)
        ),
        wrong=share @ np.stack([one.wrong for one in parts]),
        sweeps=max(one.sweeps for one in parts),
        mixed=all(one.mixed for one in parts),
    )
