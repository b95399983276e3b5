"""Start the dashboard on this machine, from a checkout or an installed package."""

import ctypes
import os
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from corrosion.presentation.dashboard.phone_gate import (
    PHONES,
    WARNING,
    Codes,
    PhoneGate,
    checked_address,
)
from corrosion.presentation.demo import bundled_path, demo_folder

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

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

HOSTS = "CORROSION_HOSTS"
"""Environment variable with further names, split by commas, that a proxy asks for."""

_HEADERS = (
    (b"x-frame-options", b"DENY"),
    (b"content-security-policy", b"frame-ancestors 'none'"),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
)
_ARENA_MAX = -8  # M_ARENA_MAX of mallopt(3)
_HEAVY = "corrosion.presentation.notebook"  # the estimate and its figures, no page


def app_file() -> Path:
    """Return the dashboard's script."""
    return bundled_path("app.py")


class Guard:
    """Add headers against framing and sniffing to every answer.

    Parameters
    ----------
    app : callable
        The ASGI application that answers.
    """

    def __init__(self, app: "ASGIApp") -> None:
        self._app = app

    async def __call__(self, scope: "Scope", receive: "Receive", send: "Send") -> None:
        """Answer one request."""

        async def guarded(message: "Message") -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", ()), *_HEADERS]
            await send(message)

        await self._app(scope, receive, guarded)


def ask_nobody() -> None:
    """Have the framework look up no address of this machine anywhere else.

    Where a page of another origin asks, it would ask a server on the internet what this
    machine is called there, to compare the two.
    """
    from streamlit import net_util  # noqa: PLC0415 - slow

    net_util.get_external_ip = lambda: None


def _share_one_heap() -> None:
    """Have all threads share one heap, where the system's library can.

    Each thread that integrates would keep a heap of its own, with what it once needed.
    """
    if sys.platform == "linux":
        limit = getattr(ctypes.CDLL(None), "mallopt", None)
        if limit is not None:
            limit(_ARENA_MAX, 1)


def serve(
    folder: Path | None,
    *,
    port: int,
    phones: str | None = None,
    tell: Callable[[str], None] = print,
) -> None:
    """Serve the dashboard until interrupted.

    Parameters
    ----------
    folder : Path or None
        Folder of ship folders, or one ship folder; None: the invented demo.
    port : int
        Port on the loopback address.
    phones : str, optional
        One address of this machine on which telephones are served instead: hunt and
        form of the log only, behind a code that opens once.
    tell : callable, optional
        Takes the warning and each code, for whoever started it.

    Raises
    ------
    InputError
        If ``phones`` is no address of this machine.
    """
    address = None if phones is None else checked_address(phones)
    import streamlit as st  # noqa: PLC0415 - slow
    from starlette.middleware import Middleware  # noqa: PLC0415 - likewise
    from starlette.middleware.trustedhost import (  # noqa: PLC0415 - likewise
        TrustedHostMiddleware,
    )

    _share_one_heap()
    ask_nobody()
    os.environ[SHIPS] = str((folder or demo_folder()).resolve())
    more = [name for name in os.environ.get(HOSTS, "").split(",") if name]
    hosts = ["127.0.0.1", "localhost", *more]  # no page elsewhere may pose as one here
    origins = [f"https://{name}" for name in more]
    settings = SETTINGS | {"server.port": port, "server.corsAllowedOrigins": origins}
    gates = []
    if address is not None:
        os.environ[PHONES] = address
        shown = f"[{address}]" if ":" in address else address
        hosts = [shown, *more]
        settings |= {"server.address": address, "browser.serverAddress": address}
        tell(WARNING)
        codes = Codes(
            lambda code: tell(
                f"Next telephone, once: http://{shown}:{port}/?code={code}"
            )
        )
        gates = [Middleware(PhoneGate, codes=codes)]
    # The outermost first: a wrong host is refused before anything else looks at it,
    # and the gate for telephones stands closest to the pages.
    guards = [
        Middleware(TrustedHostMiddleware, allowed_hosts=hosts, www_redirect=False),
        Middleware(Guard),
        *gates,
    ]
    # What the first page needs is loaded while its browser is still being opened.
    Thread(target=import_module, args=(_HEAVY,), daemon=True).start()
    app = st.App(app_file(), middleware=guards)
    app.run(config=settings)
