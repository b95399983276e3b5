"""What an integration starts from: its dates, and all that is drawn."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Final, cast

import numpy as np

from corrosion.foundation.errors import InputError
from corrosion.foundation.parallel import Begun, cores
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import YEAR
from corrosion.history.time_grid import TimeGrid
from corrosion.hull.injection import cable_share, entry_zones, return_zones
from corrosion.hull.model import Hull, build_hull
from corrosion.hull.own_metals import MetalUnknowns, draw_metals
from corrosion.hull.potential_evidence import fit_potentials, hull_surveys
from corrosion.hull.shore_evidence import fit_shore, shore_readings
from corrosion.hull.uncertain import PathUnknowns, draw_paths
from corrosion.leakage.fault_unknowns import FaultUnknowns
from corrosion.leakage.kept_faults import kept_faults
from corrosion.leakage.logged_currents import LoggedHours
from corrosion.leakage.time_intervals import Stay, as_before, periods
from corrosion.records.ship import Ship
from corrosion.wastage.metals import metal
from corrosion.wastage.uncertain import ZoneUnknowns, draw_zones

ZONES_MOST: Final = 400
"""Zones of a ship at most: the work grows with their square and more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelInputs:
    """A ship with everything drawn that is not known about her.

    Arrays are of shape (zones,) where no other is said.
    """

    ship: Ship  # the ship as she is known
    draws: Draws  # the random numbers
    time_grid: TimeGrid  # the dates of the estimate
    hull: Hull  # her water, steel and areas
    cables: Array  # share of her cabling in way of each zone [-]
    faults: FaultUnknowns  # when each stood, its resistance, conductor and current
    # entry, back: shape (samples, faults): zone in which each fault's current enters
    # the steel, and through which it leaves it again where it returns aboard; -1:
    # through the cables
    entry: IntArray
    back: IntArray
    periods: Sequence[Stay]  # how she lay, one after another
    paths: PathUnknowns  # what decides where a current crosses into the water
    metals: MetalUnknowns  # how her metals answer a current
    protection: Array  # shape (samples, zones): current that protects bare steel [A/m²]
    zones: ZoneUnknowns  # what decides how fast each zone is lost
    dissolution: Array  # charge that dissolves a cubic metre of each [C/m³]

    @property
    def kg_per_metre(self) -> Array:
        """Mass of each zone a metre of thickness, shape (zones,) [kg/m]."""
        density = [metal(zone.metal).density for zone in self.ship.zones]
        return np.asarray(self.hull.body.area * density)


def sample_inputs(
    ship: Ship,
    draws: Draws,
    time_grid: TimeGrid,
    logged: Mapping[str, LoggedHours] | None = None,
) -> ModelInputs:
    """Draw everything that is not known about a ship, and make her hull ready.

    ``logged`` holds by fault the hours for which a log measured its current.

    Raises
    ------
    InputError
        If she has more zones than can be solved together.
    """
    if len(ship.zones) > ZONES_MOST:
        msg = (
            f"{ship.name} has {len(ship.zones)} zones: an estimate solves steel and "
            f"water between all of them, and takes {ZONES_MOST} at most. Join zones "
            "that look alike in zones.csv."
        )
        raise InputError(msg)
    hull: list[Begun[ModelInputs]] = []

    def meanwhile() -> None:
        if not hull:
            hull.append(Begun(partial(_faultless, ship, draws, time_grid)))

    # The laws of her faults wait for what her readings teach, and nothing for the hull.
    if len(ship.systems) < cores():
        meanwhile()
    faults = kept_faults(ship, draws, time_grid.as_of, logged or {}, meanwhile)
    meanwhile()
    inputs = hull[0].result()
    end = float(time_grid.moments[-1])
    entry = entry_zones(ship, inputs.cables, faults.place)
    return replace(
        inputs,
        ship=ship,  # not a copy of her, nor of what is hers
        draws=draws,
        time_grid=time_grid,
        hull=replace(inputs.hull, assumptions=ship.assumptions),
        faults=faults,
        entry=entry,
        back=return_zones(ship, inputs.hull.body.area, entry, draws),
        periods=as_before(
            periods(ship, draws, start=time_grid.start, end=end),
            time_grid.as_of,
            draws.value("berth_pattern_years") * YEAR,
            time_grid.moments,
        ),
    )


def _faultless(ship: Ship, draws: Draws, time_grid: TimeGrid) -> ModelInputs:
    """Return the case without faults and stays, of which nothing in it depends."""
    hull = build_hull(ship)
    paths, metals, protected = fit_potentials(
        draw_paths(draws), draw_metals(draws), hull_surveys(ship), draws
    )
    nowhere = np.zeros((draws.samples, 0), dtype=np.int64)
    inputs = ModelInputs(
        ship=ship,
        draws=draws,
        time_grid=time_grid,
        hull=hull,
        cables=cable_share(ship, hull.body),
        faults=cast("FaultUnknowns", None),
        entry=nowhere,
        back=nowhere,
        periods=(),
        paths=paths,
        metals=metals,
        protection=np.outer(protected, [zone.protection for zone in ship.zones]),
        zones=draw_zones(ship, draws, time_grid.as_of),
        dissolution=np.array(
            [metal(zone.metal).charge_per_volume for zone in ship.zones]
        ),
    )
    return _taught_by_shore(inputs)


def _taught_by_shore(inputs: ModelInputs) -> ModelInputs:
    """Return the case with couple and shore earth as readings leave them."""
    from corrosion.history.protected_paths import paths_at  # noqa: PLC0415 - needs us

    readings = shore_readings(inputs.ship)
    seen = [paths_at(inputs, at.berth, at.moment).seen_hull(0) for at in readings]
    return replace(inputs, paths=fit_shore(inputs.paths, readings, seen, inputs.draws))
