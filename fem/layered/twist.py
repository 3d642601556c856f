"""Torque in the welds of crossing beads, by limit analysis.

Stress in the layer turns two families of stiff beads against each other, and each weld twists. A family that turns by
omega moves its points n along the beads by omega (n turned a quarter), so two families that turn by 1/2 and -1/2 give
the layer a displacement gradient G; stress s then works s : G per volume. A period of two layers holds one crossing of
each pair of lines and two welds, which resist with their plastic torque. Beads that bend only lower the collapse stress
(kinematic theorem), so this is an upper bound, exact for beads much stronger than their welds.
"""

import math

import numpy as np


def plastic_torque(flat: float) -> float:
    """Return the torque of a square weld per shear strength, mm^3: a^3/3, a sand heap on the square (Nadai 1923)."""
    return flat**3 / 3


def twist_limits(angles_deg: tuple[float, float], pitch: float, height: float, flat: float) -> np.ndarray:
    """Return the mean stress at which welds twist off, per shear strength of the welds.

    Parameters
    ----------
    angles_deg : tuple of float
        Directions of both families from axis 1.
    pitch, height, flat : float
        Distance of lines, layer height and width of the flats, mm.

    Returns
    -------
    ndarray, shape (3,)
        For stress 11, 22 and 12 of either sign; infinity where it turns nothing.
    """
    first, second = np.radians(angles_deg)
    along = np.array([[math.cos(first), math.cos(second)], [math.sin(first), math.sin(second)]])
    turned = np.array([[-along[1, 0] / 2, along[1, 1] / 2], [along[0, 0] / 2, -along[0, 1] / 2]])
    sine = abs(math.sin(second - first))
    if sine < 1e-6:
        return np.full(3, np.inf)
    G = turned @ np.linalg.inv(along)
    work = np.abs([G[0, 0], G[1, 1], G[0, 1] + G[1, 0]]) * pitch**2 / sine * 2 * height
    with np.errstate(divide="ignore"):
        return np.where(work > 1e-12, 2 * plastic_torque(flat) / np.maximum(work, 1e-300), np.inf)
