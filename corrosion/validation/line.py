"""Plates whose five campaigns lie on a straight line, and the dates said of them.

The only test whose answer nobody needs to simulate: the line itself says in which year
a plate meets its limit. Where the estimate's chance to be below the limit passes a half
is asked by moving the next docking. The line is that of the readings: it is the plates'
own where these were prepared, and nearly so where nobody wrote how they were.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.validation.folder import Row, write_csv
from corrosion.validation.nature import Nature
from corrosion.validation.scores import Findings

HORIZONS: Final = np.array([1.0, 3.0, 5.0, 7.0, 9.0, 12.0, 15.0, 18.0, 22.0])
"""Years from now at which the chance is asked."""

_RATES: Final = (0.04, 0.06, 0.08, 0.10, 0.15)  # mm a year, after 9-inference's table
_BUILT, _NOW = 1976.0, 2026.0
_THICK: Final = 20.0  # mm: pits never decide
_NOISE: Final = 0.1  # of a campaign's mean [mm]


def draw_line(nature: Nature) -> tuple[Array, Array]:
    """Return rates and years from now at which each of ten plates meets its limit."""
    rng = nature.rng("line")
    rates = np.repeat(_RATES, 2) * rng.uniform(0.9, 1.1, 10)
    return rates, rng.uniform(4.0, 15.0, 10)


def _write(folder: Path, nature: Nature, horizon: float, surface: str) -> None:
    rates, crossings = draw_line(nature)
    rng = nature.rng("line readings")
    folder.mkdir(exist_ok=True)
    docking = _NOW + horizon
    text = (
        f'[ship]\nname = "On a line"\nlength_m = 60\nbeam_m = 10\ndraught_m = 3.6\n'
        f"block_coefficient = 0.6\nframe_spacing_m = 0.6\nbuilt = {_BUILT:.0f}\n"
        f'next_docking = "{int(docking)}-{1 + int(12 * (docking % 1)):02d}"\n'
        "[water]\nsalinity_g_per_kg = 30\ntemperature_c = 11\n"
    )
    (folder / "ship.toml").write_text(text, encoding="utf-8")
    zones: list[Row] = []
    gaugings: list[Row] = []
    for k, (rate, years) in enumerate(zip(rates, crossings, strict=True)):
        name, side = f"P{k}", ("port", "starboard")[k % 2]
        limit = _THICK - rate * (_NOW - _BUILT + years)
        place = {"frame_from": 20 * (k // 2), "frame_to": 20 * (k // 2) + 20}
        depth = {"side": side, "top_m": 0, "bottom_m": 2.2, "exposure": "immersed"}
        thick = {"built_mm": _THICK, "limit_mm": f"{limit:.3f}", "pit_limit_mm": 0.1}
        zones.append({"zone": name, **place, **depth, **thick})
        for year in (2005.0, 2010.0, 2015.0, 2020.0, 2025.0):
            left = _THICK - rate * (year + 0.5 - _BUILT) + _NOISE * rng.normal()
            gaugings.append(
                {
                    "zone": name,
                    "date": f"{year:.0f}-07",
                    "thickness_mm": f"{left:.2f}",
                    "readings": 12,
                    "sd_mm": 0.3,
                    "surface": surface,
                }
            )
    for table, rows in (("zones", zones), ("gaugings", gaugings)):
        write_csv(folder / f"{table}.csv", rows)


def years_late(
    folder: Path, nature: Nature, surface: str, estimate: Callable[[], Any]
) -> Findings:
    """Return how many years after the line each plate's chance passes a half.

    ``folder``: where the ship is written, once a horizon. ``surface``: on which plates
    were read, as written in gaugings.csv; empty: nobody wrote it. ``estimate``: reads
    the folder and returns an answer with ``zones``.
    """
    _, crossings = draw_line(nature)
    chances = np.empty((len(HORIZONS), len(crossings)))
    for h, horizon in enumerate(HORIZONS):
        _write(folder, nature, float(horizon), surface)
        zones = estimate().zones
        chances[h] = [zones[f"P{k}"]["chance_below_limit"] for k in range(10)]
    chances = np.maximum.accumulate(chances, axis=0)
    late = []
    for k, crossing in enumerate(crossings):
        median = float(np.interp(0.5, chances[:, k], HORIZONS))
        late.append(median - float(crossing))
    return {"line": [*late], "line_off": [abs(x) for x in late]}
