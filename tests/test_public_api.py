"""Tests of the package's face: its names, and how light it is to import."""

import importlib
import inspect
import os
import subprocess
import sys
from pathlib import Path

import pytest

import corrosion
from corrosion.foundation.defaults import SAMPLES

ROOT = Path(__file__).parents[1]
HEAVY = ("streamlit", "plotly", "pandas", "scipy.stats", "scipy.optimize", "pydantic")

# As the design prints them, so that scripts can rely on them.
BENCH = {
    "wastage.faraday": {
        "mass_loss": ["charge", "metal"],
        "penetration_mm_per_year": ["current_density", "metal"],
        "equivalent_weight": ["metal"],
    },
    "leakage.network": {"solve": ["system", "faults", "meter", "lamps"]},
    "leakage.lamps": {
        "filament_current": ["volts", "rated_volts", "rated_watts"],
        "relative_light": ["volts", "rated_volts"],
        "least_visible_fault": ["system"],
    },
    "leakage.readings": {"infer_fault": ["system", "readings"]},
    "hull.seawater": {"resistivity": ["salinity", "temperature"]},
    "hull.panels": {
        "resistance_matrix": ["panels", "resistivity"],
        "resistance_to_remote": ["panels", "resistivity"],
    },
    "hull.paths": {"water_currents": ["hull", "injected_a", "berth"]},
    "inspection.hunt": {"best_order": ["circuits"]},
    "records.monitor": {"charge": ["path", "gap"]},
}


def python(code: str) -> str:
    """Return what a fresh interpreter prints."""
    return subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    ).stdout.strip()


def test_all_is_sorted_and_complete() -> None:
    names = ["Estimate", "RecordError", "Ship", "estimate", "read_ship"]
    assert corrosion.__all__ == names == sorted(names)
    for name in names:
        assert callable(getattr(corrosion, name))


def test_estimate_is_the_function_whatever_is_imported_later() -> None:
    code = (
        "import corrosion, corrosion.estimate, corrosion.history.integrate\n"
        "from corrosion.estimate import estimate as run\n"
        "import importlib; importlib.import_module('corrosion.estimate')\n"
        "print(type(corrosion.estimate).__name__, corrosion.estimate.__name__)"
    )
    assert python(code) == "function estimate"
    code = "import corrosion.estimate, corrosion\nprint(callable(corrosion.estimate))"
    assert python(code) == "True"
    assert inspect.isfunction(corrosion.estimate)


@pytest.mark.parametrize(
    "module", ["corrosion", "corrosion.estimate", "corrosion.presentation.terminal.cli"]
)
def test_importing_stays_light(module: str) -> None:
    code = f"import sys, {module}\nprint([m for m in {HEAVY} if m in sys.modules])"
    assert python(code) == "[]"


def test_a_reader_is_fetched_when_it_is_used() -> None:
    code = (
        "import sys, corrosion\n"
        "before = 'corrosion.records.folder.read' in sys.modules\n"
        "corrosion.read_ship\n"
        "print(before, 'corrosion.records.folder.read' in sys.modules)"
    )
    assert python(code) == "False True"
    assert inspect.isfunction(corrosion.read_ship)


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="module 'corrosion' has no attribute 'x'"):
        corrosion.x  # noqa: B018 - that is the test


def test_the_version_is_that_of_the_project() -> None:
    written = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    one_place = f'version = "{corrosion.__version__}"' in written
    assert one_place or "dynamic" in written


def test_the_job_is_called_as_the_design_says() -> None:
    parameters = inspect.signature(corrosion.estimate).parameters
    assert list(parameters) == ["ship", "samples", "seed", "as_of", "on_progress"]
    assert parameters["samples"].default == SAMPLES
    assert parameters["seed"].default == 1
    assert next(iter(inspect.signature(corrosion.read_ship).parameters))


@pytest.mark.parametrize("module", BENCH)
def test_bench_functions_stand_where_the_design_says(module: str) -> None:
    found = importlib.import_module(f"corrosion.{module}")
    for name, expected in BENCH[module].items():
        parameters = inspect.signature(getattr(found, name)).parameters
        assert list(parameters)[: len(expected)] == expected


def test_every_module_has_a_word_to_say_about_itself() -> None:
    for path in sorted((ROOT / "corrosion").rglob("*.py")):
        text = path.read_text(encoding="utf-8").lstrip("r")
        assert text.startswith('"""') or not text.strip(), path.name
