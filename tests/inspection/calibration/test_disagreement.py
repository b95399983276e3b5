"""Where model and gauging disagree, in words."""

import numpy as np
import pytest
from scipy.special import ndtri

from corrosion.inspection.calibration.disagreement import deviations, explanation
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.calibration.readings import Surfaces

EVEN = ndtri((np.arange(4096) + 0.5) / 4096)[:, np.newaxis]


def one(thickness: float, *, bias: float = 0.0) -> Measured:
    """Return one gauging of a plate of 10 mm, by a campaign of a known surface."""
    return Measured(
        row=np.array([0]),
        lead=np.array([0]),
        zone=np.array([0]),
        campaign=np.array([0]),
        moment=np.array([1e9]),
        gone=np.array([10e-3 - thickness]),
        sd=np.array([0.3e-3]),
        times=np.array([1.0]),
        backed=np.array([1.0]),
        replaced=np.zeros(1),
        pitted=np.array([False]),
        spots=np.array([np.inf]),
        surfaces=Surfaces(
            mean=np.array([bias]), sd=np.array([0.2e-3]), chance=np.array([[1.0]])
        ),
    )


def test_deviation_counts_prediction_campaign_and_measurement() -> None:
    predicted = 9e-3 + 0.4e-3 * EVEN
    residual, deviation = deviations(predicted, one(8e-3), np.array([10e-3]))
    assert residual[0] == pytest.approx(-1e-3)
    assert deviation[0] == pytest.approx(-1.0 / np.sqrt(0.4**2 + 0.3**2 + 0.2**2), 1e-3)


def test_a_campaign_that_reads_too_thick_is_taken_as_that_much_thinner() -> None:
    residual, _ = deviations(9e-3 + 0 * EVEN, one(9e-3, bias=0.5e-3), np.array([0.01]))
    assert residual[0] == pytest.approx(-0.5e-3)


@pytest.mark.parametrize(
    ("residual", "thickness", "why"),
    [
        (3e-3, 12e-3, "an unrecorded doubler or insert"),
        (0.95e-3, 9.95e-3, "paint or protection better than written"),
        (-0.9e-3, 8.1e-3, "built thickness written too large"),
        (-4e-3, 5e-3, "another source of loss"),
    ],
)
def test_small_steps_have_small_reasons(
    residual: float, thickness: float, why: str
) -> None:
    assert why in explanation(residual, thickness=thickness, built=10e-3, step=1e-3)
