"""The steel of a block of samples and its paint, while time goes on."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import MAINS
from corrosion.history.inputs import ModelInputs
from corrosion.history.natural_rate import (
    NaturalCharge,
    NaturalLaw,
    flow_factor,
    natural_charge,
    natural_law,
    share_under_way,
)
from corrosion.hull.network import contact_resistance, total_over_bare_current
from corrosion.hull.nonlinear.polarisation import polarisation
from corrosion.hull.uncertain import PathUnknowns
from corrosion.wastage.pits import holiday_concentration


class CoatedSteel:
    """The steel of a block of samples and its paint: now, and midway in an epoch.

    What each berth makes of it is reckoned once and kept as long as it holds;
    ``kg_per_charge`` is that of each zone, a square metre of bare steel [kg m²/C].
    """

    def __init__(self, inputs: ModelInputs, rows: slice) -> None:
        self.inputs = inputs
        self.rows = rows
        self.unknowns = inputs.paths.rows(rows)
        self.wet = inputs.hull.body.zones
        self.kg_per_charge = inputs.kg_per_metre / inputs.dissolution
        self._held = inputs.protection[rows][:, self.wet]
        self._flows: dict[int, PathUnknowns] = {}
        self._rests: dict[float, Array] = {}
        self._holidays: dict[int, tuple[Array, Array]] = {}
        self._densities: dict[tuple[int, float], Array] = {}
        self._totals: dict[int, tuple[Array, Array]] = {}
        self._naturals: dict[tuple[int, int], NaturalCharge] = {}
        self._factors: dict[int, NaturalLaw] = {}
        self._like: dict[int, int] = {}

    def paint_over(self, midway: float) -> None:
        """Take the paint of a moment for that of an epoch [s]."""
        self.paint = self.inputs.zones.bare(midway, self.rows)

    def turn_paint(self, *edges: float) -> None:
        """Move on to a step: to the paint midway between each two of its dates [s]."""
        self.edges, self.early, self.late = edges, edges[0], edges[-1]
        self.parts = [
            self.inputs.zones.paint.at(0.5 * (a + b), self.rows)
            for a, b in pairwise(edges)
        ]
        bare = [part.bare for part in self.parts]
        self.bare = bare[0]
        if len(edges) > 2:
            self.bare = np.average(bare, axis=0, weights=np.diff(edges))
        self._densities.clear()
        self._totals.clear()
        self._naturals.clear()

    @property
    def counted(self) -> bool:
        """Whether causes are charged for this step: it is no part of the future."""
        return self.late <= self.inputs.time_grid.as_of

    def natural(
        self, number: int, part: int, span: tuple[Array, Array]
    ) -> NaturalCharge:
        """Return the natural loss at a berth in a part of a step."""
        number = self._by_nature(number)
        if (number, part) not in self._naturals:
            self._naturals[number, part] = natural_charge(
                self.inputs, self._factors[number], self.parts[part], span, self.rows
            )
        return self._naturals[number, part]

    def _by_nature(self, number: int) -> int:
        """Return the stay that is this by nature: another supply changes nothing."""
        stays = self.inputs.periods
        if number not in self._like:
            law = natural_law(self.inputs, stays[number].berth, self.rows)
            self._factors[number] = law
            self._like[number] = next(
                (
                    k
                    for k in sorted(self._like)
                    if stays[k].start is stays[number].start
                    and stays[k].end is stays[number].end
                    and self._factors[k].same(law)
                ),
                number,
            )
        return self._like[number]

    def turned(self, number: int) -> PathUnknowns:
        """Return the unknowns, with her shaft turning for its share of a stay."""
        part = share_under_way(self.inputs.periods[number].berth)
        turns = np.full_like(self.unknowns.turns, part)
        return replace(self.unknowns, turns=turns) if part else self.unknowns

    def in_flow(self, number: int) -> PathUnknowns:
        """Return the unknowns in the water's flow at a berth.

        The interface to direct current falls as the natural rate rises with the flow.
        """
        berth = self.inputs.periods[number].berth
        if not share_under_way(berth):
            return self.unknowns
        if number not in self._flows:
            flow = flow_factor(self.inputs, berth, self.rows)
            interface = self.unknowns.interface / flow
            self._flows[number] = replace(self.turned(number), interface=interface)
        return self._flows[number]

    def rest(self, number: int) -> Array:
        """Return where protection holds bare steel, (samples, wetted) [V]."""
        key = share_under_way(self.inputs.periods[number].berth)  # whatever the paint
        if key not in self._rests:
            rest = np.zeros(self._held.shape)
            given = self._held.any(axis=0)
            if given.any():
                rest[:, given] = polarisation(
                    -self._held[:, given],
                    self.in_flow(number).interface[:, None],
                    assumptions=self.inputs.ship.assumptions,
                )
            self._rests[key] = rest
        return self._rests[key]

    def contact(self, number: int, hertz: float, bare: Array) -> Array:
        """Return the resistance of each wetted zone to its water [Ω]."""
        unknowns = self.in_flow(number)
        return contact_resistance(
            bare[:, self.wet],
            self.inputs.hull.contact_area,
            unknowns.interface_at(hertz),
            unknowns.coating,
        )

    def total_over_bare_current(self, number: int) -> tuple[Array, Array]:
        """Return what leaves a zone over what leaves its bare steel, (samples, wetted).

        Sound paint lets a little through, which dissolves steel beneath it: it counts
        as metal, not as depth at the bare spots. Of direct current by the linear law,
        and of alternating current of mains frequency. [-]
        """
        if number not in self._totals:
            bare, at = self.bare[:, self.wet], self.in_flow(number).interface_at
            direct, alternating = (
                total_over_bare_current(bare, at(hz), self.unknowns.coating)
                for hz in (0.0, MAINS)
            )
            self._totals[number] = direct, alternating
        return self._totals[number]

    def at_holidays(self, number: int) -> tuple[Array, Array]:
        """Return density at small holidays over the mean, (samples, 1) [-].

        Of direct and of alternating current: they draw more than the mean of all bare
        steel, the more so the less the interface resists, as it does for alternating
        current.
        """
        if number not in self._holidays:
            at = self.in_flow(number).interface_at
            direct, alternating = (self.concentration(at(hz)) for hz in (0.0, MAINS))
            self._holidays[number] = direct[:, None], alternating[:, None]
        return self._holidays[number]

    def concentration(self, interface: Array) -> Array:
        """Return density at small holidays over the mean for an interface [-]."""
        return holiday_concentration(
            self.inputs.hull.body.resistivity,
            interface=interface,
            assumptions=self.inputs.draws.assumptions,
        )

    def density(self, number: int, hertz: float) -> Array:
        """Return density at bare steel per ampere leaving each zone [1/m²]."""
        if (number, hertz) not in self._densities:
            interface = self.in_flow(number).interface_at(hertz)[:, None]
            density = self.contact(number, hertz, self.bare)
            density = density * self.inputs.hull.share_flooded / interface
            self._densities[number, hertz] = density
        return self._densities[number, hertz]
