"""Welds of stadium beads as cracked cells: mean stress and released energy over a crack from the groove inwards.

The round sides of two beads meet in a cusp of no opening angle, so a groove acts like a crack whose tip is the end of
the flat. Two cells in plane strain, unit modulus, the weld pulled by a mean stress of 1 on its contact:

- ``stacked``: beads in line, free sides, one weld of a tall stack cracked from both edges (other grooves stay);
- ``crossing``: a cut across a bead that lies on beads at a right angle, seen as one layer; its weld cracked from both
  edges, every second layer alike.

Displacements of second order on triangles graded into every crack tip; one mesh serves all crack lengths.
"""

import math
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import scipy.sparse as sp
from skfem import Basis, BilinearForm, ElementTriP2, ElementVector, MeshTri2
from skfem.helpers import ddot, sym_grad, trace

from fem.numerics.mesh import mesh_planar
from fem.numerics.solve import Factorised
from patterns.bead import Bead
from patterns.cells.planar import Curve, Planar, Region

WeldCell = Literal["stacked", "crossing"]
WELD_CELLS: tuple[WeldCell, ...] = ("stacked", "crossing")

# Crack lengths solved, per half contact width; the last leaves a twentieth of the contact.
_SHARES = np.concatenate([np.geomspace(0.005, 0.4, 14), np.linspace(0.46, 0.95, 8)])
_TIP = 0.005  # edge at a tip / distance to the nearer end of the contact
_ROOT = 2e-5  # edge at the root of the groove / half contact width
_GROWTH = 0.35
_CROSSING_PITCH = 2.0  # bead widths between the lines of a crossing pattern
_STACK = 2.0  # bead widths from the cracked weld to the end of the stack


@dataclass(frozen=True)
class CrackedWeld:
    """What a crack from the groove releases, for a mean stress of 1 on the whole contact.

    Attributes
    ----------
    lengths : ndarray, shape (n,)
        Crack length / half contact width, rising, below 1.
    mean_stress : ndarray, shape (n,)
        Tension averaged over that length before it cracks.
    release : ndarray, shape (n,)
        Energy released per crack area at constant force, x E / (stress^2 x bead width).
    """

    lengths: np.ndarray
    mean_stress: np.ndarray
    release: np.ndarray

    @property
    def root_release(self) -> float:
        """Release of the first increment, by a straight line through the shortest five."""
        return float(np.polyfit(self.lengths[:5], self.release[:5], 1)[1])

    def extended(self, height: float, nu: float = 0.35) -> "CrackedWeld":
        """Return the same with the lengths that no mesh reaches, by what is exact there.

        Near the root stress goes with length to the power -1/2 and the release rate is even. What is left between two
        long cracks is a small weld between two large bodies: K = force/sqrt(pi c), c half its width (Tada, Paris and
        Irwin, from memory), so that the energy grows with the logarithm of c without limit.
        """
        x, S, R = self.lengths, self.mean_stress, self.release
        near = x[0] * np.geomspace(1e-6, 0.5, 12)
        root = self.root_release
        left = (1 - x[-1]) * np.geomspace(0.5, 1e-300, 60)
        half = Bead(1.0, height).flat_width / 2
        grown = R[-1] * x[-1] + 4 * half * (1 - nu**2) / np.pi * np.log((1 - x[-1]) / left)
        middle = (1 - x[-1] * S[-1]) / (1 - x[-1])  # mean stress on what is left
        far = np.maximum(1 - left, np.nextafter(x[-1], 1.0) + 1e-12 * np.arange(len(left)))
        return CrackedWeld(
            np.concatenate([near, x, far]),
            np.concatenate([S[0] * np.sqrt(x[0] / near), S, (1 - middle * left) / far]),
            np.concatenate([root + (R[0] - root) * near / x[0], R, grown / far]),
        )


def cracked_weld(cell: WeldCell, height: float, nu: float = 0.35) -> CrackedWeld:
    """Solve a weld for all crack lengths.

    Parameters
    ----------
    cell : {"stacked", "crossing"}
        Which cell.
    height : float
        Layer height / bead width.
    nu : float
        Poisson's ratio.
    """
    bead = Bead(1.0, height)
    model = _stack(bead, nu) if cell == "stacked" else _Crossing(bead, nu)
    return _cracked(model, bead.flat_width / 2)


def cracked_bar(outline: list[Curve], half: float, nu: float, fine: np.ndarray | None = None) -> CrackedWeld:
    """Solve a doubly symmetric bar with a notch on either side, pulled at its ends.

    Parameters
    ----------
    outline : list of Curve
        Of a quarter, mm: from (half, 0) along notch and edge to the flat end at the top, and back to (0, top).
    half : float
        Half the width between the notches, mm.
    nu : float
        Poisson's ratio.
    fine : ndarray, shape (n, 3), optional
        x, y and edge length at more places that need small elements, mm.

    Returns
    -------
    CrackedWeld
        With mm in the place of bead widths.
    """
    return _cracked(_Mirrored(outline, half, nu, fine), half)


def _cracked(model: "_Mirrored | _Crossing", half: float) -> CrackedWeld:
    whole = model.pull(half)
    cracked = np.array([model.pull(half * (1 - share)).compliance for share in _SHARES])
    mean = np.array([whole.force_beyond(half * (1 - share)) for share in _SHARES]) / whole.force / _SHARES
    # force per depth of half a bead at a mean stress of 1 is ``half``; both sides of a crack share its energy
    release = model.sides * half**2 * (cracked - whole.compliance) / 2 / (_SHARES * half)
    return CrackedWeld(_SHARES.copy(), mean, release)


@dataclass(frozen=True)
class _Pulled:
    """Force on half a weld, displacement per force, and how the force spreads over the weld's nodes."""

    force: float
    compliance: float
    places: np.ndarray
    forces: np.ndarray

    def force_beyond(self, place: float) -> float:
        """Return the force between a node and the groove; the node's own force goes by the lengths on both sides."""
        at = int(np.argmin(np.abs(self.places - place)))
        right, left = self.places[at + 1] - self.places[at], self.places[at] - self.places[at - 1]
        return float(self.forces[at + 1 :].sum() + self.forces[at] * right / (left + right))


class _Body:
    """A meshed outline in plane strain: stiffness, places and kinds of its unknowns."""

    def __init__(self, outline: list[Curve], tips: np.ndarray, size: float, nu: float) -> None:
        loop = tuple(range(1, len(outline) + 1))
        made = mesh_planar(Planar(tuple(outline), (Region(loop),)), size, growth=_GROWTH, fine_points=tips)
        assert isinstance(made.mesh, MeshTri2)
        basis = Basis(made.mesh, ElementVector(ElementTriP2()), intorder=4)
        lam, mu = nu / (1 + nu) / (1 - 2 * nu), 1 / (2 * (1 + nu))

        def stiffness(u: Any, v: Any, w: Any) -> Any:
            e, d = sym_grad(u), sym_grad(v)
            return lam * trace(e) * trace(d) + 2 * mu * ddot(e, d)

        self.K = BilinearForm(stiffness).assemble(basis)
        self.x, self.y = basis.doflocs
        self.sideways = np.zeros(basis.N, dtype=bool)
        self.sideways[np.concatenate([basis.nodal_dofs[0], basis.facet_dofs[0]])] = True

    def on(self, x: float | None = None, y: float | None = None, sideways: bool = False) -> np.ndarray:
        """Return the unknowns on a line, of the motion sideways or upwards."""
        here = self.sideways == sideways
        if x is not None:
            here &= np.abs(self.x - x) < 1e-9
        if y is not None:
            here &= np.abs(self.y - y) < 1e-9
        return np.flatnonzero(here)


class _Mirrored:
    """A quarter of a bar whose weld lies on y = 0, between x = 0 and ``half``; its end is lifted evenly."""

    sides = 2.0

    def __init__(self, outline: list[Curve], half: float, nu: float, fine: np.ndarray | None) -> None:
        self.top = float(outline[-1].points[-1, 1])
        closed = [_line((0, 0), (half, 0)), *outline, _line((0, self.top), (0, 0))]
        tips = np.array(_tips(half))
        size = max(half, self.top) / 12
        self.body = _Body(closed, tips if fine is None else np.vstack([tips, fine]), size, nu)

    def pull(self, contact: float) -> _Pulled:
        """Lift the end by 1, the weld ``contact`` wide from the middle."""
        body = self.body
        weld = body.on(y=0.0)
        held = weld[body.x[weld] < contact + 1e-9]
        u = np.zeros(len(body.x))
        u[top := body.on(y=self.top)] = 1.0
        fixed = np.concatenate([body.on(x=0.0, sideways=True), held, top])
        u = _solve(body.K, u, fixed, np.arange(len(u)))
        return _pulled(body.K @ u, body, held)


def _stack(bead: Bead, nu: float) -> _Mirrored:
    """Return a quarter of a stack, welds above the cracked one at every bead height."""
    a, r, h = bead.flat_width / 2, bead.height / 2, bead.height
    beads = max(2, math.ceil(_STACK / h))
    top = (beads + 0.5) * h
    outline = []
    for k in range(beads + 1):
        centre, middle = (a, k * h + r), (a + r, k * h + r)
        outline.append(Curve("arc", np.array([(a, k * h), centre, middle]), h / 3))
        if k < beads:
            outline.append(Curve("arc", np.array([middle, centre, (a, (k + 1) * h)]), h / 3))
    outline.append(_line((a + r, top), (0, top)))
    return _Mirrored(outline, a, nu, np.array([(a, k * h, h / 60) for k in range(1, beads + 1)]))


class _Crossing:
    """A quarter of a bead on its weld at y = 0, over half a pitch of a layer that crosses it."""

    sides = 1.0

    def __init__(self, bead: Bead, nu: float) -> None:
        a, r = bead.flat_width / 2, bead.height / 2
        self.r, self.end = r, _CROSSING_PITCH / 2
        corner, end, low = (a, 0.0), (self.end, 0.0), (self.end, -r)
        upper = [
            _line((0, 0), corner),
            Curve("arc", np.array([corner, (a, r), (a + r, r)])),
            _line((a + r, r), (0, r)),
            _line((0, r), (0, 0)),
        ]
        lower = [_line((0, -r), low), _line(low, end), _line(end, corner), _line(corner, (0, 0))]
        lower.append(_line((0, 0), (0, -r)))
        tips = np.array(_tips(a))
        self.bodies = [_Body(outline, tips, bead.height / 4, nu) for outline in (upper, lower)]

    def pull(self, contact: float) -> _Pulled:
        """Lift the bead's middle by 1 over that of the layer, welded over half a width of ``contact``."""
        up, low = self.bodies
        n = len(up.x)
        welded = up.on(y=0.0)
        welded = welded[up.x[welded] < contact + 1e-9]
        below = low.on(y=0.0)
        below = below[low.x[below] < contact + 1e-9]
        same = np.arange(n + len(low.x))
        for sideways in (False, True):
            one, other = up.on(y=0.0, sideways=sideways), low.on(y=0.0, sideways=sideways)
            one, other = one[up.x[one] < contact + 1e-9], other[low.x[other] < contact + 1e-9]
            same[n + other[np.argsort(low.x[other])]] = one[np.argsort(up.x[one])]
        side = low.on(x=self.end, sideways=True)
        same[n + side] = n + side[0]
        u = np.zeros(len(same))
        u[top := up.on(y=self.r)] = 1.0
        fixed = np.concatenate(
            [top, up.on(x=0.0, sideways=True), n + low.on(x=0.0, sideways=True), n + low.on(y=-self.r)]
        )
        u = _solve(sp.block_diag([up.K, low.K]).tocsr(), u, fixed, same)
        return _pulled(up.K @ u[:n], up, welded)


def _line(start: tuple[float, float], end: tuple[float, float]) -> Curve:
    return Curve("line", np.array([start, end], dtype=float))


def _tips(half: float) -> list[tuple[float, float, float]]:
    """Return places (x, y) and edge lengths of all crack tips on a weld of half width ``half``, the root first."""
    near = np.minimum(_SHARES, 1 - _SHARES)
    return [(half, 0.0, _ROOT * half)] + [
        (half * (1 - share), 0.0, half * _TIP * gap) for share, gap in zip(_SHARES, near, strict=True)
    ]


def _solve(K: sp.csr_matrix, u: np.ndarray, fixed: np.ndarray, same: np.ndarray) -> np.ndarray:
    """Return displacements with those of ``fixed`` as given and each unknown equal to that named in ``same``."""
    kept, column = np.unique(same, return_inverse=True)
    P = sp.csr_matrix((np.ones(len(same)), (np.arange(len(same)), column)))
    known = np.unique(column[fixed])
    free = np.setdiff1d(np.arange(len(kept)), known)
    reduced, values = (P.T @ K @ P).tocsr(), u[kept]
    load = -(reduced[free][:, known] @ values[known])
    values[free] = Factorised(reduced[free][:, free]).solve(load)
    found: np.ndarray = P @ values
    return found


def _pulled(reactions: np.ndarray, body: _Body, welded: np.ndarray) -> _Pulled:
    welded = welded[np.argsort(body.x[welded])]
    forces = np.abs(reactions[welded].sum()) / reactions[welded].sum() * reactions[welded]
    total = float(forces.sum())
    return _Pulled(total, 1 / total, body.x[welded], forces)
