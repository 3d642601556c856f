"""The next best tests, given what is broken: which settings, how often, beside the plain design of as many beams."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from scipy import stats

from patterns.errors import DataError, InputError
from validation.gaussian.next_readings import after, next_readings, posterior_covariance
from validation.predict.calibrated import CalibratedStudy
from validation.predict.prediction import COVERAGE
from validation.text.screen import print_table

Aim = Literal["load", "map"]
Per = Literal["beam", "gram", "hour"]


@dataclass(frozen=True)
class NextTests:
    """Proposed beams.

    Attributes
    ----------
    labels : tuple of str
        Of all settings.
    repeats, plain : ndarray of int, shape (m,)
        Beams per setting, as proposed and spread evenly.
    before, proposed, evenly : ndarray, shape (m,)
        Half width of the mean force's 95 % band as a share: now, and after either design.
    weights : ndarray, shape (m,)
        How much each setting counts for the aim, sum 1.
    cost : dict of str to tuple
        Of proposed and plain: ``beam``, ``gram``, ``hour``.
    """

    labels: tuple[str, ...]
    repeats: np.ndarray
    plain: np.ndarray
    before: np.ndarray
    proposed: np.ndarray
    evenly: np.ndarray
    weights: np.ndarray
    cost: dict[str, tuple[float, float]]


def next_tests(
    found: CalibratedStudy, n: int, aim: Aim, per: Per = "beam", load: float | None = None
) -> NextTests:
    """Propose n further beams of a study's settings.

    Parameters
    ----------
    found : CalibratedStudy
        What is broken; settings without beams may be proposed too.
    n : int
        Beams.
    aim : {"map", "load"}
        The mean force of all settings alike; or of those of which it is open whether they carry ``load``.
    per : {"beam", "gram", "hour"}
        What is scarce.
    load : float, optional
        N, for the aim "load".

    Raises
    ------
    InputError
        If n or load are not possible.
    DataError
        If no breaking force was measured.
    """
    if n < 1:
        raise InputError(f"--next {n}: give the number of further beams, 1 or more")
    if (aim == "load") != (load is not None):
        raise InputError("--for load needs --load-N, and --load-N belongs to it alone")
    calibrated = found.calibrations[0]
    rows = [row for row in found.rows if row.estimate.setting.card == calibrated.card]
    places = [calibrated.place_of(calibrated.answers_of(row.estimate)) for row in rows]
    known = [k for k, place in enumerate(places) if "breaking_force" in place.mean]
    if "breaking_force" not in calibrated.beams or not known:
        raise DataError(
            "no measured breaking force beside an estimated one: nothing tells where to test next"
        )
    rows, places = [rows[k] for k in known], [places[k] for k in known]
    told = calibrated.model.quantities["breaking_force"]
    _, _, group, scatter = told.middle()
    noise = math.hypot(group, scatter)
    now = posterior_covariance(told, places)
    weights = np.ones(len(places))
    if load is not None:
        best = np.array([told.predict(place).best for place in places])
        # how open it is whether the share of beams that `choose` asks for carries the load
        weak = best - stats.norm.ppf(COVERAGE) * noise
        weights = stats.norm.pdf((weak - math.log(load)) / np.sqrt(np.diag(now))) + 1e-9
    weights = weights / weights.sum()
    mass = np.array([row.estimate.mass.best for row in rows])
    hours = np.array([row.estimate.print_time.best for row in rows]) / 60
    costs = {"beam": np.ones(len(rows)), "gram": mass, "hour": hours}
    chosen = next_readings(now, noise, weights, costs[per], n)
    even = [k % len(rows) if n >= len(rows) else int((k + 0.5) * len(rows) / n) for k in range(n)]
    repeats, plain = (np.bincount(which, minlength=len(rows)) for which in (chosen, even))
    return NextTests(
        labels=tuple(row.named.label for row in rows),
        repeats=repeats,
        plain=plain,
        before=_half(now),
        proposed=_half(after(now, noise, chosen)),
        evenly=_half(after(now, noise, even)),
        weights=weights,
        cost={name: (float(repeats @ one), float(plain @ one)) for name, one in costs.items()},
    )


def _half(covariance: np.ndarray) -> np.ndarray:
    """Return half widths of 95 % bands as shares, shape (m,)."""
    return np.expm1(1.96 * np.sqrt(np.maximum(np.diag(covariance), 0.0)))


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %"


def next_dict(found: NextTests) -> dict[str, Any]:
    """Return the proposal for the JSON output."""
    return {
        "settings": [
            {
                "label": label,
                "repeats": int(found.repeats[k]),
                "plain_repeats": int(found.plain[k]),
                "mean_force_half_width": {
                    "now": float(found.before[k]),
                    "proposed": float(found.proposed[k]),
                    "plain": float(found.evenly[k]),
                },
                "weight": float(found.weights[k]),
            }
            for k, label in enumerate(found.labels)
        ],
        "cost": {name: {"proposed": one, "plain": other} for name, (one, other) in found.cost.items()},
        "answer": answer(found),
    }


def answer(found: NextTests) -> str:
    """Return the proposal in one sentence."""
    what = ", ".join(
        f"{count} of {label}" for label, count in zip(found.labels, found.repeats, strict=True) if count
    )
    now, proposed, plain = (
        _percent(float(found.weights @ one)) for one in (found.before, found.proposed, found.evenly)
    )
    return (
        f"Answer: break {what}; the mean force, as it counts here, is then known to ±{proposed} instead of ±{now} "
        f"(as many beams spread evenly: ±{plain})."
    )


def print_next(title: str, found: NextTests, notes: Sequence[str]) -> None:
    """Print the proposal beside the plain design."""
    print(answer(found))
    print_table(
        f"\n{title}: next tests",
        ["setting", "beams", "spread evenly", "mean force known to", "after these", "spread evenly to"],
        [
            [
                label,
                str(found.repeats[k]),
                str(found.plain[k]),
                *(f"±{_percent(float(one[k]))}" for one in (found.before, found.proposed, found.evenly)),
            ]
            for k, label in enumerate(found.labels)
        ],
        notes,
    )
