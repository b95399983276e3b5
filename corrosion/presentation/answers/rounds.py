"""What is typed in of a round or a shore hook-up, as rows of the ship's tables."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf

from corrosion.foundation.assumptions import Assumptions
from corrosion.inspection.cautions import FAILED_LAMP
from corrosion.leakage.visibility import monitor_alarm
from corrosion.presentation.format import ohms
from corrosion.records.measured import SHORE_CABLE
from corrosion.records.ship import Berth, System

Cells = dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundOfSystem:
    """What a round showed of one system."""

    system: System
    lamps: tuple[str, ...] = ()  # as seen, in its order; blank: not looked at
    monitor_ohm: float | None = None  # what the insulation monitor showed [Ω]

    @property
    def read(self) -> bool:
        """Whether anything was read."""
        return any(self.lamps) or self.monitor_ohm is not None


def round_problem(one: RoundOfSystem, assumptions: Assumptions) -> str:
    """Return why what was read is no healthy round, in a sentence; empty: it is one.

    A round without a fault tells that the system was healthy; what shows a fault goes
    into the log instead.
    """
    if "failed" in one.lamps:
        return f"{one.system.name}: {FAILED_LAMP}"
    if uneven := [lamp for lamp in one.lamps if lamp not in ("", "even")]:
        return (
            f"{one.system.name}: a lamp is {uneven[0]}. That is a fault, not a healthy "
            "round: write it under Log, Found a fault. Treat it as live."
        )
    alarm = monitor_alarm(one.system, assumptions)
    if one.monitor_ohm is not None and one.monitor_ohm < alarm:
        return (
            f"{one.system.name}: the monitor shows {ohms(one.monitor_ohm)}, below its "
            f"alarm ({ohms(alarm)}). That is a fault: write it under Log, Found a "
            "fault. Was it MΩ?"
        )
    return ""


def round_row(one: RoundOfSystem, shared: Mapping[str, str]) -> Cells:
    """Return a row of readings.csv: the system was found healthy.

    ``shared``: ``time``, ``by`` and ``remark``.
    """
    letters = dict(zip(("lamp_a", "lamp_b", "lamp_c"), one.lamps, strict=False))
    monitor = {} if one.monitor_ohm is None else {"monitor_ohm": f"{one.monitor_ohm:g}"}
    cells = {**shared, "system": one.system.name, **letters, **monitor}
    return {name: cell for name, cell in cells.items() if cell}


def earth_lead_rows(
    amps: Mapping[str, float | None], shared: Mapping[str, str]
) -> list[Cells]:
    """Return rows of readings.csv of a clamp round the earth lead of the shore cable.

    ``amps``: ``dc`` signed, positive towards the ship, and ``ac``. [A] ``shared``:
    ``time``, ``by`` and ``remark``.
    """
    return [
        {
            **{name: cell for name, cell in shared.items() if cell},
            "circuit": SHORE_CABLE,
            "clamped": "earth lead",
            "amps": f"{value:g}",
            "current": current,
        }
        for current, value in amps.items()
        if value is not None
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class HookUp:
    """What the card of a shore hook-up says before and after."""

    # time, berth, supply: when the cable was connected, where, and through what
    time: str
    berth: str
    supply: str
    # couple_v, ac_v: shore earth against the hull with the whole cable withdrawn:
    # direct, positive where the earth is the nobler, and alternating [V]
    couple_v: float | None = None
    ac_v: float | None = None
    # hull to shore earth through the protective conductor; infinite: none [Ω]
    earth_ohm: float | None = None
    phases: str = ""  # ``right``, ``wrong`` or blank
    more: Mapping[str, str] = field(default_factory=dict)  # further cells of berths.csv


def hook_up_problems(one: HookUp, assumptions: Assumptions) -> list[str]:
    """Return why she is not to be connected so, a sentence each."""
    found = []
    most_v, most_ohm = (
        assumptions.value(name) for name in ("danger_hull_v", "danger_conductor_ohm")
    )
    if one.ac_v is not None and one.ac_v > most_v:
        found.append(
            f"{one.ac_v:g} V alternating between hull and shore earth: the hull or the "
            "water beside it may be live. Do not connect; keep people off rails, "
            "gangway and out of the water; call those responsible ashore."
        )
    if one.phases == "wrong":
        found.append("Phase order wrong: do not connect; a licensed electrician.")
    earthed = one.supply == "shore earthed"
    if earthed and one.earth_ohm is not None and one.earth_ohm > most_ohm:
        shown = "none" if one.earth_ohm == inf else f"{one.earth_ohm:g} Ω"
        found.append(
            f"Protective conductor {shown}, more than {most_ohm:g} Ω: a fault aboard "
            "may make the hull live. Do not connect until it is put right ashore."
        )
    if not one.time.strip():
        found.append("Write when she was connected, as exact as you know.")
    return found


def hook_up_row(one: HookUp) -> Cells:
    """Return the row of berths.csv."""
    cable = ""
    if one.earth_ohm is not None:
        cable = "none" if one.earth_ohm == inf else f"{one.earth_ohm:g}"
    cells = {
        "from": one.time.strip(),
        "berth": one.berth.strip(),
        "supply": one.supply,
        "earth_cable_ohm": cable,
        "earth_couple_v": "" if one.couple_v is None else f"{one.couple_v:g}",
        **one.more,
    }
    return {name: cell for name, cell in cells.items() if cell}


def running_berth(rows: Sequence[Cells], berths: Sequence[Berth]) -> Cells | None:
    """Return the written row of the berth that has no end; None: there is none.

    ``rows``: of berths.csv as written. ``berths``: the same as read, from the first
    to the last.
    """
    if not berths or berths[-1].end is not None:
        return None
    return next((row for row in rows if not row.get("to", "").strip()), None)
