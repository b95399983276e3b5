"""Depth lost in a block of samples: mean, at bare spots, at old pits under paint."""

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.history.inputs import ModelInputs
from corrosion.wastage.pits import as_pits_deepen, deepest_pit
from corrosion.wastage.works import PlateWork

_APART = 1e-3  # pits no deeper than the even loss are all alike
_LEAST = 1e-6  # of a loss by which pits go [m]


class DepthLoss:
    """Loss of thickness of a block of samples, while time goes on.

    Paint fills no pit. What was the deepest pit when a zone was painted stays as deep
    while paint holds over it, and grows on where that fails; a new pit in steel that is
    bare since may overtake it.

    Attributes
    ----------
    mean, taken_mean : ndarray, shape (samples, zones)
        Mean over the zone, and what of it currents took. [m]
    worn, since, taken_worn, taken_since : ndarray, shape (samples, zones)
        At a spot that is bare since the last painting: lost evenly before that and from
        the inner face, and lost by the outer face since. [m]
    pit : ndarray, shape (samples, zones)
        Deepest pit that is older than the last painting, below the plate as built;
        minus infinity: none. [m]
    factor, gone : ndarray, shape (samples, zones)
        How deep it is over what its spot lost as pits go by that [-], and what its spot
        lost by the outer face [m].
    inside : ndarray, shape (samples, zones)
        What the inner face lost. [m]
    place : ndarray, shape (samples, zones)
        Where it is in the order in which paint fails, 0 to 1; of many pits that are as
        deep the first. [-]
    """

    def __init__(self, inputs: ModelInputs, rows: slice) -> None:
        self._inputs, self._rows = inputs, rows
        shape = (
            len(range(*rows.indices(inputs.draws.samples))),
            len(inputs.ship.zones),
        )
        self.mean, self.worn, self.since = np.zeros((3, *shape))
        self.pit = np.full(shape, -np.inf)
        self.factor, self.gone, self.inside = np.zeros((3, *shape))
        self._gone_as_pits = self.gone, self._as_pits(self.gone)
        self.place = inputs.zones.pit_place[rows]
        self.taken_mean, self.taken_worn, self.taken_since = np.zeros((3, *shape))

    def take_over(self, other: "DepthLoss") -> None:
        """Stand from now on where another history stands."""
        for name, value in vars(other).items():
            if isinstance(value, np.ndarray):
                setattr(self, name, value.copy())

    def paint(self, zones: BoolArray, bare: Array) -> None:
        """Let paint cover zones, (samples, zones); ``bare`` is how bare they were."""
        if not zones.any():
            return
        self._grow_old(zones, bare)
        self._begin_anew(zones)

    def repair(self, work: PlateWork, bare: Array) -> None:
        """Let a work on plates be done; ``bare`` is how bare the zones are.

        A yard begins with the deepest pits: none that it finds stays deeper than
        ``pit_repaired_share`` of the plate, however small the share worked on, but for
        a deepest one that lies where it does not see it, and that it welded any says
        that one was so deep; of the shallower ones that share is
        worked on. Filled pits keep their depth in what is left and wait for the filler
        to fail as paint does; welded ones are gone, and so is what a whole renewal
        replaces. A renewal in part raises the mean and leaves the deepest pit, wherever
        it is. A yard that left a plate found no deeper pit either, or welded it and
        nobody wrote it, but where it does not see.
        """
        zones = np.broadcast_to(work.zones, self.mean.shape)
        if work.work in ("renewed", "doubler"):
            part = work.share * zones
            wear = 1.0 if work.work == "renewed" else 0.0
            self.mean = self.mean - part * (wear * self.mean + work.gain)
            self.taken_mean = self.taken_mean * (1.0 - part * wear)
            if work.work == "doubler" or work.share < 1.0:
                return
            self.worn[:], self.taken_worn[:] = (
                np.where(zones, mean, worn)
                for mean, worn in (
                    (self.mean, self.worn),
                    (self.taken_mean, self.taken_worn),
                )
            )
            self.pit[zones] = -np.inf
            for since in (self.since, self.taken_since, self.inside):
                since[zones] = 0.0
            return
        deepest = np.maximum(self.pit, self.worn + self._new_pit(bare))
        value = self._inputs.draws.value
        whole = np.array([zone.built for zone in self._inputs.ship.zones])
        most = self._inputs.zones.pit_left[self._rows]
        covered = self._inputs.zones.pit_place[self._rows] < work.share
        welded, left = work.work == "pits welded", work.work == "pits left"
        if welded and work.moment <= self._inputs.time_grid.as_of:  # no plan: a finding
            deepest = np.clip(deepest, most, whole)  # a hole had been mended before
        done = zones & (covered | (deepest >= most)) & (work.share > 0.0)
        kept = deepest
        if left:
            lots = self._inputs.draws.block(f"left {work.moment:.0f}", zones.shape[1])
            done &= (lots[self._rows] >= value("pit_hidden_share")) & (deepest > most)
            kept = most
        elif welded:
            # by Gumbel's law: how many were deeper than what a yard leaves, so many are
            # about as deep as that, and wait for the paint over the first to fail
            hidden = value("pit_hidden_share")
            part = self._extreme(bare * hidden, 1.0) / self._extreme(bare, 1.0)
            over = np.maximum(1.0 - most / np.maximum(deepest, most), 0.0)
            many = hidden ** -np.minimum(over / np.maximum(1.0 - part, _APART), 2.0)
            name = f"welded {work.moment:.0f}"
            lots = self._inputs.draws.block(name, 2 * zones.shape[1])[self._rows]
            unseen, place = np.split(lots, 2, axis=1)
            first = 1.0 - (1.0 - place) ** (1.0 / many)
            self.place = np.where(done & ~covered, first, self.place)
            stays = np.where(unseen < hidden, deepest, np.minimum(deepest, most))
            kept = np.where(covered, -np.inf, stays)
        self._grow_old(done, bare)
        self.pit = np.where(done, kept, self.pit)
        self._as_left(done & np.isfinite(kept) & (welded | left))
        # nor does a spot stay that was worn deeper: new pits begin as under new paint
        self._begin_anew(done)

    def _begin_anew(self, zones: BoolArray) -> None:
        """Let new pits begin in steel as worn as the mean, (samples, zones)."""
        for worn, since, mean in (
            (self.worn, self.since, self.mean),
            (self.taken_worn, self.taken_since, self.taken_mean),
        ):
            worn[zones] = mean[zones]
            since[zones] = 0.0

    def _grow_old(self, zones: BoolArray, bare: Array) -> None:
        """Let the deepest pit of zones, (samples, zones), be an old one."""
        factor = self._extreme(bare, 1.0)
        deepest = self.worn + factor * self.since_as_pits
        new = zones & (deepest > self.pit)
        self.pit = np.where(new, deepest, self.pit)
        self.factor = np.where(new, factor, self.factor)
        self.gone = np.where(new, self.since, self.gone)

    def _as_left(self, zones: BoolArray) -> None:
        """Let the deepest pit go on as one of its depth does, (samples, zones).

        By its depth over what its spot lost. Where the factor as drawn makes it as deep
        by another loss, half of what they differ by is put on either.
        """
        depth = np.maximum(self.pit - self.inside, _LEAST)
        drawn = depth / np.maximum(self.factor, 1.0)
        gone = np.maximum(self.gone, _LEAST) * self._as_pits(drawn, back=True)
        gone = np.sqrt(gone)
        self.gone = np.where(zones, gone, self.gone)
        self.factor = np.where(zones, depth / self._as_pits(gone), self.factor)

    @property
    def since_as_pits(self) -> Array:
        """What the outer face lost since, as pits go by it, (samples, zones) [m]."""
        return self._as_pits(self.since)

    def _as_pits(self, loss: Array, *, back: bool = False) -> Array:
        """Return a loss as pits go by it; ``back``: the loss by which one does [m]."""
        power = self._inputs.draws.value("pit_depth_power")
        return as_pits_deepen(
            loss,
            reference=self._inputs.zones.pit_reference,
            power=1.0 / power if back else power,
        )

    def _new_pit(self, bare: Array) -> Array:
        """Return the deepest pit that began after the last painting [m]."""
        return self._extreme(bare, self.since_as_pits)

    def _extreme(self, bare: Array, depth: Array | float) -> Array:
        """Return the deepest pit on bare shares that lost a mean depth [m]."""
        inputs, zones = self._inputs, self._inputs.zones
        return deepest_pit(
            depth,
            factor=zones.pitting[self._rows],
            bare_area=bare * inputs.hull.body.area,
            reference_area=inputs.draws.value("pit_reference_m2"),
            uniform=zones.deepest[self._rows],
            scale=inputs.draws.value("pit_gumbel_scale"),
        )

    def add(
        self,
        mean: tuple[Array, Array],
        spot: tuple[Array, Array],
        inner: Array,
        bare: Array,
    ) -> None:
        """Add the loss of a step.

        Parameters
        ----------
        mean : tuple of two ndarrays, shape (samples, zones)
            Lost by the outer face, and what of it currents took: mean over the
            zone. [m]
        spot : tuple of two ndarrays, shape (samples, zones)
            The same at a small bare spot. [m]
        inner : ndarray, shape (samples, zones)
            Lost by the inner face. [m]
        bare : ndarray, shape (samples, zones)
            Bare share. [-]
        """
        zones, rows = self._inputs.zones, self._rows
        self.mean += mean[0] + inner
        self.taken_mean += mean[1]
        self.worn += inner
        self.since += spot[0]
        self.taken_since += spot[1]
        self.inside += inner
        failed = bare * zones.pit_paint[rows] > self.place
        gone = self.gone + np.where(failed, spot[0], 0.0)
        before, was = self._gone_as_pits
        if before is not self.gone:
            was = self._as_pits(self.gone)
        self._gone_as_pits = gone, self._as_pits(gone)
        self.pit += inner + self.factor * (self._gone_as_pits[1] - was)
        self.gone = gone
