"""The command line in a process of its own: what only a shell meets."""

import json
import math
import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from presentation.terminal.test_cli import digest
from records.folders import sound

ROOT = Path(__file__).parents[3]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return sound(tmp_path / "teal")


def finite(thing: Any) -> bool:
    if isinstance(thing, dict):
        return all(map(finite, thing.values()))
    if isinstance(thing, list):
        return all(map(finite, thing))
    return not isinstance(thing, float) or math.isfinite(thing)


def shell(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run Python in a process of its own, away from the sources."""
    return subprocess.run(
        [sys.executable, "-W", "error", *words],
        capture_output=True,
        text=True,
        check=False,
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )


def test_the_invented_ship_from_a_shell(tmp_path: Path) -> None:
    place = ROOT / "data" / "grey-plover"
    before = digest(place)
    words = ("estimate", str(place), "--samples", "16", "--json", "-")
    done = shell("-m", "corrosion", *words, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    found = json.loads(done.stdout)
    assert finite(found)
    assert found["zones"][0]["rank"] == 1
    assert digest(place) == before


def test_a_fault_of_the_program_is_said_without_a_traceback(
    folder: Path, tmp_path: Path
) -> None:
    code = (
        "import sys, corrosion.estimate as e\n"
        "def broken(*a, **k): raise ZeroDivisionError('a test')\n"
        "sys.modules['corrosion.estimate'].estimate = broken\n"
        "from corrosion.presentation.terminal.cli import main\n"
        f"sys.argv = ['corrosion', 'estimate', {str(folder)!r}]\n"
        "main()\n"
    )
    done = shell("-c", code, cwd=tmp_path)
    assert done.returncode == 1
    assert "this is a fault of the program" in done.stderr
    assert "ZeroDivisionError: a test" in done.stderr
    assert "Traceback" not in done.stderr


def test_output_into_a_closed_pipe_is_no_traceback(folder: Path) -> None:
    words = ["-m", "corrosion", "estimate", str(folder), "--samples", "8"]
    with subprocess.Popen(
        [sys.executable, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as process:
        assert process.stdout is not None
        process.stdout.close()
        assert process.stderr is not None
        said = process.stderr.read()
    assert "Traceback" not in said
    assert "fault of the program" not in said


SETTLED = """
import gc, os, sys
from corrosion.__main__ import main
sys.argv = ["corrosion", "metal", "steel", "--json", os.devnull]
main()
import numpy
from threadpoolctl import threadpool_info
print({one["num_threads"] for one in threadpool_info()}, gc.get_freeze_count() > 1000)
"""


def test_one_thread_of_linear_algebra_and_nothing_cleared_up_at_the_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("OPENBLAS_NUM_THREADS")
    done = shell("-c", SETTLED, cwd=tmp_path)
    assert done.stderr == ""
    assert done.stdout.endswith("{1} True\n")


BEGUN = """
import sys
from pathlib import Path
from corrosion.__main__ import main
Path(sys.argv[1]).touch()
sys.argv = ["corrosion", *sys.argv[2:]]
main()
"""


LONG = os.environ.get("CORROSION_LONG") == "1"
WAITS = (0.0, 0.2, 0.6, 1.5, 2.5) if LONG else (0.0, 0.6, 1.5)


@pytest.mark.parametrize("wait", WAITS)
def test_an_interrupt_is_130_without_a_word_and_leaves_no_half_file(
    wait: float, folder: Path, tmp_path: Path
) -> None:
    many = 20 if LONG else 1
    place, begun = tmp_path / "out", tmp_path / "begun"
    place.mkdir()
    for n in range(many):
        words = ["estimate", str(folder), "--samples", "256", "--json"]
        begun.unlink(missing_ok=True)
        with subprocess.Popen(
            [sys.executable, "-c", BEGUN, begun, *words, str(place / "out.json")],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        ) as process:
            while not begun.exists():  # before, the interpreter itself begins
                assert process.poll() is None
                time.sleep(0.001)
            time.sleep(wait + 0.01 * n)
            process.send_signal(signal.SIGINT)
            out, err = process.communicate()
        assert (out, err) == (b"", b"")
        assert process.returncode in (130, 0)  # 0: it was done before
        for file in place.iterdir():
            assert json.loads(file.read_text(encoding="utf-8"))["zones"]


def children_of(pid: int) -> list[int]:
    with suppress(OSError):  # it has ended
        return [*map(int, Path(f"/proc/{pid}/task/{pid}/children").read_text().split())]
    return []


@pytest.mark.skipif(sys.platform != "linux", reason="children are had on Linux alone")
@pytest.mark.skipif(os.cpu_count() == 1, reason="one core needs no children")
@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM, None])
def test_children_end_with_the_command_and_it_does_without_a_killed_one(
    sent: signal.Signals | None, folder: Path, tmp_path: Path
) -> None:
    """None: its children alone are ended, as a system short of memory may do."""
    target = tmp_path / "out.json"
    words = ["estimate", str(folder), "--samples", "256", "--json"]
    told: dict[str, Any] = {
        "stderr": subprocess.PIPE,
        "env": {**os.environ, "PYTHONPATH": str(ROOT), "CORROSION_KEEP": "no"},
    }
    command = [sys.executable, "-m", "corrosion", *words, str(target)]
    with subprocess.Popen(command, **told) as process:
        while not (begun := children_of(process.pid)) and process.poll() is None:
            time.sleep(0.001)
        assert begun
        if sent is None:
            for child in begun:
                os.kill(child, signal.SIGKILL)
        else:
            process.send_signal(sent)
        _, err = process.communicate()
    assert err == b""
    for _ in range(500):
        if not any(Path(f"/proc/{child}").exists() for child in begun):
            break
        time.sleep(0.01)
    else:
        pytest.fail("a child goes on")
    if sent is None:
        assert process.returncode == 0
        found = json.loads(target.read_text(encoding="utf-8"))
        done = subprocess.run(
            [*command[:-1], "-"], stdout=subprocess.PIPE, check=True, **told
        )
        assert json.loads(done.stdout) == found
    else:
        assert process.returncode == (130 if sent == signal.SIGINT else -sent)
        assert not target.exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is full")
def test_a_full_disk_is_a_sentence_and_not_a_fault_of_the_program() -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "corrosion", "metal", "steel"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
    assert done.returncode == 1
    assert done.stderr == "error: output: No space left on device\n"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is full")
@pytest.mark.parametrize(
    ("out", "err"), [("/dev/full", None), (None, "/dev/full"), ("/dev/full",) * 2]
)
def test_nothing_is_said_twice_where_nothing_can_be_told(
    out: str | None, err: str | None, folder: Path
) -> None:
    with (
        Path(out or os.devnull).open("wb") as first,
        Path(err or os.devnull).open("wb") as second,
    ):
        done = subprocess.run(
            [sys.executable, "-m", "corrosion", "check", str(folder)],
            stdout=first,
            stderr=second,
            check=False,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
    assert done.returncode == (1 if out else 0)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is full")
def test_a_file_onto_a_full_disk_is_no_wrong_use(tmp_path: Path) -> None:
    given = ("metal", "steel", "--json", "/dev/full")
    done = shell("-m", "corrosion", *given, cwd=tmp_path)
    assert done.returncode == 1
    words = "error: cannot write /dev/full: No space left on device. Choose another"
    assert done.stderr.startswith(words)


def test_help_draws_in_nothing_that_takes_long(tmp_path: Path) -> None:
    code = (
        "import sys; sys.argv = ['corrosion', 'estimate', '--help']\n"
        "from corrosion.presentation.terminal.cli import cli\n"
        "cli.main(standalone_mode=False)\n"
        "print(sorted({'numpy', 'pandas', 'scipy', 'plotly'} & {*sys.modules}))"
    )
    done = shell("-c", code, cwd=tmp_path)
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("output", [[], ["--json", "out.json"]])
def test_an_estimate_draws_in_no_tables_no_statistics_and_no_drawing(
    folder: Path, tmp_path: Path, output: list[str]
) -> None:
    code = (
        "import sys\n"
        f"sys.argv = ['corrosion', 'estimate', {str(folder)!r}, '--samples', '16', "
        f"*{output!r}]\n"
        "from corrosion.presentation.terminal.cli import cli\n"
        "cli.main(standalone_mode=False)\n"
        "slow = ['stats', 'optimize', 'spatial', 'sparse', 'linalg', 'interpolate']\n"
        "slow = {*(f'scipy.{each}' for each in slow), 'pandas', 'plotly', 'jinja2'}\n"
        "slow.add('corrosion.presentation.report')\n"
        "print(sorted(slow & {*sys.modules}))"
    )
    done = shell("-c", code, cwd=tmp_path)
    assert done.stdout.splitlines()[-1] == "[]", done.stderr
