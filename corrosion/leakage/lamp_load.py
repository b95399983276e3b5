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

    Conductors come first here and few states are solved at a time; where no part is
    imaginary, as of direct current, numbers are real: all of it only for speed.
    """
    lamps, law = fitted
    full = lamps.volts * lamps.ratio
    rated = lamps.watts / full**2
    source = source / full  # volts are counted in those at which lamps are rated
    tolerance = _CLOSE * np.abs(source).max()
    healthy, driven = y.sum(axis=0) + t, source @ y
    if not any(np.imag(each).any() for each in (source, healthy, driven)):
        source, healthy, driven = source.real, healthy.real, driven.real
    twice = source * source
    lift = -(driven + rated * source.sum()) / (healthy + rated * len(source))
    for _ in range(rounds):
        volts = lift + source[:, None]
        square = np.square(volts.real)
        if np.iscomplexobj(volts):
            square += np.square(volts.imag)
        np.maximum(square, _LEAST, out=square)
        share, elasticity = conductance_share(square, law)
        g = share * rated
        load = healthy + g.sum(axis=0)
        pull = -(lift * load + driven + _summed(source, g))
        drift = float(np.max(np.abs(pull) / np.abs(load)))
        if drift <= tolerance:
            break
        half = np.multiply(0.5 * g, elasticity, out=elasticity)
        straight = load + half.sum(axis=0)
        half /= square
        # the sum of half U^2 / |U|^2, U being the lift and each conductor's source
        linear = half.sum(axis=0) * lift + 2.0 * _summed(source, half)
        crossed = linear * lift + _summed(twice, half)
        step = pull * np.conj(straight) - crossed * np.conj(pull)
        lift = lift + step / (np.abs(straight) ** 2 - np.abs(crossed) ** 2)
    return g, drift * full


def _summed(weight: Phasors, of_each: Array) -> Phasors:
    """Return a weighted sum over conductors, which come first: real sums are cheap."""
    if np.iscomplexobj(weight):
        return weight.real @ of_each + 1j * (weight.imag @ of_each)
    return weight @ of_each
