"""Every place hidden in turn and predicted from the others."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from validation.gaussian.fit import fit
from validation.gaussian.grid import Scales
from validation.gaussian.places import Place, Reading
from validation.gaussian.predictive import Predictive


@dataclass(frozen=True, eq=False)
class LeftOutPlace:
    """One quantity at a place whose readings the model had not seen.

    Attributes
    ----------
    place : Place
    quantity : str
    measured : float
        Mean logarithm of its readings.
    n : int
        Their number.
    predicted : Predictive
    """

    place: Place
    quantity: str
    measured: float
    n: int
    predicted: Predictive

    @property
    def error(self) -> float:
        """Measured less predicted logarithm."""
        return self.measured - self.predicted.best

    def inside(self, confidence: float = 0.95) -> bool:
        """Return whether the measured mean lies in the band for the mean of as many new readings."""
        low, high = (self.predicted.quantile((1 + side * confidence) / 2, self.n) for side in (-1, 1))
        return low <= self.measured <= high


def leave_places_out(readings: Sequence[Reading], scales: Mapping[str, Scales]) -> list[LeftOutPlace]:
    """Hide each place's readings of all quantities, fit the rest, and predict what was hidden.

    Quantities that nothing else tells of are left out; fewer than two places give nothing.
    """
    places = list({id(one.place): one.place for one in readings}.values())
    found: list[LeftOutPlace] = []
    for place in places if len(places) > 1 else []:
        rest = [one for one in readings if one.place is not place]
        told = fit(rest, scales)
        for quantity in scales:
            own = [one.value for one in readings if one.place is place and one.quantity == quantity]
            if own and told.quantities[quantity].cells.places:
                mean = float(np.mean(own))
                found.append(LeftOutPlace(place, quantity, mean, len(own), told.predict(place, quantity)))
    return found
