"""Mean stiffness and displacement of a stack on one grid of boxes."""

import numpy as np

from fem.layered.result import UNIT_STRAIN
from fem.layered.stack_levels import StackSolver
from fem.layered.stack_system import System
from fem.numerics.box_element import CORNERS

_ENERGY_TOLERANCE = 2e-3  # of the iteration: energies err with its square
_ROUND_OFF = 1e-13  # of the largest force on a box


def mean_stiffness(system: System, tolerance: float = _ENERGY_TOLERANCE) -> tuple[np.ndarray, int]:
    """Return the mean stiffness (6, 6) in the cell's axes at angle 0, MPa, and the number of unknowns.

    It is the energy of the displacements found, so it lies above that of the grid's exact solution, by the energy of
    what the iteration misses.
    """
    V, F, unknowns, solver = _fluctuations(system, tolerance)
    local = _uniform(system)
    C = np.einsum("a,if,aij,jg->fg", system.weights.sum(axis=1), local, system.matrices, local)
    C += V.T @ np.stack([solver.operator(v) for v in np.ascontiguousarray(V.T)], axis=-1) - F.T @ V - V.T @ F
    together = np.zeros((6, 6), dtype=bool)
    for group in _groups(system):
        together[np.ix_(group, group)] = True
    return np.where(together, (C + C.T) / 2, 0.0) / system.volume, unknowns


def fluctuations(system: System, tolerance: float = 1e-5) -> tuple[np.ndarray, np.ndarray, int]:
    """Return what voids take away from uniform displacement, per unit mean strain.

    Returns
    -------
    tuple of ndarray (3 n, 6), ndarray (3 n, 6), int
        Displacement taken away (mm), forces on the boxes when nothing is taken away (N), number of unknowns.
    """
    return _fluctuations(system, tolerance)[:3]


def _fluctuations(system: System, tolerance: float) -> tuple[np.ndarray, np.ndarray, int, StackSolver]:
    n, unknowns = 3 * len(system.nodes), 0
    rows = (3 * system.cells[:, :, None] + np.arange(3)).ravel()
    forces = np.einsum("am,aif->fmi", system.weights, system.matrices @ _uniform(system))
    F = np.stack([np.bincount(rows, each.ravel(), n) for each in forces], axis=-1)
    noise = _ROUND_OFF * np.abs(forces).max()
    V, solver = np.empty_like(F), StackSolver(system)
    for group in _groups(system):
        V[:, group], size = solver.balance(UNIT_STRAIN[group[0]], F[:, group], tolerance, noise)
        unknowns = max(unknowns, size)
    return V, F, unknowns, solver


def _uniform(system: System) -> np.ndarray:
    """Return the displacements (24, 6) of a box under every unit strain."""
    return np.stack([(CORNERS * system.grid.box @ each).ravel() for each in UNIT_STRAIN], axis=-1)


def _groups(system: System) -> list[list[int]]:
    """Group the unit strains by what the cell's motions make of them."""
    groups: dict[tuple[int, ...], list[int]] = {}
    for load, eps in enumerate(UNIT_STRAIN):
        groups.setdefault(tuple(tie.parity(eps) for tie in system.ties), []).append(load)
    return list(groups.values())
