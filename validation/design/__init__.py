"""Before printing: designs compared at equal mass, the lightest that carries a load, tests planned, one cell
as numbers.

- Hands out: `compare.compare`, `equal_mass`, `fronts`, `choose`, `plan`, `plan_sheet`, `cells.solve_cell`,
  `first_failure`.
- Checked by: mass met to a thousandth, fronts by brute force, power of few repeats by simulation.
"""
