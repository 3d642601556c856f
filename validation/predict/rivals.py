"""Plain ways to predict a setting that was left out, beside fillbend's: which is best for these beams is told.

Interpolation between tested neighbours (the nearest at the ends, within a category), a fit of two parameters without
mechanics (a power of the estimated mass), and the estimate as the card has it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from validation.gaussian import Place
from validation.predict.calibrated import Calibrated

NAMES = ("fillbend", "interpolation", "two-parameter fit", "untuned estimate")


@dataclass(frozen=True)
class Contest:
    """Median sizes of measured/predicted - 1 of settings left out in turn.

    Attributes
    ----------
    quantity : str
    settings : int
        How many were left out.
    median : dict of str to float or None
        By the names in `NAMES`; None where a way cannot predict every one of them.
    best : str
        The name with the smallest median.
    """

    quantity: str
    settings: int
    median: dict[str, float | None]

    @property
    def best(self) -> str:
        """Name of the way with the smallest median."""
        known = {name: value for name, value in self.median.items() if value is not None}
        return min(known, key=lambda name: known[name])


def contests(calibrated: Calibrated) -> dict[str, Contest]:
    """Return the contest of every quantity measured at three settings or more."""
    found = {}
    for quantity in calibrated.beams:
        left_out = [one for one in calibrated.by_setting if one.quantity == quantity]
        if len(left_out) < 3:
            continue
        labels = [one.group for one in left_out]
        kept = [
            (row, place)
            for row, place in zip(calibrated.rows, calibrated.places, strict=True)
            if row.named.label in labels
        ]
        rows, places = zip(*kept, strict=True)
        measured = {one.group: one.measured for one in left_out}
        y = np.log([measured[row.named.label] for row in rows])
        mass = np.log([row.estimate.mass.best for row in rows])
        untuned = [_untuned(row.estimate, quantity) for row in rows]
        errors: dict[str, list[float | None]] = {
            "fillbend": [math.log(one.ratio) for one in left_out],
            "interpolation": [y[k] - neighbours(places, y, k) for k in range(y.size)],
            "two-parameter fit": [_off(y[k], power(mass, y, k)) for k in range(y.size)],
            "untuned estimate": [_off(y[k], value) for k, value in enumerate(untuned)],
        }
        found[quantity] = Contest(quantity, y.size, {name: _median(errors[name]) for name in NAMES})
    return found


def neighbours(places: Sequence[Place], y: np.ndarray, hidden: int) -> float:
    """Return a hidden place's logarithm from its neighbours in every direction along which one number changes.

    Straight lines between the measured values on either side, in the values' own unit; their mean over the directions
    that have both sides. Where none has, the nearest value of the same category, or of all.

    Parameters
    ----------
    places : sequence of Place
        Measured ones.
    y : ndarray, shape (n,)
        Logarithms; that of the hidden place is not used.
    hidden : int
        Its place in the sequence.
    """
    numbers = np.array([place.numbers for place in places])
    own, others = numbers[hidden], np.arange(len(places)) != hidden
    same = np.array([place.categories == places[hidden].categories for place in places]) & others
    between = []
    for axis in range(numbers.shape[1]):
        rest = np.delete(numbers, axis, axis=1)
        line = same & np.all(np.isclose(rest, rest[hidden]), axis=1)
        x, values = numbers[line, axis], np.exp(y[line])
        if np.any(x < own[axis]) and np.any(x > own[axis]):
            order = np.argsort(x)
            between.append(float(np.interp(own[axis], x[order], values[order])))
    if between:
        return math.log(np.mean(between))
    candidates = same if same.any() else others
    span = np.ptp(numbers, axis=0)
    distance = np.linalg.norm((numbers - own) / np.where(span > 0, span, 1.0), axis=1)
    nearest = candidates & np.isclose(distance, distance[candidates].min())
    return float(np.mean(y[nearest]))


def power(x: np.ndarray, y: np.ndarray, hidden: int) -> float | None:
    """Return a hidden logarithm by a straight line through the others; None with fewer than three or one x alone."""
    others = np.arange(y.size) != hidden
    if others.sum() < 3 or np.ptp(x[others]) == 0:
        return None
    slope, start = np.polyfit(x[others], y[others], 1)
    return float(start + slope * x[hidden])


def _untuned(found: object, quantity: str) -> float | None:
    band = getattr(found, quantity)
    return math.log(band.best) if band else None


def _off(measured: float, predicted: float | None) -> float | None:
    return None if predicted is None else measured - predicted


def _median(errors: Sequence[float | None]) -> float | None:
    known = [abs(math.expm1(one)) for one in errors if one is not None]
    return float(np.median(known)) if len(known) == len(errors) else None


def contest_lines(found: dict[str, Contest]) -> list[str]:
    """Return one sentence per quantity: how well each way predicts left-out settings, and which is best here."""
    lines = []
    for quantity, one in found.items():
        name = quantity.replace("_", " ")
        told = ", ".join(f"{way} {_percent(value)}" for way, value in one.median.items() if value is not None)
        verdict = "fillbend is best here" if one.best == "fillbend" else f"{one.best} is best here"
        lines.append(
            f"{name[0].upper()}{name[1:]} of {one.settings} settings left out in turn is missed (median) by: {told}; "
            f"{verdict}."
        )
    return lines


def contest_dict(found: dict[str, Contest]) -> dict[str, object]:
    """Return the contests for the JSON output."""
    return {
        quantity: {"settings": one.settings, "median_error": one.median, "best": one.best}
        for quantity, one in found.items()
    }


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %"
