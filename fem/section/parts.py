"""Sections that fall into pieces: walls with a gap between them, a core that no bond holds.

Pieces that no side of an element joins are taken to bend and twist together, each about its own axis, and to slide
along each other. Bending moments go by EI, each with the shear force that feeds it, torque by GJ, tension by EA. This
is an equilibrium of each piece with free faces, so it is on the soft side of any bond between them.
"""

from collections.abc import Sequence

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components
from skfem import MeshTri

from fem.section.result import Section
from fem.section.warping import VOID
from patterns.errors import InputError


def parts_of(mesh: MeshTri, C: np.ndarray) -> list[np.ndarray]:
    """Return the elements with stiffness, piece by piece, the piece of most elements first.

    Raises
    ------
    InputError
        If pieces touch in single points.
    """
    solid = np.broadcast_to(np.abs(C).max(axis=(1, 2)) > VOID * np.abs(C).max(), mesh.nelements)
    left, right = mesh.f2t[:, mesh.f2t[1] >= 0]
    joined = solid[left] & solid[right]
    graph = sp.coo_matrix(
        (np.ones(joined.sum()), (left[joined], right[joined])), shape=(mesh.nelements, mesh.nelements)
    )
    _, group = connected_components(graph, directed=False)
    names, counts = np.unique(group[solid], return_counts=True)
    parts = [np.flatnonzero(group == name) for name in names[np.argsort(-counts, kind="stable")]]
    corners = np.concatenate([np.unique(mesh.t[:3, part]) for part in parts])
    node, times = np.unique(corners, return_counts=True)
    if (times > 1).any():
        y, z = np.round(mesh.p[:, node[times > 1][0]], 6) + 0.0  # no -0
        raise InputError(
            f"pieces of the section touch in single points, as at ({y:.4g}, {z:.4g}) mm, which carry nothing; "
            "join them by some width or leave a gap"
        )
    return parts


def shares(parts: Sequence[Section]) -> list[np.ndarray]:
    """Return R (6, 6) for each piece: its resultants about the origin are R times those of the section."""
    EA, GJ, EI = (sum(getattr(part, name) for part in parts) for name in ("EA", "GJ", "EI"))
    flexibility = np.linalg.inv(EI)
    middle = sum(part.EA * np.array(part.centroid) for part in parts) / EA
    found = []
    for part in parts:
        R = np.zeros((6, 6))
        bending = part.EI @ flexibility
        R[0, 0] = part.EA / EA
        R[2, [2, 1]] = bending[0] * [1, -1]  # Vz = My' and Vy = -Mz'
        R[1, [2, 1]] = -bending[1] * [1, -1]
        R[4:, 4:] = bending
        (y, z), (y0, z0) = part.centroid, middle
        R[4:, 0] = bending @ [-z0, y0] + R[0, 0] * np.array([z, -y])
        found.append(R)
    torques = [
        part.shear_centre[0] * R[2] - part.shear_centre[1] * R[1]
        for part, R in zip(parts, found, strict=True)
    ]
    rest = np.eye(6)[3] - sum(torques)
    for part, R, own in zip(parts, found, torques, strict=True):
        R[3] = own + part.GJ / GJ * rest
    return found
