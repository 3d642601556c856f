"""The standard deviations of discrepancy, groups and scatter on a quadrature grid with half-t priors."""

from dataclasses import dataclass

import numpy as np
from scipy import stats

from validation.gaussian.kernel import SHAPES, Shape
from validation.gaussian.places import Cells

# ends of the intervals of probability; each is stood for by its middle
_LEVELS = np.array([0.0, 0.08, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.97, 1.0])
_GROUP_LEVELS = np.array([0.0, 0.2, 0.45, 0.7, 0.9, 1.0])
# nodes of the fine grid on which the posterior of scatter within cells is first formed
_FINE = 600


@dataclass(frozen=True)
class HalfT:
    """Half-t prior of a standard deviation of logarithms.

    Attributes
    ----------
    scale : float
        Of the t distribution; about half the prior lies below.
    df : float
        Its degrees of freedom.

    References
    ----------
    .. [1] A. Gelman, Prior distributions for variance parameters in hierarchical models, Bayesian Analysis 1 (2006).
    """

    scale: float
    df: float = 4.0

    def quantile(self, share: np.ndarray) -> np.ndarray:
        """Return the standard deviation with a share of the prior below."""
        found: np.ndarray = self.scale * stats.t.ppf((1 + share) / 2, self.df)
        return found

    def log_density(self, value: np.ndarray) -> np.ndarray:
        """Return the log of the density, up to a constant."""
        found: np.ndarray = stats.t.logpdf(value / self.scale, self.df)
        return found


@dataclass(frozen=True)
class Scales:
    """Priors of one quantity: of the discrepancy from place to place, the effect of groups, and scatter."""

    discrepancy: HalfT
    group: HalfT
    scatter: HalfT


@dataclass(frozen=True, eq=False)
class Grid:
    """Nodes with the log of their prior weight, each array of shape (g,).

    Attributes
    ----------
    shape : ndarray of int
        Which of `shapes`.
    discrepancy, group, scatter : ndarray
        Standard deviations of logarithms.
    log_weight : ndarray
        Prior, with what readings within cells say of the scatter.
    shapes : tuple of Shape
    """

    shape: np.ndarray
    discrepancy: np.ndarray
    group: np.ndarray
    scatter: np.ndarray
    log_weight: np.ndarray
    shapes: tuple[Shape, ...] = SHAPES

    @classmethod
    def of(cls, scales: Scales, cells: Cells, grouped: bool) -> "Grid":
        """Return the grid for the readings of one quantity; groups have no effect where they are not ``grouped``."""
        scatter, weight_s = _scatter_nodes(scales.scatter, cells.squares, cells.df)
        rough, weight_d = _nodes(scales.discrepancy, _LEVELS)
        group, weight_g = np.zeros(1), np.ones(1)
        if grouped:
            group, weight_g = _nodes(scales.group, _GROUP_LEVELS)
        axes = [np.arange(len(SHAPES)), np.arange(rough.size), np.arange(group.size), np.arange(scatter.size)]
        k, d, g, s = (axis.ravel() for axis in np.meshgrid(*axes, indexing="ij"))
        return cls(k, rough[d], group[g], scatter[s], np.log(weight_d[d] * weight_g[g] * weight_s[s]))


def _nodes(prior: HalfT, levels: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the middles of intervals of probability, and the probability of each."""
    return prior.quantile((levels[1:] + levels[:-1]) / 2), np.diff(levels)


def _scatter_nodes(prior: HalfT, squares: float, df: int) -> tuple[np.ndarray, np.ndarray]:
    """Return nodes of the scatter as readings within cells leave it: its chi-square likelihood times the prior."""
    low, high = 1e-3 * prior.scale, 50 * prior.scale
    if df:
        rms = max(np.sqrt(squares / df), low)
        low, high = min(low, 0.1 * rms), max(high, 20 * rms)
    s = np.geomspace(low, high, _FINE)
    log = prior.log_density(s) + np.log(s)  # density per step of log s
    if df:
        log = log - df * np.log(s) - squares / (2 * s**2)
    share = np.exp(log - log.max())
    below = np.concatenate([[0.0], np.cumsum((share[1:] + share[:-1]) / 2)])
    middle = (_LEVELS[1:] + _LEVELS[:-1]) / 2
    return np.exp(np.interp(middle, below / below[-1], np.log(s))), np.diff(_LEVELS)
