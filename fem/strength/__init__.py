"""What breaks a beam.

Moment and curvature to the end
- `fibres` (strips of several kinds, N and M by running sums), `moment_curvature` (the largest moment is that just
  before a break, so only breaks are looked at; `follow` gives the curve), `one_draw` (the same for plain numbers),
  `kinds` (laws: `Raster` in walls and faces, `Lines` of a core, `Layers` across the beam), `bent`, `webs` (shear).
- The one place that says which mode breaks the beam is `fem.beam.response.Response.mode`. Buckling and crush are
  criteria of local stress (`criteria`, `crush`) that limit the force as they are.
- A kind that reaches its fracture strain anywhere is cracked through: from there on it only presses.
- Checked by: bilinear bar, plastic rectangle, tube and diamond, sandwich with yielding core, a sweep of curvatures by
  brute force, mirror and scale; collapse of cells in `fem.prismatic.collapse`.
- Weak: rules of our own are the strain left to joints between beads (`Raster`), to welds little stronger than beads
  (`Layers`) and to beads that begin to touch; a section bent along no axis of its own is an upper bound; webs yield
  by their largest stress; the cell's stiffness still steps where round beads touch; no judge in space with plastic
  beads yet.

Welds
- `welds`: strength on contact x contact share x `weld_factor`; no notch radius, no notch sensitivity. The factor is the
  coupled criterion of `increment` (averaged stress and incremental energy) on the cells of `fem.printed.groove`.
- Core lines: mean stress over their section and plastic redistribution to the plateau of the cell (`kinds.Lines`); a
  fillet's peak starts no break. Welds of crossing lines cap that plateau by their torque (`fem.layered.twist`).
- Shear: `webs` slides layers on their welds, and walls side by side on the chord of their round sides.
- Weak: pulled spools and bent tubes differ by two in weld strength, so the cards' ranges are wide; toughness is a guard
  from memory, never fitted. Welds that twist off are taken as plastic. Layer time, bead width and cooling act through
  the range of the strength alone.
"""
