"""The deepest pit of a zone, and how holidays in the paint draw the current."""

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.checks import not_negative, positive
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array


def deepest_pit(
    mean_depth: npt.ArrayLike,
    *,
    factor: npt.ArrayLike,
    bare_area: npt.ArrayLike,
    reference_area: npt.ArrayLike,
    uniform: npt.ArrayLike,
    scale: npt.ArrayLike | None = None,
) -> Array:
    r"""Return the depth of the deepest pit on the bare steel of a zone.

    Parameters
    ----------
    mean_depth : array_like
        Mean loss of depth of the bare steel, >= 0. [m]
    factor : array_like
        Pitting factor: deepest over mean penetration, as is most likely on an area of
        ``reference_area``, > 0. [-]
    bare_area : array_like
        Bare steel of the zone, >= 0. [m²]
    reference_area : array_like
        Area of which the pitting factor speaks, > 0. [m²]
    uniform : array_like
        Uniform numbers that draw the extreme, inside 0 to 1. [-]
    scale : array_like, optional
        Gumbel scale over the most likely deepest pit of the reference area; None: the
        basis table. [-]

    Returns
    -------
    ndarray
        Depth of the deepest pit, never less than the mean depth, in the broadcast
        shape; NaN where an input is NaN. [m]

    Raises
    ------
    InputError
        If a depth or area is negative, the factor, the scale or the reference area is
        not positive, or a uniform number does not lie inside 0 to 1.

    Notes
    -----
    The deepest of many pits follows Gumbel's law. On the reference area s its mode is
    the pitting factor [1]_ times the mean depth, and its scale a fixed share of that:

    .. math:: \lambda = k \, \bar{d}, \qquad \alpha = \beta \lambda

    The deepest on an area S follows the same law with the mode moved by
    :math:`\alpha \ln(S/s)` [2]_, and a draw u is

    .. math:: d = \lambda + \alpha \ln(S/s) - \alpha \ln(-\ln u)

    References
    ----------
    .. [1] ASTM G46, "Standard Guide for Examination and Evaluation of Pitting
       Corrosion" (from memory).
    .. [2] T. Shibata, "Application of extreme value statistics to corrosion", Journal
       of Research of NIST 99(3), 1994, 327 (from memory).

    Examples
    --------
    The most likely deepest pit (u = 1/e) on the reference area and on ten times that,
    over the mean depth:

    >>> u = 0.3678794
    >>> pits = deepest_pit(
    ...     1.0, factor=3.0, bare_area=[1.0, 10.0], reference_area=1.0, uniform=u
    ... )
    >>> pits.round(3)
    array([3.   , 4.036])
    """
    where = "deepest_pit"
    mean = not_negative(mean_depth, name=f"{where}: mean_depth", unit="m")
    k = positive(factor, name=f"{where}: factor", unit="(ratio)")
    large = not_negative(bare_area, name=f"{where}: bare_area", unit="m²")
    small = positive(reference_area, name=f"{where}: reference_area", unit="m²")
    u = np.asarray(uniform, dtype=np.float64)
    if np.any((u <= 0.0) | (u >= 1.0)):
        msg = f"{where}: uniform must lie inside 0 to 1, the ends left out."
        raise InputError(msg)
    share = default_assumptions().value("pit_gumbel_scale") if scale is None else scale
    beta = positive(share, name=f"{where}: scale", unit="(ratio)")
    with np.errstate(divide="ignore"):
        reduced = np.log(large / small) - np.log(-np.log(u))
    return np.asarray(mean * np.maximum(1.0, k * (1.0 + beta * reduced)))


def as_pits_deepen(
    loss: npt.ArrayLike, *, reference: npt.ArrayLike, power: float
) -> Array:
    r"""Return a loss as pits go by it: they are deep early.

    Parameters
    ----------
    loss : array_like
        Mean loss of depth of the bare steel, >= 0. [m]
    reference : array_like
        Loss at which the pitting factor holds. [m]
    power : float
        Power of the loss as which pits deepen; 1 over it turns back. [-]

    Returns
    -------
    ndarray
        The same at the reference, more below it and less above. [m]

    Notes
    -----
    Deepest pits go as a power p of the loss, :math:`d_0^{1-p} d^p` times the pitting
    factor: ``pit_depth_power`` of the basis table.

    Examples
    --------
    Pits of 3 mm where 1 mm is lost are 0.67 mm deep where 0.1 mm is:

    >>> float((3.0 * as_pits_deepen(0.1, reference=1.0, power=0.65)).round(2))
    0.67
    """
    base = np.asarray(reference, dtype=np.float64)
    share = np.maximum(np.asarray(loss, dtype=np.float64), 0.0) / base
    return np.asarray(base * share**power)


def holiday_concentration(
    resistivity: npt.ArrayLike,
    *,
    interface: npt.ArrayLike,
    holiday: npt.ArrayLike | None = None,
    patch: npt.ArrayLike | None = None,
    assumptions: Assumptions | None = None,
) -> Array:
    r"""Return the current density at a small holiday over that at a large bare patch.

    Parameters
    ----------
    resistivity : array_like
        Of the water, > 0. [Ω·m]
    interface : array_like
        Resistance of one square metre of bare steel against the water, > 0; it falls
        where the density is high, and is far smaller for alternating current. [Ω·m²]
    holiday, patch : array_like, optional
        Radius of the small holiday, and of the patches that hold most of the bare
        area; None: of ``assumptions``. [m]
    assumptions : Assumptions, optional
        The ship's; None: the table's.

    Returns
    -------
    ndarray
        Factor on the mean density, 1 where the patch is as small as the holiday; in
        the broadcast shape. [-]

    Raises
    ------
    InputError
        If any argument is not positive.

    Notes
    -----
    A disk of radius a meets the water through its interface, :math:`r_p/(\pi a^2)`, and
    its spreading resistance, :math:`\rho/(4a)` [1]_. At one voltage its density is

    .. math:: i \propto \frac{1}{r_p + \pi \rho a / 4}

    so that small holidays carry more than large ones, up to :math:`1 + \pi \rho
    a_{patch}/(4 r_p)` times as much. A density made even by a resistive interface
    spreads with :math:`8\rho/(3\pi^2 a)`, 8 per cent more; the smaller is kept. Disks
    near one another, which share the water, differ less than this.

    References
    ----------
    .. [1] J. Newman, "Resistance for flow of current to a disk", Journal of the
       Electrochemical Society 113, 1966, 501 (from memory).

    Examples
    --------
    >>> more = holiday_concentration(0.25, interface=0.1, holiday=0.005, patch=0.1)
    >>> round(float(more), 3)
    1.185
    """
    where = "holiday_concentration"
    own = default_assumptions() if assumptions is None else assumptions
    rho = positive(resistivity, name=f"{where}: resistivity", unit="Ω·m")
    r_p = positive(interface, name=f"{where}: interface", unit="Ω·m²")
    radii = [
        positive(
            own.value(row) if given is None else given,
            name=f"{where}: {name}",
            unit="m",
        )
        for name, given, row in (
            ("holiday", holiday, "holiday_radius_m"),
            ("patch", patch, "bare_patch_radius_m"),
        )
    ]
    at_holiday, at_patch = (r_p + 0.25 * np.pi * rho * a for a in radii)
    return np.asarray(at_patch / at_holiday)
