"""What the readings of one system teach, kept by all that it depends on.

A day, a gauging or a fault of another system changes nothing of it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.kept_objects import kept
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.beside import Beside, Known, infer_beside
from corrosion.leakage.conditions import SystemEvidence
from corrosion.leakage.dated_states import AFLOAT
from corrosion.leakage.inference.evidence import without_others
from corrosion.leakage.inference.grid import sample_healthy_system
from corrosion.leakage.inference.infer import sample_resistances
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.inverse_cdf import reuse
from corrosion.leakage.inference.system_posterior import infer_system
from corrosion.leakage.sampled_system import OneSystem, Unexplained
from corrosion.records.as_of import without_remarks
from corrosion.records.ship import Ship, System


@dataclass(frozen=True, slots=True, kw_only=True)
class InferredSystem:
    """What the readings of one system teach; its faults in the evidence's order."""

    # capacitance, insulation, shape (samples,): each conductor
    # to hull, healthy [F], [Ω]
    capacitance: Array
    insulation: Array
    # resistance, pole, direct_volts, shape (samples, faults): of each fault when first
    # read [Ω], its conductor, and the direct voltage behind it [V]
    resistance: Array
    pole: IntArray
    direct_volts: Array
    # by fault, moment and resistance at each further hour of reading [s], [Ω]
    later: Mapping[int, list[tuple[float, Array]]]
    # by fault, clamp readings that no resistance explains
    unexplained: Mapping[int, tuple[Unexplained, ...]]
    # shape (samples,): by fault, in which part of its date it was found: the position
    # in `corrosion.leakage.dated_states.dated_states` where that has more than one
    part: Mapping[int, IntArray]


def inferred_system(
    ship: Ship,
    system: System,
    said: SystemEvidence,
    draws: Draws,
    uniform: Mapping[str, Array],
) -> InferredSystem:
    """Return what the readings of a system's faults teach, kept or inferred now.

    Parameters
    ----------
    ship, system, said, draws : Ship, System, SystemEvidence, Draws
    uniform : mapping of str to ndarray, shape (samples, faults)
        Columns ``ohms``, ``amps`` and ``later`` of these faults' own blocks. [-]
    """
    silent = without_remarks(ship)
    faults = [silent.faults[k] for k in said.places]
    names = {fault.fault for fault in faults}
    read = [row for row in silent.readings if row.fault in names]  # more than evidence
    key = (system, said.evidence, said.moment, said.wander, faults, ship.berths, draws)
    return kept(
        ("inference", *key, read),
        lambda: _infer(ship, system, said, draws, uniform),
        known=(*ship.berths, AFLOAT),
    )


def _infer(
    ship: Ship,
    system: System,
    said: SystemEvidence,
    draws: Draws,
    uniform: Mapping[str, Array],
) -> InferredSystem:
    """Infer a system from its readings."""
    tools = Instruments.of(draws.assumptions)
    prior = sample_healthy_system(system, draws)
    beside = Beside.of(ship, system, said, draws)
    in_scenes = beside.uncertain()
    evidence = [
        without_others(one) if k in in_scenes else one
        for k, one in enumerate(said.evidence)
    ]
    taught = infer_system(
        system,
        evidence,
        uniform=draws.block(f"learn {system.name}", 1)[:, 0],
        capacitance=prior[0],
        insulation=prior[1],
        tools=tools,
    )
    healthy = taught.capacitance, taught.insulation
    found = sample_resistances(
        system,
        evidence,
        uniform=uniform["ohms"],
        capacitance=healthy[0],
        insulation=healthy[1],
        tools=tools,
        taught=taught,
    )
    if in_scenes:
        beside.stand(found, in_scenes)
    known = Known(found, healthy, tools, len(in_scenes))
    scenes = {k: infer_beside(beside, k, known, uniform) for k in in_scenes}
    one = OneSystem(ship, system, said, found, healthy, tools, taught.nodes)
    direct = np.zeros(found.resistance.shape)
    later, unexplained, part = {}, {}, {}
    for k in range(len(said.places)):
        direct[:, k] = one.direct_volts(k, uniform["amps"][:, k])
        if k in scenes:
            found_in, later[k] = scenes[k]
        else:
            later[k] = one.later(k, uniform["later"][:, k])
            found_in = one.found_in(k, reuse(uniform["amps"][:, k]))
            unexplained[k] = tuple(one.unexplained(k, uniform["amps"][:, k]))
        if found_in is not None:
            part[k] = found_in
    return InferredSystem(
        capacitance=healthy[0],
        insulation=healthy[1],
        resistance=found.resistance,
        pole=found.pole,
        direct_volts=direct,
        later={k: rest for k, rest in later.items() if rest},
        unexplained={k: odd for k, odd in unexplained.items() if odd},
        part=part,
    )
