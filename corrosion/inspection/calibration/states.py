"""The samples of the estimate as states of the rate model, before and after."""

from dataclasses import replace

import numpy as np

from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.inspection.calibration.exposure import Exposure
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.calibration.rate_model import (
    EXTRA,
    OWN,
    WANDER,
    RatePrior,
    RateState,
)


def start_of(
    inputs: ModelInputs, foreseen: Exposure, rows: Measured | None, known: int
) -> tuple[RateState, Array]:
    """Return the samples of the estimate as samples of the rate model's prior.

    And uniform numbers that draw whether causes go on, (samples, zones).
    """
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    draws, prior = inputs.draws, foreseen.prior
    cause = np.zeros(foreseen.own.shape[:2], np.int64)
    lot = np.zeros(cause.shape)
    normal = np.zeros((*cause.shape, OWN + prior.knots))
    knots = max(known, 1)
    for k, zone in enumerate(inputs.ship.zones):
        uniform = draws.block(f"wander {zone.zone}", prior.knots + 4)
        normal[:, k, WANDER] = ndtri(uniform[:, 4:])
        normal[:, k, EXTRA] = np.abs(ndtri(uniform[:, 1]))
        share = np.maximum(prior.extra_share, 1e-12)
        which = np.ceil(knots * uniform[:, 0] / share).astype(np.int64)
        goes_on = (uniform[:, 3] < prior.extra_lasts) & (which < knots)
        cause[:, k] = np.where(which <= knots, which + knots * goes_on, 0)
        lot[:, k] = uniform[:, 2]
    zones = prior.scaled(normal, slice(None))
    zones[..., :EXTRA] = foreseen.own
    campaigns = 0 if rows is None else len(rows.surfaces.chance)
    uniform = draws.block("campaigns", 2 * campaigns + 1)
    surface = np.zeros((draws.samples, campaigns), np.int64)
    bias = np.zeros((draws.samples, campaigns))
    if rows is not None:
        kinds = rows.surfaces
        reached = np.cumsum(kinds.chance, axis=1)
        drawn = uniform[:, 1 : campaigns + 1, None]
        surface = (reached < drawn).sum(axis=2).clip(0, kinds.mean.size - 1)
        score = ndtri(uniform[:, campaigns + 1 :])
        bias = kinds.mean[surface] + kinds.sd[surface] * score
    from scipy.special import betaincinv  # noqa: PLC0415 - importing stays light

    seen = draws.value("gauging_slip_seen")
    share = draws.value("gauging_slip_share")
    slips = betaincinv(share * seen, (1.0 - share) * seen, uniform[:, 0])
    state = RateState(
        shared=foreseen.scores,
        zones=zones,
        bias=bias,
        surface=surface,
        slips=np.asarray(slips).clip(1e-6, 1.0 - 1e-6),
        spread=np.ones((draws.samples, 3)),
        cause=cause,
    )
    return state, lot


def whole(
    found: RateState, before: RateState, prior: RatePrior, known: int, *, turned: bool
) -> RateState:
    """Return a moved state over all knots, and for zones never gauged.

    What follows the last reading remembers it, with the noise that each sample had, or
    where it is turned, with its mirror image.
    """
    scale = before.wander_scale(prior)[..., None]
    noise = (before.zones[..., WANDER] / scale) @ np.linalg.inv(prior.root).T
    ahead = prior.ahead(
        found.zones[..., WANDER],
        -noise[..., known:] if turned else noise[..., known:],
        found.wander_scale(prior),
    )
    zones = np.concatenate([found.zones[..., :OWN], ahead], axis=2)
    return replace(found, zones=zones)
