"""Tests of hull.water.water_body, in the order: laws, edges, errors."""

from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pytest
from hull.bodies import zone

from corrosion.foundation.errors import InputError
from corrosion.hull.geometry.panels import hull_panels
from corrosion.hull.water import water_body as water_module
from corrosion.hull.water.boundary_elements import resistance_to_remote
from corrosion.hull.water.seawater import resistivity
from corrosion.hull.water.water_body import WaterBody, resistivity_of, water_body
from corrosion.records.dates import When
from corrosion.records.ship import Form, Ship, Water, Zone

FORM = Form(
    length=96.0,
    beam=13.4,
    draught=5.1,
    block_coefficient=0.58,
    frame_spacing=0.61,
)
ZONES = (
    zone("F-P", (0.0, 60.0), "port", (0.0, 5.1)),
    zone("F-S", (0.0, 60.0), "starboard", (0.0, 5.1)),
    zone("belt", (0.0, 157.0), "port", (-0.6, 0.0), exposure="splash", area=18.5),
    zone("A-P", (60.0, 157.0), "port", (-0.5, 4.0), exposure="tidal"),
    zone("A-S", (60.0, 157.0), "starboard", (-0.5, 4.0), exposure="tidal"),
    zone("keel", (60.0, 157.0), "centre", (4.0, 5.1)),
    zone("bilge", (60.0, 98.0), "port", (3.7, 4.9), exposure="bilge", area=64.0),
    zone("rudder", (151.0, 157.0), "centre", (0.9, 4.8), bond=0.05, area=17.5),
    zone("keel-P", (50.0, 106.0), "port", (3.4, 4.1), bond=0.003),
    zone("keel-S", (50.0, 106.0), "starboard", (3.4, 4.1), bond=0.003),
)


def ship(zones: tuple[Zone, ...] = ZONES, **water: float | None) -> Ship:
    return Ship(
        name="",
        form=FORM,
        water=Water(**({"resistivity": 0.3} | water)),
        built=When(text="1953", earliest=-5.4e8, latest=-5.0e8),
        zones=zones,
    )


@pytest.fixture(autouse=True)
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "kept"))
    return tmp_path / "kept"


@pytest.fixture(scope="module")
def body(tmp_path_factory: pytest.TempPathFactory) -> WaterBody:
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("CORROSION_CACHE", str(tmp_path_factory.mktemp("kept")))
        return water_body(ship())


def test_matrix_is_symmetric_and_passive(body: WaterBody) -> None:
    assert body.zones.tolist() == [0, 1, 3, 4, 5, 7, 8, 9]
    assert (body.matrix == body.matrix.T).all()
    assert np.linalg.eigvalsh(body.matrix)[0] > 0.0
    assert (body.matrix > 0.0).all()
    assert body.asymmetry < 0.02


def test_shell_as_one_electrode(body: WaterBody) -> None:
    # joined zones at one potential: above the whole surface at one potential, for
    # each zone spreads its current evenly, yet close to it
    shell = body.matrix[:5, :5]
    joined = 1.0 / np.linalg.solve(shell, np.ones(5)).sum()
    assert body.remote < joined < 1.15 * body.remote


def test_remote_is_that_of_the_panels(body: WaterBody) -> None:
    corners = hull_panels(FORM, ZONES).corners
    assert body.remote == pytest.approx(resistance_to_remote(corners, 0.3), rel=1e-9)


def test_a_hull_lies_between_its_spheroids(body: WaterBody) -> None:
    # an electrode within another has the greater resistance
    def prolate(half: float, radius: float) -> float:
        c = np.sqrt(half**2 - radius**2)
        return 0.3 * float(np.log((half + c) / (half - c)) / (4.0 * np.pi * c))

    assert prolate(75.0, 9.5) < body.remote < prolate(45.0, 3.5)


def test_mesh_does_not_matter(body: WaterBody) -> None:
    def finer(form: Form, zones: tuple[Zone, ...]) -> object:
        return hull_panels(form, zones, target=3000)

    with patch.object(water_module, "hull_panels", finer):
        fine = water_body(ship())
    assert np.diag(body.matrix) == pytest.approx(np.diag(fine.matrix), rel=0.015)
    assert body.matrix == pytest.approx(fine.matrix, rel=0.025)
    assert body.remote == pytest.approx(fine.remote, rel=0.005)


def test_port_and_starboard_are_alike(body: WaterBody) -> None:
    order = [1, 0, 3, 2, 4, 5, 7, 6]
    swapped = body.matrix[np.ix_(order, order)]
    assert np.abs(swapped / body.matrix - 1.0).max() < 1e-9


def test_mirrored_ship_gives_mirrored_results() -> None:
    other = {"port": "starboard", "starboard": "port", "centre": "centre"}
    # no port twin for the first zone: a lopsided ship
    zones = ZONES[1:]
    mirrored = tuple(replace(row, side=other[row.side]) for row in zones)  # type: ignore[arg-type]  # still a side
    one, two = water_body(ship(zones)), water_body(ship(mirrored))
    assert one.matrix == pytest.approx(two.matrix, rel=1e-9)
    assert one.centre * [1.0, -1.0, 1.0] == pytest.approx(two.centre, abs=1e-9)


def test_displacement_area_and_centre(body: WaterBody) -> None:
    assert body.displacement == pytest.approx(0.58 * 96.0 * 13.4 * 5.1, rel=1e-9)
    assert body.area[[2, 6, 7]].tolist() == [18.5, 64.0, 17.5]
    # shell zones add up to the wetted surface and what is tidal above it
    above = 2.0 * 0.5 * 97 * 0.61
    shell = body.area[[0, 1, 3, 4, 5]].sum()
    assert shell == pytest.approx(body.wetted + above, rel=0.01)
    assert (np.sign(body.centre[:5, 1]) == [-1, 1, -1, -1, 1]).all()
    assert body.centre[5, 1] == body.centre[7, 1] == 0.0
    assert -5.1 < body.centre[5, 2] < -4.0


def test_scales_with_resistivity(body: WaterBody) -> None:
    fresh = water_body(ship(resistivity=30.0))
    assert fresh.matrix == pytest.approx(100.0 * body.matrix, rel=1e-12)
    assert fresh.remote == pytest.approx(100.0 * body.remote, rel=1e-12)


def test_rudder_is_a_spheroid_and_far_off_a_point(body: WaterBody) -> None:
    long, deep = 0.5 * 3.9, 2.85  # upright: 3.9 m by 3.66 m
    short = 17.5 / (4.0 * np.pi * long)
    c = np.sqrt(long**2 - short**2)
    alone = np.log((long + c) / (long - c)) / (2.0 * c)
    image = np.log((2 * deep + c) / (2 * deep - c)) / (2.0 * c)  # on its axis
    own = 0.3 / (4.0 * np.pi) * (alone + image)
    assert body.matrix[5, 5] == pytest.approx(own, rel=0.01)
    apart = np.linalg.norm(body.centre[7] - body.centre[0])
    assert body.matrix[5, 0] == pytest.approx(0.3 / (2.0 * np.pi * apart), rel=0.1)


def test_a_bilge_keel_is_long(body: WaterBody) -> None:
    # a strip of 34.16 m by 0.7 m, both faces: a rod of a quarter of its width,
    # 3.75 m below its image; a sphere of that area would resist twice as much
    length, width, image = 56 * 0.61, 0.7, 7.5
    rod = (np.log(4.0 * length / (0.5 * width)) - 1.0) / (2.0 * np.pi * length)
    ratio = length / image
    mirrored = np.arcsinh(ratio) + 1.0 / ratio - np.hypot(1.0, 1.0 / ratio)
    own = 0.3 * (rod + mirrored / (2.0 * np.pi * length))
    assert body.matrix[6, 6] == pytest.approx(own, rel=0.04)
    sphere = np.sqrt(2.0 * length * width / (4.0 * np.pi))
    assert body.matrix[6, 6] < 0.65 * 0.3 / (4 * np.pi) * (1 / sphere + 1 / image)


def test_a_part_far_off_is_a_point() -> None:
    buoy = zone("buoy", (1800.0, 1810.0), "centre", (0.5, 1.5), bond=0.1)
    found = water_body(ship((*ZONES, buoy)))
    apart = np.linalg.norm(found.centre[found.zones[:5]] - found.centre[-1], axis=1)
    expected = 0.3 / (2.0 * np.pi * apart)
    assert found.matrix[-1, :5] == pytest.approx(expected, rel=1.5e-3)


def test_shallow_water_hinders(body: WaterBody) -> None:
    shallow = water_body(ship(depth=7.5))
    assert (shallow.matrix > body.matrix).all()
    assert shallow.remote > 1.5 * body.remote


def test_zone_beyond_the_hull_is_an_electrode_of_its_own() -> None:
    beyond = zone("beyond", (170.0, 180.0), "port", (1.0, 3.0))
    found = water_body(ship((*ZONES, beyond)))
    assert found.area[-1] == pytest.approx(10 * 0.61 * 2.0)
    assert np.isfinite(found.matrix).all()
    assert np.linalg.eigvalsh(found.matrix)[0] > 0.0


def test_ship_without_wetted_zones() -> None:
    dry = water_body(ship((ZONES[2],)))
    assert dry.matrix.shape == (0, 0)
    assert dry.remote > 0.0


def test_kept_result_is_used_for_other_water(kept: Path) -> None:
    first = water_body(ship())
    assert len(list(kept.iterdir())) == 1
    with patch.object(water_module, "_solve", side_effect=AssertionError("again")):
        again = water_body(ship(resistivity=0.6))
    assert (again.matrix == 2.0 * first.matrix).all()
    assert (again.zones == first.zones).all()


def test_resistivity_as_written_wins() -> None:
    assert (
        resistivity_of(Water(salinity=35.0, temperature=10.0, resistivity=7.0)) == 7.0
    )
    found = resistivity_of(Water(salinity=35.0, temperature=10.0))
    assert found == pytest.approx(float(resistivity(35.0, 10.0)), rel=1e-12)


@pytest.mark.parametrize(
    ("water", "match"),
    [
        (Water(), r"needs resistivity_ohm_m .* or salinity_g_per_kg"),
        (Water(salinity=20.0), r"with temperature_c"),
        (
            Water(salinity=0.5, temperature=10.0),
            r"at least 2 g/kg.*got 0\.5 g/kg.*give",
        ),
    ],
)
def test_says_what_the_water_lacks(water: Water, match: str) -> None:
    with pytest.raises(InputError, match=match):
        resistivity_of(water)


def test_refuses_a_ship_aground() -> None:
    with pytest.raises(InputError, match=r"exceed the draught of 5\.1 m, got 4 m"):
        water_body(ship(depth=4.0))
