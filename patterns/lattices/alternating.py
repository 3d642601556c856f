"""Straight lines in two directions that take turns layer by layer; they touch only where they cross."""

from patterns.kinds.layered import LayeredPattern

PATTERN = LayeredPattern(
    slug="alternating",
    summary="lines in two directions that take turns layer by layer; solid at set fill 1",
    pitch_means="line distance in a layer",
    axis_1="at angle 0, from which the line directions count",
    symmetry="orthotropic",
)
