"""In which order to open breakers and test branches, as an object."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from corrosion.foundation.defaults import SAMPLES
from corrosion.foundation.units import HOUR, MINUTE
from corrosion.inspection.fault_finding.probabilities import Seen
from corrosion.inspection.fault_finding.sheet import hunt_table
from corrosion.presentation.answers.dangers import dangers_on
from corrosion.records.as_of import end_of_day, records_as_of
from corrosion.records.ship import Ship, ShipLies


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
