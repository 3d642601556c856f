"""Every series scored: the estimator in each reading, its rivals, the ceiling."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from fem.printed.cell_store import CellStore
from tests.scoreboard import flat_bars, rasters, ratios, rivals, spools, tubes, utah
from tests.scoreboard.ask import Answer, Asker
from tests.scoreboard.ceiling import ceilings
from tests.scoreboard.scoring import Score, score
from tests.scoreboard.series import Series

RIVALS = ("constant", "mass", "neighbours", "regression")


@dataclass(frozen=True)
class Result:
    """Scores of one reading: the estimator, the solid bar times mass as it is, the rivals by name."""

    reading: str
    estimate: Score
    solid_bar: Score
    rivals: dict[str, Score]

    @property
    def beaten(self) -> bool:
        """Whether the estimator after one scale errs less than every rival."""
        known = [one.scaled for one in self.rivals.values() if np.isfinite(one.scaled)]
        return bool(np.isfinite(self.estimate.scaled) and all(self.estimate.scaled < one for one in known))


@dataclass(frozen=True)
class Line:
    """One series with its results."""

    series: Series
    results: tuple[Result, ...]
    ceiling: tuple[float, float]


def all_series(store: CellStore | None = None, only: str = "") -> list[Series]:
    """Return every series whose name holds ``only``; the ratios too if there is a store for their estimates."""
    found = [one for room in (utah, flat_bars, rasters, tubes, spools) for one in room.series()]
    if store and only.lower() in "published ratios":
        found += ratios.series(store)
    return [one for one in found if only.lower() in f"{one.name}, {one.quantity}".lower()]


def score_all(series: Iterable[Series], asker: Asker) -> list[Line]:
    """Score every series in every reading."""
    return [score_series(one, [asker.reading(each, one.quantity) for each in one.readings]) for one in series]


def score_series(series: Series, told: list[list[Answer]]) -> Line:
    """Score one series from what was told of its rows in each reading."""
    results = tuple(
        _result(series, reading.name, answers) for reading, answers in zip(series.readings, told, strict=True)
    )
    return Line(series, results, ceilings(series.rows))


def _result(series: Series, reading: str, answers: list[Answer]) -> Result:
    measured = series.measured
    value, solid, mass = (
        np.array([getattr(one, name) for one in answers]) for name in ("value", "solid", "mass")
    )
    factors = [row.factors for row in series.rows]
    told = {"constant": rivals.constant(measured)}
    # one scale for all: the solid bar alike in every setting drops out, and where it is not, its own part stays
    told["mass"] = rivals.in_proportion(solid * mass, measured)
    told["neighbours"] = rivals.neighbours(factors, measured)
    if series.regressor:
        x = mass if series.regressor == "mass" else np.array([one[series.regressor] for one in factors])
        told["regression"] = (
            rivals.regression(x, measured) if np.isfinite(x).all() else np.full(x.shape, np.nan)
        )
    return Result(
        reading,
        score(value, measured),
        score(solid * mass, measured),
        {name: _as_told(one, measured) for name, one in told.items()},
    )


def _as_told(told: np.ndarray, measured: np.ndarray) -> Score:
    """Return the score of values that were each told from the other settings: no further scale is taken."""
    found = score(told, measured)
    known = np.isfinite(told)
    sizes = np.abs(np.log(told[known] / measured[known]))
    return Score(
        found.level, found.absolute, found.absolute, float(sizes.max(initial=0)), found.rank, found.settings
    )
