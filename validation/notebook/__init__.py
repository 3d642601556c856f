"""What `from validation import ...` hands out: the commands' work as functions, for notebooks and scripts.

- `beam` makes a setting from a study's words; `study_of` takes a study, its file, a setting or several, so that every
  function here does. `asked` estimates, compares and reconciles; `calibration` tunes and predicts; `drawing` draws;
  `planning`, `solved_cell` and `page_file` plan, solve one cell and write the page.
- Results show themselves as a table in a notebook (every text escaped) and give plain rows by ``to_rows()``: a list of
  dictionaries with units in the keys, which any library of tables takes.
- Checked by: the same numbers as the commands give (``tests/validation/notebook``), every example run.
- Weak: settings given in Python have no file, so that a table of beams is told apart by the keys in which they differ.
"""
