"""The first steps of a reduction: which way the channels point, where the beam is met and where the test ends."""

from dataclasses import dataclass

import numpy as np

from validation.rig.signals import noise_of

CONTACT_SHARE = 0.01
"""Contact is where the force last rises through this share of the peak, or through five times its noise."""

BROKEN_SHARE = 0.5
"""The test ends where the force falls below this share of the peak, or where the travel turns back."""

IDLE_SHARE = 0.1
"""Below this share of the peak a broken beam carries nothing worth the name."""


@dataclass(frozen=True)
class Tare:
    """Force before contact, N.

    ``offset`` is the median of ``samples`` rows, ``drift`` its change among them; ``start`` is the first reading and
    ``preload`` says that it was held on purpose.
    """

    offset: float
    samples: int
    start: float
    drift: float = 0.0
    preload: bool = False


def polarity_of_force(force: np.ndarray) -> tuple[int, float]:
    """Return the sign of the largest excursion from the start, and the size of the opposite one relative to it."""
    # Of a handful of rows three are no start but half of the record.
    first = max(3, min(20, len(force) // 50)) if len(force) >= 12 else 1
    base = float(np.median(force[:first]))
    up, down = float(force.max()) - base, base - float(force.min())
    if up <= 0 and down <= 0:
        return 1, 0.0
    return (1, down / up) if up >= down else (-1, up / down)


def polarity_of_travel(travel: np.ndarray, force: np.ndarray) -> int:
    """Return the sign of travel from first load to largest force, 0 if it does not move; ``force`` points up."""
    peak = int(np.argmax(force))
    level = force[0] + 0.1 * (force[peak] - force[0])
    low = np.flatnonzero(force[: peak + 1] <= level)
    start = int(low[-1]) if len(low) else 0
    return int(np.sign(travel[peak] - travel[start]))


def find_tare(force: np.ndarray, travel: np.ndarray | None, peak: int) -> Tare:
    """Return the force before contact; zero where the record begins under load.

    A constant force while the rig stands still is taken as preload if it is more than 5 % of the peak, else as offset.
    """
    start = float(force[0])
    guess = float(np.median(force[: max(3, min(20, len(force) // 50))]))
    away = np.abs(force[: peak + 1] - guess) > threshold_of(force - guess, peak)
    lasting = away[:-2] & away[1:-1] & away[2:]
    samples = int(0.8 * np.argmax(lasting)) if lasting.any() else 0
    if samples < 3:
        return Tare(0.0, 0, start)
    third = max(samples // 3, 1)
    drift = float(np.median(force[samples - third : samples]) - np.median(force[:third]))
    if abs(drift) > 0.2 * _mean_rise(force, travel, third, samples, peak):
        return Tare(0.0, 0, start)
    offset = float(np.median(force[:samples]))
    if travel is not None and abs(offset) > 0.05 * float(force[peak] - offset):
        moved = float(np.ptp(travel[:samples])) > 0.01 * float(np.ptp(travel))
        if not moved:
            return Tare(0.0, samples, start, preload=True)
    return Tare(offset, samples, start, abs(drift))


def _mean_rise(force: np.ndarray, travel: np.ndarray | None, third: int, samples: int, peak: int) -> float:
    """Return how much force would rise between the outer thirds of some first samples at the mean rate up to the peak.

    A record that rises at a fifth of that rate from the start is loading the beam already.
    """
    way = np.arange(len(force), dtype=float) if travel is None else travel
    moved = float(np.median(way[samples - third : samples]) - np.median(way[:third]))
    whole = float(way[peak] - way[0])
    return abs(moved / whole * float(force[peak] - force[0])) if moved and whole else np.inf


def threshold_of(force: np.ndarray, peak: int) -> float:
    """Return the force that counts as contact: 1 % of the peak or five times the noise, at most 5 % of the peak."""
    top = float(force[peak])
    return min(max(CONTACT_SHARE * top, 5 * noise_of(force[: peak + 1])), 0.05 * top)


def last_below(force: np.ndarray, peak: int, threshold: float) -> int:
    """Return the last sample before the peak at or below the threshold, or -1 if there is none."""
    low = np.flatnonzero(force[: peak + 1] <= threshold)
    return int(low[-1]) if len(low) else -1


def turning(travel: np.ndarray) -> float:
    """Return how far travel must go back to count as turned, mm: 2 % of its range or five times its noise."""
    return max(0.02 * float(np.ptp(travel)), 5 * noise_of(travel))


def find_contact(force: np.ndarray, travel: np.ndarray | None, peak: int) -> int:
    """Return the sample where the loading that leads to the peak begins.

    Cycles of loading and unloading before it are left out; a crack that drops the force to nothing without the rig
    turning back is not.
    """
    threshold = threshold_of(force, peak)
    start = last_below(force, peak, threshold)
    while travel is not None and start > 0:
        earlier = np.flatnonzero(force[:start] > 5 * threshold)
        if not len(earlier):
            break
        top = int(earlier[-1])
        if float(travel[top : start + 1].max() - travel[start]) > turning(travel):
            break
        start = last_below(force, top, threshold)
    return max(start, 0)


def find_peak(force: np.ndarray, travel: np.ndarray | None) -> tuple[int, bool]:
    """Return the sample of the peak, and whether the force rose above it again after the beam had broken.

    The peak is the largest force of the stroke in which the beam breaks. What comes after the rig has turned back, or
    has gone on without load for a third of the travel that the beam took, is a load on pieces or on a stop.
    """
    top = int(np.argmax(force))
    if travel is None:
        return top, False
    highest = np.maximum.accumulate(force[: top + 1])
    fallen = np.flatnonzero((force[: top + 1] < BROKEN_SHARE * highest) & (highest > 0.2 * force[top]))
    at = 0
    for _ in range(50):
        at = int(np.searchsorted(fallen, at))
        if at >= len(fallen):
            break
        drop = int(fallen[at])
        peak = int(np.argmax(force[: drop + 1]))
        recovered = np.flatnonzero(force[drop : top + 1] >= force[peak])
        if not len(recovered):
            break
        if _ended(force, travel, peak, drop, drop + int(recovered[0])):
            return peak, True
        at = drop + int(recovered[0])
    return top, False


def _ended(force: np.ndarray, travel: np.ndarray, peak: int, drop: int, again: int) -> bool:
    """Say whether the beam was broken from ``drop`` on, so that the load at ``again`` is no longer its own."""
    back = turning(travel)
    if travel[drop] < travel[peak] - back or not (force[drop : drop + 3] < BROKEN_SHARE * force[peak]).all():
        return False
    between = travel[drop : again + 1]
    if float((np.maximum.accumulate(between) - between).max()) > max(back, 0.1 * float(np.ptp(travel))):
        return True
    idle = between[force[drop : again + 1] < IDLE_SHARE * force[peak]]
    start = max(last_below(force, peak, CONTACT_SHARE * float(force[peak])), 0)
    return len(idle) > 0 and float(np.ptp(idle)) > 0.33 * float(travel[peak] - travel[start])


def find_end(force: np.ndarray, travel: np.ndarray | None, peak: int) -> tuple[int, bool]:
    """Return the last sample of the test and whether it ended by a break.

    The sample at which the force has fallen below half the peak is the last one; else the one where the rig turns back;
    else the last of the record.
    """
    low = np.flatnonzero(force[peak:] < BROKEN_SHARE * force[peak])
    broken = peak + int(low[0]) if len(low) else len(force)
    turned = len(force)
    if travel is not None:
        reach = np.maximum.accumulate(travel[peak:])
        back = np.flatnonzero(travel[peak:] < reach - turning(travel))
        if len(back):
            turned = peak + int(back[0])
    if broken <= turned and broken < len(force):
        return broken, True
    if turned < len(force) and travel is not None:
        return peak + int(np.argmax(travel[peak : turned + 1])), False
    return len(force) - 1, False
