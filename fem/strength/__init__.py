"""What breaks a beam.

Moment and curvature to the end
- `fibres` (strips of several kinds, N and M by running sums), `moment_curvature` (the largest moment is that just
  before a break, so only breaks are looked at; `follow` gives the curve), `one_draw` (the same for plain numbers),
  `kinds` (laws: `Raster` in walls and faces, `Lines` of a core, `Layers` across the beam), `bent`, `webs` (shear).
- The one place that says which mode breaks the beam is `fem.beam.response.Response.mode`.
- A kind that reaches its fracture strain anywhere is cracked through: from there on it only presses.
- Checked by: bilinear bar, plastic rectangle, tube and diamond, sandwich with yielding core, a sweep of curvatures by
  brute force, mirror and scale; collapse of cells in `fem.prismatic.collapse`; solids of plastic beads in all
  orientations in pure bending (`tests.independent.test_beam_plastic`): estimate low by 2 to 4 %, by 9 % where
  faces hold a core of bending lines two pitches deep.
- Weak: rules of our own are the strain left to joints between beads (`Raster`), to welds little stronger than beads
  (`Layers`) and to beads that begin to touch; a section bent along no axis of its own is an upper bound; webs yield
  by their largest stress; the cell's stiffness still steps where round beads touch; a core's plateau knows nothing of
  faces that hold its lines; no judge in space of plastic shear, nor of what breaks first in a core.

Local events
- Panels that buckle (`panels`, `fem.bending.plates`) lower the compressive stress of their kind to that of their
  effective width; buckling is what ends the beam where that takes more than a twentieth off the largest moment.
- Nose and jaws (`crush`, `fem.bending.indentation`) end it where core and walls below them collapse, unless the section
  carries more with its core pressed flat. What only begins and lets the load shift is a warning with its force.
- Weak: compressive stress stays once reached, also of wrinkled faces, whose real one falls. Own choices: a bow of
  1/200 of the half wave, 1/20 of depth under the nose, a circle between two sides on a corner. Crush at the free end of
  a cantilever is not looked at.

Welds
- `welds`: strength on contact x contact share x `weld_factor`; no notch radius, no notch sensitivity. The factor is the
  coupled criterion of `increment` (averaged stress and incremental energy) on the cells of `fem.printed.groove`.
- Core lines: mean stress over their section and plastic redistribution to the plateau of the cell (`kinds.Lines`); a
  fillet's peak starts no break. Welds of crossing lines cap that plateau by their torque (`fem.layered.twist`).
- Shear: `webs` slides layers on their welds, and walls side by side on the chord of their round sides.
- Where nothing is brittle, `webs.flow_force` lets what has yielded carry on: shear flow below the plateaus in
  shear, which grows no faster than bending stress does over the lever (limit analysis; checked by a linear program).
- Weak: pulled spools and bent tubes differ by two in weld strength, so the cards' ranges are wide; toughness is a guard
  from memory, never fitted. Welds that twist off are taken as plastic. Layer time, bead width and cooling act through
  the range of the strength alone.

How to add a failure mode
- Its slug goes into ``failure.MODES``; the tests of ``tests/validation/text/test_mode_words.py`` and
  ``tests/validation/report/test_figures.py`` then ask for its words, letter and looks.
- Fibres that break in a way of their own: a law in `kinds` and a `kinds.Kind` with the slug, given to zones by
  `fem.beam.carrying`. Shear: `webs.shear_mode`. Plates that buckle: `panels`. A load of its own, apart from moment and
  shear: a class in a file of its own with the members of `failure.Criterion` (`crush` is one), added to ``criteria``
  where ``fem/estimation.py`` makes the `Response`. Bands, ways, maps, tables and the page find it from there.
- A case made by hand goes into ``tests/fem/strength``: a beam that this mode breaks at a force known beforehand, and
  one where it does not govern.
"""
