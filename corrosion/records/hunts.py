"""Hunts for a fault as they were written down, step by step."""

from dataclasses import dataclass

from corrosion.records.dates import When
from corrosion.records.kinds import HuntAct


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntStep:
    """One row of a file in hunts/.

    Attributes
    ----------
    time : When
        When.
    act : str
        ``began``, ``looked``, ``clamped``, ``opened``, ``tested``, ``closed``,
        ``skipped``, ``isolated`` or ``cleared``.
    circuit : str or None
        To which circuit; the system, of ``began``.
    result : str
        ``stayed`` or ``went``, milliamperes, ohms, or how the ship lay, as written.
    number : float or None
        The result as a number: amperes of ``clamped`` [A], ohms of ``tested`` [Ω].
    by, remark : str
        Who; words.
    line : int
        Line in its file, for messages.
    """

    time: When
    act: HuntAct
    circuit: str | None = None
    result: str = ""
    number: float | None = None
    by: str = ""
    remark: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hunt:
    """One hunt: a file of hunts/, to which rows are only ever added.

    Attributes
    ----------
    hunt : str
        The file's name: a fault's id, or the system and a date.
    steps : tuple of HuntStep
        In file order.
    """

    hunt: str
    steps: tuple[HuntStep, ...]

    @property
    def system(self) -> str | None:
        """The system hunted in, of the row ``began``."""
        begun = (step.circuit for step in self.steps if step.act == "began")
        return next(begun, None)
