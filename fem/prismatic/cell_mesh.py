"""Mesh of a plan cell for shape functions of high order: coarse along the lines, graded into sharp corners."""

from dataclasses import replace

import numpy as np

from fem.numerics.edges import Path
from fem.numerics.mesh import PlanMesh, mesh_planar
from patterns.cells.cell import PlanCell
from patterns.cells.planar import Curve

_ALONG = 0.75  # bead widths: largest edge
_FILLET = 0.8  # radii of curvature: about two edges on a quarter turn
_GROWTH = 0.4  # mm per mm away from fillets
_TIP, _SHARP_GROWTH = 2e-3, 0.6  # bead widths: edge at a sharp corner; mm per mm away from it
_SHARP = 0.02  # rad by which an outline must turn at a corner


def mesh_cell(cell: PlanCell, fineness: float = 1.0) -> PlanMesh:
    """Mesh a plan cell.

    Parameters
    ----------
    cell : PlanCell
        Sizes that its curves carry are replaced.
    fineness : float
        2 halves all edges.
    """
    along = _ALONG * cell.bead_width / fineness
    curves = tuple(
        replace(curve, size=min(along, _FILLET * _least_radius(curve) / fineness))
        for curve in cell.planar.curves
    )
    corners = sharp_corners(cell)
    tips = np.column_stack([corners, np.full(len(corners), _TIP * cell.bead_width / fineness**2)])
    growth = (_SHARP_GROWTH if len(corners) else _GROWTH) / fineness
    planar = replace(cell.planar, curves=curves)
    return mesh_planar(planar, along, cell.pairs, growth=growth, fine_points=tips)


def _least_radius(curve: Curve) -> float:
    """Return the smallest radius of curvature in mm; infinite for lines."""
    if curve.kind == "line":
        return np.inf
    if curve.kind == "arc":
        return float(np.linalg.norm(curve.points[0] - curve.points[1]))
    return Path(curve).least_radius()


def sharp_corners(cell: PlanCell) -> np.ndarray:
    """Return the corners (n, 2) in mm where the free outline turns into the solid, so that stress has no limit."""
    uses = np.zeros(len(cell.planar.curves), dtype=int)
    for region in cell.planar.regions:
        for loop in (region.outer, *region.holes):
            uses[[abs(k) - 1 for k in loop]] += 1
    for pair in cell.pairs:
        uses[[pair.curve - 1, pair.partner - 1]] += 1
    paths = [Path(curve) for curve in cell.planar.curves]
    found = []
    for region in cell.planar.regions:
        for number, loop in enumerate((region.outer, *region.holes)):
            side = _orientation(paths, loop) * (1 if number == 0 else -1)  # solid on the left: +1
            for k, following in zip(loop, (*loop[1:], loop[0]), strict=True):
                if uses[abs(k) - 1] == uses[abs(following) - 1] == 1:
                    (_, leaving), (arriving, _) = _tangents(paths, k), _tangents(paths, following)
                    turn = leaving[0] * arriving[1] - leaving[1] * arriving[0]
                    if side * np.arctan2(turn, leaving @ arriving) < -_SHARP:
                        found.append(paths[abs(k) - 1].at(np.array([1.0 if k > 0 else 0.0]))[0])
    return np.array(found).reshape(-1, 2)


def _tangents(paths: list[Path], k: int) -> tuple[np.ndarray, np.ndarray]:
    """Directions at the start and at the end of a signed curve."""
    points = paths[abs(k) - 1].at(np.array([0.0, 1e-6, 1 - 1e-6, 1.0]))
    if k < 0:
        points = points[::-1]
    first, last = points[1] - points[0], points[3] - points[2]
    return first / np.linalg.norm(first), last / np.linalg.norm(last)


def _orientation(paths: list[Path], loop: tuple[int, ...]) -> int:
    """+1 if a loop runs anticlockwise, else -1."""
    u = np.linspace(0, 1, 9)
    x, y = np.concatenate([paths[abs(k) - 1].at(u if k > 0 else 1 - u)[:-1] for k in loop]).T
    return 1 if np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) > 0 else -1
