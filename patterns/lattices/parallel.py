"""One family of straight lines, alike in every layer; nothing holds them together across."""

from patterns.cells.strand import Wave
from patterns.kinds.strand import StrandPattern


def parallel() -> Wave:
    """Return a straight line."""
    return Wave(amplitude=0.0, wavelength=1.0)


PATTERN = StrandPattern(
    slug="parallel",
    build=parallel,
    summary="one family of straight lines; no load path across them",
    pitch_means="line distance",
    axis_1="along the lines",
    symmetry="orthotropic",
)
