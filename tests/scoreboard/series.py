"""A published series: measured rows, and the readings of what its source left unstated."""

import csv
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from fem.setting import Setting
from validation.published import DATA


@dataclass(frozen=True)
class Row:
    """One measured setting.

    Attributes
    ----------
    factors : mapping
        What differs between the settings, by name.
    measured : float
        Mean, in the series' unit.
    relative_sd : float or None
        Standard deviation of one specimen over the mean; None where unknown.
    n : int or None
        Specimens; None where the source does not say.
    """

    factors: Mapping[str, float]
    measured: float
    relative_sd: float | None = None
    n: int | None = None

    def standard_error(self, n_unstated: int) -> float:
        """Return the standard error of ln(mean), NaN where no scatter is known."""
        if self.relative_sd is None:
            return math.nan
        return self.relative_sd / math.sqrt(self.n or n_unstated)


@dataclass(frozen=True)
class Reading:
    """One way to fill in what the source left unstated.

    ``settings`` holds for each row one setting, or two whose quotient was measured; or ``told`` gives the values
    themselves.
    """

    name: str
    settings: tuple[tuple[Setting, ...], ...] = ()
    told: Callable[[], Sequence[float]] | None = None


@dataclass(frozen=True)
class Series:
    """One source, material and quantity.

    Attributes
    ----------
    quantity : str
        One of `tests.scoreboard.ask.QUANTITIES`.
    regressor : str
        Factor that the two-parameter regression goes with; "mass" is the deposited share of the outline.
    unstated : str
        What the readings differ in.
    card : str
        Material card that stands for a material without one, "" where its own was used. A stand-in says nothing of the
        level, so only what is left after one scale counts.
    """

    name: str
    source: str
    quantity: str
    rows: tuple[Row, ...]
    readings: tuple[Reading, ...]
    unstated: str
    regressor: str = "mass"
    card: str = ""
    measured: np.ndarray = field(init=False, repr=False, compare=False)

    @property
    def flat(self) -> bool:
        """Whether all its beams are printed flat."""
        asked = [each for reading in self.readings for settings in reading.settings for each in settings]
        return bool(asked) and all(each.printing.orientation == "flat" for each in asked)

    def __post_init__(self) -> None:
        """Keep the measured values as an array, shape (n,)."""
        values = np.array([row.measured for row in self.rows])
        values.setflags(write=False)
        object.__setattr__(self, "measured", values)


def read(name: str) -> list[dict[str, str]]:
    """Return the rows of a published table."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def mean_row(factors: Mapping[str, float], values: Sequence[float], replicates: bool) -> Row:
    """Return the mean of several values of one setting, their scatter only if they are replicates of it."""
    mean = float(np.mean(values))
    scatter = float(np.std(values, ddof=1)) / mean if replicates and len(values) > 1 else None
    return Row(factors, mean, scatter, len(values))
