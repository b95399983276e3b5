"""Refuse impossible numbers with a message that says where, what and what to do."""

from typing import Final

import numpy as np
import numpy.typing as npt

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray

_PER_CENT: Final = "Give a share, not per cent."


def refuse(bad: BoolArray, values: Array, *, must: str, unit: str, fix: str) -> None:
    """Raise for the first value that is marked bad.

    Parameters
    ----------
    bad : ndarray of bool
        Where a value is impossible, in the shape of ``values``.
    values : ndarray
        The values, in ``unit``.
    must : str
        Where, and what must hold: ``"mass_loss: charge must be >= 0"``.
    unit, fix : str
        Unit of the values, and what to do.

    Raises
    ------
    InputError
        If any value is bad.
    """
    if not bad.any():
        return
    index = tuple(int(i) for i in np.argwhere(bad)[0])
    at = f" at index {index} ({bad.sum()} of {bad.size} entries)" if index else ""
    msg = f"{must} {unit}, got {values[index]:g} {unit}{at}. {fix}"
    raise InputError(msg)


def not_negative(
    values: npt.ArrayLike, *, name: str, unit: str, fix: str = "Check its sign."
) -> Array:
    """Return values as an array, refusing negative ones; NaN passes.

    Parameters
    ----------
    values : array_like
        The values, in ``unit``.
    name, unit : str
        Where and what, ``"mass_loss: charge"``, and in which unit, for the message.
    fix : str, optional
        What to do, for the message.

    Returns
    -------
    ndarray
        The values, in ``unit``.

    Raises
    ------
    InputError
        If any value is negative.
    """
    array = np.asarray(values, dtype=np.float64)
    refuse(array < 0.0, array, must=f"{name} must be >= 0", unit=unit, fix=fix)
    return array


def positive(values: npt.ArrayLike, *, name: str, unit: str) -> Array:
    """Return values as an array, refusing zero too; else as :func:`not_negative`."""
    array = np.asarray(values, dtype=np.float64)
    must, fix = f"{name} must be > 0", "Leave unknowns NaN."
    refuse(array <= 0.0, array, must=must, unit=unit, fix=fix)
    return array


def share(values: npt.ArrayLike, *, name: str) -> Array:
    """Return shares as an array, refusing those outside 0 to 1; NaN passes.

    Parameters
    ----------
    values : array_like
        The values. [-]
    name : str
        Where and what, ``"mass_loss: charge"``, for the message.

    Returns
    -------
    ndarray
        The values. [-]

    Raises
    ------
    InputError
        If any value lies outside 0 to 1, as per cent would.
    """
    array = np.asarray(values, dtype=np.float64)
    bad = (array < 0.0) | (array > 1.0)
    refuse(bad, array, must=f"{name} must lie in 0 to 1", unit="(share)", fix=_PER_CENT)
    return array
