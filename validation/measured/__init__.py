"""Measured beams: the table of specimens, their runs, and the comparison with estimate and beam theory.

- Road: `sheet` (any text table or workbook as cells) -> `headings`, `columns` (what each column is, what is asked)
  -> `manifest` (rows, units, doubts) -> `measured` (runs reduced by the rig room) -> `reconcile` (per
  setting: measured, estimated, handbook) -> `repeats` (scatter, pairs, builds).
- `unit_doubts`, `size_doubts`, `fill_notes` ask the reader to look again; they never change data.
- Checked by: invented beams of known truth, certified data behind the statistics.
"""
