"""One period of a pattern's centre-lines as a frame of bars that meet at nodes."""

from collections.abc import Sequence

import numpy as np
import shapely
from scipy.spatial import cKDTree

from fem.prismatic.collapse import Frame

_PERIODS = 2.5  # of the lattice to each side, so that every bar is whole in the drawn piece
_SNAP = 1e-6  # of the smaller period: the grid on which crossings are one point
_SAME = 1e-3  # radians round a period within which points are one
_MOST_BARS = 80  # curves are drawn with no more bars than this needs


def drawn_box(lattice: np.ndarray) -> tuple[float, float, float, float]:
    """Return the box to draw lines in, so that `frame_of` finds every bar of a period."""
    reach = _PERIODS * np.abs(lattice).sum(axis=0).max()
    return (-reach, -reach, reach, reach)


def frame_of(lines: Sequence[shapely.LineString], lattice: np.ndarray, width: float) -> Frame | None:
    """Return one period of the frame that lines (drawn in `drawn_box`) make; None where they nowhere meet.

    Parameters
    ----------
    lines : sequence of LineString
        Centre-lines.
    lattice : ndarray, shape (2, 2)
        Rows are the period vectors, mm.
    width : float
        Of the lines, mm.
    """
    size = float(np.linalg.norm(lattice, axis=1).min())
    joined = shapely.unary_union(list(lines), grid_size=_SNAP * size)
    pieces = [np.asarray(part.coords) for part in shapely.get_parts(joined)]
    starts = np.concatenate([piece[:-1] for piece in pieces])
    stops = np.concatenate([piece[1:] for piece in pieces])
    inner = np.abs(lattice).sum(axis=0).max() * 1.5
    inside = (np.abs(starts) < inner).all(axis=1) & (np.abs(stops) < inner).all(axis=1)
    starts, stops = starts[inside], stops[inside]
    (ax, ay), (bx, by) = lattice
    area = float(abs(ax * by - ay * bx))
    if not len(starts):
        return _parallel(lines, lattice, area, width)
    own = _first_of_each((starts + stops) / 2, lattice)
    starts, along = starts[own], (stops - starts)[own]
    nodes = _numbers(np.concatenate([starts, starts + along]), lattice).reshape(2, -1).T
    while len(along) > _MOST_BARS and (fewer := _thinned(nodes, along)) is not None:
        nodes, along = fewer
    return Frame(area, nodes, along, width, _insets(nodes, along, width))


def _parallel(
    lines: Sequence[shapely.LineString], lattice: np.ndarray, area: float, width: float
) -> Frame | None:
    """Return the frame of straight lines that nothing crosses: one bar along the period that they run in."""
    ends = np.asarray(lines[0].coords)
    step = ends[-1] - ends[0]
    turned = np.abs(lattice @ [-step[1], step[0]]) / np.linalg.norm(step)
    along = lattice[int(np.argmin(turned))]
    if turned.min() > _SAME * np.linalg.norm(along):
        return None
    return Frame(area, np.zeros((1, 2), dtype=int), along[None], width, np.zeros((1, 2)))


def _thinned(nodes: np.ndarray, along: np.ndarray) -> tuple[np.ndarray, np.ndarray] | None:
    """Return the bars with every other node of curves left out, each pair drawn as one; None where no node can go."""
    bars: list[tuple[np.ndarray, np.ndarray] | None] = [
        (ends, step) for ends, step in zip(nodes, along, strict=True)
    ]
    taken: set[int] = set()
    for node in range(int(nodes.max()) + 1):
        met, ends = np.nonzero(nodes == node)
        if len(met) != 2 or met[0] == met[1] or taken & set(met.tolist()):
            continue
        (one, other), (i, j) = met.tolist(), ends.tolist()
        # run into the node along the first bar and out of it along the second
        into, out = along[one] * (1 if i == 1 else -1), along[other] * (1 if j == 0 else -1)
        bars[one] = (np.array([nodes[one, 1 - i], nodes[other, 1 - j]]), into + out)
        bars[other] = None
        taken |= {one, other}
    if not taken:
        return None
    left = [bar for bar in bars if bar is not None]
    numbers = np.unique([ends for ends, _ in left], return_inverse=True)[1].reshape(-1, 2)
    return numbers, np.array([step for _, step in left])


def _on_torus(points: np.ndarray, lattice: np.ndarray) -> cKDTree:
    """Return a search tree in which periodic copies of a point are one."""
    turns = 2 * np.pi * points @ np.linalg.inv(lattice)
    return cKDTree(np.column_stack([np.cos(turns), np.sin(turns)]))


def _numbers(points: np.ndarray, lattice: np.ndarray) -> np.ndarray:
    """Return a number per point, the same for periodic copies."""
    tree = _on_torus(points, lattice)
    first = np.array([min(near) for near in tree.query_ball_point(tree.data, _SAME)])
    return np.unique(first, return_inverse=True)[1]


def _first_of_each(points: np.ndarray, lattice: np.ndarray) -> np.ndarray:
    """Return the places of the first of all periodic copies."""
    return np.unique(_numbers(points, lattice), return_index=True)[1]


def _insets(nodes: np.ndarray, along: np.ndarray, width: float) -> np.ndarray:
    """Return how far joints reach along bars: to the corner with the neighbour in angle, the nearer of both sides.

    Two lines at an angle p meet on their inner sides (w/2)/tan(p/2) from the crossing of their middles; where one runs
    straight on, nothing is joined on that side.
    """
    found = np.zeros(nodes.shape)
    angles = np.arctan2(along[:, 1], along[:, 0])
    out = np.column_stack([angles, angles + np.pi]) % (2 * np.pi)
    for node in np.unique(nodes):
        bars, ends = np.nonzero(nodes == node)
        order = np.argsort(out[bars, ends])
        around = out[bars, ends][order]
        gap = np.diff(np.append(around, around[0] + 2 * np.pi))
        reach = width / 2 / np.tan(np.minimum(gap, np.pi) / 2)
        both = np.minimum(reach, np.roll(reach, 1))
        found[bars[order], ends[order]] = np.maximum(both, 0.0)
    return found
