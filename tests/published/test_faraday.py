"""Faraday's law, equivalent weights and atomic masses against printed numbers."""

import periodictable
import pytest
import scipy.constants
from published.printed import printed

from corrosion.foundation.units import DAY
from corrosion.wastage.faraday import (
    equivalent_weight,
    mass_loss,
    penetration_mm_per_year,
)
from corrosion.wastage.metals import ATOMIC_MASSES, FARADAY, METALS, Metal

YEAR_OF_365_DAYS = 365 * DAY


def alloy(*composition: tuple[str, float, int], density: float = 7870.0) -> Metal:
    return Metal(
        name="test piece",
        density=density,
        composition=composition,
        natural_ratio=1.0,
        source="invented",
    )


G102 = {
    "source": "ASTM G102, equivalent weights",
    "where": "Table 1",
    "status": "from memory",
}


@pytest.mark.published(**G102)
@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("steel", "27.92"),
        ("stainless 304", "25.12"),
        ("stainless 316", "25.50"),
        ("copper", "63.55"),
        ("zinc", "32.69"),
        ("lead", "103.6"),
    ],
)
def test_equivalent_weights_of_the_standard(name: str, value: str) -> None:
    assert equivalent_weight(name) == printed(value)


@pytest.mark.published(**G102)
@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("aluminium 5083", 9.09),
        ("aluminium 6061", 9.01),
        ("brass", 49.51),
        ("copper-nickel 90/10", 56.92),
        ("copper-nickel 70/30", 46.69),
    ],
)
def test_equivalent_weights_that_hang_on_the_middle_of_a_grade(
    name: str, value: float
) -> None:
    # Which composition the standard took within each grade is not known here, so that
    # its last digit cannot be held to: about one part in a thousand is.
    assert equivalent_weight(name) == pytest.approx(value, rel=1.2e-3)


@pytest.mark.published(**G102)
@pytest.mark.parametrize(
    ("composition", "value"),
    [
        ((("Al", 100.0, 3),), "8.99"),
        ((("Cu", 100.0, 2),), "31.77"),
        ((("Cu", 70.0, 2), ("Zn", 30.0, 2)), "32.04"),
        ((("Cu", 90.0, 2), ("Ni", 10.0, 2)), "31.51"),
        ((("Cu", 69.0, 2), ("Ni", 31.0, 2)), "30.98"),
    ],
)
def test_equivalent_weights_of_the_standard_with_copper_ii(
    composition: tuple[tuple[str, float, int], ...], value: str
) -> None:
    assert alloy(*composition).equivalent_weight == printed(value)


@pytest.mark.published(
    source="ASTM G102", where="constant K1, mm·g/(µA·cm·year)", status="from memory"
)
def test_k1_of_the_standard() -> None:
    # rate[mm/year] = K1 · i[µA/cm²] / ρ[g/cm³] · EW: with all three at one, K1 it is.
    # Copper(I) at a density of EW g/cm³ makes EW/ρ one.
    metal = alloy(("Cu", 100.0, 1), density=63.546e3)
    assert penetration_mm_per_year(1e-6 / 1e-4, metal) == printed("3.27e-3")


@pytest.mark.published(
    source="handbook consumption rates",
    where="kg a year of 365 days",
    status="from memory",
)
@pytest.mark.parametrize(
    ("metal", "value"),
    [
        ("steel", "9.13"),
        ("steel", "9.126"),
        ("lead", "33.9"),
        ("lead", "33.86"),
        ("zinc", "10.7"),
        ("zinc", "10.68"),
        (alloy(("Al", 100.0, 3)), "2.94"),
    ],
)
def test_an_ampere_for_a_year_dissolves(metal: str | Metal, value: str) -> None:
    assert mass_loss(YEAR_OF_365_DAYS, metal) == printed(value)


@pytest.mark.published(
    source="handbook value for iron of 7.87 g/cm³", where="1 A/m²", status="from memory"
)
def test_an_ampere_on_a_square_metre_of_iron_takes() -> None:
    assert penetration_mm_per_year(1.0) == printed("1.160")


@pytest.mark.published(
    source="CODATA, exact since 2019", where="Faraday constant", status="computed"
)
def test_faraday_constant() -> None:
    assert scipy.constants.value("Faraday constant") == pytest.approx(FARADAY, rel=1e-9)


@pytest.mark.published(
    source="periodictable, IUPAC atomic weights", where="every element", status="read"
)
@pytest.mark.parametrize("symbol", ATOMIC_MASSES)
def test_atomic_masses(symbol: str) -> None:
    reference = periodictable.elements.symbol(symbol).mass
    assert ATOMIC_MASSES[symbol] == pytest.approx(reference, rel=2e-5)


@pytest.mark.published(
    source="ASTM G1, densities", where="appendix", status="from memory"
)
@pytest.mark.parametrize(
    ("name", "grams_per_cm3"),
    [
        ("cast iron", 7.20),
        ("stainless 304", 7.94),
        ("stainless 316", 7.98),
        ("aluminium 5083", 2.66),
        ("aluminium 6061", 2.70),
        ("copper", 8.94),
        ("brass", 8.52),
        ("copper-nickel 90/10", 8.94),
        ("copper-nickel 70/30", 8.94),
        ("zinc", 7.13),
        ("lead", 11.34),
    ],
)
def test_densities(name: str, grams_per_cm3: float) -> None:
    assert METALS[name].density == pytest.approx(1e3 * grams_per_cm3)


@pytest.mark.published(
    source="handbooks of cast copper alloys",
    where="density of C95800, g/cm³",
    status="from memory",
)
def test_density_of_propeller_bronze() -> None:
    assert METALS["nickel-aluminium bronze"].density == pytest.approx(7.64e3)
