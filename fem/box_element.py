"""The eight-node box with incompatible modes: exact in pure bending, where the plain one is far too stiff."""

import numpy as np

from fem.extrusion import GRADIENT
from fem.tensor_elements import strains

CORNERS = np.array([(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)])
"""Nodes of the box, in units of its edges."""
_GAUSS = np.array([-1.0, 1.0]) / np.sqrt(3)


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
    field = strains(CORNERS * edges, np.arange(8)[None], 1)
    B, volume = field.B[0], field.volume[0]
    points = np.stack(np.meshgrid(_GAUSS, _GAUSS, _GAUSS, indexing="ij"), axis=-1).reshape(-1, 3)
    slopes = -4 * points / edges  # of the bubble along each axis, s = -1 .. 1
    extra = np.einsum("qa,avc->qvac", slopes, GRADIENT).reshape(len(points), 6, 9)
    both = np.concatenate([B, extra], axis=2)
    K = np.einsum("qvi,vw,qwj,q->ij", both, C, both, volume, optimize=True)
    return K[:24, :24] - K[:24, 24:] @ np.linalg.solve(K[24:, 24:], K[24:, :24])
