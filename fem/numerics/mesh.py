"""Triangle meshes of planar maps; the only room that talks to gmsh.

Every curve is cut into edges before gmsh sees it: curves that are one curve in the periodic plan get the same
cuts, so their nodes match by construction, and the middle nodes of second-order triangles lie on the true
curve. gmsh then fills the outlines with triangles and leaves the given edges alone.
"""

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import ModuleType

import numpy as np
from scipy.spatial import cKDTree
from skfem import MeshTri, MeshTri2

from fem.numerics.edges import SHARES, Path, SizeField, cut_curves, halve
from patterns.cells.planar import PeriodicPair, Planar
from patterns.errors import InputError, SolverError

_SESSION = threading.Lock()  # gmsh keeps one global model
_LIBRARIES = "libglu1-mesa libxrender1 libxcursor1 libxft2 libxinerama1 libxi6"


@dataclass(frozen=True)
class PlanMesh:
    """Triangles of a planar map.

    Attributes
    ----------
    mesh : MeshTri or MeshTri2
        mm; second-order triangles keep the curved outlines.
    tags : ndarray of int, shape (n_elements,)
        Tag of the region that each element belongs to.
    edges : ndarray of int, shape (3, n_edges)
        First vertex, last vertex and one-based curve number of every element edge that lies on a curve.
    traces : ndarray, shape (n_edges, 7, 2)
        Points of the true curve, mm, at the shares `fem.numerics.edges.SHARES` of each of those edges.
    """

    mesh: MeshTri
    tags: np.ndarray
    edges: np.ndarray
    traces: np.ndarray


def mesh_planar(
    planar: Planar,
    size: float,
    pairs: Sequence[PeriodicPair] = (),
    order: int = 2,
    *,
    growth: float = 0.4,
    fine_points: np.ndarray | None = None,
) -> PlanMesh:
    """Mesh a planar map with triangles; the same input gives the same mesh.

    Parameters
    ----------
    planar : Planar
        Regions and their shared curves, mm.
    size : float
        Largest edge in mm.
    pairs : sequence of PeriodicPair
        Curves whose nodes must match after a shift.
    order : {1, 2}
        Order of the geometry.
    growth : float
        Edges may grow by this many mm per mm away from ``fine_points`` and curves with a size of their own.
    fine_points : ndarray, shape (n, 3), optional
        x, y and wanted edge length, mm, at single points (sharp corners).

    Raises
    ------
    InputError
        If a region's loop is not closed or gmsh cannot be loaded.
    SolverError
        If no valid mesh can be made.

    Examples
    --------
    >>> from patterns.cells.planar import Curve, Region
    >>> corners = np.array([[0, 0], [2, 0], [2, 1], [0, 1.0]])
    >>> sides = [Curve("line", corners[[k, (k + 1) % 4]]) for k in range(4)]
    >>> bar = mesh_planar(Planar(tuple(sides), (Region((1, 2, 3, 4), tag=7),)), 0.5)
    >>> float(round(bar.mesh.p[0].max(), 12)), set(bar.tags.tolist())
    (2.0, {7})
    """
    if order not in (1, 2):
        raise InputError(f"mesh order {order}: must be 1 or 2")
    wanted = SizeField(planar, size, growth, fine_points)
    curves = [Path(curve) for curve in planar.curves]
    cuts = cut_curves(curves, pairs, wanted)
    for _ in range(4):
        points, triangles, tags, edges = _straight(planar, curves, cuts)
        traces = np.concatenate([_trace(path, cut) for path, cut in zip(curves, cuts, strict=True)])
        if order == 1:
            return PlanMesh(MeshTri(points, triangles), tags, edges, traces)
        curved = _second_order(points, triangles, edges, traces[:, len(SHARES) // 2])
        if (bad := _folded(curved)).size == 0:
            return PlanMesh(curved, tags, edges, traces)
        cuts = halve(cuts, pairs, _curves_of(bad, triangles, edges))
    raise SolverError(f"{len(bad)} curved triangles stay folded at size {size} mm; use a smaller size")


def _straight(
    planar: Planar, curves: list[Path], cuts: list[np.ndarray]
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Return points, straight triangles, their tags and the edges on curves, for curves cut as given."""
    nodes, chains = _chain_nodes(curves, cuts)
    points, triangles, tags = _fill(planar, nodes, chains)
    sides = [(chain[:-1], chain[1:], np.full(len(chain) - 1, k)) for k, chain in enumerate(chains, start=1)]
    return points, triangles, tags, np.concatenate(sides, axis=1)


def _chain_nodes(curves: list[Path], cuts: list[np.ndarray]) -> tuple[np.ndarray, list[np.ndarray]]:
    """Nodes (n, 2) of all curves and, for every curve, the row numbers of its nodes from start to end."""
    ends = np.concatenate([path.at(np.array([0.0, 1.0])) for path in curves])
    span = float(np.ptp(ends, axis=0).max())
    parent = np.arange(len(ends))
    for i, j in cKDTree(ends).query_pairs(1e-9 * span, output_type="ndarray"):
        parent[parent == parent[j]] = parent[i]
    kept, row = np.unique(parent, return_inverse=True)
    nodes, count, chains = [ends[kept]], len(kept), []
    for k, path in enumerate(curves):
        inner = path.at(cuts[k][1:-1])
        chains.append(np.concatenate([[row[2 * k]], np.arange(count, count + len(inner)), [row[2 * k + 1]]]))
        nodes.append(inner)
        count += len(inner)
    return np.concatenate(nodes), chains


def load_gmsh() -> ModuleType:
    """Import gmsh, or say in one line which system libraries it lacks."""
    try:
        import gmsh
    except (ImportError, OSError) as error:
        raise InputError(
            f"the mesh generator gmsh cannot be loaded ({error}); install it with `pip install gmsh` "
            f"and its system libraries with `apt-get install {_LIBRARIES}`"
        ) from error
    module: ModuleType = gmsh
    return module


def _fill(
    planar: Planar, nodes: np.ndarray, chains: list[np.ndarray]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Points (2, n) that begin with ``nodes``, triangles (3, m) and region tags (m,) from gmsh."""
    loops = [[_loop(signed, chains) for signed in (region.outer, *region.holes)] for region in planar.regions]
    gmsh = load_gmsh()
    with _SESSION:
        try:
            gmsh.initialize(interruptible=False)
            for name, value in _OPTIONS.items():
                gmsh.option.setNumber(name, value)
            return _fill_in_session(gmsh, planar, nodes, chains, loops)
        except SolverError:
            raise
        except Exception as error:  # gmsh raises plain Exception
            raise SolverError(f"no mesh could be made: {error}") from error
        finally:
            gmsh.finalize()


_OPTIONS = {
    "General.Terminal": 0,
    "General.NumThreads": 1,
    "Mesh.Algorithm": 6,  # frontal Delaunay: even triangles
    "Mesh.MeshSizeExtendFromBoundary": 1,
    "Mesh.MeshSizeFromPoints": 0,
    "Mesh.RandomSeed": 1,
}


def _fill_in_session(
    gmsh: ModuleType,
    planar: Planar,
    nodes: np.ndarray,
    chains: list[np.ndarray],
    loops: list[list[np.ndarray]],
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Body of `_fill` while gmsh is running."""
    geo = gmsh.model.geo
    for number, (x, y) in enumerate(nodes.tolist(), start=1):
        geo.addPoint(x, y, 0, 0, number)
    side: dict[tuple[int, int], int] = {}
    for chain in chains:
        for a, b in pairwise(chain.tolist()):
            side[a, b] = geo.addLine(a + 1, b + 1)
            side[b, a] = -side[a, b]
    surfaces = []
    for rings in loops:
        made = [geo.addCurveLoop([side[a, b] for a, b in pairwise(ring.tolist())]) for ring in rings]
        surfaces.append(geo.addPlaneSurface(made))
    geo.synchronize()
    for line in set(map(abs, side.values())):
        gmsh.model.mesh.setTransfiniteCurve(line, 2)
    gmsh.model.mesh.generate(2)
    node_tags, xyz, _ = gmsh.model.mesh.getNodes()
    points = xyz.reshape(-1, 3)[:, :2]
    row = np.zeros(int(node_tags.max()) + 1, dtype=np.int32)
    order = np.argsort(node_tags)  # geometry points come first, in their numbering
    row[node_tags[order].astype(int)] = np.arange(len(node_tags))
    triangles, tags = [], []
    for surface, region in zip(surfaces, planar.regions, strict=True):
        corner = gmsh.model.mesh.getElementsByType(2, surface)[1]
        if not len(corner):
            raise SolverError(f"region {region.tag} of the plan holds no triangle: do its outlines cross?")
        triangles.append(row[corner.astype(int)].reshape(-1, 3))
        tags.append(np.full(len(corner) // 3, region.tag))
    points = points[order]
    if not np.allclose(points[: len(nodes)], nodes, rtol=0, atol=1e-9 * np.ptp(nodes)):
        raise SolverError("the mesh generator moved nodes of the outline")
    return points.T.copy(), np.concatenate(triangles).T.copy(), np.concatenate(tags)


def _loop(signed: Sequence[int], chains: list[np.ndarray]) -> np.ndarray:
    """Node rows around a loop, the first one repeated at the end."""
    parts = [chains[abs(k) - 1] if k > 0 else chains[abs(k) - 1][::-1] for k in signed]
    for k, here, following in zip(signed, parts, parts[1:] + parts[:1], strict=True):
        if here[-1] != following[0]:
            raise InputError(f"the outline is open after curve {abs(k)}: its end meets no next curve")
    return np.concatenate([part[:-1] for part in parts] + [parts[0][:1]])


def _trace(path: Path, cut: np.ndarray) -> np.ndarray:
    """Points (n_edges, 7, 2) on a curve inside its edges."""
    shares = cut[:-1, None] + np.diff(cut)[:, None] * SHARES
    return path.at(shares.ravel()).reshape(*shares.shape, 2)


def _second_order(
    points: np.ndarray, triangles: np.ndarray, edges: np.ndarray, middles: np.ndarray
) -> MeshTri2:
    """Six-node triangles whose middle nodes lie on the curves."""
    n = points.shape[1]
    corner = triangles[[0, 1, 1, 2, 2, 0]].reshape(3, 2, -1)  # sides 01, 12, 20
    low, high = corner.min(axis=1), corner.max(axis=1)
    key, number = np.unique(low.astype(np.int64) * n + high, return_inverse=True)
    middle = (points[:, key // n] + points[:, key % n]) / 2
    on_curve = np.minimum(edges[0], edges[1]).astype(np.int64) * n + np.maximum(edges[0], edges[1])
    at = np.searchsorted(key, on_curve)
    known = (at < len(key)) & (key[np.minimum(at, len(key) - 1)] == on_curve)  # a curve may bound no region
    middle[:, at[known]] = middles[known].T
    return MeshTri2(np.hstack([points, middle]), np.vstack([triangles, n + number.reshape(3, -1)]))


def _folded(mesh: MeshTri2) -> np.ndarray:
    """Numbers of the elements whose Jacobian is not positive everywhere.

    The Jacobian of a six-node triangle is quadratic, so it is positive where its Bezier coefficients are.
    """
    corners = np.array([[0, 1, 0, 0.5, 0.5, 0], [0, 0, 1, 0, 0.5, 0.5]])
    det = mesh.mapping().detDF(corners)
    first, middle = det[:, :3], det[:, 3:]
    control = 2 * middle - (first + first[:, [1, 2, 0]]) / 2
    sign = np.sign(det[:, :1])
    return np.flatnonzero(((sign * first <= 0) | (sign * control <= 0)).any(axis=1))


def _curves_of(elements: np.ndarray, triangles: np.ndarray, edges: np.ndarray) -> set[int]:
    """Zero-based numbers of the curves that touch the given elements with an edge."""
    corner = np.zeros(max(int(triangles.max()), int(edges[:2].max())) + 1, dtype=bool)
    corner[triangles[:, elements]] = True
    return set((edges[2][corner[edges[0]] & corner[edges[1]]] - 1).tolist())
