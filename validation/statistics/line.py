"""Straight lines and parabolas by least squares, with their uncertainty and a test for lack of fit."""

import math
from dataclasses import dataclass
from math import comb

import numpy as np
from numpy.typing import ArrayLike
from scipy import linalg, stats

from patterns.errors import DataError
from validation.statistics.intervals import Interval


@dataclass(frozen=True)
class Polynomial:
    """A fitted polynomial y = b0 + b1 x + ...

    Attributes
    ----------
    coefficients, errors : ndarray, shape (degree + 1,)
        Coefficients from the constant upwards and their standard errors.
    residual_sd : float
        Residual standard deviation.
    df : int
        Its degrees of freedom.
    sse : float
        Residual sum of squares.
    r_squared, F : float
        Share of the sum of squares about the mean that is explained, and its F ratio.
    centre, scale : float
        x is handled as (x - centre) / scale inside.
    factor : ndarray, shape (degree + 1, degree + 1)
        Triangular factor R of the scaled design, whose inverse gives the covariance.
    scaled : ndarray, shape (degree + 1,)
        Coefficients of the scaled variable.
    """

    coefficients: np.ndarray
    errors: np.ndarray
    residual_sd: float
    df: int
    sse: float
    r_squared: float
    F: float
    centre: float
    scale: float
    factor: np.ndarray
    scaled: np.ndarray

    def at(self, x: float, confidence: float = 0.95, next_value: bool = False) -> Interval:
        """Return the fitted value with the interval of the mean, or of the next value."""
        row = np.vander([(x - self.centre) / self.scale], self.scaled.size, increasing=True)[0]
        spread = linalg.solve_triangular(self.factor, row, trans="T")
        sd = self.residual_sd * math.sqrt(float(spread @ spread) + next_value)
        half = float(stats.t.ppf((1 + confidence) / 2, self.df)) * sd
        best = float(row @ self.scaled)
        return Interval(best - half, best, best + half, confidence)


@dataclass(frozen=True)
class LackOfFit:
    """Scatter about the curve beyond the scatter of repeats.

    Attributes
    ----------
    F, p : float
        Ratio of the mean squares and its p value.
    df : tuple of int
        Degrees of freedom of lack of fit and of pure error.
    pure_error_ss : float
        Sum of squares within repeats.
    """

    F: float
    p: float
    df: tuple[int, int]
    pure_error_ss: float


def fit_polynomial(x: ArrayLike, y: ArrayLike, degree: int = 1) -> Polynomial:
    """Fit a polynomial by QR factorisation of the centred and scaled variable.

    Parameters
    ----------
    x, y : sequence of float, length n
        Variable and values.
    degree : int
        1 for a straight line.

    Raises
    ------
    DataError
        If there are not enough distinct x or no degree of freedom is left.

    Examples
    --------
    >>> fit_polynomial([0, 1, 2, 3], [1, 3, 5, 7.4]).coefficients.round(2).tolist()
    [0.92, 2.12]
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    if np.unique(xs).size <= degree or xs.size <= degree + 1:
        raise DataError(
            f"a curve of degree {degree} needs more than {degree + 1} values at more than {degree} places"
        )
    centre = float(xs.mean())
    scale = float(np.abs(xs - centre).max())
    Q, R = np.linalg.qr(np.vander((xs - centre) / scale, degree + 1, increasing=True))
    scaled = linalg.solve_triangular(R, Q.T @ ys)
    residual = ys - Q @ (Q.T @ ys)
    sse, df = float(residual @ residual), xs.size - degree - 1
    sd = math.sqrt(sse / df)
    back = _unscale(degree, centre, scale)
    spread = back @ linalg.solve_triangular(R, np.eye(degree + 1))
    about_mean = float(np.sum((ys - ys.mean()) ** 2))
    explained = about_mean - sse
    return Polynomial(
        coefficients=back @ scaled,
        errors=sd * np.linalg.norm(spread, axis=1),
        residual_sd=sd,
        df=df,
        sse=sse,
        r_squared=explained / about_mean if about_mean else math.nan,
        F=explained / degree / (sse / df) if sse and degree else math.nan,
        centre=centre,
        scale=scale,
        factor=R,
        scaled=scaled,
    )


def lack_of_fit(x: ArrayLike, y: ArrayLike, sse: float, parameters: int) -> LackOfFit | None:
    """Compare the scatter about a fitted curve with the scatter of repeats at equal x.

    Parameters
    ----------
    x, y : sequence of float, length n
        Variable and values.
    sse : float
        Residual sum of squares of the curve.
    parameters : int
        Number of fitted parameters.

    Returns
    -------
    LackOfFit or None
        None without repeats, or with as many parameters as places.
    """
    ys = np.asarray(y, dtype=float)
    places, where = np.unique(np.asarray(x, dtype=float), return_inverse=True)
    means = np.bincount(where, ys) / np.bincount(where)
    pure = float(np.sum((ys - means[where]) ** 2))
    df = (places.size - parameters, ys.size - places.size)
    if min(df) < 1 or pure == 0:
        return None
    F = max(sse - pure, 0.0) / df[0] / (pure / df[1])
    return LackOfFit(F, float(stats.f.sf(F, *df)), df, pure)


def _unscale(degree: int, centre: float, scale: float) -> np.ndarray:
    """Return the matrix from coefficients of ((x - centre) / scale)^k to coefficients of x^j."""
    back = np.zeros((degree + 1, degree + 1))
    for k in range(degree + 1):
        for j in range(k + 1):
            back[j, k] = comb(k, j) * (-centre) ** (k - j) / scale**k
    return back
