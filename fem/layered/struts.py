"""Fibre stress in the beads of a crossing pattern between their welds, by equilibrium.

A plane parallel to one family of beads, half way between two of them, cuts only the other family, and by symmetry no
bending moment acts there. So the force on each cut bead is the mean stress on that plane times its share of it, and the
moment where the bead leaves the next weld is that force times the free length. Both are exact, whatever the stiffness.

The stress from them is that of beam theory. At the edge of the weld itself the elastic stress has no limit: there the
weld itself decides, see `fem.strength.welds`.
"""

import math

import numpy as np

from patterns.cells.layered import LayeredCell, LayerSection


def strut_factors(cell: LayeredCell) -> np.ndarray | None:
    """Return the largest tensile fibre stress over the mean stress, for each unit mean stress.

    Parameters
    ----------
    cell : LayeredCell
        Beads in one or two directions.

    Returns
    -------
    ndarray, shape (6,), or None
        Voigt order in the cell's axes: tension 1, 2, 3, shears 23, 13, 12 of either sign. None where beads are no
        bars: in one direction, joined to their neighbours, with their welds all but meeting, or with shifted layers.
    """
    section = cell.section
    if len(cell.angles_deg) == 1 or section.touching or section.full or cell.shift:
        return None
    factors = np.zeros(6)
    for load, mean in enumerate(_UNIT_STRESS):
        for own, other in (cell.angles_deg, cell.angles_deg[::-1]):
            axial, sideways, upwards, free = forces(cell, mean, own, other)
            bent = _largest_bending(section, sideways * free, upwards * free)
            axial_stress = axial / section.area
            tension = axial_stress if load < 3 else abs(axial_stress)
            factors[load] = max(factors[load], tension + bent)
    return factors


_UNIT_STRESS = np.zeros((6, 3, 3))
for _load, (_i, _j) in enumerate(((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))):
    _UNIT_STRESS[_load, _i, _j] = _UNIT_STRESS[_load, _j, _i] = 1.0


def forces(
    cell: LayeredCell, mean_stress: np.ndarray, own_deg: float, other_deg: float
) -> tuple[float, float, float, float]:
    """Return the forces on one bead half way between its welds, and its free length to the weld.

    Parameters
    ----------
    cell : LayeredCell
        Beads in two directions.
    mean_stress : ndarray, shape (3, 3)
        MPa, in the cell's axes.
    own_deg, other_deg : float
        Direction of the bead, and of those that cross it.

    Returns
    -------
    tuple of 4 float
        Force along the bead, across it in the plan and upwards (N); free length (mm).
    """
    own, other = np.radians(own_deg), np.radians(other_deg)
    along = np.array([math.cos(own), math.sin(own), 0.0])
    across = np.array([-math.sin(own), math.cos(own), 0.0])
    normal = np.array([math.sin(other), -math.cos(other), 0.0])
    sine = normal @ along
    area = cell.pitch / abs(sine) * 2 * cell.section.height  # of the plane, per bead: one pitch, two layers
    force = mean_stress @ (normal * np.sign(sine)) * area
    free = (cell.pitch / 2 - cell.section.half_flat) / abs(sine)
    return float(force @ along), float(force @ across), float(force[2]), free


def _largest_bending(section: LayerSection, sideways: float, upwards: float) -> float:
    """Return the largest fibre stress (MPa) under moments (N mm) that bend a bead sideways and upwards."""
    turn = np.linspace(0, math.pi / 2, 91)
    y = section.half_flat + section.radius * np.sin(turn)
    z = section.height / 2 - section.radius * (1 - np.cos(turn))
    across, height = second_moments(section)
    return float((abs(sideways) * y / across + abs(upwards) * z / height).max())


def second_moments(section: LayerSection) -> tuple[float, float]:
    """Return the second moments of a free bead (mm^4) for bending sideways and upwards.

    A rectangle between two half discs of radius t/2; for square edges the rectangle alone.
    """
    flat, t, r = 2 * section.half_flat, section.height, section.radius
    shift = section.half_flat + 4 * r / (3 * math.pi)  # of a half disc's centroid
    disc = math.pi * r**2 / 2
    across = t * flat**3 / 12 + 2 * (r**4 * (math.pi / 8 - 8 / (9 * math.pi)) + disc * shift**2)
    return across, flat * t**3 / 12 + math.pi * r**4 / 4
