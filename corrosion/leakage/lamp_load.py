"""Volts to hull with a filament on each conductor, and what the lamps draw."""

import warnings
from typing import cast

import numpy as np

from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.types import Array, ComplexArray
from corrosion.leakage.filament import LampLaw, conductance_share
from corrosion.leakage.neutral_point import Phasors, conductor_volts
from corrosion.records.ship import LampSet

ROUNDS = 60
_CLOSE = 1e-12
_BLOCK = 4096  # states solved at a time: what a core keeps at hand
_LEAST = float(np.finfo(np.float64).tiny)


def conductor_volts_with_lamps(
    source: Phasors,
    admittance: Phasors,
    lamps: LampSet | None,
    tie: Phasors | complex = 0.0,
    *,
    law: LampLaw,
    rounds: int = ROUNDS,
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
    rounds : int, optional
        How often the star point is moved at most. [-]

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
        drawn[block].T[:], drift = _settled(
            source, each, (lamps, law), ties[block], rounds
        )
        worst = max(worst, drift)
    if worst > _CLOSE * np.abs(source).max():
        msg = (
            f"lamps: the star point still moves by {worst:.2g} V after {rounds} rounds"
        )
        warnings.warn(msg, ValidityWarning, stacklevel=2)
    lit = drawn.reshape(*shape, -1)
    return conductor_volts(source, y + lit, tie), lit


def _settled(
    source: Phasors,
    y: Phasors,
    fitted: tuple[LampSet, LampLaw],
    t: Phasors,
    rounds: int,
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
    for _ in range(rounds):
        up, across = lift.real.copy(), lift.imag.copy()
        into, aside, total, straight, along, askew = np.zeros((6, len(up)))
        for k, e in enumerate(source):
            a, b = up + e.real, across + e.imag
            square = a * a + b * b
            share, elasticity = conductance_share(square / full, law)
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
