"""Criteria of other people: alternating current, substantial corrosion."""

import numpy as np
import pytest

from corrosion.foundation.assumptions import default_assumptions
from corrosion.wastage.thickness import substantial


@pytest.mark.published(
    source="IACS UR Z10, substantial corrosion",
    where="wastage past 75 % of the allowable margin",
    status="from memory",
)
def test_substantial_corrosion() -> None:
    # 12 mm plate that may lose 25 %: 3 mm, of which 75 % is 2.25 mm.
    left = np.array([9.76e-3, 9.74e-3])
    found = substantial(
        12e-3, 9e-3, left, default_assumptions().value("substantial_share")
    )
    assert list(found) == [False, True]
