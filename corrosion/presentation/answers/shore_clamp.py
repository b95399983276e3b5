"""What a direct-current clamp on a berth's earth lead would tell, or told; in words."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

import numpy as np

from corrosion.foundation.json_values import summary
from corrosion.foundation.types import Array
from corrosion.foundation.units import MILLIAMPERE, YEAR
from corrosion.history.inputs import ModelInputs
from corrosion.history.paths import CurrentPaths
from corrosion.hull import shore_evidence
from corrosion.hull.uncertain import PathUnknowns, draw_paths
from corrosion.presentation.format import interval, number
from corrosion.records.ship import Berth
from corrosion.wastage.faraday import mass_loss

_LIKELY = (
    0.1,
    0.5,
    0.9,
)  # of what is likely: readings of which it is said what they mean


def clamp_result(
    inputs: ModelInputs, berth: Berth, couple: Array, routes: CurrentPaths
) -> dict[str, Any] | None:
    """Return what a clamp round the earth lead of a berth would tell, or told.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    berth : Berth
        How she lies.
    couple : ndarray, shape (samples,)
        Current of the couple there, by all that is known. [A]
    routes : CurrentPaths
        Of her there, as stay 0.

    Returns
    -------
    dict or None
        ``taken``: readings there [mA]; ``before`` and ``after``: the couple's current
        without and with them [A]; ``would_tell``: for some readings [mA], what each
        would leave of it [A] and what steel the couple would take in a year [kg]. None
        where no earth lead carries a couple.
    """
    connected = berth.earth_connected is not False
    if not connected or berth.galvanic_isolator or not berth.afloat:
        return None
    if not inputs.hull.body.zones.size or not inputs.paths.couple_at(berth).any():
        return None
    hull = routes.seen_hull(0)

    def amps(paths: PathUnknowns) -> Array:
        paths = replace(paths, held=hull.held)
        ohms = hull.ohms + shore_evidence.shore_ohms(berth, paths, hull.ohms)
        return np.asarray(paths.couple_at(berth) / ohms)

    untaught = draw_paths(inputs.draws)
    before = amps(untaught)
    taken = [
        read
        for read in shore_evidence.shore_readings(inputs.ship)
        if read.berth == berth and read.amps is not None
    ]
    supposed = {_round(value) for value in np.quantile(before, _LIKELY).tolist()}
    zero = inputs.ship.assumptions.value("dc_clamp_zero_a")
    if np.quantile(before, 0.01) < 3.0 * zero:  # else it would contradict what is known
        supposed.add(zero)

    def supposing(value: float) -> dict[str, Any]:
        read = shore_evidence.ShoreReading(
            moment=inputs.time_grid.as_of, berth=berth, amps=value
        )
        left = amps(shore_evidence.fit_shore(untaught, [read], [hull], inputs.draws))
        return {"reading_ma": value / MILLIAMPERE, **_meaning(left)}

    return {
        "taken_ma": [(read.amps or 0.0) / MILLIAMPERE for read in taken],
        "before": _meaning(before),
        "after": _meaning(couple) if taken else None,
        "would_tell": [] if taken else [supposing(value) for value in sorted(supposed)],
    }


def _round(amps: float) -> float:
    """Return a current to one digit, as one reads a clamp [A]."""
    return float(f"{amps:.0e}")


def _meaning(amps: Array) -> dict[str, Any]:
    kg = mass_loss(np.maximum(amps, 0.0) * YEAR)
    return {"couple_amps": summary(amps), "kg_per_year": summary(kg)}


CLAMP_CAUTION: Final = (
    "Clamp the earth lead of the connected cable; nothing is opened for it. Never "
    "lift, open or bypass an earth conductor while any other conductor of the supply "
    "is connected, and never pull the plug for a reading: it comes out only when the "
    "whole supply is switched off ashore, locked and withdrawn, by those responsible."
)
"""Stands before what is proposed."""


def clamp_sentences(berth: Mapping[str, Any]) -> list[str]:
    """Return what a clamp would tell at a berth, or what it told; none without a lead.

    ``berth``: a berth of the JSON of ``corrosion hull``.
    """
    clamp = berth["clamp"]
    if clamp is None:
        return []
    where = f"{berth['berth']}, {berth['supply']}"
    before = interval(clamp["before"], "couple_amps", "A")
    if clamp["after"] is not None:
        read = " and ".join(f"{number(value)} mA" for value in clamp["taken_ma"])
        return [
            f"{where}: the clamp on the earth lead read {read}. The couple drives "
            f"{interval(clamp['after'], 'couple_amps', 'A')}; without the reading it "
            f"was {before}. In a year that takes "
            f"{interval(clamp['after'], 'kg_per_year', 'kg')} of steel."
        ]
    meanings = "; ".join(
        f"{number(row['reading_ma'])} mA would mean "
        f"{interval(row, 'couple_amps', 'A')} and "
        f"{interval(row, 'kg_per_year', 'kg')} of steel a year"
        for row in clamp["would_tell"]
    )
    return [
        CLAMP_CAUTION,
        f"{where}: nothing measures the couple, which may drive {before}. A "
        f"direct-current clamp round the earth lead would tell: {meanings}. Write it "
        "into readings.csv as circuit shore cable, clamped earth lead.",
    ]
