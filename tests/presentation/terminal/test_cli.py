"""Tests of cli: exit codes, words, JSON, and what is left untouched."""

import hashlib
import io
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from records.folders import sound, with_cells, with_text

from corrosion.presentation.terminal import cli
from corrosion.presentation.terminal.texts import text_of

ROOT = Path(__file__).parents[3]
Run = Callable[..., "Outcome"]


class Outcome(NamedTuple):
    """What a command left behind."""

    code: int
    out: str
    err: str


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Return a function that runs the command line within this process."""
    monkeypatch.delenv("CORROSION_TRACEBACK", raising=False)
    monkeypatch.setenv("COLUMNS", "200")  # no word of a table breaks for want of width

    def command(*words: object) -> Outcome:
        monkeypatch.setattr(sys, "argv", ["corrosion", *map(str, words)])
        code: Any = 0
        try:
            cli.main()
        except SystemExit as leave:
            code = leave.code
        captured = capsys.readouterr()
        outcome = Outcome(int(code or 0), captured.out, captured.err)
        assert "Traceback" not in outcome.out + outcome.err
        assert "fault of the program" not in outcome.err
        return outcome

    return command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return sound(tmp_path / "teal")


def digest(folder: Path) -> dict[str, tuple[str, int]]:
    return {
        str(path.relative_to(folder)): (
            hashlib.sha256(path.read_bytes()).hexdigest(),
            path.stat().st_mtime_ns,
        )
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


HUNT = ("hunt", "--ship", "alongside")
COMPUTING = {
    "estimate": (),
    "leakage": (),
    "hull": (),
    "isolate": ("--within", "4h,7d", "--transformers", "--alarm", "5000"),
    "hunt": ("--system", "service", "--ship", "alongside"),
    "plan": ("--hours", "12", "--access", "inside,diver=8"),
}


@pytest.mark.parametrize("name", COMPUTING)
def test_computes_as_words_and_as_json_and_changes_nothing(
    name: str, folder: Path, run: Run, tmp_path: Path
) -> None:
    before = digest(folder)
    words = (name, folder, *COMPUTING[name], "--samples", 32, "--as-of", "2026-01-01")
    spoken = run(*words)
    assert (spoken.code, spoken.err) == (0, "")
    assert len(spoken.out.splitlines()) > 3
    printed = run(*words, "--json", "-")
    assert (printed.code, printed.err) == (0, "")
    target = tmp_path / "out.json"
    written = run(*words, "--json", target)
    assert (written.code, written.out, written.err) == (0, "", "")
    assert json.loads(target.read_text(encoding="utf-8")) == json.loads(printed.out)
    assert "NaN" not in printed.out
    assert "Infinity" not in printed.out
    assert digest(folder) == before


@pytest.mark.parametrize("name", ["check", "report", *COMPUTING])
def test_strict_makes_doubts_errors_on_every_command_that_reads_a_folder(
    name: str, folder: Path, run: Run, tmp_path: Path
) -> None:
    page = tmp_path / "r.html"
    words = {"check": (), "report": ("--html", page)} | COMPUTING
    found = run(name, folder, *words[name], "--strict")
    assert found.code == 1
    said = " ".join((found.out + found.err).split())
    assert "doubt: faults.csv:2: hull_v_b: fault F1: 20 V to hull on b" in said
    assert not page.exists()
    assert found.out == "" or name == "check"


def test_doubts_are_one_list_worst_first_on_every_surface(
    folder: Path, run: Run
) -> None:
    with_cells(folder, "gaugings:2", {"thickness_mm": "13.4"})
    with_cells(folder, "faults:2", {"insulation_ohm": "40", "lamp_b": "dim"})
    few = ("--samples", 16, "--json", "-")
    whole, leaking = (
        json.loads(run(name, folder, *few).out)["warnings"]
        for name in ("estimate", "leakage")
    )
    assert leaking == whole
    checked = [
        line.removeprefix("doubt: ")
        for line in run("check", folder).out.splitlines()
        if line.startswith("doubt: ")
    ]
    assert set(checked) <= set(whole)
    assert checked == [one for one in whole if one in checked]  # in the same order
    assert "13.4 mm is more than" in checked[0]


def test_one_seed_gives_one_answer_and_another_another(folder: Path, run: Run) -> None:
    words = (
        "estimate",
        folder,
        "--samples",
        16,
        "--json",
        "-",
        "--as-of",
        "2026-01-01",
    )
    first, again = (run(*words, "--seed", 3) for _ in range(2))
    assert first.out == again.out
    assert run(*words, "--seed", 4).out != first.out


def test_checks_a_sound_folder(folder: Path, run: Run) -> None:
    before = digest(folder)
    found = run("check", folder)
    assert found.code == 0
    last = found.out.splitlines()[-1]
    assert last.startswith("Teal: 3 zones, 2 systems, 3 faults, 2 berths, 3 gaugings")
    assert digest(folder) == before


@pytest.mark.parametrize("name", ["check", *COMPUTING])
def test_bad_records_are_all_told_and_nothing_is_estimated(
    name: str, folder: Path, run: Run
) -> None:
    with_cells(folder, "zones:2", {"built_mm": "ten"})
    with_cells(folder, "faults:3", {"system": "batery"})
    with_text(folder, "ship.toml", "length_m = 60.0", "length_m = -60.0")
    before = digest(folder)
    found = run(name, folder, *COMPUTING.get(name, ()))
    assert (found.code, found.out) == (1, "")
    assert "problem: zones.csv:2: built_mm: 'ten'" in found.err
    assert (
        "faults.csv:3: system: no system 'batery'; did you mean 'battery'?" in found.err
    )
    assert "problem: ship.toml:3: ship.length_m: -60" in found.err
    assert found.err.splitlines()[-1] == "3 problems; nothing was estimated"
    assert digest(folder) == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("frobnicate",), "No such command"),
        ((), "Usage:"),
        (("estimate",), "Missing argument"),
        (("estimate", "no-such-folder"), "no-such-folder"),
        (("check", "no-such-folder"), "no-such-folder"),
        (("metal", "stel"), "no metal 'stel'; did you mean 'steel'?"),
        (("metal", "steel", "--amps", "-1"), "amps must be 0 A or more, got -1 A"),
        (("metal", "steel", "--amps", "nan"), "amps must be 0 A or more"),
        (("metal", "steel", "--amps", "x"), "'x' is not a valid float"),
        (("metal", "steel", "--amps", "1e300", "--years", "1e300"), "give less"),
        (("dashboard", "no-such-folder"), "no-such-folder"),
        (("charge",), "Missing argument"),
        (("charge", "no-such-log.csv"), "no-such-log.csv"),
        (("charge", "."), "File '.' is a directory"),
    ],
)
def test_wrong_use_is_two(words: tuple[str, ...], says: str, run: Run) -> None:
    found = run(*words)
    assert (found.code, found.out) == (2, "")
    assert says in found.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("estimate", "--frob"), "No such option"),
        (("estimate", "--as-of", "2026-13-01"), "is not a date that exists"),
        (("estimate", "--as-of", "yesterday"), "write 1994, 1994-06"),
        (("estimate", "--as-of", "1900-01-01"), "must lie after the ship was built"),
        (("estimate", "--samples", "-4"), "-4 is not in the range"),
        (("estimate", "--samples", "0"), "0 is not in the range"),
        (("estimate", "--samples", "many"), "not a valid integer"),
        (("estimate", "--seed", "-1"), "-1 is not in the range"),
        (("hull", "--as-of", "1900-01-01"), "must lie after the ship was built"),
        (("hunt",), "Missing option '--system'"),
        (("hunt", "--system", "service"), "Missing option '--ship'"),
        (("hunt", "--system", "service", "--ship", "moored"), "'dead ship'"),
        ((*HUNT, "--system", "servise"), "did you mean 'service'?"),
        (("plan", "--hours", "-3"), "-3"),
        (("plan", "--hours", "9", "--access", "boat"), "no access 'boat'"),
        (("plan", "--hours", "9", "--access", "diver=x"), "write it as diver=8"),
        (("plan", "--hours", "9", "--access", "diver=-2"), "write it as diver=8"),
        (("isolate", "--within", "4x"), "'4x' is not a time"),
        (("isolate", "--alarm", "0"), "alarm level above 0 Ω"),
        (("isolate", "--joint", "M1"), "no zone 'M1'"),
        (("isolate", "--repair", "L1,L99"), "no circuit with faults 'L"),
        (("isolate", "--paint", "P", "--painted", "soon"), "soon"),
        (("isolate", "--paint", "P"), "--paint ZONE and --painted DATE go together"),
        (("isolate", "--painted", "2016"), "--paint ZONE and --painted DATE go"),
        (("isolate", "--heeded", "3"), "--alarm-noticed-after goes with --alarm"),
        (("isolate", "--alarm-noticed-after", "3"), "goes with --alarm"),
        (("isolate", "--alarm", "9", "--heeded", "inf"), "inf is not in the range"),
        ((*HUNT, "--system", "service", "--still-showing", "L99"), "no circuit 'L99'"),
        ((*HUNT, "--system", "service", "--gone-with", "L99"), "no circuit 'L99'"),
        ((*HUNT, "--system", "service", "--stayed", "L99"), "no circuit 'L99'"),
    ],
)
def test_wrong_use_on_a_sound_folder_is_two(
    words: tuple[str, ...], says: str, folder: Path, run: Run
) -> None:
    name, *options = words
    few = () if "--samples" in options else ("--samples", 8)
    found = run(name, folder, *options, *few)
    assert (found.code, found.out) == (2, "")
    assert says in found.err


def test_a_target_that_cannot_be_written_is_wrong_use(folder: Path, run: Run) -> None:
    target = folder / "nowhere" / "out.json"
    found = run("estimate", folder, "--samples", 8, "--json", target)
    assert (found.code, found.out) == (2, "")
    assert f"cannot write {target}" in found.err


@pytest.mark.parametrize("words", [("--help",), ("-h",), ("--version",)])
def test_help_is_no_error(words: tuple[str, ...], run: Run) -> None:
    found = run(*words)
    assert (found.code, found.err) == (0, "")
    assert "corrosion" in found.out


@pytest.mark.parametrize("name", ["check", "new", "metal", "charge", *COMPUTING])
def test_every_command_has_help(name: str, run: Run) -> None:
    found = run(name, "--help")
    assert found.code == 0
    assert len(found.out) > 100


def test_a_new_folder_is_sound_and_is_not_written_twice(
    tmp_path: Path, run: Run
) -> None:
    made = tmp_path / "example"
    assert run("new", made).code == 0
    assert run("check", made).code == 0
    assert run("estimate", made, "--samples", 8).code == 0
    before = digest(made)
    again = run("new", made)
    assert again.code == 2
    assert "nothing was written" in again.err
    assert digest(made) == before


def test_a_metal_is_converted_with_its_source(run: Run) -> None:
    spoken = run("metal", "steel", "--amps", 1, "--years", 1)
    assert spoken.code == 0
    assert "dissolves 9.133 kg" in spoken.out
    assert "Source:" in spoken.out
    found = json.loads(run("metal", "zinc", "--json", "-").out)
    # 32.69 g a mole of electrons for 365.25 days.
    assert found["kg"] == pytest.approx(365.25 * 86400 * 32.69e-3 / 96485.332, rel=1e-3)


def test_a_log_is_integrated(folder: Path, run: Run, tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    rows = [f"2026-01-01T00:{m:02d}:00Z,service,0.5,ac" for m in range(60)]
    log.write_text("\n".join(["time,system,amps,current", *rows]) + "\n", "utf-8")
    (row,) = json.loads(run("charge", log, "--json", "-").out)["rows"]
    assert row["charge_ah"] == pytest.approx(0.5, rel=0.03)
    assert run("charge", log).code == 0
    gone = run("charge", log, "--gap", "30s")
    assert "loses 0.9833 of its 0.9833 hours in gaps" in " ".join(gone.out.split())
    held = json.loads(run("charge", log, "--writes", "on-change", "--json", "-").out)
    assert held["rows"][0]["writes"] == "on change"
    assert run("charge", log, "--gap", "soon").code == 2


def test_progress_is_told_on_a_terminal_and_wiped_out(
    folder: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ("estimate", folder, "--samples", 16, "--as-of", "2026-01-01", "--json")
    silent = run(*words, "-")
    monkeypatch.setattr(type(sys.stderr), "isatty", lambda _: True)
    told = run(*words, "-")
    assert (silent.err, told.out) == ("", silent.out)
    assert "% of the estimate" in told.err
    assert told.err.endswith(" \r")


def test_a_wrong_measure_is_said_before_the_long_work(
    folder: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def long_work(*_: object) -> None:
        pytest.fail("the estimate was begun")

    monkeypatch.setattr(
        "corrosion.presentation.terminal.options.run_estimate", long_work
    )
    assert run("isolate", folder, "--repair", "L99").code == 2


def test_faults_that_were_never_written_are_said_to_be_none(
    folder: Path, run: Run
) -> None:
    (folder / "faults.csv").unlink()
    found = run("isolate", folder, "--samples", 8)
    assert "\nNo ground fault is written.\n" in found.out
    assert "Of the ground faults" not in found.out


def test_a_panel_and_the_conductor_are_told_on_the_hunt_sheet(
    folder: Path, run: Run
) -> None:
    circuits = "system,circuit,fed_from,permission\nservice,P,,none\n"
    circuits += "".join(
        f"service,L{n},P,none\nservice,K{n},,none\n" for n in range(1, 5)
    )
    (folder / "circuits.csv").write_text(circuits, encoding="utf-8")
    found = run(*HUNT[:1], folder, *HUNT[1:], "--system", "service", "--conductor", "b")
    said = " ".join(found.out.split())
    assert "(panel, before its branches)" in said
    assert "A panel is opened first" in said
    assert "; the lamps point to conductor b" in said
    assert said.startswith("That no danger is named")


def test_an_output_that_has_not_every_letter_gets_all_that_it_has(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written = io.BytesIO()
    narrow = io.TextIOWrapper(written, encoding="cp1252", write_through=True)
    monkeypatch.setattr(sys, "stdout", narrow)
    monkeypatch.setattr(
        sys, "argv", ["corrosion", "hull", str(folder), "--samples", "8"]
    )
    cli.main()
    assert b"\\u03a9" in written.getvalue()  # Ω


def test_the_file_of_all_zones_of_a_fleet_is_named(
    folder: Path, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "cache"))
    found = run("fleet", folder.parent, "--workers", 1, "--samples", 8)
    said = "".join(found.out.split())  # a long name goes on in the next line
    named = said.partition("Allzonesofallships:")[2].partition(".parquet")[0]
    assert Path(f"{named}.parquet").is_file()
    assert "\n1 ship as of" in found.out


def test_what_changes_nothing_is_not_told_in_powers_of_ten() -> None:
    none = {"mean": 0.0, "p10": 0.0, "p50": 0.0, "p90": 0.0}
    row = {
        "measure": "isolators",
        "needs": "licensed electrician",
        "caution": None,
        "within_hours": 4.0,
        "stray_kg": none,
        "saved_kg": none,
        "saved_ceiling_kg": none | {"p50": -8.88e-16},
        "zones_below_limit": 0.0,
        "most_kept_zone": "Z",
        "most_kept_mm": none,
        "fault_hours_saved": none,
        "from_now": {"kept_kg": none, "second_faults": {"another_conductor": 0.0}},
    }
    stood: dict[str, Any] = {"curve": [], "median_hours": None, "note": "none"}
    answer = {"ship": "Teal", "as_of": "2026-11-25", "dangers": [], "durations": stood}
    told = text_of("isolate", answer | {"limits": [row], "measures": [row]}, 200)
    assert told.count("over -0.0001 (0 to 0)") == 2
    assert "e-16" not in told
