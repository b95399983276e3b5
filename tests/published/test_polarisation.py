"""The bent interface against its relation in print, a root finder and a simulator."""

from pathlib import Path

import numpy as np
import pytest
from circuit_simulator import SPICE, simulated
from nonlinear_oracle import nonlinear_currents
from published.printed import printed
from scipy.optimize import brentq
from ships import ZONES, at_patches, berth, invented_hull, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.hull.network import contact_resistance
from corrosion.hull.nonlinear.polarisation import natural_density
from corrosion.hull.shore_connection import shore_connection
from corrosion.hull.uncertain import median_paths


@pytest.mark.published(
    source="Stern & Geary 1957; ASTM G102",
    where="B = βa βc / (2.303 (βa + βc)): 52 mV for βa of 120 mV and βc infinite",
    status="from memory",
)
def test_stern_geary() -> None:
    # the cathodic line is flat (oxygen at its limit): the 52 mV of an anodic 120 mV
    own = default_assumptions().override(
        "anodic_tafel_v", median=0.12, spread=1.0, why="as printed"
    )
    far = own.override("hydrogen_onset_v", median=0.79, spread=1.0, why="no trace")
    assert natural_density(1.0, assumptions=far) == printed("0.052")
    # both slopes, where both reactions are of one size at rest
    near = own.override("hydrogen_onset_v", median=0.2, spread=1.0, why="nearer")
    share = 10.0 ** (-0.2 / 0.12)
    expected = 1.0 / (np.log(10.0) * (1.0 / 0.12 + share / 0.12))
    assert natural_density(1.0, assumptions=near) == pytest.approx(expected, rel=1e-12)


@pytest.mark.published(
    source="scipy.optimize.brentq",
    where="one zone at a quay: Tafel line, oxygen, hydrogen, paint, water, couple",
    status="computed",
)
@pytest.mark.parametrize("amps", [-300.0, -2.0, -0.01, 0.0, 0.003, 1.0, 40.0, 1e4])
def test_one_zone_by_bisection(amps: float) -> None:
    hull = invented_hull(ship(zones=ZONES[:1], systems=()))
    at = berth(
        None, None, "shore earthed", earth_cable=0.2, shore_earth=0.9, earth_couple=0.31
    )
    p = median_paths()
    r, paint, area = p.interface[0], p.coating[0], hull.body.area[0]
    water, bare = hull.body.matrix[0, 0] + at_patches(hull)[0], hull.bare[0]
    contact = contact_resistance(
        hull.bare[None], hull.contact_area, p.interface, p.coating
    )
    ohms = water + contact[0]  # of the hull, by which the couple polarises the earth
    earth = shore_connection(hull, at, p, hertz=0.0, hull_ohms=ohms).electrode[0]
    tafel, hydrogen, onset = (
        hull.assumptions.value(name)
        for name in ("anodic_tafel_v", "hydrogen_tafel_v", "hydrogen_onset_v")
    )
    share = 10.0 ** (-onset / hydrogen)
    free = 1.0 / (r * np.log(10.0) * (1.0 / tafel + share / hydrogen))

    def leaves(eta: float) -> float:
        steel = 10.0 ** (eta / tafel) - (1.0 - share)
        cathodic = 10.0 ** (-(eta + onset) / hydrogen)
        return float(
            area * bare * free * (steel - cathodic) + area * (1.0 - bare) * eta / paint
        )

    def surplus(eta: float) -> float:
        out = leaves(eta)
        hull_volts = eta + water * out  # over remote earth
        shore = -earth * out + 0.31  # behind the couple
        return float(out + (hull_volts - shore) / 0.2 - amps)

    expected = leaves(brentq(surplus, -1.5, 0.6, xtol=1e-15, rtol=1e-14))
    found = nonlinear_currents(hull, [amps], at)[0]
    assert found == pytest.approx(expected, rel=1e-8)


@SPICE
@pytest.mark.published(
    source="ngspice, two zones with junctions for both reactions",
    where="current leaving each zone, 30 A ashore without a protective conductor",
    status="computed",
)
def test_two_zones_in_a_circuit_simulator(tmp_path: Path) -> None:
    hull = invented_hull(ship(zones=ZONES[:2], systems=()))
    at = berth(None, None, "shore earthed", earth_none=True, shore_earth=0.8)
    p = median_paths()
    free, r = (
        float(natural_density(1.0, assumptions=default_assumptions())),
        hull.body.matrix + np.diag(at_patches(hull)),
    )
    trace = 10.0 ** (-default_assumptions().value("hydrogen_onset_v") / 0.12)
    tafel = default_assumptions().value("anodic_tafel_v")
    link = hull.steel[0.0].max() / p.structure[0]  # plate between the two zones
    lines = [f"Rplate s0 s1 {link:.15g}"]
    for k in range(2):
        area, bare = hull.body.area[k], hull.bare[k]
        paint = p.coating[0] / (area * (1.0 - bare))
        law = (
            f"{area * bare * free:.15g}*(exp(V(s{k},w{k})*{np.log(10) / tafel:.15g})"
            f"-1+{trace:.15g}-{trace:.15g}*exp(-V(s{k},w{k})*{np.log(10) / 0.12:.15g}))"
        )
        other = 1 - k
        drop = f"{r[k, k]:.15g}*I(Vm{k})+{r[k, other]:.15g}*I(Vm{other})"
        lines += [
            f"Bsteel{k} s{k} a{k} I={law.replace(f'w{k}', f'a{k}')}",
            f"Rpaint{k} s{k} a{k} {paint:.15g}",
            f"Vm{k} a{k} b{k} 0",
            f"Bwater{k} b{k} 0 V={drop}",
        ]
    lines += [
        "Iin 0 s0 30",
        ".options abstol=1e-12 reltol=1e-9 vntol=1e-12 gmin=1e-15",
        ".control",
        "set numdgt=12",
        "op",
        "print i(Vm0) i(Vm1)",
        ".endc",
    ]
    asked = simulated(tmp_path, lines, ["i(vm0)", "i(vm1)"])
    expected = [amps.real for amps in asked]
    found = nonlinear_currents(hull, [30.0, 0.0], at)
    assert found == pytest.approx(expected, rel=1e-6)
