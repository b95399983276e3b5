"""Tests of hull.geometry.panels and its lines, in the order: laws, edges, errors."""

from dataclasses import replace

import numpy as np
import pytest
from hull.bodies import zone
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError
from corrosion.hull.geometry.hull_lines import fit_hull_lines, half_breadth
from corrosion.hull.geometry.panels import (
    coverage_warnings,
    hull_panels,
    zone_area_and_centre,
)
from corrosion.records.dates import When
from corrosion.records.ship import Form, Ship, Water, Zone

FORM = Form(
    length=96.0,
    beam=13.4,
    draught=5.1,
    block_coefficient=0.58,
    frame_spacing=0.61,
)
SIDES = [
    zone(f"{name}{frames[0]:g}{side[0]}", frames, side, depths)
    for frames in ((0.0, 60.0), (60.0, 157.0))
    for name, depths in (("side", (0.0, 3.6)), ("bottom", (3.6, 5.1)))
    for side in ("port", "starboard")
]


def ship(*zones: Zone) -> Ship:
    built = When(text="1953", earliest=-5.4e8, latest=-5.0e8)
    return Ship(
        name="",
        form=FORM,
        water=Water(resistivity=0.3),
        built=built,
        zones=zones,
    )


@settings(deadline=None, max_examples=25)
@given(
    block=st.floats(0.3, 0.95),
    slender=st.floats(3.0, 10.0),
    shallow=st.floats(1.5, 5.0),
    target=st.integers(800, 1600),
)
def test_panels_enclose_the_displacement(
    block: float, slender: float, shallow: float, target: int
) -> None:
    form = replace(
        FORM,
        block_coefficient=block,
        beam=96.0 / slender,
        draught=96.0 / slender / shallow,
    )
    mesh = hull_panels(form, [], target=target)
    # by another route: columns of water over the waterplane
    x = (np.arange(800) + 0.5) / 800 * form.length
    depth = (np.arange(400) + 0.5) / 400 * form.draught
    breadth = half_breadth(fit_hull_lines(form), x[:, None], depth)
    columns = 2.0 * breadth.mean() * form.length * form.draught
    expected = block * form.length * form.beam * form.draught
    assert columns == pytest.approx(expected, rel=2e-3)
    assert mesh.volume == pytest.approx(expected, rel=1e-12)
    assert np.ptp(mesh.corners[..., 1]) == pytest.approx(form.beam, rel=0.03)


def test_meets_midship_and_waterplane_coefficient() -> None:
    form = replace(FORM, midship_coefficient=0.93, waterplane_coefficient=0.72)
    lines = fit_hull_lines(form)
    x = (np.arange(2000) + 0.5) / 2000 * form.length
    depth = (np.arange(2000) + 0.5) / 2000 * form.draught
    plane = 2.0 * half_breadth(lines, x, 0.0).mean() / form.beam
    midship = 2.0 * half_breadth(lines, 0.5 * form.length, depth).mean() / form.beam
    assert plane == pytest.approx(0.72, rel=1e-4)
    assert midship == pytest.approx(0.93, rel=1e-4)


def test_entrance_is_sharp_and_the_middle_full() -> None:
    lines = fit_hull_lines(FORM)
    x = np.linspace(0.0, FORM.length, 97)
    breadth = half_breadth(lines, x, 0.0)
    angle = np.degrees(np.arctan(breadth[1] / (x[1] - x[0])))
    assert 10.0 < angle < 30.0
    assert breadth[0] == breadth[-1] == 0.0
    assert breadth[48] == pytest.approx(6.7, rel=1e-9)
    assert (np.diff(breadth[:49]) >= 0.0).all()
    # sections narrow downwards, and more so forward than amidships
    shares = [
        half_breadth(lines, at, 3.0) / half_breadth(lines, at, 0.0) for at in (5, 48)
    ]
    assert 0.3 < shares[0] < shares[1] < 1.0


def test_port_is_starboard_in_the_mirror() -> None:
    mesh = hull_panels(FORM, SIDES)
    one, two = np.split(mesh.corners, 2)
    assert (two[:, [0, 3, 2, 1]] == one * [1.0, -1.0, 1.0]).all()


def test_a_panel_lies_within_its_zone() -> None:
    mesh = hull_panels(FORM, SIDES)
    assert (mesh.zone >= 0).all()
    for k, row in enumerate(SIDES):
        corners = mesh.corners[mesh.zone == k]
        x, y, z = np.moveaxis(corners, -1, 0)
        sign = 1.0 if row.side == "starboard" else -1.0
        assert (sign * y >= 0.0).all()
        assert x.min() == pytest.approx(row.frame_from * 0.61)
        assert x.max() == pytest.approx(min(row.frame_to * 0.61, 96.0), abs=0.61)
        assert -z.max() == pytest.approx(row.top)
        assert -z.min() == pytest.approx(row.bottom)


def test_normals_point_into_the_water() -> None:
    mesh = hull_panels(FORM, SIDES)
    diagonals = mesh.corners[:, 2:] - mesh.corners[:, :2]
    normal = np.cross(diagonals[:, 0], diagonals[:, 1])
    assert (normal[:, 1] * mesh.corners[:, :, 1].mean(axis=1) >= 0.0).all()
    assert (normal[:, 2] <= 1e-9).all()


def test_patches_add_up_to_the_wetted_surface() -> None:
    lines = fit_hull_lines(FORM)
    whole = hull_panels(FORM, SIDES, target=4000).area.sum()
    drawn = sum(zone_area_and_centre(lines, FORM, row)[0] for row in SIDES)
    assert drawn == pytest.approx(whole, rel=2e-3)


def test_a_zone_shorter_than_a_frame_keeps_its_area() -> None:
    lines, depths = fit_hull_lines(FORM), (0.0, 5.1)
    short = [
        zone("stem", (0.0, 0.8), "port", depths),
        zone("next", (0.8, 60.0), "port", depths),
    ]
    both = zone("both", (0.0, 60.0), "port", depths)
    drawn = [zone_area_and_centre(lines, FORM, row)[0] for row in short]
    whole = zone_area_and_centre(lines, FORM, both)[0]
    assert drawn[0] > 0.0
    assert sum(drawn) == pytest.approx(whole, rel=0.01)
    mesh = hull_panels(FORM, short)
    by_panels = [float(mesh.area[mesh.zone == k].sum()) for k in (0, 1)]
    assert by_panels == pytest.approx(drawn, rel=0.02)


def test_patches_above_water_and_on_both_sides() -> None:
    lines = fit_hull_lines(FORM)
    belt = zone("belt", (60.0, 100.0), "port", (-1.0, 0.0), exposure="splash")
    area, centre = zone_area_and_centre(lines, FORM, belt)
    assert area == pytest.approx(40 * 0.61, rel=0.02)
    assert centre == pytest.approx([48.8, -6.67, 0.5], abs=0.05)
    keel = zone("keel", (60.0, 100.0), "centre", (4.0, 5.1))
    half = replace(keel, side="starboard")
    assert (
        zone_area_and_centre(lines, FORM, keel)[0]
        == 2.0 * zone_area_and_centre(lines, FORM, half)[0]
    )
    assert zone_area_and_centre(lines, FORM, keel)[1][1] == 0.0


def test_reversed_frames_and_depths_are_the_same_zone() -> None:
    turned = [
        replace(
            row,
            frame_from=row.frame_to,
            frame_to=row.frame_from,
            top=row.bottom,
            bottom=row.top,
        )
        for row in SIDES
    ]
    assert (hull_panels(FORM, turned).zone == hull_panels(FORM, SIDES).zone).all()


def test_parts_and_inner_zones_claim_no_shell() -> None:
    rudder = zone("rudder", (150.0, 157.0), "centre", (0.5, 4.5), bond=0.01)
    tank = zone("tank", (0.0, 157.0), "centre", (0.0, 5.1), exposure="tank")
    mesh = hull_panels(FORM, [rudder, tank, *SIDES])
    assert set(mesh.zone.tolist()) == set(range(2, 10))
    # both faces of the plate between its frames and depths
    assert zone_area_and_centre(fit_hull_lines(FORM), FORM, rudder)[0] == pytest.approx(
        2 * 7 * 0.61 * 4.0, rel=0.1
    )


def test_zones_that_fit_leave_no_doubt() -> None:
    assert coverage_warnings(ship(*SIDES)) == ()


def test_overlaps_gaps_and_strays_are_told() -> None:
    extra = zone("patch", (20.0, 40.0), "port", (1.0, 3.0))
    beyond = zone("beyond", (170.0, 180.0), "port", (1.0, 3.0))
    hidden = zone("hidden", (20.0, 30.0), "starboard", (1.0, 3.0))
    notes = coverage_warnings(ship(*SIDES[:-1], extra, beyond, hidden))
    assert any("side0p and patch overlap over" in note for note in notes)
    assert any(
        "belongs to no zone, most of it starboard, frames 60" in n for n in notes
    )
    assert any("zone beyond lies outside the wetted hull" in note for note in notes)
    assert any(
        "zone hidden lies outside" in n and "under other zones" in n for n in notes
    )


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"block_coefficient": 0.995}, r"0\.995 is too full: it must be below 0\.99"),
        ({"block_coefficient": 0.58, "waterplane_coefficient": 0.55}, r"is too full"),
        ({"block_coefficient": 0.1}, r"0\.1 is too fine: .*Raise block_coefficient"),
        (
            {"midship_coefficient": 1.2},
            r"midship_coefficient must lie between 0\.5 and 1",
        ),
        ({"length": 0.0}, r"length must be > 0 m, got 0 m"),
        ({"draught": float("nan")}, r"draught must be > 0 m, got nan m"),
    ],
)
def test_refuses_what_is_no_hull(change: dict[str, float], match: str) -> None:
    with pytest.raises(InputError, match=match):
        hull_panels(replace(FORM, **change), [])
