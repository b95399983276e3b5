"""Where a supply is tied to earth, and what a system is fed with at a berth.

A tie is either of the neutral point (the star of three phases, the middle of three
wires) or of one conductor. Ashore it leads through the shore earth and the protective
conductor, which are in parallel between the hull and the supply's earth; aboard it is
a strap to the hull at the switchboard.
"""

from dataclasses import dataclass, replace
from typing import cast

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array
from corrosion.leakage.neutral_point import Phasors, conductor_index
from corrosion.records.kinds import EarthedAt, Kind
from corrosion.records.ship import Berth, System

_USUAL: dict[Kind, EarthedAt] = {"ac3": "star", "ac1": "b", "dc2": "-"}
"""Where an earthed shore supply is tied, by kind, where nobody wrote it."""

_NEUTRAL = ("star", "middle")
_STRAP = 1e-3  # a solid tie aboard, as a bonding strap; judgement [Ω]


@dataclass(frozen=True, slots=True)
class Tie:
    """A tie of known conductance, as it can be a key of what is kept."""

    # neutral point (`star`, `middle`) or conductor; None: the system floats
    at: str | None = None
    conductance: float = 0.0  # to the hull [S]

    def parts(self, system: System) -> tuple[float, Array]:
        """Return what ties the neutral point, and each conductor, to the hull [S]."""
        tied = np.zeros(len(system.conductors))
        if self.at not in system.conductors:
            return self.conductance, tied
        tied[system.conductors.index(self.at)] = self.conductance
        return 0.0, tied


FLOATING = Tie()  # no tie: the system floats


@dataclass(frozen=True, slots=True)
class Earthing:
    """How a system is tied to the hull, a sample a row."""

    # neutral point (`star`, `middle`) or conductor; None: the system floats
    at: str | None
    conductance: Array  # shape (samples,): to the hull [S]
    # whether what flows through the tie returns ashore; else at the switchboard
    ashore: bool = False

    def neutral(self) -> Array:
        """Return the admittance of the neutral point to the hull [S]."""
        return self.conductance * float(self.at in _NEUTRAL)

    def on_conductors(self, system: System) -> Array:
        """Return what ties each conductor to the hull, shape (samples, c) [S]."""
        tied = np.zeros((len(self.conductance), len(system.conductors)))
        if self.at is not None and self.at not in _NEUTRAL:
            tied[:, conductor_index(system, self.at)] = self.conductance
        return tied

    def current(self, system: System, volts: Phasors) -> Phasors:
        """Return the current from the system through the tie into the hull [A].

        ``volts`` are of the conductors to hull, shape (samples, states, c).
        """
        if self.at is None:
            return cast("Phasors", np.zeros(volts.shape[:-1], dtype=volts.dtype))
        if self.at in _NEUTRAL:
            lift = volts[..., 0] - system.star_volts[0]
        else:
            lift = volts[..., conductor_index(system, self.at)]
        return cast("Phasors", lift * self.conductance[:, None])


def is_earthed(system: System, berth: Berth) -> bool:
    """Return whether the shore supply of a berth ties a system to earth."""
    return (
        berth.supply == "shore earthed"
        and system.fed_from_shore
        and berth.earthed_at != "none"
    )


def _fits(system: System, at: str) -> bool:
    return at in system.conductors or at == (
        "star" if system.kind == "ac3" else "middle"
    )


def supply_at(system: System, berth: Berth) -> System:
    """Return a system with the volts and frequency that a shore supply gives it."""
    if berth.supply == "own" or not system.fed_from_shore:
        return system
    volts = system.volts if berth.volts is None else berth.volts
    hertz = system.hertz if berth.hertz is None else berth.hertz
    return replace(system, volts=volts, hertz=0.0 if system.kind == "dc2" else hertz)


def earthing_at(
    system: System, berth: Berth, *, shore_earth: Array, conductor: Array
) -> Earthing:
    """Return how a system is tied to the hull at a berth.

    Parameters
    ----------
    system, berth : System, Berth
    shore_earth : ndarray, shape (samples,)
        Shore earth to remote earth. [Ω]
    conductor : ndarray, shape (samples,)
        Protective conductor, hull to shore earth; 0: none connected. [S]

    Returns
    -------
    Earthing
        Ashore where the supply is earthed and feeds the system, else as the system is
        earthed aboard by design. A tie that a system of this kind does not have is its
        kind's usual one.
    """
    if is_earthed(system, berth):
        at = berth.earthed_at
        if at is None or not _fits(system, at):
            at = _USUAL[system.kind]
        both = 1.0 / shore_earth + conductor
        return Earthing(at, 1.0 / (berth.earthing + 1.0 / both), ashore=True)
    if system.earthed_at == "none":
        return Earthing(None, np.zeros(len(shore_earth)))
    strap = max(system.earthing, _STRAP)
    return Earthing(system.earthed_at, np.full(len(shore_earth), 1.0 / strap))


def median_cable(berth: Berth, assumptions: Assumptions) -> float | None:
    """Return the protective conductor at a berth at its median.

    Parameters
    ----------
    berth, assumptions : Berth, Assumptions

    Returns
    -------
    float or None
        Its resistance; None: there is none. [Ω]
    """
    if berth.earth_cable is None and berth.earth_connected is None:
        return assumptions.value("earth_cable_ohm")  # connected more likely than not
    return berth.earth_cable


def median_earthing(system: System, berth: Berth, assumptions: Assumptions) -> Tie:
    """Return how a system is tied at a berth, what is not written at its median."""
    shore = berth.shore_earth or assumptions.value("shore_earth_ohm")
    cable = median_cable(berth, assumptions)
    found = earthing_at(
        system,
        berth,
        shore_earth=np.array([shore]),
        conductor=np.array([0.0 if cable is None else 1.0 / cable]),
    )
    return Tie(found.at, float(found.conductance[0]))


def lies_at(
    system: System, berth: Berth, assumptions: Assumptions
) -> tuple[Tie, System | None]:
    """Return how a system is tied at a berth, and what it is fed with there.

    As :func:`median_earthing` gives it. The system with the supply's volts; None: as it
    is.
    """
    fed = supply_at(system, berth)
    return median_earthing(system, berth, assumptions), None if fed == system else fed
