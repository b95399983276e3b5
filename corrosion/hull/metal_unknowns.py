"""What is not known for certain about how her metals answer a current."""

from dataclasses import dataclass, fields

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalUnknowns:
    """Samples of how a ship's metals answer a current.

    Arrays are of shape (samples,) where no other is said.
    """

    # steel_rest, noble_rest: rest of steel, and of her other metals, over the median
    # of their law [V]
    steel_rest: Array
    noble_rest: Array
    oxygen_limit: Array  # of other metals, over the median of their law [-]
    oxygen_excess: Array  # oxygen limit of steel over its natural rate, less one [-]

    def rows(self, rows: slice | IntArray) -> "MetalUnknowns":
        """Return some of the samples."""
        cut = {one.name: getattr(self, one.name)[rows] for one in fields(self)}
        return MetalUnknowns(**cut)


def median_metals(assumptions: Assumptions) -> MetalUnknowns:
    """Return one sample of how a ship's metals answer a current, at its median."""
    return MetalUnknowns(
        steel_rest=np.zeros(1),
        noble_rest=np.zeros(1),
        oxygen_limit=np.array([assumptions.value("noble_oxygen_limit_factor")]),
        oxygen_excess=np.array([assumptions.value("steel_oxygen_excess")]),
    )


def draw_metals(draws: Draws) -> MetalUnknowns:
    """Return samples of how a ship's metals answer a current."""
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    uniform = draws.block("metals", 4)
    return MetalUnknowns(
        steel_rest=draws.value("steel_rest_sd_v") * ndtri(uniform[:, 0]),
        noble_rest=draws.value("noble_rest_sd_v") * ndtri(uniform[:, 1]),
        oxygen_limit=draws.lognormal("noble_oxygen_limit_factor", uniform[:, 2]),
        oxygen_excess=draws.lognormal("steel_oxygen_excess", uniform[:, 3]),
    )
