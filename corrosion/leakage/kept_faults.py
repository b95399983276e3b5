"""What is drawn of the faults of a ship, kept: the dangers of a hunt ask again."""

from collections.abc import Callable, Mapping

from corrosion.foundation.kept_objects import kept
from corrosion.foundation.sampling import Draws
from corrosion.leakage.dated_states import AFLOAT
from corrosion.leakage.fault_unknowns import FaultUnknowns, sample_faults
from corrosion.leakage.logged_currents import LoggedHours
from corrosion.records.as_of import without_gaugings
from corrosion.records.ship import Ship


def kept_faults(
    ship: Ship,
    draws: Draws,
    as_of: float,
    logged: Mapping[str, LoggedHours],
    meanwhile: Callable[[], object] | None = None,
) -> FaultUnknowns:
    """Return what :func:`sample_faults` returns, kept or drawn now.

    Parameters
    ----------
    ship, draws, as_of, logged, meanwhile
        As that takes them.

    Returns
    -------
    FaultUnknowns
        The same to the bit either way.
    """
    return kept(
        ("faults", without_gaugings(ship), draws, as_of, logged),
        lambda: sample_faults(
            ship, draws, as_of=as_of, logged=logged, meanwhile=meanwhile
        ),
        known=(*ship.berths, AFLOAT, draws.assumptions),
        large=True,
        lines=True,
    )
