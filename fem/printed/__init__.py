"""Printed parts of a beam, solved once: core, welds, stiffness of what is bonded.

Welds
- `contact`: the one definition of what is welded between two layers; `weld_plane` hands it out with the stiffness of
  stacked beads across their layers (`stack`, sharp cusps, per bead width). Upright beams: flats of the real lines
  (`section_lines`) at eight phases, of which the mean is what the cell has (Cavalieri).
- `neighbours`: which beads of a layer touch where widths scatter; cells (`core`), flats and joints follow both groups.
- `groove`: cracked cells of stacked and of crossing beads: mean stress and released energy over a crack increment.
  Solved only to make the table of `fem.strength.weld_factor`.
- Checked by: flats drawn by hand; 20 measured tubes (`tests/fem/strength/test_kuznetsov.py`); Irwin's relation, a deep
  external crack, a double edge crack, Williams' corner; ngsolve for the stack.
- Weak: beads that touch and that do not are taken to stretch alike, and the scatter itself is from memory. Nothing
  measured tells how far grooves close where lines of crossing layers touch (``groove_closing``), and the force of solid
  upright beams hangs on it. The crossing cell is a plane cut, two bead widths of pitch. Welds of
  prismatic lines that cross in the layer are in proportion to the geometric fill outside upright sections.
"""
