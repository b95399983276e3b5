"""Collect the tests against published values into a table at the end of a run."""

import gc
import os
import sys
import tempfile
from collections.abc import Callable

import pytest

if "PYTEST_XDIST_WORKER" not in os.environ:  # workers share what one of them kept
    _CACHE = tempfile.TemporaryDirectory(prefix="corrosion-tests-")
    os.environ["CORROSION_CACHE"] = _CACHE.name  # never the user's own
    # Linear algebra's own threads, on cores that workers share, mostly wait: three
    # times the processor for the panels. Read when numpy is imported, so set before.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Else each of the dozens of processes that tests start compiles the whole package.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# Until all tests are collected next to nothing is garbage, and to look for it again and
# again among what was imported and rewritten takes a fifth of a worker's collection.
gc.disable()


def pytest_collection_finish() -> None:
    """Look for garbage again, but not among what stays to the end."""
    gc.freeze()
    gc.enable()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """List every test marked ``published`` with its source and outcome."""
    rows = [
        (dict(report.user_properties), outcome, report.nodeid)
        for outcome in ("passed", "failed")
        for report in terminalreporter.getreports(outcome)
        if report.when == "call" and dict(report.user_properties).get("source")
    ]
    if rows:
        terminalreporter.section("checked against published values")
    for properties, outcome, nodeid in rows:
        terminalreporter.line(
            f"{outcome:6} | {properties['source']} | {properties['where']} | "
            f"{properties['status']} | {nodeid.split('::')[-1]}"
        )


@pytest.fixture(autouse=True)
def _record_source(
    request: pytest.FixtureRequest, record_property: Callable[[str, object], None]
) -> None:
    marker = request.node.get_closest_marker("published")
    if marker is not None:
        for key in ("source", "where", "status"):
            record_property(key, marker.kwargs[key])


@pytest.fixture(autouse=True)
def _same_program(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put the program back that a page takes the place of: processes begin with it."""
    monkeypatch.setitem(sys.modules, "__main__", sys.modules["__main__"])
