"""Small tools on recorded channels: noise, smallest step, single wild samples, direction changes."""

import numpy as np


def noise_of(values: np.ndarray) -> float:
    """Return the standard deviation of a channel's noise, from its second differences.

    A straight or smoothly bent record leaves no second difference, so only what differs from sample to sample counts.
    The median makes it blind to breaks and spikes (1.4826 turns it into a standard deviation, sqrt 6 is that of the
    weights 1, -2, 1).
    """
    if len(values) < 5:
        return 0.0
    second = np.diff(values, 2)
    return float(1.4826 * np.median(np.abs(second)) / np.sqrt(6.0))


def step_of(values: np.ndarray) -> float:
    """Return the smallest step between different values, 0 if there is none; round-off of scaling does not count."""
    steps = np.abs(np.diff(np.unique(values[:20_000])))
    steps = steps[steps > 1e-9 * max(float(np.ptp(values)), 1e-300)]
    return float(steps.min()) if len(steps) else 0.0


def spikes(values: np.ndarray) -> np.ndarray:
    """Return the positions of single samples that jump away and back while their neighbours go on.

    A brittle break is no spike: after it the record does not come back.
    """
    if len(values) < 9:
        return np.empty(0, dtype=np.int64)
    before, here, after = values[:-2], values[1:-1], values[2:]
    out = np.where(
        (here - before) * (here - after) > 0, np.minimum(np.abs(here - before), np.abs(here - after)), 0.0
    )
    low, high = np.percentile(values, [0.02, 99.98])
    least = max(0.05 * float(high - low), 10 * noise_of(values))
    candidates = np.flatnonzero((out > least) & (np.abs(after - before) < 0.75 * out)) + 1
    if len(candidates) > max(3, 0.001 * len(values)):
        return np.empty(0, dtype=np.int64)
    found = []
    for k in (int(k) for k in candidates):
        # The steps around, without the two of the spike itself; one more may be that of the break.
        steps = np.abs(np.diff(values[max(0, k - 7) : k + 8]))
        steps[min(k, 7) - 1 : min(k, 7) + 1] = 0.0
        if np.sort(steps)[-2] < abs(values[k] - 0.5 * (values[k - 1] + values[k + 1])) / 3:
            found.append(k)
    return np.array(found, dtype=np.int64)


def smoothed(values: np.ndarray, width: int) -> np.ndarray:
    """Return the moving mean over ``width`` samples (made odd), shorter at the ends."""
    half = width // 2
    if half < 1:
        return values
    sums = np.concatenate([[0.0], np.cumsum(values)])
    index = np.arange(len(values))
    left, right = np.maximum(index - half, 0), np.minimum(index + half + 1, len(values))
    return np.asarray((sums[right] - sums[left]) / (right - left))


def longest_repeat(values: np.ndarray, tolerance: float) -> int:
    """Return the length of the longest stretch of samples that do not change by more than a tolerance."""
    if len(values) < 2:
        return len(values)
    breaks = np.flatnonzero(np.abs(np.diff(values)) > tolerance)
    edges = np.concatenate([[-1], breaks, [len(values) - 1]])
    return int(np.diff(edges).max())
