"""The section of a printed beam: its outline, how it lies on the plate, where walls, faces and core are.

Knows
    Outlines from sizes, corners and drawings; the map between print and beam axes; insets of areas.
Hands out
    `layout.lay_out` gives a `layout.Layout`: zones that tile the outline, wall rings, layers, and the core's `Infill`,
    which nobody has to look up again.
Checked
    Areas by hand, orientation codes of ISO 17295, zones tile the outline without overlap.
Weak
    Walls of flat and on-edge beams follow each layer's slice, so slopes are steps; gaps narrower than a bead stay
    empty.
"""
