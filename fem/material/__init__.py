"""Elastic matrices, limits, material cards with ranges, and bands.

- Knows: 6 x 6 stiffness in Voigt order 11, 22, 33, 23, 13, 12; bonded beads and their laminates; what each
  card value is measured on (bead, true contact, gross print), so that voids are never counted twice.
- Hands out: `stiffness.isotropic`, `rotate`, `engineering`; `bonded.bonded_beads`, `laminate`; `bounds`;
  `direction`; `cards.shipped_card`, `card_from`; `bands.Band`.
- Checked by: rank-1 laminates (Backus 1962), rotations, positive energy, the published Hashin-Shtrikman
  table.
- To add a value: a field of `cards.Card`, its basis in `NEEDED_BASIS`, values with range and evidence in
  `data/*.toml`.
- Weak: shear moduli of prints are hardly ever measured; Huber's estimate stands in. Ranges are triangular.
"""
