"""Coating breakdown against tables that protection is designed by."""

import numpy as np
import pytest

from corrosion.foundation.assumptions import default_assumptions
from corrosion.wastage.coating import CoatingLaw

TABLE = default_assumptions()
LAW = CoatingLaw(
    initial=TABLE.value("coating_initial_share"),
    life=TABLE.value("coating_life_years"),
    exponent=TABLE.value("coating_exponent"),
    least=TABLE.value("bare_least_share"),
)


@pytest.mark.published(
    source="a design guide for the protection of structures",
    where="final breakdown after 10, 20, 30 and 40 years, initial 2 %",
    status="secondary",
)
def test_breakdown_curves_upward_as_the_table_does() -> None:
    assert LAW.share(0.0) == pytest.approx(0.02)
    final = LAW.share([10.0, 20.0, 30.0, 40.0])
    # The fit lies within three points of the table's 10, 30, 60 and 90 %.
    assert final == pytest.approx([0.10, 0.30, 0.60, 0.90], abs=0.035)
    assert (np.diff(final, 2)[0] > 0.0).all()


@pytest.mark.published(
    source="inspections of jackets, abstract",
    where="below 5 % after 25 years where a rule said 0.02 + 0.008 · 25",
    status="secondary",
)
def test_the_spread_reaches_paint_that_lasted() -> None:
    life = TABLE["coating_life_years"]
    needed = 25.0 / (-np.log(0.95 / 0.98)) ** (1.0 / LAW.exponent)
    away = np.log(needed / life.median) / np.log(life.geometric_sd)
    assert 2.0 < away < 3.5  # far out, for one structure in many
    assert life.low < needed < life.high
