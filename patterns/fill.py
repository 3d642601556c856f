"""From the fill a person types to the pitch of the lines, and back; what is out of reach is refused."""

import math
from dataclasses import dataclass

from patterns.errors import InputError
from patterns.kinds.pattern import Pattern


@dataclass(frozen=True)
class Fill:
    """Pitch in mm with the set fill and the geometric fill that belong to it (fractions of one)."""

    pitch: float
    set_fill: float
    geometric_fill: float


def default_corner_radius(width: float) -> float:
    """Return a quarter of the bead width (mm): about what a bead makes of a sharp inside corner."""
    return width / 4


def checked_fill(value: float, name: str = "set fill") -> float:
    """Return a fill as a fraction in (0, 1].

    Raises
    ------
    InputError
        Otherwise; a percentage is refused with the fraction to write.

    Examples
    --------
    >>> checked_fill(0.3)
    0.3
    """
    if not math.isfinite(value) or value <= 0:
        raise InputError(f"{name} is {value!r}; it must be a fraction above 0 and at most 1")
    if value > 1:
        percent = f"for {value:g} percent write {value / 100:g}"
        remedy = percent if value <= 100 else "write a fraction such as 0.30"
        raise InputError(f"{name} is {value:g}, but fills are fractions of one: {remedy}")
    return float(value)


def fill_for(
    pattern: Pattern,
    width: float,
    corner_radius: float,
    *,
    set_fill: float | None = None,
    geometric_fill: float | None = None,
    pitch: float | None = None,
    **options: float,
) -> Fill:
    """Return the fill and pitch of a pattern from exactly one of the three ways to give it.

    Parameters
    ----------
    pattern : Pattern
        From the catalogue.
    width, corner_radius : float
        Bead width and radius of the voids' corners in mm.
    set_fill, geometric_fill, pitch : float
        One of them: fraction of one, fraction of one, mm.
    **options : float
        The pattern's own.

    Returns
    -------
    Fill
        Met to round-off; a geometric fill to 1e-12.

    Raises
    ------
    InputError
        If not exactly one is given, or it is out of the pattern's reach; the reach is stated.

    Examples
    --------
    >>> from patterns.catalogue import find
    >>> fill = fill_for(find("square"), 0.45, 0.0, set_fill=0.3)
    >>> fill.pitch, round(fill.geometric_fill, 12)
    (3.0, 0.2775)
    """
    if (set_fill, geometric_fill, pitch).count(None) != 2:
        raise InputError("give exactly one of set fill, geometric fill and pitch")
    if not (math.isfinite(width) and width > 0):
        raise InputError(f"bead width is {width!r} mm; it must be a positive number")
    reach = pattern.fill_range(width, corner_radius, **options)
    setting = _Setting(pattern, width, corner_radius, options, reach)
    if set_fill is not None:
        pitch = pattern.pitch(width, setting.within(checked_fill(set_fill), reach, "set fill"), **options)
    elif geometric_fill is not None:
        pitch = setting.pitch_of_geometric(checked_fill(geometric_fill, "geometric fill"))
    else:
        assert pitch is not None  # exactly one is given
        setting.within_pitch(pitch)
    return Fill(pitch, pattern.set_fill(width, pitch, **options), setting.geometric(pitch))


@dataclass(frozen=True)
class _Setting:
    """A pattern with its bead, so that refusals can name them."""

    pattern: Pattern
    width: float
    corner_radius: float
    options: dict[str, float]
    reach: tuple[float, float]

    def geometric(self, pitch: float) -> float:
        return self.pattern.geometric_fill(self.width, pitch, self.corner_radius, **self.options)

    def ends(self) -> tuple[float, float]:
        """Pitches (mm) of the lowest and the highest set fill."""
        low, high = (self.pattern.pitch(self.width, fill, **self.options) for fill in self.reach)
        return low, high

    def pitch_of_geometric(self, target: float) -> float:
        """Return the pitch (mm) that meets the target; covered area falls steadily as the pitch grows."""
        from scipy.optimize import brentq

        widest, closest = self.ends()
        low, high = self.geometric(widest), self.geometric(closest)
        self.within(target, (low, high), "geometric fill")
        if target >= high:
            return closest
        if target <= low:
            return widest
        return float(brentq(lambda p: self.geometric(p) - target, closest, widest, xtol=1e-14, rtol=1e-14))

    def within_pitch(self, pitch: float) -> None:
        if not (math.isfinite(pitch) and pitch > 0):
            raise InputError(f"pitch is {pitch!r} mm; it must be a positive number")
        widest, closest = self.ends()
        if not closest * (1 - 1e-9) <= pitch <= widest * (1 + 1e-9):
            raise InputError(
                f"pitch {pitch:g} mm is out of reach: {self.bead()} takes {closest:.4g} to {widest:.4g} mm"
            )

    def within(self, fill: float, reach: tuple[float, float], name: str) -> float:
        low, high = reach
        if not low * (1 - 1e-9) <= fill <= high * (1 + 1e-9):
            raise InputError(f"{name} {fill:g} is out of reach: {self.bead()} takes {_range(low, high)}")
        return fill

    def bead(self) -> str:
        own = "".join(f", {name} {value:g}" for name, value in self.options.items())
        return (
            f"{self.pattern.slug} with a {self.width:g} mm bead, corner radius {self.corner_radius:g} mm{own}"
        )


def _range(low: float, high: float) -> str:
    """Both ends to four digits, rounded inwards."""
    return f"{math.ceil(low * 1e4 - 1e-6) / 1e4:g} to {math.floor(high * 1e4 + 1e-6) / 1e4:g}"
