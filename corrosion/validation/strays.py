"""What currents add at bare steel through a life, and what they spare elsewhere."""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.validation import water
from corrosion.validation.currents import Currents, way_back
from corrosion.validation.nature import NOW, YEAR, Nature
from corrosion.validation.steel import DENSITY, MM_A_YEAR_PER_AMPERE, Plating
from corrosion.validation.vessels import Vessel, resistivity
from corrosion.validation.voyages import AHEAD, Voyages
from corrosion.validation.water import Shore, Surface
from corrosion.validation.welding import Weld, welded
from corrosion.validation.zinc import ZINC_V, conductance, fitted, wear

_LEAST = 1e-3  # a direct current that is worth a state of its own [A]
_ISOLATOR = 1.3  # a galvanic isolator holds off less than this [V]


@dataclass(frozen=True, slots=True)
class Strays:
    """What currents took."""

    # shape (moments, plates + 1): moments [s], and what all currents took from bare
    # steel up to each beyond the natural loss [mm]; it falls where they spare more
    added: Array
    # taken_kg, couple_kg, shape (plates,): what faults and couple took until now, by
    # plate and state, spared metal never set against it; and what the
    # couple takes alone
    taken_kg: Array
    couple_kg: Array
    # shape (moments, plates): what own metals took of unprotected plates up to each
    # of the moments
    own_kg: Array
    # anodes, zinc_left, shape (plates,): how many zinc anodes each plate bears, and
    # what is left of them now [-]
    anodes: Array
    zinc_left: Array


def stray(  # noqa: PLR0913 - the parts of a life
    vessel: Vessel,
    voyages: Voyages,
    flown: Currents,
    plating: Plating,
    welds: tuple[Weld, ...],
    *,
    nature: Nature,
    protected: bool,
) -> Strays:
    """Return what currents took, state by state.

    A state is a piece of her life in which faults, berth and paint are constant. Own
    metals and protection act always, faults and couple come on top of them; before the
    log began there were none.
    """
    hull = water.hull_of(vessel, nature)
    yearly = np.arange(vessel.built, AHEAD, YEAR)
    jobs = [moment for weld in welds for moment in (weld.start, weld.end)]
    edge = np.unique(np.concatenate([yearly, flown.start, jobs, [AHEAD]]))
    seconds = np.diff(edge)
    year = np.searchsorted(yearly, edge[:-1], side="right") - 1
    piece = np.searchsorted(flown.start, edge[:-1], side="right") - 1
    logged = piece >= 0
    centre = yearly + 0.5 * YEAR
    natural, bare = plating.natural_amps(centre), plating.bare(centre)
    wet, mine = hull.wet, np.maximum(bare[:, hull.wet], 1e-3)
    # resistivity of the water of each stay, over that of her own
    each = [resistivity(stay.salinity, vessel.temperature) for stay in voyages.stays]
    resists = np.array(each) / vessel.resistivity
    alone = Shore.none(resists[voyages.at(centre)])
    turns, swift = voyages.under_way(centre), nature.one("way")
    way = 1.0 + turns * (swift - 1.0)
    surface = Surface(natural[:, wet], mine, way, turns, np.zeros(mine.shape))
    count, left = np.zeros(len(wet), np.int64), np.zeros(len(wet))
    if protected:
        count = fitted([vessel.plates[k] for k in wet], hull.bronze)
        whole = conductance(count, vessel.resistivity * alone.water)

        def amps(there: Array) -> Array:
            zinc = replace(surface, zinc=there * whole)
            stands, _ = _direct(hull, zinc, swift, injected=0.0 * mine, shore=alone)
            return np.asarray(zinc.zinc * (stands - ZINC_V))

        there, left = wear(amps, count, voyages, yearly)
        surface = replace(surface, zinc=there * whole)
    # each piece against its own water, or a brackish berth would pass for a couple
    salt = resists[voyages.at(0.5 * (edge[:-1] + edge[1:]))]
    (at, waters), which = np.unique([year, salt], axis=1, return_inverse=True)
    own_state = surface.at(at.astype(np.intp))
    _, base = _direct(
        hull, own_state, swift, injected=0.0 * own_state.bare, shore=Shore.none(waters)
    )
    base = base[which]
    shore, afloat = _connections(voyages, flown, resists)
    injected = _injected(vessel, voyages, flown, hull)
    put_in = injected[0][piece] + welded(welds, edge, hull.near, hull.board)
    busy = (np.abs(put_in).max(axis=1) > _LEAST) | (shore.tie[piece] > 0.0)
    full = base.copy()
    couple = full.copy()  # no fault ever
    for out, put, some in (
        (full, put_in, busy),
        (couple, 0.0 * put_in, shore.tie[piece] > 0.0),
    ):
        at = np.flatnonzero(some & afloat[piece] & logged)
        if len(at):
            state, tie = surface.at(year[at]), shore.at(piece[at])
            _, out[at] = _direct(hull, state, swift, injected=put[at], shore=tie)
    live = np.abs(injected[1]).max(axis=1) > _LEAST
    at = np.flatnonzero(live[piece] & afloat[piece] & logged)
    if len(at):
        density = water.alternating(
            hull, bare=mine[year[at]], injected=injected[1][piece[at]],
            shore=shore.at(piece[at]),
        )  # fmt: skip
        full[at] += density * _ac_share(vessel, hull, nature)
    metals = [vessel.plates[k].metal for k in wet]
    per = np.array([MM_A_YEAR_PER_AMPERE[name] for name in metals])
    dense = np.array([DENSITY[name] for name in metals])
    years = seconds[:, None] / YEAR
    added = np.zeros((len(edge), len(vessel.plates) + 1))
    added[:, 0] = edge
    steps = (full - natural[year][:, wet] * (hull.bronze < 0.5)) * per * years
    added[1:, 1 + wet] = np.cumsum(steps, axis=0)
    kg = per * years * mine[year] * 1e-3 * hull.area * dense
    past = (edge[:-1] < NOW)[:, None]
    every = np.zeros((4, len(vessel.plates)))
    for row, more in zip(every, (full - base, couple - base), strict=False):
        row[wet] = (np.maximum(more, 0.0) * kg * past).sum(axis=0)
    every[2, wet], every[3, wet] = count, left
    own = base - natural[year][:, wet] * (hull.bronze < 0.5)
    own_kg = np.zeros((len(edge), len(vessel.plates)))
    own_kg[1:, wet] = np.cumsum(np.maximum(own, 0.0) * kg, axis=0)
    return Strays(added, every[0], every[1], own_kg, every[2], every[3])


def _direct(
    hull: water.Hull, mean: Surface, swift: float, *, injected: Array, shore: Shore
) -> tuple[Array, Array]:
    """Return potentials and dissolution, means of at rest and under way.

    Water that rushes by brings the more oxygen to steel and bronze alike, just while
    the shaft turns and hangs on its brush.
    """
    found = []
    for pace, turns in ((1.0, 0.0), (swift, 1.0)):
        state = replace(
            mean,
            natural=mean.natural * (pace / mean.way)[:, None],
            way=np.full_like(mean.way, pace),
            turns=np.full_like(mean.way, turns),
        )
        found.append(water.direct(hull, state, injected=injected, shore=shore))
        if not mean.turns.any():
            return found[0]
    share = mean.turns[:, None]
    still, going = found
    potential, dissolved = (
        (1.0 - share) * a + share * b for a, b in zip(still, going, strict=True)
    )
    return potential, dissolved


def _ac_share(vessel: Vessel, hull: water.Hull, nature: Nature) -> Array:
    """Return the share of an alternating current that dissolves each electrode.

    Of aluminium it is twenty times that of steel (13 % at 100 A/m²); bronze is taken
    to stand it.
    """
    light = np.array(["alu" in vessel.plates[k].metal for k in hull.wet])
    share = nature.one("ac_share") * np.where(light, 20.0, 1.0)
    return np.minimum(share, 0.3) * (hull.bronze < 0.5)


def _connections(
    voyages: Voyages, flown: Currents, resists: Array
) -> tuple[Shore, BoolArray]:
    """Return what she is tied to in each piece of the log, and whether afloat."""
    rows = []
    for stay in voyages.stays:
        couple = abs(stay.earth_v + 0.65)
        held = stay.isolator and couple < _ISOLATOR
        on = stay.cable is not None and stay.afloat and not held
        g = 1.0 / ((stay.cable or 0.0) + stay.shore) if on else 0.0
        rows.append((g, stay.earth_v, stay.earth_limit, float(stay.afloat)))
    tie, rest, limit, wet = np.array(rows)[flown.stay].T
    return Shore(tie, rest, limit, resists[flown.stay]), wet > 0.5


def _injected(
    vessel: Vessel, voyages: Voyages, flown: Currents, hull: water.Hull
) -> tuple[Array, "np.ndarray[tuple[int, ...], np.dtype[np.complex128]]"]:
    """Return direct and alternating current put into each electrode, (pieces, n) [A].

    What a fault puts in at its plate comes back at the switchboard, but for what an
    earthed supply draws through the water. An isolator lets no direct current by.
    """
    faults, n = flown.faults, len(hull.area)
    fed = np.array([s.fed_from_shore for s in vessel.systems])[faults.system]
    wet_dc, wet_ac = [], []
    for stay in voyages.stays:
        share = way_back(stay.cable, stay.shore)[1] if stay.earthed else 0.0
        wet_ac.append(share)
        wet_dc.append(1.0 if stay.earthed and stay.isolator else share)
    onto = np.equal.outer(hull.near[faults.plate], np.arange(n)).astype(float)
    out = []
    for amps, wet in ((flown.dc, wet_dc), (flown.ac, wet_ac)):
        mean = amps * faults.share
        into = mean @ onto
        back = 1.0 - np.array(wet)[flown.stay][:, None] * fed
        into[:, hull.board] -= (mean * back).sum(axis=1)
        out.append(into)
    return out[0], out[1]
