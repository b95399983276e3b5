"""An invented hull of 100 × 15 × 5 m as a network of electrodes, for galvanic checks.

Sixteen zones of shell, 1,894 m², a rudder behind 20 mΩ and a propeller of 9 m² of
bronze behind a brush of 2 mΩ: ``R`` water of 1 Ω·m, ``K`` plating and joints about a
reference, ``area``; from a trial of our own.
"""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from corrosion.foundation.types import Array
from corrosion.hull.anode_groups import lloyd
from corrosion.hull.electrodes import LAWS, Electrodes
from corrosion.hull.nonlinear.galvanic import GalvanicNetwork, Tie

TRIAL = dict(np.load(Path(__file__).parent / "hull/nonlinear/invented_hull.npz"))
ZONES, RUDDER, PROPELLER, BOARD, IMPRESSED = 18, 16, 17, 11, 9
SEA, BRACKISH = 0.27, 2.0
Anodes = Sequence[tuple[str, int, int, float, float]]


def zincs(rho: float, each: int) -> list[tuple[str, int, int, float, float]]:
    """Flush zincs of 0.6 × 0.15 m on four zones: metal, host, number, ohms, area."""
    return [("zinc", h, each, lloyd(rho, 0.6, 0.15), 0.18) for h in (13, 15, 5, 7)]


def injected(zone: int, amps: float, back: int | None = None) -> Array:
    """Current into one zone and, if it returns aboard, out of another [A]."""
    into = np.zeros((1, ZONES))
    into[0, zone] += amps
    if back is not None:
        into[0, back] -= amps
    return into


def network(  # noqa: PLR0913 - a state is made of as much
    *,
    rho: float = SEA,
    bare: Any = 0.05,
    flow: float = 1.0,
    anodes: Anodes = (),
    earth: str | None = None,
    cable: float = 0.1,
    earth_ohm: Any = 1.0,
    limit: Any = 1.0,
    isolator: float = 0.0,
    neighbour: float = 0.0,
    into: Any = 0.0,
    impressed: float = 0.0,
    samples: int = 1,
    joint: float = 0.02,
    own: bool = True,
    couple: bool = True,
    natural: Any = 0.043,
    oxygen: Any = 2.0,
    bronze: float = 15.0,
) -> GalvanicNetwork:
    """The trial hull in one state; ``own`` and ``couple`` False: at steel's rest."""
    kinds = ["steel"] * 17 + ["bronze"] + [row[0] for row in anodes]
    first_earth = len(kinds)
    kinds += [earth] if earth else []
    kinds += ["steel"] if neighbour else []
    n, host = len(kinds), [*range(ZONES), *(row[1] for row in anodes)]
    column = [np.reshape(x, (-1, 1)) for x in (natural, oxygen, bare)]
    laws = Electrodes.of([LAWS[kind] for kind in kinds], samples)
    laws.natural[:, :17] = column[0] * flow
    laws.oxygen[:, :17] = column[1]
    laws.oxygen[:, PROPELLER] = bronze * flow
    if not own:
        laws.rest[:, PROPELLER] = LAWS["steel"].rest
    if earth and not couple:
        laws.rest[:, first_earth] = LAWS["steel"].rest
    area, paint = np.zeros((2, samples, n))
    area[:, :17] = column[2] * TRIAL["area"][:17]
    area[:, PROPELLER] = TRIAL["area"][PROPELLER]
    paint[:, :17] = (1.0 - column[2]) * TRIAL["area"][:17] / 5000.0
    water, steel = np.zeros((samples, n, n)), np.zeros((n, n))
    m = len(host)
    water[:, :m, :m] = rho * TRIAL["R"][np.ix_(host, host)]
    steel[:m, :m] = TRIAL["K"][np.ix_(host, host)]
    steel[RUDDER, RUDDER] += joint - 0.02
    for k, (_, _, number, ohms, each) in enumerate(anodes, ZONES):
        water[:, k, k] += ohms / number
        area[:, k] = number * each
    island = np.zeros(n, dtype=np.int64)
    entering = np.zeros((samples, n))
    entering[:, :ZONES] = into
    total = np.zeros((samples, 1 + bool(earth) + bool(neighbour)))
    total[:, 0] = entering.sum(axis=1) - impressed
    ties = []
    if earth:
        island[first_earth] = 1
        water[:, first_earth, first_earth] = earth_ohm
        area[:, first_earth] = np.minimum(limit, 1e5)
        total[:, 1] = -entering.sum(axis=1)
        lead = np.full(samples, 1.0 / cable)
        ties.append(Tie(one=0, other=1, conductance=lead, threshold=isolator))
    if neighbour:
        island[-1] = total.shape[1] - 1
        water[:, -1, -1], area[:, -1] = 0.01 * rho, neighbour
        gangway = np.full(samples, 10.0)
        joined = 1 if earth else 0  # through the shore's protective conductor
        ties.append(Tie(one=int(island[-1]), other=joined, conductance=gangway))
    lifted = entering @ steel
    lifted[:, :ZONES] -= impressed * rho * TRIAL["R"][IMPRESSED]
    return GalvanicNetwork(
        inverse=np.asarray(np.linalg.inv(water + steel), dtype=np.float64),
        island=island,
        laws=laws,
        bare=area,
        paint=paint,
        lifted=lifted,
        total=total,
        ties=tuple(ties),
    )
