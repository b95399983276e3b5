"""Tests of serve: a checkout and an installed package are set up alike."""

import asyncio
import os
import platform
import signal
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from foundation.test_parallel import ended, soon
from streamlit import net_util
from streamlit.web.server.server_util import is_url_from_allowed_origins

from corrosion.presentation.dashboard.serve import Guard, ask_nobody, settings

ROOT = Path(__file__).parents[3]


def test_it_stays_on_this_machine_and_reports_to_nobody() -> None:
    found = settings()
    assert found["server.address"] == "127.0.0.1"
    assert found["browser.gatherUsageStats"] is False
    assert found["server.enableXsrfProtection"] is True


MANY_THREADS = """
import ctypes, sys, threading
from corrosion.presentation.dashboard import serve

if sys.argv[2] == "shared":
    serve._share_one_heap()
at_once = threading.Barrier(8)

def need():
    at_once.wait()
    for _ in range(50):
        [bytearray(9000) for _ in range(100)]

threads = [threading.Thread(target=need) for _ in range(8)]
for thread in threads:
    thread.start()
for thread in threads:
    thread.join()
system = ctypes.CDLL(None)
system.fopen.restype = ctypes.c_void_p
report = ctypes.c_void_p(system.fopen(sys.argv[1].encode(), b"w"))
system.malloc_info(0, report)
system.fclose(report)
"""


@pytest.mark.skipif(
    platform.libc_ver()[0] != "glibc", reason="other libraries keep no heap a thread"
)
@pytest.mark.parametrize("heaps", ["shared", "as they come"])
def test_all_threads_of_the_server_share_one_heap(heaps: str, tmp_path: Path) -> None:
    report = tmp_path / "report.xml"
    command = [sys.executable, "-c", MANY_THREADS, str(report), heaps]
    subprocess.run(command, check=True)
    many = report.read_text(encoding="utf-8").count("<heap nr=")
    assert (many == 1) == (heaps == "shared")


def test_every_answer_forbids_framing_and_sniffing() -> None:
    sent: list[Any] = []

    async def app(_scope: Any, _receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    async def receive() -> Any:
        return {"type": "http.request"}

    async def send(message: Any) -> None:
        sent.append(message)

    asyncio.run(Guard(app)({"type": "http"}, receive, send))
    headers = dict(sent[0]["headers"])
    assert headers[b"x-frame-options"] == b"DENY"
    assert headers[b"content-security-policy"] == b"frame-ancestors 'none'"
    assert headers[b"x-content-type-options"] == b"nosniff"
    assert "headers" not in sent[1]


def test_a_page_of_another_origin_is_refused_and_nobody_is_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def asked(*_: object, **__: object) -> None:
        raise AssertionError

    monkeypatch.setattr(net_util, "get_external_ip", net_util.get_external_ip)
    monkeypatch.setattr(net_util, "_make_blocking_http_get", asked)
    ask_nobody()
    for origin in ("http://elsewhere.example", "http://192.0.2.7:8501"):
        assert not is_url_from_allowed_origins(origin)
    assert is_url_from_allowed_origins("http://127.0.0.1:8501")


@pytest.mark.skipif(sys.platform != "linux", reason="a helper is had on Linux alone")
@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_a_server_has_a_helper_that_ends_with_it(
    sign: signal.Signals, tmp_path: Path
) -> None:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = str(probe.getsockname()[1])
    command = [sys.executable, "-m", "corrosion", "dashboard", "--port", port]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        command, env=environment, cwd=tmp_path, stdout=subprocess.PIPE
    ) as server:
        try:
            children = Path(f"/proc/{server.pid}/task/{server.pid}/children")
            assert soon(lambda: len(children.read_text().split()) == 1)
            assert server.stdout is not None
            assert server.stdout.read(1)  # it says that it serves
            (helper,) = map(int, children.read_text().split())
            assert not ended(helper)
        finally:
            server.send_signal(sign)
    assert soon(lambda: ended(helper))
