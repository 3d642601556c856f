"""Model error of flat and on-edge beams: a slice with its lines drawn over the same slice homogenised."""

from dataclasses import dataclass, replace

import numpy as np

from fem.slices.beam_slice import mean_stiffness, solve_slice
from fem.slices.box_body import Block
from fem.slices.slice_grid import SliceGrid
from fem.strength.criteria import Beam
from patterns.errors import InputError
from patterns.outlines.orientation import beam_from_print

# Boxes across a bead and the most unknowns spent on them: 0.25 million take some ten seconds and 0.5 GiB at each phase.
# Against six or eight boxes (sections of 8 and 12 mm) the mean ratio over the phases is right to 0.003 with three; with
# two, EI lacks up to 0.006 and GA 0.01.
_GRIDS = ((4, 3e5), (3, 7e5), (2, 2e6))
_GIB_PER_UNKNOWN = 1.4e-6


@dataclass(frozen=True)
class SliceRatio:
    """Drawn over homogenised EI, GA, GJ and EA, and the boxes drawn."""

    ratios: dict[str, float]
    boxes: int


def affordable_grid(beam: Beam, values: dict[str, float]) -> SliceGrid:
    """Return the finest grid that takes no more than a minute or so at each phase.

    Raises
    ------
    InputError
        If the lines do not repeat along the beam within a few steps, or the coarsest grid would need too many boxes.
    """
    coarsest, limit = _GRIDS[-1]
    grid = SliceGrid(beam, values, coarsest)
    unknowns = count_unknowns(grid.drawn())
    for across, most in _GRIDS:
        if unknowns * (across / coarsest) ** 2 <= most:  # layers stay one box high
            return replace(grid, across=across)
    raise InputError(
        f"a slice of {grid.period[0]:.3g} mm, one period of the core, takes {unknowns:.2g} unknowns and about "
        f"{unknowns * _GIB_PER_UNKNOWN:.0f} GiB with {coarsest} boxes across a bead, and at most {limit:.2g} are "
        "solved: look at a smaller section with as many lines, or at wider beads and higher layers"
    )


def count_unknowns(block: Block) -> int:
    """Return the displacements of all corners of boxes that are not empty."""
    used = (block.shares > 0).any(axis=0)
    corners = np.zeros([n + 1 for n in used.shape], dtype=bool)
    for i in (0, 1):
        for j in (0, 1):
            for k in (0, 1):
                corners[i : i + used.shape[0], j : j + used.shape[1], k : k + used.shape[2]] |= used
    corners[0] |= corners[-1]  # one period along the beam
    return 3 * int(corners[:-1].sum())


def slice_ratio(grid: SliceGrid) -> SliceRatio:
    """Return the stiffness of the drawn slice over that of the homogenised one, cell and all on the same grid."""
    test, orientation = grid.beam.test, grid.beam.layout.printing.orientation
    angle = np.radians(test.load_angle_deg)
    load = beam_from_print(orientation).T @ [0.0, -np.sin(angle), np.cos(angle)]
    drawn = grid.drawn()
    found = solve_slice(drawn, load[1:])
    smooth = solve_slice(grid.homogenised(mean_stiffness(grid.cell())), load[1:])
    ratios = {name: getattr(found, name) / getattr(smooth, name) for name in ("EI", "GA", "GJ", "EA")}
    return SliceRatio(ratios, int((drawn.shares > 0).any(axis=0).sum()))
