"""Boundary elements for the water around a hull.

The water is a conductor that ends at the hull and at its surface, through which
nothing flows: every panel has an image above. Panels carry constant densities and are
collocated at their centres. ``panels`` everywhere: corners, shape (n, 4, 3), in
metres, z up and at most 0; a triangle repeats a corner. Those of one body run the same
way round; a body whose normals point inwards is turned.
"""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.types import Array, IntArray
from corrosion.hull.water.influence import geometry, layers, mirror_images
from corrosion.hull.water.mesh_checks import checked_corners, mirrored_order

_CLOSED = 0.2  # how far the solid angle of a closed body may miss one half


@dataclass(frozen=True, slots=True, kw_only=True)
class Groups:
    """Resistances of groups of panels."""

    # shape (groups, groups): potential of one group, the mean over its area, for each
    # ampere that leaves another, spread evenly over it; symmetric [Ω]
    matrix: Array
    remote: float  # all panels as one electrode, those of no group included [Ω]
    # largest difference from the transpose before the mean of both was taken, relative
    # to the geometric mean of the two diagonal entries [-]
    asymmetry: float


def resistance_matrix(
    panels: Array,
    resistivity: float,
    *,
    depth: float | None = None,
    bed: float | None = None,
) -> Array:
    r"""Return the resistance from panel to panel through the water.

    Parameters
    ----------
    panels : ndarray, shape (n, 4, 3)
        Corners. Closed bodies (a hull closes against the water surface; leave the
        waterplane out) or thin plates that conduct on both faces. [m]
    resistivity : float
        Of the water. [Ω·m]
    depth : float, optional
        Depth of water; None: deep. [m]
    bed : float, optional
        Resistivity of the sea bed over that of the water; None: as assumed. [-]

    Returns
    -------
    ndarray, shape (n, n)
        Potential of panel i against remote earth for each ampere that leaves panel
        j, while all other panels insulate. Symmetric: the mean of the solution and
        its transpose, which differ by the discretisation. [Ω]

    Raises
    ------
    InputError
        If a panel has no area, lies above the water or below the bed, or the
        panels of one body do not run the same way round.

    Notes
    -----
    With q the current density leaving the body and :math:`\varphi` the potential,

    .. math:: (\tfrac12 I - D)\,\varphi = \rho\, S\, q

    where S and D are the single and double layer with their images. The diagonal of D
    follows from the solid angle of a closed surface, one half from each of its
    panels. A plate open at its edges has the same potential on both faces:
    :math:`\varphi = \rho S q`. A mesh mirrored about y = 0 is solved as its even and
    odd halves.

    A sea bed (assumption ``seabed_resistivity_factor``) reflects the share k of each
    image, once more for every pass: images at 2 n depth count :math:`k^{|n|}`, down to
    1e-3. With a perfectly insulating bed the sum would not converge.

    Examples
    --------
    A plate of 1 m² hanging far below the surface:

    >>> plate = np.array([[[0, 0, -9e3], [1, 0, -9e3], [1, 1, -9e3], [0, 1, -9e3]]])
    >>> round(float(resistance_matrix(plate, 1.0)[0, 0]), 3)
    0.281
    """
    water = _assemble(panels, depth, bed)
    halves = []
    for left, right in zip(water.potential, water.single, strict=True):
        half = _solved(left, right / water.area[: len(right)])
        half += half.T.copy()
        half *= 0.5 * resistivity
        halves.append(half)
    return water.unfold(halves)


def group_resistance(
    panels: Array,
    group: IntArray,
    resistivity: float,
    *,
    depth: float | None = None,
    bed: float | None = None,
) -> Groups:
    """Return the resistance between groups of panels.

    Parameters
    ----------
    panels
        As :func:`resistance_matrix`. [m]
    group : ndarray of int, shape (n,)
        Group of each panel, counted from 0; a panel of group -1 insulates.
    resistivity, depth, bed
        As :func:`resistance_matrix`. [Ω·m], [m], [-]

    Returns
    -------
    Groups
        Matrix between the groups, all panels together, and the asymmetry removed.

    Raises
    ------
    InputError
        As :func:`resistance_matrix`.
    """
    water = _assemble(panels, depth, bed)
    member = np.equal.outer(group, np.arange(group.max(initial=-1) + 1))
    member = member[water.order]
    total = water.area @ member
    halves = [
        _solved(left, right @ part)
        for left, right, part in zip(
            water.potential, water.single, water.parts(member / total), strict=True
        )
    ]
    share = water.area[:, None] * member / total
    matrix = resistivity * share.T @ water.join(halves)
    scale = np.sqrt(np.multiply.outer(np.diag(matrix), np.diag(matrix)))
    asymmetry = np.abs((matrix - matrix.T) / scale).max(initial=0.0)
    return Groups(
        matrix=0.5 * (matrix + matrix.T),
        remote=resistivity * _remote(water),
        asymmetry=float(asymmetry),
    )


def resistance_to_remote(
    panels: Array,
    resistivity: float,
    *,
    depth: float | None = None,
    bed: float | None = None,
) -> float:
    r"""Return the resistance of all panels, as one electrode, to remote earth.

    Parameters
    ----------
    panels, resistivity, depth, bed
        As :func:`resistance_matrix`. Closed or open: within a body at one potential
        there is no field, so the single layer alone is exact for both, and thin
        plates need no second face. [m], [Ω·m], [m]

    Returns
    -------
    float
        Potential of the electrode for each ampere that leaves it. [Ω]

    Raises
    ------
    InputError
        If a panel has no area, or lies above the water or below the bed.

    Notes
    -----
    Solves :math:`S q = V/\rho` and divides V by the current :math:`\sum A q`.

    Examples
    --------
    A plate of 1 m² that floats on the water, too coarse a mesh for its sharp edges:

    >>> plate = np.array([[[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]]])
    >>> round(resistance_to_remote(plate, 1.0), 3)
    0.561
    """
    return resistivity * _remote(_assemble(panels, depth, bed))


def _remote(water: "_Water") -> float:
    even = water.single[0]
    density = _solved(even, np.ones(len(even)))
    return 1.0 / float(len(water.single) * (density @ water.area[: len(even)]))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Water:
    """The discrete equations, whole or as an even and an odd half.

    ``order`` lists one side of a mirrored mesh and then the other; ``area`` is in that
    order, ``single`` is S and ``potential`` what multiplies the potential.
    """

    order: IntArray
    area: Array
    single: list[Array]
    potential: list[Array]

    def parts(self, columns: Array) -> list[Array]:
        """Split values on the ordered panels, shape (n, k), into even and odd."""
        if len(self.single) == 1:
            return [columns]
        one, two = np.split(columns, 2)
        return [0.5 * (one + two), 0.5 * (one - two)]

    def join(self, halves: list[Array]) -> Array:
        """Undo :meth:`parts`."""
        if len(halves) == 1:
            return halves[0]
        return np.concatenate([halves[0] + halves[1], halves[0] - halves[1]])

    def unfold(self, halves: list[Array]) -> Array:
        """Return the matrix, in the caller's order, of which these are the halves."""
        if len(halves) == 1:
            return halves[0]
        size = len(self.order)
        whole = np.empty((size, size))
        one, two = np.split(self.order, 2)
        same, across = 0.5 * (halves[0] + halves[1]), 0.5 * (halves[0] - halves[1])
        whole[np.ix_(one, one)] = same
        whole[np.ix_(two, two)] = same
        whole[np.ix_(one, two)] = across
        whole[np.ix_(two, one)] = across
        return whole


def _assemble(panels: Array, depth: float | None, bed: float | None) -> _Water:
    corners = checked_corners(panels, depth)
    corners[..., 0] -= corners[..., 0].mean()  # so that squares of x lose no digits
    order, sides = mirrored_order(geometry(corners))
    shape = geometry(corners[order])
    rows = len(order) // sides
    if bed is None:
        bed = default_assumptions().value("seabed_resistivity_factor")
    images = mirror_images(depth, bed)
    single, double = layers(shape.centre[:rows], shape, images)
    # From a panel of a closed body all others fill half of all directions; where they
    # do not, the body is a plate open at its edges. The sign tells which way normals
    # run.
    angle = double.sum(axis=1)
    closed = np.tile(np.abs(np.abs(angle) - 0.5) < _CLOSED, sides)
    outward = np.tile(np.where(angle > 0.0, -1.0, 1.0), sides)
    double *= -outward * closed
    # On a closed surface D 1 = -1/2 exactly, so that each row of 1/2 - D sums to one:
    # the diagonal takes what flat panels miss, and a hull at one potential in still
    # water drives no stray current. A plate is the unit alone: phi = rho S q.
    own = np.arange(rows)
    double[own, own] += np.where(closed[:rows], -double.sum(axis=1), 0.0) + 1.0
    return _Water(
        order=order,
        area=shape.area,
        single=_folded(single, sides),
        potential=_folded(double, sides),
    )


def _solved(left: Array, right: Array) -> Array:
    return np.asarray(np.linalg.solve(left, right), dtype=np.float64)


def _folded(matrix: Array, sides: int) -> list[Array]:
    if sides == 1:
        return [matrix]
    one, two = np.split(matrix, 2, axis=1)
    return [one + two, one - two]
