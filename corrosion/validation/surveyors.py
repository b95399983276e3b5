"""Surveyors: gaugings that err, an eye that judges paint, and what yards wrote."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.validation.life import Life
from corrosion.validation.logbook import Habits, written_date
from corrosion.validation.nature import DAY, NOW, YEAR
from corrosion.validation.steel import SITES

Row = dict[str, object]
_REACHED = 0.75  # of her plates that any surveyor of a ship ever reaches
_NOISE = 0.15  # of one reading beside the plate's own unevenness [mm]
_BIAS = {  # mean [mm] and geometric standard deviation; prepared plate has none
    "as found": (0.5, 2.0),
    "through paint": (0.7, 1.5),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """Every gauging as written, and what is true of it, an entry a row."""

    rows: list[Row]  # columns of gaugings.csv
    # plate, campaign: which plate, and which campaign
    plate: IntArray
    campaign: IntArray
    moments: Array  # (campaigns,) [s]
    slipped: BoolArray  # of another plate, misread, or from the drawing
    bias_mm: Array  # of its campaign
    sd_mm: Array  # standard error of the mean as a careful surveyor would state it

    @property
    def read_mm(self) -> Array:
        """Thickness as written [mm]."""
        return np.array([row["thickness_mm"] for row in self.rows], float)


def survey(life: Life, habits: Habits) -> Survey:
    """Return every gauging of a life until now.

    ``habits``: how many campaigns, how often a reading slips.
    """
    rng = life.nature.rng("surveyors")
    past = life.voyages.dockings[life.voyages.dockings < NOW - 30.0 * DAY]
    count = min(int(rng.integers(2, 6)), habits.campaigns, len(past))
    moments = past[len(past) - count :] + 5.0 * DAY
    steel = [
        k
        for k, plate in enumerate(life.vessel.plates)
        if not plate.bronze and rng.random() < _REACHED
    ]
    sites = life.plating.even(moments, life.strays.added)
    even, _, inside = life.works.before(moments)
    behind = life.plating.worn_inside(moments) - inside
    thick = life.plating.rolled[:, None] - (sites - even) - behind[..., None]
    rows: list[Row] = []
    kept: list[tuple[int, int, bool, float, float]] = []
    for c, moment in enumerate(moments):
        surface = str(rng.choice(["prepared", *_BIAS], p=[0.3, 0.5, 0.2]))
        bias = _bias(surface, rng)
        seen = [k for k in steel if rng.random() < 0.7]
        for k in seen:
            slip = rng.random() < habits.slips
            row, sd = _gauge(life, k, thick[c], rng, slip=slip)
            row["thickness_mm"] = max(round(float(str(row["spots"])) + bias, 1), 0.2)
            row |= {"date": written_date(moment, 2), "surface": surface}
            rows.append(row)
            kept.append((k, c, slip, bias, sd))
    table = np.array(kept, float).reshape(-1, 5)
    return Survey(
        rows=rows,
        plate=table[:, 0].astype(np.intp),
        campaign=table[:, 1].astype(np.intp),
        moments=moments,
        slipped=table[:, 2] > 0.5,
        bias_mm=table[:, 3],
        sd_mm=table[:, 4],
    )


def _bias(surface: str, rng: np.random.Generator) -> float:
    if surface == "prepared":
        return 0.1 * float(rng.standard_normal())
    mean, spread = _BIAS[surface]
    return mean * float(np.exp(np.log(spread) * rng.standard_normal()))


def _gauge(
    life: Life, plate: int, thick: Array, rng: np.random.Generator, *, slip: bool
) -> tuple[Row, float]:
    """Return one row, its reading before bias, and the standard error of that."""
    count = int(rng.integers(6, 21))
    spots = thick[plate, rng.integers(0, SITES, count)]
    spots = np.maximum(spots, 0.0) + _NOISE * rng.standard_normal(count)
    wide = float(np.std(spots, ddof=1))
    built = life.vessel.plates[plate].built_mm
    value = float(spots.mean())
    if slip:
        other = int(rng.integers(0, len(thick)))
        value = [
            float(thick[other].mean()),
            value + float(rng.choice([-1.0, 1.0]) * rng.uniform(1.5, 3.0)),
            built + 0.1 * float(rng.integers(0, 6)),
        ][int(rng.integers(0, 3))]
    row: Row = {
        "zone": life.vessel.plates[plate].zone,
        "spots": value,
        "readings": count,
        "kind": "mean",
    }
    if rng.random() < 0.5:
        row["sd_mm"] = max(round(wide, 1), 0.1)
    if not slip and rng.random() < 0.08:
        row |= {"kind": "least", "spots": float(spots.min())}
    return row, max(wide, 0.3) / count**0.5


def judge_paint(life: Life) -> list[tuple[float, str] | None]:
    """Return breakdown seen and the date of seeing, a plate each; None: not looked."""
    rng = life.nature.rng("eyes")
    count = len(life.vessel.plates)
    seen = NOW - rng.uniform(0.1, 3.0) * YEAR
    bare = 100.0 * life.plating.bare(np.array([seen]))[0]
    eye = life.nature.one("eye") * life.nature.draw("eye_zone", count)
    looked = rng.random(count) < 0.85
    marks = np.array([0.5, 1, 2, 3, 5, 8, 10, 15, 20, 30, 40, 50, 60, 80, 100])
    judged = np.clip(bare / eye, 0.2, 100.0)
    nearest = np.argmin(np.abs(np.log(judged[:, None] / marks)), axis=1)
    return [
        (float(marks[mark]), written_date(seen, 2)) if look else None
        for mark, look in zip(nearest, looked, strict=True)
    ]
