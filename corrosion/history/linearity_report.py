"""Which law of the interface of steel and water was used, and how far the linear errs.

The integration takes the interface as a resistance wherever that does, and a Tafel law
elsewhere (:mod:`corrosion.history.nonlinear_states`). Here the direct currents that
stood together at each berth, at their medians, are put to both laws.
"""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import HOUR
from corrosion.history.inputs import ModelInputs
from corrosion.hull.nonlinear.currents import linear_and_nonlinear
from corrosion.hull.nonlinear.secant import NOTHING
from corrosion.leakage.fault_currents import fault_currents, returns_ashore
from corrosion.leakage.time_intervals import ConstantIntervals, Stay, constant_intervals

_ROWS = 64  # samples whose currents and dates stand for all: their medians
_SHORT = 1e-3 * HOUR  # a state that lasts less is none [s]
_NOTED = 1.0  # what lasts less in the mean is not worth a word [hours]


@dataclass(frozen=True, slots=True, kw_only=True)
class DcStates:
    """The direct currents that stood together while she lay at one berth."""

    # shape (states,): how long each state lasted, up to the date of the estimate [s]
    seconds: Array
    # shape (states, faults): whose direct currents stood; in some states none
    # but the couple's
    active: BoolArray
    # shape (states, zones): into the steel of each zone, the return
    # aboard taken out [A]
    injected: Array


def dc_states(inputs: ModelInputs, period: Stay) -> DcStates:
    """Return the direct currents that stood together while she lay at a berth.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    period : Stay
        How she lay.

    Returns
    -------
    DcStates
        At the medians of dates and currents; one that lasts no time where she had
        not lain there by the date of the estimate.
    """
    ship, spans = inputs.ship, inputs.faults.spans
    rows = slice(0, min(_ROWS, inputs.draws.samples))
    began, ended = (np.median(t[rows], axis=0) for t in (spans.began, spans.ended))
    start, end = (
        np.minimum(np.median(t[rows], keepdims=True), inputs.time_grid.as_of)
        for t in (period.start, period.end)
    )
    direct = np.array([fault.current == "dc" for fault in ship.faults], dtype=np.bool_)
    direct |= (inputs.faults.direct_volts != 0.0).any(axis=0)
    here = np.flatnonzero(direct & (began < end) & (ended > start))
    cut = constant_intervals(began[None, here], ended[None, here], start, end)
    lasted = cut.duration[0] > _SHORT
    lasted[0] |= not lasted.any()
    standing = cut.active[0, lasted]
    active = np.zeros((len(standing), len(ship.faults)), dtype=np.bool_)
    active[:, here] = standing
    injected = np.zeros((len(standing), len(ship.zones)))
    entry = (inputs.entry[rows, :, None] == np.arange(len(ship.zones))).mean(axis=0)
    aboard = ~returns_ashore(ship, period.berth)
    back = (inputs.back[rows, :, None] == np.arange(len(ship.zones))).mean(axis=0)
    back += (inputs.back[rows] < 0).mean(axis=0)[:, None] * inputs.cables
    into = entry - aboard[:, None] * back
    for leak in fault_currents(
        ship,
        inputs.faults,
        period,
        intervals=ConstantIntervals(
            np.repeat(cut.duration[:, lasted], rows.stop, axis=0),
            np.repeat(cut.middle[:, lasted], rows.stop, axis=0),
            np.repeat(cut.active[:, lasted], rows.stop, axis=0),
        ),
        standing=here,
        rows=rows,
        earth=inputs.paths.rows(rows).earth_at(period.berth),
    ):
        if leak.current == "ac":
            continue
        injected += _median(leak.amps.real) @ into[leak.faults]
        if leak.lamps is not None and leak.system is not None:
            at = leak.system.switchboard_zone
            board = inputs.hull.reference if at is None else ship.zone_index(at)
            lamps = _median(leak.lamps.real)
            injected[:, board] += lamps
            injected -= lamps[:, None] * inputs.cables
    return DcStates(seconds=cut.duration[0, lasted], active=active, injected=injected)


def _median(amps: Array) -> Array:
    """Return medians over the samples: of the size, with the sign of the mean [A]."""
    size = np.median(np.abs(amps), axis=0)
    return np.asarray(np.copysign(size, amps.mean(axis=0)))


def linearity_error(inputs: ModelInputs, period: Stay) -> float:
    """Return the largest change of any zone's current under the Tafel law at a berth.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    period : Stay
        How she lay.

    Returns
    -------
    float
        Over the largest zone current, the worst of all :func:`dc_states` that can be
        balanced, the couple's current added to each. [-]
    """
    states = dc_states(inputs, period)
    linear, tafel = linear_and_nonlinear(
        inputs.hull,
        states.injected,
        period.berth,
        protection=[zone.protection for zone in inputs.ship.zones],
    )
    tafel = np.where(np.isnan(tafel), linear, tafel)
    largest = np.maximum(np.abs(linear), np.abs(tafel)).max(axis=1, initial=NOTHING)
    return float((np.abs(linear - tafel) / largest[:, None]).max())


def linearity_sentence(inputs: ModelInputs, nonlinear_seconds: Array) -> str:
    """Return which law of the interface was used, in one sentence.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    nonlinear_seconds : ndarray, shape (samples, periods)
        For how long the Tafel law was used: the history's. [s]

    Returns
    -------
    str
        The sentence; the error of each berth is the key ``linear_error`` of the hull's
        answer.
    """
    hours = float(nonlinear_seconds.mean(axis=0).sum()) / HOUR
    if hours <= _NOTED:
        return "polarisation was taken as linear throughout"
    bound = 100.0 * inputs.draws.value("linear_bound")
    return (
        f"polarisation was taken as linear where that errs by less than {bound:.0f} %, "
        f"and as nonlinear (Tafel) elsewhere: {hours:.0f} hours in the mean"
    )
