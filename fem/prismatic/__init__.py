"""The prismatic cell: 6 x 6 of a plan cell, its error, its bounds and its stress peaks.

- Road: `cell_mesh` -> `periodic` -> `plan_elements` -> `plan_system` (hierarchical functions, order 2 to 8,
  bubbles condensed, one factorisation) -> `error_bar` (three nested orders) -> `homogenise`.
- Hands out: `homogenise.homogenise`, `concentration.concentration`, `failure_surface.first_failure`,
  `antiplane_bound.antiplane_lower_bound`, `stress_field.StressField`.
- Checked by: closed forms and tables of perforated sheets and lattices, exact shifts in Poisson's ratio,
  duality, another library on the same mesh, a Fourier method, guaranteed limits of the antiplane moduli.
- Cost: to 0.1 % median 0.09 s, worst 0.29 s, voronoi 1.9 s; as unknowns^0.9 to 1.2 up to 8e4, ^1.8 above
  (``python -m tests.benchmarks.cells``).
- Weak: no guaranteed lower bound in the plane; easy cells (kagome) take up to 3 times a general library's
  coarsest mesh.
"""
