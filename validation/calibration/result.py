"""What comes out of a calibration."""

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from validation.calibration.parameter import Model, Parameter
from validation.statistics import Interval, Scatter

State = Literal["calibrated", "bounded below", "bounded above", "left at prior", "at bound"]


@dataclass(frozen=True)
class Fitted:
    """A parameter after calibration.

    Attributes
    ----------
    parameter : Parameter
        As it went in.
    value, prior : Interval
        Calibrated value and prior with 95 % ends.
    error : float
        Standard error: of the logarithm (a share) on the log scale, of the value on the linear one.
    narrowing : float
        Width after over width before; 1 where the data say nothing.
    state : str
        ``calibrated``; ``bounded below`` or ``bounded above`` where the data hold one side only (a strength that never
        governed is only known to be higher); ``left at prior`` where they say nothing; ``at bound`` where a bound
        given beforehand stopped it.
    """

    parameter: Parameter
    value: Interval
    prior: Interval
    error: float
    narrowing: float
    state: State


@dataclass(frozen=True)
class QuantityError:
    """Errors of one quantity on the log scale.

    Attributes
    ----------
    model : Scatter
        Error of the model from setting to setting (tau), with the degrees of freedom behind it.
    scatter : Scatter
        Scatter of repeats within a setting (s).
    """

    model: Scatter
    scatter: Scatter


@dataclass(frozen=True)
class Calibration:
    """Outcome of a calibration.

    Attributes
    ----------
    model : callable
        As it went in.
    parameters : tuple of Parameter
        As they went in, in this order everywhere.
    fitted : tuple of Fitted
        One per parameter.
    z : ndarray, shape (k,)
        Calibrated values in prior standard deviations.
    covariance : ndarray, shape (k, k)
        Covariance of ``z``; parameters left at their prior keep its width.
    errors : dict of str to QuantityError
        Per quantity.
    starts : tuple of dict
        Values reached by two searches from different starts, before untold parameters were put back to their prior.
    starts_agree : bool
        Whether they agree within a tenth of the standard errors; if not, the better was taken.
    weak : tuple of tuple of str
        Groups of parameters that are told only in combination.
    residuals : dict of (group, quantity) to float
        Log of measured over calibrated, means of the settings.
    slopes : dict of (group, quantity) to ndarray, shape (k,)
        Derivative of the mean log predictions by ``z``.
    limits : tuple of ndarray, shape (k,)
        Lower and upper bounds of ``z``.
    groups : dict of str to int
        Settings used, with their number of observations.
    """

    model: Model
    parameters: tuple[Parameter, ...]
    fitted: tuple[Fitted, ...]
    z: np.ndarray
    covariance: np.ndarray
    errors: dict[str, QuantityError]
    starts: tuple[dict[str, float], dict[str, float]]
    starts_agree: bool
    weak: tuple[tuple[str, ...], ...]
    residuals: dict[tuple[str, str], float]
    slopes: dict[tuple[str, str], np.ndarray]
    limits: tuple[np.ndarray, np.ndarray]
    groups: dict[str, int]

    @property
    def values(self) -> dict[str, float]:
        """Calibrated values by name."""
        return {one.parameter.name: one.value.best for one in self.fitted}

    @property
    def correlation(self) -> np.ndarray:
        """Correlation of the parameters, shape (k, k)."""
        width = np.sqrt(np.diag(self.covariance))
        found: np.ndarray = self.covariance / np.outer(width, width)
        return found

    def rows(self) -> list[dict[str, Any]]:
        """Return one row per parameter for tables and JSON."""
        strongest = self.correlation - np.eye(len(self.fitted))
        rows = []
        for k, one in enumerate(self.fitted):
            partner = int(np.argmax(np.abs(strongest[k])))
            rows.append(
                {
                    "name": one.parameter.name,
                    "unit": one.parameter.unit,
                    "state": one.state,
                    "value": one.value.to_dict(),
                    "error": one.error,
                    "error_is": "share" if one.parameter.scale == "log" else one.parameter.unit,
                    "prior": one.prior.to_dict(),
                    "narrowing": one.narrowing,
                    "start": one.parameter.best if one.parameter.start is None else one.parameter.start,
                    "reached_from_starts": [values[one.parameter.name] for values in self.starts],
                    "strongest_correlation": {
                        "with": self.parameters[partner].name,
                        "value": float(strongest[k, partner]),
                    },
                }
            )
        return rows
