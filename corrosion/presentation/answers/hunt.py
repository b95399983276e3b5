"""In which order to open breakers and test branches, as an object."""

from datetime import date
from typing import Any

from corrosion.estimate import restated
from corrosion.foundation.units import HOUR, MINUTE
from corrosion.inspection.fault_finding.probabilities import Seen
from corrosion.inspection.fault_finding.sheet import hunt_table
from corrosion.records.as_of import end_of_day, records_as_of
from corrosion.records.ship import Ship

__all__ = ["hunt_result"]


def hunt_result(
    ship: Ship,
    system: str,
    *,
    seen: Seen | None = None,
    as_of: date | None = None,
) -> dict[str, Any]:
    """Return the hunt sheet of a system.

    Parameters
    ----------
    ship : Ship
        The ship.
    system : str
        The system whose lamps show the fault.
    seen : Seen, optional
        The conductor that the lamps point to, recent work, what was opened already.
    as_of : date, optional
        The present; None: today.

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
    with restated(known):
        sheet = hunt_table(known, system, as_of=end_of_day(day), seen=seen)
    known_of = seen or Seen()
    price = known.prices.crew_hour
    cost = (
        {}
        if price is None
        else {"expected_cost": sheet["expected_minutes"] * MINUTE / HOUR * price}
    )
    return {
        "ship": known.name,
        "system": system,
        "as_of": day.isoformat(),
        "conductor": known_of.conductor,
        "stayed": list(known_of.stayed),
        "gone": known_of.gone,
        **sheet,
        **cost,
    }
