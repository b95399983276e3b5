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
    by_fault = [
        (
            source[0][0],
            np.stack([taken for _, taken, *_ in source], axis=2),
            np.stack([spared for *_, spared, _ in source], axis=2),
            np.sum([by_zone for *_, by_zone in source], axis=0),
        )
        for source in zip(*each, strict=True)
    ]
    for _, taken, _, by_zone in by_fault:
        assert by_zone == pytest.approx(taken.sum(axis=0), rel=1e-12, abs=1e-12)
    total = sum((taken.sum(axis=1) for _, taken, *_ in by_fault), start=np.zeros(1))
    assert whole.faults == pytest.approx(total + 0.0 * whole.faults, rel=1e-12)
    return replace(whole, by_fault=by_fault)
