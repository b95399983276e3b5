"""The rows of the study: what each compares, and the band that it must meet."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from corrosion.validation.scores import Interval

__all__ = ["ROWS", "Findings", "Item", "Row"]

Item = Interval | float
"""An interval beside its truth; or a number: 0 or 1, a difference, years."""

Findings = dict[str, list[Item | None]]
"""By row, what one ship gave; None where the estimate does not answer."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row.

    Attributes
    ----------
    words : str
        What is compared.
    kind : {'interval', 'share', 'mean'}
        80 % intervals that hold, ones among zeros and ones, or a mean.
    band : tuple of float or None
        Least and most; None: told, not judged.
    unit : str
        Of a mean, and of the score beside an interval.
    log : bool
        The score is that of natural logarithms, for what spans decades.
    """

    words: str
    kind: Literal["interval", "share", "mean"]
    band: tuple[float, float] | None
    unit: str = ""
    log: bool = False

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

_MM, _FAULT = (0.76, 0.84), (0.74, 0.86)
ROWS: Final[Mapping[str, Row]] = MappingProxyType(
    {
        "left_gauged": Row("thickness left, gauged zones", "interval", _MM, "mm"),
        "left_ungauged": Row(
            "thickness left, ungauged zones of gauged ships", "interval", _MM, "mm"
        ),
        "left_never": Row("thickness left, ships never gauged", "interval", _MM, "mm"),
        "deepest": Row("deepest pit", "interval", _MM, "mm"),
        "natural_kg": Row("natural kg of the ship", "interval", _MM, "ln kg", log=True),
        "stray_kg": Row("stray kg of the ship", "interval", _FAULT, "ln kg", log=True),
        "faults_kg": Row("... of faults", "interval", _FAULT, "ln kg", log=True),
        "couple_kg": Row(
            "... of the couple with the shore", "interval", _FAULT, "ln kg", log=True
        ),
        "own_metals_kg": Row(
            "kg that own metals took, steel ships with a propeller",
            "interval",
            _FAULT,
            "ln kg",
            log=True,
        ),
        "lost_kg": Row(
            "kg lost of the ship, all causes", "interval", _FAULT, "ln kg", log=True
        ),
        "zone_stray_kg": Row(
            "stray kg of a zone", "interval", _FAULT, "ln kg", log=True
        ),
        "zone_faults_kg": Row(
            "... of faults, of a zone", "interval", _FAULT, "ln kg", log=True
        ),
        "zone_natural_kg": Row(
            "natural kg of a zone", "interval", _MM, "ln kg", log=True
        ),
        "zinc_left": Row("zinc left of an anode", "interval", _FAULT, "%"),
        "resistance": Row(
            "resistance of clamped faults", "interval", _MM, "ln Ω", log=True
        ),
        "amps_after": Row(
            "amperes of clamped faults, most of whose hours passed in another state",
            "interval",
            _MM,
            "ln A",
            log=True,
        ),
        "charge_ah": Row(
            "ampere-hours of the ship", "interval", _FAULT, "ln A·h", log=True
        ),
        "charge_ah_ac": Row("... alternating", "interval", _FAULT, "ln A·h", log=True),
        "charge_ah_dc": Row("... direct", "interval", _FAULT, "ln A·h", log=True),
        "fault_ah_ac": Row(
            "ampere-hours of a fault, alternating",
            "interval",
            _FAULT,
            "ln A·h",
            log=True,
        ),
        "fault_ah_dc": Row("... direct", "interval", _FAULT, "ln A·h", log=True),
        "fault_ah_clamped": Row(
            "... of clamped faults, of their system's kind",
            "interval",
            _FAULT,
            "ln A·h",
            log=True,
        ),
        "hours": Row("hours of faults", "interval", _FAULT, "ln h", log=True),
        "hours_blank": Row(
            "... with last_good blank", "interval", _FAULT, "ln h", log=True
        ),
        "hours_years": Row(
            "... dated by years only", "interval", _FAULT, "ln h", log=True
        ),
        "campaign_out": Row(
            "thickness left, latest campaign left out, zones gauged before",
            "interval",
            _MM,
            "mm",
        ),
        "gauged_day": Row(
            "gauged plates within two standard errors of their reading on its day",
            "share",
            (0.95, 1.0),
        ),
        "blamed_sound": Row(
            "chance to be wrong that sound readings are given", "mean", (0.0, 0.05)
        ),
        "blamed_slips": Row("... that slipped readings are given", "mean", None),
        "bias": Row("bias of a campaign", "interval", _MM, "mm"),
        "chance_low": Row("below limit where 0-10 % was said", "share", (0.0, 0.1)),
        "chance_some": Row("below limit where 10-30 % was said", "share", (0.1, 0.3)),
        "chance_even": Row("below limit where 30-70 % was said", "share", (0.3, 0.7)),
        "chance_high": Row("below limit where 70-100 % was said", "share", (0.7, 1.0)),
        "brier": Row("squared error of chances", "mean", None),
        "inspect_by": Row(
            "below limit before inspect_by, where that lies ahead (15 % tolerated)",
            "share",
            (0.05, 0.25),
        ),
        "worst_five": Row(
            "true worst five in first eight, less a straight line's",
            "mean",
            (0.0, 99.0),
            "zones",
        ),
        "below_found": Row(
            "zones truly below a limit at the next docking, in first eight, less a "
            "straight line's",
            "mean",
            (0.0, 99.0),
            "zones",
        ),
        "worst_ours": Row("true worst five in first eight", "mean", None, "zones"),
        "worst_line": Row("... by a straight line", "mean", None, "zones"),
        "worst_wasted": Row("... by most wasted", "mean", None, "zones"),
        "worst_amps": Row("... by amperes x hours", "mean", None, "zones"),
        "worst_oldest": Row("... by oldest paint", "mean", None, "zones"),
        "plan": Row(
            "true worst five in a plan of 12 h, less a straight line's",
            "mean",
            (0.0, 99.0),
            "zones",
        ),
        "hunt": Row(
            "expected minutes of a hunt, over those by the list",
            "mean",
            (0.0, 0.95),
        ),
        "seeds": Row(
            "headline chance, standard deviation over seeds", "mean", (0.0, 0.01)
        ),
        "line": Row(
            "five campaigns on a line: years too late", "mean", (-2.0, 2.0), "years"
        ),
        "line_off": Row(
            "... years off, either way (crossings within fifteen years)",
            "mean",
            (0.0, 2.0),
            "years",
        ),
        "given_up": Row(
            "ships whose estimate took longer than the limit", "share", (0.0, 0.01)
        ),
        "stopped": Row("ships that an error kept from an answer", "share", (0.0, 0.0)),
        "cpu_own": Row("seconds of the study itself", "mean", None, "s"),
        "cpu_estimate": Row("seconds of the estimates", "mean", None, "s"),
    }
)
"""Every row, by name."""
