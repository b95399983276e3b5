"""Ground-detector lamps: the picture they show, and what no eye can tell from it.

Light is compared between the lamps of one set, side by side, as a watchkeeper does:
by ratios. A lamp is ``out`` where its light is below a visible share of its rated
light; all are ``even`` where no two differ by more than the ratio that an eye can
tell (basis table, ``lamp_light_ratio``); else a lamp that cannot be told from the
brightest is ``bright``, one of the others that cannot be told from the dimmest is
``dim``, and what is between them is ``even``.
"""

from functools import reduce
from typing import Final, get_args

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray
from corrosion.leakage.filament import LampLaw, light_share
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.neutral_point import median_admittance
from corrosion.records.ship import LampSet, Picture, System

PICTURES: Final[tuple[Picture, ...]] = get_args(Picture)
"""``out``, ``dim``, ``even``, ``bright``: a picture's code is the position here."""

_LEAST, _MOST = 1e-2, 1e9  # where a least visible fault is sought [Ω]
_CUTS, _CLOSE = 65, 1e-11  # in how many places at once, and to what share of it


def picture_of_light(light: Array, law: LampLaw) -> npt.NDArray[np.int8]:
    """Return what each lamp of a set looks like beside the others.

    Parameters
    ----------
    light : ndarray, shape (..., c)
        Light of each lamp over its rated light. [-]
    law : LampLaw
        What an eye tells apart.

    Returns
    -------
    ndarray of int, shape (..., c)
        Positions in ``PICTURES``, in a byte each. [-]

    Examples
    --------
    >>> picture_of_light(np.array([0.0, 1.0, 1.1]), LampLaw.of(None)).tolist()
    [0, 3, 3]
    """
    ratio, least = law.light_ratio, law.visible_share
    seen = np.maximum(light, least)
    each = np.moveaxis(seen, -1, 0)  # few lamps, many states: lamp by lamp is faster
    brightest = reduce(np.maximum, each)[..., None]
    dimmest = reduce(np.minimum, each)[..., None]
    as_bright = seen * ratio >= brightest
    as_dim = seen <= ratio * dimmest
    # 3 the brightest, 1 the dimmest, 2 between or where all are alike, 0 out
    codes = as_bright.view(np.int8) - (as_dim > as_bright).view(np.int8)
    codes *= brightest > ratio * dimmest
    codes += np.int8(2)
    codes *= light >= least
    return np.asarray(codes)


def picture(
    lamp_volts: npt.ArrayLike,
    *,
    rated_volts: float,
    assumptions: Assumptions | None = None,
) -> npt.NDArray[np.str_]:
    """Return what each lamp of a set looks like beside the others, in words.

    Parameters
    ----------
    lamp_volts : array_like, shape (..., c)
        Voltage across each lamp; phasors count by their magnitude. [V]
    rated_volts : float
        Rated voltage of one lamp. [V]
    assumptions : Assumptions, optional

    Returns
    -------
    ndarray of str, shape (..., c)
        ``out``, ``dim``, ``even`` or ``bright``. [-]

    See Also
    --------
    corrosion.leakage.lamp_text.describe : the same in a sentence.

    Examples
    --------
    >>> picture([0.0, 220.0, 220.0], rated_volts=127.0).tolist()
    ['out', 'bright', 'bright']
    """
    law = LampLaw.of(assumptions)
    size = np.abs(np.asarray(lamp_volts))
    light = light_share(size, rated_volts=rated_volts, law=law)
    return np.array(PICTURES)[picture_of_light(light, law)]


def visibility_curve(
    system: System, ohms: npt.ArrayLike, *, assumptions: Assumptions | None = None
) -> tuple[Array, npt.NDArray[np.int8]]:
    """Return what the eye sees of one fault against its resistance.

    Parameters
    ----------
    system : System
        A system with lamps; its capacitance and insulation as far as they are known.
    ohms : array_like, shape (...)
        Resistance of a fault on the first conductor, > 0. [Ω]
    assumptions : Assumptions, optional

    Returns
    -------
    ratio : ndarray, shape (...)
        Light of the brightest lamp over that of the dimmest. [-]
    codes : ndarray of int, shape (..., c)
        What each lamp looks like: positions in ``PICTURES``. [-]

    Raises
    ------
    InputError
        If the system has no lamps, or a resistance is not positive.
    """
    lamps = _lamps(system, "visibility_curve")
    r = np.asarray(ohms, dtype=np.float64)
    if not np.all(r > 0.0):
        worst = float(r.flat[int(np.argmin(np.nan_to_num(r, nan=-np.inf)))])
        msg = f"visibility_curve: ohms must be > 0 Ω, got {worst:g} Ω"
        raise InputError(msg)
    c = len(system.conductors)
    law = LampLaw.of(assumptions)
    healthy = median_admittance(system, assumptions=assumptions)
    admittance = np.full((*r.shape, c), healthy)
    admittance[..., 0] += 1.0 / r
    volts, _ = conductor_volts_with_lamps(system.star_volts, admittance, lamps, law=law)
    light = light_share(np.abs(volts) / lamps.ratio, rated_volts=lamps.volts, law=law)
    dimmest = np.maximum(light.min(axis=-1), np.finfo(np.float64).tiny)
    return light.max(axis=-1) / dimmest, picture_of_light(light, law)


def least_visible_fault(
    system: System, *, assumptions: Assumptions | None = None
) -> float:
    """Return the highest resistance at which the lamps still give a fault away.

    Parameters
    ----------
    system : System
        A system with lamps; its capacitance and insulation as far as they are known.
    assumptions : Assumptions, optional

    Returns
    -------
    float
        Resistance at which the brightest lamp gives just so much more light than the
        dimmest as an eye can tell (basis table, ``lamp_light_ratio``). Any fault of
        a higher resistance is hidden. [Ω]

    Raises
    ------
    InputError
        If the system has no lamps, or they show no fault whatever its resistance.

    Examples
    --------
    >>> ship = System(name="power", kind="ac3", volts=440.0, hertz=60.0,
    ...               lamps=LampSet(volts=254.0, watts=25.0))
    >>> round(least_visible_fault(ship), -1)
    8890.0
    """
    _lamps(system, "least_visible_fault")
    wanted = LampLaw.of(assumptions).light_ratio

    def tells(log_ohms: Array) -> BoolArray:
        ohms = np.exp(log_ohms)
        ratio, _ = visibility_curve(system, ohms, assumptions=assumptions)
        return np.asarray(ratio >= wanted)

    ends = np.log([_LEAST, _MOST])
    if tells(ends).tolist() != [True, False]:
        msg = (
            f"least_visible_fault: lamps of {system.name!r} tell no fault between "
            f"{_LEAST:g} and {_MOST:g} Ω from none. Check their volts, watts and ratio."
        )
        raise InputError(msg)
    while np.ptp(ends) > _CLOSE:  # the less a fault leaks, the less lamps tell of it
        cuts = np.linspace(ends[0], ends[1], _CUTS)
        first = int(np.argmin(tells(cuts)))
        ends = cuts[first - 1 : first + 1]
    return float(np.exp(ends[0]))


def _lamps(system: System, where: str) -> LampSet:
    if system.lamps is None:
        msg = (
            f"{where}: system {system.name!r} has no detector lamps. Give it a LampSet "
            "(volts, watts, ratio)."
        )
        raise InputError(msg)
    return system.lamps
