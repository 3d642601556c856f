"""From a section of fibres to what it carries: first damage, largest moment, what is left, and the curve between."""

from dataclasses import dataclass

import numpy as np

from fem.strength.fibres import FAR, Fibres, Laws, State

_BEYOND = 1.25  # the curve is drawn so far past the last break
_BETWEEN = 40  # points of the curve between two breaks
_ALIKE = 1e-9


@dataclass(frozen=True)
class Carried:
    """What a section carries in each draw; N mm, 1/mm.

    Attributes
    ----------
    largest : ndarray, shape (n,)
        Largest moment.
    curvature : ndarray, shape (n,)
        At the largest moment.
    kind : ndarray of int, shape (n,)
        Kind of fibre whose break ends the largest moment.
    whole : ndarray of bool, shape (k, n)
        Kinds that hold until then.
    """

    largest: np.ndarray
    curvature: np.ndarray
    kind: np.ndarray
    whole: np.ndarray


@dataclass(frozen=True)
class Curve:
    """Moment over curvature, read-only; a break is a pair of points at one curvature.

    Attributes
    ----------
    curvature : ndarray, shape (m,)
        1/mm, rising.
    moment : ndarray, shape (m,)
        N mm.
    breaks : tuple of (int, int)
        Kind of fibre that breaks, and the point just before.
    rest : float
        Largest moment after that at which the curve is highest, N mm.
    """

    curvature: np.ndarray
    moment: np.ndarray
    breaks: tuple[tuple[int, int], ...]
    rest: float

    def __post_init__(self) -> None:
        for array in (self.curvature, self.moment):
            array.setflags(write=False)

    @property
    def peak(self) -> int:
        """Place of the largest moment."""
        return int(np.argmax(self.moment))


def first_damage(fibres: Fibres, laws: Laws) -> tuple[np.ndarray, np.ndarray]:
    """Return the moment (n,) at which the first fibre yields or breaks, and its kind; exact, since all is elastic."""
    E = laws.moduli(fibres)
    EA, ES, EI = (moment @ E for moment in fibres.totals)
    axis = ES / EA
    above, below = fibres.tops[:, None] - axis, axis - fibres.bottoms[:, None]
    pulled = np.where(laws.tension > 0, np.minimum(laws.tension / E, laws.fracture), np.inf)
    with np.errstate(divide="ignore"):
        stretched = np.where(above > 0, pulled / above, np.inf)
        pressed = np.where(below > 0, laws.compression / E / below, np.inf)
    curvature = np.minimum(stretched, pressed)
    kind = np.argmin(curvature, axis=0)
    return curvature[kind, np.arange(len(kind))] * (EI - axis * ES), kind


def carried(fibres: Fibres, laws: Laws) -> Carried:
    """Return the largest moment of every draw: the largest of those just before a break.

    A break that comes at once with the one before, as its kind is strained further already, carries nothing more.
    """
    k, n = laws.tension.shape
    whole = laws.tension > 0
    largest, reached = np.zeros(n), np.zeros(n)
    curvature, kind, held = np.zeros(n), np.zeros(n, dtype=int), whole.copy()
    for _ in range(k):
        some = np.flatnonzero(whole.any(axis=0) & (_most(fibres, laws, whole) > largest))
        if not len(some):
            break
        state = State(fibres, laws.of(some), whole[:, some])
        breaks, at = _next_break(state)
        ends = np.isfinite(at)
        moment = _moment(state, breaks, at)
        better = ends & (at >= reached[some] * (1 - _ALIKE)) & (moment > largest[some])
        chosen = some[better]
        largest[chosen], curvature[chosen], kind[chosen] = moment[better], at[better], breaks[better]
        held[:, chosen] = whole[:, chosen]
        reached[some] = np.maximum(reached[some], at)
        whole[breaks, some] = False
        whole[:, some[~ends]] = False
    return Carried(largest, curvature, kind, held)


def break_moments(fibres: Fibres, laws: Laws, found: Carried) -> np.ndarray:
    """Return the moment (k, n) at which each kind breaks, infinity where it never does.

    Of what breaks before the largest moment, and so does not end it, that moment; of what holds until then, the one
    at which it would break if nothing else did from there on.
    """
    moments = np.tile(found.largest, (len(laws.tension), 1))
    for kind in range(len(laws.tension)):
        later = np.flatnonzero(found.whole[kind] & (found.kind != kind))
        if not len(later):
            continue
        state = State(fibres, laws.of(later), found.whole[:, later])
        breaks = np.full(len(later), kind)
        at = state.pivoted(breaks)
        moment = np.maximum(_moment(state, breaks, at), found.largest[later])
        moments[kind, later] = np.where(np.isfinite(at), moment, np.inf)
    return moments


def _moment(state: State, kind: np.ndarray, curvature: np.ndarray) -> np.ndarray:
    """Return the moment (n,) as a kind breaks, 0 where it never does."""
    at = np.where(np.isfinite(curvature), curvature, 1.0)
    e0 = state.laws.fracture_at(kind) - at * state.fibres.tops[kind]
    return np.where(np.isfinite(curvature), state.moment(e0, at), 0.0)


def _most(fibres: Fibres, laws: Laws, whole: np.ndarray) -> np.ndarray:
    """Return a bound (n,) on the moment: every fibre pulled to its plateau, about the outermost pressed one."""
    arms = fibres.totals[1] - fibres.heights[0] * fibres.totals[0]
    found: np.ndarray = np.einsum("k,kn->n", arms, np.where(whole, laws.tension, 0.0))
    return found


def _next_break(state: State) -> tuple[np.ndarray, np.ndarray]:
    """Return the kind (n,) that breaks next with the curvature, infinity where none does.

    The kind that would break first in an elastic section is asked; wherever another one is strained beyond its own
    limit at that curvature, that one is asked instead.
    """
    fibres, laws = state.fibres, state.laws
    k, n = laws.tension.shape
    limit = np.where(state.whole, np.minimum(laws.fracture, FAR), np.inf)
    arm = np.maximum(fibres.tops - fibres.axis, _ALIKE)[:, None]
    kind, curvature = np.argmin(limit / arm, axis=0), np.full(n, np.inf)
    asked = np.arange(n)
    for _ in range(2 * k):
        part = State(fibres, laws.of(asked), state.whole[:, asked])
        curvature[asked] = part.pivoted(kind[asked])
        limit[kind[asked], asked] = np.where(np.isfinite(curvature[asked]), limit[kind[asked], asked], np.inf)
        at = np.where(np.isfinite(curvature), curvature, 0.0)
        strain = laws.fracture_at(kind) + at * (fibres.tops[:, None] - fibres.tops[kind])
        ratio = np.where(np.isfinite(limit), strain / limit, 0.0)
        ratio[kind, np.arange(n)] = np.where(np.isfinite(curvature), 1.0 + _ALIKE, 0.0)
        other = np.where(np.isfinite(curvature), np.argmax(ratio, axis=0), np.argmin(limit / arm, axis=0))
        asked = np.flatnonzero((other != kind) & np.isfinite(limit[other, np.arange(n)]))
        if not len(asked):
            break
        kind[asked] = other[asked]
    return kind, curvature


def follow(fibres: Fibres, laws: Laws) -> Curve:
    """Return the curve of one draw to its end: up to the last break and a quarter more curvature."""
    whole = laws.tension > 0
    curvatures, moments = [np.zeros(1)], [np.zeros(1)]
    breaks: list[tuple[int, int]] = []
    reached = 0.0
    while whole.any():
        state = State(fibres, laws, whole.copy())
        kind, at = (found[0] for found in _next_break(state))
        if not np.isfinite(at):
            break
        if at > reached * (1 + _ALIKE):
            points = reached + (at - reached) * np.linspace(0, 1, _BETWEEN + 1)[(not breaks) :]
            curvatures.append(points)
            moments.append(_along(fibres, laws, whole, points))
            reached = float(at)
        breaks.append((int(kind), sum(map(len, moments)) - 1))
        whole[kind] = False
    points = reached * np.linspace(1, _BEYOND, 5)
    curvatures.append(points)
    moments.append(_along(fibres, laws, whole, points))
    curvature, moment = np.concatenate(curvatures), np.concatenate(moments)
    after = [m for _, m in breaks if m > int(np.argmax(moment))]
    rest = max((float(moment[m]) for m in after), default=float(moment[-1]))
    return Curve(curvature, moment, tuple(breaks), rest)


def _along(fibres: Fibres, laws: Laws, whole: np.ndarray, curvature: np.ndarray) -> np.ndarray:
    """Return the moment of one draw at curvatures (m,); 0 where nothing is pulled."""
    if not whole.any():
        return np.zeros(len(curvature))
    m = np.zeros(len(curvature), dtype=int)
    state = State(fibres, laws.of(m), whole[:, m])
    return state.moment(state.without_force(curvature), curvature)
