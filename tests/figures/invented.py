"""Invented tables in the shape of the estimate's results; no real ship."""

import numpy as np
import pandas as pd

from corrosion.records.ship import Form

FORM = Form(
    length=96.0,
    beam=13.4,
    draught=5.1,
    block_coefficient=0.58,
    frame_spacing=0.61,
)

_STATISTICS = (
    ("stray_kg", 12.0),
    ("natural_kg", 40.0),
    ("couple_kg", 25.0),
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
    table["built_mm"], table["limit_mm"], table["pit_limit_mm"] = 12.5, 9.4, 6.2
    for stem, loss in (
        ("left_mm", "bare_loss_mm"),
        ("left_under_pit_mm", "deepest_mm"),
    ):
        table[f"{stem}_mean"] = 12.4 - table[f"{loss}_mean"]
        table[f"{stem}_p50"] = 12.4 - table[f"{loss}_p50"]
        table[f"{stem}_p10"] = 12.4 - table[f"{loss}_p90"]
        table[f"{stem}_p90"] = 12.4 - table[f"{loss}_p10"]
    table["chance_below_limit"] = np.clip(0.02 * worse**2.2, 0.0, 1.0)
    table["consequence"] = rng.integers(1, 6, n)
    table["priority"] = table["chance_below_limit"] * table["consequence"]
    table["chance_in_first"] = np.clip(0.3 * worse, 0.0, 1.0)
    table["leading_cause"] = np.where(worse > 1.5, "shore couple", "natural")
    table["leading_fault"] = "F12"
    table["inspect_by"] = ["2027-03-01" if w > 1.5 else None for w in worse]
    table = table.sort_values("priority", ascending=False, ignore_index=True)
    table.insert(0, "rank", np.arange(1, n + 1))
    return table
