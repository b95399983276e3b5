"""Criteria of other people: alternating current, substantial corrosion."""

import numpy as np
import pytest

from corrosion.foundation import assumptions
from corrosion.wastage.alternating import density_class
from corrosion.wastage.thickness import substantial


@pytest.mark.published(
    source="CEN/TS 15280, ISO 18086", where="30 and 100 A/m²", status="from memory"
)
def test_classes_of_alternating_current() -> None:
    found = density_class([0.0, 29.9, 30.0, 100.0, 100.1, 1000.0])
    assert list(found) == [
        "harmless",
        "harmless",
        "watch",
        "watch",
        "serious",
        "serious",
    ]


@pytest.mark.published(
    source="IACS UR Z10, substantial corrosion",
    where="wastage past 75 % of the allowable margin",
    status="from memory",
)
def test_substantial_corrosion() -> None:
    # 12 mm plate that may lose 25 %: 3 mm, of which 75 % is 2.25 mm.
    left = np.array([9.76e-3, 9.74e-3])
    found = substantial(12e-3, 9e-3, left, assumptions.value("substantial_share"))
    assert list(found) == [False, True]
