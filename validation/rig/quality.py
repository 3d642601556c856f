"""Doubts about a run that its numbers show: saturation, slip, sparse sampling, odd clocks and the like."""

from dataclasses import dataclass

import numpy as np

from validation.rig.run import Doubt
from validation.rig.signals import longest_repeat, noise_of, smoothed, step_of

LAST_TRAVEL = 0.05
LAST_POINTS = 20
"""So many points are wanted in this last part of the travel before a drop (bandwidth and rate rule of the trade)."""

FEW_LEVELS = 60


@dataclass(frozen=True)
class Loading:
    """The samples from contact to the end of the test, N and mm; ``peak`` and ``drop`` count from contact.

    ``drop`` is the first drop, or the peak; ``broken`` says whether the test ended by a break.
    """

    force: np.ndarray
    travel: np.ndarray | None
    peak: int
    drop: int
    broken: bool

    @property
    def top(self) -> float:
        """Peak force, N."""
        return float(self.force[self.peak])

    @property
    def rise(self) -> np.ndarray:
        """Force from contact to peak."""
        return self.force[: self.peak + 1]


def record_doubts(loading: Loading, time: np.ndarray | None, lines: np.ndarray) -> list[Doubt]:
    """Return all doubts about a record.

    Parameters
    ----------
    loading : Loading
        The part that leads to the peak.
    time : ndarray or None
        Seconds of all samples of the record.
    lines : ndarray
        Line numbers of all samples.
    """
    found = [
        *_saturation(loading),
        *_sampling(loading),
        *_levels(loading),
        *_frozen(loading),
        *_slip(loading),
    ]
    return found + (_clock(time, lines) if time is not None else [])


def _saturation(loading: Loading) -> list[Doubt]:
    """Doubt a force that stays at its largest value, sample for sample."""
    force = loading.force
    tolerance = 1e-9 * abs(loading.top)
    at_top = np.flatnonzero(np.abs(force - loading.top) <= tolerance)
    if len(at_top) < 4 or len(force) < 8:
        return []
    longest = max(len(run) for run in np.split(at_top, np.flatnonzero(np.diff(at_top) > 1) + 1))
    below = force[: at_top[0]]
    usual = longest_repeat(below[len(below) // 5 :], tolerance)
    if longest < max(4, 2 * usual + 1):
        return []
    text = f"force stays at {loading.top:.4g} N for {longest} samples: the cell or its amplifier is full"
    return [Doubt("saturation", text)]


def _sampling(loading: Loading) -> list[Doubt]:
    """Doubt a peak with too few points before it."""
    if not loading.broken:
        return []
    if loading.travel is not None:
        travel = loading.travel[: loading.peak + 1]
        points = int((travel >= travel[-1] - LAST_TRAVEL * (travel[-1] - travel[0])).sum())
    else:
        points = int((loading.rise >= (1 - LAST_TRAVEL) * loading.top).sum())
    if points >= LAST_POINTS:
        return []
    share = f"last {100 * LAST_TRAVEL:.0f} % of the travel before the break"
    text = f"{points} point(s) in the {share}, {LAST_POINTS} are wanted: the true peak may be higher"
    return [Doubt("undersampled_break", text)]


def _levels(loading: Loading) -> list[Doubt]:
    """Doubt a channel that moves in coarse steps."""
    found = []
    for name, channel, unit in (("force", loading.force, "N"), ("travel", loading.travel, "mm")):
        if channel is None or loading.peak < 20:
            continue
        values = channel[: loading.peak + 1]
        size = float(np.ptp(values))
        levels = len(np.unique(np.round(values / max(1e-6 * size, 1e-300))))
        if levels < FEW_LEVELS and levels < 0.5 * len(values):
            step = step_of(values)
            found.append(
                Doubt(
                    f"quantised_{name}",
                    f"{name} moves in steps of {step:.3g} {unit}, {levels} levels to the peak",
                )
            )
    return found


def _frozen(loading: Loading) -> list[Doubt]:
    """Doubt a travel that stands still while the force climbs by a fifth of the peak or more."""
    if loading.travel is None or loading.peak < 8:
        return []
    travel, force = loading.travel[: loading.peak + 1], loading.rise
    still = np.flatnonzero(np.abs(np.diff(travel)) > 1e-9 * max(float(np.ptp(travel)), 1e-300))
    edges = np.concatenate([[0], still + 1, [len(travel)]])
    climb = float((force[edges[1:] - 1] - force[edges[:-1]]).max())
    if climb < 0.2 * loading.top:
        return []
    text = f"travel stands still while the force climbs by {climb:.3g} N: a frozen or very coarse channel"
    return [Doubt("frozen_travel", text)]


def _slip(loading: Loading) -> list[Doubt]:
    """Doubt a loading whose force stands or falls a little while the rig advances, then goes on as before."""
    if loading.travel is None or loading.drop < 60:
        return []
    force, travel = loading.force[: loading.drop + 1], loading.travel[: loading.drop + 1]
    if not travel[-1] > travel[0]:
        return []
    reach, noise = np.maximum.accumulate(travel), noise_of(force)
    for bins in (80, 40, 20):
        per_bin = len(force) // bins
        edges = np.linspace(travel[0], travel[-1], bins + 1)
        level = np.interp(edges, reach, smoothed(force, max(1, per_bin // 2)))
        k = np.diff(level) / np.diff(edges)
        loaded = k[level[1:] > 0.1 * loading.top]
        usual = float(np.median(loaded)) if len(loaded) else 0.0
        blur = 4 * noise / np.sqrt(max(per_bin // 2, 1)) / (edges[1] - edges[0])
        if per_bin >= 3 and blur < 0.3 * usual:
            return _stops(k / usual, level / loading.top, loading.top)
    return []


def _stops(slope: np.ndarray, level: np.ndarray, top: float) -> list[Doubt]:
    """Return a doubt for the first stretch without rise between two with; both arrays relative to their usual size."""
    low = slope < 0.25
    for j in np.flatnonzero(low[1:] & ~low[:-1]) + 1:
        ends = np.flatnonzero(~low[j:])
        if not len(ends) or not 0.05 < level[j] < 0.8:
            continue
        after = slope[j + ends[0] : j + ends[0] + 3]
        if slope[j - 2 : j].max(initial=0.0) > 0.6 and after.max() > 0.6:
            text = f"the force stops rising near {level[j] * top:.3g} N and goes on: slip, settling or a small crack"
            return [Doubt("slip", text)]
    return []


def _clock(time: np.ndarray, lines: np.ndarray) -> list[Doubt]:
    """Doubt a clock that goes back, stands or jumps."""
    finite = np.isfinite(time)
    steps = np.diff(time[finite])
    if not len(steps):
        return []
    at = lines[finite][1:]
    found = []
    back = np.flatnonzero(steps < 0)
    if len(back):
        found.append(
            Doubt("time_backwards", f"time goes back {len(back)} time(s), first at line {at[back[0]]}")
        )
    usual = float(np.median(steps[steps > 0])) if (steps > 0).any() else 0.0
    if usual > 0 and np.count_nonzero(steps == 0) > 0.2 * len(steps):
        found.append(
            Doubt(
                "time_repeats", f"{np.count_nonzero(steps == 0)} of {len(steps)} times repeat the one before"
            )
        )
    gaps = np.flatnonzero(steps > 20 * usual)
    if usual > 0 and len(steps) > 20 and len(gaps):
        k = int(gaps[np.argmax(steps[gaps])])
        found.append(
            Doubt("sampling_gap", f"{len(gaps)} gap(s) in time, the longest {steps[k]:.3g} s at line {at[k]}")
        )
    return found
