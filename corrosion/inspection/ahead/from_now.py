"""What a measure keeps from now on, until the next docking."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.ahead.new_faults import NewFaults
from corrosion.inspection.ahead.second_faults import SecondFaults, second_faults
from corrosion.leakage.standing_times import FaultIntervals

_MONTHS = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FromNow:
    """What a measure keeps from the date of the estimate until the next docking.

    Arrays are of shape (samples,) where no other is said.
    """

    kept_kg: Array  # of what standing faults, new ones and the couple would take [kg]
    zone: int  # number of the zone in which it keeps the most depth
    # by how much later that zone is as thin as it would be at the docking, at the rate
    # that is expected with the measure; NaN where it then loses nothing [month]
    months: Array
    second_faults: SecondFaults  # to expect with the measure


def from_now(
    inputs: ModelInputs,
    spans: FaultIntervals,
    histories: tuple[LossHistory, LossHistory],
    new: NewFaults,
) -> FromNow:
    """Return what a measure keeps from now on.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with the measure.
    spans : FaultIntervals
        When the faults of the log stand with it.
    histories : tuple of two LossHistory
        Without and with it; recorded at the date of the estimate first, last at the
        docking, and going on with what new faults take.
    new : NewFaults
        The same for both.

    Returns
    -------
    FromNow
        Faults that arise take what those of the log would have taken with the measure,
        each by itself: more where the measure spares less.
    """
    ahead = [history.mean[:, -1] - history.mean[:, 0] for history in histories]
    kept = np.maximum(ahead[0] - ahead[1], 0.0)
    zone = int(kept.mean(axis=0).argmax())
    docking = float(histories[0].moments[-1])
    years = (docking - inputs.time_grid.as_of) / YEAR
    # over its mean: a sample that loses next to nothing else would outlast them all
    expected = float(ahead[1][:, zone].mean())
    later = kept[:, zone] * (years * _MONTHS / expected if expected > 0.0 else np.nan)
    return FromNow(
        kept_kg=np.asarray((kept * inputs.kg_per_metre).sum(axis=1)),
        zone=zone,
        months=later,
        second_faults=second_faults(inputs, spans, new, docking),
    )
