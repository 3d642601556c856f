"""One period of lines: the lines, the beads around them, the voids between them.

Knows
    `strokes`, `raster`, `net` (periodic centre-lines); `planar` (outlines that share curves), `voids` (openings
    between beads); the cells made of them: `cell.PlanCell` by `net_cell` and `strand`, `layered.LayeredCell` with the
    real outline of its beads, `stack.StackedCell` of any plans.
Hands out
    Cells as outlines in mm, for the meshes of `fem.prismatic` and `fem.layered`.
Checked
    Exact areas of voids and beads, periodicity, orientation of loops (tests/patterns/test_lattices.py, cells/).
Weak
    Cells of layers take one or two directions; flatter crossings than 10 degrees are refused.
"""
