"""The largest moment of one draw on plain numbers: what `moment_curvature.carried` finds, ten times quicker for one.

A calibration asks some ten thousand times for single values, where arrays of one element cost more than the work.
"""

from bisect import bisect_left
from collections.abc import Callable, Sequence

from fem.strength.fibres import FAR, Fibres

_STEPS, _CLOSE, _ALIKE = 60, 1e-11, 1e-9
_Sums = tuple[list[float], list[float], list[float], list[float]]


class OneDraw:
    """A section of fibres that answers one draw at a time."""

    def __init__(self, fibres: Fibres) -> None:
        self._heights: list[float] = fibres.heights.tolist()
        self._last = len(self._heights) - 2
        self._moduli: list[float] = fibres.moduli.tolist()
        self._tops: list[float] = fibres.tops.tolist()
        self._totals: list[tuple[float, ...]] = [tuple(column) for column in fibres.totals.T.tolist()]
        self._sums: list[_Sums] = [
            (*(fibres.constants[order, kind].tolist() for order in range(3)), fibres.widths[kind].tolist())
            for kind in range(len(self._moduli))
        ]
        self._axis = fibres.axis
        self._low, self._high = self._heights[0], self._heights[-1]

    def largest(
        self,
        tension: Sequence[float],
        compression: Sequence[float],
        fracture: Sequence[float],
        growth: float,
    ) -> float:
        """Return the largest moment, N mm; the laws' values by kind as in `fibres.Laws`."""
        E = [modulus * growth for modulus in self._moduli]
        limit = [min(strain, FAR) for strain in fracture]
        pulled = list(tension)
        whole = {kind for kind, stress in enumerate(pulled) if stress > 0}
        largest = reached = 0.0
        while whole and self._most(pulled) > largest:
            found = self._next(E, pulled, compression, limit, whole)
            if found is None:
                break
            kind, at = found
            if at >= reached * (1 - _ALIKE):
                e0 = limit[kind] - at * self._tops[kind]
                largest = max(largest, self._moment(E, pulled, compression, e0, at))
            reached = max(reached, at)
            whole.discard(kind)
            pulled[kind] = 0.0
        return largest

    def _most(self, pulled: Sequence[float]) -> float:
        low = self._low
        return float(
            sum(
                stress * (total[1] - low * total[0])
                for stress, total in zip(pulled, self._totals, strict=True)
            )
        )

    def _next(
        self,
        E: Sequence[float],
        pulled: Sequence[float],
        pressed: Sequence[float],
        limit: Sequence[float],
        whole: set[int],
    ) -> tuple[int, float] | None:
        tops, axis = self._tops, self._axis
        asked = set(whole)
        chosen: int | None = None
        for _ in range(2 * len(E)):
            if chosen is None:
                if not asked:
                    return None
                chosen = min(asked, key=lambda kind: limit[kind] / max(tops[kind] - axis, _ALIKE))
            at = self._pivoted(E, pulled, pressed, limit[chosen], tops[chosen])
            if at is None:
                asked.discard(chosen)
                chosen = None
                continue
            most, other = 1 + _ALIKE, chosen
            for kind in asked:
                ratio = (limit[chosen] + at * (tops[kind] - tops[chosen])) / limit[kind]
                if kind != chosen and ratio > most:
                    most, other = ratio, kind
            if other == chosen:
                break
            chosen = other
        return None if chosen is None or at is None else (chosen, at)

    def _pivoted(
        self,
        E: Sequence[float],
        pulled: Sequence[float],
        pressed: Sequence[float],
        strain: float,
        top: float,
    ) -> float | None:
        most = 1e4 * FAR / (self._high - self._low)
        arm = top - self._axis if top > self._axis else top - self._low

        def fall(curvature: float) -> tuple[float, float]:
            force, by_strain, by_curvature = self._force(
                E, pulled, pressed, strain - curvature * top, curvature
            )
            return force, by_curvature - top * by_strain

        found = _root(fall, 1e-12, most, strain / arm)
        return None if found > 0.99 * most else found

    def _force(
        self,
        E: Sequence[float],
        pulled: Sequence[float],
        pressed: Sequence[float],
        e0: float,
        curvature: float,
    ) -> tuple[float, float, float]:
        force = by_strain = by_curvature = 0.0
        low, high, last, heights = self._low, self._high, self._last, self._heights
        for kind, modulus in enumerate(E):
            t, c = pulled[kind], pressed[kind]
            upper = min(max((t / modulus - e0) / curvature, low), high)
            lower = min(max((-c / modulus - e0) / curvature, low), high)
            first, second, _, widths = self._sums[kind]
            j = min(max(bisect_left(heights, upper) - 1, 0), last)
            i = min(max(bisect_left(heights, lower) - 1, 0), last)
            area_high = first[j] + widths[j] * upper
            area_low = first[i] + widths[i] * lower
            A = modulus * (area_high - area_low)
            S = modulus * (
                second[j] + widths[j] * upper * upper / 2 - second[i] - widths[i] * lower * lower / 2
            )
            force += t * (self._totals[kind][0] - area_high) - c * area_low + e0 * A + curvature * S
            by_strain += A
            by_curvature += S
        return force, by_strain, by_curvature

    def _moment(
        self,
        E: Sequence[float],
        pulled: Sequence[float],
        pressed: Sequence[float],
        e0: float,
        curvature: float,
    ) -> float:
        moment = 0.0
        low, high, last, heights = self._low, self._high, self._last, self._heights
        for kind, modulus in enumerate(E):
            t, c = pulled[kind], pressed[kind]
            upper = min(max((t / modulus - e0) / curvature, low), high)
            lower = min(max((-c / modulus - e0) / curvature, low), high)
            _, second, third, widths = self._sums[kind]
            j = min(max(bisect_left(heights, upper) - 1, 0), last)
            i = min(max(bisect_left(heights, lower) - 1, 0), last)
            first_high = second[j] + widths[j] * upper * upper / 2
            first_low = second[i] + widths[i] * lower * lower / 2
            between = third[j] + widths[j] * upper**3 / 3 - third[i] - widths[i] * lower**3 / 3
            moment += t * (self._totals[kind][1] - first_high) - c * first_low
            moment += modulus * (e0 * (first_high - first_low) + curvature * between)
        return moment


def _root(function: Callable[[float], tuple[float, float]], low: float, high: float, start: float) -> float:
    """Return where a function falls to zero, by the steps of `fibres._root`."""
    x, before = min(max(start, low), high), float("inf")
    for _ in range(_STEPS):
        value, slope = function(x)
        if value > 0:
            low = x
        else:
            high = x
        moved = x - value / slope if slope else float("inf")
        if not low <= moved <= high or abs(value) > before / 2:
            moved = (low + high) / 2
        before = abs(value)
        if abs(moved - x) <= _CLOSE * abs(moved) + 1e-300:
            return moved
        x = moved
    return x
