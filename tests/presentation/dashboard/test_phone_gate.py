"""Telephones at the door: no code, no page; a code opens once; few guesses."""

import asyncio
from typing import Any

import pytest

from corrosion.foundation.errors import InputError
from corrosion.presentation.dashboard.phone_gate import (
    PHONES,
    Codes,
    PhoneGate,
    checked_address,
    for_phones,
)


async def _behind(scope: Any, receive: Any, send: Any) -> None:
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"the hunt"})


def asked(
    gate: PhoneGate, query: str = "", cookie: str = "", kind: str = "http"
) -> Any:
    """Return status, headers and body of an answer; of a socket what was sent."""
    sent: list[dict[str, Any]] = []

    async def send(message: Any) -> None:
        sent.append(message)

    async def receive() -> Any:
        return {"type": "websocket.connect"}

    headers = [(b"cookie", cookie.encode())] if cookie else []
    scope = {"type": kind, "query_string": query.encode(), "headers": headers}
    asyncio.run(gate(scope, receive, send))
    if kind == "websocket":
        return sent[0]
    return sent[0]["status"], dict(sent[0]["headers"]), sent[1]["body"].decode()


def test_a_code_opens_once_and_what_it_opened_stays_open() -> None:
    codes: list[str] = []
    gate = PhoneGate(_behind, codes=Codes(codes.append))
    assert len(codes[0]) == 8
    status, _, body = asked(gate)
    assert (status, "Which code?" in body) == (403, True)
    status, headers, _ = asked(gate, f"code={codes[0]}")
    assert (status, headers[b"location"]) == (303, b"/")
    words = headers[b"set-cookie"].decode()
    assert "HttpOnly" in words
    assert "SameSite=strict" in words
    cookie = words.split(";")[0]
    assert asked(gate, cookie=cookie)[::2] == (200, "the hunt")
    assert len(codes) == 2  # for the next telephone
    assert codes[1] != codes[0]
    assert asked(gate, f"code={codes[0]}")[0] == 403
    assert asked(gate, f"code={codes[1]}")[0] == 303
    assert asked(gate, cookie=cookie)[0] == 200


def test_few_guesses_are_free_and_a_socket_is_shut() -> None:
    codes: list[str] = []
    gate = PhoneGate(_behind, codes=Codes(codes.append))
    wrong = f"{(int(codes[0]) + 1) % 10**8:08d}"
    for _ in range(5):
        assert "not the code" in asked(gate, f"code={wrong}")[2]
    status, _, body = asked(gate, f"code={codes[0]}")
    assert (status, "Too many wrong codes" in body) == (403, True)
    assert asked(gate, kind="websocket") == {"type": "websocket.close", "code": 1008}
    assert asked(gate, cookie="corrosion_telephone=guess")[0] == 403
    assert asked(gate, cookie="a=b;;;=\\x00")[0] == 403


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("ship.local", "is no IP address; name one of this machine"),
        ("0.0.0.0", "more than one interface"),  # noqa: S104 - that it is refused
        ("::", "more than one interface"),
        ("224.0.0.1", "more than one interface"),
        ("192.0.2.77", "is no address of this machine"),
    ],
)
def test_one_named_interface_of_this_machine(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        checked_address(text)


def test_only_where_it_was_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(PHONES, raising=False)
    assert not for_phones()
    monkeypatch.setenv(PHONES, "127.0.0.2")
    assert for_phones()
