"""Study files: what is printed, tested and varied, and the estimates of its settings.

- Road: `study.load` -> `settings_list` (products of vary, single settings) -> `study_tables` (keys, types, units)
  -> `study_problems` (each mistake once, with its settings), `near_keys` (another word for a key), `toml_slips`
  (what a TOML parser's message means) -> `estimates` (every setting, with progress and the cell store).
- `study_keys` lists every key, `first_study` writes one to start from.
- Checked by: every key wrong once, all problems of a file in one run, the demos, every shape, test and pattern.
"""
