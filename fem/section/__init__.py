"""The beam section: Saint-Venant's problem of an anisotropic section, 6 x 6.

- Road: `tiles` (zones with common borders) -> `curves` (lines, true arcs) -> `mesh` -> `basis`
  (three-component warping of second order) -> `warping` (six solutions, one factorisation) -> `solve` ->
  `result`; `stress`, `vtu`; `parts` for loose pieces.
- Hands out: `solve.solve_section`, `result.Section` (EA, EI, GA, GJ, centres, stresses of any resultants).
- Conventions: N, Vy, Vz, T, My, Mz at the mesh's origin; My' = Vz, Mz' = -Vy. EA, EI, GJ are reciprocals of
  the compliance, all other resultants zero. GA is V^2 over twice the shear field's energy per length:
  energy-consistent, not Cowper's.
- Checked by: closed forms to 1e-4 (1e-3 at re-entrant corners), a 3D judge with two fully anisotropic
  materials on all 36 entries within 2.2e-4, bounds of torsion, overkill meshes (2e-4 homogenised, 1.5e-3
  drawn).
- Weak: no a-posteriori error of a single section; polygons of 23 or more sides count as circles; stress at
  bonded inner corners is singular.
"""
