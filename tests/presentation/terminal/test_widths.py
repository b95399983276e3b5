"""What every command prints, on the screen of a terminal emulator of several widths."""

import os
import pty
import subprocess
import sys
from pathlib import Path
from unittest.mock import patch

import click
import pyte
import pytest
from records.folders import sound, with_text

from corrosion.presentation.terminal import cli, output
from corrosion.presentation.terminal.lines import paragraph, printable
from corrosion.presentation.terminal.texts import text_of
from corrosion.presentation.units import METRIC, UnitSystem
from corrosion.records.folder.column_docs import columns_text

WIDTHS = (60, 80, 200)
FEW = ("--samples", "8", "--as-of", "2026-01-01")
ODD = "old \x1b[2J\x07 bell"  # clears the screen of whoever prints it as it stands
COMMANDS = {
    "estimate": FEW,
    "leakage": FEW,
    "hull": FEW,
    "isolate": ("--within", "4h,7d", "--transformers", "--alarm", "5000", *FEW),
    "hunt": ("--system", "service", "--ship", "alongside", *FEW),
    "plan": ("--hours", "12", *FEW),
    "docking": FEW,
    "check": (),
    "surveys": (),
}


def on_screen(text: str, width: int) -> list[str]:
    """Return the lines that a terminal shows after some text."""
    screen = pyte.Screen(width, len(text.splitlines()) + 20)
    screen.set_mode(pyte.modes.LNM)
    pyte.Stream(screen).feed(text)
    return [line.rstrip() for line in screen.display]


def broken(lines: list[str], width: int) -> list[str]:
    """Return lines with a path that is wider than the terminal broken by it alone."""
    shown = []
    for line in lines:
        alone = line.startswith("/") and " " not in line
        step = width if alone else max(len(line), 1)
        shown += [line[k : k + step] for k in range(0, max(len(line), 1), step)]
    return shown


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = sound(tmp_path_factory.mktemp("ships") / "teal")
    name = ODD.replace("\x1b", "\\u001b").replace("\x07", "\\u0007")
    with_text(made, "ship.toml", '"Teal"', f'"{name}"')
    return made


@pytest.fixture(scope="module")
def printed(
    folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> dict[tuple[str, int], str]:
    """Return what each command prints at each width; each is computed once."""
    lines: dict[int, list[str]] = {}

    def written(_output: object, result: object, units: UnitSystem = METRIC) -> None:
        command = click.get_current_context().info_name or ""
        for width in WIDTHS:
            lines[width].append(printable(text_of(command, result, width, units)))

    def said(words: str, *, err: bool = False) -> None:
        del err
        for width in WIDTHS:
            lines[width] += (
                printable(paragraph(line, width, "  ")) for line in words.splitlines()
            )

    found: dict[tuple[str, int], str] = {}
    log = tmp_path_factory.mktemp("logs") / "hull.csv"
    rows = [f"2026-01-01T00:{m:02d}:00Z,service,0.5,ac" for m in range(0, 60, 7)]
    log.write_text("\n".join(["time,system,amps,current", *rows, ""]))
    words = {name: (name, str(folder), *more) for name, more in COMMANDS.items()}
    words["charge"] = ("charge", str(log), "--gap", "30s")
    words["metal"] = ("metal", "steel")
    words["fleet"] = ("fleet", str(folder.parent), "--workers", "1", *FEW)
    with (
        pytest.MonkeyPatch.context() as patched,
        patch.object(output, "write_result", written),
        patch.object(output, "say", said),
    ):
        patched.setenv("CORROSION_CACHE", str(log.parent / "cache"))
        for name, given in words.items():
            lines.update({width: [] for width in WIDTHS})
            cli.cli.main(list(given), standalone_mode=False)
            found |= {(name, w): "\n".join(lines[w]) for w in WIDTHS}
    return found


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_is_wider_than_the_terminal(
    printed: dict[tuple[str, int], str], width: int
) -> None:
    names = {name for name, _ in printed}
    assert names == {*COMMANDS, "charge", "metal", "fleet"}
    for name in names:
        text = printed[name, width]
        shown, lines = on_screen(text, width), broken(text.splitlines(), width)
        assert shown[: len(lines)] == lines, name
        assert not any(shown[len(lines) :]), name


def test_what_a_narrow_table_leaves_out_is_said(
    printed: dict[tuple[str, int], str],
) -> None:
    narrow = " ".join(printed["estimate", 60].split())
    assert "left out to fit 60 columns (--csv has all)" in narrow
    assert "Leading fault" in narrow
    assert "cause" in printed["estimate", 80].partition("(left out")[0]


def test_control_characters_are_seen_and_do_nothing(
    printed: dict[tuple[str, int], str],
) -> None:
    assert r"old \x1b[2J\x07 bell" in printed["estimate", 200]
    for (name, width), text in printed.items():
        assert all(c.isprintable() or c == "\n" for c in text), (name, width)


@pytest.mark.parametrize("width", [60, 80])
def test_columns_are_told_in_lines_that_fit(width: int) -> None:
    text = columns_text(width=width)
    assert max(map(len, text.splitlines())) <= width
    assert columns_text(width=60).split() == columns_text().split()


def test_on_a_terminal_of_its_own(folder: Path) -> None:
    ours, theirs = pty.openpty()
    environment = os.environ | {"COLUMNS": "60", "LINES": "24"}
    with subprocess.Popen(
        [sys.executable, "-m", "corrosion", "check", str(folder)],
        stdout=theirs,
        stderr=theirs,
        env=environment,
    ) as process:
        os.close(theirs)
        parts = []
        while True:
            try:
                parts.append(os.read(ours, 4096))
            except OSError:  # the other end is closed
                break
            if not parts[-1]:
                break
    os.close(ours)
    assert process.returncode == 0
    text = b"".join(parts).decode()
    lines = [line for line in text.replace("\r", "").splitlines() if line]
    assert len(lines) > 5
    assert max(map(len, lines)) <= 60
    assert "\x1b" not in text
    assert [line for line in on_screen(text, 60) if line] == lines


def test_sentences_are_not_broken_where_there_is_no_terminal(
    capsys: pytest.CaptureFixture[str],
) -> None:
    output.say("word " * 60)
    assert capsys.readouterr().out.count("\n") == 1


def test_a_number_stays_with_its_unit() -> None:
    words = "resistance to remote earth of 0.00569 Ω, and 12 kg of steel"
    assert paragraph(words, 38).splitlines()[1].startswith("0.00569 Ω")
    assert " ".join(paragraph(words, 38).split()) == words
