"""What an estimator without any error of its own would score, since measured means scatter."""

from collections.abc import Sequence

import numpy as np

from tests.scoreboard.series import Row

# Where the source does not say how many specimens a mean holds.
UNSTATED = (3, 10)
_MEAN_SIZE = np.sqrt(2 / np.pi)  # of a normal deviation of unit variance


def ceiling(rows: Sequence[Row], n_unstated: int = UNSTATED[0]) -> tuple[float, float]:
    """Return the expected mean of abs(ln(told/measured)), as it is and after one scale; NaN without known scatter.

    ln(mean) is taken as normal with the standard error s_i of row i. After one scale from the m - 1 other settings the
    variance of row i is s_i^2 + sum of the others' s_j^2/(m - 1)^2.
    """
    errors = np.array([row.standard_error(n_unstated) for row in rows])
    variance, m = errors**2, errors.size
    scaled = variance + (variance.sum() - variance) / (m - 1) ** 2
    return float(_MEAN_SIZE * errors.mean()), float(_MEAN_SIZE * np.sqrt(scaled).mean())


def ceilings(rows: Sequence[Row]) -> tuple[float, float]:
    """Return the lowest and the highest of the expected errors after one scale."""
    found = [ceiling(rows, n)[1] for n in UNSTATED]
    return min(found), max(found)
