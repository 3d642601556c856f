"""The least squares behind a calibration, in units of the priors' standard deviations.

Settings count by the means of their repeats with variance tau^2 + s^2/n: s is the scatter of repeats, tau the
error of the model from setting to setting, which starts from a stated prior and is updated by the misfit
itself.
"""

import math
from collections.abc import Mapping, Sequence

import numpy as np
from scipy import optimize

from patterns.errors import DataError, InputError
from validation.calibration.parameter import Model, Observation, Parameter
from validation.statistics import Scatter

# half step of the difference quotients, in prior standard deviations: above a mesh's noise, below a mode's width
STEP = 0.02
# half step of the first, coarse search: wide enough to see a failure mode that does not govern where the search stands
WIDE_STEP = 1.0
# draws of the priors per parameter before a search
DRAWS_PER_PARAMETER = 16
# parameters outside this many prior standard deviations are not looked for
REACH = 6.0


class Problem:
    """Observations, priors and the model as one least-squares problem.

    Attributes
    ----------
    keys : list of (group, quantity)
        The means that are fitted, m of them.
    quantities : list of str
        Quantities, q of them.
    scatter : list of Scatter
        Scatter of repeats per quantity.
    prior : list of Scatter
        Error of the model beforehand per quantity.
    lower, upper : ndarray, shape (k,)
        Bounds in prior standard deviations.
    start : ndarray, shape (k,)
        Starting place in prior standard deviations.
    """

    def __init__(
        self,
        model: Model,
        parameters: Sequence[Parameter],
        observations: Sequence[Observation],
        scatter: Mapping[str, Scatter],
        model_error: Mapping[str, Scatter] | Scatter,
    ) -> None:
        _check(parameters, observations)
        self.model, self.parameters, self.observations = model, tuple(parameters), tuple(observations)
        self.logs = np.log([one.value for one in observations])
        self.weights = np.array([one.weight for one in observations])
        self.keys = list(dict.fromkeys((one.group, one.quantity) for one in observations))
        self.member = np.array([self.keys.index((one.group, one.quantity)) for one in observations])
        self.repeats = np.bincount(self.member, self.weights)
        self.quantities = list(dict.fromkeys(one.quantity for one in observations))
        self.kind = np.array([self.quantities.index(quantity) for _, quantity in self.keys])
        self.prior = [
            model_error if isinstance(model_error, Scatter) else model_error[quantity]
            for quantity in self.quantities
        ]
        self.lower = np.array([max(one.place(one.bounds[0]), -REACH) for one in self.parameters])
        self.upper = np.array([min(one.place(one.bounds[1]), REACH) for one in self.parameters])
        start = [one.place(one.best if one.start is None else one.start) for one in self.parameters]
        self.start = np.clip(start, self.lower, self.upper)
        self._known: dict[bytes, np.ndarray] = {}
        self.scatter = self._scatter(scatter)

    def values(self, z: np.ndarray) -> dict[str, float]:
        """Return the parameters' values by name."""
        return {one.name: one.value(float(place)) for one, place in zip(self.parameters, z, strict=True)}

    def predictions(self, z: np.ndarray) -> np.ndarray:
        """Return the log prediction of every observation, shape (n,)."""
        key = z.tobytes()
        if key not in self._known:
            values, answers = self.values(z), dict[int, Mapping[str, float]]()
            for one in self.observations:
                if id(one.item) not in answers:
                    answers[id(one.item)] = self.model(values, one.item)
            self._known[key] = np.array(
                [log_answer(answers[id(one.item)], one.quantity) for one in self.observations]
            )
        return self._known[key]

    def means(self, per_observation: np.ndarray) -> np.ndarray:
        """Return weighted means over each setting and quantity, shape (m,)."""
        return np.bincount(self.member, self.weights * per_observation) / self.repeats

    def residuals(self, z: np.ndarray) -> np.ndarray:
        """Return the mean log of measured over predicted per setting and quantity, shape (m,)."""
        return self.means(self.logs - self.predictions(z))

    def slopes(self, z: np.ndarray, step: float = STEP) -> np.ndarray:
        """Return the difference quotients of the mean log predictions by z, shape (m, k)."""
        columns = []
        for k in range(z.size):
            up, down = z.copy(), z.copy()
            up[k], down[k] = min(z[k] + step, self.upper[k]), max(z[k] - step, self.lower[k])
            change = self.predictions(up) - self.predictions(down)
            columns.append(self.means(change) / (up[k] - down[k]))
        return np.column_stack(columns)

    def widths(self, tau: np.ndarray) -> np.ndarray:
        """Return the standard deviation of each mean residual, shape (m,)."""
        s = np.array([one.log_sd for one in self.scatter])
        found: np.ndarray = np.sqrt(tau[self.kind] ** 2 + s[self.kind] ** 2 / self.repeats)
        return found

    def sensitivity(self, z: np.ndarray, tau: np.ndarray) -> np.ndarray:
        """Return the slopes in standard deviations of data per standard deviation of prior, shape (m, k)."""
        found: np.ndarray = self.slopes(z) / self.widths(tau)[:, None]
        return found

    def covariance(self, z: np.ndarray, tau: np.ndarray) -> np.ndarray:
        """Return the covariance of z from data and priors together, all parameters, shape (k, k)."""
        A = self.sensitivity(z, tau)
        return np.linalg.inv(A.T @ A + np.eye(z.size))

    def cost(self, z: np.ndarray, tau: np.ndarray) -> float:
        """Return the sum of squares, priors included."""
        return float(np.sum((self.residuals(z) / self.widths(tau)) ** 2) + z @ z)

    def minimise(
        self, start: np.ndarray, tau: np.ndarray, free: np.ndarray, rough: bool = False
    ) -> np.ndarray:
        """Return the z of least cost from a start; parameters that are not free stay where they are.

        A rough search starts near the minimum already and wants the cost only.
        """
        if not free.any():
            return start
        widths = self.widths(tau)

        def full(part: np.ndarray) -> np.ndarray:
            z = start.copy()
            z[free] = part
            return z

        def slopes(part: np.ndarray, step: float) -> np.ndarray:
            return np.vstack([-self.slopes(full(part), step)[:, free] / widths[:, None], np.eye(part.size)])

        part = start[free]
        for step, evaluations in ((STEP, 10),) if rough else ((WIDE_STEP, 8), (STEP, 40)):
            solution = optimize.least_squares(
                lambda part: np.concatenate([self.residuals(full(part)) / widths, part]),
                np.clip(part, self.lower[free] + 1e-6, self.upper[free] - 1e-6),
                jac=lambda part, step=step: slopes(part, step),
                bounds=(self.lower[free], self.upper[free]),
                xtol=1e-4,
                ftol=1e-3 if rough else 1e-7,
                max_nfev=evaluations,
            )
            part = solution.x
        return full(part)

    def search(self, tau: np.ndarray, seed: int, first: np.ndarray | None = None) -> list[np.ndarray]:
        """Return minima reached from the two best of many draws of the priors (and a first start), best first.

        Where failure modes compete, a single descent may stop with the wrong mode governing.
        """
        size = self.lower.size
        draws = np.random.default_rng(seed).standard_normal((DRAWS_PER_PARAMETER * size, size))
        starts = [*np.clip(draws, self.lower, self.upper), *([] if first is None else [first])]
        starts.sort(key=lambda z: self.cost(z, tau))
        minima = [self.minimise(start, tau, np.ones(size, bool)) for start in starts[:2]]
        return sorted(minima, key=lambda z: self.cost(z, tau))

    def settle(self, z: np.ndarray, tau: np.ndarray, free: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return parameters and model errors that belong together, from a start."""
        for _ in range(8):
            z = self.minimise(z, tau, free)
            before, tau = tau, self.model_errors(z, tau)
            if np.all(np.abs(np.log(tau / before)) < 0.02):
                break
        return z, tau

    def freedom(self, z: np.ndarray, tau: np.ndarray) -> np.ndarray:
        """Return the degrees of freedom of each model error, shape (q,).

        The prior's own and the settings' less what the parameters use up (trace of the hat matrix).
        """
        A = self.sensitivity(z, tau)
        used = np.bincount(self.kind, np.einsum("ij,jk,ik->i", A, self.covariance(z, tau), A))
        settings = np.bincount(self.kind)
        found: np.ndarray = np.array([one.df for one in self.prior]) + np.maximum(settings - used, 0.0)
        return found

    def model_errors(self, z: np.ndarray, tau: np.ndarray) -> np.ndarray:
        """Return tau per quantity from misfit and prior together, shape (q,).

        Solves n0 tau0^2 / tau^2 + sum r^2 / (tau^2 + s^2/n) = n0 + settings - parameters used: the moment
        estimate of random effects, with the prior counted as n0 further settings.
        """
        squares, freedom = self.residuals(z) ** 2, self.freedom(z, tau)
        found = []
        for q, prior in enumerate(self.prior):
            own = self.kind == q
            r2, s2 = squares[own], self.scatter[q].log_sd ** 2 / self.repeats[own]
            middle = 2 * math.log(prior.log_sd)
            found.append(
                optimize.brentq(
                    lambda t, p=prior, r2=r2, s2=s2, df=freedom[q]: (
                        p.df * p.log_sd**2 / math.exp(t) + float(np.sum(r2 / (math.exp(t) + s2))) - df
                    ),
                    middle - 15,
                    middle + 15,
                )
            )
        return np.exp(np.array(found) / 2)

    def _scatter(self, given: Mapping[str, Scatter]) -> list[Scatter]:
        """Return the scatter of repeats per quantity: given, or pooled over the settings."""
        # measured sizes of the beams are taken out by the model at its first start
        deviations = self.logs - self.predictions(self.start)
        squares = self.weights * (deviations - self.means(deviations)[self.member]) ** 2
        beams = np.bincount(self.member)
        found = []
        for q, quantity in enumerate(self.quantities):
            df = int((beams[self.kind == q] - 1).sum())
            if quantity in given:
                found.append(given[quantity])
            elif df > 0:
                found.append(Scatter(math.sqrt(float(squares[self.kind[self.member] == q].sum()) / df), df))
            else:
                raise DataError(
                    f"{quantity}: no setting is repeated, so scatter is unknown; repeat one or state it"
                )
        return found


def log_answer(answer: Mapping[str, float], quantity: str) -> float:
    """Return the logarithm of one of the model's numbers.

    Raises
    ------
    InputError
        If the model does not give it or it is not positive.
    """
    if quantity not in answer:
        raise InputError(f"the model does not give {quantity!r}; it gives {', '.join(answer)}")
    value = answer[quantity]
    if not (math.isfinite(value) and value > 0):
        raise InputError(f"the model gives {quantity} = {value:g}; only positive numbers can be calibrated")
    return math.log(value)


def _check(parameters: Sequence[Parameter], observations: Sequence[Observation]) -> None:
    """Refuse what cannot be calibrated."""
    names = [one.name for one in parameters]
    twice = [name for name in names if names.count(name) > 1]
    if twice:
        raise InputError(f"parameter {twice[0]!r} is given twice")
    if not parameters:
        raise InputError("no parameter to calibrate")
    if not observations:
        raise DataError("no measured beam to calibrate on")
    for one in observations:
        if not (math.isfinite(one.value) and one.value > 0 and one.weight > 0):
            raise DataError(
                f"{one.group}, {one.quantity}: value {one.value:g} and weight {one.weight:g} must be positive"
            )
