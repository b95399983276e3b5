"""Metals: the table, and a metal of one's own."""

import pytest

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.wastage.metals import ATOMIC_MASSES, FARADAY, METALS, Metal, metal

NAMES = (
    "steel",
    "cast iron",
    "stainless 304",
    "stainless 316",
    "aluminium 5083",
    "aluminium 6061",
    "copper",
    "brass",
    "nickel-aluminium bronze",
    "copper-nickel 90/10",
    "copper-nickel 70/30",
    "zinc",
    "lead",
)


def own(
    composition: tuple[tuple[str, float, int], ...] = (("Fe", 100.0, 2),),
    *,
    density: float = 7870.0,
    natural_ratio: float = 1.0,
) -> Metal:
    return Metal(
        name="mine",
        density=density,
        composition=composition,
        natural_ratio=natural_ratio,
        source="invented",
    )


def test_holds_the_metals_of_a_hull_and_no_others() -> None:
    assert tuple(METALS) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_every_metal_adds_up_and_names_its_source(name: str) -> None:
    found = metal(name)
    assert found.name == name
    assert sum(percent for _, percent, _ in found.composition) == pytest.approx(100.0)
    assert found.source
    assert 0.0 < found.natural_ratio <= 1.5
    assert METALS["steel"].natural_ratio == 1.0


@pytest.mark.parametrize("name", NAMES)
def test_equivalent_weight_counts_electrons(name: str) -> None:
    # Another route: dissolve 1,000 g of the alloy atom by atom and count electrons.
    found = metal(name)
    atoms = {
        symbol: 10.0 * percent / ATOMIC_MASSES[symbol] * 6.02214076e23
        for symbol, percent, _ in found.composition
    }
    electrons = sum(n * atoms[symbol] for symbol, _, n in found.composition)
    coulombs = electrons * 1.602176634e-19
    assert found.charge_per_mass == pytest.approx(coulombs, rel=1e-12)
    assert found.charge_per_volume == pytest.approx(coulombs * found.density, rel=1e-12)
    assert found.equivalent_weight == pytest.approx(1e3 * FARADAY / coulombs, rel=1e-12)


def test_order_of_elements_does_not_matter() -> None:
    parts = METALS["stainless 316"].composition
    turned = own(parts[::-1])
    assert turned.equivalent_weight == pytest.approx(
        METALS["stainless 316"].equivalent_weight, rel=1e-14
    )


def test_a_metal_passes_through() -> None:
    mine = own()
    assert metal(mine) is mine


def test_the_table_cannot_be_changed() -> None:
    with pytest.raises(TypeError, match="does not support item assignment"):
        METALS["steel"] = own()  # type: ignore[index] # what is tried here


def test_unknown_metal_offers_the_nearest() -> None:
    with pytest.raises(LookupFailed, match=r"no metal 'aluminum 5083'; did you mean"):
        metal("aluminum 5083")


@pytest.mark.parametrize(
    ("composition", "match"),
    [
        ((("Fe", 1.0, 2),), r"must add up to 100 .*got 1\. Give per cent"),
        ((("Fe", 90.0, 2), ("Cr", 20.0, 3)), "must add up to 100"),
        ((("Xx", 100.0, 2),), "no element 'Xx'; known: Al, Cr"),
        ((("Fe", 100.0, 0),), "Fe needs a positive mass per cent and valence"),
        ((("Fe", 101.0, 2), ("Cr", -1.0, 3)), "Cr needs a positive mass per cent"),
        ((), "must add up to 100"),
    ],
)
def test_refuses_an_impossible_composition(
    composition: tuple[tuple[str, float, int], ...], match: str
) -> None:
    with pytest.raises(InputError, match=match):
        own(composition)


@pytest.mark.parametrize(
    ("density", "ratio"), [(0.0, 1.0), (float("nan"), 1.0), (7870.0, -0.1)]
)
def test_refuses_an_impossible_property(density: float, ratio: float) -> None:
    with pytest.raises(
        InputError, match=r"density must be > 0 kg/m³ and natural_ratio"
    ):
        own(density=density, natural_ratio=ratio)
