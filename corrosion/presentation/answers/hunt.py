"""In which order to open breakers and test branches, anew or resumed from the log."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any

from corrosion.foundation.defaults import SAMPLES
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.units import HOUR, MILLIAMPERE, MINUTE
from corrosion.inspection.fault_finding.probabilities import Seen
from corrosion.inspection.fault_finding.progress import Progress, next_step, progress_of
from corrosion.inspection.fault_finding.sheet import hunt_table
from corrosion.presentation.answers.dangers import dangers_on
from corrosion.presentation.hunt_words import next_words
from corrosion.records.as_of import end_of_day, records_as_of
from corrosion.records.ship import Fault, Hunt, HuntStep, Ship, ShipLies


def hunt_result(  # noqa: PLR0913 - who hunts what, in which state, on which day
    ship: Ship,
    system: str,
    *,
    lies: ShipLies,
    seen: Seen | None = None,
    as_of: date | None = None,
    samples: int = SAMPLES,
    seed: int = 1,
    dangers: Sequence[Mapping[str, Any]] | None = None,
) -> dict[str, Any]:
    """Return the hunt sheet of a system.

    Parameters
    ----------
    ship : Ship
        The ship.
    system : str
        The system whose lamps show the fault.
    lies : {'under way', 'alongside', 'dead ship'}
        How she lies: only what may be opened so is offered.
    seen : Seen, optional
        The conductor that the lamps point to, recent work, what was opened already.
    as_of : date, optional
        The present; None: today.
    samples, seed : int, optional
        As for :func:`corrosion.estimate`: for the dangers, nothing else is drawn.
    dangers : sequence of mapping, optional
        The dangers, where they are known already.

    Returns
    -------
    dict
        The JSON object of ``corrosion hunt``.

    Raises
    ------
    LookupFailed
        If there is no such system, conductor or circuit.
    InputError
        If the system has no circuits, or what was opened rules out every one.
    """
    day = as_of or date.today()  # noqa: DTZ011 - ship's time carries no zone
    known, _ = records_as_of(ship, day)
    sheet = hunt_table(known, system, lies=lies, as_of=end_of_day(day), seen=seen)
    known_of = seen or Seen()
    price = known.prices.crew_hour
    minutes = sheet["expected_minutes"]
    cost = (
        {}
        if price is None or minutes is None
        else {"expected_cost": minutes * MINUTE / HOUR * price}
    )
    return {
        "ship": known.name,
        "system": system,
        "as_of": day.isoformat(),
        "dangers": dangers_on(ship, day, samples=samples, seed=seed)
        if dangers is None
        else list(dangers),
        "conductor": known_of.conductor,
        "stayed": list(known_of.stayed),
        "gone": known_of.gone,
        "among": [list(names) for names in known_of.among],
        "closed": sorted(known_of.closed),
        "silent": list(known_of.silent),
        "shown": known_of.shown,
        "agreed": sorted(known_of.agreed),
        **sheet,
        **cost,
    }


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
    progress: Progress,
    *,
    as_of: date | None = None,
    samples: int = SAMPLES,
    seed: int = 1,
    dangers: Sequence[Mapping[str, Any]] | None = None,
) -> dict[str, Any]:
    """Return the hunt sheet of a hunt that was written down, and its next step.

    Parameters
    ----------
    ship : Ship
        The ship.
    progress : Progress
        How far the hunt has come: :func:`progress_in`.
    as_of, samples, seed, dangers
        As of :func:`hunt_result`.

    Returns
    -------
    dict
        The JSON object of ``corrosion hunt``, with ``hunt``, ``steps`` and ``next``.

    Raises
    ------
    LookupFailed
        If a row names a circuit that the system has not.
    InputError
        If what was opened rules out every circuit; it names what stands open.
    """
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
    names = ("by", "circuit", "act", "result", "remark")
    return {"time": row.time.text, **{name: getattr(row, name) for name in names}}
