"""Series of settings that differ in fill alone: the curves in which steps are looked for."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import stats

from validation.measured.reconcile import Row, Sample
from validation.statistics import Feature, Interval

Quantity = Literal["force", "mass", "stiffness"]


@dataclass(frozen=True)
class FillSeries:
    """Measured settings in order of set fill, everything else alike."""

    title: str
    rows: tuple[Row, ...]

    def values(self, quantity: Quantity) -> tuple[list[float], list[float], list[str], list[str]]:
        """Return fill, value, setting and build of every beam that has the quantity."""
        name = {"force": "breaking_force"}.get(quantity, quantity)
        found = [
            (row.estimate.set_fill, value, row.named.label, beam.build)
            for row in self.rows
            for beam in row.beams
            if (value := getattr(beam, name))
        ]
        return (
            [fill for fill, *_ in found],
            [value for _, value, *_ in found],
            [label for *_, label, _ in found],
            [build for *_, build in found],
        )

    def around(self, feature: Feature) -> tuple[Row, Row]:
        """Return the settings that a feature lies between, for all the places it may have.

        A kink acts on everything beyond it, so there it is compared with the last setting.
        """
        low, high = feature.places
        fills = [row.estimate.set_fill for row in self.rows]
        before = max((k for k, fill in enumerate(fills) if fill <= low + 1e-9), default=0)
        before = min(before, len(fills) - 2)
        if "kink" in feature.kind:
            return self.rows[before], self.rows[-1]
        after = min((k for k, fill in enumerate(fills) if fill >= high - 1e-9), default=len(fills) - 1)
        return self.rows[before], self.rows[max(after, before + 1)]


def series_of(rows: Sequence[Row]) -> list[FillSeries]:
    """Group measured settings by all that is varied but the fill, the longest series first."""
    groups: dict[str, list[Row]] = {}
    for row in rows:
        if not row.force:
            continue
        rest = {
            key: value
            for key, value in row.named.keys.items()
            if key not in ("core.set_fill", "core.geometric_fill")
        }
        title = ", ".join(f"{key.split('.')[-1]} {value}" for key, value in rest.items()) or "all settings"
        groups.setdefault(title, []).append(row)
    found = [
        FillSeries(title, tuple(sorted(members, key=lambda row: row.estimate.set_fill)))
        for title, members in groups.items()
    ]
    return sorted(found, key=lambda series: -len(series.rows))


def mean_ratio(after: Sample | None, before: Sample | None, log_sd: float, df: float) -> Interval | None:
    """Return the ratio of two settings' geometric means with its 95 % interval from pooled scatter.

    None where either is missing or nothing tells the scatter.
    """
    if after is None or before is None or df <= 0:
        return None
    middle = float(np.mean(np.log(after.values)) - np.mean(np.log(before.values)))
    half = float(stats.t.ppf(0.975, df)) * log_sd * math.sqrt(1 / after.n + 1 / before.n)
    return Interval(middle - half, middle, middle + half).exp()
