"""Bend tests in closed form, and handbook beam theory of a printed section.

- Knows: cantilever, three-point, four-point; bending, shear, root and rig compliance; the elastica.
- Hands out: `bending.BendTest`, `beam_theory.theory_beams`.
- Checked by: handbook beams, the exact elastica, worked examples of the bend-test standards.
- Weak: a clamp's root lies between rigid and an elastic half-plane; which one a rig has is not known before
  it is tried.
"""
