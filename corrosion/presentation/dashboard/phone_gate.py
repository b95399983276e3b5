"""Telephones at the door: one named address, a code that opens once, two pages.

Nothing is encrypted on the way: whoever listens on that network can read it. So a code
opens once, for one telephone, few guesses are free, and what is behind it is the hunt
and the form of the log, no more.
"""

import ipaddress
import os
import secrets
import socket
from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from starlette.requests import HTTPConnection
from starlette.responses import HTMLResponse, RedirectResponse, Response

from corrosion.foundation.errors import InputError

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Receive, Scope, Send

PHONES: Final = "CORROSION_PHONES"
"""Environment variable that is set where telephones are served."""

WARNING: Final = (
    "Warning: nothing is encrypted. Whoever is on this network and has the code can "
    "read her hunts and write into them and her log; whoever listens can read along. "
    "Use the ship's own network, and stop this with Ctrl-C once the hunt is over."
)

_COOKIE: Final = "corrosion_telephone"
_UNKEPT: Final = {"cache-control": "no-store"}
_GUESSES: Final = 5  # wrong codes, then it opens to nobody new
_PAGE: Final = """<!doctype html><html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width"><title>Code</title></head>
<body style="font: 1.1rem sans-serif; margin: 2rem"><h1>{head}</h1>
<form action="/"><label>Code from the ship's computer<br>
<input name="code" inputmode="numeric" autocomplete="off" style="font: inherit;
min-height: 44px"></label> <button style="font: inherit; min-height: 44px">Open</button>
</form></body></html>"""


def for_phones() -> bool:
    """Return whether this dashboard serves telephones: hunt and log form only."""
    return bool(os.environ.get(PHONES))


def checked_address(text: str) -> str:
    """Return an address of this machine on which telephones may be served.

    ``text``: an IP address, of one interface. Raises InputError if it is no IP address,
    stands for every interface, or is not this machine's.

    Examples
    --------
    >>> checked_address("127.0.0.1")
    '127.0.0.1'
    """
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        msg = f"{text!r} is no IP address; name one of this machine, as 192.168.1.20."
        raise InputError(msg) from None
    if address.is_unspecified or address.is_multicast:
        msg = f"{text} stands for more than one interface; name one address."
        raise InputError(msg)
    family = socket.AF_INET6 if address.version == 6 else socket.AF_INET
    with socket.socket(family) as probe:
        try:
            probe.bind((str(address), 0))
        except OSError:
            msg = f"{text} is no address of this machine; see its network settings."
            raise InputError(msg) from None
    return str(address)


class Codes:
    """The code that opens once, and the telephones that it has let in.

    ``tell``: takes each code as it is made; a new one is made once one has opened.
    """

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._tell = tell
        self._passes: set[str] = set()
        self._left = _GUESSES
        self._code = ""
        self._make_code()

    def _make_code(self) -> None:
        self._code = f"{secrets.randbelow(10**8):08d}"
        self._tell(self._code)

    def known(self, given: str) -> bool:
        """Return whether a telephone has been let in."""
        return any(secrets.compare_digest(given, one) for one in self._passes)

    @property
    def shut(self) -> bool:
        """Whether too many wrong codes were given."""
        return self._left <= 0

    def let_in(self, given: str) -> str | None:
        """Return a pass for a code; None: it is not the code, and one guess less."""
        if self.shut or not secrets.compare_digest(given.encode(), self._code.encode()):
            self._left -= 1
            return None
        token = secrets.token_urlsafe(32)
        self._passes.add(token)
        self._make_code()  # it has opened; the next telephone needs another
        return token


class PhoneGate:
    """Let nobody through who has not given a code that opens once.

    ``app``: the ASGI application behind it. ``codes``: the code, and who was let in.
    """

    def __init__(self, app: "ASGIApp", *, codes: Codes) -> None:
        self._app, self._codes = app, codes

    async def __call__(self, scope: "Scope", receive: "Receive", send: "Send") -> None:
        """Answer one request."""
        # Start and stop of the server come from itself and carry no cookie.
        if scope["type"] == "lifespan" or self._known(HTTPConnection(scope)):
            await self._app(scope, receive, send)
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008})
        else:
            await self._answer(HTTPConnection(scope))(scope, receive, send)

    def _known(self, asked: HTTPConnection) -> bool:
        return self._codes.known(asked.cookies.get(_COOKIE, ""))

    def _answer(self, asked: HTTPConnection) -> Response:
        given = asked.query_params.get("code", "").strip()
        if not given:
            words = _PAGE.format(head="Which code?")
        elif self._codes.shut:
            words = "Too many wrong codes: start it again aboard."
        elif (token := self._codes.let_in(given)) is None:
            words = _PAGE.format(head="That is not the code.")
        else:
            opened = RedirectResponse("/", 303, _UNKEPT)
            opened.set_cookie(_COOKIE, token, httponly=True, samesite="strict")
            return opened
        return HTMLResponse(words, 403, _UNKEPT)
