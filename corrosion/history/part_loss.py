"""What one scenario lost at one berth in a part of a step, and where it is added.

States are netted once for a step, with the bare share of the whole step. In each of
its parts nature takes what it does by the paint of that part; what currents took
follows from the network, so that of barer steel each square metre lost so much less.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.history.compared import StepMass
from corrosion.history.depth import DepthLoss
from corrosion.history.loss import COUPLE, OWN_METALS, LossHistory
from corrosion.history.natural_rate import NaturalCharge
from corrosion.history.paths import CurrentPaths
from corrosion.history.step_states import Step
from corrosion.wastage.apportionment import MULTIPLIERS
from corrosion.wastage.step_loss import StepLoss


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLoss:
    """What one scenario lost at one berth in a part of a step.

    Attributes
    ----------
    paths : CurrentPaths
        Of the step.
    at_holidays : tuple of two ndarrays, shape (samples, 1)
        Density at small holidays over the mean, of direct and alternating current. [-]
    natural : NaturalCharge
        By the paint of this part.
    sums : StepLoss
        Of this part of one history, with the bare share of the whole step.
    local : ndarray, shape (samples, wetted)
        What direct currents took at small holidays. [C/m²]
    inside : ndarray, shape (samples, zones)
        What inner faces lost. [m]
    bare : ndarray, shape (samples, zones)
        Bare share midway in this part. [-]
    spared : ndarray, shape (samples, wetted)
        What currents spared a square metre of plate: of :func:`spared_by_part`. [C/m²]
    """

    paths: CurrentPaths
    at_holidays: tuple[Array, Array]
    natural: NaturalCharge
    sums: StepLoss
    local: Array
    inside: Array
    bare: Array
    spared: Array

    @property
    def _wet(self) -> IntArray | slice:
        """Wetted zones, as a slice where they follow one another: it copies nothing."""
        wet = self.paths.wet
        if wet.size and wet[-1] - wet[0] == wet.size - 1:
            return slice(int(wet[0]), int(wet[-1]) + 1)
        return wet

    def _by_nature(self) -> tuple[Array, Array, Array | None]:
        """Return nature's charge here over that of the step's mean rate [-].

        And what it takes by itself, protected or not, of one square metre of bare steel
        and at the multiples of its rate, (samples, multiples, wetted); None: nothing
        protects. [C/m²]
        """
        sums, mean = self.sums, self.natural.mean[:, self._wet]
        aged = _over(mean, sums.natural)
        if sums.still is None:
            return aged, mean, None
        base = mean - sums.protection_spared * aged
        return aged, base, sums.still * aged[:, None]

    def add(self, depth: DepthLoss, kept: LossHistory, rows: slice) -> Array:
        """Add it to depths and accounts of mass.

        Return the mean loss at each multiple of the natural rate, first axis [m].
        """
        aged, base, still = self._by_nature()
        if self.paths.counted:
            self._add_mass(kept, rows, aged)
        self._reduce_thickness(depth, base)
        return self._multiplied(still)

    def _reduce_thickness(self, depth: DepthLoss, base: Array) -> None:
        """Take the loss off every zone, in the mean and at bare spots."""
        natural, sums, wet = self.natural, self.sums, self._wet
        dissolution, bare = self.paths.inputs.dissolution, self.bare
        direct, alternating = self.at_holidays
        whole, spared = self.paths.bare[:, wet], self.spared
        outer = natural.mean * bare
        taken, taken_spot = np.zeros((2, *outer.shape))
        taken[:, wet] = sums.taken * whole
        outer[:, wet] = base * bare[:, wet] + taken[:, wet] - spared
        local = self.local + sums.alternating * alternating
        taken_spot[:, wet] = local = local * (whole / bare[:, wet])
        mean, spot = natural.mean[:, wet], natural.spot.copy()
        age = np.divide(spot[:, wet], mean, out=np.ones_like(mean), where=mean > 0.0)
        left = base - np.minimum(spared / bare[:, wet] * direct, base)
        spot[:, wet] = np.maximum(left, 0.0) * age + local
        depth.add(
            (outer / dissolution, taken / dissolution),
            (spot / dissolution, taken_spot / dissolution),
            self.inside,
            bare,
        )

    def _multiplied(self, by_nature: Array | None) -> Array:
        sums, wet, dissolution = self.sums, self._wet, self.paths.inputs.dissolution
        times = np.array(MULTIPLIERS)[:, None, None]
        found = times * (self.natural.mean * (self.bare / dissolution))
        still = times * sums.natural
        if sums.still is not None and by_nature is not None:
            still = sums.still.swapaxes(0, 1)
            found[:, :, wet] = by_nature.swapaxes(0, 1) * (
                self.bare[:, wet] / dissolution[wet]
            )
        driven = sums.multiplied.swapaxes(0, 1) - still
        driven += sums.taken - sums.direct - sums.alternating  # beneath the paint
        driven *= self.paths.bare[:, wet] / dissolution[wet]
        found[:, :, wet] += driven
        found += self.inside
        return found

    def _add_mass(self, kept: LossHistory, rows: slice, aged: Array) -> None:
        """Add the mass to the accounts of causes."""
        wet, sums = self._wet, self.sums
        natural, of_plate = self.natural.mean, self.paths.kg_per_charge
        to_kg = of_plate * self.bare
        kept.natural_sea_kg[rows] += natural * to_kg
        kept.natural_inside_kg[rows] += self.inside * self.paths.inputs.kg_per_metre
        kept.protection_spared_kg[rows, wet] += (
            sums.protection_spared * aged * to_kg[:, wet]
        )
        kept.spared_kg[rows, wet] += self.spared * of_plate[wet]
        to_kg = of_plate[wet] * self.paths.bare[:, wet]
        steady = (COUPLE, kept.couple_kg), (OWN_METALS, kept.own_metals_kg)
        for name, account in steady:
            if name in sums.steady:
                account[rows, wet] += sums.steady[name][0] * to_kg
        kept.faults_kg[rows, wet] += sums.faults * to_kg


def spared_by_part(
    loss: StepLoss, whole: Array, natural: Sequence[Array], bare: Sequence[Array]
) -> list[Array]:
    """Return what currents spared a square metre of plate in each part of a step.

    Parameters
    ----------
    loss : StepLoss
        Of the parts of one history.
    whole : ndarray, shape (samples, wetted)
        Bare share of the whole step. [-]
    natural, bare : sequence of ndarray, shape (samples, wetted)
        What nature takes of bare steel, and the bare share, in each part. [C/m²], [-]

    Returns
    -------
    list of ndarray, shape (samples, wetted)
        As far as they spare all that nature takes it goes as that does, else as they
        do; of the whole step as much as its states say. [C/m²]
    """
    spared = [loss.spared[:, k] * whole for k in range(len(natural))]
    if len(natural) == 1:
        return spared
    each = []
    for k, (took, share) in enumerate(zip(natural, bare, strict=True)):
        part = loss.part(k)
        kept = _over(part.spared, part.natural - part.protection_spared)
        grown = _over(took * share, part.natural * whole)
        each.append(spared[k] * (1.0 + np.minimum(kept, 1.0) * (grown - 1.0)))
    scale = _over(np.sum(spared, axis=0), np.sum(each, axis=0))
    return [scale * one for one in each]


def natural_rate(
    paths: CurrentPaths, step: Step, natural: Sequence[NaturalCharge]
) -> Array:
    """Return nature's mean rate in a step of several parts.

    Parameters
    ----------
    paths : CurrentPaths
        Of this step.
    step : Step
        At one berth.
    natural : sequence of NaturalCharge
        Of each part.

    Returns
    -------
    ndarray, shape (samples, wetted)
        With the bare share of the whole step it takes as much as all parts. [A/m²]
    """
    wet, span = paths.wet, (step.end - step.start)[:, None]
    mean = natural[0].mean[:, wet]
    if len(natural) > 1:
        lost = [
            each.mean[:, wet] * paths.parts[step.first + k].bare[:, wet]
            for k, each in enumerate(natural)
        ]
        mean = np.sum(lost, axis=0) / paths.bare[:, wet]
    return _over(mean, span)


def step_mass(
    paths: CurrentPaths, parts: Sequence[PartLoss], loss: StepLoss, which: IntArray
) -> StepMass:
    """Return what a step took, to be held against another scenario's.

    Parameters
    ----------
    paths : CurrentPaths
        Of this step.
    parts : sequence of PartLoss
        Of the step, at one berth.
    loss : StepLoss
        Of all of them.
    which : ndarray of int, shape (samples, stretches)
        The state of each stretch.

    Returns
    -------
    StepMass
        Of one scenario.
    """
    rest = sum(one.natural.mean * one.bare for one in parts) * paths.kg_per_charge
    rest[:, paths.wet] = 0.0
    rest += sum(one.inside for one in parts) * paths.inputs.kg_per_metre
    to_kg = (paths.kg_per_charge * paths.bare)[:, paths.wet]
    return StepMass(loss.lost, to_kg, which, rest)


def _over(top: Array, bottom: Array) -> Array:
    """Return a ratio; nothing where nothing stands below."""
    return np.divide(top, bottom, out=np.zeros_like(top), where=bottom > 0.0)
