"""Flags for runs that look odd. A flag is a reason to look at the beam, never to drop it."""

import functools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from patterns.errors import DataError
from validation.statistics.intervals import log_values
from validation.statistics.scatter import pooled_scatter


@dataclass(frozen=True)
class Grubbs:
    """Grubbs' test of the most distant value of one setting.

    Attributes
    ----------
    index : int
        Place of that value.
    G, critical : float
        Its distance from the mean in standard deviations, and the two-sided critical value.
    suspect : bool
        Whether G exceeds the critical value.
    power : float
        Chance that a beam lying five true standard deviations off is flagged at this n (simulated, seeded).
    """

    index: int
    G: float
    critical: float
    suspect: bool
    power: float

    def __str__(self) -> str:
        said = "suspect" if self.suspect else "not suspect"
        return (
            f"{said}: G {self.G:.3f}, critical {self.critical:.3f}; at this n the test sees a beam five standard "
            f"deviations off in {100 * self.power:.0f} of 100 cases"
        )


@dataclass(frozen=True)
class Flag:
    """A run far from the others of its setting, judged by the scatter of all other runs.

    Attributes
    ----------
    setting : str
        Its setting.
    index : int
        Its place among the setting's values.
    ratio : float
        Its value over the geometric mean of the setting.
    p_adjusted : float
        Two-sided p of its externally studentised residual, times the number of runs (Bonferroni).
    """

    setting: str
    index: int
    ratio: float
    p_adjusted: float


def grubbs_critical(n: int, level: float = 0.05, two_sided: bool = True) -> float:
    """Return the critical value of Grubbs' statistic for a single outlier.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.17.1.

    Examples
    --------
    >>> round(grubbs_critical(8), 4)
    2.1266
    """
    if n < 3:
        raise DataError(f"Grubbs' test needs three values, not {n}")
    t = stats.t.isf(level / (2 * n if two_sided else n), n - 2)
    return float((n - 1) / math.sqrt(n) * math.sqrt(t**2 / (n - 2 + t**2)))


@functools.cache
def grubbs_power(
    n: int, shift: float = 5.0, level: float = 0.05, draws: int = 20_000, seed: int = 1
) -> float:
    """Return the chance that one of n values is flagged when it lies ``shift`` standard deviations off.

    Examples
    --------
    >>> grubbs_power(3) < 0.1 < 0.6 < grubbs_power(8)
    True
    """
    samples = np.random.default_rng(seed).standard_normal((draws, n))
    samples[:, 0] += shift
    distance = np.abs(samples - samples.mean(axis=1, keepdims=True)) / samples.std(
        axis=1, ddof=1, keepdims=True
    )
    flagged = (distance.argmax(axis=1) == 0) & (distance[:, 0] > grubbs_critical(n, level))
    return float(flagged.mean())


def grubbs(values: Sequence[float], level: float = 0.05) -> Grubbs | None:
    """Test the most distant of three or more values; None when they are all equal or fewer than three.

    Parameters
    ----------
    values : sequence of float
        Values on the scale where scatter is even; take logarithms of forces first.
    level : float
        Two-sided chance of a false flag.
    """
    sample = np.asarray(values, dtype=float)
    if sample.size < 3 or np.ptp(sample) == 0:
        return None
    distance = np.abs(sample - sample.mean()) / sample.std(ddof=1)
    index = int(distance.argmax())
    critical = grubbs_critical(sample.size, level)
    G = float(distance[index])
    return Grubbs(index, G, critical, G > critical, grubbs_power(sample.size, level=level))


def flag_runs(groups: Mapping[str, Sequence[float]], level: float = 0.05) -> list[Flag]:
    """Flag single runs by the scatter pooled over all settings, which a setting of three cannot do alone.

    Parameters
    ----------
    groups : mapping of str to sequence of float
        Positive values per setting.
    level : float
        Chance of any false flag among all runs.

    Returns
    -------
    list of Flag
        Suspect runs, the most suspect first.
    """
    pooled = pooled_scatter(groups)
    runs = sum(len(values) for values in groups.values())
    total = pooled.df * pooled.log_sd**2
    flags = []
    for name, values in groups.items():
        residuals = log_values(values, name)
        if residuals.size < 2 or pooled.df < 2:
            continue
        residuals = residuals - residuals.mean()
        share = 1 - 1 / residuals.size
        others = np.maximum(total - residuals**2 / share, 0.0) / (pooled.df - 1)
        for index, (residual, variance) in enumerate(zip(residuals, others, strict=True)):
            if residual == 0:
                continue
            t = abs(residual) / math.sqrt(variance * share) if variance > 0 else math.inf
            p = min(2 * runs * float(stats.t.sf(t, pooled.df - 1)), 1.0)
            if p <= level:
                flags.append(Flag(name, index, math.exp(residual), p))
    return sorted(flags, key=lambda flag: flag.p_adjusted)
