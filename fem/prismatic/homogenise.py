"""Plan cell to 6 x 6: the mean stiffness of a prismatic pattern, with the error of every constant.

Generalised plane strain and antiplane shear on one periodic mesh (on three components together where the material
couples them). The order is raised, then the mesh refined, until the error estimate meets the tolerance.
"""

import math
import time
from dataclasses import dataclass, replace

import numpy as np

from fem.material.stiffness import Engineering, check_stiffness, engineering, is_isotropic, rotate
from fem.prismatic.bead_material import BeadMaterial
from fem.prismatic.cell_mesh import mesh_cell, sharp_corners
from fem.prismatic.error_bar import JUMP_RATE, SHARP_RATE, relative_errors, remaining
from fem.prismatic.periodic import Period, close_period
from fem.prismatic.plan_elements import Material
from fem.prismatic.plan_system import PlanSystem, Solution
from patterns.cells.cell import PlanCell
from patterns.errors import SolverError

_FIRST_ORDER, _LAST_ORDER = 4, 8
_FINENESS = (1.0, 1.6, 2.5)


@dataclass(frozen=True)
class Homogenised:
    """Mean stiffness of a prismatic cell in its axes 1, 2, 3.

    Attributes
    ----------
    stiffness : ndarray, shape (6, 6)
        MPa, Voigt order 11, 22, 33, 23, 13, 12, engineering shear; exactly zero where no load can pass.
    engineering : Engineering
        Engineering constants, MPa; None where there is no load path.
    excess : ndarray, shape (6, 6)
        Estimate of what ``stiffness`` has too much, MPa, positive semi-definite.
    errors : dict of str to float or None
        Estimated relative error of every engineering constant.
    geometric_fill : float
        Meshed area over plan area.
    unknowns : int
        Unknowns of the last system.
    order : int
        Polynomial order of its displacements.
    met : bool
        Whether every error is within the tolerance asked for.
    seconds : dict of str to float
        Time for ``mesh`` and ``solve`` (error estimate included).
    fields : CellFields
        Mesh, material and displacements, for stresses.
    """

    stiffness: np.ndarray
    engineering: Engineering
    excess: np.ndarray
    errors: dict[str, float | None]
    geometric_fill: float
    unknowns: int
    order: int
    met: bool
    seconds: dict[str, float]
    fields: "CellFields"

    @property
    def relative_error(self) -> float:
        """Largest estimated relative error over the engineering constants."""
        return max((error for error in self.errors.values() if error is not None), default=0.0)


@dataclass(frozen=True)
class CellFields:
    """What stresses are computed from: the closed mesh, the material and the unit solutions."""

    period: Period
    material: np.ndarray | Material
    system: PlanSystem
    solution: Solution


def homogenise(cell: PlanCell, bead_material: np.ndarray, tolerance: float = 1e-3) -> Homogenised:
    """Return the mean stiffness of a prismatic pattern.

    Parameters
    ----------
    cell : PlanCell
        One period of the pattern.
    bead_material : ndarray, shape (6, 6)
        Stiffness of the bead in MPa, axis 1 along the bead, axis 3 the build direction. It follows the cell's lines;
        where beads meet it is the mean of theirs.
    tolerance : float
        Largest relative error wanted of any engineering constant.

    Raises
    ------
    InputError
        If the material is not physical.
    SolverError
        If the solid falls into islands, or the system cannot be solved.
    """
    check_stiffness(bead_material, "the bead material")
    material = bead_material if is_isotropic(bead_material) else BeadMaterial(cell, bead_material)
    seconds = {"mesh": 0.0, "solve": 0.0}
    for fineness in _FINENESS:
        start = time.perf_counter()
        plan = mesh_cell(cell, fineness)
        seconds["mesh"] += time.perf_counter() - start
        start = time.perf_counter()
        found = _raise_order(cell, close_period(plan, cell.lattice), material, tolerance)
        seconds["solve"] += time.perf_counter() - start
        if found.met:
            break
    return replace(found, seconds=seconds)


def _raise_order(
    cell: PlanCell, period: Period, material: np.ndarray | Material, tolerance: float
) -> Homogenised:
    """Raise the order on one mesh until the tolerance is met or the last order is reached."""
    path = _path(period)
    sharp = len(sharp_corners(cell)) > 0
    solutions: list[Solution] = []
    for order in range(_FIRST_ORDER, _LAST_ORDER + 1):
        system = PlanSystem(period, material, order)
        if (
            system.elements.jumps or not solutions
        ):  # the rule in split elements changes with the system's order
            solutions = [system.solve(each) for each in (order - 2, order - 1, order)]
        else:
            solutions = [*solutions[1:], system.solve(order)]
        stiffness = [_carried(solution.stiffness, path) for solution in solutions]
        unknowns = [solution.unknowns for solution in solutions]
        rate = JUMP_RATE if system.elements.jumps else SHARP_RATE if sharp else math.inf
        excess = _carried(remaining(stiffness, unknowns, order, rate), path)
        errors = relative_errors(stiffness[-1], excess)
        met = all(error <= tolerance for error in errors.values() if error is not None)
        if met:
            break
    return Homogenised(
        stiffness=stiffness[-1],
        engineering=engineering(stiffness[-1]),
        excess=excess,
        errors=errors,
        geometric_fill=system.elements.solid_area() / period.area,
        unknowns=solutions[-1].unknowns,
        order=order,
        met=met,
        seconds={},
        fields=CellFields(period, material, system, solutions[-1]),
    )


def _path(period: Period) -> np.ndarray | None:
    """Return the only direction in the plan in which a solid can pull, or None if it can in all."""
    ranks = [np.linalg.matrix_rank(periods) if len(periods) else 0 for periods in period.periods]
    if 0 in ranks:
        raise SolverError("the solid falls into islands that never touch their copies: raise the fill")
    if 2 in ranks:
        return None
    directions = [periods[0] @ period.lattice for periods in period.periods]
    first = directions[0] / np.linalg.norm(directions[0])
    same = all(abs(first[0] * d[1] - first[1] * d[0]) < 1e-9 * np.linalg.norm(d) for d in directions)
    return first if same else None


def _carried(C: np.ndarray, path: np.ndarray | None) -> np.ndarray:
    """Remove the round-off in stresses that cannot pass.

    A body with free sides that repeats only along d has zero force across every cut along d, so its mean stress in
    the plan is a multiple of d x d, and its mean antiplane shear acts along d.
    """
    if path is None:
        return C
    turn = np.array([[path[0], -path[1], 0], [path[1], path[0], 0], [0, 0, 1]])
    own = rotate(C, turn.T)
    own[[1, 3, 5]] = own[:, [1, 3, 5]] = 0
    back = rotate(own, turn)
    found: np.ndarray = (back + back.T) / 2
    return found
