"""Meshes, elements and linear solvers that know no beams.

- Knows: triangle meshes of planar maps (gmsh, in `mesh` alone), hierarchical triangles of any order, tensor
  elements of any order, boxes with incompatible modes and their coarser spaces, sparse factors, multigrid,
  periodicity by elimination.
- Hands out: `mesh.mesh_planar`, `triangle.shape`, `tensor_elements.assemble`, `box_element.box_stiffness`,
  `solve.Factorised`, `dissection.nested_dissection`, `boxes.BoxOperator`,
  `multigrid.Multigrid`, `symmetry.fold`.
- Checked by: patch tests, partition of unity, observed orders, dense solvers on small systems.
- Weak: one thread; a factor of 2e6 unknowns does not fit, so boxes above that are refused.
"""
