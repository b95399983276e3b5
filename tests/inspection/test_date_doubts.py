"""An estimate's date after the docking, or after the plate is gone, is said."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
import ships

from corrosion.estimate import estimate
from corrosion.inspection.doubts import date_doubts
from corrosion.records.dates import as_written

SHIP = replace(ships.ship(), next_docking=as_written("2028-05-01"))
SOUND = np.full((4, len(SHIP.zones)), 0.008)


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (date(2028, 4, 30), False),
        (date(2028, 5, 1), False),
        (date(2028, 5, 2), True),
        (date(2040, 1, 1), True),
    ],
)
def test_a_date_after_the_docking_is_said(day: date, *, said: bool) -> None:
    words = date_doubts(SHIP, day, SOUND)
    assert ["lies after her docking of 2028-05-01" in one for one in words] == (
        [True] * said
    )


def test_a_plate_that_is_gone_in_half_the_samples_is_said() -> None:
    left = SOUND.copy()
    left[:2, 0] = 0.0
    assert date_doubts(SHIP, date(2026, 1, 1), left) == []
    left[:3, 0] = 0.0
    (words,) = date_doubts(SHIP, date(2026, 1, 1), left)
    assert f"the plate of {SHIP.zones[0].zone} is gone on 2026-01-01" in words


def test_the_estimate_carries_it() -> None:
    late = estimate(SHIP, samples=8, as_of=date(2400, 1, 1))
    words = " ".join(late.warnings)
    assert "lies after her docking" in words
    assert "is gone on 2400-01-01" in words
