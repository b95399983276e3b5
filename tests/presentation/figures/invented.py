"""Invented tables in the shape of the estimate's results; no real ship."""

import numpy as np
import pandas as pd

from corrosion.foundation.types import Array
from corrosion.presentation.answers.zone_history import Slope, ZoneHistory
from corrosion.records.ship import Form

FORM = Form(
    length=96.0,
    beam=13.4,
    draught=5.1,
    block_coefficient=0.58,
    frame_spacing=0.61,
)

_FAULT_KEYS = ("fault", "system", "circuit", "conductor", "current")

_STATISTICS = (
    ("stray_kg", 12.0),
    ("natural_kg", 40.0),
    ("couple_kg", 25.0),
    ("own_metals_kg", 8.0),
    ("ceiling_kg", 900.0),
    ("bare_loss_mm", 1.4),
    ("stray_mm", 0.3),
    ("deepest_mm", 3.5),
)


def zones(columns: int = 8) -> pd.DataFrame:
    """Return 8 zones a column of hull, and a few inside and on joints."""
    bands = (
        ("SPL", "splash strake", -1.2, -0.3, "splash"),
        ("WTR", "wind and water strake", -0.3, 1.2, "tidal"),
        ("BIL", "bilge strake", 1.2, 4.0, "immersed"),
        ("BOT", "bottom", 4.0, 5.1, "immersed"),
    )
    edges = np.linspace(0, 157, columns + 1).round()
    rows = [
        {
            "zone": f"M{column + 1}-{side[0].upper()}-{code}",
            "name": f"{words}, frames {edges[column]:g} to {edges[column + 1]:g}",
            "side": side,
            "frame_from": edges[column],
            "frame_to": edges[column + 1],
            "top_m": top,
            "bottom_m": bottom,
            "exposure": exposure,
        }
        for side in ("port", "starboard")
        for column in range(columns)
        for code, words, top, bottom, exposure in bands
    ]
    rows += [
        _other("ER-BLG", "engine room bilge", "centre", (88, 118), "bilge"),
        _other("FW-TNK", "fresh water tank", "port", (40, 52), "tank"),
        _other("LKR", "chain locker", "centre", (4, 14), "dry"),
        _other("RUD", "rudder", "centre", (150, 157), "immersed", "M8-P-BIL"),
        _other("SHAFT", "tail shaft", "centre", (138, 150), "immersed", "M8-P-BIL"),
        _other("SC-P2", "sea chest", "port", (96, 99), "immersed", "M5-P-BIL"),
    ]
    return _with_results(pd.DataFrame(rows))


def few_zones() -> pd.DataFrame:
    """Return four zones: two a side."""
    table = zones(1)
    return table[table["zone"].str.contains("BIL|BOT")].reset_index(drop=True)


def _other(
    zone: str,
    name: str,
    side: str,
    frames: tuple[float, float],
    exposure: str,
    bonded_to: str = "",
) -> dict[str, object]:
    return {
        "zone": zone,
        "name": name,
        "side": side,
        "frame_from": float(frames[0]),
        "frame_to": float(frames[1]),
        "top_m": 2.0,
        "bottom_m": 4.5,
        "exposure": exposure,
        "bonded_to": bonded_to,
    }


def _with_results(table: pd.DataFrame) -> pd.DataFrame:
    rng = np.random.default_rng(7)
    n = len(table)
    worse = np.exp(rng.normal(0.0, 0.8, n))
    for stem, size in _STATISTICS:
        mean = size * worse * np.exp(rng.normal(0.0, 0.3, n))
        table[f"{stem}_mean"] = mean
        table[f"{stem}_p10"], table[f"{stem}_p50"] = 0.6 * mean, 0.95 * mean
        table[f"{stem}_p90"] = 1.5 * mean
    for statistic in ("mean", "p10", "p50", "p90"):  # stray loss holds the couple's
        table[f"stray_kg_{statistic}"] += table[f"couple_kg_{statistic}"]
    table["built_mm"], table["limit_mm"], table["pit_limit_mm"] = 12.5, 9.4, 6.2
    for stem, loss in (
        ("left_mm", "bare_loss_mm"),
        ("left_under_pit_mm", "deepest_mm"),
    ):
        table[f"{stem}_mean"] = 12.4 - table[f"{loss}_mean"]
        table[f"{stem}_p50"] = 12.4 - table[f"{loss}_p50"]
        table[f"{stem}_p10"] = 12.4 - table[f"{loss}_p90"]
        table[f"{stem}_p90"] = 12.4 - table[f"{loss}_p10"]
    spread = (table["left_mm_p90"] - table["left_mm_p10"]) / 2.0
    table["chance_below_limit"] = 1.0 / (
        1.0 + np.exp(3.0 * (table["left_mm_p50"] - table["limit_mm"]) / spread)
    )
    table["consequence"] = rng.integers(1, 6, n)
    table["priority"] = table["chance_below_limit"] * table["consequence"]
    table["chance_in_first"] = np.clip(0.3 * worse, 0.0, 1.0)
    table["leading_cause"] = np.where(worse > 1.5, "shore couple", "natural")
    table["leading_fault"] = "F12"
    table["inspect_by"] = ["2027-03-01" if w > 1.5 else None for w in worse]
    table = table.sort_values("priority", ascending=False, ignore_index=True)
    table.insert(0, "rank", np.arange(1, n + 1))
    return table


def faults() -> pd.DataFrame:
    """Return faults over 35 years, overlapping, two of them standing."""
    spans = (
        (
            "F01",
            "legacy 220 V",
            "L4",
            "+",
            "dc",
            "1991-03-01",
            "1994-07-01",
            "1995-02-01",
        ),
        (
            "F02",
            "legacy 220 V",
            "L7",
            "-",
            "dc",
            "1994-01-01",
            "1994-12-31",
            "1999-06-01",
        ),
        (
            "F03",
            "legacy 220 V",
            "L2",
            "+",
            "dc",
            "2003-05-04",
            "2003-05-06",
            "2003-05-06",
        ),
        (
            "F04",
            "ship service",
            "P12",
            "a",
            "ac",
            "2008-02-01",
            "2009-01-12",
            "2011-03-04",
        ),
        (
            "F05",
            "ship service",
            "P3",
            "b",
            "ac",
            "2010-06-01",
            "2010-06-14",
            "2012-09-01",
        ),
        (
            "F06",
            "ship service",
            "P9",
            "c",
            "ac",
            "2019-01-01",
            "2021-04-02",
            "2026-11-25",
        ),
        (
            "F07",
            "legacy 220 V",
            "L4",
            "-",
            "dc",
            "2022-10-01",
            "2023-02-10",
            "2026-11-25",
        ),
        (
            "F08",
            "legacy 220 V",
            "L9",
            "+",
            "dc",
            "2024-02-01",
            "2024-03-10",
            "2024-09-25",
        ),
    )
    table = pd.DataFrame(
        spans,
        columns=[*_FAULT_KEYS, "start", "found_at", "end"],
    )
    for name in ("start", "found_at", "end"):
        table[name] = pd.to_datetime(table[name])
    table["zone"] = [
        "M2-P-BIL",
        None,
        "M5-P-BIL",
        "ER-BLG",
        "M5-S-BIL",
        "RUD",
        None,
        "LKR",
    ]
    table["standing"] = table["fault"].isin(["F06", "F07"])
    return table


def berths() -> pd.DataFrame:
    """Return four berths under those faults."""
    table = pd.DataFrame(
        [
            ("North quay", "shore earthed", "1991-01-01", "2009-06-01"),
            ("Yard", "shore isolated", "2009-06-01", "2010-04-01"),
            ("North quay", "shore earthed", "2010-04-01", "2024-01-01"),
            ("Inner basin", "own", "2024-01-01", "2026-11-25"),
        ],
        columns=["berth", "supply", "start", "end"],
    )
    for name in ("start", "end"):
        table[name] = pd.to_datetime(table[name])
    return table


def fan() -> pd.DataFrame:
    """Return a zone's thickness from 1953 to 2040."""
    year = np.arange(1953.0, 2041.0)
    lost = 0.045 * (year - 1953.0)
    spread = 0.2 + 0.014 * (year - 1953.0)
    return pd.DataFrame(
        {
            "year": year,
            "p10": 12.5 - lost - spread,
            "p50": 12.5 - lost,
            "p90": 12.5 - lost + spread,
        }
    )


def gaugings() -> pd.DataFrame:
    """Return two campaigns of one zone."""
    return pd.DataFrame(
        {
            "year": [1998.4, 2014.7, 2014.7],
            "thickness_mm": [10.9, 9.9, 8.6],
            "sd_mm": [0.3, 0.2, 0.3],
            "kind": ["mean", "mean", "least"],
        }
    )


def plate() -> ZoneHistory:
    """Return that zone as its page shows it."""
    return ZoneHistory(
        zone="M1-P-SID",
        fan=fan(),
        gaugings=gaugings(),
        limit_mm=9.4,
        now=2026.9,
        horizon=2028.4,
        slope=Slope(from_year=1998.4, from_mm=10.9, year=2014.7, mm=9.9),
        faults=(),
        berths=(),
        paint=(),
    )


def limits() -> pd.DataFrame:
    """Return what quicker isolation keeps, at eight limits."""
    hours = np.array([1.0, 4.0, 12.0, 24.0, 72.0, 168.0, 730.5, 8766.0])
    kept = 41.0 * np.exp(-hours / 4000.0)
    return pd.DataFrame(
        {
            "within_hours": hours,
            "saved_kg_mean": kept,
            "saved_kg_p10": 0.4 * kept,
            "saved_kg_p50": 0.9 * kept,
            "saved_kg_p90": 1.9 * kept,
        }
    )


def years() -> pd.DataFrame:
    """Return steel lost in each year from 1991."""
    year = np.arange(1991.0, 2027.0)
    couple = np.where(year < 2024.0, 4.0, 0.2)
    return pd.DataFrame(
        {
            "year": year,
            "stray_kg_mean": 3.0 * np.exp(-(((year - 2010.0) / 4.0) ** 2)) + couple,
            "couple_kg_mean": couple,
            "own_metals_kg_mean": np.full(len(year), 1.5),
            "natural_kg_mean": 6.0 - 0.05 * (year - 1991.0),
        }
    )


def compared() -> pd.DataFrame:
    """Return gaugings of ten zones beside what was foreseen, one far off."""
    table = zones().head(10)
    middle = table["left_mm_p50"].to_numpy()
    off = np.array([0.2, -0.3, 0.1, -2.4, 0.4, -0.1, 0.0, 0.3, -0.2, 0.15])
    return pd.DataFrame(
        {
            "zone": table["zone"],
            "date": "2014-09",
            "measured_mm": middle + off,
            "sd_mm": 0.2,
            "predicted_mm_p10": middle - 0.8,
            "predicted_mm_p50": middle,
            "predicted_mm_p90": middle + 0.7,
        }
    )


def panels() -> tuple[Array, Array]:
    """Return corners and values of a half spheroid, leaving forward, entering aft."""
    turn = np.linspace(0.0, np.pi, 13)
    along = np.linspace(-1.0, 1.0, 25)
    x = 48.0 * (1.0 - along)
    radius = np.sqrt(np.clip(1.0 - along**2, 0.0, None))
    point = np.stack(
        [
            np.broadcast_to(x[:, None], (25, 13)),
            6.7 * radius[:, None] * np.cos(turn),
            -5.1 * radius[:, None] * np.sin(turn),
        ],
        axis=2,
    )
    corners = np.stack(
        [point[:-1, :-1], point[1:, :-1], point[1:, 1:], point[:-1, 1:]], axis=2
    ).reshape(-1, 4, 3)
    return corners, 40.0 - corners[:, :, 0].mean(axis=1)
