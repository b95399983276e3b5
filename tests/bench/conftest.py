"""End a run of the benchmarks with the table of what they found."""

import pytest
from bench.measuring import Ratios

_RATIOS = pytest.StashKey[Ratios]()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put every benchmark behind its marker: they run when they are asked for."""
    for item in items:
        if "tests/bench/" in item.path.as_posix():
            item.add_marker("bench")


@pytest.fixture
def ratios(request: pytest.FixtureRequest) -> Ratios:
    """Return the table of this run, to be added to."""
    config = request.config
    measuring = bool(config.getoption("benchmark_enable"))
    return config.stash.setdefault(_RATIOS, Ratios(measuring=measuring))


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """List what was measured beside what was to be reached."""
    found = config.stash.get(_RATIOS, None)
    if found is None or not found.measuring:
        return
    terminalreporter.section("ratios within this run")
    width = max(len(row.name) for row in found.rows)
    terminalreporter.line(f"{'':{width}} |    found |   goal | reached")
    for row in found.rows:
        terminalreporter.line(
            f"{row.name:{width}} | {row.value:8.3g} | {row.goal:>6} | {row.verdict}"
        )
