"""Numerics: meshes, elements and linear solvers that know no beams."""
