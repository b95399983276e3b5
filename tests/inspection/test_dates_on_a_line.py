"""From a ship folder to JSON: plates on a line meet their limits when the line does."""

import json
from pathlib import Path

import numpy as np
import pytest

import corrosion

BUILT, NOW = 1976, 2026
PLATES = {  # mm a year, and years from now until the line meets the limit
    "A": (0.06, 8.0),
    "B": (0.08, 12.0),
    "C": (0.10, 6.0),
    "D": (0.12, 10.0),
    "E": (0.15, 14.0),
    "F": (0.15, 5.0),
}
CAMPAIGNS = (2005, 2010, 2015, 2020, 2025)
OFF = (0.04, -0.05, 0.03, -0.06, 0.04)  # of each campaign's mean [mm], turned about


def write(folder: Path, surface: str, docking: int) -> None:
    """Write plates of 20 mm that lose so much a year, and when she docks next."""
    folder.mkdir(exist_ok=True)
    (folder / "ship.toml").write_text(
        '[ship]\nname = "Upon A Line"\nlength_m = 60\nbeam_m = 10\ndraught_m = 3.6\n'
        "block_coefficient = 0.6\nframe_spacing_m = 0.6\n"
        f'built = {BUILT}\nnext_docking = "{docking}-01"\n'
        "[water]\nsalinity_g_per_kg = 30\ntemperature_c = 11\n",
        encoding="utf-8",
    )
    zones = ["zone,frame_from,frame_to,side,top_m,bottom_m,exposure,built_mm,"]
    zones[0] += "limit_mm,pit_limit_mm"
    gaugings = ["zone,date,thickness_mm,readings,sd_mm,surface"]
    for k, (name, (rate, years)) in enumerate(PLATES.items()):
        side, frame = ("port", "starboard")[k % 2], 20 * (k // 2)
        limit = 20.0 - rate * (NOW + years - BUILT)
        zones.append(
            f"{name},{frame},{frame + 20},{side},0,2.2,immersed,20,{limit:.3f},0.1"
        )
        for c, year in enumerate(CAMPAIGNS):
            left = 20.0 - rate * (year + 0.5 - BUILT) + OFF[(c + k) % 5]
            gaugings.append(f"{name},{year}-07,{left:.2f},12,0.3,{surface}")
    for table, rows in (("zones", zones), ("gaugings", gaugings)):
        (folder / f"{table}.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")


@pytest.mark.parametrize(
    ("surface", "mean", "most"), [("", 3.0, 4.0), ("prepared", 1.0, 2.0)]
)
def test_the_chance_passes_a_half_where_the_line_meets_the_limit(
    tmp_path: Path, surface: str, mean: float, most: float
) -> None:
    # By hand: B loses 0.08 mm a year from 20 mm and meets 15.04 mm 62 years after 1976,
    # in 2038. Where nobody wrote the surface, readings may be 0.6 mm too thick or not
    # at all: that five campaigns lie on one line says that they hardly are, and dates
    # come two years early (by 256 samples of three seeds: 1.9, 2.1, 2.0).
    dockings = [NOW + years for years in (2, 5, 8, 11, 14, 17)]
    chances = []
    for docking in dockings:
        write(tmp_path / "ship", surface, docking)
        result = corrosion.estimate(
            tmp_path / "ship", samples=256, as_of=f"{NOW - 1}-12-31"
        )
        zones = json.loads(json.dumps(result.to_json()))["zones"]
        of = {row["zone"]: row["chance_below_limit"] for row in zones}
        chances.append([of[name] for name in PLATES])
    rising = np.maximum.accumulate(chances, axis=0)
    year = [np.interp(0.5, one, dockings) for one in rising.T]
    late = np.array(year) - NOW - [years for _, years in PLATES.values()]
    assert abs(late.mean()) < mean
    assert np.abs(late).max() < most
