"""Tests of hull.electrodes: its table, and the laws that it gives."""

import csv
from importlib.resources import files

import numpy as np
import pytest

from corrosion.foundation.assumptions import default_assumptions
from corrosion.hull.electrodes import LAWS, STEEL, Electrodes
from corrosion.hull.uncertain import EARTHS
from corrosion.wastage.metals import METALS

TABLE = default_assumptions()
ROWS = list(
    csv.DictReader(
        (files("corrosion.hull") / "electrodes.csv").read_text("utf-8").splitlines()
    )
)


@pytest.mark.parametrize("row", ROWS, ids=[row["metal"] for row in ROWS])
def test_every_law_names_its_source_and_where_its_spread_stands(
    row: dict[str, str],
) -> None:
    assert len(row["source"]) > 5
    assert row["standing"] in ("published", "from memory", "judgement")
    for name in row["spread"].split("; "):
        assert TABLE[name].median > 0.0


def test_every_metal_of_the_metals_table_and_every_earth_has_a_law() -> None:
    assert set(METALS) <= set(LAWS)
    assert {earth.law for earth in EARTHS.values()} <= set(LAWS)
    assert set(STEEL) <= set(LAWS)


def test_nothing_leaves_a_metal_at_its_rest_and_every_term_rises() -> None:
    laws = Electrodes.of(list(LAWS.values()), 1)
    at_rest = laws.at(laws.rest)
    assert at_rest.net == pytest.approx(0.0, abs=1e-15)
    step = 1e-6
    rise = (laws.at(laws.rest + step).net - at_rest.net) / step
    assert rise == pytest.approx(at_rest.slope, rel=1e-3)
    assert (at_rest.slope > 0.0).all()
    assert np.isfinite(laws.at(laws.rest - 1.0).net).all()
