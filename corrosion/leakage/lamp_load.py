"""Filaments are not resistors: what lamps draw, how brightly they burn, and where."""

import warnings
from dataclasses import dataclass
from typing import Self, cast

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.types import Array, ComplexArray
from corrosion.leakage.neutral_point import Phasors, conductor_volts
from corrosion.records.ship import LampSet

__all__ = [
    "LampLaw",
    "conductor_volts_with_lamps",
    "filament_conductance",
    "filament_current",
    "light_share",
    "relative_light",
]

_ROUNDS = 60
_CLOSE = 1e-12
_BLOCK = 4096  # states solved at a time: what a core keeps at hand
_LEAST = float(np.finfo(np.float64).tiny)


@dataclass(frozen=True, slots=True, kw_only=True)
class LampLaw:
    """How filaments draw current and give light, and what an eye tells; all [-].

    Attributes
    ----------
    current_exponent, light_exponent : float
        Current and light grow as these powers of the voltage.
    cold_ratio : float
        Conductance of a cold filament over that at rated voltage.
    light_ratio : float
        Least ratio of light between lamps side by side that an eye can tell.
    visible_share : float
        Light over rated light below which a lamp is written down as out.
    coarse_chance : float
        Chance that a picture is written down in two words only.
    """

    current_exponent: float
    light_exponent: float
    cold_ratio: float
    light_ratio: float
    visible_share: float
    coarse_chance: float

    @classmethod
    def of(cls, assumptions: Assumptions | None) -> Self:
        """Return the law of a table of assumptions; None: the table of the file."""
        table = assumptions or default_assumptions()
        return cls(
            current_exponent=table.value("lamp_current_exponent"),
            light_exponent=table.value("lamp_light_exponent"),
            cold_ratio=table.value("lamp_cold_ratio"),
            light_ratio=table.value("lamp_light_ratio"),
            visible_share=table.value("lamp_visible_share"),
            coarse_chance=table.value("lamp_coarse_chance"),
        )


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
    rated_volts : float
        Rated voltage. [V]
    rated_watts : float
        Rated power. [W]
    assumptions : Assumptions, optional
        A ship's; None: the table of the file.

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
    share, _ = _conductance_share((v / rated_volts) ** 2, LampLaw.of(assumptions))
    return np.asarray(rated_watts / rated_volts**2 * share * v)


def relative_light(
    volts: npt.ArrayLike,
    *,
    rated_volts: float,
    assumptions: Assumptions | None = None,
) -> Array:
    """Return the light of an incandescent lamp over its light at rated voltage.

    Parameters
    ----------
    volts : array_like
        Voltage across the lamp; phasors and signs count by their magnitude. [V]
    rated_volts : float
        Rated voltage. [V]
    assumptions : Assumptions, optional
        A ship's; None: the table of the file.

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
        Exponents of the filament.

    Returns
    -------
    ndarray
        Light over rated light. [-]
    """
    return np.asarray((volts / rated_volts) ** law.light_exponent)


def filament_conductance(volts: Array, lamps: LampSet, law: LampLaw) -> Array:
    """Return the conductance of lamps as seen from the line, by volts to hull [S]."""
    full = (lamps.ratio * lamps.volts) ** 2
    share, _ = _conductance_share(np.abs(volts) ** 2 / full, law)
    return share * (lamps.watts / full)


def conductor_volts_with_lamps(
    source: Phasors,
    admittance: Phasors,
    lamps: LampSet | None,
    tie: Phasors | complex = 0.0,
    *,
    law: LampLaw,
) -> tuple[Phasors, Array]:
    r"""Return the volts to hull with a lamp on each conductor, and what the lamps draw.

    Parameters
    ----------
    source : ndarray, shape (c,)
        Voltage of each conductor about the star point. [V]
    admittance : ndarray, shape (..., c)
        Everything but the lamps between each conductor and the hull. [S]
    lamps : LampSet or None
        The lamps, in star to the hull, with their transformer ratio; None: the
        system has none.
    tie : ndarray, shape (...), or complex, optional
        Star point to hull; 0: floating. [S]
    law : LampLaw
        How filaments draw current.

    Returns
    -------
    volts : ndarray, shape (..., c)
        Volts to hull. [V]
    lamp_admittance : ndarray, shape (..., c)
        Conductance of each lamp as seen from the line; times ``volts`` it is the
        current that the lamp draws from the conductor into the hull. [S]

    Warns
    -----
    ValidityWarning
        If the iteration did not settle somewhere.

    Notes
    -----
    Newton's method on the star point's voltage. A lamp of conductance
    :math:`g(|U|)` carries :math:`gU`, whose change is

    .. math:: d(gU) = g \left[(1 + \tfrac{\epsilon}{2}) dU + \tfrac{\epsilon}{2}
        \frac{U}{\bar U} d\bar U\right], \quad \epsilon = \frac{d \ln g}{d \ln |U|}
        \quad (1)

    with :math:`-1 < \epsilon \le 0`, so that the step always exists. The volts
    returned follow exactly from the conductances returned, so charge is conserved.
    """
    y = cast("ComplexArray", np.asarray(admittance))
    t = cast("ComplexArray", np.asarray(tie))
    if lamps is None:
        return conductor_volts(source, y, tie), np.zeros(y.shape)
    shape = np.broadcast_shapes(y.shape[:-1], t.shape)
    flat = np.broadcast_to(y, (*shape, y.shape[-1])).reshape(-1, y.shape[-1])
    ties = np.broadcast_to(t, shape).ravel()
    drawn = np.empty(flat.shape)
    worst = 0.0
    for start in range(0, len(flat), _BLOCK):
        block = slice(start, start + _BLOCK)
        each = np.ascontiguousarray(flat[block].T)
        drawn[block].T[:], drift = _settled(source, each, (lamps, law), ties[block])
        worst = max(worst, drift)
    if worst > _CLOSE * np.abs(source).max():
        msg = (
            f"lamps: the star point still moves by {worst:.2g} V after {_ROUNDS} rounds"
        )
        warnings.warn(msg, ValidityWarning, stacklevel=2)
    lit = drawn.reshape(*shape, -1)
    return conductor_volts(source, y + lit, tie), lit


def _settled(
    source: Phasors, y: Phasors, fitted: tuple[LampSet, LampLaw], t: Phasors
) -> tuple[Array, float]:
    """Return what the lamps of some states draw, and how far the star point is off.

    Conductors come first here, few states are solved at a time and real parts stand
    apart from imaginary ones: all of it only for speed.
    """
    lamps, law = fitted
    rated = lamps.watts / (lamps.volts * lamps.ratio) ** 2
    full = (lamps.ratio * lamps.volts) ** 2
    tolerance = _CLOSE * np.abs(source).max()
    real, imag = np.ascontiguousarray(y.real), np.ascontiguousarray(y.imag)
    pulled = sum((e * (each + rated) for e, each in zip(source, y, strict=True)), 0.0)
    lift = -pulled / (y.sum(axis=0) + rated * len(source) + t)  # of the star point
    apart = t + 1j * imag.sum(axis=0)
    g = np.empty(real.shape)
    for _ in range(_ROUNDS):
        up, across = lift.real.copy(), lift.imag.copy()
        into, aside, total, straight, along, askew = np.zeros((6, len(up)))
        for k, e in enumerate(source):
            a, b = up + e.real, across + e.imag
            square = a * a + b * b
            share, elasticity = _conductance_share(square / full, law)
            np.multiply(share, rated, out=g[k])
            each = real[k] + g[k]
            into += each * a - imag[k] * b
            aside += each * b + imag[k] * a
            total += each
            half = (0.5 * g[k]) * elasticity
            straight += half
            half /= np.maximum(square, _LEAST)
            along += half * (a * a - b * b)
            askew += half * (2.0 * a * b)
        load = total + apart
        pull = -(into + 1j * aside + t * lift)
        drift = float(np.max(np.abs(pull) / np.abs(load)))
        if drift <= tolerance:
            break
        straight = load + straight
        crossed = along + 1j * askew
        step = pull * np.conj(straight) - crossed * np.conj(pull)
        lift = lift + step / (np.abs(straight) ** 2 - np.abs(crossed) ** 2)
    return g, drift


def _conductance_share(square: Array, law: LampLaw) -> tuple[Array, Array]:
    """Return conductance over rated and its elasticity.

    Given the square of the voltage over rated voltage, which is cheaper.
    """
    fall, coldest = law.current_exponent - 1.0, law.cold_ratio
    with np.errstate(divide="ignore"):
        warm = square ** (0.5 * fall)
    return np.minimum(warm, coldest), np.where(warm < coldest, fall, 0.0)
