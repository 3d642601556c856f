"""One family of straight lines, alike in every layer; nothing holds them together across."""

from patterns.cells.strand import Wave, register_strand


def parallel() -> Wave:
    """Return a straight line."""
    return Wave(amplitude=0.0, wavelength=1.0)


register_strand(
    "parallel",
    parallel,
    summary="one family of straight lines; no load path across them",
    pitch_means="line distance",
    axis_1="along the lines",
)
