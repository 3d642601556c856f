"""Any stack of plans to 6 x 6, on grids of boxes, extrapolated over their fineness.

Boxes fit neither the lines nor the edges of welds. Their fullness meets areas and volumes in the mean, though, so that
over a pattern that lies on the grid in all ways the error falls like the square of a box's edge, as seen on grids of
6.5 to 17.5 boxes across the bead. Two grids are solved and that part taken away; a quarter of it is the error left.
"""

import math
import time
from collections.abc import Sequence

import numpy as np

from fem.layered.result import LayeredStiffness
from fem.layered.stack_solve import mean_stiffness
from fem.layered.stack_system import build_system
from fem.layered.voxels import VoxelGrid
from fem.material.stiffness import Engineering, about_axis_3, engineering, rotate
from fem.prismatic.error_bar import SMALL_RATIO
from patterns.cells.stack import StackedCell

_PAIRS = (
    (2, 4),
    (4.5, 6.6),
    (6.6, 9),
    (9, 12),
    (12, 16),
    (16, 22),
)  # boxes across the bead, coarse and fine grid
_MOST_UNKNOWNS = 2.9e5  # of the fine grid: what some fifteen seconds and 0.7 GiB allow
_UNKNOWNS_PER_BOX = 4.2
_ERROR_SHARE = 0.25  # of the extrapolated part
_LEAST_ERROR = 0.5  # times (box edge / bead width)^2: a quarter of the part taken away in a typical case


def homogenise_stack(cell: StackedCell, bead_material: np.ndarray, tolerance: float) -> LayeredStiffness:
    """Return the mean stiffness of a stack of plans; see `fem.layered.layered.homogenise_layered`.

    The grids are the finest that take some fifteen seconds, whatever the tolerance; ``met`` tells whether it was met.
    """
    seconds = {"mesh": 0.0, "solve": 0.0}
    found: list[np.ndarray] = []
    edges: list[float] = []
    for across in _pair(cell):
        start = time.perf_counter()
        system = build_system(voxel_grid(cell, across), bead_material)
        meshed = time.perf_counter()
        C, unknowns = mean_stiffness(system)
        if cell.quarter_turn:
            C = (C + rotate(C, about_axis_3(math.pi / 2))) / 2
        seconds["mesh"] += meshed - start
        seconds["solve"] += time.perf_counter() - meshed
        found.append(rotate(C, about_axis_3(math.radians(cell.angle_deg))))
        edges.append(system.grid.edge)
    limit = extrapolate(found, edges)
    least = _LEAST_ERROR * (edges[1] / cell.bead.width) ** 2
    errors = _errors(engineering(found[1]), engineering(limit), least)
    return LayeredStiffness(
        stiffness=limit,
        engineering=engineering(limit),
        errors=errors,
        geometric_fill=system.grid.fill,
        unknowns=unknowns,
        order=1,
        met=all(error <= tolerance for error in errors.values() if error is not None),
        seconds=seconds,
    )


def extrapolate(found: Sequence[np.ndarray], edges: Sequence[float]) -> np.ndarray:
    """Return the limit of a coarse and a fine result whose error goes with the square of the box's edge."""
    coarse, fine = edges
    result: np.ndarray = found[1] + (found[1] - found[0]) * fine**2 / (coarse**2 - fine**2)
    return result


def _errors(fine: Engineering, limit: Engineering, least: float) -> dict[str, float | None]:
    errors: dict[str, float | None] = {}
    for (name, value), raw in zip(limit.as_dict().items(), fine.as_dict().values(), strict=True):
        if value is None or raw is None:
            errors[name] = None
        else:
            size = max(abs(value), SMALL_RATIO) if name.startswith("nu") else abs(value)
            errors[name] = max(_ERROR_SHARE * abs(raw - value) / size, least)
    return errors


def voxel_grid(cell: StackedCell, across: float) -> VoxelGrid:
    """Return a grid of nearly cubic boxes, about ``across`` of them to the bead's width."""
    edge = cell.bead.width / across
    side = max(8, 8 * round(cell.period / edge / 8))
    return VoxelGrid(cell, max(2, round(cell.layer_height / edge)), side)


def _pair(cell: StackedCell) -> tuple[float, float]:
    """Return how many boxes lie across the bead in the coarse and in the fine grid."""
    for pair in reversed(_PAIRS):
        layers, sub, side, _ = voxel_grid(cell, pair[1]).shape
        boxes = cell.set_fill * layers * sub * side**2 / len(cell.motions)
        if _UNKNOWNS_PER_BOX * boxes <= _MOST_UNKNOWNS:
            return pair
    return _PAIRS[0]
