"""Start the dashboard on this machine, from a checkout or an installed package."""

import ctypes
import os
import sys
from pathlib import Path

from corrosion.presentation.demo import bundled_path, demo_folder

__all__ = ["SETTINGS", "SHIPS", "app_file", "serve"]

SHIPS = "CORROSION_SHIPS"
"""Environment variable that tells the dashboard where the ships are."""

SETTINGS: dict[str, object] = {
    "server.address": "127.0.0.1",
    "server.headless": True,
    "server.maxUploadSize": 50,
    "server.fileWatcherType": "none",
    "server.enableXsrfProtection": True,
    "browser.gatherUsageStats": False,
    "client.showErrorDetails": "none",
    "client.showErrorLinks": False,
    "client.toolbarMode": "viewer",
    "runner.magicEnabled": False,
    "theme.font": "sans-serif",
    "theme.headingFont": "serif",
    "theme.baseFontSize": 16,
    "theme.baseRadius": "8px",
    "theme.buttonRadius": "8px",
    "theme.showWidgetBorder": True,
    "theme.headingFontSizes": ["1.5rem", "1.2rem", "1.05rem"],
    "theme.headingFontWeights": [600, 600, 600],
    "theme.light.primaryColor": "#0a5c6b",
    "theme.light.backgroundColor": "#f4f6f3",
    "theme.light.secondaryBackgroundColor": "#ffffff",
    "theme.light.textColor": "#17222b",
    "theme.light.borderColor": "#d3dad6",
    "theme.light.linkColor": "#0a5c6b",
    "theme.dark.primaryColor": "#79c7d4",
    "theme.dark.backgroundColor": "#10181d",
    "theme.dark.secondaryBackgroundColor": "#19242b",
    "theme.dark.textColor": "#e6edef",
    "theme.dark.borderColor": "#33424b",
    "theme.dark.linkColor": "#79c7d4",
}
"""As in ``.streamlit/config.toml``, which an installed package does not have."""

_ARENA_MAX = -8  # M_ARENA_MAX of mallopt(3)


def app_file() -> Path:
    """Return the dashboard's script."""
    return bundled_path("app.py")


def _share_one_heap() -> None:
    """Have all threads share one heap, where the system's library can.

    Each thread that walks would keep a heap of its own, and what it once needed there.
    """
    if sys.platform == "linux":
        limit = getattr(ctypes.CDLL(None), "mallopt", None)
        if limit is not None:
            limit(_ARENA_MAX, 1)


def serve(folder: Path | None, *, port: int) -> None:
    """Serve the dashboard until interrupted.

    Parameters
    ----------
    folder : Path or None
        Folder of ship folders, or one ship folder; None: the invented demo.
    port : int
        Port on the loopback address.
    """
    import streamlit as st  # noqa: PLC0415 - slow

    _share_one_heap()
    os.environ[SHIPS] = str((folder or demo_folder()).resolve())
    st.App(app_file()).run(config=SETTINGS | {"server.port": port})
