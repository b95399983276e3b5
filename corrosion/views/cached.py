"""What pages share, computed once: keyed by the folder's content and the inputs.

Objects are shared between pages and sessions and are never changed. Few are kept,
since an estimate holds every sample.
"""

from datetime import date

import streamlit as st

from corrosion.estimate import Estimate
from corrosion.estimate import estimate as run
from corrosion.records.folder import read_ship
from corrosion.records.ship import Ship

__all__ = ["estimate", "ship"]


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
