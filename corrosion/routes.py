"""The routes of the current for a block of samples, while time goes on."""

import numpy as np

from corrosion.books import Case
from corrosion.hull.injection import lamp_transfer, source_transfer
from corrosion.hull.paths import (
    Network,
    Transfer,
    contact_resistance,
    network,
    shore_loop,
    transfer,
)
from corrosion.leakage.amperes import Leak, returns_ashore
from corrosion.types import Array
from corrosion.units import MAINS, YEAR
from corrosion.wastage.alternating import dissolving_fraction
from corrosion.wastage.ledger import Booking, Flow
from corrosion.wastage.pits import localisation

__all__ = ["Routes", "coating_epochs"]

_COATING_EPOCH = 4.0 * YEAR  # the paths are solved anew for the breakdown of paint


def coating_epochs(case: Case) -> Array:
    """Return when a zone was painted, or the paths are due to be solved anew [s]."""
    start, end = case.clock.start, float(case.clock.moments[-1])
    painted = case.zones.painted
    painted = painted[(painted > start) & (painted < end)]
    return np.unique(np.append(painted, np.arange(start, end, _COATING_EPOCH)))


class Routes:
    """The current paths of a block of samples, solved anew for berth and coating."""

    def __init__(self, case: Case, rows: slice) -> None:
        self.case = case
        self.rows = rows
        self.unknowns = case.paths.rows(rows)
        self.entry = case.entry[rows]
        self.wet = case.hull.body.zones
        self._edges = np.append(coating_epochs(case), case.clock.moments[-1])
        self._networks: dict[float, Network] = {}
        self._kept: dict[tuple[int, float], Transfer] = {}
        self.epoch = 0
        self._ashore = [returns_ashore(case.ship, p.berth) for p in case.periods]

    def turn_to(self, a: float, b: float) -> None:
        """Move on to the slab between two dates."""
        self.early, self.late = a, b
        epoch = int(np.searchsorted(self._edges, a, side="right"))
        if epoch != self.epoch:  # what was solved for older paint is large, and done
            self.epoch = epoch
            self._networks.clear()
            self._kept.clear()
        self.bare = self.case.zones.bare(0.5 * (a + b), self.rows)

    def contact(self, hertz: float, bare: Array) -> Array:
        """Return the resistance of each wetted zone to its water [Ω]."""
        return contact_resistance(
            bare[:, self.wet],
            self.case.hull.contact_area,
            self.unknowns.interface_at(hertz),
            self.unknowns.coating,
        )

    def solved(self, number: int, hertz: float) -> Transfer:
        """Return the transfer at a berth and a frequency."""
        kept = self._kept.get((number, hertz))
        if kept is not None:
            return kept
        berth = self.case.periods[number].berth
        loop = shore_loop(self.case.hull, berth, self.unknowns, hertz=hertz)
        fresh = transfer(self._network(hertz), loop)
        self._kept[number, hertz] = fresh
        return fresh

    def _network(self, hertz: float) -> Network:
        """Return steel, interfaces and water, with the paint midway in this epoch."""
        kept = self._networks.get(hertz)
        if kept is not None:
            return kept
        midway = float(self._edges[self.epoch - 1 : self.epoch + 1].mean())
        fresh = network(
            self.case.hull,
            self.contact(hertz, self.case.zones.bare(midway, self.rows)),
            hertz=hertz,
            structure=self.unknowns.structure,
        )
        self._networks[hertz] = fresh
        return fresh

    def flow(self, number: int, leak: Leak) -> Flow:
        """Return where the currents of one system leave the steel."""
        case, solved = self.case, self.solved(number, leak.hertz)
        routes = source_transfer(
            solved,
            self.entry[:, leak.faults],
            self._ashore[number][leak.faults],
            case.cables,
        )
        amps = leak.amps
        if leak.lamps is not None and leak.system is not None:
            board = leak.system.switchboard_zone
            at = case.hull.reference if board is None else case.ship.zone_index(board)
            lamps = lamp_transfer(solved, at, case.cables)
            routes = np.concatenate([routes, lamps], axis=1)
            amps = np.concatenate([amps, leak.lamps[:, :, None]], axis=2)
        density = self.density(leak.hertz)
        if leak.current == "ac":  # counted as so much of mains frequency
            mains = case.zones.fraction[self.rows]
            counts = dissolving_fraction(mains, leak.hertz) / mains
            density = density * counts[:, None]
        return Flow(amps=amps, transfer=routes, faults=leak.faults, density=density)

    def through_paint(self) -> Array:
        """Return what leaves a zone over what leaves its bare steel, (samples, wetted).

        Sound paint lets a little through, which dissolves steel beneath it: it counts
        as metal, not as depth at the bare spots. [-]
        """
        bare, unknowns = self.bare[:, self.wet], self.unknowns
        ease = unknowns.interface[:, None] / unknowns.coating[:, None]
        return 1.0 + ease * (1.0 - bare) / bare

    def at_holidays(self, booked: Booking) -> Array:
        """Return the stray charge at small holidays, (samples, wetted) [C/m²].

        They draw more than the mean of all bare steel, the more so the less the
        interface resists, as it does for alternating current.
        """
        rho = self.case.hull.body.resistivity
        direct, alternating = (
            localisation(rho, interface=self.unknowns.interface_at(hertz))[:, None]
            for hertz in (0.0, MAINS)
        )
        rest = booked.stray - booked.alternating
        return rest * direct + booked.alternating * alternating

    def density(self, hertz: float) -> Array:
        """Return density at bare steel per ampere leaving each zone [1/m²]."""
        interface = self.unknowns.interface_at(hertz)[:, None]
        share = self.case.hull.share_flooded
        return self.contact(hertz, self.bare) * share / interface
