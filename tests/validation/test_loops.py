"""Tests of validation.loops: the world's fuses, by hand."""

import numpy as np
import pytest

from corrosion.validation import loops
from corrosion.validation.faults import KNOTS, Faults
from corrosion.validation.life import Circumstances, live
from corrosion.validation.nature import NOW, YEAR


def test_of_two_shorts_the_weaker_branch_opens_within_a_minute_of_the_second() -> None:
    life = live("coaster", 5, Circumstances())
    limit = life.nature.draw("trip_amps", 3)
    began = NOW - np.array([3.0, 2.0, 1.0]) * 30 * 86400.0
    kind = [s.kind for s in life.vessel.systems].index("ac3")
    three = Faults(
        system=np.full(3, kind),
        circuit=np.zeros(3, dtype=np.intp),
        plate=np.zeros(3, dtype=np.intp),
        pole=np.array([0, 1, 1]),
        began=began,
        ohms=np.repeat([[0.1], [0.1], [1e5]], len(KNOTS), axis=1),
        share=np.ones(3),
        direct_v=np.zeros(3),
        dries=np.full(3, np.inf),
        found=np.full(3, np.inf),
        last_good=began,
        end=np.full(3, NOW + YEAR),
    )
    stays = [stay for stay in life.voyages.stays if stay.earthed]
    left = loops.open_loops(three, life.vessel, life.voyages, life.nature)
    weak = int(limit[1] < limit[0])
    aboard = not any(s.start < began[1] + 60.0 and s.end > began[0] for s in stays)
    assert aboard
    assert left.end[weak] == pytest.approx(began[1] + 60.0)
    assert left.found[weak] == left.end[weak]
    assert left.end[1 - weak] == left.end[2] == NOW + YEAR
