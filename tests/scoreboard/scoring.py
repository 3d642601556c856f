"""Errors of told values against measured ones: as they are, and after one scale taken from the other settings."""

from dataclasses import dataclass

import numpy as np
from scipy.stats import rankdata


@dataclass(frozen=True)
class Score:
    """How well told values meet measured ones; errors are means of abs(ln(told/measured)).

    Attributes
    ----------
    level : float
        Geometric mean of told over measured.
    absolute : float
    scaled, worst : float
        After one scale from the other settings; ``worst`` is the largest single one.
    rank : float
        Spearman's correlation of the ranks; NaN where the told values are all alike.
    settings : int
        Settings with a told value; the others are left out.
    """

    level: float
    absolute: float
    scaled: float
    worst: float
    rank: float
    settings: int


def score(told: np.ndarray, measured: np.ndarray) -> Score:
    """Return the score of told values (n,), NaN where nothing was told, against measured ones (n,).

    Examples
    --------
    >>> found = score(np.array([2.0, 4.0]), np.array([1.0, 2.0]))
    >>> found.level, found.scaled, found.rank
    (2.0, 0.0, 1.0)
    """
    known = np.isfinite(told) & (told > 0)
    if not known.any():
        return Score(np.nan, np.nan, np.nan, np.nan, np.nan, 0)
    logs = np.log(told[known] / measured[known])
    left = np.abs(after_one_scale(logs))
    return Score(
        level=float(np.exp(logs.mean())),
        absolute=float(np.abs(logs).mean()),
        scaled=float(left.mean()) if logs.size > 1 else np.nan,
        worst=float(left.max()) if logs.size > 1 else np.nan,
        rank=rank_correlation(told[known], measured[known]),
        settings=int(known.sum()),
    )


def after_one_scale(logs: np.ndarray) -> np.ndarray:
    """Return each of ln(told/measured), shape (n,), less the mean of the others."""
    n = logs.size
    return (logs - logs.mean()) * n / (n - 1) if n > 1 else np.full(1, np.nan)


def rank_correlation(first: np.ndarray, second: np.ndarray) -> float:
    """Return Spearman's correlation, ties at their mean rank; told values alike to 1e-9 are ties."""
    ranks = [rankdata(np.round(np.log(values), 9)) for values in (first, second)]
    if any(np.ptp(one) == 0 for one in ranks):
        return np.nan
    return float(np.corrcoef(*ranks)[0, 1])
