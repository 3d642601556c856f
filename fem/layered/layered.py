"""Layered cell to 6 x 6: beads stacked in one or two directions, with the error of every constant.

Energies of refined meshes are extrapolated. Stresses at the edge of a weld grow like the inverse square root of the
distance, so that the energy's error on the meshes of `fem.layered.bead_grid` falls like (intervals per stretch)^-order.
"""

import math
import time
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fem.layered.bead_domain import (
    Domain,
    crossing_domain,
    parallel_domain,
    square_domain,
    square_pair_domain,
)
from fem.layered.result import UNIT_STRAIN, LayeredStiffness
from fem.layered.stacked import homogenise_stack
from fem.material.bonded import laminate
from fem.material.stiffness import about_axis_3, check_stiffness, engineering, rotate
from fem.numerics.solve import SingleFactorised
from fem.numerics.symmetry import fold
from fem.prismatic.error_bar import SMALL_RATIO
from patterns.cells.layered import LayeredCell, conserving_section
from patterns.cells.stack import StackedCell
from patterns.errors import InputError

_FINE_TOLERANCE = 1e-3  # below it cubic elements take less time than quadratic ones
_LEVELS = {2: (1, 2, 3, 4, 5), 3: (1, 2, 3, 4)}
_LEAST_LEVELS = 3
_ROUND_SHARE, _SQUARE_SHARE = 0.1, 0.25  # error / extrapolated part; see `extrapolate`
_LEAST_RADIUS = (
    0.25  # of half a layer's height: below it voids get too few elements, at 0.12 one turns inside out
)
_THIN_SHARE = 4.0  # error / error bar there: 0.0024 of E2 against cubic elements, 0.0006 told
_BEND = 0.05  # part of the change by which compliance leaves the line of `_with_tiny_voids`; 0.04 to 0.05 was found
_NO_PATH = 1e-9  # of the largest entry; stiffness below it is round-off


def homogenise_layered(
    cell: LayeredCell | StackedCell, bead_material: np.ndarray, tolerance: float = 5e-3
) -> LayeredStiffness:
    """Return the mean stiffness of a cell whose layers differ.

    Parameters
    ----------
    cell : LayeredCell or StackedCell
        Beads in one or two directions, or any plans stacked on each other.
    bead_material : ndarray, shape (6, 6)
        Stiffness of the bead in MPa, axis 1 along the bead, axis 3 the build direction; orthotropic in these axes.
    tolerance : float
        Largest relative error wanted of any engineering constant.

    Raises
    ------
    InputError
        If the material is not physical or not orthotropic.
    SolverError
        If the system cannot be solved.
    """
    check_stiffness(bead_material, "the bead material")
    if isinstance(cell, StackedCell):
        return homogenise_stack(cell, bead_material, tolerance)
    _require_orthotropic(bead_material)
    if cell.section.full:
        return _without_voids(cell, bead_material)
    if 0 < cell.section.radius < _LEAST_RADIUS * cell.section.height / 2:
        return _with_tiny_voids(cell, bead_material, tolerance)
    order = 3 if tolerance < _FINE_TOLERANCE else 2
    share = _ROUND_SHARE if cell.section.radius else _SQUARE_SHARE
    # Long, sheared welds converge late: 0.46 of the true error at 20 degrees without this.
    if len(cell.angles_deg) == 2:
        share *= max(1.0, 0.5 / math.sin(math.radians(cell.crossing_deg)))
    seconds = {"mesh": 0.0, "solve": 0.0}
    found: list[np.ndarray] = []
    for fineness in _LEVELS[order]:
        start = time.perf_counter()
        parts = domains(cell, bead_material, fineness, order)
        meshed = time.perf_counter()
        stiffness, unknowns = mean_stiffness(parts)
        seconds["mesh"] += meshed - start
        seconds["solve"] += time.perf_counter() - meshed
        found.append(stiffness)
        if len(found) < _LEAST_LEVELS:
            continue
        limit, errors = extrapolate(found, _LEVELS[order], order, share)
        met = all(error <= tolerance for error in errors.values() if error is not None)
        if met:
            break
    return LayeredStiffness(
        stiffness=limit,
        engineering=engineering(limit),
        errors=errors,
        geometric_fill=cell.geometric_fill,
        unknowns=unknowns,
        order=order,
        met=met,
        seconds=seconds,
    )


def _require_orthotropic(C: np.ndarray) -> None:
    coupling = max(np.abs(C[:3, 3:]).max(), np.abs(C[3:, 3:] - np.diag(np.diag(C)[3:])).max())
    if coupling > 1e-9 * np.abs(C).max():
        raise InputError(
            "the bead material couples shear with stretch: give it in axes in which it is orthotropic"
        )


def _without_voids(cell: LayeredCell, bead_material: np.ndarray) -> LayeredStiffness:
    """Return the exact laminate that layers without voids make."""
    layers = [rotate(bead_material, about_axis_3(np.radians(angle))) for angle in cell.angles_deg]
    C = laminate(layers)
    constants = engineering(C)
    return LayeredStiffness(
        stiffness=C,
        engineering=constants,
        errors={name: 0.0 for name in constants.as_dict()},
        geometric_fill=1.0,
        unknowns=0,
        order=0,
        met=True,
        seconds={"mesh": 0.0, "solve": 0.0},
    )


def _with_tiny_voids(cell: LayeredCell, bead_material: np.ndarray, tolerance: float) -> LayeredStiffness:
    """Return the stiffness of layers all but full, whose voids would make slivers of the mesh.

    Small voids far from each other add to the compliance in proportion to their area, so it lies on the line from
    the cell without voids to the one with the smallest voids that are meshed.
    """
    t = cell.section.height
    radius = (1 + 1e-6) * _LEAST_RADIUS * t / 2  # a hair more, lest round-off bring it back here
    pitch = cell.bead.width + radius**2 * (4 - math.pi) / t
    near = replace(cell, section=conserving_section(cell.bead, pitch))
    solved, full = homogenise_layered(near, bead_material, tolerance), _without_voids(cell, bead_material)
    share = (1 - cell.section.fill) / (1 - near.section.fill)
    S, S_full = np.linalg.inv(solved.stiffness), np.linalg.inv(full.stiffness)
    C = np.linalg.inv(S_full + share * (S - S_full))
    constants, ends = engineering(C), (solved.engineering.as_dict(), full.engineering.as_dict())
    errors = dict(solved.errors)
    for name, error in solved.errors.items():
        sparse, dense = (end[name] for end in ends)
        if error is not None and sparse is not None and dense:
            errors[name] = share * (_THIN_SHARE * error + _BEND * (1 - share) * abs(sparse / dense - 1))
        if error is not None and name.startswith("nu"):  # -S_ij/S_ii errs with E_i = 1/S_ii
            errors[name] = max(errors[name] or 0.0, errors[f"E{name[2]}"] or 0.0)
    return replace(
        solved,
        stiffness=C,
        engineering=constants,
        errors=errors,
        geometric_fill=cell.geometric_fill,
        met=all(error <= tolerance for error in errors.values() if error is not None),
    )


def domains(
    cell: LayeredCell, bead_material: np.ndarray, fineness: int, order: int
) -> list[tuple[Domain, list[np.ndarray]]]:
    """Return meshed domains with the groups of mean strains (n, 6) that each one serves.

    The strains of a group behave alike under the domain's symmetries; those of different groups do not interact.
    """
    one = np.eye(6)
    normal, shears = one[:3], [one[3:4], one[4:5], one[5:6]]
    if len(cell.angles_deg) == 1:
        return [(parallel_domain(cell, bead_material, fineness, order), [normal, *shears])]
    if abs(cell.crossing_deg - 90) > 1e-9:
        return [(crossing_domain(cell, bead_material, fineness, order), [normal, *shears])]
    kept, reversed_ = np.array([one[2], one[0] + one[1]]), one[:1] - one[1:2]
    return [
        (square_domain(cell, bead_material, fineness, order), [kept, reversed_, one[5:6]]),
        (square_pair_domain(cell, bead_material, fineness, order), [one[3:4]]),
    ]


def mean_stiffness(parts: list[tuple[Domain, list[np.ndarray]]]) -> tuple[np.ndarray, int]:
    """Return the mean stiffness (6, 6) on one mesh, in the cell's axes, MPa, and the unknowns of the largest system."""
    C, unknowns = np.zeros((6, 6)), 0
    for domain, groups in parts:
        for loads in groups:
            energy, n = pull(domain, loads)
            dual = loads / (loads**2).sum(axis=1, keepdims=True)  # the loads of all groups are orthogonal
            C, unknowns = C + dual.T @ energy @ dual, max(unknowns, n)
    if C[4, 4] == 0:
        C[4, 4] = C[3, 3]  # right angles: a quarter turn with the beads exchanged maps the cell onto itself
    path = np.diag(C) > _NO_PATH * C.max()
    C *= np.outer(path, path)
    return rotate(C, about_axis_3(np.radians(parts[0][0].turn_deg))), unknowns


def pull(domain: Domain, loads: np.ndarray) -> tuple[np.ndarray, int]:
    """Return the energy matrix of a domain under some mean strains, and the number of unknowns.

    Parameters
    ----------
    domain : Domain
        Mesh, stiffness and symmetries.
    loads : ndarray, shape (n, 6)
        Mean strains (Voigt) that every symmetry of the domain keeps, or that it reverses, all alike.

    Returns
    -------
    ndarray, shape (n, n)
        Mean of strain-energy products: ``loads @ C @ loads.T``, MPa.
    int
        Unknowns of the system.
    """
    U, unknowns = displacements(domain, loads)
    return U.T @ (domain.stiffness @ U) / domain.volume, unknowns


def displacements(domain: Domain, loads: np.ndarray) -> tuple[np.ndarray, int]:
    """Return nodal displacements (3 n_nodes, n_loads) in mm under the mean strains of `pull`, and the unknowns."""
    x = domain.positions
    eps = np.einsum("lv,vij->lij", loads, UNIT_STRAIN)
    P = fold(len(x), domain.ties, eps[0])
    U = np.stack([(x @ each).ravel() for each in eps], axis=-1)
    K = P.T @ domain.stiffness @ P
    U -= P @ SingleFactorised(K).solve(P.T @ (domain.stiffness @ U))
    return U, K.shape[0]


def extrapolate(
    found: Sequence[np.ndarray], levels: Sequence[int], order: int, share: float
) -> tuple[np.ndarray, dict[str, float | None]]:
    """Return the limit of stiffness matrices on refined meshes, with the relative error of each constant.

    The limit takes the terms n^-order (edges of welds) and n^-(order + 2) (smooth parts) away from the last three
    levels. Its error is judged as a share of all that was taken away, at least a quarter of what the second term
    changes. The shares were fixed on overkill solutions, see the tests; square edges, whose singularity has another
    exponent, have a larger one.
    """
    n = np.array(levels[: len(found)], dtype=float)[-3:]
    limit, simple = _limit(found[-3:], n, [order, order + 2]), _limit(found[-2:], n[-2:], [order])
    raw, one, best = (engineering(C).as_dict() for C in (found[-1], simple, limit))
    errors = {name: _error(name, raw[name], one[name], best[name], share) for name in best}
    return limit, errors


def _error(name: str, raw: float | None, one: float | None, best: float | None, share: float) -> float | None:
    if raw is None or one is None or best is None:
        return None
    error = max(share * abs(raw - best), abs(one - best) / 4)
    return error / (max(abs(best), SMALL_RATIO) if name.startswith("nu") else best)


def _limit(found: Sequence[np.ndarray], n: np.ndarray, powers: list[int]) -> np.ndarray:
    """Return the constant term of found(n) = limit + sum of c_k n^-k."""
    terms = np.column_stack([np.ones(len(n)), *(n**-power for power in powers)])
    weights = np.linalg.inv(terms)[0]
    return np.tensordot(weights, np.stack(list(found)), axes=1)
