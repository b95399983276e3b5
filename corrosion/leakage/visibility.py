"""Whether a fault could be seen while it waited to be found, and what its dates say.

A fault that lamps or a monitor show is found within a watch, any other waits for an
insulation test. So a long time since the last good check is evidence of a resistance
above the least that shows, and a low resistance is evidence of a short delay: both are
drawn together. What was read is the resistance on the day on which it was found; while
it hid it may have been another, as far as resistances wander in that time.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import DAY, HOUR
from corrosion.leakage.dated_states import FoundIn, last_check, tripped
from corrosion.leakage.durations import DurationLaws
from corrosion.leakage.earthed_stays import DrawnFaults, amps_ashore
from corrosion.leakage.earthing import is_earthed
from corrosion.leakage.lamp_pattern import least_visible_fault
from corrosion.leakage.wander import Wander
from corrosion.records.ship import Fault, Ship, System

_WIDTHS: Final = (HOUR, 2.0 * DAY, 62.0 * DAY)  # of dates: to the hour, day, month
_LEAN: Final = np.array([[-1, 1, 0, 0], [1, 1, -1, -1]])
# A watch writes the hour and who tests insulation the day: which widths hidden, and
# shown, faults of other ships have more and less often.
_ROUNDS: Final = 5  # of what dates say of a fault, and all faults of dates


def monitor_alarm(system: System, assumptions: Assumptions) -> float:
    """Return the resistance below which a monitor of a system gives an alarm.

    Parameters
    ----------
    system : System
        The system; its alarm goes with its voltage.
    assumptions : Assumptions

    Returns
    -------
    float
        [Ω]
    """
    return system.volts * assumptions.value("monitor_alarm_ohm_per_v")


def least_shown(system: System, assumptions: Assumptions) -> float:
    """Return the highest resistance that lamps or a monitor show.

    Parameters
    ----------
    system, assumptions : System, Assumptions

    Returns
    -------
    float
        0: nothing shows any. [Ω]
    """
    seen = 0.0
    if system.lamps is not None:
        seen = least_visible_fault(system, assumptions=assumptions)
    if system.monitor is not None:
        seen = max(seen, monitor_alarm(system, assumptions))
    return seen


def chance_hidden(ohms: Array, least: Array, spread: float, doubt: float) -> Array:
    """Return the chance that a fault was hidden while it waited to be found.

    Parameters
    ----------
    ohms : ndarray, shape (samples, faults)
        Resistance when it was found. [Ω]
    least : ndarray, shape (faults,)
        Least visible fault; 0: nothing shows it. [Ω]
    spread : float
        How far a logarithm wanders while a hidden fault waits. [-]
    doubt : float
        Least chance that a watch misses what shows, or sees what does not. [-]

    Returns
    -------
    ndarray, shape (samples, faults)
        One that was visible was found at once, as it was; one that was hidden has had
        time to wander below what shows. Resistances before are taken as evenly likely
        in the logarithm. [-]
    """
    from scipy.special import ndtr  # noqa: PLC0415 - importing corrosion stays light

    above = np.log(ohms / np.maximum(least, 1e-300))
    fell = ndtr(above / max(spread, 1e-9))  # 0 where a ship says that hers do not
    chance = np.where(above > 0.0, 1.0, fell / (1.0 + fell))
    return np.where(least > 0.0, np.clip(chance, doubt, 1.0 - doubt), 1.0)


def opens_breaker(ship: Ship, found_in: FoundIn, drawn: DrawnFaults) -> BoolArray:
    """Return which faults an earthed supply opened as they were found.

    Parameters
    ----------
    ship, found_in, drawn : Ship, FoundIn, DrawnFaults

    Returns
    -------
    ndarray of bool, shape (samples, faults)
        More than that flowed where she lay when the fault was found, the protective
        path at its median, and the dates do not say that it stood after that.
    """
    opened = np.zeros(drawn.ohms.shape, dtype=np.bool_)
    for k, fault in enumerate(ship.faults):
        opened[:, k] = tripped(ship, fault)
        parts = found_in.parts[k] if _may_have_ended(fault) else []
        for number, one in enumerate(parts):
            system = ship.system(fault.system or "")
            if not is_earthed(system, one.berth):
                continue
            ohms, pole = drawn.ohms[:, k], drawn.pole[:, k]
            amps = amps_ashore(ship, system, one.berth, ohms=ohms, pole=pole)
            opened[:, k] |= (found_in.part[:, k] == number) & (amps > drawn.most[:, k])
    return opened


def _may_have_ended(fault: Fault) -> bool:
    """Return whether a fault may have ended as it was found, as far as is written.

    Where nothing is written of that, nobody saw it stand.
    """
    if fault.ended is not None:
        return fault.ended.earliest < fault.found.latest
    return fault.standing is not True


@dataclass(frozen=True, slots=True)
class DatesSaid:
    """How likely the dates of faults are, up to a factor of each fault."""

    # shown, hidden, shape (samples, faults): if it could be shown, and if
    # it could not [-]
    shown: Array
    hidden: Array

    def chance(self, hidden: Array) -> Array:
        """Return the chance that each was hidden, given that of its resistance [-]."""
        there = hidden * self.hidden
        return np.asarray(there / (there + (1.0 - hidden) * self.shown))

    def weight(self, hidden: Array, opened: BoolArray) -> Array:
        """Return how likely the dates are, given resistances, (samples, faults) [-].

        One that opened its breaker would have shown at the next look.
        """
        seen, unseen = self.shown.mean(axis=0), self.hidden.mean(axis=0)
        usual = (1.0 - hidden) * seen + hidden * unseen
        return np.asarray(np.where(opened, seen, usual))


def dates_said(ship: Ship, laws: DurationLaws, hidden: Array) -> DatesSaid:
    """Return what the dates say of whether faults could be shown.

    The gap since the last check by either law of delays. And how wide a date is: if
    those that were hidden are dated by the year more often than others, one that is
    dated by the year was hidden more likely, and one to the minute less so.

    Parameters
    ----------
    ship, laws : Ship, DurationLaws
    hidden : ndarray, shape (samples, faults)
        Chance that each was hidden, given its resistance. [-]
    """
    shown, unseen = np.ones(hidden.shape), np.ones(hidden.shape)
    for k, fault in enumerate(ship.faults):
        good = last_check(fault)
        if good is None or good.earliest >= fault.found.latest:
            continue
        shown[:, k] = laws.shown.chance_of_dates(good, fault.found) + 1e-12
        unseen[:, k] = laws.hidden.chance_of_dates(good, fault.found) + 1e-12
    ratio = np.ones(len(ship.faults))
    for _ in range(_ROUNDS):
        share = DatesSaid(shown, unseen * ratio).chance(hidden).mean(axis=0)
        ratio = _by_width(ship, share)
    return DatesSaid(shown, unseen * ratio)


def _by_width(ship: Ship, hidden: Array) -> Array:
    """Return how much likelier a date is so wide if its fault was hidden.

    Each fault is held against the others of the ship, and a few of other ships.
    """
    faults, assumed = ship.faults, ship.assumptions.value
    each = assumed("date_width_faults") + assumed("date_width_lean") * _LEAN
    ground = np.array([fault.source == "ground fault" for fault in faults])
    width = np.searchsorted(_WIDTHS, [fault.widest for fault in faults])
    said = []
    for before, share in zip(
        each, (ground * hidden, ground * (1.0 - hidden)), strict=True
    ):
        alike = np.bincount(width, share, len(before))[width] - share
        others = share.sum() - share
        said.append((np.take(before, width) + alike) / (sum(before) + others))
    return np.where(ground, said[0] / said[1], 1.0)


def hidden_ohms(
    ohms: Array, least: Array, waited: Array, wander: Wander, uniform: Array
) -> Array:
    """Return resistances while faults were hidden, (samples, faults) [Ω].

    Above the least that shows, as far from what was read as resistances wander in half
    of the time.
    """
    from scipy.special import ndtr, ndtri  # noqa: PLC0415 - importing corrosion stays light

    shift, sd = wander.over(0.5 * waited, waited)
    bound = np.log(np.maximum(least, 1e-300) / ohms) / np.maximum(sd, 1e-9)
    z = np.maximum(-ndtri(np.maximum(uniform * ndtr(-bound), 1e-300)), bound)
    return np.asarray(ohms * np.exp(sd * z + shift))
