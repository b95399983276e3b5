"""Where she lies and what feeds her: stays one after another, and dockings."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from corrosion.foundation.types import Array
from corrosion.validation.nature import DAY, NOW, YEAR, Nature
from corrosion.validation.vessels import Vessel

_FRESH = 0.58  # fresh over sea
AHEAD = NOW + 10.0 * YEAR
"""A life is simulated to here, so that dates that an estimate gives can be judged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """One stay; ohms and volts are true, ``written``: whether a clerk noted them."""

    start: float
    end: float
    words: str
    supply: str
    cable: float | None = None  # [Ω]; None: no conductor connected
    shore: float = 1.0  # electrode to remote earth [Ω]
    earth_metal: str = ""
    earth_v: float = -0.35  # rest of the shore earth, V against Ag/AgCl
    isolator: bool = False
    afloat: bool = True
    way: float = 0.0  # share of the stay in which she makes way
    earth_limit: float = 1.0  # that the shore's earth passes at most [A]
    celsius: float = 11.0
    nutrients: str = "clean"
    salinity: float = 35.0  # [g/kg]
    written: bool = True

    @property
    def earthed(self) -> bool:
        """Whether the shore's supply is earthed and comes aboard unbroken."""
        return self.supply == "shore earthed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Voyages:
    """Her stays in order, her dockings, and when her log begins."""

    stays: tuple[Stay, ...]
    dockings: Array  # [s]
    log_begins: float  # [s]
    next_docking: float  # [s]
    restless: bool = False

    def clock(self, wet: float, swift: float) -> tuple[Array, Array]:
        """Return when stays begin, and how long the sea has worked until then.

        Parameters
        ----------
        wet : float
            1 for a plate that lies dry in a dock, 0 for one that does not. [-]
        swift : float
            Natural rate under way over that at rest. [-]

        Returns
        -------
        tuple of ndarray, shape (stays + 1,)
            Moments, and years in clean water of 0 degrees at rest that are as bad.
        """
        return self._summed(
            [
                (1.0 + s.way * (swift - 1.0))
                * richness(s.celsius, s.nutrients, s.salinity)
                if s.afloat
                else 1.0 - wet
                for s in self.stays
            ]
        )

    def under_way(self, moments: Array) -> Array:
        """Return the share of the year about each moment that she makes way [-]."""
        at, sums = self._summed([s.way for s in self.stays])
        ends = [np.interp(moments + x * YEAR, at, sums) for x in (-0.5, 0.5)]
        return np.asarray(ends[1] - ends[0])

    def _summed(self, pace: list[float]) -> tuple[Array, Array]:
        edges = np.array([s.start for s in self.stays] + [AHEAD])
        sums = np.cumsum(np.diff(edges) / YEAR * np.array(pace))
        return edges, np.concatenate([[0.0], sums])

    def at(self, moments: Array) -> "np.ndarray[tuple[int, ...], np.dtype[np.intp]]":
        """Return which stay each moment falls in."""
        starts = np.array([stay.start for stay in self.stays])
        found = np.searchsorted(starts, moments, side="right") - 1
        return np.maximum(found, 0)


def sail(vessel: Vessel, nature: Nature, *, restless: bool = False) -> Voyages:
    """Return where a ship lies from her building to ten years from now.

    ``restless``: she moves between her own supply and an earthed quay every few months.
    """
    rng = nature.rng("voyages")
    years = (NOW - vessel.built) / YEAR
    log_begins = NOW - rng.uniform(0.3, 0.9) * min(years, 30.0) * YEAR
    every = rng.uniform(4.0, 6.0) * YEAR
    first_ahead = NOW + rng.uniform(1.0, 4.0) * YEAR
    back = np.arange(first_ahead - every, vessel.built + 2.0 * YEAR, -every)[::-1]
    ahead = np.arange(first_ahead, AHEAD, every)
    dockings = np.concatenate([back, ahead])
    stays = list(_stays(vessel, nature, log_begins, restless=restless))
    return Voyages(
        stays=tuple(_docked(stays, dockings, log_begins)),
        dockings=dockings,
        log_begins=log_begins,
        next_docking=first_ahead,
        restless=restless,
    )


def _stays(
    vessel: Vessel, nature: Nature, log_begins: float, *, restless: bool
) -> Iterator[Stay]:
    rng = nature.rng("stays")
    pattern = "restless" if restless else vessel.of.pattern
    yield Stay(
        start=vessel.built, end=log_begins, words="before the log", supply="own",
        way=0.3 if pattern == "trading" else 0.0, **_water(vessel, rng, quay=False),
    )  # fmt: skip
    moment, ashore = log_begins, pattern in ("quay", "moored")
    while moment < AHEAD:
        years = {
            "quay": rng.uniform(3.0, 9.0) if ashore else rng.uniform(0.02, 0.1),
            "moored": rng.uniform(1.0, 5.0) if ashore else rng.uniform(0.05, 0.3),
            "trading": rng.uniform(0.1, 0.4) if ashore else rng.uniform(1.5, 4.0),
            "restless": rng.uniform(0.6, 1.2) if ashore else rng.uniform(0.2, 0.4),
        }[pattern]
        end = min(moment + years * YEAR, AHEAD)
        if ashore:
            yield _quay(vessel, moment, end, pattern, nature)
        else:
            yield Stay(
                start=moment, end=end, words="own supply", supply="own",
                way=rng.uniform(0.2, 0.45) * (pattern in ("trading", "restless")),
                **_water(vessel, rng, quay=False),
            )  # fmt: skip
        moment, ashore = end, not ashore


def richness(celsius: float, nutrients: str, salinity: float = 35.0) -> float:
    """Return how much faster steel rusts than in clean sea water of 0 degrees.

    A fit to field exposures: Kovalenko, Melchers & Chernov 2016, Table 3, and
    Melchers, Corrosion 77(1), 2021 (both as transcribed). Fresh water rusts as EN
    1993-5 has it: 0.6, 0.61, 0.51 of sea water's at 5, 25, 50 years; between half a
    gram of salt and half the sea's it grows with the logarithm (judgement).
    """
    feeds = {"clean": 1.0, "moderate": 1.45, "high": 2.3}[nutrients]
    salty = np.interp(np.log(salinity), np.log([0.5, 17.5]), [_FRESH, 1.0])
    return float(np.exp(0.03 * celsius) * feeds * salty)


def _water(vessel: Vessel, rng: np.random.Generator, *, quay: bool) -> dict[str, Any]:
    """Return the water of a stay; of harbours warmer by little, richer, or brackish."""
    brackish = quay and not vessel.fresh and rng.random() < 0.25
    share = [0.4, 0.45, 0.15] if quay else [0.75, 0.2, 0.05]
    return {
        "celsius": vessel.temperature + rng.normal(0.5 if quay else 0.0, 1.0),
        "nutrients": str(rng.choice(["clean", "moderate", "high"], p=share)),
        "salinity": round(rng.uniform(4.0, 15.0)) if brackish else vessel.salinity,
    }


def _quay(
    vessel: Vessel, start: float, end: float, pattern: str, nature: Nature
) -> Stay:
    """Return a berth: most museum quays and small harbours earth what they supply."""
    subject = f"quay {start:.0f}"
    rng = nature.rng(subject)
    earthed = {"quay": 0.9, "moored": 0.6, "trading": 0.3, "restless": 1.0}[pattern]
    metals = {
        "copper": -0.35,
        "steel in concrete": -0.25,
        "galvanised": -0.95,
        "protected quay": -0.85,
        "bare steel": -0.65,
    }
    metal = str(rng.choice(list(metals), p=[0.45, 0.25, 0.1, 0.1, 0.1]))
    isolated = rng.random() >= earthed
    connected = rng.random() < (0.3 if isolated else 0.85)
    return Stay(
        start=start,
        end=end,
        words="isolated pillar" if isolated else f"quay, earth of {metal}",
        supply="shore isolated" if isolated else "shore earthed",
        cable=nature.one("cable_ohm", subject) if connected else None,
        shore=nature.one("shore_earth_ohm", subject),
        earth_metal=metal,
        earth_v=metals[metal] + 0.1 * rng.standard_normal(),
        isolator=bool(rng.random() < 0.25),
        written=bool(rng.random() < 0.8),
        earth_limit=nature.one("shore_earth_amps", subject),
        **_water(vessel, rng, quay=True),
    )


def _docked(stays: list[Stay], dockings: Array, log_begins: float) -> Iterator[Stay]:
    """Cut a month in dock out of the stays at each docking since the log began."""
    for stay in stays:
        start = stay.start
        for docking in dockings:
            end = docking + 28.0 * DAY
            if docking < log_begins or not start < docking < stay.end - 30.0 * DAY:
                continue
            yield replace(stay, start=start, end=docking)
            yield Stay(
                start=docking, end=end, words="dry dock", supply="shore isolated",
                afloat=False,
            )  # fmt: skip
            start = end
        yield replace(stay, start=start)
