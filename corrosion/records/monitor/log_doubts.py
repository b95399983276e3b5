"""What is doubtful about a whole series of a log: its recorder, its hours, its unit."""

from collections.abc import Iterator, Mapping
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.foundation.units import HOUR
from corrosion.records.monitor.samples import Series

_LOST: Final = 0.1  # of its hours, above which a log loses many
_LIKELY_AMPS: Final = 100.0  # mean, above which it was likelier milliamperes


def series_doubts(
    series: Series, sums: Mapping[str, float], *, held: bool, told: bool
) -> Iterator[Problem]:
    """Yield what somebody should look into.

    Parameters
    ----------
    series : Series
        Which.
    sums : mapping of str to float
        Time ``covered``, time ``lost`` between first and last row [s], and
        ``magnitude`` of the charge [C].
    held : bool
        Whether each reading was held until the next.
    told : bool
        Whether somebody said so.
    """
    seconds, lost = sums["covered"], sums["lost"]
    mean = sums["magnitude"] / seconds if seconds else 0.0
    if held and not told:
        yield _doubt(
            f"{series} comes from a recorder that writes on change, as its rows look: "
            "each reading is held until the next, and silence is no gap",
            "say which it is in ship.toml, [monitor] writes, or with --writes",
            2,
        )
    if lost > _LOST * (seconds + lost):
        whole = (seconds + lost) / HOUR
        yield _doubt(
            f"{series} loses {lost / HOUR:.4g} of its {whole:.4g} hours in gaps; "
            "nothing is counted there",
            "look for the missing files, or give a longer gap ([monitor] gap_minutes, "
            "--gap) where the recorder is as slow as that",
            2,
        )
    if mean > _LIKELY_AMPS:
        yield _doubt(
            f"{series} has {mean:.3g} A into the hull on the mean, as milliamperes "
            "look that are taken for amperes",
            "head the column amps (mA) where it is so",
            3,
        )


def _doubt(found: str, expected: str, weight: int) -> Problem:
    return Problem("monitor", None, "", found, expected, weight)
