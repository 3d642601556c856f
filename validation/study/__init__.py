"""Study files: what is printed, tested and varied, and the estimates of its settings.

- Road: `study.load` -> `study_tables` (keys, types, units) -> `study_problems` (each mistake once, with its
  settings), `toml_slips` (what a TOML parser's message means) -> `estimates` (every setting, with progress
  and the cell store).
- Checked by: every key wrong once, all problems of a file in one run, the demos.
"""
