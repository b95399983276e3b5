"""The rows of the study: what each compares, and the band that it must meet."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final, Literal

from corrosion.foundation.data_files import csv_rows
from corrosion.validation.scores import Interval

Item = Interval | float
"""An interval beside its truth; or a number: 0 or 1, a difference, years."""

Findings = dict[str, list[Item | None]]
"""By row, what one ship gave; None where the estimate does not answer."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row."""

    words: str  # what is compared
    # 80 % intervals that hold, ones among zeros and ones, or a mean
    kind: Literal["interval", "share", "mean"]
    band: tuple[float, float] | None  # least and most; None: told, not judged
    unit: str = ""  # of a mean, and of the score beside an interval

    @property
    def log(self) -> bool:
        """Whether the score is that of natural logarithms, for what spans decades."""
        return self.unit.startswith("ln ")

    @property
    def least(self) -> float:
        """Of an interval, in its unit."""
        return _LEAST.get(self.unit, 0.0)


_LEAST: Final = {
    "mm": 0.01,
    "%": 1.0,
    "ln kg": 1e-3,
    "ln A·h": 1e-2,
    "ln A": 1e-4,
    "ln h": 1.0 / 60.0,
    "ln Ω": 1e-2,
}
"""What is less is as good as nothing: answer and truth are both taken as this."""


def _read() -> Iterator[tuple[str, Row]]:
    for line in csv_rows(__file__, "rows.csv"):
        judged = line["least"] != ""
        band = (float(line["least"]), float(line["most"])) if judged else None
        kind: Any = line["kind"]
        yield line["row"], Row(line["words"], kind, band, line["unit"])


ROWS: Final[Mapping[str, Row]] = MappingProxyType(dict(_read()))
"""Every row of rows.csv, by name."""
