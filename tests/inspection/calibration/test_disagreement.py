import numpy as np
import pytest
from scipy.special import ndtri

from corrosion.inspection.calibration.disagreement import deviations, disagreements
from corrosion.inspection.calibration.measurements import Gauged

EVEN = ndtri((np.arange(4096) + 0.5) / 4096)[:, np.newaxis]
BUILT = np.array([10e-3, 10e-3, 10e-3])


def measured(thickness: list[float]) -> Gauged:
    return Gauged(
        zone=np.arange(len(thickness)),
        thickness=np.array(thickness),
        sd=np.full(len(thickness), 0.6e-3),
        readings=np.full(len(thickness), 4),
        least=np.zeros(len(thickness), np.bool_),
        allowance=0.3e-3,
    )


def test_deviation_counts_prediction_allowance_and_measurement() -> None:
    residual, deviation = deviations(9e-3 + 0.4e-3 * EVEN, measured([8e-3]))
    assert residual[0] == pytest.approx(-1e-3)
    spread = np.sqrt(0.4**2 + 0.3**2 + 0.6**2 / 4)
    assert deviation[0] == pytest.approx(-1.0 / spread, rel=1e-3)


def test_says_where_how_much_and_why_the_worst_first() -> None:
    predicted = np.full((8, 3), 9e-3)
    found = disagreements(
        predicted, measured([7.9e-3, 12e-3, 5e-3]), ["A", "B", "C"], BUILT
    )
    assert [row.zone for row in found] == ["C", "B", "A"]
    assert found[0].words == (
        "zone C: gauged 5.0 mm, 4.0 mm thinner than estimated from the records (9.4 "
        "standard deviations); likeliest: another source of loss than those in the log "
        "(a fault never found, a couple, wear, loss from the inner face), or a wrong "
        "built thickness"
    )
    assert "3.0 mm thicker" in found[1].words
    assert "an unrecorded doubler or insert" in found[1].words
    assert "another source of loss" in found[2].words


@pytest.mark.parametrize(
    ("thickness", "why"),
    [
        (8.1e-3, "built thickness written too large"),
        (9.95e-3, "paint or protection better than written"),
    ],
)
def test_small_steps_have_small_reasons(thickness: float, why: str) -> None:
    found = disagreements(np.full((8, 1), 9e-3), measured([thickness]), ["A"], BUILT)
    assert why in found[0].words


def test_agreement_says_nothing() -> None:
    predicted = np.full((8, 2), 9e-3)
    assert disagreements(predicted, measured([9.1e-3, 8.5e-3]), "AB", BUILT) == ()
    assert (
        len(disagreements(predicted, measured([9.1e-3, 8.5e-3]), "AB", BUILT, 1)) == 1
    )
