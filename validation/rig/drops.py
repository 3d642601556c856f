"""The first drop of force on the way up: a crack, as against relaxation while the rig stands or unloads."""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import maximum_filter1d

from validation.rig.signals import noise_of, step_of

SUDDEN = 0.05
"""A drop happens within this part of the samples at which the rig advances."""

LEAST_OF_PEAK = 0.01
"""A fall below this part of the peak is no drop, however large a part of the force it is at the start."""


@dataclass(frozen=True)
class Drop:
    """A fall of force: from sample ``top`` to sample ``bottom``, ``share`` of the force at its top."""

    top: int
    bottom: int
    share: float


def advancing(travel: np.ndarray) -> np.ndarray:
    """Return a mask of the samples at which the rig is as far as it ever was: no unloading, no reloading."""
    slack = max(3 * noise_of(travel), step_of(travel))
    return np.asarray(travel >= np.maximum.accumulate(travel) - slack)


def first_drop(force: np.ndarray, travel: np.ndarray | None, least_share: float) -> Drop | None:
    """Return the first sudden fall by more than a share of the force, or None.

    Sudden is what happens within a twentieth of the way to the end of the test; softening is no drop.

    Parameters
    ----------
    force, travel : ndarray, shape (n,)
        From contact to the end of the test, N and mm, both growing in the sense of loading.
    least_share : float
        Such as 0.03. The fall must also exceed eight times the noise, and the force a tenth of the peak.
    """
    on = advancing(travel) if travel is not None else np.ones(len(force), dtype=bool)
    on[-1] = True
    index = np.flatnonzero(on)
    noise, top = noise_of(force), float(force.max())
    start, reach = 0, max(4, int(SUDDEN * len(index)))
    while start < len(index) - 1:
        part = force[index[start:]]
        # The largest of the last samples: the filter's origin moves its window before the sample.
        highest = maximum_filter1d(part, reach, mode="nearest", origin=(reach - 1) // 2)
        least = np.maximum(least_share * highest, max(8 * noise, LEAST_OF_PEAK * top))
        fallen = (highest - part > least) & (highest > 0.1 * top)
        if not fallen.any():
            return None
        at = int(np.argmax(fallen))
        crest = max(at - reach, 0)
        crest += int(np.argmax(part[crest : at + 1]))
        a, b = int(index[start + crest]), int(index[start + at])
        if _is_sudden(part, at, crest, start, noise) and (
            travel is None or not _rested(force, travel, index, a, b)
        ):
            low = a + int(np.argmin(force[a : b + reach]))
            return Drop(a, low, float((force[a] - force[low]) / force[a]))
        start += at
    return None


def _is_sudden(part: np.ndarray, at: int, crest: int, before: int, noise: float) -> bool:
    """Say whether a fall is one of the beam: no dip of a noisy rise, which comes back, nor a slow softening.

    It does not come back faster than the force rose on the way to it, ``before`` samples earlier, and goes at least
    twice as fast, or mostly from one sample to the next.
    """
    fall = float(part[crest] - part[at])
    rise = float(part[crest]) / max(before + crest, 1)
    after = part[at + 1 : at + 5]
    back = after - rise * np.arange(1, len(after) + 1) - part[at]
    if len(back) > 2 and float(np.median(back)) > 0.5 * fall:
        return False
    steepest = float(-np.diff(part[crest : at + 1]).min()) - 4 * noise
    return steepest > 0.4 * fall or fall / (at - crest) > 2 * rise


def _rested(force: np.ndarray, travel: np.ndarray, index: np.ndarray, top: int, bottom: int) -> bool:
    """Say whether the force fell because the rig stood still or unloaded in between, little by little."""
    steps = np.diff(force[top : bottom + 1])
    gradual = -float(steps.min()) < 0.6 * (force[top] - force[bottom])
    if not gradual or len(index) < 3:
        return False
    usual = float(travel[index[-1]] - travel[index[0]]) / max(int(index[-1] - index[0]), 1)
    expected = usual * (bottom - top)
    # With travel in coarse steps, standing and going on look alike for a while.
    return bool(expected > 2 * step_of(travel) and travel[bottom] - travel[top] < 0.2 * expected)
