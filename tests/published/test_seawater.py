"""Resistivity of standard seawater against its definition."""

import pytest
from published.printed import printed

from corrosion.hull.water.seawater import resistivity


@pytest.mark.published(
    source="Practical salinity scale PSS-78 / TEOS-10",
    where="conductivity of standard seawater, S 35, 15 °C on IPTS-68, 42.914 mS/cm",
    status="from memory",
)
def test_standard_seawater() -> None:
    on_its_90 = 15.0 / 1.00024
    assert 10.0 / float(resistivity(35.0, on_its_90)) == printed("42.914")


@pytest.mark.published(
    source="TEOS-10 toolbox",
    where="standard seawater at 10 °C, 0.2625 Ω·m",
    status="computed",
)
def test_standard_seawater_at_ten_degrees() -> None:
    assert float(resistivity(35.0, 10.0)) == printed("0.2625")
