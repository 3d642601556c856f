"""A beam made of its section and its test: how stiffness and force answer to the material.

- Hands out: `section_model.solve_layout` (the homogenised section of a layout), `response.Response`
  (stiffness and force for any material values and beam size, vectorised, without meshing again),
  `joint.open_joint` (core not bonded to the walls).
- Calibration, prediction of single beams and explanations only call `Response`.
- Checked by: sections of one material, handbook stiffness, scaling with size and lever.
- Weak: a beam's own size scales every mode by width x depth^2.
"""
