"""One period of a beam in space with every line drawn: the error of the homogenised model.

- Road: `slice_grid` (boxes: drawn, homogenised, the core's cell) -> `box_body`, solved by `body_solver`
  (multigrid) -> `beam_slice` (stretch, curvatures, twist, shear) -> `slice_error` -> `resolved`; upright
  prismatic sections are drawn in the plane at four phases instead.
- Hands out: `resolved.with_model_error`, used by ``--resolved``.
- Only ratios of slices on one grid are used, so what boxes do wrong largely cancels.
- Checked by: prisms (EI, EA exact; GA, GJ of order 2), ngsolve solids of a whole printed beam in all
  orientations (2.5 %).
- Figures: the homogenised core's error falls as 1/cells; flat GA reaches 2 % at ten cells, EI at two to
  three. 8 mm at beads of 1/3 mm (0.24 million unknowns) take 10 s CPU per phase and 0.5 GiB
  (``python -m tests.benchmarks.slices``).
- Weak: square-edged beads; no slice for upright alternating beams; lines must repeat within 8 lattice
  steps.
"""
