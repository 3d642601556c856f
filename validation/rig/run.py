"""A reduced run: results, warnings and the log of how they came about."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from fem.tables import html_table, significant
from validation.rig.record import Dropped
from validation.rig.slope import Slope
from validation.text.screen import in_markup


@dataclass(frozen=True)
class Step:
    """One step of the reduction and what it found."""

    name: str
    found: str


@dataclass(frozen=True)
class Doubt:
    """A doubt about a run: ``flag`` for programs, ``text`` for people."""

    flag: str
    text: str


@dataclass(frozen=True)
class Curve:
    """The run after tare, sign, units and compliance, with its marks as sample numbers; origin of travel at zero load.

    ``travel`` in mm, ``force`` in N, both shape (n,), the tail after the end of the test included.
    """

    travel: np.ndarray
    force: np.ndarray
    contact: int
    end: int
    peak: int
    drop: int | None


@dataclass(frozen=True)
class Run:
    """One reduced run.

    Parameters
    ----------
    file, sha256, label : str
        Where it came from; the label tells runs of one file apart.
    points : int
        Rows kept.
    dropped : tuple of Dropped
        Lines refused, with reasons.
    units : dict
        ``force`` and ``travel`` as read.
    read_as : str
        How the file was understood, for people.
    peak_force : float or None
        N; None if the beam was never loaded.
    peak_error : float or None
        N; noise, the step to the neighbouring sample, drift of the tare.
    travel_at_peak : float or None
        mm, from where the fitted line meets zero force.
    travel_error : float or None
        mm; noise, the step to the neighbouring sample, place of the toe.
    first_drop : float or None
        Force in N before the first drop; equal to the peak if the beam breaks at once; None if it never drops.
    slope : Slope or None
        Stiffness in N/mm with its window.
    energy : float or None
        J, from contact to peak.
    energy_to_break : float or None
        J, from contact to where the force falls below half of the peak; None if nothing broke.
    onset_of_yield : float or None
        N, where the curve leaves the slope's line by 5 % for good; None if it breaks before.
    moment : float or None
        Largest moment at the peak, N mm.
    apparent_strength, apparent_modulus : float or None
        MPa, of a solid bar of the gross section.
    conventional_force : float or None
        Force at the deflection 1.5 h of ISO 178, N.
    warnings : tuple of Doubt
        Doubts.
    steps : tuple of Step
        What was done, in order.
    guesses : tuple of str
        What the reader took for granted.
    curve : Curve or None
        For figures; None without travel.
    """

    file: str
    sha256: str
    label: str
    points: int
    dropped: tuple[Dropped, ...]
    units: dict[str, str | None]
    read_as: str
    peak_force: float | None = None
    peak_error: float | None = None
    travel_at_peak: float | None = None
    travel_error: float | None = None
    first_drop: float | None = None
    slope: Slope | None = None
    energy: float | None = None
    energy_to_break: float | None = None
    onset_of_yield: float | None = None
    moment: float | None = None
    apparent_strength: float | None = None
    apparent_modulus: float | None = None
    conventional_force: float | None = None
    warnings: tuple[Doubt, ...] = ()
    steps: tuple[Step, ...] = ()
    guesses: tuple[str, ...] = ()
    curve: Curve | None = None

    @property
    def name(self) -> str:
        """File name and label, in signs that a drawing can hold; a name may be bytes of no text."""
        file = in_markup(self.file.replace("\\", "/")).rsplit("/", 1)[-1]
        return f"{file} ({in_markup(self.label)})" if self.label else file

    @property
    def flags(self) -> list[str]:
        """Quality flags, without doubles."""
        return list(dict.fromkeys(warning.flag for warning in self.warnings))

    def to_dict(self) -> dict[str, Any]:
        """Return the run as plain data with units in the names."""
        return {
            "file": self.file,
            "sha256": self.sha256,
            "run": self.label or None,
            "points": self.points,
            "dropped": [{"line": one.line, "reason": one.reason} for one in self.dropped],
            "units": self.units,
            "peak_force_N": self.peak_force,
            "peak_error_N": self.peak_error,
            "travel_at_peak_mm": self.travel_at_peak,
            "travel_error_mm": self.travel_error,
            "first_drop_force_N": self.first_drop,
            "slope_N_per_mm": self.slope.value if self.slope else None,
            "slope_error_N_per_mm": self.slope.error if self.slope else None,
            "slope_window": _window(self.slope),
            "energy_J": self.energy,
            "energy_to_break_J": self.energy_to_break,
            "onset_of_yield_force_N": self.onset_of_yield,
            "moment_at_peak_N_mm": self.moment,
            "apparent_strength_mpa": self.apparent_strength,
            "apparent_modulus_mpa": self.apparent_modulus,
            "force_at_conventional_deflection_N": self.conventional_force,
            "quality": self.flags,
            "warnings": [warning.text for warning in self.warnings],
            "read_as": self.read_as,
            "guesses": list(self.guesses),
            "steps": [{"step": step.name, "found": step.found} for step in self.steps],
        }

    def to_rows(self) -> list[dict[str, Any]]:
        """Return one row: the run's numbers and words, units in the keys."""
        plain = (int, float, str, type(None))
        return [{key: value for key, value in self.to_dict().items() if isinstance(value, plain)}]

    def _repr_html_(self) -> str:
        told = [
            ["peak force", significant(self.peak_force, 4), "N"],
            ["travel at peak", significant(self.travel_at_peak), "mm"],
            ["force at first drop", significant(self.first_drop, 4), "N"],
            ["slope", significant(self.slope.value if self.slope else None), "N/mm"],
            ["energy", significant(self.energy), "J"],
        ]
        notes = [self.read_as, *(f"guessed: {guess}" for guess in self.guesses)]
        return html_table(
            ("", "", "unit"), told, self.name, [*notes, *(doubt.text for doubt in self.warnings)]
        )


def _window(slope: Slope | None) -> dict[str, Any] | None:
    """Return the slope's window as plain data."""
    if slope is None:
        return None
    return {
        "method": slope.method,
        "from_N": slope.start[1],
        "to_N": slope.stop[1],
        "from_mm": slope.start[0] - slope.origin,
        "to_mm": slope.stop[0] - slope.origin,
        "points": slope.points,
        "lowest_N_per_mm": slope.low,
        "highest_N_per_mm": slope.high,
    }
