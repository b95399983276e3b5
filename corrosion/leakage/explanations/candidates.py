"""The explanations that are tried, each with its prior chance and its unknowns."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import combinations, product
from typing import Any, Final, Literal

import numpy as np

from corrosion.foundation.assumptions import Assumption, Assumptions
from corrosion.foundation.types import Array
from corrosion.foundation.units import MICROFARAD
from corrosion.leakage.explanations.cases import Cases, OpenBranch
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.neutral_point import conductor_index, healthy_admittance
from corrosion.records.ship import System

Faulty = Literal["one fault", "two faults", "fault and failed lamp"]
Kind = Literal[Faulty, "healthy", "not energised", "ghost", "failed lamp"]
Unknown = tuple[float, float]
"""Median of a lognormal unknown, and the standard deviation of its logarithm."""

_About = Callable[[Array], tuple[Any, Any]]
"""From values of the unknowns to what couples and what holds an open conductor [S]."""

Build = Callable[[Array, int], Cases]
"""From values of the unknowns, shape (cases, unknowns), and the size of a family."""

_NANO: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One way in which an explanation may hold: its share, unknowns and network."""

    share: float = 1.0
    unknowns: tuple[Unknown, ...]
    build: Build


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One explanation before anything was read."""

    kind: Kind  # what it is
    # on which conductors; of a fault and a failed lamp the fault's, then the lamp's
    conductors: tuple[int, ...]
    prior: float  # its chance [-]
    # ways in which it may hold; what leads back in the healthy system is the first
    # unknown of each, the resistances of its faults follow
    parts: tuple[Part, ...]


class Ground:
    """The system around whatever is wrong: healthy, with the faults that are known.

    Parameters
    ----------
    system : System
        As it is fed.
    state : Evidence
        Other faults that stood and how it was tied to the hull; its readings are not
        looked at.
    assumptions : Assumptions
        The ship's own.
    """

    def __init__(
        self, system: System, state: Evidence, assumptions: Assumptions
    ) -> None:
        self.system, self.assumptions = system, assumptions
        fixed = np.zeros(len(system.conductors))
        for name, resistance in state.others:
            fixed[conductor_index(system, name)] += 1.0 / resistance
        self._neutral, tied = state.tie.parts(system)
        self._fixed = fixed + tied
        self._farads = _known(assumptions, "capacitance", system.capacitance)
        self._ohms = _known(assumptions, "insulation", system.insulation)

    @property
    def back(self) -> Unknown:
        """What leads back: capacitance [F], of direct current the insulation [Ω]."""
        return self._ohms if self.system.current == "dc" else self._farads

    def cases(
        self,
        values: Array,
        family: int,
        *,
        poles: Sequence[int] = (),
        branch: OpenBranch | None = None,
        dark: int | None = None,
        off: bool = False,
    ) -> Cases:
        """Return cases of what leads back and of faults on some conductors.

        Parameters
        ----------
        values : ndarray, shape (cases, 1 + faults or more)
            What leads back, and the resistance of each fault. [F] or [Ω], [Ω]
        family, branch, dark, off
            As of :class:`Cases`.
        poles : sequence of int, optional
            Conductor of each fault.
        """
        dc = self.system.current == "dc"
        healthy = healthy_admittance(
            self.system,
            capacitance=self._farads[0] if dc else values[:, 0],
            insulation=values[:, 0] if dc else self._ohms[0],
        )
        admittance = healthy[:, None] + self._fixed
        for k, pole in enumerate(poles, start=1):
            admittance[:, pole] += 1.0 / values[:, k]
        return Cases(
            system=self.system,
            family=family,
            admittance=admittance,
            healthy=healthy,
            neutral=self._neutral,
            poles=tuple(poles),
            ohms=values[:, 1 : 1 + len(poles)],
            branch=branch,
            dark=dark,
            off=off,
        )


def _known(
    assumptions: Assumptions, what: str, written: float | None
) -> tuple[float, float]:
    """Return median and logarithmic spread of what the healthy system has."""
    if written is not None:
        median, spread = _lognormal(assumptions[f"{what}_factor"])
        return written * median, spread
    if what == "capacitance":
        median, spread = _lognormal(assumptions["hull_capacitance_uf"])
        return median * MICROFARAD, spread
    return _lognormal(assumptions["insulation_ohm"])


def _lognormal(entry: Assumption) -> Unknown:
    return entry.median, float(np.log(max(entry.geometric_sd, 1.01)))


def candidates(
    ground: Ground, *, named: int | None = None, lamps: bool = False
) -> Iterator[Candidate]:
    """Yield every explanation of a system.

    Parameters
    ----------
    ground : Ground
        The system.
    named : int, optional
        The conductor that somebody wrote down as the faulty one.
    lamps : bool, optional
        Whether lamps were looked at: then one of them may have failed.

    Yields
    ------
    Candidate
        Nothing wrong; one fault on each conductor; two, on each pair; each conductor
        open, held at the hull or through a load by its neighbours, or all of them
        (*not energised*); one that floats (*ghost*, of alternating current alone);
        each lamp failed; one fault and each lamp failed, which have nothing to do with
        each other: the chance of both is the product.
    """
    system, table = ground.system, ground.assumptions
    every = range(len(system.conductors))
    kinds = ["healthy", "two faults", "not energised"]
    kinds += ["ghost"] * (system.current == "ac") + ["failed lamp"] * lamps
    prior = {k: table.value(f"explain_{k.replace(' ', '_')}_chance") for k in kinds}
    back, fault = ground.back, _lognormal(table["fault_ohm"])
    yield Candidate(
        kind="healthy",
        conductors=(),
        prior=prior["healthy"],
        parts=(Part(unknowns=(back,), build=ground.cases),),
    )
    ones: list[tuple[int, ...]] = [(k,) for k in every if named in (None, k)]
    pairs = [pair for pair in combinations(every, 2) if named is None or named in pair]
    alone = 1.0 - prior.get("failed lamp", 0.0)  # no lamp has failed besides
    single = alone * (1.0 - sum(prior.values())) / len(ones)
    for poles in (*ones, *pairs):
        kind: Kind = "one fault" if len(poles) == 1 else "two faults"
        build = partial(ground.cases, poles=poles)
        yield Candidate(
            kind=kind,
            conductors=poles,
            prior=single if len(poles) == 1 else prior["two faults"] / len(pairs),
            parts=(Part(unknowns=(back, *(fault,) * len(poles)), build=build),),
        )
    for (pole,), lamp in product(ones, every if lamps else ()):
        build = partial(ground.cases, poles=(pole,), dark=lamp)
        yield Candidate(
            kind="fault and failed lamp",
            conductors=(pole, lamp),
            prior=single * (1.0 - alone) / alone / len(every),
            parts=(Part(unknowns=(back, fault), build=build),),
        )
    yield Candidate(
        kind="not energised",
        conductors=tuple(every),
        prior=prior["not energised"] / (1 + len(every)),
        parts=(Part(unknowns=(back,), build=partial(ground.cases, off=True)),),
    )
    for k in every:
        for kind, parts in _opened(ground, k).items():
            if kind in prior:
                whole = kind == "not energised"  # then all may be, too
                chance = prior[kind] / (len(every) + whole)
                yield Candidate(kind=kind, conductors=(k,), prior=chance, parts=parts)


def _open(
    ground: Ground, conductor: int, *names: str, about: _About, share: float = 0.5
) -> Part:
    """Return an open conductor, its further unknowns by their assumptions' names."""

    def build(values: Array, family: int) -> Cases:
        coupling, to_hull = about(values)
        branch = OpenBranch(conductor=conductor, coupling=coupling, to_hull=to_hull)
        return ground.cases(values, family, branch=branch)

    unknowns = (ground.back, *(_lognormal(ground.assumptions[one]) for one in names))
    return Part(share=share, unknowns=unknowns, build=build)


def _opened(ground: Ground, conductor: int) -> dict[Kind, tuple[Part, ...]]:
    """Return what an open conductor may be, by how it is held."""
    table, omega = ground.assumptions, ground.system.omega
    leak = 1.0 / table.value("open_insulation_ohm")
    own = omega * table.value("open_branch_nf") * _NANO
    near = 1j * own * table.value("open_coupling_ratio")

    def floating(values: Array) -> tuple[Any, Any]:  # only its cable about it
        hull = omega * values[:, 1] * _NANO
        return 1j * hull * values[:, 2], 1j * hull + leak

    def held(values: Array) -> tuple[Any, Any]:  # a wet end, an earthed load
        return np.full(len(values), near), 1.0 / values[:, 1] + 1j * own

    def fed_back(values: Array) -> tuple[Any, Any]:  # through a load
        return 1.0 / values[:, 1], np.zeros(len(values))

    cable = ("open_branch_nf", "open_coupling_ratio")
    dark = Part(unknowns=(ground.back,), build=partial(ground.cases, dark=conductor))
    return {
        "not energised": (
            _open(ground, conductor, "open_leak_ohm", about=held),
            _open(ground, conductor, "open_load_ohm", about=fed_back),
        ),
        "ghost": (_open(ground, conductor, *cable, about=floating, share=1.0),),
        "failed lamp": (dark,),
    }
