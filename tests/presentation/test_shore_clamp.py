"""Tests of the clamp on the shore cable, from a ship's folder to JSON and sentences."""

import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from corrosion.presentation.answers.hull import hull_result
from corrosion.presentation.answers.shore_clamp import CLAMP_CAUTION, clamp_sentences
from corrosion.presentation.terminal.texts import text_of
from corrosion.records.folder.read import read_ship

DATA = Path(__file__).parents[2] / "data" / "grey-plover"
READING = (
    "time,system,circuit,clamped,amps,current\n"
    "2026-03-02,ship service,shore cable,earth lead,0.25,dc\n"
)


def asked(folder: Path) -> dict[str, Any]:
    return hull_result(read_ship(folder), samples=64, as_of=date(2026, 6, 1))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo without the isolator at her last berth."""
    at = tmp_path / "ship"
    shutil.copytree(DATA, at)
    berths = at / "berths.csv"
    text = berths.read_text(encoding="utf-8")
    berths.write_text(text.replace("0.10,0.6,0.28,yes", "0.10,0.6,0.28,no"), "utf-8")
    return at


def test_before_it_is_taken_it_is_said_what_it_would_tell(folder: Path) -> None:
    found = asked(folder)
    clamp = found["berths"][-1]["clamp"]
    assert clamp["taken_ma"] == []
    assert clamp["after"] is None
    would = clamp["would_tell"]
    assert len(would) >= 3
    for row in would:
        low, high = row["couple_amps"]["p10"], row["couple_amps"]["p90"]
        assert low - 0.03 < row["reading_ma"] / 1e3 < high + 0.03
        # 9.126 kg of iron a year for an ampere
        assert row["kg_per_year"]["p50"] == pytest.approx(
            9.126 * row["couple_amps"]["p50"], rel=1e-3
        )
    caution, said = clamp_sentences(found["berths"][-1])
    assert caution == CLAMP_CAUTION
    assert "mA would mean" in said
    text = " ".join(text_of("hull", found, 90).split())
    assert text.index("never pull the plug") < text.index("mA would mean")


def test_after_it_is_taken_it_is_said_what_it_told(folder: Path) -> None:
    (folder / "readings.csv").write_text(READING, encoding="utf-8")
    berth = asked(folder)["berths"][-1]
    before, after = (berth["clamp"][k]["couple_amps"] for k in ("before", "after"))
    assert after["p50"] == pytest.approx(0.25, abs=0.03)
    assert after["p90"] - after["p10"] < 0.5 * (before["p90"] - before["p10"])
    # the couple that the berth's own line shows is the one that was learned
    assert berth["couple_amps"]["p50"] == pytest.approx(after["p50"], rel=1e-9)
    (said,) = clamp_sentences(berth)
    assert "read 250 mA" in said


def test_an_isolator_or_no_lead_leaves_nothing_to_clamp(folder: Path) -> None:
    berths = asked(folder)["berths"]
    assert berths[0]["clamp"] is None  # at sea
    assert clamp_sentences(berths[0]) == []
