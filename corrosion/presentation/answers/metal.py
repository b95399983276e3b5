"""Bench conversion: amperes and years to metal, with its source."""

from typing import Any

from corrosion.foundation.errors import InputError
from corrosion.foundation.units import YEAR
from corrosion.wastage.faraday import mass_loss, penetration_mm_per_year
from corrosion.wastage.metals import metal


def metal_loss(name: str, *, amps: float, years: float) -> dict[str, Any]:
    """Return what a direct current dissolves of a metal.

    Parameters
    ----------
    name : str
        A name of the metals table.
    amps : float
        Direct current leaving the metal, not negative. [A]
    years : float
        Duration, not negative, in years of 365.25 days. [year]

    Returns
    -------
    dict
        ``kg``, what one A/m² takes in ``mm_per_year``, ``equivalent_weight_g``,
        ``density_kg_per_m3`` and ``source``.

    Raises
    ------
    LookupFailed
        If there is no such metal.
    InputError
        If the current or the duration is negative or not a number.
    """
    for what, value, unit in (("amps", amps, "A"), ("years", years, "years")):
        if not 0.0 <= value < float("inf"):
            msg = f"{what} must be 0 {unit} or more, got {value:g} {unit}"
            raise InputError(msg)
    if amps * years * YEAR == float("inf"):
        msg = f"{amps:g} A for {years:g} years is too large to compute; give less"
        raise InputError(msg)
    found = metal(name)
    return {
        "metal": found.name,
        "amps": amps,
        "years": years,
        "kg": float(mass_loss(amps * years * YEAR, found)),
        "mm_per_year": float(penetration_mm_per_year(1.0, found)),
        "equivalent_weight_g": found.equivalent_weight,
        "density_kg_per_m3": found.density,
        "source": found.source,
    }
