"""What is known of the deepest pits before plates are looked at, and what was found."""

from dataclasses import dataclass

from corrosion.foundation.types import Array, BoolArray


@dataclass(frozen=True, slots=True, kw_only=True)
class PitPrior:
    """What is known of the deepest pits before any plate is looked at.

    Attributes
    ----------
    recorded : ndarray, shape (samples, zones)
        Logarithm of the deepest pit over the loss that each sample drew, about its
        mean. [-]
    sd : ndarray, shape (zones,)
        Standard deviation of that. [-]
    shared : float
        Share of its variance that the zones of a ship have in common: one water, one
        steel. [-]
    unnoticed : float
        Chance of a hole below water that nobody wrote down. [-]
    unwelded, hidden : float
        Chance of a pit that a yard would have welded and did not, or of a weld that
        nobody wrote down; of the first alone. [-]
    otherwise : float
        Chance that a weld that is written was of shallower pits, or of none. [-]
    mended : float
        Chance of a weld afloat of a plate that is not through, over that of one that
        is. [-]
    waits : float
        Chance that a plate which is through waits for the dock, and is welded there, as
        any other, or that nobody writes of its weld afloat. [-]
    again : float
        Standard deviation of what the logarithm of the next pit of a plate differs
        by from that of one that was welded. [-]
    """

    recorded: Array
    sd: Array
    shared: float
    unnoticed: float
    unwelded: float
    hidden: float
    otherwise: float
    mended: float
    waits: float
    again: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PitEvidence:
    """What was found of the deepest pits.

    Attributes
    ----------
    gauged : ndarray, shape (samples, zones)
        The same logarithm as the least readings say; of other zones anything. [-]
    known : ndarray of bool, shape (zones,)
        Which zones have a least reading.
    least : ndarray, shape (samples, zones)
        Logarithm of the factor on the recorded pit that was surely met; minus infinity
        where nothing was read. [-]
    spots : ndarray, shape (samples, zones)
        What the least of some spots says of the same logarithm as ``gauged``. [-]
    weight : ndarray, shape (zones,)
        How surely: inverse of its variance; 0: nothing was read. [-]
    lot : ndarray, shape (samples, zones)
        Standard normal numbers that draw what all this leaves open.
    room : ndarray, shape (samples, zones)
        Logarithm of the factor on the recorded pit at which it is through. [-]
    sound : ndarray of bool, shape (zones,)
        Which zones would have shown a hole.
    weld : ndarray, shape (samples, zones)
        Logarithm of the factor at which a yard would have welded pits of a plate that
        it looked at and left; infinite: none did. [-]
    deep : ndarray, shape (samples, zones)
        Logarithm of the factor at which pits were as deep as is welded when a yard
        first welded them; minus infinity: none did. [-]
    through : ndarray, shape (samples, zones)
        Logarithm of the factor at which a pit was through when pits were welded: the
        last afloat, or else the least in dock; NaN: none were. [-]
    leaked : ndarray of bool, shape (zones,)
        Which were welded afloat: pits went through.
    through_lot : ndarray, shape (samples, zones)
        Uniform numbers that draw the pit that did, or did not. [-]
    """

    gauged: Array
    known: BoolArray
    least: Array
    spots: Array
    weight: Array
    lot: Array
    room: Array
    sound: BoolArray
    weld: Array
    deep: Array
    through: Array
    leaked: BoolArray
    through_lot: Array
