"""Measured beams: the table of specimens, their runs, and the comparison with estimate and beam theory.

- Road: `manifest` (columns, units, doubts) -> `measured` (runs reduced by the rig room) -> `reconcile` (per
  setting: measured, estimated, handbook) -> `repeats` (scatter, pairs, builds).
- `unit_doubts`, `size_doubts`, `fill_notes` ask the reader to look again; they never change data.
- Checked by: invented beams of known truth, certified data behind the statistics.
"""
