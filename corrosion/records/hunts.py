"""Hunts for a fault as they were written down, step by step."""

from dataclasses import dataclass

from corrosion.records.dates import When
from corrosion.records.kinds import HuntAct


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntStep:
    """One row of a file in hunts/."""

    time: When  # when
    # `began`, `looked`, `clamped`, `opened`, `tested`, `closed`, `skipped`,
    # `isolated` or `cleared`
    act: HuntAct
    circuit: str | None = None  # to which circuit; the system, of ``began``
    # `stayed` or `went`, milliamperes, ohms, or how the ship lay, as written
    result: str = ""
    # the result as a number: amperes of `clamped` [A], ohms of `tested` [Ω]
    number: float | None = None
    # by, remark: who; words
    by: str = ""
    remark: str = ""
    line: int = 0  # line in its file, for messages


@dataclass(frozen=True, slots=True, kw_only=True)
class Hunt:
    """One hunt: a file of hunts/, to which rows are only ever added."""

    hunt: str  # the file's name: a fault's id, or the system and a date
    steps: tuple[HuntStep, ...]  # in file order

    @property
    def system(self) -> str | None:
        """The system hunted in, of the row ``began``."""
        begun = (step.circuit for step in self.steps if step.act == "began")
        return next(begun, None)
