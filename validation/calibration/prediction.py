"""Predictions with honest bands, and predictions of settings left out of the calibration."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import stats

from patterns.errors import DataError
from validation.calibration.fit import PRIOR_MODEL_ERROR, calibrate
from validation.calibration.least_squares import log_answer
from validation.calibration.parameter import Model, Observation, Parameter
from validation.calibration.result import Calibration
from validation.statistics import Interval, Scatter, effective_df


@dataclass(frozen=True)
class Prediction:
    """One quantity of one item, in the unit of the model.

    Attributes
    ----------
    quantity : str
        Which of the model's numbers.
    band : Interval
        Best value and ends for the mean of ``n`` new beams.
    lower_bound : float
        Value that a share ``coverage`` of the beams exceeds with the band's confidence, one-sided.
    coverage : float
        That share.
    n : float
        Beams whose mean the band is for; infinite for the mean of all beams.
    parts : dict of str to float
        Log standard deviations that make the band: ``parameters``, ``model``, ``scatter``.
    df : float
        Effective degrees of freedom of the band.
    reach : float
        Standard deviation by the parameters over the largest one among the settings calibrated on. Above 1
        the parameters are asked for more than the calibration settings tell.
    """

    quantity: str
    band: Interval
    lower_bound: float
    coverage: float
    n: float
    parts: dict[str, float]
    df: float
    reach: float


@dataclass(frozen=True)
class LeftOut:
    """A setting predicted without its own beams.

    Attributes
    ----------
    label : str
        What was left out: the setting's or the block's name.
    group, quantity : str
        The setting and quantity predicted.
    measured : float
        Geometric mean of its beams.
    n : int
        Their number.
    prediction : Prediction
        For the mean of n beams.
    """

    label: str
    group: str
    quantity: str
    measured: float
    n: int
    prediction: Prediction

    @property
    def ratio(self) -> float:
        """Measured over predicted."""
        return self.measured / self.prediction.band.best

    @property
    def inside(self) -> bool:
        """Whether the measured mean lies in the band."""
        return self.prediction.band.low <= self.measured <= self.prediction.band.high


def predict(
    calibration: Calibration,
    item: Any,
    quantity: str,
    n: float = 1,
    confidence: float = 0.95,
    coverage: float = 0.90,
) -> Prediction:
    """Predict one quantity of an item with the calibrated parameters.

    Parameters
    ----------
    calibration : Calibration
        Outcome of `calibrate`.
    item : object
        What the model takes.
    quantity : str
        Which of the model's numbers; one that was calibrated on.
    n : float
        The band is for the mean of n new beams; 1 for the next beam, infinity for the mean of all.
    confidence : float
        Of the band (two-sided) and of the lower bound (one-sided).
    coverage : float
        Share of beams above the lower bound.

    Raises
    ------
    DataError
        If no beam told the scatter of this quantity.
    """
    if quantity not in calibration.errors:
        told = ", ".join(calibration.errors)
        raise DataError(f"no measured {quantity} in the calibration (it has {told}), so no band can be given")
    errors = calibration.errors[quantity]
    best, by_parameters = _spread(calibration, item, quantity)
    parts = {"parameters": by_parameters, "model": errors.model.log_sd, "scatter": errors.scatter.log_sd}
    # parameters and model errors come from the same misfit and share its degrees of freedom
    centre = math.hypot(by_parameters, errors.model.log_sd)
    scatter = errors.scatter.log_sd / math.sqrt(n)
    df = effective_df([(centre, errors.model.df), (scatter, errors.scatter.df)])
    half = float(stats.t.ppf((1 + confidence) / 2, df)) * math.hypot(centre, scatter)
    return Prediction(
        quantity=quantity,
        band=Interval(best - half, best, best + half, confidence).exp(),
        lower_bound=math.exp(best - _bound(centre, errors.model.df, errors.scatter, coverage, confidence)),
        coverage=coverage,
        n=n,
        parts=parts,
        df=df,
        reach=by_parameters / _largest_spread(calibration, quantity),
    )


def leave_out(
    model: Model,
    parameters: Sequence[Parameter],
    observations: Sequence[Observation],
    labels: Sequence[str] | None = None,
    scatter: Mapping[str, Scatter] | None = None,
    model_error: Mapping[str, Scatter] | Scatter = PRIOR_MODEL_ERROR,
    confidence: float = 0.95,
) -> list[LeftOut]:
    """Leave out one setting (or block) after the other, calibrate on the rest and predict it.

    Parameters
    ----------
    model, parameters, observations, scatter, model_error
        As for `calibrate`.
    labels : sequence of str, optional
        What belongs together, one label per observation: builds or days; the groups (settings) by default.
    confidence : float
        Of the bands.

    Raises
    ------
    DataError
        If all observations carry the same label.
    """
    marks = [one.group for one in observations] if labels is None else list(labels)
    if len(set(marks)) < 2:
        raise DataError(
            f"all beams belong to {marks[0]!r}; nothing remains to calibrate on when it is left out"
        )
    found = []
    for label in dict.fromkeys(marks):
        rest = [one for one, mark in zip(observations, marks, strict=True) if mark != label]
        out = [one for one, mark in zip(observations, marks, strict=True) if mark == label]
        told = {one.quantity for one in rest}
        calibration = calibrate(model, parameters, rest, scatter, model_error, profile=False)
        for key in dict.fromkeys((one.group, one.quantity) for one in out if one.quantity in told):
            beams = [one for one in out if (one.group, one.quantity) == key]
            found.append(_left_out(calibration, label, beams, confidence))
    return found


def _left_out(
    calibration: Calibration, label: str, beams: Sequence[Observation], confidence: float
) -> LeftOut:
    """Return the prediction of the beams' mean; sizes measured per beam enter by their mean effect."""
    first, values = beams[0], calibration.values
    logs = [log_answer(calibration.model(values, one.item), first.quantity) for one in beams]
    ratios = [math.log(one.value) - log for one, log in zip(beams, logs, strict=True)]
    prediction = predict(calibration, first.item, first.quantity, len(beams), confidence)
    return LeftOut(
        label=label,
        group=first.group,
        quantity=first.quantity,
        measured=prediction.band.best * math.exp(float(np.mean(ratios))),
        n=len(beams),
        prediction=prediction,
    )


def _spread(calibration: Calibration, item: Any, quantity: str) -> tuple[float, float]:
    """Return the log prediction and its standard deviation by the parameters.

    The model is asked at one standard deviation either way along each principal axis of the covariance, which
    follows a change of failure mode better than derivatives at the middle.
    """

    def log_at(z: np.ndarray) -> float:
        values = {one.name: one.value(float(v)) for one, v in zip(calibration.parameters, z, strict=True)}
        return log_answer(calibration.model(values, item), quantity)

    lower, upper = calibration.limits
    variances, axes = np.linalg.eigh(calibration.covariance)
    total = 0.0
    for variance, axis in zip(variances, axes.T, strict=True):
        step = math.sqrt(max(float(variance), 0.0)) * axis
        up, down = (np.clip(calibration.z + side * step, lower, upper) for side in (1, -1))
        total += ((log_at(up) - log_at(down)) / 2) ** 2
    return log_at(calibration.z), math.sqrt(total)


def _largest_spread(calibration: Calibration, quantity: str) -> float:
    """Return the largest standard deviation by the parameters among the settings calibrated on."""
    spreads = [
        math.sqrt(max(float(row @ calibration.covariance @ row), 0.0))
        for (_, name), row in calibration.slopes.items()
        if name == quantity
    ]
    return max(spreads)


def _bound(centre: float, centre_df: float, scatter: Scatter, coverage: float, confidence: float) -> float:
    """Return how far below the best value, on the log scale, the one-sided tolerance bound lies.

    The noncentral t bound for a mean known to ``centre`` and beams that scatter by ``scatter`` about it.
    """
    s, z = scatter.log_sd, float(stats.norm.ppf(coverage))
    df = effective_df([(centre, centre_df), (z * s, scatter.df)])
    return float(stats.nct.ppf(confidence, df, z * s / centre)) * centre
