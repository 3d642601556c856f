"""Analysis of variance: blocks (builds, days) beside settings."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from patterns.errors import DataError
from validation.statistics.intervals import Interval, log_values
from validation.statistics.scatter import Scatter


@dataclass(frozen=True)
class BlockEffects:
    """Builds or days beside settings, additive on the log scale.

    Attributes
    ----------
    ratios : dict of str to Interval
        Each block over the mean of the blocks, settings being equal.
    F, p : float
        Test that all blocks are alike, settings being equal; ``df`` holds its two degrees of freedom.
    df : tuple of int
        Of blocks and of the residual.
    residual : Scatter
        Scatter within a block.
    block_log_sd : float
        Standard deviation of a random block effect, by Henderson's method 3, not below zero.
    setting_ratios : dict of str to Interval
        Each setting over the first one, blocks being equal.
    """

    ratios: dict[str, Interval]
    F: float
    p: float
    df: tuple[int, int]
    residual: Scatter
    block_log_sd: float
    setting_ratios: dict[str, Interval]

    @property
    def next_beam_log_sd(self) -> float:
        """Standard deviation between beams of different blocks: the honest scatter of a new build."""
        return math.hypot(self.residual.log_sd, self.block_log_sd)


def block_effects(
    values: Sequence[float], settings: Sequence[str], blocks: Sequence[str], confidence: float = 0.95
) -> BlockEffects:
    """Separate builds (or days) from settings by least squares on the log scale.

    Parameters
    ----------
    values : sequence of float, length n
        Positive values, one per beam.
    settings, blocks : sequence of str, length n
        Setting and block of each beam; the design may be unbalanced.
    confidence : float
        Of each interval, single.

    Raises
    ------
    DataError
        If there is one block only, if settings and blocks are mixed up (a setting that shares no block with
        the others cannot be told from its block), or no degree of freedom is left.

    References
    ----------
    .. [1] C. R. Henderson, Estimation of variance and covariance components, Biometrics 9 (1953) 226-252,
       method 3.
    """
    y = log_values(values)
    setting_names, block_names = list(dict.fromkeys(settings)), list(dict.fromkeys(blocks))
    A = _indicator(settings, setting_names)
    B = _indicator(blocks, block_names)
    n_settings, n_blocks = len(setting_names), len(block_names)
    if n_blocks < 2:
        raise DataError(f"all beams come from block {block_names[0]!r}; a block effect needs two blocks")
    X = np.hstack([A, B[:, 1:]])
    if np.linalg.matrix_rank(X) < X.shape[1]:
        raise DataError(
            "settings and blocks are mixed up: some settings share no block with the rest, so a difference "
            "between them may be the block's; put a common control beam in every block"
        )
    residual_df = y.size - X.shape[1]
    if residual_df < 1:
        raise DataError(
            f"{y.size} beams for {n_settings} settings and {n_blocks} blocks leave no scatter to judge by"
        )
    inverse = np.linalg.inv(X.T @ X)
    beta = inverse @ X.T @ y
    residual_ss = float(np.sum((y - X @ beta) ** 2))
    mean_square = residual_ss / residual_df
    settings_only = y - A @ (A.T @ y / A.sum(axis=0))
    block_ss = float(settings_only @ settings_only) - residual_ss
    F = block_ss / (n_blocks - 1) / mean_square
    # expected block sum of squares, settings removed, is trace(B' M B) s_b^2 + (blocks - 1) s^2
    trace = float(np.sum(B**2) - np.sum((A.T @ B) ** 2 / A.sum(axis=0)[:, None]))
    block_variance = max((block_ss - (n_blocks - 1) * mean_square) / trace, 0.0)

    t = float(stats.t.ppf((1 + confidence) / 2, residual_df))

    def ratio(contrast: np.ndarray) -> Interval:
        best, half = float(contrast @ beta), t * math.sqrt(mean_square * float(contrast @ inverse @ contrast))
        return Interval(best - half, best, best + half, confidence).exp()

    to_mean = np.hstack([np.zeros((n_blocks, n_settings)), (np.eye(n_blocks) - 1 / n_blocks)[:, 1:]])
    to_first = np.hstack([np.eye(n_settings) - np.eye(n_settings)[0], np.zeros((n_settings, n_blocks - 1))])
    return BlockEffects(
        ratios={name: ratio(row) for name, row in zip(block_names, to_mean, strict=True)},
        F=F,
        p=float(stats.f.sf(F, n_blocks - 1, residual_df)),
        df=(n_blocks - 1, residual_df),
        residual=Scatter(math.sqrt(mean_square), residual_df),
        block_log_sd=math.sqrt(block_variance),
        setting_ratios={name: ratio(row) for name, row in zip(setting_names, to_first, strict=True)},
    )


def _indicator(labels: Sequence[str], names: Sequence[str]) -> np.ndarray:
    """Return the 0/1 matrix (n, names) that marks each beam's label."""
    return np.array([[float(label == name) for name in names] for label in labels])
