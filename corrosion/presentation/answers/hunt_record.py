"""A hunt that was written down, resumed: what is known, what is left, what is next."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.units import MILLIAMPERE
from corrosion.inspection.fault_finding.progress import (
    Progress,
    next_step,
    progress_of,
)
from corrosion.presentation.answers.hunt import hunt_result
from corrosion.presentation.hunt_words import next_words
from corrosion.records.ship import Fault, Hunt, HuntStep, Ship


def hunt_of(ship: Ship, hunt: str) -> Hunt:
    """Return a hunt of a ship by its id.

    Raises LookupFailed if there is no such hunt.
    """
    for one in ship.hunts:
        if one.hunt.casefold() == hunt.casefold():
            return one
    raise LookupFailed.among("hunt", hunt, [one.hunt for one in ship.hunts])


def fault_of(ship: Ship, hunt: str) -> Fault | None:
    """Return the fault of the log that a hunt is for; None: it names none."""
    wanted = hunt.casefold()
    return next((f for f in ship.faults if f.fault.casefold() == wanted), None)


def progress_in(ship: Ship, hunt: str, *, agreed: Collection[str] = ()) -> Progress:
    """Return how far a hunt of a ship has come.

    ``agreed``: vital circuits that whoever must agree has agreed to, now. Raises
    LookupFailed if there is no such hunt.
    """
    fault = fault_of(ship, hunt)
    least = ship.assumptions.value("hunt_clamp_ma") * MILLIAMPERE
    progress = progress_of(hunt_of(ship, hunt), shows_from=least)
    return progress.agreed(agreed, None if fault is None else fault.readings.conductor)


def resumed_hunt(
    ship: Ship,
    hunt: str,
    *,
    agreed: Collection[str] = (),
    as_of: date | None = None,
    samples: int = 4096,
    seed: int = 1,
) -> dict[str, Any]:
    """Return the hunt sheet of a hunt that was written down, and its next step.

    Parameters
    ----------
    ship : Ship
        The ship.
    hunt : str
        Id of the hunt: the name of its file in hunts/.
    agreed : collection of str, optional
        Vital circuits that whoever must agree has agreed to, now.
    as_of, samples, seed
        As of :func:`corrosion.presentation.answers.hunt.hunt_result`.

    Returns
    -------
    dict
        The JSON object of ``corrosion hunt``, with ``hunt``, ``steps`` and ``next``.

    Raises
    ------
    LookupFailed
        If there is no such hunt, or a row names a circuit that the system has not.
    InputError
        If what was opened rules out every circuit; it names what stands open.
    """
    progress = progress_in(ship, hunt, agreed=agreed)
    return resumed_with(ship, progress, as_of=as_of, samples=samples, seed=seed)


def resumed_with(
    ship: Ship,
    progress: Progress,
    *,
    as_of: date | None = None,
    samples: int = 4096,
    seed: int = 1,
    dangers: Sequence[Mapping[str, Any]] | None = None,
) -> dict[str, Any]:
    """Return the same of a hunt whose progress is known, and maybe the dangers."""
    try:
        answer = hunt_result(
            ship,
            progress.system,
            lies=progress.lies,
            seen=progress.seen,
            as_of=as_of,
            samples=samples,
            seed=seed,
            dangers=dangers,
        )
    except InputError as error:
        still = progress.seen.opened
        if not still:
            raise
        msg = f"STILL OPEN: {', '.join(still)}; close it first. {error}"
        raise InputError(msg) from None
    step = next_step(progress, answer)
    return answer | {
        "hunt": progress.hunt,
        "steps": [_step(row) for row in progress.steps],
        "next": {"circuit": None, **step, "words": next_words(step)},
    }


def _step(row: HuntStep) -> dict[str, Any]:
    return {
        "time": row.time.text,
        "by": row.by,
        "circuit": row.circuit,
        "act": row.act,
        "result": row.result,
        "remark": row.remark,
    }
