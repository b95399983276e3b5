"""What pages share, computed once: keyed by the folder's content and the inputs.

Objects are shared between pages and sessions and are never changed. Few are kept,
since an estimate holds every sample.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

import pandas as pd
import streamlit as st

from corrosion.answers import history
from corrosion.answers.hull import crossing as cross
from corrosion.answers.isolation import isolating as isolate
from corrosion.answers.isolation import measured as measure
from corrosion.answers.leakage import leaking as leak
from corrosion.estimate import Estimate
from corrosion.estimate import estimate as run
from corrosion.inspection.isolation import Measure
from corrosion.records.folder import read_ship
from corrosion.records.ship import Ship

__all__ = [
    "crossing",
    "estimate",
    "isolating",
    "leaking",
    "loss_by_year",
    "measured",
    "ship",
]


@st.cache_resource(max_entries=8, show_spinner=False)
def ship(folder: str, digest: str) -> Ship:  # noqa: ARG001 - the digest is the key
    """Return the ship of a folder whose content has a digest."""
    return read_ship(folder)


@st.cache_resource(
    max_entries=3, show_spinner="Walking through her records, sample by sample …"
)
def estimate(
    digest: str,  # noqa: ARG001 - likewise
    as_of: date,
    samples: int,
    seed: int,
    _ship: Ship,
) -> Estimate:
    """Return the estimate of a ship whose folder has a digest."""
    return run(_ship, samples=samples, seed=seed, as_of=as_of)


@st.cache_resource(max_entries=4, show_spinner="Looking at every fault …")
def leaking(
    digest: str,  # noqa: ARG001 - likewise
    as_of: date,
    samples: int,
    seed: int,
    _ship: Ship,
) -> dict[str, Any]:
    """Return what leaks."""
    return leak(_ship, samples=samples, seed=seed, as_of=as_of)


@st.cache_resource(max_entries=4, show_spinner="Sending an ampere into every zone …")
def crossing(
    digest: str,  # noqa: ARG001 - likewise
    as_of: date,
    samples: int,
    seed: int,
    _ship: Ship,
) -> dict[str, Any]:
    """Return what crosses the water at each berth."""
    return cross(_ship, samples=samples, seed=seed, as_of=as_of)


@st.cache_resource(max_entries=4, show_spinner="Walking again without her faults …")
def loss_by_year(
    key: tuple[Any, ...],  # noqa: ARG001 - likewise
    _result: Estimate,
) -> pd.DataFrame:
    """Return the steel lost in each year, by cause."""
    return history.loss_by_year(_result)


@st.cache_resource(max_entries=8, show_spinner="Walking again with each change …")
def measured(
    key: tuple[Any, ...],  # noqa: ARG001 - likewise
    _result: Estimate,
    _measures: Sequence[Measure],
) -> list[dict[str, Any]]:
    """Return what each measure would have kept; the key names them."""
    return measure(_result, _measures)


@st.cache_resource(max_entries=8, show_spinner="Walking again with each limit …")
def isolating(
    key: tuple[Any, ...],  # noqa: ARG001 - likewise
    _result: Estimate,
    _hours: Sequence[float],
) -> dict[str, Any]:
    """Return what each limit would have kept; the key names them."""
    return isolate(_result, _hours)
