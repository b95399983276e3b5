"""Tests of presentation.figures.shell_layout: laws, edges."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from presentation.figures import invented
from presentation.figures.invented import FORM

from corrosion.presentation.figures.shell_layout import Patch, girth, lay_out_shell

MIDSHIP = np.array([0.5 * FORM.length / FORM.frame_spacing])


def area(patch: Patch) -> float:
    """Return the area of a polygon by the shoelace rule."""
    x, y = patch.x, patch.y
    return float(0.5 * abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def drawn(table: pd.DataFrame) -> dict[str, Patch]:
    """Return where each zone is drawn, by id."""
    return dict(zip(table["zone"], lay_out_shell(table, FORM).patches, strict=True))


def test_girth_of_a_circular_midship_is_a_quarter_of_its_circle() -> None:
    # A midship coefficient of π/4 makes the superellipse a circle of radius T.
    round_hull = replace(
        FORM,
        beam=2.0 * FORM.draught,
        midship_coefficient=np.pi / 4.0,
        waterplane_coefficient=0.9,
    )
    quarter = 0.5 * np.pi * FORM.draught
    assert girth(round_hull, MIDSHIP, 0.0) == pytest.approx(quarter, rel=1e-3)
    assert girth(round_hull, MIDSHIP, -1.0) == pytest.approx(quarter + 1.0, rel=1e-3)


def test_girth_grows_from_nothing_at_the_keel() -> None:
    depths = np.linspace(FORM.draught, -2.0, 40)
    grown = np.array([girth(FORM, np.linspace(0, 157, 20), d) for d in depths])
    assert (grown[0] == 0.0).all()
    assert (np.diff(grown, axis=0) >= 0.0).all()


def test_stem_is_as_high_as_the_draught() -> None:
    assert girth(FORM, np.array([0.0, -5.0]), 0.0) == pytest.approx(FORM.draught)


def test_port_and_starboard_mirror_each_other() -> None:
    patches = drawn(invented.zones())
    for zone, patch in patches.items():
        if "-P-" in zone:
            other = patches[zone.replace("-P-", "-S-")]
            assert other.x.tolist() == patch.x.tolist()
            assert other.y.tolist() == (-patch.y).tolist()
            assert (patch.y >= 0.0).all()


def test_zones_that_meet_leave_no_gap_and_no_overlap() -> None:
    table = invented.zones()
    strips = [p for z, p in drawn(table).items() if "-P-" in z and z.startswith("M3")]
    edges = np.linspace(39, 59, 7)
    whole = girth(FORM, edges, -1.2)
    assert sum(map(area, strips)) == pytest.approx(np.trapezoid(whole, edges))


def test_frames_run_true_to_scale() -> None:
    table = invented.zones()
    for row, patch in zip(
        table.to_dict("records"), lay_out_shell(table, FORM).patches, strict=True
    ):
        assert patch.x.min() == row["frame_from"]
        assert patch.x.max() == row["frame_to"]
        assert patch.centre[0] == pytest.approx(patch.x.mean())


def test_inside_zones_and_parts_lie_beneath_the_shell() -> None:
    table = invented.zones()
    drawing = lay_out_shell(table, FORM)
    beneath = {
        zone
        for zone, patch in zip(table["zone"], drawing.patches, strict=True)
        if patch.beneath
    }
    assert beneath == {"ER-BLG", "FW-TNK", "LKR", "RUD", "SHAFT", "SC-P2"}
    assert [lane.label for lane in drawing.lanes] == [
        "Port",
        "Starboard",
        "Inside",
        "Parts",
    ]
    for patch in drawing.patches:
        assert (patch.y.max() < -drawing.top) == patch.beneath
        assert patch.y.min() >= drawing.bottom


def test_a_small_zone_on_a_large_one_gives_way() -> None:
    table = invented.zones()
    table.loc[table["zone"] == "SC-P2", "bonded_to"] = None
    assert drawn(table)["SC-P2"].beneath
    assert not drawn(table)["M5-P-BIL"].beneath


def test_strips_that_overlap_lie_in_separate_lines() -> None:
    table = invented.zones()
    inside = table["exposure"] == "bilge"
    table.loc[inside, ["frame_from", "frame_to"]] = [0.0, 157.0]
    strips = [p for p in lay_out_shell(table, FORM).patches if p.beneath]
    assert len({round(p.centre[1], 6) for p in strips}) == 3


def test_a_keel_zone_lies_across_the_middle() -> None:
    table = invented.few_zones()
    table = table[table["zone"].str.contains("BOT")].head(1).assign(side="centre")
    (patch,) = lay_out_shell(table, FORM).patches
    assert patch.centre[1] == 0.0
    assert patch.y.max() == -patch.y.min()
