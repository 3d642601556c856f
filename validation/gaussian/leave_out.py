"""What belongs together hidden in turn and predicted from the rest: places, or groups."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from validation.gaussian.fit import fit
from validation.gaussian.grid import Scales
from validation.gaussian.places import Place, Reading
from validation.gaussian.predictive import Predictive


@dataclass(frozen=True, eq=False)
class Hidden:
    """One quantity at a place whose readings the model had not seen.

    Attributes
    ----------
    label : str
        What was hidden.
    place : Place
    quantity : str
    measured : float
        Mean logarithm of its readings.
    n : int
        Their number.
    predicted : Predictive
        Of the mean of readings made in the same groups.
    """

    label: str
    place: Place
    quantity: str
    measured: float
    n: int
    predicted: Predictive

    @property
    def error(self) -> float:
        """Measured less predicted logarithm."""
        return self.measured - self.predicted.best

    def band(self, confidence: float = 0.95) -> tuple[float, float]:
        """Return the interval for the mean of as many new readings of these groups."""
        return self.predicted.band(self.n, confidence, known=True)

    def inside(self, confidence: float = 0.95) -> bool:
        """Return whether the measured mean lies in that interval."""
        low, high = self.band(confidence)
        return low <= self.measured <= high


def hide_in_turn(
    readings: Sequence[Reading], labels: Sequence[str], scales: Mapping[str, Scales]
) -> list[Hidden]:
    """Hide all readings of one label after the other, fit the rest, and predict what was hidden.

    Parameters
    ----------
    readings : sequence of Reading
        All of them.
    labels : sequence of str
        What belongs together, one label per reading.
    scales : mapping of str to Scales
        As for `fit`.

    Returns
    -------
    list of Hidden
        Nothing with fewer than two labels; quantities that nothing else tells of are left out.
    """
    found: list[Hidden] = []
    grouped = len({one.group for one in readings} - {""}) > 1
    known = list(dict.fromkeys(labels))
    for label in known if len(known) > 1 else []:
        out = [one for one, mark in zip(readings, labels, strict=True) if mark == label]
        rest = [one for one, mark in zip(readings, labels, strict=True) if mark != label]
        told = fit(rest, scales, grouped)
        places = {id(one.place): one.place for one in out}.values()
        for place in places:
            for quantity in scales:
                own = [one for one in out if one.place is place and one.quantity == quantity]
                if own and told.quantities[quantity].cells.places:
                    made_in = [one.group for one in own]
                    predicted = told.predict(place, quantity, made_in if any(made_in) else None)
                    mean = float(np.mean([one.value for one in own]))
                    found.append(Hidden(label, place, quantity, mean, len(own), predicted))
    return found
