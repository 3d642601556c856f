"""Calibration of a few physical parameters on measured beams, and predictions with honest bands.

The engine knows nothing of beams: a model takes the parameters' values and an item (a setting, or one
specimen with its measured sizes) and returns a positive number per quantity.
"""

from validation.calibration.domain import beyond
from validation.calibration.fit import PRIOR_MODEL_ERROR, calibrate
from validation.calibration.parameter import Model, Observation, Parameter
from validation.calibration.prediction import LeftOut, Prediction, leave_out, predict
from validation.calibration.result import Calibration, Fitted, QuantityError

__all__ = [
    "PRIOR_MODEL_ERROR",
    "Calibration",
    "Fitted",
    "LeftOut",
    "Model",
    "Observation",
    "Parameter",
    "Prediction",
    "QuantityError",
    "beyond",
    "calibrate",
    "leave_out",
    "predict",
]
