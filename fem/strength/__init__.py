"""What breaks a beam.

Welds
- `welds`: strength on contact x contact share x `weld_factor`; no notch radius, no notch sensitivity. The factor is the
  coupled criterion of `increment` (averaged stress and incremental energy) on the cells of `fem.printed.groove`.
- Core lines: mean stress over their section and plastic redistribution to the plateau of the cell (`kinds.Lines`); a
  fillet's peak starts no break. Welds of crossing lines cap that plateau by their torque (`fem.layered.twist`).
- Shear: `webs` slides layers on their welds, and walls side by side on the chord of their round sides.
- Weak: pulled spools and bent tubes differ by two in weld strength, so the cards' ranges are wide; toughness is a guard
  from memory, never fitted. Welds that twist off are taken as plastic. Layer time, bead width and cooling act through
  the range of the strength alone.
"""
