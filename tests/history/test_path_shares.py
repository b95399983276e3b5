"""Who is charged under protection, through the whole program.

A folder of a protected ship in which two direct currents and the shore couple act
together, against the path integral worked by hand: the nonlinear network is balanced
anew with each current a hair larger, at two hundred steps from nothing to all.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from records.written import write_ship
from ships import ZONES, berth, current, ship

import corrosion
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.types import Array
from corrosion.history.coating_epochs import coating_epochs
from corrosion.history.paths import CurrentPaths
from corrosion.hull.nonlinear.newton import iterate
from corrosion.hull.nonlinear.secant import nonlinear_network
from corrosion.records.dates import as_written
from corrosion.wastage.faraday import mass_loss

KNOWN = {  # exact, so that one figure comes out
    "coating_ohm_m2": 1e5,  # next to nothing through sound paint
    "coating_life_years": 140.0,
    "interface_ohm_m2": 0.586,
    "anodic_tafel_v": 0.058,
    "steel_structure_factor": 1.0,
    "bare_factor": 1.0,
    "bare_factor_zone": 1.0,
    "clamp_factor": 1.0,
    "protection_factor": 1.0,
    "earth_limit_a": 1.0,
    "shore_earth_factor": 1.0,
    "earth_couple_factor": 1.0,
}
HELD = 0.07  # A/m², over the natural rate: without currents nothing is lost
QUAY = "an invented quay"
BERTH = berth(
    "2020-01", None, "shore earthed", earth_cable=0.3, shore_earth=1.0, earth_couple=0.5
)
WEEK = "2021-03-01 00:00", "2021-03-08 00:00"
FAULTS = (
    current("A", *WEEK, 8.0, zone="FP", returns="ashore"),
    current("B", *WEEK, 2.0, zone="RUD", returns="aboard"),
)


def protected() -> corrosion.Ship:
    table = default_assumptions()
    for name, value in KNOWN.items():
        table = table.override(name, median=value, spread=1.0, why="a test")
    return replace(
        ship(
            zones=tuple(replace(z, protection=HELD) for z in ZONES),
            faults=FAULTS,
        ),
        berths=(BERTH,),
        assumptions=table,
    )


@pytest.fixture(scope="module")
def result(tmp_path_factory: pytest.TempPathFactory) -> corrosion.Estimate:
    folder: Path = tmp_path_factory.mktemp("protected")
    write_ship(protected(), folder)
    return corrosion.estimate(folder, samples=2, as_of=date(2021, 6, 1))


def by_hand(
    result: corrosion.Estimate, sample: int, steps: int = 200
) -> tuple[Array, Array]:
    """Kilograms of the week by A, B and the couple: along the path, and by the end.

    The second as each would be charged by what it drives where all are wholly on, as
    the secants' superposition does; (causes, wetted) each.
    """
    inputs, wet = result.inputs, result.inputs.hull.body.zones
    number = next(k for k, p in enumerate(inputs.periods) if p.berth.berth == QUAY)
    paths = CurrentPaths(inputs, slice(sample, sample + 1), coating_epochs(inputs))
    week = as_written(WEEK[0]).middle, as_written(WEEK[1]).middle
    paths.turn_to(*week)
    span = np.array([week[0]]), np.array([week[1]])
    natural = paths.natural(number, 0, span).mean
    quiet = natural[0, wet] / (week[1] - week[0]) - HELD
    names = [zone.zone for zone in inputs.ship.zones]
    into = np.zeros((3, len(names)))
    into[0, names.index("FP")] = 8.0
    into[1, names.index("RUD")] = 2.0
    into[1] -= 2.0 * inputs.cables

    def density(scale: Array) -> Array:
        """Net density at bare steel, with A, B and the couple at some of their size."""
        system = nonlinear_network(
            inputs.hull,
            inputs.periods[number].berth,
            scale @ into,
            paths=paths.unknowns,
            bare=paths.paint[0, wet],
            rest=paths.rest(number)[0],
        )
        system = replace(system, couple=scale[:, 2] * system.couple)
        start = np.zeros((len(scale), len(wet) + 1))
        z, off = iterate(system, start, within=1e-12)
        assert not off.any()
        return system.steel.added(z[:, :-1])

    at, charged = (np.arange(steps) + 0.5) / steps, []
    on = np.repeat(at[:, None], 3, axis=1)
    active = quiet + density(on) > 0.0
    for hair in 1e-4 * np.eye(3):
        slope = (density(on + hair) - density(on - hair)) / 2e-4
        charged.append((active * slope).mean(axis=0))
    full = np.ones((1, 3))
    whole = np.maximum(quiet + density(full)[0], 0.0) - np.maximum(quiet, 0.0)
    kg = mass_loss(week[1] - week[0]) * paths.bare[0] * inputs.hull.body.area

    def shared(charges: Array) -> Array:
        out = np.maximum(charges, 0.0)
        return np.asarray(out / np.maximum(out.sum(axis=0), 1e-30) * whole * kg[wet])

    end = [density(full)[0] - density(full - one)[0] for one in np.eye(3)]
    return shared(np.array(charged)), shared(np.array(end))


def test_causes_are_charged_along_the_path(result: corrosion.Estimate) -> None:
    each = [by_hand(result, sample) for sample in range(2)]
    along, at_the_end = (
        np.mean([kg[k][:2].sum(axis=1) for kg in each], axis=0) for k in (0, 1)
    )
    rows = result.to_json()["faults"]
    fault_kg = [row["kg"]["mean"] for row in rows]
    assert [row["fault"] for row in rows] == ["A", "B"]
    assert fault_kg[0] == pytest.approx(along[0], rel=0.02)
    assert fault_kg[1] == pytest.approx(along[1], rel=0.08)
    # by what each drives where all are on, the weak one would be charged half too much
    assert at_the_end[1] > 1.3 * along[1]
