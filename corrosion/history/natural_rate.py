"""Natural loss of the sea side in one stay: by age of bare steel, water and berth."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import YEAR
from corrosion.history.inputs import ModelInputs
from corrosion.hull.water.water_body import resistivity_of
from corrosion.records.ship import Berth, Water
from corrosion.wastage.coating import PaintState
from corrosion.wastage.metals import metal
from corrosion.wastage.natural import curve_of, freshness, grown_loss, loss_depth

_SEASIDE = ("immersed", "tidal", "splash")


@dataclass(frozen=True, slots=True)
class NaturalCharge:
    """Natural charge of dissolution of bare steel in a stretch, (samples, zones)."""

    mean: Array  # mean over all bare steel of the zone [C/m²]
    spot: Array  # of steel that is bare since the zone was last painted [C/m²]


@dataclass(frozen=True, slots=True)
class NaturalLaw:
    """What of the natural loss at a berth does not change with time."""

    # shape (samples, zones): natural charge over the tabulated depth, of metal, water,
    # berth, ship and zone [C/m³]
    factor: Array
    # the zones that follow each curve in water that is so fresh
    alike: Mapping[tuple[str, float], IntArray]

    def same(self, other: "NaturalLaw") -> bool:
        """Return whether nature takes the same by either."""
        return (
            np.array_equal(self.factor, other.factor)
            and self.alike.keys() == other.alike.keys()
            and all(map(np.array_equal, self.alike.values(), other.alike.values()))
        )


def natural_charge(
    inputs: ModelInputs,
    law: NaturalLaw,
    paint: PaintState,
    span: tuple[Array, Array],
    rows: slice,
) -> NaturalCharge:
    r"""Return the natural charge of dissolution from one moment to another.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    law : NaturalLaw
        Of this berth.
    paint : PaintState
        Bare share, and since when the paint is on, in the middle of the step.
    span : tuple of two ndarrays, shape (samples,)
        Beginning and end. [s]
    rows : slice
        Which samples.

    Returns
    -------
    NaturalCharge
        The tabulated loss of steel, times the metal's ratio to steel, the factors of
        water and berth, and those of ship and zone.

    Notes
    -----
    Steel corrodes by its own age, fastest when newly bared. Of the bare area f, a part
    a has been bare since the painting, A ago, and the rest was bared little by little,
    as the p-th power of the age, so that the mean loss per bare area is

    .. math:: \frac{a \, \Delta D(A) + (f - a) \, \Delta[A^p G(A)] / A^p}{f}

    with D the tabulated curve and G its mean over steel bared that way. In the course
    of paintings that nobody wrote down stands the mean of a whole cycle.
    """
    zones = inputs.zones
    mean, spot = np.empty((2, *paint.bare.shape))
    for curve, alike in law.alike.items():
        mean[:, alike], spot[:, alike] = _depths(
            inputs,
            curve,
            PaintState(
                bare=paint.bare[:, alike],
                since=paint.since[:, alike],
                first=paint.first[:, alike],
            ),
            span,
            np.asarray(zones.paint.law.initial)[rows],
            zones.paint.interval[alike] / YEAR,
        )
    mean *= law.factor
    spot *= law.factor
    return NaturalCharge(mean, spot)


def natural_law(inputs: ModelInputs, berth: Berth, rows: slice) -> NaturalLaw:
    """Return what of the natural loss at a berth does not change with time."""
    ratio = [metal(zone.metal).natural_ratio for zone in inputs.ship.zones]
    factor = natural_factors(inputs, berth, rows) * inputs.zones.natural[rows]
    return NaturalLaw(factor * (inputs.dissolution * ratio), _alike(inputs, berth))


def _alike(inputs: ModelInputs, berth: Berth) -> dict[tuple[str, float], IntArray]:
    """Return the zones that follow each curve in water that is so fresh."""
    fresh = _freshness(inputs, berth)
    found: dict[tuple[str, float], list[int]] = {}
    for k, zone in enumerate(inputs.ship.zones):
        curve = curve_of(zone.exposure, docked=not berth.afloat)
        given = fresh if zone.exposure in _SEASIDE else 0.0
        found.setdefault((curve, given), []).append(k)
    return {curve: np.array(zones) for curve, zones in found.items()}


def _depths(
    inputs: ModelInputs,
    curve: tuple[str, float],
    paint: PaintState,
    span: tuple[Array, Array],
    initial: Array,
    cycle: Array,
) -> tuple[Array, Array]:
    """Return what zones of one curve lose, in the mean and at a spot, (samples, z) [m].

    ``initial``: bare share of new paint, (samples, 1) [-]; ``cycle``: time between
    unwritten paintings, (z,). [years]
    """
    name, fresh = curve
    exponent, known = inputs.zones.paint.law.exponent, inputs.draws.assumptions

    def old(age: npt.ArrayLike) -> Array:
        return loss_depth(name, age, fresh=fresh, assumptions=known)

    def grown(age: npt.ArrayLike) -> Array:
        return grown_loss(name, age, exponent=exponent, fresh=fresh, assumptions=known)

    start, end = (t[:, None] for t in span)
    dated = ~np.isnan(paint.since)
    mean, spot = np.zeros((2, *paint.bare.shape))
    if dated.any():
        since = np.where(dated, paint.since, start)
        young = np.empty_like(mean)
        for at, few in _shared(since, span):
            early, late = (
                np.maximum(t[few] - since[few][:, at], 0.0) / YEAR for t in (start, end)
            )
            spot[:, at] = old(late) - old(early)
            young[:, at] = _grown_between(early, late, grown, exponent)
        part = np.minimum(paint.first / paint.bare, 1.0)
        mean = part * spot + (1.0 - part) * young
    if not dated.all():
        share = np.minimum(initial / paint.bare, 1.0)
        # per area that is bare in the mean: at the end p + 1 times as much is bared
        late = (exponent + 1.0) * grown(cycle)
        whole = share * old(cycle) + (1.0 - share) * late
        lasts = (end - start) / (cycle * YEAR)
        mean = np.where(dated, mean, whole * lasts)
        spot = np.where(dated, spot, old(cycle) * lasts)
    return mean, spot


def _shared(since: Array, span: tuple[Array, Array]) -> list[tuple[IntArray, slice]]:
    """Return zones whose ages all samples share, and those with ages of their own.

    Each with the samples to be reckoned: one stands for all, as most dates are written
    exactly.
    """
    exact = all((t == t[0]).all() for t in span)
    same = (since == since[0]).all(axis=0) & exact
    kinds = (np.flatnonzero(same), slice(0, 1)), (np.flatnonzero(~same), slice(None))
    return [kind for kind in kinds if kind[0].size]


def _grown_between(
    early: Array, late: Array, grown: Callable[[Array], Array], exponent: float
) -> Array:
    """Return what steel bared little by little lost, mean over what is bare midway."""
    middle = 0.5 * (early + late)
    last, first = (
        (age / np.maximum(middle, 1e-9)) ** exponent * grown(age)
        for age in (late, early)
    )
    return np.asarray(last - first)


def share_under_way(berth: Berth) -> float:
    """Return the share of a stay in which she makes way [-].

    Where it is blank she does all the time where she lies "under way", else never.
    """
    if berth.lies not in ("afloat", "under way"):
        return 0.0
    if berth.under_way is None:
        return 1.0 if berth.lies == "under way" else 0.0
    return berth.under_way


def flow_factor(inputs: ModelInputs, berth: Berth, rows: slice) -> Array:
    """Return steel's natural rate in the flow at a berth over that at rest, (samples,).

    The mean over the share of the time in which she makes way. [-]
    """
    moving = np.ones(len(inputs.zones.under_way[rows]))
    part = share_under_way(berth)
    if part > 0.0:
        moving += part * (inputs.zones.under_way[rows] - 1.0)
    return moving


def natural_factors(inputs: ModelInputs, berth: Berth, rows: slice) -> Array:
    """Return natural loss over the tabulated one, common to the ship, (samples, zones).

    By temperature and nutrients of the water where they are known, and by how she
    lies; never both the pooled factor and that of the water. [-]
    """
    draws, zones = inputs.draws, inputs.zones
    normal = zones.natural_normal[rows]
    sea = _water_factor(inputs, berth, normal)
    air = draws.assumptions["natural_factor_air"].geometric_sd
    inside = np.exp(np.log(air) * normal)
    factor = np.empty((len(normal), len(inputs.ship.zones)))
    moving = flow_factor(inputs, berth, rows)
    if berth.lies == "aground":
        moving *= zones.aground[rows]
    for k, zone in enumerate(inputs.ship.zones):
        wet = zone.exposure in _SEASIDE and berth.afloat
        flow = moving if zone.exposure in ("immersed", "tidal") else 1.0
        factor[:, k] = sea * flow if wet else inside
    return factor


def _water_factor(inputs: ModelInputs, berth: Berth, normal: Array) -> Array:
    """Return the sea's natural loss over the tabulated one, (samples,) [-].

    What is not known of temperature and nutrients widens the spread.
    """
    draws = inputs.draws
    celsius = berth.temperature
    if celsius is None:
        celsius = inputs.ship.water.temperature
    pooled = draws.assumptions["natural_factor"]
    if pooled.overridden or (celsius is None and berth.nutrients is None):
        return np.asarray(pooled.median * np.exp(np.log(pooled.geometric_sd) * normal))
    own = draws.assumptions["natural_factor_known"]
    slope = draws.value("natural_per_degree")
    variance = np.log(own.geometric_sd) ** 2
    median = own.median
    if celsius is None:
        unknown = draws.assumptions["water_celsius_unknown"]
        celsius = unknown.median
        variance += (slope * celsius * np.log(unknown.geometric_sd)) ** 2
    median *= float(np.exp(slope * celsius))
    if berth.nutrients is None:
        mixed = draws.assumptions["nutrient_factor_unknown"]
        median *= mixed.median
        variance += np.log(mixed.geometric_sd) ** 2
    elif berth.nutrients != "clean":
        median *= draws.value(f"nutrient_factor_{berth.nutrients}")
    return np.asarray(median * np.exp(np.sqrt(variance) * normal))


def _freshness(inputs: ModelInputs, berth: Berth) -> float:
    """Return how fresh the water at a berth is, 0 to 1."""
    if berth.salinity is None:
        rho = inputs.hull.body.resistivity
    else:
        celsius = berth.temperature
        if celsius is None:
            celsius = inputs.ship.water.temperature
        if celsius is None:
            celsius = inputs.draws.value("water_celsius_unknown")
        water = Water(salinity=max(berth.salinity, 2.0), temperature=celsius)
        rho = resistivity_of(water) * max(2.0 / max(berth.salinity, 0.01), 1.0)
    return float(freshness(rho, inputs.draws.assumptions))
