"""Measured beams beside the estimate and closed-form beam theory, setting by setting."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from fem.estimation import Estimate
from patterns.errors import DataError
from validation.measured.measured import Measured, MeasuredBeam
from validation.statistics.intervals import Interval, mean_factor
from validation.study.study import NamedSetting, Study


@dataclass(frozen=True)
class Sample:
    """The repeats of one quantity at one setting.

    Attributes
    ----------
    values : tuple of float
    mean, sd : float
        Arithmetic; ``sd`` is None for a single beam.
    interval : Interval or None
        95 % interval of the mean by Student's t (ISO 2602); None for a single beam.
    """

    values: tuple[float, ...]
    mean: float
    sd: float | None
    interval: Interval | None

    @classmethod
    def of(cls, values: Sequence[float]) -> "Sample | None":
        """Return the sample, None without values."""
        if not values:
            return None
        mean = float(np.mean(values))
        if len(values) == 1:
            return cls(tuple(values), mean, None, None)
        sd = float(np.std(values, ddof=1))
        half = mean_factor(len(values)) * sd
        return cls(tuple(values), mean, sd, Interval(mean - half, mean, mean + half))

    @property
    def n(self) -> int:
        """Number of beams."""
        return len(self.values)

    def as_dict(self) -> dict[str, Any]:
        """Return n, mean, sd and the interval of the mean."""
        ends = None if self.interval is None else [self.interval.low, self.interval.high]
        return {"n": self.n, "mean": self.mean, "sd": self.sd, "mean_interval_95": ends}


@dataclass(frozen=True)
class Row:
    """One setting: what was measured, what was estimated, what beam theory says; N, N/mm, g."""

    named: NamedSetting
    estimate: Estimate
    beams: tuple[MeasuredBeam, ...]
    force: Sample | None
    stiffness: Sample | None
    mass: Sample | None

    @property
    def force_ratio(self) -> float | None:
        """Measured over estimated breaking force."""
        expected = self.estimate.breaking_force
        return _ratio(self.force, expected.best if expected else None)

    @property
    def stiffness_ratio(self) -> float | None:
        """Measured over estimated stiffness."""
        return _ratio(self.stiffness, self.estimate.stiffness.best)

    @property
    def mass_ratio(self) -> float | None:
        """Measured over estimated mass."""
        return _ratio(self.mass, self.estimate.mass.best)

    @property
    def theory_ratio(self) -> float | None:
        """Measured breaking force over that of the solid bar of handbook beam theory."""
        return _ratio(self.force, self.estimate.theory_force)

    @property
    def in_band(self) -> bool | None:
        """Return whether the measured mean force lies within the estimate's band."""
        if self.force is None or self.estimate.breaking_force is None:
            return None
        return self.estimate.breaking_force.holds(self.force.mean)

    @property
    def strength_to_mass(self) -> float | None:
        """Measured breaking force over measured mass (estimated mass where none was weighed), N/g."""
        if self.force is None:
            return None
        return self.force.mean / (self.mass.mean if self.mass else self.estimate.mass.best)

    @property
    def gravimetric_fill(self) -> float | None:
        """Fill that the weighed beams really have."""
        from patterns.paths.cost import gravimetric_fill

        if self.mass is None or self.estimate.core is None:
            return None
        return gravimetric_fill(self.mass.mean, self.estimate.values["density_g_cm3"], self.estimate.deposit)


def reconcile(study: Study, measured: Measured, estimates: Sequence[Estimate]) -> list[Row]:
    """Put measurements beside estimates, one row per setting in the study's order."""
    rows = []
    for number, (named, found) in enumerate(zip(study.settings, estimates, strict=True)):
        beams = measured.of(number)
        rows.append(
            Row(
                named=named,
                estimate=found,
                beams=tuple(beams),
                force=Sample.of([beam.breaking_force for beam in beams]),
                stiffness=Sample.of([beam.stiffness for beam in beams if beam.stiffness]),
                mass=Sample.of([beam.mass for beam in beams if beam.mass]),
            )
        )
    if not any(row.beams for row in rows):
        raise DataError(f"{measured.path}: every beam is excluded; nothing is left to compare")
    return rows


def mean_error(rows: Sequence[Row], ratio: Callable[[Row], float | None]) -> float | None:
    """Return the mean size of (measured / estimated - 1) over the settings that have both, None without any."""
    ratios = [value for row in rows if (value := ratio(row)) is not None]
    return float(np.mean([abs(value - 1) for value in ratios])) if ratios else None


def _ratio(sample: Sample | None, value: float | None) -> float | None:
    return sample.mean / value if sample and value else None
