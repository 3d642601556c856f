"""Where one run ends and the next begins in the same columns: specimens stacked in one file."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import median_filter

from validation.rig.remarks import label_in

SHORTEST = 3
"""Rows that a run must have."""

LEAST_LOAD = 0.05
"""A run of a few rows has at least this part of the largest force range of the file; less is a damaged row."""

_FEW = 8
_NEAR = 10
_STEPS = 3.0


@dataclass(frozen=True)
class Series:
    """Rows of one specimen without NaN in force and travel.

    ``marks`` are pauses: the row before which other lines stood, and these lines.
    """

    lines: np.ndarray
    force: np.ndarray
    travel: np.ndarray | None
    time: np.ndarray | None
    marks: tuple[tuple[int, tuple[str, ...]], ...] = ()

    def part(self, start: int, stop: int) -> "Series":
        """Return the rows from ``start`` up to ``stop``."""
        travel = None if self.travel is None else self.travel[start:stop]
        time = None if self.time is None else self.time[start:stop]
        return Series(self.lines[start:stop], self.force[start:stop], travel, time)

    def rows(self, index: np.ndarray) -> "Series":
        """Return some rows, without marks."""
        travel = None if self.travel is None else self.travel[index]
        time = None if self.time is None else self.time[index]
        return Series(self.lines[index], self.force[index], travel, time)


def split_series(series: Series, label: str = "") -> list[tuple[str, Series, str]]:
    """Return (label, rows, why) of each run stacked in a series; ``why`` is empty for the first.

    A new run begins at another specimen label, or where travel (or time, for want of travel) jumps back to where it
    began while the force is back as well. Blank lines and repeated names alone begin nothing.
    """
    starts: list[tuple[int, str, str]] = [(0, label, "")]
    for row, texts in _boundaries(series):
        begin, current, _ = starts[-1]
        if row - begin < SHORTEST or len(series.force) - row < SHORTEST:
            continue
        loads = float(np.ptp(series.force[begin:row])), float(np.ptp(series.force[row:]))
        few = min(row - begin, len(series.force) - row) < _FEW
        if min(loads) < (LEAST_LOAD * float(np.ptp(series.force)) if few else 1e-12):
            continue
        name = label_in(texts)
        if name and name != current:
            if current or restarts(series, begin, row):
                starts.append((row, name, f"'{name}'"))
            continue
        if restarts(series, begin, row):
            starts.append((row, name, "travel and force begin again"))
    stops = [row for row, _, _ in starts[1:]] + [len(series.force)]
    return [(name, series.part(row, stop), why) for (row, name, why), stop in zip(starts, stops, strict=True)]


def _boundaries(series: Series) -> Iterable[tuple[int, tuple[str, ...]]]:
    """Return rows where a new run may begin, with the text that stood there."""
    found = dict(series.marks)
    n = len(series.force)
    if series.time is not None and n > 1:
        for row in np.flatnonzero(np.diff(series.time) < 0)[:1000] + 1:
            found.setdefault(int(row), ())
    if series.travel is not None and n > 4:
        step = np.abs(np.diff(series.travel))
        # Against the steps around it, since another specimen may take a tenth of the travel.
        usual = median_filter(step, 2 * _NEAR + 1, mode="nearest")
        far = (step > 4 * usual) & (step > 0.01 * float(np.ptp(series.travel)))
        for row in np.flatnonzero(far)[:1000] + 1:
            found.setdefault(int(row), ())
    return sorted(found.items())


def restarts(series: Series, begin: int, row: int) -> bool:
    """Say whether the rows from ``row`` begin again where those from ``begin`` began."""
    force = series.force[begin:row]
    size = float(np.ptp(force))
    if size == 0.0 or abs(series.force[row] - force[0]) > 0.25 * size:
        return False
    if series.travel is not None:
        travel = series.travel[begin:row]
        extent = float(np.ptp(travel))
        near = abs(series.travel[row] - travel[0]) < 0.25 * extent
        return (
            extent > 0
            and near
            and (abs(series.travel[row] - travel[-1]) > 0.4 * extent or _time_restarts(series, begin, row))
        )
    return _time_restarts(series, begin, row)


def _time_restarts(series: Series, begin: int, row: int) -> bool:
    """Say whether the clock was set back to where it began."""
    if series.time is None:
        return False
    start, last, now = series.time[begin], series.time[row - 1], series.time[row]
    return bool(now < last and now - start < 0.1 * (last - start))


def continues(before: Series, after: Series) -> bool:
    """Say whether a second block of rows goes on where the first stopped, as when names are repeated on every page.

    The step from one to the other is like those around it: in travel, else in time, else in force; and the clock is
    not set back.
    """
    if len(before.force) < 1 or len(after.force) < 1:
        return False
    clocks = before.time is not None and after.time is not None
    if before.time is not None and after.time is not None:
        if after.time[0] < before.time[-1]:
            return False
        if before.travel is None and not _goes_on(before.time, after.time):
            return False
    if before.travel is not None and after.travel is not None:
        return _goes_on(before.travel, after.travel)
    return clocks or _goes_on(before.force, after.force)


def _goes_on(before: np.ndarray, after: np.ndarray) -> bool:
    """Say whether the step between two parts of a channel is like the steps on both sides of it."""
    around = np.abs(np.concatenate([np.diff(before[-_NEAR:]), np.diff(after[:_NEAR])]))
    around = around[np.isfinite(around)]
    gap = abs(float(after[0] - before[-1]))
    return not gap > _STEPS * float(around.max(initial=0.0))
