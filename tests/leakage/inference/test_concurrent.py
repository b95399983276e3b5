"""Tests of leakage.inference.concurrent: which faults must be inferred together."""

from corrosion.leakage.inference.concurrent import fault_groups, independent_faults
from corrosion.leakage.inference.evidence import Evidence
from corrosion.records.ship import Readings


def _clamped(*beside: int, insulation: float | None = None) -> Evidence:
    read = Readings(conductor="a", amps=0.2, insulation=insulation)
    return Evidence(readings=(read,), beside=beside)


def test_faults_that_nothing_links_are_alone() -> None:
    assert independent_faults([_clamped(), _clamped()]) == [0, 1]
    assert fault_groups([_clamped(), _clamped()]) == []


def test_an_insulation_test_does_not_see_the_others() -> None:
    tested = Evidence(readings=(Readings(insulation=500.0),), beside=(0,))
    blank = Evidence(readings=(Readings(hull_volts=(None, None)),), beside=(0,))
    assert independent_faults([_clamped(), tested, blank]) == [0, 1, 2]
    seen = Evidence(readings=(Readings(lamps=("out", None, None)),), beside=(0,))
    assert independent_faults([_clamped(), seen]) == []


def test_companies_hang_together_and_come_in_order() -> None:
    every = [_clamped(3), _clamped(), _clamped(1), _clamped(), _clamped(0, 3)]
    one, two = fault_groups(every)
    assert [member.column for member in one] == [1, 2]
    assert [member.column for member in two] == [3, 0, 4]
    assert [member.beside for member in two] == [(), (0,), (0, 1)]
    assert independent_faults(every) == []


def test_faults_found_at_the_same_moment_stand_beside_each_other() -> None:
    [pair] = fault_groups([_clamped(1), _clamped(0)])
    assert [member.beside for member in pair] == [(1,), (0,)]


def test_the_three_lowest_are_inferred_and_the_rest_taken_as_tested() -> None:
    ohms = (5e3, 40.0, 9e4, 300.0, 2e3)
    others = [_clamped(insulation=each) for each in ohms]
    company = fault_groups([*others, _clamped(0, 1, 2, 3, 4)])[0]
    last = company[-1]
    assert {company[k].column for k in last.beside} == {1, 3, 4}
    assert last.evidence.others == (("a", 5e3), ("a", 9e4))


def test_what_is_a_faults_own() -> None:
    first, second = fault_groups([_clamped(), _clamped(0, insulation=700.0)])[0]
    assert first.own == first.evidence
    [left] = second.own.readings
    assert left == Readings(conductor="a", insulation=700.0)
