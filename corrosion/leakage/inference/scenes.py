"""Faults read while others may have stood, weighed in scenes of what may have stood.

Who stood beside a fault as it was read is seldom certain: dates are coarse, clearings
go unwritten, and what stood had a resistance that nobody knows. A scene is one
way in which all of that may have been, drawn with everything that is known of the
others; what was read is as likely as in the mean over scenes. Faults are taken in the
order in which they were read, so that each sees what earlier readings left of the
others. What a reading tells of the others themselves is not used.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.inference.evidence import Evidence, Perhaps, states
from corrosion.leakage.inference.grid import GRID, SceneGrid
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.single import Cells, cells_of, hour_chance
from corrosion.leakage.neutral_point import conductor_index, healthy_admittance
from corrosion.records.ship import System


@dataclass(frozen=True, slots=True)
class Scenes:
    """Ways in which a system may have been while a fault was read.

    Arrays are of shape (scenes,) where no other is said.
    """

    # capacitance and insulation of each conductor to hull [F], [Ω]
    healthy: tuple[Array, Array]
    load: Array  # shape (scenes, conductors): what other faults connect to the hull [S]
    state: IntArray  # which of ``ways`` it was in
    ways: Sequence[Perhaps]  # how the system may have been tied and fed

    def amps(self, system: System, named: str | None) -> Array:
        """Return what a fault of each resistance passes in each scene, without lamps.

        ``named``: its conductor. Shape (scenes, conductors that may be at fault, grid).
        [A]
        """
        some = range(len(system.conductors))
        if named is not None:
            some = range(
                conductor_index(system, named), conductor_index(system, named) + 1
            )
        found = np.empty((len(self.state), len(some), len(GRID)))
        for number, way in enumerate(self.ways):
            mine = self.state == number
            fed = way.fed or system
            y = healthy_admittance(
                fed, capacitance=self.healthy[0][mine], insulation=self.healthy[1][mine]
            )
            neutral, tied = way.tie.parts(fed)
            load = self.load[mine] + np.asarray(y)[:, None] + tied
            total = load.sum(axis=1, keepdims=True) + neutral
            lift = (total * fed.star_volts - load @ fed.star_volts[:, None])[:, some]
            found[mine] = np.abs(lift[..., None] / (1.0 + total[..., None] * GRID))
        return found


def scene_chance(
    system: System,
    evidence: Evidence,
    scenes: Scenes,
    tools: Instruments,
    named: str | None = None,
) -> Array:
    """Return the likelihood of one hour's readings in each scene.

    Shape (scenes, conductors that may be at fault, grid), up to a factor. [-]
    """
    alone = replace(evidence, others=(), beside=(), apart=(), perhaps=(), further=())
    found: list[Array | None] = [None] * len(scenes.state)
    for number, way in enumerate(scenes.ways):
        mine = np.flatnonzero(scenes.state == number)
        if not mine.size:
            continue
        nodes = SceneGrid(
            tuple(scenes.healthy[0][mine].tolist()),
            tuple(scenes.healthy[1][mine].tolist()),
            tuple(tuple(row) for row in scenes.load[mine].tolist()),
        )
        one = replace(alone, tie=way.tie, fed=way.fed)
        chance = hour_chance(system, nodes, one, tools, named or evidence.conductor)
        for place, scene in enumerate(mine.tolist()):
            found[scene] = chance[:, place]
    return np.array(found)


def scene_cells(
    system: System,
    evidence: Evidence,
    first: Array,
    further: Sequence[tuple[float, Array]],
    tools: Instruments,
) -> Cells:
    """Return the posterior of one fault on the grid, whatever the healthy system.

    Parameters
    ----------
    system, evidence : System, Evidence
    first : ndarray, shape (scenes, conductors, grid)
        From `scene_chance`, of its first hour. [-]
    further : sequence of (float, ndarray)
        Of other hours, and how far the resistance may have wandered to there. [-]
    tools : Instruments

    Returns
    -------
    Cells
        With one node that stands for all.
    """
    nodes = SceneGrid((1.0,), (1.0,), ((0.0,) * len(system.conductors),))
    tried = states(system, nodes, evidence, tools.law)
    chance = first.mean(axis=0)[:, None]
    others = [(apart, each.mean(axis=0)[:, None]) for apart, each in further]
    return cells_of(chance, others, tools, [each.conductor for each in tried])
