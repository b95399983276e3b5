"""Filaments are not resistors: what a lamp draws, and how brightly it burns."""

from dataclasses import dataclass, fields
from typing import Self

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.types import Array
from corrosion.records.ship import LampSet


@dataclass(frozen=True, slots=True, kw_only=True)
class LampLaw:
    """How filaments draw current and give light, and what an eye tells; all [-]."""

    # current_exponent, light_exponent: current and light grow as these powers
    # of the voltage
    current_exponent: float
    light_exponent: float
    cold_ratio: float  # conductance of a cold filament over that at rated voltage
    # least ratio of light between lamps side by side that an eye can tell
    light_ratio: float
    # light over rated light below which a lamp is written down as out
    visible_share: float
    coarse_chance: float  # chance that a picture is written down in two words only

    @classmethod
    def of(cls, assumptions: Assumptions | None) -> Self:
        """Return the law of a table of assumptions; None: the table of the file."""
        table = assumptions or default_assumptions()
        names = (field.name for field in fields(cls))
        return cls(**{name: table.value(f"lamp_{name}") for name in names})


def filament_current(
    volts: npt.ArrayLike,
    *,
    rated_volts: float,
    rated_watts: float,
    assumptions: Assumptions | None = None,
) -> Array:
    r"""Return the current through an incandescent lamp.

    Parameters
    ----------
    volts : array_like
        Voltage across the lamp; phasors and signs count by their magnitude. [V]
    rated_volts, rated_watts : float
        Rated voltage [V]; rated power. [W]
    assumptions : Assumptions, optional

    Returns
    -------
    ndarray
        Magnitude of the current, same shape. [A]

    Notes
    -----
    .. math:: I = \frac{P}{V_r} \left(\frac{V}{V_r}\right)^{0.55} \quad (1)

    down to the voltage at which the filament is as conductive as a cold one (12
    times the rated conductance, at 0.4 % of rated voltage); below that it is a
    resistor. Without that floor a filament at no voltage would conduct without bound.

    References
    ----------
    .. [1] Fink & Beaty, *Standard Handbook for Electrical Engineers* (exponent); see
       the basis table, ``lamp_current_exponent`` and ``lamp_cold_ratio``.

    Examples
    --------
    >>> round(float(filament_current(60.0, rated_volts=120.0, rated_watts=60.0)), 4)
    0.3415
    """
    v = np.abs(np.asarray(volts))
    share, _ = conductance_share((v / rated_volts) ** 2, LampLaw.of(assumptions))
    return np.asarray(rated_watts / rated_volts**2 * share * v)


def relative_light(
    volts: npt.ArrayLike, *, rated_volts: float, assumptions: Assumptions | None = None
) -> Array:
    """Return the light of an incandescent lamp over its light at rated voltage.

    Parameters
    ----------
    volts : array_like
        Voltage across the lamp; phasors and signs count by their magnitude. [V]
    rated_volts : float
        Rated voltage. [V]
    assumptions : Assumptions, optional

    Returns
    -------
    ndarray
        Light, 1 at rated voltage, growing as V**3.4 (basis table,
        ``lamp_light_exponent``); same shape. [-]

    References
    ----------
    .. [1] Fink & Beaty, *Standard Handbook for Electrical Engineers*.

    Examples
    --------
    >>> round(float(relative_light(60.0, rated_volts=120.0)), 4)
    0.0947
    """
    law = LampLaw.of(assumptions)
    return light_share(np.abs(np.asarray(volts)), rated_volts=rated_volts, law=law)


def light_share(volts: Array, *, rated_volts: float, law: LampLaw) -> Array:
    """Return the light of lamps over their rated light.

    Parameters
    ----------
    volts : ndarray
        Magnitude of the voltage across each lamp. [V]
    rated_volts : float
        At which light is rated. [V]
    law : LampLaw

    Returns
    -------
    ndarray
        Light over rated light. [-]
    """
    return np.asarray((volts / rated_volts) ** law.light_exponent)


def filament_conductance(volts: Array, lamps: LampSet, law: LampLaw) -> Array:
    """Return the conductance of lamps as seen from the line, by volts to hull [S]."""
    full = (lamps.ratio * lamps.volts) ** 2
    share, _ = conductance_share(np.abs(volts) ** 2 / full, law)
    return share * (lamps.watts / full)


def conductance_share(square: Array, law: LampLaw) -> tuple[Array, Array]:
    """Return conductance over rated and its elasticity.

    Given the square of the voltage over rated voltage, which is cheaper.
    """
    fall, coldest = law.current_exponent - 1.0, law.cold_ratio
    with np.errstate(divide="ignore"):
        warm = square ** (0.5 * fall)
    return np.minimum(warm, coldest), np.where(warm < coldest, fall, 0.0)
