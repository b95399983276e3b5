"""From readings to the resistance of a fault: a posterior on a grid, then samples.

Whatever was read counts together: clamp current, volts to hull with the meter's own
resistance in the network, the insulation test, the lamps. What was not read counts
for nothing, and with nothing read the wide prior of the basis table (``fault_ohm``)
remains. The lamps of a system that has some are taken as connected.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.inference.concurrent import crowded, fault_groups, inferred_apart
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.grid import (
    SystemGrid,
    group_grid,
    sample_healthy_system,
)
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.joint_search import (
    joint_posterior,
    locate,
    system_grid,
)
from corrosion.leakage.inference.single import (
    FaultSamples,
    fault_posterior,
    log_evidence,
    resample,
    sample,
)
from corrosion.leakage.inference.system_posterior import SystemPosterior
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.neutral_point import Phasors, conductor_index, healthy_admittance
from corrosion.records.ship import Readings, System


@dataclass(frozen=True, slots=True, kw_only=True)
class Inference:
    """Samples of one fault, and of the system as it teaches it.

    Arrays are of shape (samples,) where no other is said.
    """

    resistance: Array  # of the fault [Ω]
    # into the steel in the state in which it was read: rms, or positive from the
    # circuit into the steel for direct current; a clamp's reading within its tolerance
    # where the network explains it [A]
    amps: Array
    pole: IntArray  # position of the conductor at fault
    # capacitance, insulation: each conductor to hull, healthy [F], [Ω]
    capacitance: Array
    insulation: Array


def sample_resistances(  # noqa: PLR0913 - system, readings, its samples, and trust
    system: System,
    readings: Sequence[Readings | Evidence],
    *,
    uniform: Array,
    capacitance: Array,
    insulation: Array,
    tools: Instruments,
    taught: SystemPosterior | None = None,
) -> FaultSamples:
    """Return samples of resistance and conductor of faults, given the system's.

    Parameters
    ----------
    system : System
    readings : sequence of Readings or Evidence
        What was read of each fault; those that stood together, as ``beside`` says,
        are inferred together.
    uniform : ndarray, shape (samples, faults)
        Numbers in (0, 1); resistance grows with them. [-]
    capacitance, insulation : ndarray, shape (samples,)
        Healthy system of each sample, each conductor to hull; from
        `sample_healthy_system`, or better from `infer_system` with the same readings.
        [F], [Ω]
    tools : Instruments
    taught : SystemPosterior, optional
        From `infer_system` with the same readings, where capacitance and insulation
        are from: what was worked out there is not worked out again.

    Returns
    -------
    FaultSamples
        Each row given that row's capacitance and insulation.

    Raises
    ------
    LookupFailed
        If the system has no such conductor.
    InputError
        If a reading is impossible on this system.
    """
    every = [Evidence.of(each) for each in readings]
    nodes = (
        group_grid(system, capacitance, insulation, crowded(every) > 0)
        if taught is None
        else taught.nodes
    )
    known = {} if taught is None else taught.alone
    node = nodes.nearest(capacitance, insulation)
    resistance = np.empty(uniform.shape)
    pole = np.empty(uniform.shape, dtype=np.int64)
    alike: dict[Evidence, list[int]] = {}
    for column, evidence in inferred_apart(every, tools):
        alike.setdefault(evidence, []).append(column)
    for evidence, columns in alike.items():
        cells = known.get(evidence) or fault_posterior(system, nodes, evidence, tools)
        found = sample(cells, node, uniform[:, columns])
        resistance[:, columns], pole[:, columns] = found.resistance, found.pole
    for k, group in enumerate(fault_groups(system, every, tools)):
        region = (
            locate(system, group, capacitance, insulation, tools)
            if taught is None
            else taught.regions[k]
        )
        nodes = system_grid(system, group, capacitance, insulation)
        joint = joint_posterior(system, nodes, group, region, tools)
        columns = [member.column for member in group]
        node = nodes.nearest(capacitance, insulation)
        found = joint.sample(node, uniform[:, columns])
        resistance[:, columns], pole[:, columns] = found.resistance, found.pole
    return FaultSamples(resistance=resistance, pole=pole)


def infer_fault(
    system: System,
    readings: Readings | Evidence,
    *,
    samples: int = 4096,
    seed: int = 1,
    assumptions: Assumptions | None = None,
) -> Inference:
    """Return samples of a fault's resistance and hull current from its readings.

    Parameters
    ----------
    system : System
        The system; capacitance and insulation are unknowns about what it states.
    readings : Readings or Evidence
        What was read while the fault stood, any mix, or nothing.
    samples, seed : int, optional
        Number of samples and seed.
    assumptions : Assumptions, optional

    Returns
    -------
    Inference
        Resistance, current, conductor, and the system's capacitance and insulation.

    Raises
    ------
    LookupFailed
        If the system has no such conductor.
    InputError
        If a reading is impossible on this system.

    Examples
    --------
    >>> ship = System(name="power", kind="ac3", volts=440.0, hertz=60.0)
    >>> found = infer_fault(ship, Readings(conductor="b", insulation=1500.0))
    >>> round(float(np.median(found.resistance)), -2)
    1300.0
    """
    draws = Draws(samples, seed, assumptions or default_assumptions())
    tools = Instruments.of(draws.assumptions)
    evidence = Evidence.of(readings)
    prior = sample_healthy_system(system, draws)
    nodes = SystemGrid.spanning(system, *prior)
    u = draws.block(f"infer {system.name}", 3)
    cells = fault_posterior(system, nodes, evidence, tools)
    node = nodes.nearest(*prior)
    chosen = resample(log_evidence(cells)[node], np.argsort(prior[0]), u[:, 0])
    farads, ohms = prior[0][chosen], prior[1][chosen]
    found = sample(cells, node[chosen], u[:, 1:2])
    resistance, pole = found.resistance[:, 0], found.pole[:, 0]
    amps = _computed_amps(
        evidence.fed or system, evidence, (resistance, pole), (farads, ohms), tools
    )
    return Inference(
        resistance=resistance, amps=amps, pole=pole, capacitance=farads, insulation=ohms
    )


def _computed_amps(
    system: System,
    evidence: Evidence,
    fault: tuple[Array, IntArray],
    healthy: tuple[Array, Array],
    tools: Instruments,
) -> Array:
    """Return the current of one fault from the network, shape (samples,)."""
    resistance, pole = fault
    y = healthy_admittance(system, capacitance=healthy[0], insulation=healthy[1])
    count = len(system.conductors)
    admittance = cast("Phasors", np.repeat(y[:, None], count, axis=1))
    for conductor, ohms in evidence.others:
        admittance[:, conductor_index(system, conductor)] += 1.0 / ohms
    rows = np.arange(len(pole))
    admittance[rows, pole] += 1.0 / resistance
    tie, tied = evidence.tie.parts(system)
    volts, _ = conductor_volts_with_lamps(
        system.star_volts, admittance + tied, system.lamps, tie, law=tools.law
    )
    amps = volts[rows, pole] / resistance
    return np.abs(amps) if system.current == "ac" else np.asarray(amps.real)
