"""Plan geometry of printed beams: what is deposited where. Knows nothing of meshes and forces.

From the lowest to the highest, each importing only lower ones: `errors`, `bead`, `setting` (print choices as plain
data), `cells`, `kinds`, `fill` (fills to pitches), `lattices`, `catalogue` (a pattern by its name), `infill` (what
fills a core, settled once), `outlines`, `paths`.

Knows
    Beads, line patterns, fills, outlines, where walls, faces and core lie, and every deposited line.
Hands out
    `infill.Infill` (pitch, corner radius, lines of a layer, cell), `outlines.layout.Layout`, `paths.deposit.Deposit`.
Checked
    Covered areas, lengths and masses against closed forms (tests/closed_forms/covered_area.py) and by properties that
    hold for every pattern of the catalogue.
Weak
    A printer's own rounding of corners, its seams and the start of each line are not traced.
"""
