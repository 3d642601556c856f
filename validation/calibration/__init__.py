"""Calibration of a few physical parameters on measured beams; what it leaves unknown, one side included, is told.

The engine knows nothing of beams: a model takes the parameters' values and an item (a setting, or one
specimen with its measured sizes) and returns a positive number per quantity.

- Units: standard deviations of the priors. Settings count by their means with variance tau^2 + s^2/n; tau
  starts from 5 % with the weight of two settings. Failure modes compete, so each search starts from the
  best draws of the priors; two searches must agree or the report says so.
- Intervals come from profiles: a strength that never governed is "bounded below". Parameters that keep 90 %
  of their prior width are put back to it. The lower bound is a noncentral t bound.
- Checked by: 300 laboratories of known truth: nominal 95 % covers 96.2 (next beam), 96.8 (mean), 95.3
  (lower bound).
- Weak: bands over-cover when the model errs by less than 5 %.
"""

from validation.calibration.domain import beyond
from validation.calibration.fit import PRIOR_MODEL_ERROR, calibrate
from validation.calibration.parameter import Model, Observation, Parameter
from validation.calibration.result import Calibration, Fitted, QuantityError

__all__ = [
    "PRIOR_MODEL_ERROR",
    "Calibration",
    "Fitted",
    "Model",
    "Observation",
    "Parameter",
    "QuantityError",
    "beyond",
    "calibrate",
]
