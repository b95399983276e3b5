"""What alternating current takes of each metal, against what was published."""

import numpy as np
import pytest

from corrosion.foundation.assumptions import default_assumptions
from corrosion.wastage.alternating import dissolving_fraction
from corrosion.wastage.faraday import penetration_mm_per_year

TABLE = default_assumptions()
ANODES = "AC corrosion behaviour of aluminium and zinc sacrificial anodes in seawater"


@pytest.mark.published(
    source=ANODES,
    where="abstract: 100 A/m² in 3.5 % NaCl, aluminium 14.6 mm/yr (34.8 times free)",
    status="secondary",
)
def test_aluminium() -> None:
    direct = float(penetration_mm_per_year(100.0, "aluminium 6061"))
    row = TABLE["ac_fraction_aluminium"]
    share = 14.6 * (1.0 - 1.0 / 34.8) / direct
    assert abs(np.log(share / row.median)) < np.log(row.geometric_sd)


@pytest.mark.published(
    source=ANODES,
    where="abstract: 100 A/m² in 3.5 % NaCl, zinc 0.46 mm/yr (1.48 times free)",
    status="secondary",
)
def test_zinc() -> None:
    direct = float(penetration_mm_per_year(100.0, "zinc"))
    row = TABLE["ac_fraction_zinc"]
    share = 0.46 * (1.0 - 1.0 / 1.48) / direct
    assert abs(np.log(share / row.median)) < np.log(row.geometric_sd)


@pytest.mark.published(
    source="Gummow, Wakelin & Segall 1999; Fraga, Mat. Res. 17(6), 2014",
    where="below 1 %; below 5 %, as named in public abstracts",
    status="secondary",
)
def test_steel() -> None:
    row = TABLE["ac_dissolving_fraction"]
    assert row.median < 0.01
    assert row.high == 0.05


@pytest.mark.published(
    source="rate of X80 in coastal saline soil, abstract",
    where="1.66 f^-0.5 mm/yr from 20 to 400 Hz",
    status="secondary",
)
def test_the_share_falls_as_the_root_of_the_frequency() -> None:
    hertz = np.array([60.0, 100.0, 200.0, 400.0])
    rate = dissolving_fraction(0.005, hertz)
    wanted = 1.66 * hertz**-0.5
    assert rate / rate[0] == pytest.approx(wanted / wanted[0], rel=1e-6)
