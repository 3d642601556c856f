"""Displacement and stress in the meshed piece of a cell whose layers differ, per unit mean strain."""

import math
from dataclasses import dataclass

import numpy as np

from fem.layered.bead_domain import Domain, crossing_domain, parallel_domain
from fem.layered.bead_grid import BeadGrid
from fem.layered.extrusion import prism_cells
from fem.layered.layered import displacements, mean_stiffness
from fem.layered.result import UNIT_STRAIN
from fem.layered.stack_solve import fluctuations
from fem.layered.stack_solve import mean_stiffness as mean_stiffness_of
from fem.layered.stack_system import bead_materials, build_system
from fem.layered.stacked import voxel_grid
from fem.material.stiffness import about_axis_3, compliance, powerless, rotate, stress_transformation
from fem.numerics.box_element import CORNERS
from fem.numerics.tensor_elements import grid_cells, lobatto, strains
from patterns.cells.layered import LayeredCell
from patterns.cells.stack import StackedCell

_FINENESS, _ORDER = 2, 2  # intervals per graded stretch, and element order, of beads in one or two directions
_ACROSS = 6.6  # boxes across a bead of any other stack
_GROUPS = [np.eye(6)[:3], np.eye(6)[3:4], np.eye(6)[4:5], np.eye(6)[5:]]
# Corners of a hexahedron: first the lower face, then the upper one, each anticlockwise.
_ROUND = np.array([(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0), (0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 1, 1)])


@dataclass(frozen=True)
class SolidField:
    """Fields on hexahedra; the cell's symmetries make the rest of the period of them.

    Attributes
    ----------
    points : ndarray, shape (n, 3)
        Nodes in the cell's axes, mm.
    cells : ndarray of int, shape (m, 8)
        Corners of every hexahedron, lower face first, anticlockwise.
    displacement : ndarray, shape (n, 3, 6)
        mm per unit mean strain, Voigt order.
    stress : ndarray, shape (m, 6, 6)
        Voigt stress of the bead in the middle of every hexahedron by unit mean strain, MPa.
    sizes : ndarray, shape (m,)
        Volume of bead in each hexahedron over that of the piece's share of the period, voids included.
    stiffness : ndarray, shape (6, 6)
        Mean stiffness on this mesh, MPa.
    """

    points: np.ndarray
    cells: np.ndarray
    displacement: np.ndarray
    stress: np.ndarray
    sizes: np.ndarray
    stiffness: np.ndarray

    def unit_strain(self, case: int) -> np.ndarray | None:
        """Return the mean strain (6,) of a unit mean stress by its Voigt place; None where it has no load path."""
        mean = np.eye(6)[case]
        if np.abs(powerless(self.stiffness).T @ mean).max(initial=0) > 1e-6:
            return None
        found: np.ndarray = compliance(self.stiffness) @ mean
        return found


def solid_field(cell: LayeredCell | StackedCell, bead_material: np.ndarray) -> SolidField:
    """Return the fields of a cell on a mesh of moderate fineness.

    Parameters
    ----------
    cell : LayeredCell or StackedCell
        Layers with voids.
    bead_material : ndarray, shape (6, 6)
        Stiffness, MPa; axis 1 along the bead.

    Raises
    ------
    SolverError
        If the system cannot be solved.
    """
    if isinstance(cell, StackedCell):
        return _stack_field(cell, bead_material)
    return _bead_field(cell, bead_material)


def _bead_field(cell: LayeredCell, bead_material: np.ndarray) -> SolidField:
    """Half a bead over a period, or a short piece of it where all beads are parallel."""
    domain, grid, along, turn = _bead_mesh(cell, bead_material)
    cells = prism_cells(grid.section, along)
    U = np.zeros((3 * len(domain.positions), 6))
    for loads in _GROUPS:
        U[:, loads.any(axis=0)] = displacements(domain, loads)[0]
    steps = lobatto(_ORDER)
    inside = strains(domain.positions, cells, _ORDER, [(steps[1:] + steps[:-1]) / 2] * 3)
    rows = (3 * cells[:, :, None] + np.arange(3)).reshape(len(cells), -1)
    eps = np.einsum("mqvk,mkl->mqvl", inside.B, U[rows], optimize=True).reshape(-1, 6, 6)
    n = _ORDER + 1
    corners = grid_cells(np.arange(n**3).reshape(n, n, n), 1)[
        :, _ROUND @ [4, 2, 1]
    ]  # of the parts between nodes
    share = np.prod(np.stack(np.meshgrid(*[np.diff(steps)] * 3, indexing="ij")), axis=0).ravel()
    return _turned(
        math.radians(domain.turn_deg),
        SolidField(
            points=domain.positions,
            cells=cells[:, corners].reshape(-1, 8),
            displacement=U.reshape(-1, 3, 6),
            stress=rotate(bead_material, about_axis_3(-turn)) @ eps,
            sizes=(inside.volume * share).ravel() / domain.volume,
            stiffness=rotate(
                mean_stiffness([(domain, _GROUPS)])[0], about_axis_3(-math.radians(domain.turn_deg))
            ),
        ),
    )


def _bead_mesh(cell: LayeredCell, bead_material: np.ndarray) -> tuple[Domain, BeadGrid, np.ndarray, float]:
    """Return the domain, its grid, the node row along the bead, and the frame's angle from the bead in radians."""
    if len(cell.angles_deg) == 1:
        grid = BeadGrid.parallel(cell, _FINENESS, _ORDER)
        return parallel_domain(cell, bead_material, _FINENESS, _ORDER), grid, grid.along, 0.0
    grid = BeadGrid.crossing(cell, _FINENESS, _ORDER)
    along = np.concatenate([-grid.along[:0:-1], grid.along])
    domain = crossing_domain(cell, bead_material, _FINENESS, _ORDER)
    return domain, grid, along, math.radians(cell.crossing_deg) / 2


def _stack_field(cell: StackedCell, bead_material: np.ndarray) -> SolidField:
    """Boxes of one fundamental domain."""
    system = build_system(voxel_grid(cell, _ACROSS), bead_material)
    box, corners = system.grid.box, system.cells
    V = fluctuations(system)[0].reshape(-1, 3, 6)
    # The far corners of a box on the border of the period are nodes of the next one: put them where they belong.
    origin = system.grid.positions(system.nodes[corners[:, 0]])
    x = (origin[:, None] + CORNERS * box).reshape(-1, 3)
    wraps = np.round((x - system.grid.positions(system.nodes[corners.ravel()])) / cell.period).astype(int)
    _, first, numbers = np.unique(
        4 * corners.ravel() + 2 * wraps[:, 0] + wraps[:, 1], return_index=True, return_inverse=True
    )
    points, fluctuation = x[first], V[corners.ravel()[first]]
    middle = strains(CORNERS * box, np.arange(8)[None], 1, [np.array([0.5])] * 3).B[0, 0]
    eps = np.eye(6) - middle @ V[corners].reshape(len(corners), 24, 6)
    C, volumes = bead_materials(system, bead_material)
    return _turned(
        math.radians(cell.angle_deg),
        SolidField(
            points=points,
            cells=numbers.reshape(-1, 8)[:, _ROUND @ [4, 2, 1]],
            displacement=np.einsum("lij,nj->nil", UNIT_STRAIN, points) - fluctuation,
            stress=C @ eps,
            sizes=volumes / system.volume,
            stiffness=mean_stiffness_of(system)[0],
        ),
    )


def _turned(angle: float, field: SolidField) -> SolidField:
    """Return the field seen from axes turned by minus an angle (rad) about axis 3."""
    R = about_axis_3(angle)
    stress = stress_transformation(R)
    strain = np.linalg.inv(stress).T  # strain is dual to stress
    back = np.linalg.inv(strain)  # from the mean strain in the new axes to that in the old ones
    return SolidField(
        points=field.points @ R.T,
        cells=field.cells,
        displacement=R @ field.displacement @ back,
        stress=stress @ field.stress @ back,
        sizes=field.sizes,
        stiffness=rotate(field.stiffness, R),
    )
