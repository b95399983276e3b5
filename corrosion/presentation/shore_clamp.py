"""Sentences about the clamp on the shore cable: what it would tell, or told."""

from collections.abc import Mapping
from typing import Any, Final

from corrosion.presentation.format import interval, number

CLAMP_CAUTION: Final = (
    "Clamp the earth lead of the connected cable; nothing is opened for it. Never "
    "lift, open or bypass an earth conductor while any other conductor of the supply "
    "is connected, and never pull the plug for a reading: it comes out only when the "
    "whole supply is switched off ashore, locked and withdrawn, by those responsible."
)
"""Stands before what is proposed."""


def clamp_sentences(berth: Mapping[str, Any]) -> list[str]:
    """Return what a clamp would tell at a berth, or what it told; none without a lead.

    Parameters
    ----------
    berth : mapping
        A berth of the JSON of ``corrosion hull``.
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
