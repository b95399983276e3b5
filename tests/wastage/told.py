"""What faults took and spared, zone by zone."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from corrosion.foundation.types import Array
from corrosion.wastage.step_loss import StepLoss


def told_by_zone(told: Callable[[Array], StepLoss]) -> StepLoss:
    """Return one history, its ``by_fault`` zone by zone: weighed one zone at a time."""
    whole = told(np.ones(1)).history(0)
    each = [told(one).history(0).by_fault for one in np.eye(whole.taken.shape[1])]
    by_fault = []
    for source in zip(*each, strict=True):
        faults, taken, spared, by_zone = zip(*source, strict=True)
        taken, spared = np.stack(taken, axis=2), np.stack(spared, axis=2)
        assert sum(by_zone) == pytest.approx(taken.sum(axis=0), rel=1e-12, abs=1e-12)
        by_fault.append((faults[0], taken, spared, sum(by_zone)))
    if by_fault:
        total = sum(taken.sum(axis=1) for _, taken, *_ in by_fault)
        assert whole.faults == pytest.approx(total, rel=1e-12, abs=1e-12)
    return replace(whole, by_fault=by_fault)
