"""The eight-node box with incompatible modes: exact in pure bending, where the plain one is far too stiff."""

import numpy as np

from fem.numerics.tensor_elements import GRADIENT, strains

CORNERS = np.array([(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)])
"""Nodes of the box, in units of its edges."""
GAUSS = (2 * CORNERS - 1) / np.sqrt(3)
"""Gauss points (8, 3) of the box, -1 to 1 along each axis, ordered as the corners."""


def box_stiffness(edges: np.ndarray, C: np.ndarray) -> np.ndarray:
    """Return the stiffness (24, 24) of a box, node by node.

    Bubbles 1 - s^2 along each axis join the trilinear displacement and are condensed at once (Wilson, Taylor, Doherty
    and Ghaboussi 1973, from memory). Their mean strain is zero, so constant strain stays exact on boxes.

    Parameters
    ----------
    edges : ndarray, shape (3,)
        mm.
    C : ndarray, shape (6, 6)
        Stiffness, MPa.
    """
    both, volume = box_strains(edges)
    K = np.einsum("qvi,vw,qwj,q->ij", both, C, both, volume, optimize=True)
    found: np.ndarray = K[:24, :24] - K[:24, 24:] @ np.linalg.solve(K[24:, 24:], K[24:, :24])
    return found


def box_strains(edges: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return strains (8, 6, 33) of the nodal displacements and of the bubbles at the Gauss points, and volumes (8,).

    The last nine columns belong to the bubbles along axes 1, 2 and 3, three components each.
    """
    field = strains(CORNERS * edges, np.arange(8)[None], 1)
    slopes = -4 * GAUSS / edges  # of the bubble along each axis, s = -1 .. 1
    extra = np.einsum("qa,avc->qvac", slopes, GRADIENT).reshape(len(GAUSS), 6, 9)
    return np.concatenate([field.B[0], extra], axis=2), field.volume[0]


def box_displacements() -> np.ndarray:
    """Return the displacements (8, 3, 33) at the Gauss points that belong to the columns of `box_strains`."""
    s = GAUSS[:, None, :]
    shapes = np.prod((1 + s * (2 * CORNERS - 1)) / 2, axis=2)  # (8 points, 8 nodes)
    values = np.concatenate([shapes, 1 - GAUSS**2], axis=1)
    found: np.ndarray = np.einsum("qn,cd->qcnd", values, np.eye(3)).reshape(len(GAUSS), 3, 33)
    return found
