"""A ship's anodes while time goes on: fitted, consumed, looked at, renewed."""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import HOUR, YEAR
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import EATERS
from corrosion.hull.anode_groups import AnodeGroup, anode_groups
from corrosion.hull.cathodic_protection import ProtectedHull, protected_hull
from corrosion.records.ship import Ship

_UNUSED: Final = 0.02  # of an anode: less used than an eye can tell [-]
_SIZED: Final = 0.5 * YEAR  # how often their size is looked at anew


def anodes_act(ship: Ship) -> bool:
    """Return whether the anodes protect her in the history.

    Where zones.csv writes a protection current, that is what arrives, and anodes.csv
    only says which anodes deliver it.
    """
    return bool(ship.anodes) and not any(zone.protection for zone in ship.zones)


def anode_dates(inputs: ModelInputs) -> Array:
    """Return when anodes that act change, and every half-year between [s]."""
    if not anodes_act(inputs.ship):
        return np.zeros(0)
    start, end = inputs.time_grid.start, float(inputs.time_grid.moments[-1])
    groups = anode_groups(inputs.ship, inputs.hull)
    dates = [event.moment for event in _events(inputs, groups)]
    if not dates:
        return np.zeros(0)
    every = np.concatenate([dates, np.arange(min(dates), end, _SIZED)])
    return np.asarray(every[(every > start) & (every < end)])


@dataclass(frozen=True, slots=True)
class _Event:
    """What happens to a group of anodes: it is new, or seen with so much left."""

    moment: float
    group: int
    kind: Literal["new", "seen"]
    left: float


def _events(inputs: ModelInputs, groups: tuple[AnodeGroup, ...]) -> list[_Event]:
    ship, found = inputs.ship, []
    for k, one in enumerate(groups):
        fitted = one.anode.fitted or ship.last_docking
        first = inputs.time_grid.start if fitted is None else fitted.middle
        found.append(_Event(first, k, "new", 1.0))
        found += [
            _Event(look.seen.middle, k, "seen", look.left) for look in one.anode.looks
        ]
        zone = ship.zones[ship.zone_index(one.anode.zone)]
        found += [
            _Event(work.date.middle, k, "new", 1.0)
            for work in ship.works
            if work.work == "anodes renewed"
            and (
                work.anode == one.anode.anode
                or (work.anode is None and work.covers(zone))
            )
            and work.date.middle > first
        ]
    return sorted(found, key=lambda event: event.moment)


class AnodesInTime:
    """What is left of a ship's anodes in a block of samples, while time goes on.

    Attributes
    ----------
    her : ProtectedHull
        The hull with her anodes.
    left : ndarray, shape (samples, groups)
        Share of the net mass of each sacrificial group; 0: not fitted yet. [-]
    on : ndarray of bool, shape (impressed,)
        Which impressed-current anodes are fitted.
    eaten : ndarray, shape (samples, groups, len(EATERS))
        Charge that each drew from each group since it was last renewed. [C]

    Notes
    -----
    Before the first that anyone wrote of, others like it sat there in some samples:
    midway between new and gone all the time, renewed nobody knows when.
    """

    def __init__(self, inputs: ModelInputs, rows: slice) -> None:
        from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

        ship, hull, draws = inputs.ship, inputs.hull, inputs.draws
        metals = [ship.zones[k].metal for k in hull.body.zones]
        groups = anode_groups(ship, hull)
        self.her: ProtectedHull = protected_hull(hull, metals, groups)
        self._place = {one.anode.anode: k for k, one in enumerate(self.her.groups)}
        self._switch = {one.anode.anode: k for k, one in enumerate(self.her.impressed)}
        self._groups = groups
        self._events = _events(inputs, groups)
        samples, many = inputs.paths.rows(rows).interface.size, len(self.her.groups)
        self.left = np.zeros((samples, many))
        self.on = np.zeros(len(self.her.impressed), dtype=np.bool_)
        self.eaten = np.zeros((samples, many, len(EATERS)))
        self.charge_of_all, self._seen_off = np.ones((2, samples, many))
        for k, one in enumerate(self.her.groups):
            uniform = draws.block(f"anode {one.anode.anode}", 2)[rows]
            name = f"anode_capacity_{one.anode.metal}_ah_kg"
            self.charge_of_all[:, k] = draws.lognormal(name, uniform[:, 0])
            self.charge_of_all[:, k] *= one.mass * HOUR
            self._seen_off[:, k] = draws.value("anode_seen_sd") * ndtri(uniform[:, 1])
            chance = draws.value("anodes_before_chance")
            were = draws.block("anodes before", 1)[rows, 0] < chance
            self.left[:, k] = were * (1.0 - 0.5 * one.used_up(draws.assumptions))
            pace = ndtri(draws.block("anode pace", 1)[rows, 0])
            self.charge_of_all[:, k] *= np.exp(draws.value("anode_pace_sd") * pace)
        self._known = np.zeros(many, dtype=np.bool_)  # which anyone wrote of by now
        self._sized = -np.inf
        self._eye, self._pace = (
            draws.value("anode_seen_sd"),
            draws.value("anode_pace_sd"),
        )

    @property
    def acting(self) -> bool:
        """Whether any is there."""
        return bool(self.left.any() or self.on.any())

    @property
    def known(self) -> bool:
        """Whether any is there that someone wrote of."""
        return bool(self._known.any() or self.on.any())

    def turn_to(self, moment: float) -> bool:
        """Do what has happened until a moment; whether they are to be solved anew."""
        due = [event for event in self._events if event.moment <= moment]
        self._events = self._events[len(due) :]
        for event in due:
            name = self._groups[event.group].anode.anode
            if name in self._switch:
                self.on[self._switch[name]] = True
                continue
            k = self._place[name]
            if event.kind == "new":
                self.left[:, k], self.eaten[:, k], self._known[k] = 1.0, 0.0, True
            else:
                self._see(k, event.left)
        if due or (self._known.any() and moment >= self._sized + _SIZED):
            self._sized = moment
            return self.acting
        return False

    def _see(self, k: int, told: float) -> None:
        """Take what an eye told of a group, and learn how fast it is used.

        What was used by then over what was foreseen tells of capacity, of the current
        and of what nobody wrote down, the surer the more of it was used: all of its
        charge is taken as so much less, so that its life follows what was seen.
        """
        seen = np.clip(told + self._seen_off[:, k], 0.0, 1.0)
        used, foreseen = (
            np.maximum(1.0 - of, _UNUSED) for of in (seen, self.left[:, k])
        )
        if (self.left[:, k] < 1.0).any():
            trust = self._pace**2 / (self._pace**2 + (self._eye / used) ** 2)
            self.charge_of_all[:, k] *= (foreseen / used) ** trust
        self.left[:, k] = seen

    def use(self, sample: IntArray | slice, charge: Array, eater: str) -> None:
        """Take what leaves each group from what is left of it.

        ``charge`` is (samples, groups), negative where a current enters. [C]
        """
        k, charge = EATERS.index(eater), charge * self._known
        if isinstance(sample, slice):
            self.eaten[sample, :, k] += charge
            self.left[sample] -= charge / self.charge_of_all[sample]
        else:
            np.add.at(self.eaten[:, :, k], sample, charge)
            np.subtract.at(self.left, sample, charge / self.charge_of_all[sample])
        np.clip(self.left, 0.0, 1.0, out=self.left)

    @property
    def usable(self) -> Array:
        """Charge left in each group until it falls off, (samples, groups) [C]."""
        table = self.her.hull.assumptions
        lost = [1.0 - one.used_up(table) for one in self.her.groups]
        return np.maximum(self.left - lost, 0.0) * self.charge_of_all

    @property
    def hosts(self) -> list[int]:
        """Position among the wetted zones of each group, then of each impressed one."""
        return [one.host for one in (*self.her.groups, *self.her.impressed)]
