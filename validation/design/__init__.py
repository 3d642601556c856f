"""Before printing: designs compared at equal mass, the lightest for a load, tests planned, one cell.

- Hands out: `compare.compare`, `equal_mass`, `fronts`, `choose`, `plan`, `plan_sheet`, `cells.solve_cell`,
  `first_failure`.
- Checked by: mass met to a thousandth, fronts by brute force, power of few repeats by simulation.
"""
