"""Ships invented by forward simulation: rates that wander, campaigns that read them.

Nothing here draws from the model under test: rates wander on a fine grid of time, and
losses are summed up step by step.
"""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import MM, YEAR
from corrosion.inspection.calibration.rate_model import (
    OWN,
    WANDER,
    RatePrior,
    RateState,
)
from corrosion.inspection.calibration.readings import Readings, Surfaces

ZONES, NOW, MEMORY = 12, 60.0, 12.0  # years
RATE = 0.08 * MM  # a year, as tabulated
SHIP, ZONE, SPREAD = np.log(1.6), np.log(1.4), np.log(1.6)
READ, BIAS = 0.25 * MM, 0.2 * MM
SLIPS = (0.5, 14.5)
_STEP = 0.5


@dataclass(frozen=True, kw_only=True)
class Invented:
    """A ship's gaugings, which of them are wrong, and her true losses by year [m]."""

    prior: RatePrior
    start: RateState
    readings: Readings
    slipped: BoolArray
    truth: dict[float, Array]

    def losses(self, state: RateState, year: float, rng: np.random.Generator) -> Array:
        """Return the samples' losses up to a year, (samples, zones) [m]."""
        known = state.zones.shape[2] - OWN
        normal = rng.standard_normal((*state.zones.shape[:2], self.prior.knots - known))
        wander = self.prior.ahead(
            state.zones[..., WANDER], normal, state.wander_scale(self.prior)
        )
        zones = np.concatenate([state.zones[..., :OWN], wander], axis=2)
        rates = replace(state, zones=zones).rates(self.prior)
        return np.asarray((rates * _years(year, self.prior)).sum(axis=2) * RATE)


def _years(year: float, prior: RatePrior) -> Array:
    edges = prior.edges / YEAR
    return np.clip(np.minimum(year, edges[1:]) - edges[:-1], 0.0, None)


def ship(
    rng: np.random.Generator,
    campaigns: list[float],
    *,
    slips: float = 0.0,
    shift: float = 0.0,
    samples: int = 96,
) -> Invented:
    """Invent a ship whose rates lie ``shift`` above the table's, in the logarithm."""
    years = np.arange(_STEP, NOW + 5.0 + _STEP / 2, _STEP)
    kept = np.exp(-_STEP / MEMORY)
    wander = np.empty((ZONES, years.size))
    wander[:, 0] = rng.normal(size=ZONES)
    for k in range(1, years.size):
        fresh = np.sqrt(1.0 - kept**2) * rng.normal(size=ZONES)
        wander[:, k] = kept * wander[:, k - 1] + fresh
    level = shift + rng.normal(0.0, SHIP) + rng.normal(0.0, ZONE, ZONES)
    rate = np.exp(level[:, None] + SPREAD * wander - 0.5 * SPREAD**2)
    lost = np.cumsum(rate, axis=1) * RATE * _STEP
    rows: list[tuple[int, float, int, float, bool]] = []
    for c, year in enumerate(campaigns):
        there = lost[:, round(year / _STEP) - 1] - rng.normal(0.0, BIAS)
        for zone in np.flatnonzero(rng.random(ZONES) < 0.8):
            wrong = bool(rng.random() < slips)
            off = rng.choice([-1.0, 1.0]) * rng.uniform(1.5, 3.0) * MM
            read = there[zone] + wrong * off + rng.normal(0.0, READ)
            rows.append((int(zone), year, c, float(read), wrong))
    zone_of, when, campaign, gone, wrong_of = map(np.array, zip(*rows, strict=True))
    tiny = np.full(ZONES, 1e-9)
    prior = RatePrior(
        shared=np.full((1, ZONES), SHIP),
        zone=np.full(ZONES, ZONE),
        wander=SPREAD,
        edges=np.array([0.0, *campaigns, NOW, NOW + 5.0]) * YEAR,
        memory=MEMORY * YEAR,
        inside=tiny,
        offset=tiny,
        pit=tiny,
        inside_shared=np.zeros((1, ZONES)),
    )
    known = prior.until(len(campaigns))
    none = np.zeros((samples, len(rows)))
    exposure = np.stack([_years(year, known) for year in when]) * RATE
    return Invented(
        prior=prior,
        start=RateState(
            shared=rng.standard_normal((samples, 1)),
            zones=known.scaled(
                rng.standard_normal((samples, ZONES, OWN + known.knots)), slice(None)
            ),
            bias=rng.normal(0.0, BIAS, (samples, len(campaigns))),
            surface=np.zeros((samples, len(campaigns)), np.int64),
            slips=rng.beta(*SLIPS, samples).clip(1e-6),
            spread=np.ones((samples, 3)),
            cause=np.zeros((samples, ZONES), np.int64),
        ),
        readings=Readings(
            zone=zone_of,
            campaign=campaign,
            gone=gone,
            sd=np.full(len(rows), READ),
            times=np.ones(len(rows)),
            backed=np.ones(len(rows)),
            replaced=np.zeros(len(rows)),
            slip_sd=np.full(len(rows), 2.5 * MM),
            slip_prior=SLIPS,
            sea=np.broadcast_to(exposure, (samples, *exposure.shape)).copy(),
            inside=none,
            fixed=none,
            caused=np.ones((len(rows), 2 * known.knots)),
            pitted=np.zeros(len(rows), np.bool_),
            surfaces=Surfaces(
                mean=np.zeros(1),
                sd=np.array([BIAS]),
                chance=np.ones((len(campaigns), 1)),
            ),
        ),
        slipped=wrong_of.astype(np.bool_),
        truth={year: lost[:, round(year / _STEP) - 1] for year in (NOW, NOW + 5.0)},
    )
