"""Tests of leakage.inference.concurrent: which faults must be inferred together."""

from dataclasses import replace

from leakage.systems import POWER, TOOLS

from corrosion.leakage.inference.concurrent import (
    FaultGroup,
    crowded,
    fault_groups,
    independent_faults,
    inferred_apart,
)
from corrosion.leakage.inference.evidence import Evidence
from corrosion.records.ship import Readings


def groups(evidence: list[Evidence]) -> list[FaultGroup]:
    return fault_groups(POWER, evidence, TOOLS)


def _clamped(*beside: int, insulation: float | None = None) -> Evidence:
    read = Readings(conductor="a", amps=0.2, insulation=insulation)
    return Evidence(readings=(read,), beside=beside)


def test_faults_that_nothing_links_are_alone() -> None:
    assert independent_faults([_clamped(), _clamped()]) == [0, 1]
    assert groups([_clamped(), _clamped()]) == []


def test_an_insulation_test_does_not_see_the_others() -> None:
    tested = Evidence(readings=(Readings(insulation=500.0),), beside=(0,))
    blank = Evidence(readings=(Readings(hull_volts=(None, None)),), beside=(0,))
    assert independent_faults([_clamped(), tested, blank]) == [0, 1, 2]
    seen = Evidence(readings=(Readings(lamps=("out", None, None)),), beside=(0,))
    assert independent_faults([_clamped(), seen]) == []


def test_companies_hang_together_and_come_in_order() -> None:
    every = [_clamped(3), _clamped(), _clamped(1), _clamped(), _clamped(0, 3)]
    one, two = groups(every)
    assert [member.column for member in one] == [1, 2]
    assert [member.column for member in two] == [3, 0, 4]
    assert [member.beside for member in two] == [(), (0,), (0, 1)]
    assert independent_faults(every) == []


def test_faults_found_at_the_same_moment_stand_beside_each_other() -> None:
    [pair] = groups([_clamped(1), _clamped(0)])
    assert [member.beside for member in pair] == [(1,), (0,)]


def test_the_three_lowest_are_inferred_and_the_rest_taken_as_tested() -> None:
    ohms = (5e3, 40.0, 9e4, 300.0, 2e3)
    others = [_clamped(insulation=each) for each in ohms]
    company = groups([*others, _clamped(0, 1, 2, 3, 4)])[0]
    last = company[-1]
    assert {company[k].column for k in last.beside} == {1, 3, 4}
    assert last.evidence.others == (("a", 5e3), ("a", 9e4))


def test_what_is_a_faults_own() -> None:
    first, second = groups([_clamped(), _clamped(0, insulation=700.0)])[0]
    assert first.own == first.evidence
    [left] = second.own.readings
    assert left == Readings(conductor="a", insulation=700.0)


def test_of_many_each_is_inferred_with_one_and_of_a_crowd_with_none() -> None:
    for count, beside in ((8, 3), (9, 1), (40, 1)):
        tests = [_clamped(*range(k), insulation=1e3 + k) for k in range(count)]
        (group,) = groups(tests)
        assert max(len(member.beside) for member in group) == beside
        assert crowded(tests) == (0 if count == 8 else count)
    crowd = [_clamped(*range(k), insulation=1e3 + k) for k in range(41)]
    assert groups(crowd) == []
    last, evidence = inferred_apart(crowd, TOOLS)[-1]
    assert last == 40
    assert evidence.others == tuple(("a", 1e3 + k) for k in range(40))


def test_wandering_goes_with_the_fault_that_it_belongs_to() -> None:
    one = replace(_clamped(0, 1, insulation=9e3), apart=(0.3, 0.7))
    swapped = [_clamped(insulation=50.0), _clamped(insulation=70.0), one]
    (group,) = groups(swapped)
    assert group[-1].beside == (0, 1)
    assert group[-1].evidence.apart == (0.3, 0.7)
