"""Rig files: reading them as they come and reducing each run.

- Knows: how rigs, loggers and spreadsheets write force and travel; nothing of patterns or estimates.
- Hands out: `reduce.reduce_file` (read and reduce), `read.read_file` (raw runs), `profile.load_profile`,
  `blank.blank_curve` (the rig's own travel), `geometry.Geometry`, `spans` (EI and GA of two spans), and
  `units`, `numbers` for every table of measurements.
- Road: `decode` (bytes, encoding) -> `dialect` (delimiter, decimal sign) -> `tables` with `header`, `columns`,
  `groups`, `labels` (names, units, who stands beside whom) -> `rows` -> `assemble` (units, one run per
  specimen) -> `second_look` -> `prepare` (tare, contact, end, rig's travel) -> `evaluate` (slope, drop, onset,
  energies, apparent values).
- Promise: a run is read right, or the file is refused, or what may be missing is told (`guesses`; strict reading
  refuses them). `second_look` cuts the lines anew and holds every number of a run's column of force against the
  run: three or more beyond its extremes refuse the file, fewer flag the run (`force_left_out`).
- How to add: what one rig does is a profile, which is data and needs no code (`profile.Profile` has every key;
  ``fillbend reduce --help`` shows one; ``--strict`` then says whether anything is left to guess; examples in
  ``tests/validation/commands/test_reduce_command.py``). What many rigs do is a word in `columns`, a unit in `units`.
  A new kind of trouble is a maker in ``tests/validation/rig/torture_files.py`` (several runs:
  ``torture_arrangements.py``) with the truth known before, then
  ``python -m tests.validation.rig.torture_arrangements``: no file of the torture folder is written by hand.
- Checked by: random layouts of known runs in random dress (two thousand, row by row), the torture folder, runs
  recovered from noise, toe and compliance within the stated error, the numbers of ISO 178, ASTM D790, D6272 and
  the elastica.
- Weak: the second look shares delimiter, decimal sign and choice of the column of force with the first, so a force
  under a wrong name passes both. Quantities in rows are refused, not read. Four points are not corrected for
  large deflection. Of two forces over one travel without labels the file is refused.
"""
