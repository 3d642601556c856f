"""Stiffness of a beam from one period of it: bending, shear and torsion of a body that repeats along the beam.

Under constant resultants N, M and T strains repeat from period to period: mean strain, curvature or twist are imposed
and the rest of the displacement, which repeats as well, is found. Under a shear force V the moment grows, M = V x, and
the displacement is x times that of the bent beam plus a second one that repeats; it follows from

    div(C eps(v)) = -s e_1 - div(C sym(e_1 w)),    eps = x eps_b + sym(e_1 w) + eps(v),

with w the displacement and s the stress of the bent beam. The second strain's energy per length, after what constant
resultants would store is taken away, is V^2/(2 GA); for a prism this is the Saint-Venant problem. Of a beam that
repeats it is the mean over all places at which a cut may lie.
"""

from dataclasses import dataclass

import numpy as np

from fem.slices.box_body import Block, Body, Fields, Group

_CASES = 4  # stretch, curvatures about axes 3 and 2, twist
_ON_1 = [0, 5, 4]  # Voigt places of 11, 12 and 13


@dataclass(frozen=True)
class SliceStiffness:
    """Stiffness of a beam along the slice's axis 1.

    Attributes
    ----------
    classical : ndarray, shape (4, 4)
        Resultants per stretch, per slope of the axial strain along axes 2 and 3 (1/mm), and per twist (rad/mm).
    EI, GA : float
        In the plane of the load; N mm2, N. Free to bend sideways and to twist.
    GJ : float
        N mm2.
    EA : float
        N, along the line of the centroid.
    unknowns : int
    """

    classical: np.ndarray
    EI: float
    GA: float
    GJ: float
    EA: float
    unknowns: int


def solve_slice(block: Block, direction: np.ndarray) -> SliceStiffness:
    """Return the stiffness of a beam made of one block after the other.

    Parameters
    ----------
    block : Block
        One period along axis 1, free on its sides.
    direction : ndarray, shape (2,)
        Unit vector of the load in axes 2 and 3.

    Raises
    ------
    SolverError
        If the iterative solver does not converge.
    """
    body = Body(block)
    length = block.lines[0][-1] - block.lines[0][0]
    pure = body.balance(lambda group: _imposed(group.points))
    classical = pure.energy(pure) / length
    compliance = np.linalg.inv(classical)
    moment = np.array([0.0, *direction, 0.0])
    bent = pure.combined(compliance @ moment)
    sheared = body.balance(lambda group: _growing(bent, group), lambda group: bent.stress(group)[..., _ON_1])
    mixed = sheared.energy(pure)[0] / length
    shear_compliance = sheared.energy(sheared)[0, 0] / length - mixed @ compliance @ mixed
    return SliceStiffness(
        classical=classical,
        EI=float(1 / (moment @ compliance @ moment)),
        GA=float(1 / shear_compliance),
        GJ=float(1 / compliance[3, 3]),
        EA=1 / _unbent(compliance),
        unknowns=body.unknowns,
    )


def _unbent(compliance: np.ndarray) -> float:
    """Return the stretch per tension along the line of the centroid, where a tension does not bend."""
    bend = compliance[1:3, 1:3]
    return float(compliance[0, 0] - compliance[0, 1:3] @ np.linalg.solve(bend, compliance[1:3, 0]))


def _imposed(points: np.ndarray) -> np.ndarray:
    """Return the strains (4, n, 8, 6) of unit stretch, curvatures and twist, warping left out."""
    eps = np.zeros((_CASES, *points.shape[:2], 6))
    eps[0, ..., 0] = 1.0
    eps[1, ..., 0], eps[2, ..., 0] = points[..., 1], points[..., 2]
    eps[3, ..., 4], eps[3, ..., 5] = points[..., 1], -points[..., 2]
    return eps


def _growing(bent: Fields, group: Group) -> np.ndarray:
    """Return the strain sym(e_1 w) of a moment that grows by 1 per mm, w the displacement of the bent beam."""
    moves = bent.moves(group)
    eps = np.zeros((*moves.shape[:3], 6))
    eps[..., _ON_1] = moves
    return eps


def mean_stiffness(block: Block) -> np.ndarray:
    """Return the mean stiffness (6, 6), MPa, of a block that repeats along all axes."""
    body = Body(block)
    fields = body.balance(
        lambda group: np.broadcast_to(np.eye(6)[:, None, None], (6, *group.points.shape[:2], 6))
    )
    answer: np.ndarray = fields.energy(fields) / np.prod([line[-1] - line[0] for line in block.lines])
    return answer
