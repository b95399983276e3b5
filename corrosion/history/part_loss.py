"""What one scenario lost at one berth in a part of a step, and where it is added.

States are netted once for a step, with the bare share of the whole step. In each of
its parts nature takes what it does by the paint of that part; what currents took
follows from the network, so that of barer steel each square metre lost so much less.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, partial

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


class PartNature:
    """What nature took at one berth in a part of a step: the same in all scenarios.

    Scenarios of one ship lie there as long, under the same paint.

    Parameters
    ----------
    paths : CurrentPaths
        Of the step.
    number : int
        Which stay of theirs.
    natural : NaturalCharge
        By the paint of this part.
    bare : ndarray, shape (samples, zones)
        Bare share midway in it. [-]
    inside : ndarray, shape (samples, zones)
        What inner faces lost. [m]
    sums : StepLoss
        Of this part of one of the scenarios, with the bare share of the whole step.
    """

    def __init__(
        self,
        paths: CurrentPaths,
        number: int,
        natural: NaturalCharge,
        bare: Array,
        inside: Array,
        sums: StepLoss,
    ) -> None:
        self.wet = wet = as_slice(paths.wet)
        self.natural, self.bare, self.inside = natural, bare, inside
        self.dissolution = dissolution = paths.inputs.dissolution
        self.mean, self.whole = natural.mean[:, wet], paths.bare[:, wet]
        self.outer = natural.mean * bare
        self.left = sums.natural - sums.protection_spared
        self.grown = _over(self.mean * bare[:, wet], sums.natural * self.whole) - 1.0
        direct, self.alternating = paths.at_holidays(number)
        self.nearer, self.more = direct / bare[:, wet], self.whole / bare[:, wet]
        spot, mean = natural.spot[:, wet], self.mean
        self.age = np.divide(spot, mean, out=np.ones_like(mean), where=mean > 0.0)
        self.aged = _over(mean, sums.natural)
        self.base, self.still = mean, None
        if sums.still is not None:
            self.base = mean - sums.protection_spared * self.aged
            self.outer[:, wet] = self.base * bare[:, wet]
            self.still = sums.still * self.aged[:, None]
        self.driven = self.whole / dissolution[wet]
        self.of_plate, self.of_inside = paths.kg_per_charge, paths.inputs.kg_per_metre
        self.sea_kg = natural.mean * (self.of_plate * bare)
        self.inside_kg = inside * self.of_inside

    @cached_property
    def multiplied(self) -> Array:
        """Mean loss at each multiple of nature's rate, with no current that drives [m].

        Of shape (multiples, samples, zones).
        """
        times, wet = np.array(MULTIPLIERS)[:, None, None], self.wet
        found = times * (self.natural.mean * (self.bare / self.dissolution))
        if self.still is not None:
            found[:, :, wet] = self.still.swapaxes(0, 1) * (
                self.bare[:, wet] / self.dissolution[wet]
            )
        found += self.inside
        return np.asarray(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLoss:
    """What one scenario lost at one berth in a part of a step.

    Arrays are of shape (samples, wetted) where no other is said.
    """

    nature: PartNature  # what all scenarios lost there by nature
    sums: StepLoss  # of this part of one history, with the bare share of the whole step
    local: Array  # what direct currents took at small holidays [C/m²]
    # what currents spared a square metre of plate: of `spared_by_part` [C/m²]
    spared: Array

    def add(self, depth: DepthLoss, multiplied: Array) -> None:
        """Add it to depths, and to the mean loss at each multiple of nature's rate."""
        self._reduce_thickness(depth)
        self._multiply(multiplied)

    def _reduce_thickness(self, depth: DepthLoss) -> None:
        """Take the loss off every zone, in the mean and at bare spots."""
        nature, sums, wet = self.nature, self.sums, self.nature.wet
        dissolution, base = nature.dissolution, nature.base
        taken, taken_spot = np.zeros((2, *nature.outer.shape))
        taken[:, wet] = sums.taken * nature.whole
        outer, spot = nature.outer.copy(), nature.natural.spot.copy()
        outer[:, wet] += taken[:, wet] - self.spared
        local = self.local + sums.alternating * nature.alternating
        local *= nature.more
        taken_spot[:, wet] = local
        left = base - np.minimum(self.spared * nature.nearer, base)
        spot[:, wet] = left * nature.age + local
        depth.add(
            (outer / dissolution, taken / dissolution),
            (spot / dissolution, taken_spot / dissolution),
            nature.inside,
            nature.bare,
        )

    def _multiply(self, multiplied: Array) -> None:
        nature, sums = self.nature, self.sums
        multiplied += nature.multiplied
        beneath = sums.taken - sums.direct - sums.alternating  # the paint
        still = sums.still
        if still is None:
            still = np.array(MULTIPLIERS)[:, None] * sums.natural[:, None]
        driven = sums.multiplied - still
        driven += beneath[:, None]
        driven *= nature.driven[:, None]
        multiplied[:, :, nature.wet] += driven.swapaxes(0, 1)


def add_mass(parts: Sequence[PartLoss], kept: LossHistory, rows: slice) -> None:
    """Add what some parts of a step took, of one scenario at one berth, to its causes.

    Parameters
    ----------
    parts : sequence of PartLoss
        Of one scenario, at one berth.
    kept : LossHistory
        Of this scenario.
    rows : slice
        Which samples.
    """
    first = parts[0].nature
    wet, of_plate = first.wet, first.of_plate[first.wet]

    def total(of: Callable[[PartLoss], Array]) -> Array:
        found = of(parts[0]) if len(parts) == 1 else of(parts[0]) + of(parts[1])
        for part in parts[2:]:
            found += of(part)
        return found

    kept.natural_sea_kg[rows] += total(lambda part: part.nature.sea_kg)
    kept.natural_inside_kg[rows] += total(lambda part: part.nature.inside_kg)
    if first.still is not None:
        kept.protection_spared_kg[rows, wet] += of_plate * total(
            lambda part: (
                part.sums.protection_spared
                * part.nature.aged
                * part.nature.bare[:, wet]
            )
        )
    kept.spared_kg[rows, wet] += total(lambda part: part.spared) * of_plate
    to_kg = of_plate * first.whole
    steady = (COUPLE, kept.couple_kg), (OWN_METALS, kept.own_metals_kg)
    for name, account in steady:
        if name in parts[0].sums.steady:
            took = total(partial(_steady, name))
            account[rows, wet] += took * to_kg
    kept.faults_kg[rows, wet] += total(lambda part: part.sums.faults) * to_kg


def _steady(name: str, part: PartLoss) -> Array:
    """Return what a cause that is the same in all states took [C/m²]."""
    return part.sums.steady[name][0]


def spared_by_part(loss: StepLoss, natures: Sequence[PartNature]) -> list[Array]:
    """Return what currents spared a square metre of plate in each part of a step.

    Parameters
    ----------
    loss : StepLoss
        Of the parts of one history.
    natures : sequence of PartNature
        What nature took in each.

    Returns
    -------
    list of ndarray, shape (samples, wetted)
        As far as they spare all that nature takes it goes as that does, else as they
        do; of the whole step as much as its states say. [C/m²]
    """
    spared = [loss.spared[:, k] * each.whole for k, each in enumerate(natures)]
    if len(natures) == 1:
        return spared
    found = []
    for k, nature in enumerate(natures):
        kept = np.minimum(_over(loss.spared[:, k], nature.left), 1.0)
        found.append(spared[k] * (1.0 + kept * nature.grown))
    scale = _over(np.sum(spared, axis=0), np.sum(found, axis=0))
    return [scale * one for one in found]


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
    paths: CurrentPaths, rest: Array, loss: StepLoss, which: IntArray
) -> StepMass:
    """Return what a step took, to be held against another scenario's.

    Parameters
    ----------
    paths : CurrentPaths
        Of this step.
    rest : ndarray, shape (samples, zones)
        What other zones and inner faces lost: see :func:`rest_of`. [kg]
    loss : StepLoss
        Of all of them.
    which : ndarray of int, shape (samples, stretches)
        The state of each stretch.

    Returns
    -------
    StepMass
        Of one scenario.
    """
    to_kg = (paths.kg_per_charge * paths.bare)[:, paths.wet]
    return StepMass(loss.lost, to_kg, which, rest)


def rest_of(natures: Sequence[PartNature]) -> Array:
    """Return what dry zones and inner faces lost, shape (samples, zones) [kg].

    The same in all scenarios of a ship.
    """
    rest = np.sum([one.sea_kg for one in natures], axis=0)
    rest[:, natures[0].wet] = 0.0
    return np.asarray(rest + np.sum([one.inside_kg for one in natures], axis=0))


def as_slice(wet: IntArray) -> IntArray | slice:
    """Return zones as a slice where they follow one another: it copies nothing."""
    if wet.size and wet[-1] - wet[0] == wet.size - 1:
        return slice(int(wet[0]), int(wet[-1]) + 1)
    return wet


def _over(top: Array, bottom: Array) -> Array:
    """Return a ratio; nothing where nothing stands below."""
    return np.divide(top, bottom, out=np.zeros_like(top), where=bottom > 0.0)
