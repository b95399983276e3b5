r"""How bare steel in seawater answers a current: a nonlinear law.

Freely corroding steel dissolves as fast as oxygen arrives. Polarised by :math:`\eta`
about that rest it dissolves along a Tafel line, oxygen takes up no more than before,
and far below the rest water itself is split into hydrogen:

.. math:: j(\eta) = i_c \, 10^{\eta/\beta_a} - (1 - \epsilon)\, i_c
   - \epsilon \, i_c \, 10^{-\eta/\beta_h}, \qquad \epsilon = 10^{-E_h/\beta_h} \tag{1}

so that hydrogen takes up the natural density :math:`i_c` at :math:`E_h` below the
rest. Positive is a current that leaves the steel.

Where this breaks down: above some 10 A/m² films and the electrolyte close to the metal
decide; still or foul water brings less oxygen than flowing; under cathodic protection
the chalk that precipitates slows oxygen more and more; a metal other than steel has
slopes of its own.
"""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray

_DECADE = np.log(10.0)
_NEWTON = 100  # steps at most; a few do
_ROUNDING = 4.0 * np.finfo(np.float64).eps


def _rates(assumptions: Assumptions) -> tuple[float, float, float]:
    """Return decades' rates, anodic and hydrogen [1/V], and hydrogen's share at rest.

    The share is that of the natural density. [-]
    """
    tafel = assumptions.value("hydrogen_tafel_v")
    share = 10.0 ** (-assumptions.value("hydrogen_onset_v") / tafel)
    return _DECADE / assumptions.value("anodic_tafel_v"), _DECADE / tafel, share


def natural_density(interface: npt.ArrayLike, *, assumptions: Assumptions) -> Array:
    r"""Return the density at which steel of an interface resistance corrodes freely.

    Parameters
    ----------
    interface : array_like
        Resistance of one square metre of bare steel to a small current, any shape.
        [Ω·m²]
    assumptions : Assumptions

    Returns
    -------
    ndarray
        Density of dissolution at rest, in that shape. [A/m²]

    Notes
    -----
    The slope of (1) at rest, turned round: the Stern-Geary relation [1]_ with oxygen
    at its limit (an infinite cathodic slope) but for the trace of hydrogen,

    .. math:: i_c = \frac{1}{r_p \ln 10 \, (1/\beta_a + \epsilon/\beta_h)} \tag{2}

    References
    ----------
    .. [1] M. Stern and A. L. Geary, J. Electrochem. Soc. 104, 1957, 56; ASTM G102 (both
       from memory).

    Examples
    --------
    >>> from corrosion.foundation.assumptions import default_assumptions
    >>> table = default_assumptions()
    >>> round(float(natural_density(1.0, assumptions=table)), 4)
    0.0252
    """
    anodic, hydrogen, share = _rates(assumptions)
    resistance = np.asarray(interface, dtype=np.float64)
    return np.asarray(1.0 / (resistance * (anodic + share * hydrogen)))


@dataclass(frozen=True, slots=True, kw_only=True)
class BareSteel:
    """Bare steel about a rest: what (1) comes to there."""

    # anodic, hydrogen: densities of dissolution and of hydrogen at the
    # rest, any shape [A/m²]
    anodic: Array
    hydrogen: Array
    # anodic_rate, hydrogen_rate: natural logarithms a volt [1/V]
    anodic_rate: float
    hydrogen_rate: float

    @classmethod
    def at_rest(
        cls,
        interface: npt.ArrayLike,
        rest: npt.ArrayLike = 0.0,
        *,
        assumptions: Assumptions,
    ) -> Self:
        """Return steel of an interface resistance [Ω·m²], held off free corrosion [V].

        ``rest`` is negative where a protection current holds it; the two broadcast.
        """
        anodic, hydrogen, share = _rates(assumptions)
        free = natural_density(interface, assumptions=assumptions)
        shift = np.asarray(rest, dtype=np.float64)
        return cls(
            anodic=free * np.exp(anodic * shift),
            hydrogen=free * share * np.exp(-hydrogen * shift),
            anodic_rate=anodic,
            hydrogen_rate=hydrogen,
        )

    def row(self, which: BoolArray | IntArray) -> Self:
        """Return some of the rows."""
        return replace(self, anodic=self.anodic[which], hydrogen=self.hydrogen[which])

    def added(self, volts: Array) -> Array:
        """Return the net density that polarising from the rest adds [A/m²]."""
        return np.asarray(
            self.anodic * np.expm1(self.anodic_rate * volts)
            - self.hydrogen * np.expm1(-self.hydrogen_rate * volts)
        )

    def about(self, density: Array) -> Array:
        """Return about how far a net density polarises from the rest [V].

        The turned-round :meth:`added` of the reaction that gives way first, as if the
        other did not: at most twice too far where both do alike.
        """
        least = -1.0 + np.finfo(np.float64).eps
        up = np.log1p(np.maximum(density / self.anodic, least)) / self.anodic_rate
        down = np.log1p(np.maximum(-density / self.hydrogen, least))
        down /= -self.hydrogen_rate
        return np.where(density < 0.0, np.maximum(up, down), np.minimum(up, down))

    def slope(self, volts: Array) -> Array:
        """Return the derivative of :meth:`added`, always positive [S/m²]."""
        return np.asarray(
            self.anodic * self.anodic_rate * np.exp(self.anodic_rate * volts)
            + self.hydrogen * self.hydrogen_rate * np.exp(-self.hydrogen_rate * volts)
        )


def polarisation(
    density: npt.ArrayLike, interface: npt.ArrayLike, *, assumptions: Assumptions
) -> Array:
    """Return by how much a net density polarises bare steel: (1) turned round.

    Parameters
    ----------
    density : array_like
        Net density, positive where it leaves the steel, finite. [A/m²]
    interface : array_like
        Resistance of one square metre of bare steel to a small current; broadcasts
        against ``density``. [Ω·m²]
    assumptions : Assumptions

    Returns
    -------
    ndarray
        Potential over that of free corrosion, in the broadcast shape. [V]

    Raises
    ------
    InputError
        If a density is not finite.

    References
    ----------
    .. [1] J. Tafel, Z. phys. Chem. 50, 1905, 641; C. Wagner and W. Traud, Z.
       Elektrochem. 44, 1938, 391, for the sum of both reactions (from memory).

    Examples
    --------
    >>> from corrosion.foundation.assumptions import default_assumptions
    >>> table = default_assumptions()
    >>> law = BareSteel.at_rest(1.0, assumptions=table)
    >>> round(float(polarisation(law.added(np.array(-0.3)), 1.0, assumptions=table)), 6)
    -0.3
    """
    j, r = np.broadcast_arrays(
        np.asarray(density, dtype=np.float64), np.asarray(interface, dtype=np.float64)
    )
    if not np.isfinite(j).all():
        msg = f"polarisation: density must be finite (A/m²), got {j[~np.isfinite(j)]}."
        raise InputError(msg)
    anodic, hydrogen, share = _rates(assumptions)
    free = natural_density(r, assumptions=assumptions)
    size = np.log1p(np.abs(j) / (free * share))  # either branch carries j
    low, high = -size / hydrogen - 1e-9, size / anodic + 1e-9
    law = BareSteel.at_rest(r, assumptions=assumptions)
    volts = law.about(j)
    for _ in range(_NEWTON):  # kept between bounds that close in on the root
        missing = law.added(volts) - j
        low = np.where(missing <= 0.0, volts, low)
        high = np.where(missing >= 0.0, volts, high)
        last, volts = volts, volts - missing / law.slope(volts)
        volts = np.where((low <= volts) & (volts <= high), volts, 0.5 * (low + high))
        if (np.abs(volts - last) <= _ROUNDING * np.abs(last)).all():
            break
    return np.asarray(volts)
