"""Calibration of a few physical parameters on measured beams, with priors, from two starts."""

import itertools
from collections.abc import Mapping, Sequence

import numpy as np
from scipy import stats

from validation.calibration.least_squares import Problem
from validation.calibration.parameter import Model, Observation, Parameter
from validation.calibration.profile import profile_ends
from validation.calibration.result import Calibration, Fitted, QuantityError, State
from validation.statistics import Interval, Scatter

# the model's own error before any beam is broken: 5 % with the weight of two settings
PRIOR_MODEL_ERROR = Scatter(0.05, 2)
# a parameter that keeps more than this share of its prior's width is not told by the data
UNTOLD = 0.90
# a combination of parameters that data see less than half as sharply as the priors do is weak
WEAK = 0.5


def calibrate(
    model: Model,
    parameters: Sequence[Parameter],
    observations: Sequence[Observation],
    scatter: Mapping[str, Scatter] | None = None,
    model_error: Mapping[str, Scatter] | Scatter = PRIOR_MODEL_ERROR,
    profile: bool = True,
) -> Calibration:
    """Calibrate parameters by weighted least squares on log ratios, with priors.

    Parameters
    ----------
    model : callable
        ``model(values, item)`` returns a mapping from quantity to a positive number; ``values`` maps names to
        values.
    parameters : sequence of Parameter
        What may move, with priors.
    observations : sequence of Observation
        Measured values of any settings and quantities.
    scatter : mapping of str to Scatter, optional
        Scatter of repeats per quantity, where the observations hold too few repeats of their own.
    model_error : Scatter or mapping of str to Scatter
        Error of the model before any beam was broken, with the weight (degrees of freedom) it deserves.
    profile : bool
        Find the ends of the parameters' intervals by profiles, which tells one-sided knowledge; linearised otherwise
        (some hundred calls of the model less).

    Returns
    -------
    Calibration
        Values of least cost with linearised errors. Parameters that the data do not tell are put back to
        their prior and the others fitted again.

    Raises
    ------
    DataError
        If there is no observation, a value is not positive, or scatter is neither given nor told by repeats.
    InputError
        If names repeat or the model does not give a quantity.
    """
    problem = Problem(model, parameters, observations, scatter or {}, model_error)
    tau = np.array([one.log_sd for one in problem.prior])
    # the errors of the model belong to the best fit, the best fit to the errors: a first round gives both roughly
    z, tau = problem.settle(problem.search(tau, 1, problem.start)[0], tau, np.ones(len(parameters), bool))
    searches = [problem.search(tau, 1, z), problem.search(tau, 2)]
    ends = [minima[0] for minima in searches]
    best = min(ends, key=lambda one: problem.cost(one, tau))
    width = np.sqrt(np.diag(problem.covariance(best, tau)))
    agree = bool(np.all(np.abs(ends[0] - ends[1]) <= 0.1 * width))
    free = width <= UNTOLD
    z, tau = problem.settle(np.where(free, best, 0.0), tau, free)
    return _report(problem, z, searches, agree, tau, free, profile)


def _report(
    problem: Problem,
    z: np.ndarray,
    searches: list[list[np.ndarray]],
    agree: bool,
    tau: np.ndarray,
    free: np.ndarray,
    profile: bool,
) -> Calibration:
    """Return the calibration with everything a report needs."""
    covariance = problem.covariance(z, tau)
    freedom = problem.freedom(z, tau)
    t = float(stats.t.ppf(0.975, freedom.sum()))
    minima = [z, *itertools.chain.from_iterable(searches)]
    fitted = []
    for k in range(z.size):
        width = float(np.sqrt(covariance[k, k]))
        ends = (float(z[k]) - t * width, float(z[k]) + t * width)
        if profile:
            ends = profile_ends(problem, z, tau, minima, k, width, t)
        fitted.append(_fitted(problem, k, float(z[k]), width, ends, bool(free[k]), t))
    return Calibration(
        model=problem.model,
        parameters=problem.parameters,
        fitted=tuple(fitted),
        z=z,
        covariance=covariance,
        errors={
            quantity: QuantityError(Scatter(float(tau[q]), float(freedom[q])), problem.scatter[q])
            for q, quantity in enumerate(problem.quantities)
        },
        starts=(problem.values(searches[0][0]), problem.values(searches[1][0])),
        starts_agree=agree,
        weak=_weak(problem, z, tau, free),
        residuals=dict(zip(problem.keys, problem.residuals(z).tolist(), strict=True)),
        slopes=dict(zip(problem.keys, problem.slopes(z), strict=True)),
        limits=(problem.lower, problem.upper),
        groups={
            group: sum(one.group == group for one in problem.observations)
            for group in dict.fromkeys(group for group, _ in problem.keys)
        },
    )


def _fitted(
    problem: Problem, k: int, place: float, width: float, ends: tuple[float, float], free: bool, t: float
) -> Fitted:
    """Return one parameter with its errors and what became of it."""
    one, lower, upper = problem.parameters[k], float(problem.lower[k]), float(problem.upper[k])
    below, above = (min((ends[1] - place) / t, 1.0), min((place - ends[0]) / t, 1.0))
    if free and min(place - lower, upper - place) < 1e-3:
        state: State = "at bound"
    elif max(below, above) > UNTOLD > 0.5 > min(below, above):
        state = "bounded above" if below < above else "bounded below"
    else:
        state = "calibrated" if free else "left at prior"
    return Fitted(
        parameter=one,
        value=Interval(one.value(max(ends[0], lower)), one.value(place), one.value(min(ends[1], upper))),
        prior=Interval(one.value(max(-1.96, lower)), one.best, one.value(min(1.96, upper))),
        error=one.sd * width,
        narrowing=min((ends[1] - ends[0]) / (2 * t), 1.0),
        state=state,
    )


def _weak(problem: Problem, z: np.ndarray, tau: np.ndarray, free: np.ndarray) -> tuple[tuple[str, ...], ...]:
    """Return sets of free parameters whose combination the data hardly tell, by small singular values."""
    names = [one.name for one, on in zip(problem.parameters, free, strict=True) if on]
    if len(names) < 2:
        return ()
    A = problem.sensitivity(z, tau)[:, free]
    square = np.vstack([A, np.zeros((len(names), len(names)))])
    _, sharpness, directions = np.linalg.svd(square, full_matrices=False)
    found = []
    for sharp, direction in zip(sharpness, directions, strict=True):
        members = tuple(name for name, part in zip(names, direction, strict=True) if abs(part) > 0.3)
        if sharp < WEAK and len(members) > 1:
            found.append(members)
    return tuple(found)
