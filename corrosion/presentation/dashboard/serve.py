"""Start the dashboard on this machine, from a checkout or an installed package."""

import ctypes
import os
import sys
import tomllib
from collections.abc import Callable, Iterator, Mapping
from importlib import import_module
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Any

from corrosion.foundation.beside import begin_helper
from corrosion.foundation.parallel import allow_children
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

HOSTS = "CORROSION_HOSTS"
"""Environment variable with further names, split by commas, that a proxy asks for."""

_HEADERS = (
    (b"x-frame-options", b"DENY"),
    (b"content-security-policy", b"frame-ancestors 'none'"),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
)
_ARENA_MAX = -8  # M_ARENA_MAX of mallopt(3)
_WORKS = (
    "corrosion.estimate",
    "corrosion.presentation.answers.isolation",
    "scipy.special",  # what these load only where they need it
    "gsw",
)
_HEAVY = "corrosion.presentation.notebook"  # the estimate and its figures, no page


def settings() -> dict[str, object]:
    """Return what ``.streamlit/config.toml`` says, each by its dotted name."""
    text = bundled_path(".streamlit/config.toml").read_text(encoding="utf-8")
    return dict(_flat(tomllib.loads(text)))


def _flat(table: Mapping[str, Any], head: str = "") -> Iterator[tuple[str, object]]:
    for name, value in table.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{head}{name}.")
        else:
            yield f"{head}{name}", value


class Guard:
    """Add headers against framing and sniffing to every answer of an application."""

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
    begin_helper(*_WORKS)
    allow_children(allowed=False)  # pages are drawn by threads
    import streamlit as st  # noqa: PLC0415 - slow
    from starlette.middleware import Middleware  # noqa: PLC0415 - likewise
    from starlette.middleware.trustedhost import TrustedHostMiddleware  # noqa: PLC0415 - likewise

    _share_one_heap()
    ask_nobody()
    os.environ[SHIPS] = str((folder or demo_folder()).resolve())
    more = [name for name in os.environ.get(HOSTS, "").split(",") if name]
    hosts = ["127.0.0.1", "localhost", *more]  # no page elsewhere may pose as one here
    origins = [f"https://{name}" for name in more]
    asked = {"server.port": port, "server.corsAllowedOrigins": origins}
    gates = []
    if address is not None:
        os.environ[PHONES] = address
        shown = f"[{address}]" if ":" in address else address
        hosts = [shown, *more]
        asked |= {"server.address": address, "browser.serverAddress": address}
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
    app = st.App(bundled_path("app.py"), middleware=guards)
    app.run(config=settings() | asked)
