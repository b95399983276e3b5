"""Direct sources behind faults of alternating systems of which nobody read any.

A clamp for direct current is seldom at hand, and who reads nothing often writes
nothing. So how many of a ship's faults have such a source is learned together with how
often one is read where there is one, and a nought where there is none: the source of
a fault that was not looked at is then as likely as those three leave it.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

import numpy as np

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.leakage.conditions import SystemEvidence
from corrosion.leakage.inference.evidence import Evidence, is_direct
from corrosion.leakage.inference.inverse_cdf import reuse, sample_cell
from corrosion.records.ship import Ship, System

_POINTS: Final = 15  # of the grid of each of the three chances
_REACH: Final = 2.5  # standard deviations of the prior that it spans, either way


def looked_at(system: System, said: SystemEvidence) -> dict[int, bool | None]:
    """Return whether a direct component was read of the faults of a system.

    By position in the ship's faults: whether one is there; None: nobody looked. Empty
    for a direct system.
    """
    if system.current == "dc":
        return {}
    return {
        k: _read(system, one) for k, one in zip(said.places, said.evidence, strict=True)
    }


def _read(system: System, evidence: Evidence) -> bool | None:
    then = (occasion.evidence.readings for occasion in evidence.further)
    amps = [
        readings.amps
        for some in (evidence.readings, *then)
        for readings in some
        if readings.amps is not None and is_direct(system, readings)
    ]
    return any(amps) if amps else None


def sample_chance(looked: Sequence[bool | None], draws: Draws) -> Array:
    """Return the chance that a fault that nobody looked at has a source, (samples,).

    Parameters
    ----------
    looked : sequence of bool or None
        A ground fault of the ship's alternating systems each: whether a direct
        component was read; None: nobody looked.
    draws : Draws

    Returns
    -------
    ndarray, shape (samples,)
        With p the share that have one (``direct_source_chance``), and r and n the
        chances that one is written where there is one, and a nought where there is
        none (even between 0 and 1: habits): p (1 - r) over p (1 - r) + (1 - p) (1 - n).
        [-]
    """
    row = draws.assumptions["direct_source_chance"]
    sd = np.log(row.geometric_sd)
    z = np.linspace(-_REACH, _REACH, _POINTS)
    p = np.clip(row.median * np.exp(sd * z), row.low, row.high)[:, None, None]
    even = (np.arange(_POINTS) + 0.5) / _POINTS
    r, n = even[:, None], even[None, :]
    unread = p * (1.0 - r) + (1.0 - p) * (1.0 - n)
    score = (
        -0.5 * z[:, None, None] ** 2
        + sum(one is True for one in looked) * np.log(p * r)
        + sum(one is False for one in looked) * np.log((1.0 - p) * n)
        + sum(one is None for one in looked) * np.log(unread)
    )
    weight = np.exp(score - score.max()).ravel()[None]
    cell, _ = sample_cell(weight, draws.block("direct sources", 1)[:, 0])
    return np.asarray((p * (1.0 - r) / unread).ravel()[cell])


def unread_volts(
    ship: Ship, looked: Mapping[int, bool | None], draws: Draws
) -> Iterator[tuple[int, Array]]:
    """Yield the direct voltage behind each fault that nobody looked at.

    Parameters
    ----------
    ship : Ship
    looked : mapping of int to bool or None
        From `looked_at`, of all her systems.
    draws : Draws

    Yields
    ------
    fault : int
        Position in ``ship.faults``.
    volts : ndarray, shape (samples,)
        Of either sign; 0: none. [V]
    """
    chance = sample_chance([*looked.values()], draws)
    for k, read in looked.items():
        if read is None:
            fault = ship.faults[k]
            u = draws.block(f"direct source {fault.fault}", 2)
            share = draws.lognormal("direct_source_share", u[:, 1])
            volts = ship.system(fault.system or "").volts
            signed = np.where(reuse(u[:, 1]) < 0.5, -volts, volts)
            yield k, np.where(u[:, 0] < chance, signed * share, 0.0)
