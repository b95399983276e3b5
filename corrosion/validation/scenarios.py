"""The scenarios of a study: what differs from a world as the estimate expects it."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final

from corrosion.validation.habits import Habits
from corrosion.validation.life import Circumstances

Band = tuple[float, float]
_SHIFTED: Final[Mapping[str, Band]] = MappingProxyType(
    {
        "left_gauged": (0.74, 1.0),
        "natural_kg": (0.70, 1.0),
        "campaign_out": (0.74, 1.0),
        "worst_five": (0.3, 99.0),
    }
)


@dataclass(frozen=True, slots=True)
class Scenario:
    """One scenario.

    Attributes
    ----------
    words : str
        What differs.
    what : Circumstances
        Of the world.
    habits : Habits
        Of people.
    bands : mapping of str to (float, float)
        Goals of rows that differ here.
    kinds : tuple of str
        Kinds of ship; empty: all in turn.
    line : str or None
        No life at all but plates on a line, on such a surface; empty: nobody wrote it.
        See :mod:`corrosion.validation.line`.
    """

    words: str
    what: Circumstances = field(default_factory=Circumstances)
    habits: Habits = field(default_factory=Habits)
    bands: Mapping[str, Band] = field(default_factory=dict)
    kinds: tuple[str, ...] = ()
    line: str | None = None


def _shifted(words: str, **shifts: float) -> Scenario:
    return Scenario(words, what=Circumstances(shifts=shifts), bands=_SHIFTED)


_ALL: Final = {
    "natural_rate": 1.5,
    "inside_ship": 2.0,
    "pitting": 1.4,
    "paint_speed": 1.4,
    "weak_spots": 1.75,
    "paint_ohm_m2": 0.25,
    "oxygen_limit_less_one": 2.0,
    "ac_share": 3.0,
    "shore_earth_ohm": 0.4,
    "fault_ohm": 5.0,
    "response_hours": 3.0,
    "watch_hours": 2.0,
    "round_days": 2.0,
    "eye": 1.5,
}
_RESTLESS: Final = Circumstances(
    restless=True, crowd=16, shifts={"response_hours": 10.0}
)
_ZONES: Final = ("natural_rate_zone", "paint_speed_zone")
_SLIPPED: Final = ("left_gauged", "left_ungauged", "natural_kg")
_SLIPS_30: Final = dict.fromkeys(_SLIPPED, (0.68, 1.0)) | {"left_out": (0.5, 1.0)}
_SLIPS_10: Final = dict.fromkeys(_SLIPPED, (0.76, 1.0)) | {"left_out": (0.66, 1.0)}
# of readings left out the slipped ones are held seldom: 0.8 of the sound, less a little

SCENARIOS: Final[Mapping[str, Scenario]] = MappingProxyType(
    {
        "well specified": Scenario("medians and spreads as published or judged"),
        "all shifted": _shifted("all of them at once", **_ALL),
        "never gauged": Scenario("no gauging", habits=Habits(campaigns=0)),
        "slips 10": Scenario(
            "10 % of gaugings slipped, swapped or from the drawing",
            habits=Habits(slips=0.1),
            bands=_SLIPS_10,
        ),
        "slips 30": Scenario(
            "30 % of gaugings slipped, swapped or from the drawing",
            habits=Habits(slips=0.3),
            bands=_SLIPS_30,
        ),
        "year dates": Scenario(
            "every date of a fault is a year", habits=Habits(years_only=True)
        ),
        "no last good": Scenario(
            "no last good check is written", habits=Habits(good=0.0)
        ),
        "protected": Scenario(
            "anodes on every wetted plate", what=Circumstances(protected=True)
        ),
        "no dockings": Scenario(
            "no docking or painting is written down", habits=Habits(dockings=False)
        ),
        "on a line": Scenario(
            "five campaigns of each plate lie on a straight line", line=""
        ),
        "on a line, prepared": Scenario(
            "the same, read on prepared plate and written so", line="prepared"
        ),
        "recorded": Scenario(
            "a recorder wrote hull currents for two years, on change",
            habits=Habits(recorder=True),
        ),
        "river": Scenario(
            "fresh water; moves as the restless do",
            what=replace(_RESTLESS, river=True),
        ),
        "restless": Scenario(
            "own supply and earthed quay in turn; faults of the voyage last",
            what=_RESTLESS,
        ),
        "welding": Scenario(
            "welded on afloat; return clamp beside the work, far off or ashore",
            what=Circumstances(welding=True),
        ),
        "quays": Scenario(
            "no gauging; boats and museum ships, most at quays that are earthed",
            habits=Habits(campaigns=0),
            kinds=("boat", "museum"),
        ),
        "zones differ more": Scenario(
            "natural rates and paint of zones spread twice as widely",
            what=Circumstances(widths=dict.fromkeys(_ZONES, 2.0)),
        ),
        "zones differ less": Scenario(
            "natural rates and paint of zones spread half as widely",
            what=Circumstances(widths=dict.fromkeys(_ZONES, 0.5)),
        ),
        "all shifted, poor records": replace(
            _shifted("all shifted; year dates, no last good, no docking", **_ALL),
            habits=Habits(years_only=True, good=0.0, dockings=False),
        ),
        **{
            f"shifted {name.replace('_', ' ')}": _shifted(
                f"{name} x {factor:g}, alone", **{name: factor}
            )
            for name, factor in _ALL.items()
        },
        "crowd": Scenario(
            "200 faults stand at once, of 260 that arose: breakers opened others",
            what=Circumstances(crowd=260),
            kinds=("coaster", "museum"),
        ),
    }
)
"""Every scenario, by name, in the order in which they are run: what says most first."""
