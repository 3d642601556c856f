"""Small-sample statistics of strength tests: one idea per file, results as frozen dataclasses.

``intervals`` factors for few repeats; ``scatter`` on the log scale; ``comparisons`` of settings;
``analysis_of_variance`` with blocks; ``outliers`` flagged, never dropped; ``line`` and lack of fit;
``steps`` and kinks in a series; ``runs`` of residual signs.

Checked against published examples (NIST StRD and e-Handbook), scipy's independent routines and simulated series of
known truth. Weak: a step in the first interval of a series needs to be larger than elsewhere, and on trends that bend
more than a parabola a step of a quarter is found in 7 to 9 of 10 series, something false in 1 to 2 of 10; both stand in
the notes of each result. Six settings or fewer are never judged against a cubic.
"""

from validation.statistics.analysis_of_variance import BlockEffects, block_effects
from validation.statistics.comparisons import Comparison, WelchTest, compare, holm, welch
from validation.statistics.intervals import (
    Interval,
    detectable_difference,
    difference_power,
    mean_factor,
    prediction_factor,
    sd_range_factors,
    tolerance_factor,
)
from validation.statistics.line import LackOfFit, Polynomial, fit_polynomial, lack_of_fit
from validation.statistics.outliers import Flag, Grubbs, flag_runs, grubbs
from validation.statistics.runs import Runs, runs_test
from validation.statistics.scatter import (
    PooledScatter,
    Scatter,
    Summary,
    pooled_scatter,
    setting_scatter,
    summarise,
)
from validation.statistics.steps import Feature, Rival, StepSearch, find_steps

__all__ = [
    "BlockEffects",
    "Comparison",
    "Feature",
    "Flag",
    "Grubbs",
    "Interval",
    "LackOfFit",
    "Polynomial",
    "PooledScatter",
    "Rival",
    "Runs",
    "Scatter",
    "StepSearch",
    "Summary",
    "WelchTest",
    "block_effects",
    "compare",
    "detectable_difference",
    "difference_power",
    "find_steps",
    "fit_polynomial",
    "flag_runs",
    "grubbs",
    "holm",
    "lack_of_fit",
    "mean_factor",
    "pooled_scatter",
    "prediction_factor",
    "runs_test",
    "sd_range_factors",
    "setting_scatter",
    "summarise",
    "tolerance_factor",
    "welch",
]
