"""Steps and kinks a series may hold, as columns beside a smooth trend, and how strong they look by chance."""

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import stats


@dataclass(frozen=True, eq=False)
class Candidate:
    """A possible feature of a series.

    Attributes
    ----------
    kind : {"step", "kink"}
        Jump between two settings or change of slope.
    between : tuple of float
        The neighbouring places of x that hold the step, or twice the place of the kink.
    column : ndarray, shape (n,)
        What the feature adds to each beam's log value per unit of its size.
    """

    kind: Literal["step", "kink"]
    between: tuple[float, float]
    column: np.ndarray


def all_candidates(xs: np.ndarray, places: np.ndarray, where: np.ndarray) -> list[Candidate]:
    """Return steps between all neighbours, kinks at inner settings and half-way between them.

    Parameters
    ----------
    xs : ndarray, shape (n,)
        Variable of each beam.
    places : ndarray, shape (m,)
        Ascending places of the settings.
    where : ndarray of int, shape (n,)
        Number of each beam's place.
    """
    steps = [
        Candidate("step", (float(places[k]), float(places[k + 1])), (where > k).astype(float))
        for k in range(places.size - 1)
    ]
    inner = places[1:-1]
    spots = np.sort(np.concatenate([inner, (inner[:-1] + inner[1:]) / 2]))
    kinks = [Candidate("kink", (float(c), float(c)), np.maximum(xs - c, 0.0)) for c in spots]
    return steps + kinks


def project(design: np.ndarray, target: np.ndarray) -> np.ndarray:
    """Return the part of the target, (n,) or (n, m), that is orthogonal to the columns of the design."""
    Q = np.linalg.qr(design)[0]
    found: np.ndarray = target - Q @ (Q.T @ target)
    return found


def directions(design: np.ndarray, candidates: Sequence[Candidate]) -> tuple[np.ndarray, list[int]]:
    """Return unit columns (n, k) of the candidates that the design does not nearly hold, and their numbers."""
    columns = np.column_stack([one.column / np.linalg.norm(one.column) for one in candidates])
    free = project(design, columns)
    length = np.linalg.norm(free, axis=0)
    kept = np.flatnonzero(length > 1e-3)
    return free[:, kept] / length[kept], [int(k) for k in kept]


def chance_shares(design: np.ndarray, U: np.ndarray, draws: int, seed: int) -> np.ndarray:
    """Return the largest share of squares that one candidate explains, per simulated series without features.

    With normal scatter the share depends on the design alone, not on the size of trend or scatter.

    Parameters
    ----------
    design : ndarray, shape (n, p)
        Tangent of the smooth trend.
    U : ndarray, shape (n, k)
        Unit columns of the candidates, orthogonal to the design.
    draws, seed : int
        Simulated series.
    """
    Q = np.linalg.qr(design)[0]
    noise, squares = _noise(design.shape[0], draws, seed)
    total = squares - ((Q.T @ noise) ** 2).sum(axis=0)
    found: np.ndarray = np.max((U.T @ noise) ** 2, axis=0) / total
    return found


@functools.lru_cache(maxsize=8)
def _noise(n: int, draws: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Return standard normal noise (n, draws) and its sums of squares, kept for the next series of this length."""
    noise = np.random.default_rng(seed).standard_normal((n, draws))
    return noise, (noise**2).sum(axis=0)


def detectable_steps(
    design: np.ndarray,
    candidates: Sequence[Candidate],
    log_sd: float,
    level: float,
    power: float = 0.80,
    draws: int = 3999,
    seed: int = 1,
) -> list[float]:
    """Return the step ratio above 1 found with the stated power, per interval between settings.

    Parameters
    ----------
    design : ndarray, shape (n, p)
        Tangent of the smooth trend.
    candidates : sequence of Candidate
        All places that are searched.
    log_sd : float
        Scatter of beams on the log scale.
    level : float
        False-alarm rate of the search.
    power : float
        Chance of finding the step.
    draws, seed : int
        Simulated series behind the limit.
    """
    U, _ = directions(design, candidates)
    df = design.shape[0] - design.shape[1] - 1
    share = float(np.quantile(chance_shares(design, U, draws, seed), 1 - level))
    t = math.sqrt(share / (1 - share) * df)
    # power of the t test at the step's own place, against the limit that the search demands
    shifts = np.linspace(t / 2, t + 12, 2000)
    shift = float(shifts[np.argmax(stats.nct.sf(t, df, shifts) >= power)])
    lengths = [float(np.linalg.norm(project(design, one.column))) for one in candidates if one.kind == "step"]
    return [math.exp(shift * log_sd / length) if length > 1e-6 else math.inf for length in lengths]
