"""One family of sine waves, alike in every layer; nothing holds them together across."""

from patterns.cells.strand import Wave
from patterns.kinds.option import Option
from patterns.kinds.strand import StrandPattern


def sinusoidal(amplitude_ratio: float, wavelength_ratio: float) -> Wave:
    """Return the wave at pitch 1."""
    return Wave(amplitude_ratio * wavelength_ratio, wavelength_ratio)


PATTERN = StrandPattern(
    slug="sinusoidal",
    build=sinusoidal,
    summary="one family of sine waves; no load path across them",
    pitch_means="line distance",
    axis_1="along the lines",
    symmetry="orthotropic",
    options=(
        Option("amplitude_ratio", 0.1, 0.005, 0.5, "", "amplitude / wavelength"),
        Option("wavelength_ratio", 2.5, 0.25, 20, "", "wavelength / line distance"),
    ),
)
