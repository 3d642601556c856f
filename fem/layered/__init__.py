"""Cells whose layers differ: beads in one or two directions, or any stack of plans.

- Road: `bead_mesh`, `bead_grid` (a quarter bead, nodes crowded as a power towards the welds' edges) ->
  `bead_domain` (closed by its symmetries) -> `extrusion` (Kronecker products) -> `layered` (energies of
  meshes extrapolated). Other stacks: `voxels` -> `stack_system` -> `stack_levels` (coarser boxes, one multigrid
  hierarchy for all loads, nothing assembled) -> `stack_solve` -> `stacked`.
- Hands out: `layered.homogenise_layered`, `struts.strut_factors` (fibre stress between welds by
  equilibrium), `solid_field.solid_field`.
- Checked by: laminates, symmetries, two other libraries on the same solids, the finite elements' own nodal
  forces.
- Cost, CPU: 0/90 to 0.5 % 1.1 to 2.4 s; 0/75 to 0/45 4 s; 0/30 11 s; gyroid at 0.2 fill to 2 % 8 s and 0.4 GiB
  (``python -m tests.benchmarks.layered``).
- Weak: crossings of 30 degrees and below converge slowly; a gyroid at 0.1 fill stays at 4 %, and has no
  stress factors. The elastic stress at a weld's edge has no limit, so no peak is given there.
"""
