"""An invented ship as her records describe her before anything is read or gauged.

All are sisters: one hull, thirty-one zones on both sides, a three-phase and a
direct-current system. What differs is what no two ships share: plates and limits,
paint as seen, berths, and a log of faults with dates as a crew writes them.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any, Final

import numpy as np

from corrosion.foundation.units import DAY, HOUR, MICROFARAD, MM, PERCENT, YEAR
from corrosion.records.dates import When, as_written, day_of, moment_of
from corrosion.records.ship import (
    Berth,
    Fault,
    Form,
    Gauging,
    LampSet,
    Readings,
    Ship,
    Side,
    System,
    Water,
    Zone,
)

__all__ = ["AS_OF", "invent"]

AS_OF: Final = date(2026, 1, 1)
"""The date of every rehearsed estimate: nothing is recorded after it."""

_NOW: Final = moment_of(AS_OF)
_FORM: Final = Form(
    length=60.0, beam=10.0, draught=3.6, block_coefficient=0.6, frame_spacing=0.6
)
_SIDES: Final[tuple[Side, ...]] = ("port", "starboard")
_LAMPS: Final = LampSet(volts=127.0, watts=15.0, ratio=2.0)
_DC_LAMPS: Final = LampSet(volts=220.0, watts=25.0)
_LAMP_ROOM: Final = "3-S-SID"


def invent(seed: int) -> Ship:
    """Return an invented ship with a log of faults of which nothing is read yet.

    Parameters
    ----------
    seed : int
        The same seed invents the same ship.

    Returns
    -------
    Ship
        Gaugings have their dates, zones and numbers of readings, and the built
        thickness where a measurement belongs.
    """
    rng = np.random.default_rng([seed, 1])
    zones = tuple(_zones(rng))
    return Ship(
        name=f"Rehearsal {seed}",
        form=_FORM,
        water=Water(salinity=float(rng.integers(18, 36)), temperature=11.0),
        built=as_written(str(rng.integers(1960, 1990))),
        last_docking=as_written("2016-05"),
        next_docking=as_written("2030-05-01"),
        systems=_systems(rng),
        zones=zones,
        faults=tuple(_faults(rng, [zone.zone for zone in zones])),
        berths=_berths(rng),
        gaugings=tuple(_gaugings(rng, zones)),
    )


def _systems(rng: np.random.Generator) -> tuple[System, ...]:
    known = bool(rng.random() < 0.5)
    return (
        System(
            name="ship service",
            kind="ac3",
            volts=440.0,
            hertz=60.0,
            capacitance=1.4 * MICROFARAD if known else None,
            insulation=4e5 if known else None,
            switchboard_zone=_LAMP_ROOM,
            lamps=_LAMPS,
        ),
        System(
            name="legacy",
            kind="dc2",
            volts=220.0,
            insulation=8e4,
            switchboard_zone=_LAMP_ROOM,
            lamps=_DC_LAMPS,
            fed_from_shore=bool(rng.random() < 0.3),
        ),
    )


def _zones(rng: np.random.Generator) -> Iterator[Zone]:
    for side in _SIDES:
        mark = side[0].upper()
        for k in range(5):
            room = {"side": side, "frame_from": 20.0 * k, "frame_to": 20.0 * (k + 1)}
            yield _zone(rng, f"{k + 1}-{mark}-SID", top=0.0, bottom=2.2, **room)
            yield _zone(rng, f"{k + 1}-{mark}-BOT", top=2.2, bottom=3.6, **room)
        for k, name in enumerate("FMA"):
            strip = {"side": side, "exposure": "splash", "area": 14.0}
            ends = {"frame_from": 33.0 * k, "frame_to": 33.0 * (k + 1)}
            depths = {"top": -0.7, "bottom": 0.0}
            yield _zone(rng, f"{name}-{mark}-BTP", **strip, **ends, **depths)
        for frame, name in ((45.0, "bilge"), (60.0, "tank")):
            hold = {"frame_from": frame, "frame_to": frame + 15.0, "area": 9.0}
            inside = {"exposure": name, "top": 2.4, "bottom": 3.4, "side": side}
            yield _zone(rng, f"{mark}-{name[:3].upper()}", **hold, **inside)
    place = {"side": "centre", "frame_from": 98.0, "frame_to": 101.0, "area": 5.0}
    joint = {"bond": 0.02, "bonded_to": "5-S-BOT", "top": 0.8, "bottom": 3.2}
    yield _zone(rng, "C-RUD", **place, **joint)


def _zone(rng: np.random.Generator, name: str, **place: Any) -> Zone:
    """Return a zone: its plate, its limits, and its paint if anyone has looked."""
    built_mm = float(rng.integers(16, 29)) / 2.0
    seen = bool(rng.random() < 0.85)
    percent = np.clip(np.round(6.0 * np.exp(rng.normal(0.0, 0.8))), 1.0, 60.0)
    return Zone(
        zone=name,
        name=f"invented {name}",
        built=built_mm * MM,
        limit=round(built_mm * rng.uniform(0.75, 0.9), 1) * MM,
        pit_limit=round(built_mm * rng.uniform(0.4, 0.6), 1) * MM,
        bare=float(percent) * PERCENT if seen else None,
        bare_seen=as_written(str(rng.integers(2018, 2026))) if seen else None,
        consequence=int(rng.integers(2, 6)),
        **({"exposure": "immersed"} | place),
    )


def _berths(rng: np.random.Generator) -> tuple[Berth, ...]:
    """At sea, then two to four quays of years each, most on an earthed supply."""
    start = _NOW - rng.uniform(12.0, 30.0) * YEAR
    whens = np.sort(rng.uniform(start, _NOW - YEAR, rng.integers(1, 4)))
    texts = [_written(t, 1) for t in (start, *whens)]
    return (
        Berth(start=None, end=texts[0], berth="at sea", supply="own"),
        *(
            _quay(rng, start, end)
            for start, end in zip(texts, (*texts[1:], None), strict=True)
        ),
    )


def _quay(rng: np.random.Generator, start: When, end: When | None) -> Berth:
    if rng.random() < 0.2:
        return Berth(start=start, end=end, berth="quay", supply="shore isolated")
    written, measured, near = rng.random(3) < 0.5
    return Berth(
        start=start,
        end=end,
        berth="quay",
        supply="shore earthed",
        earth_cable=round(rng.uniform(0.1, 0.6), 2) if rng.random() < 0.85 else None,
        shore_earth=round(rng.uniform(0.5, 3.0), 1) if written else None,
        earth_couple=round(rng.uniform(0.2, 0.4), 2) if measured else None,
        galvanic_isolator=bool(rng.random() < 0.2),
        shore_side=_SIDES[rng.integers(2)] if near else None,
        shore_distance=10.0 if near else None,
    )


def _faults(rng: np.random.Generator, zones: list[str]) -> list[Fault]:
    many = int(rng.integers(10, 41))
    found = np.sort(_NOW - YEAR * rng.uniform(0.1, 25.0, many))
    return [_fault(rng, f"F{k + 1:02d}", t, zones) for k, t in enumerate(found)]


def _fault(
    rng: np.random.Generator, name: str, found: float, zones: list[str]
) -> Fault:
    care = min(2, int((_NOW - found) / (6.0 * YEAR) + rng.random()))  # newer: finer
    coarse = 2 - care
    long = HOUR * float(np.exp(rng.normal(np.log(300.0), 2.2)))
    over = found + long if found + long < _NOW - DAY else None
    before = found - DAY * float(np.exp(rng.normal(np.log(20.0), 1.5)))
    checked = bool(rng.random() < 0.5)
    kind = rng.random()
    facts: dict[str, Any] = {
        "fault": name,
        "zone": str(rng.choice(zones)) if rng.random() < 0.75 else None,
        "found": _written(found, coarse),
        "cleared": None if over is None else _written(over, coarse),
    }
    if kind < 0.85:
        facts["system"] = "ship service" if kind < 0.5 else "legacy"
        good = _written(before, coarse) if checked else None
        return Fault(current="ac" if kind < 0.5 else "dc", last_good=good, **facts)
    welding = kind < 0.92
    amps = rng.uniform(5.0, 60.0) if welding else rng.uniform(0.1, 1.0)
    return Fault(
        system=None,
        source="welding" if welding else "other",
        returns="aboard" if welding else "ashore",
        current="dc" if rng.random() < 0.5 else "ac",
        readings=Readings(amps=float(f"{amps:.2g}")),
        **facts,
    )


def _gaugings(rng: np.random.Generator, zones: tuple[Zone, ...]) -> list[Gauging]:
    """One or two campaigns, each of some of the shell, some with the least found."""
    rows = []
    for year in sorted(rng.choice(np.arange(2006, 2025), rng.integers(1, 3), False)):
        when = as_written(f"{year}-{rng.integers(1, 13):02d}")
        for zone in zones:
            if rng.random() < 0.4:
                many = int(rng.integers(5, 15))
                sd = None if rng.random() < 0.5 else 0.5 * MM
                row = Gauging(
                    zone=zone.zone,
                    date=when,
                    thickness=zone.built,
                    readings=many,
                    sd=sd,
                )
                rows.append(row)
                if rng.random() < 0.25:
                    rows.append(replace(row, kind="least", readings=1))
    return rows


def _written(moment: float, care: int) -> When:
    """Return a moment as written: to the year, the month or the day."""
    return as_written(day_of(moment).isoformat()[: (4, 7, 10)[care]])
