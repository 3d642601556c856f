"""Bend tests in closed form, and handbook theory of beams, plates in compression and indentation.

- Knows: cantilever, three-point, four-point; bending, shear, root and rig compliance; the elastica; plates after they
  buckle; a nose or a jaw on cover, core and walls; Weibull's stressed volume.
- Hands out: `bending.BendTest`, `beam_theory.theory_beams`, `plates.Panel`, `indentation.Side`.
- Checked by: handbook beams, the exact elastica, worked examples of the bend-test standards; a flange of cold-formed
  design; own integration of the beam-column on a crushing core (Steeves and Fleck), minima by search.
- Weak: a clamp's root lies between rigid and an elastic half-plane; which one a rig has is not known before
  it is tried.
"""
