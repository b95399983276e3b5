"""Logs as people and their recorders write them, read as every other sheet is."""

import gzip
from pathlib import Path

import pytest

from corrosion.foundation.errors import RecordError
from corrosion.records.monitor.charge import charge

HEAD = "time,system,amps,current"
ISO = ("2026-01-01T00:00:00Z", "2026-01-01T00:00:10Z", "2026-01-01T00:00:20Z")
AMPS = ("0.5", "1.5", "2.5")
WHOLE = 30.0


def text(
    times: tuple[str, ...] = ISO,
    amps: tuple[str, ...] = AMPS,
    *,
    head: str = HEAD,
    mark: str = ",",
) -> str:
    """Return a log of three rows, invented; its charge is 30 C."""
    rows = [
        mark.join((when, "ship service", one, "dc"))
        for when, one in zip(times, amps, strict=True)
    ]
    return "\n".join([head.replace(",", mark), *rows, ""])


def coulombs(path: Path, content: str | bytes) -> tuple[float, list[str]]:
    """Return the charge of a log, and its doubts."""
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    frame = charge(path)
    return float(frame["charge"].iloc[0]), [*map(str, frame.attrs["doubts"])]


COMMA = tuple(one.replace(".", ",") for one in AMPS)
QUIET = {
    "utf-16": text(amps=COMMA, mark="\t").encode("utf-16"),
    "utf-16, packed": gzip.compress(text(amps=COMMA, mark=";").encode("utf-16")),
    "a hint and a title": f"sep=;\r\nHull log\r\n{text(amps=COMMA, mark=';')}",
    "a title of two lines": f"Hull current, invented\n\n{text()}",
    "points between semicolons": text(mark=";"),
    "quoted commas": text(amps=tuple(f'"{one}"' for one in COMMA)),
    "headings in capitals": text(head="TIME,System, AMPS ,Current"),
    "dates with points": text(
        tuple(f"25.11.2026 0:00:{second}" for second in ("00", "10", "20"))
    ),
    "named months": text(
        tuple(f"3 June 2026 14:00:{second}" for second in ("00", "10", "20"))
    ),
    "blank tails": "\n".join(line + ",," for line in text().splitlines()) + "\n",
}


@pytest.mark.parametrize("content", QUIET.values(), ids=QUIET.keys())
def test_what_reads_one_way_is_read_without_a_word(
    tmp_path: Path, content: str | bytes
) -> None:
    charged, doubts = coulombs(tmp_path / "a.csv", content)
    assert charged == pytest.approx(WHOLE)
    assert doubts == []


THOUSANDS = ("500", "1500", "2500")
SAID = {
    "mA alone": (text(amps=THOUSANDS, head="time,system,mA,current"), "in mA"),
    "mA in brackets": (
        text(amps=THOUSANDS, head="Time (UTC),Board,Leakage current (mA),current"),
        "'Leakage current (mA)' is taken for amps in mA",
    ),
    "mA behind": (text(amps=THOUSANDS, head="time,system,amps_mA,current"), "in mA"),
    "mA in the cells": (
        text(amps=tuple(f"{one} mA" for one in THOUSANDS)),
        "'500 mA' is read as 0.5 A",
    ),
    "day first, told by midnight": (
        text(("03/06/2026 23:59:50", "04/06/2026 00:00:00", "04/06/2026 00:00:10")),
        "'03/06/2026' is read as 2026-06-03, the day first",
    ),
    "month first, told by midnight": (
        text(("6/3/2026 11:59:50 PM", "6/4/2026 12:00:00 AM", "6/4/2026 12:00:10 AM")),
        "'6/3/2026' is read as 2026-06-03, the month first",
    ),
}


@pytest.mark.parametrize(("content", "words"), SAID.values(), ids=SAID.keys())
def test_each_reading_of_a_doubtful_cell_is_said(
    tmp_path: Path, content: str, words: str
) -> None:
    charged, doubts = coulombs(tmp_path / "a.csv", content)
    assert charged == pytest.approx(WHOLE)
    assert any(words in doubt for doubt in doubts)


@pytest.mark.parametrize("mark", [".", ","])
def test_a_thousandfold_ambiguity_is_said(tmp_path: Path, mark: str) -> None:
    amps = tuple(f"{whole}{mark}500" for whole in (1, 1, 2))
    charged, (doubt,) = coulombs(tmp_path / "a.csv", text(amps=amps, mark=";"))
    assert charged == pytest.approx(35.0)
    assert f"'1{mark}500' is read as 1.5 A" in doubt


def test_a_mark_of_thousands_is_told_by_the_column(tmp_path: Path) -> None:
    amps = ("0,5", "1.500", "0,5")
    charged, _ = coulombs(tmp_path / "a.csv", text(amps=amps, mark=";"))
    assert charged == pytest.approx(15005.0)


def test_words_for_nothing_known_are_blank_and_said(tmp_path: Path) -> None:
    times = (*ISO, "2026-01-01T00:00:30Z", "2026-01-01T00:00:40Z")
    content = text(times, ("1.0", "n/a", "1.0", "1.0", "1.0"))
    charged, doubts = coulombs(tmp_path / "a.csv", content)
    assert charged == pytest.approx(20.0)
    assert any("'n/a' is read as blank" in doubt for doubt in doubts)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (
            text(tuple(f"03/06/2026 00:00:{second}" for second in ("00", "10", "20"))),
            "may be day first or month first, and no row tells",
        ),
        (text(amps=("0,5", "1.25", "1,5"), mark=";"), "'1.25'; a number of amperes"),
        (text(("June 2026",) * 3), "'June 2026'; ISO 8601"),
        (f"{HEAD}\n", "a heading and no row below it"),
    ],
)
def test_what_nothing_tells_is_refused(
    tmp_path: Path, content: str, words: str
) -> None:
    with pytest.raises(RecordError, match=r"a\.csv") as caught:
        coulombs(tmp_path / "a.csv", content)
    assert words in str(caught.value)
