"""What the readings of its faults teach about a healthy system."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.leakage.inference.concurrent import crowded, fault_groups, inferred_apart
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.grid import (
    group_grid,
    sample_healthy_system,
)
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.joint import SearchRegion
from corrosion.leakage.inference.joint_search import (
    joint_posterior,
    locate,
    system_grid,
)
from corrosion.leakage.inference.single import fault_posterior, log_evidence, resample
from corrosion.records.ship import Readings, System

__all__ = ["SystemPosterior", "infer_system", "learn_capacitance", "learn_healthy"]

_ROUNDS = 2  # the second looks closer, with nodes where the first found the system


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemPosterior:
    """What the readings of its faults teach about a system.

    Attributes
    ----------
    capacitance, insulation : ndarray, shape (samples,)
        Each conductor to hull, healthy. [F], [Ω]
    looks : list of list of SearchRegion
        Where to look for the faults of each company.
    """

    capacitance: Array
    insulation: Array
    looks: list[list[SearchRegion]]


def learn_healthy(
    system: System,
    readings: Sequence[Readings | Evidence],
    *,
    uniform: Array,
    capacitance: Array,
    insulation: Array,
    tools: Instruments,
) -> tuple[Array, Array]:
    """Return samples of the healthy system as the readings of its faults teach it.

    Parameters
    ----------
    system : System
        The system.
    readings : sequence of Readings or Evidence
        What was read of each fault.
    uniform : ndarray, shape (samples,)
        Numbers in (0, 1); capacitance grows with them. [-]
    capacitance, insulation : ndarray, shape (samples,)
        What was believed before; from `sample_healthy_system`. [F], [Ω]
    tools : Instruments
        How far to trust what was read.

    Returns
    -------
    capacitance, insulation : ndarray, shape (samples,)
        Drawn from those given in proportion to how well they explain the readings,
        whatever the faults' resistances. [F], [Ω]
    """
    found = infer_system(
        system,
        [Evidence.of(each) for each in readings],
        uniform=uniform,
        capacitance=capacitance,
        insulation=insulation,
        tools=tools,
    )
    return found.capacitance, found.insulation


def infer_system(
    system: System,
    evidence: Sequence[Evidence],
    *,
    uniform: Array,
    capacitance: Array,
    insulation: Array,
    tools: Instruments,
) -> SystemPosterior:
    """Return the same, and where to look for faults that stood together.

    Parameters
    ----------
    system, evidence, uniform, capacitance, insulation, tools
        As for `learn_healthy`.

    Returns
    -------
    Learned
        Samples and looks.
    """
    each_alone = [one for _, one in inferred_apart(evidence, tools)]
    together = fault_groups(system, evidence, tools)
    looks = [locate(system, each, capacitance, insulation, tools) for each in together]
    crowd = crowded(evidence) > 0
    credited = np.zeros(len(uniform))
    for _ in range(_ROUNDS):
        nodes = group_grid(system, capacitance, insulation, crowd)
        node = nodes.nearest(capacitance, insulation)
        explained = log_evidence(
            fault_posterior(system, nodes, each, tools) for each in each_alone
        )
        score = (np.zeros(len(nodes)) + explained)[node]
        for k, company in enumerate(together):
            nodes = system_grid(system, company, capacitance, insulation)
            node = nodes.nearest(capacitance, insulation)
            joint = joint_posterior(system, nodes, company, looks[k], tools)
            score = score + joint.evidence[node]
            looks[k] = joint.refine(node)
        chosen = resample(score - credited, np.argsort(capacitance), uniform)
        capacitance, insulation = capacitance[chosen], insulation[chosen]
        crowd = crowded(evidence) > 0
    credited = score[chosen]
    return SystemPosterior(capacitance=capacitance, insulation=insulation, looks=looks)


def learn_capacitance(
    system: System,
    readings: Sequence[Readings],
    *,
    samples: int = 4096,
    seed: int = 1,
    assumptions: Assumptions | None = None,
) -> Array:
    """Return samples of the system's capacitance from readings of one state of it.

    A meter of high input resistance shows a healthy conductor at nearly its voltage
    to the star point, whatever the capacitance: a *ghost*, behind which there is
    hardly a current. A meter of a few kilohms pulls the same conductor towards the
    hull, the more so the smaller the capacitance that holds the star point. The pair
    together tells the capacitance.

    Parameters
    ----------
    system : System
        The system.
    readings : sequence of Readings
        All of the same state, healthy or with the same fault.
    samples, seed : int, optional
        Number of samples and seed.
    assumptions : Assumptions, optional
        A ship's; None: the table of the file.

    Returns
    -------
    ndarray, shape (samples,)
        Each conductor to hull. [F]

    Examples
    --------
    >>> ship = System(name="lighting", kind="ac3", volts=230.0, hertz=50.0)
    >>> high = Readings(hull_volts=(132.8, None, None), meter=10e6)
    >>> low = Readings(hull_volts=(62.0, None, None), meter=3e3)
    >>> farads = learn_capacitance(ship, [high, low], samples=1024)
    >>> round(float(np.median(farads)) / 1e-6, 1)
    0.2
    """
    draws = Draws(samples, seed, assumptions or default_assumptions())
    farads, ohms = sample_healthy_system(system, draws)
    together = Evidence(readings=tuple(readings))
    uniform = draws.block(f"learn {system.name}", 1)[:, 0]
    taught, _ = learn_healthy(
        system,
        [together],
        uniform=uniform,
        capacitance=farads,
        insulation=ohms,
        tools=Instruments.of(draws.assumptions),
    )
    return taught
