"""A smooth trend of positive values: the logarithm of a polynomial, with terms added on the log scale.

Walls and core carry side by side, so force and stiffness follow a low polynomial in fill on the plain scale,
while repeats scatter in proportion to their mean. The curve is therefore fitted as log y = log(Z beta) + F
gamma by Gauss-Newton steps.
"""

from dataclasses import dataclass

import numpy as np

from patterns.errors import DataError

TRENDS = ("constant", "straight", "parabola", "cubic")
"""Names of the polynomials by degree."""


@dataclass(frozen=True)
class TrendFit:
    """Least squares of a trend with added terms.

    Attributes
    ----------
    residual : ndarray, shape (n,)
        Log residuals.
    sse : float
        Their sum of squares.
    tangent : ndarray, shape (n, p)
        Derivative of the fitted log values: polynomial columns first, added terms after.
    added : ndarray, shape (k,)
        Coefficients of the added terms on the log scale.
    """

    residual: np.ndarray
    sse: float
    tangent: np.ndarray
    added: np.ndarray

    @property
    def df(self) -> int:
        """Residual degrees of freedom."""
        return int(self.tangent.shape[0] - self.tangent.shape[1])


def polynomial_columns(x: np.ndarray, degree: int) -> np.ndarray:
    """Return the columns 1, s, s^2 ... (n, degree + 1) of the variable scaled to a span of one."""
    return np.vander((x - x.mean()) / np.ptp(x), degree + 1, increasing=True)


def fit_trend(Z: np.ndarray, F: np.ndarray, logs: np.ndarray, steps: int = 30) -> TrendFit:
    """Fit log y = log(Z beta) + F gamma.

    Parameters
    ----------
    Z : ndarray, shape (n, p)
        Polynomial columns.
    F : ndarray, shape (n, k)
        Terms added on the log scale; k may be 0.
    logs : ndarray, shape (n,)
        Logarithms of the values.
    steps : int
        Most Gauss-Newton steps; a well-behaved series needs three or four.

    Raises
    ------
    DataError
        If no positive curve of this degree comes near the values.
    """
    scale = logs.mean()
    y = np.exp(logs - scale)
    beta = np.linalg.lstsq(Z / y[:, None], np.ones_like(y), rcond=None)[0]
    gamma = np.zeros(F.shape[1])
    if np.min(Z @ beta) <= 0:
        beta = np.linalg.lstsq(Z, np.full_like(y, y.mean()), rcond=None)[0]

    def residual_at(beta: np.ndarray, gamma: np.ndarray) -> np.ndarray | None:
        curve = Z @ beta
        return logs - scale - np.log(curve) - F @ gamma if np.min(curve) > 0 else None

    residual = residual_at(beta, gamma)
    if residual is None:
        raise DataError("no positive smooth curve comes near these values; check them for a wrong unit")
    for _ in range(steps):
        tangent = np.column_stack([Z / (Z @ beta)[:, None], F])
        move = np.linalg.lstsq(tangent, residual, rcond=None)[0]
        length, trial = 1.0, None
        while length > 1e-6:
            trial = residual_at(beta + length * move[: beta.size], gamma + length * move[beta.size :])
            if trial is not None and trial @ trial <= residual @ residual * (1 + 1e-14):
                break
            length, trial = length / 2, None
        if trial is None:
            break
        gained = residual @ residual - trial @ trial
        beta, gamma = beta + length * move[: beta.size], gamma + length * move[beta.size :]
        residual = trial
        if gained <= 1e-10 * residual @ residual:
            break
    tangent = np.column_stack([Z / (Z @ beta)[:, None], F])
    return TrendFit(residual, float(residual @ residual), tangent, gamma)
