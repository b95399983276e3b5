"""What is doubtful about a whole series of a log: its recorder, its hours, its unit."""

from collections.abc import Iterator, Mapping
from typing import Final

from corrosion.foundation.data_files import sentences
from corrosion.foundation.errors import Problem
from corrosion.foundation.units import HOUR
from corrosion.records.monitor.samples import Series

_SAID: Final = sentences(__file__, "doubts.toml")
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
    cells = {
        "series": series,
        "mean": mean,
        "lost": lost / HOUR,
        "whole": (seconds + lost) / HOUR,
    }
    for doubt, weight, holds in (
        ("held", 2, held and not told),
        ("gaps", 2, lost > _LOST * (seconds + lost)),
        ("amps", 3, mean > _LIKELY_AMPS),
    ):
        if holds:
            found = _SAID[doubt].format(**cells)
            yield Problem("monitor", None, "", found, _SAID[f"{doubt}, so"], weight)
