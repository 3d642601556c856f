"""One family of sine waves, alike in every layer; nothing holds them together across."""

from patterns.catalogue import Option
from patterns.cells.strand import Wave, register_strand


def sinusoidal(amplitude_ratio: float, wavelength_ratio: float) -> Wave:
    """Return the wave at pitch 1."""
    return Wave(amplitude_ratio * wavelength_ratio, wavelength_ratio)


register_strand(
    "sinusoidal",
    sinusoidal,
    summary="one family of sine waves; no load path across them",
    pitch_means="line distance",
    axis_1="along the lines",
    options=(
        Option("amplitude_ratio", 0.1, 0.005, 0.5, "", "amplitude / wavelength"),
        Option("wavelength_ratio", 2.5, 0.25, 20, "", "wavelength / line distance"),
    ),
)
