"""Laboratories that break beams on paper: a true material from the estimate's own draws, and a model that misses.

Kinds of miss: none; a smooth one of 10 %; a step of 15 %; a trend of 30 % along the walls (along the fill where walls
are not varied). Truth is known, so coverage and errors can be counted.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fem.estimation import Estimate
from tests.validation.laboratory import FLAT, laboratory
from validation.gaussian import Place, Predictive, Reading, fit, hide_in_turn
from validation.predict.answers import Answers
from validation.predict.interpolation import numbers_of
from validation.predict.places import SCALES, place_of
from validation.predict.rivals import neighbours, power

KINDS = ("exact", "smooth", "step", "trend")
TARGETS = ("mean", "next beam", "bound")
FILLS = FLAT
WALLS = FLAT.replace("[0.15, 0.3, 0.45, 0.6, 0.75, 0.9, 1.0]", '[0.15, 0.45, 0.9]\n"print.walls" = [1, 2, 3]')
SCATTER = 0.04
TENTH_BEST = 1.2815516  # normal quantile of 0.9


@dataclass(frozen=True)
class Seen:
    """One prediction against the truth, all on the log scale.

    Attributes
    ----------
    kind, quantity, where : str
        Where: measured, inner or outer (left out).
    held : tuple of bool
        By `TARGETS`.
    error : float
        Of the predicted mean.
    score : float
        Interval score of the next beam.
    """

    kind: str
    quantity: str
    where: str
    held: tuple[bool, bool, bool]
    error: float
    score: float


@dataclass(frozen=True)
class Raced:
    """Left-out settings of one laboratory: median errors and interval scores, fillbend's and the rivals'."""

    kind: str
    quantity: str
    error: dict[str, float]
    score: dict[str, float]


@dataclass(frozen=True)
class Design:
    """Settings as places with their estimates."""

    places: tuple[Place, ...]
    estimates: tuple[Estimate, ...]

    @classmethod
    def of(cls, text: str, keep: slice = slice(None)) -> "Design":
        """Return a study's settings, or some of them."""
        estimates = laboratory(text)[1][keep]
        return cls(tuple(place_of(Answers(one)) for one in estimates), estimates)

    def axis(self, name: str) -> np.ndarray:
        """Return one number of all settings, scaled to 0 to 1."""
        x = np.array([numbers_of(one.setting)[name] for one in self.estimates])
        return (x - x.min()) / np.ptp(x) if np.ptp(x) else np.zeros(x.size)

    def outer(self) -> np.ndarray:
        """Return which settings lie at an end of every varied number: left out, they are extrapolations."""
        axes = [self.axis(name) for name in ("set fill", "walls")]
        return np.all([np.isin(x, (0.0, 1.0)) for x in axes if np.ptp(x)], axis=0)


def miss(kind: str, design: Design, rng: np.random.Generator) -> np.ndarray:
    """Return what the model misses at each setting, on the log scale."""
    u = design.axis("set fill")
    if kind == "smooth":
        turn = rng.uniform(0.4, 0.8)
        return 0.1 * np.sqrt(2) * np.sin(2 * np.pi * (turn * u + rng.uniform()))
    if kind == "step":
        return rng.choice([-1, 1]) * 0.15 * (u > rng.uniform(0.1, 0.9))
    if kind == "trend":
        walls = design.axis("walls")
        return rng.choice([-1, 1]) * 0.3 * ((walls if np.ptp(walls) else u) - 0.5)
    return np.zeros(u.size)


def run(
    design: Design, kind: str, rng: np.random.Generator, repeats: int = 3, scatter: float = SCATTER
) -> Iterator[Seen | Raced]:
    """Break the beams of one laboratory; yield each prediction against the truth, then the race of left-out ones."""
    draw, quantities = int(rng.integers(2000)), ("breaking_force", "stiffness")
    truth = {
        q: np.log([one.draws[q][draw] for one in design.estimates]) + miss(kind, design, rng)
        for q in quantities
    }
    readings = [
        Reading(place, q, truth[q][k] + scatter * rng.standard_normal())
        for q in quantities
        for k, place in enumerate(design.places)
        for _ in range(repeats)
    ]
    number = {id(place): k for k, place in enumerate(design.places)}
    scales = {q: SCALES[q] for q in quantities}
    told = fit(readings, scales)
    outer = design.outer()
    for q in quantities:
        for k, place in enumerate(design.places):
            yield _seen(kind, q, "measured", told.predict(place, q), truth[q][k], scatter, rng)
    hidden = hide_in_turn(readings, [str(number[id(one.place)]) for one in readings], scales)
    for one in hidden:
        k = number[id(one.place)]
        where = "outer" if outer[k] else "inner"
        yield _seen(kind, one.quantity, where, one.predicted, truth[one.quantity][k], scatter, rng)
    for q in quantities:
        yield _race(kind, q, design, [one for one in hidden if one.quantity == q])


def _seen(
    kind: str,
    quantity: str,
    where: str,
    found: Predictive,
    truth: float,
    scatter: float,
    rng: np.random.Generator,
) -> Seen:
    beam = truth + scatter * rng.standard_normal()
    mean, following = found.band(), found.band(1)
    bound = found.lower_bound(0.9, 0.95)
    held = (
        mean[0] <= truth <= mean[1],
        following[0] <= beam <= following[1],
        bound <= truth - TENTH_BEST * scatter,
    )
    return Seen(kind, quantity, where, held, found.best - truth, interval_score(*following, beam))


def interval_score(low: float, high: float, x: float, level: float = 0.05) -> float:
    """Return the score of a central interval, the smaller the better: Gneiting and Raftery, JASA 102 (2007), eq. 43."""
    return high - low + 2 / level * (max(low - x, 0.0) + max(x - high, 0.0))


def _race(kind: str, quantity: str, design: Design, hidden: list) -> Raced:
    """Return the left-out settings' median errors, and interval scores of the mean of as many beams."""
    y = np.array([one.measured for one in hidden])
    mass = np.log([one.mass.best for one in design.estimates])
    errors = {
        "fillbend": np.array([one.error for one in hidden]),
        "interpolation": np.array([y[k] - neighbours(design.places, y, k) for k in range(y.size)]),
    }
    if y.size > 3:
        errors["two-parameter fit"] = np.array([y[k] - power(mass, y, k) for k in range(y.size)])
    scores = {"fillbend": float(np.mean([interval_score(*one.band(), one.measured) for one in hidden]))}
    for name in list(errors)[1:]:
        scores[name] = float(np.mean([_rival_score(errors[name], k) for k in range(y.size)]))
    return Raced(kind, quantity, {n: float(np.median(np.abs(e))) for n, e in errors.items()}, scores)


def _rival_score(errors: np.ndarray, k: int) -> float:
    """Return a rival's score with the t interval that its misses of the other settings give it."""
    from scipy import stats

    others = np.delete(errors, k)
    half = float(stats.t.ppf(0.975, others.size)) * float(np.sqrt(np.mean(others**2)))
    return interval_score(-half, half, float(errors[k]))


def coverage_cells(seen: list[Seen]) -> dict[tuple[str, str], tuple[float, float, float]]:
    """Return shares held by target for every kind and place, force and stiffness together."""
    keys = sorted({(one.kind, one.where) for one in seen})
    return {
        key: tuple(np.mean([one.held for one in seen if (one.kind, one.where) == key], axis=0).tolist())
        for key in keys
    }


def paired(raced: list[Raced], rival: str = "interpolation") -> tuple[float, float]:
    """Return the mean over laboratories of fillbend's median error less the rival's, with its 95 % half width."""
    less = np.array([one.error["fillbend"] - one.error[rival] for one in raced])
    return float(less.mean()), float(1.96 * less.std(ddof=1) / np.sqrt(less.size))
