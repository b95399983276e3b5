"""Wetted surface of the hull against a formula of the trade."""

import numpy as np
import pytest

from corrosion.hull.geometry.panels import hull_panels
from corrosion.records.ship import Form


@pytest.mark.published(
    source="Denny-Mumford, wetted surface 1.7 L T + displacement / T, within 10 %",
    where="L/B 5 to 8, B/T 2.3 to 4, block coefficient 0.5 to 0.8",
    status="from memory",
)
@pytest.mark.parametrize("block", [0.5, 0.6, 0.7, 0.8])
@pytest.mark.parametrize("beam_over_draught", [2.3, 3.0, 4.0])
def test_denny_mumford(block: float, beam_over_draught: float) -> None:
    draught = 14.0 / beam_over_draught
    form = Form(
        length=96.0,
        beam=14.0,
        draught=draught,
        block_coefficient=block,
        frame_spacing=0.6,
    )
    rule = 1.7 * 96.0 * draught + block * 96.0 * 14.0
    assert hull_panels(form, []).area.sum() == pytest.approx(rule, rel=0.1)


@pytest.mark.published(
    source="Elementary geometry",
    where="wetted surface of a wedge with V sections, by quadrature of its slopes",
    status="computed",
)
def test_wedge() -> None:
    # waterplane 1/2 and plain V sections: the half breadth is known everywhere
    form = Form(
        length=80.0,
        beam=8.0,
        draught=4.0,
        block_coefficient=0.2501,
        frame_spacing=0.6,
        midship_coefficient=0.501,
        waterplane_coefficient=0.5,
    )
    # each side: z = -4 (1 - y / b), b = 4 (1 - |2x/80 - 1|): a plane through the stem
    # line, midship keel and midship waterline has |db/dx| = 0.1
    x = (np.arange(4000) + 0.5) / 4000 * 80.0
    share = (np.arange(400) + 0.5)[:, None] / 400
    b = 4.0 * (1.0 - np.abs(x / 40.0 - 1.0))
    slope_x = 0.1 * (1.0 - share)
    area = 2.0 * np.sqrt(1.0 + slope_x**2 + (b / 4.0) ** 2).mean() * 80.0 * 4.0
    assert hull_panels(form, [], target=4000).area.sum() == pytest.approx(
        area, rel=2e-3
    )
