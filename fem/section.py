"""Stiffness of an anisotropic beam section: the general Saint-Venant problem on a mesh of the section.

A long beam loaded at its ends has six strain states beside its rigid motions. Four are constant along x
(tension, torsion, two bendings): the measures q = [e0, twist, ky, kz] plus a warping w of three components with

    E w = -R q,    E = int B^T C B,   R = int B^T C L,

where B takes in-plane gradients and L q is the strain of the measures. Two grow with x (shear forces with the
bending they cause): q = q0 + x q1, and the warping w1 of q1 acts as a slope,

    E w = int N^T sigma_x(q1) - int B^T C N w1,

N being the warping's own part of the strain rate, sigma_x the stress on the cut. All six share one
factorisation of E. The compliance is the energy matrix of the six stress fields of unit resultants; its inverse
is the 6 x 6.

References
----------
V. Giavotto, M. Borri, P. Mantegazza et al., Anisotropic beam theory and applications, Computers and Structures
16 (1983) 403. M. Borri, T. Merlini, A large displacement formulation for anisotropic beam analysis, Meccanica 21
(1986) 30. M. Morandini, M. Chierichetti, P. Mantegazza, Characteristic behavior of prismatic anisotropic beam
via generalized eigenvectors, Int. J. Solids and Structures 47 (2010) 1327.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components
from skfem import MeshTri

from fem.dissection import nested_dissection
from fem.section_basis import WarpingBasis
from fem.section_stress import Places, UnitFields
from fem.solve import Factorised
from patterns.errors import InputError, SolverError

RESULTANTS = ("N", "Vy", "Vz", "T", "My", "Mz")
_VOID = 1e-9  # stiffness below this share of the largest counts as none


@dataclass(frozen=True)
class Section:
    """Stiffness of a beam section and the stress fields of its six resultants.

    Resultants are N, Vy, Vz, T, My, Mz on a cut that faces +x, their strains e0, gamma_y, gamma_z, twist, ky, kz
    with eps_x = e0 + z ky - y kz. Forces act, and strains are measured, at the origin of the mesh's coordinates.
    Along the beam My' = Vz and Mz' = -Vy.

    Attributes
    ----------
    compliance : ndarray, shape (6, 6)
        Strains per resultant, so that half of ``r @ compliance @ r`` is the energy per length; N, mm, rad.
    fields : UnitFields
        Warping and stress of every unit resultant.
    dropped : int
        Warping freedoms left out because no material holds them.
    """

    compliance: np.ndarray
    fields: UnitFields = field(repr=False)
    dropped: int

    @cached_property
    def stiffness(self) -> np.ndarray:
        """Stiffness (6, 6): resultants per strain at the origin, couplings included."""
        K = np.linalg.inv(self.compliance)
        return (K + K.T) / 2

    @cached_property
    def centroid(self) -> tuple[float, float]:
        """Point (y, z), mm, where a tension force does not bend; weighted by E where nu is uniform."""
        z, y = np.linalg.solve(self.compliance[4:, 4:], -self.compliance[4:, 0])
        return float(-y), float(z)

    @cached_property
    def shear_centre(self) -> tuple[float, float]:
        """Point (y, z), mm, through which a shear force does not twist, where its moment is zero."""
        twist = self.compliance[3] / self.compliance[3, 3]
        return float(-twist[2]), float(twist[1])

    @property
    def EA(self) -> float:
        """Axial stiffness, N: tension at the centroid over its strain, no other resultant acting."""
        return float(1 / self._at_centroid[0, 0])

    @property
    def GJ(self) -> float:
        """Torsional stiffness, N mm2: torque over twist, no other resultant acting."""
        return float(1 / self.compliance[3, 3])

    @cached_property
    def EI(self) -> np.ndarray:
        """Bending stiffness (2, 2), N mm2: [My, Mz] over [ky, kz], no other resultant acting.

        It equals [[EI_y, -EI_yz], [-EI_yz, EI_z]] about the centroid.
        """
        return np.linalg.inv(self.compliance[4:, 4:])

    @property
    def EI_y(self) -> float:
        """Integral of E z^2 about the centroid, N mm2: bending in the plane x-z when kz is held at zero."""
        return float(self.EI[0, 0])

    @property
    def EI_z(self) -> float:
        """Integral of E y^2 about the centroid, N mm2: bending in the plane x-y when ky is held at zero."""
        return float(self.EI[1, 1])

    @property
    def EI_yz(self) -> float:
        """Integral of E y z about the centroid, N mm2."""
        return float(-self.EI[0, 1])

    @property
    def principal(self) -> tuple[float, float, float]:
        """Largest and smallest EI, N mm2, and the angle, degrees in (-90, 90], from y to the first one's axis."""
        small, large = np.linalg.eigvalsh(self.EI)
        angle = 0.5 * np.arctan2(-2 * self.EI_yz, self.EI_y - self.EI_z)
        return float(large), float(small), float(np.degrees(angle))

    @cached_property
    def GA(self) -> np.ndarray:
        """Shear stiffness (2, 2), N: [Vy, Vz] through the shear centre over [gamma_y, gamma_z]; moments zero."""
        return np.linalg.inv(self._shear_compliance)

    @property
    def GA_y(self) -> float:
        """Shear stiffness for a force along y, N: V^2 over twice the energy per length of its shear field.

        The force acts through the shear centre where its moment is zero; the sideways strain is free.
        """
        return float(1 / self._shear_compliance[0, 0])

    @property
    def GA_z(self) -> float:
        """Shear stiffness for a force along z, N; see `GA_y`."""
        return float(1 / self._shear_compliance[1, 1])

    def bending_stiffness(self, load_angle_deg: float = 0.0) -> float:
        """EI, N mm2, of the deflection along a transverse load: moment over curvature in the load's plane.

        The load along z is turned about x by the angle, towards -y; the beam is free to bend sideways and to twist.
        """
        c, s = _cos_sin(load_angle_deg)
        moment = np.array([c, s])
        return float(1 / (moment @ self.compliance[4:, 4:] @ moment))

    def shear_stiffness(self, load_angle_deg: float = 0.0) -> float:
        """GA, N, for a force along z turned about x by the angle; through the shear centre, by energy."""
        c, s = _cos_sin(load_angle_deg)
        force = np.array([-s, c])
        return float(1 / (force @ self._shear_compliance @ force))

    def bending_resultants(
        self, moment: float, shear: float = 0.0, load_angle_deg: float = 0.0
    ) -> np.ndarray:
        """Return the six resultants of a transverse load through the shear centre.

        Parameters
        ----------
        moment : float
            Bending moment in the load's plane, N mm; positive stretches the side that the load points to.
        shear : float
            Shear force along the load, N; ``d moment / dx`` for equilibrium.
        load_angle_deg : float
            Angle that turns the load's direction z about x.
        """
        c, s = _cos_sin(load_angle_deg)
        Vy, Vz = -s * shear, c * shear
        y, z = self.shear_centre
        return np.array([0.0, Vy, Vz, y * Vz - z * Vy, c * moment, s * moment])

    def stresses(self, resultants: np.ndarray, at: Places = "points") -> np.ndarray:
        """Return the stress under given resultants.

        Parameters
        ----------
        resultants : array_like, shape (6,)
            N, Vy, Vz, T, My, Mz about the origin, N and N mm.
        at : {"points", "nodes"}
            Three points inside every element, or its corners followed by the middles of its sides 01, 12, 20.

        Returns
        -------
        ndarray, shape (n_elements, n_points, 6)
            xx, yy, zz, yz, xz, xy in MPa.
        """
        return self.fields.stresses(moved(self.fields.origin) @ np.asarray(resultants, dtype=float), at)

    def unit_stresses(self, at: Places = "points") -> np.ndarray:
        """Return the stresses of a unit of each resultant, (6, n_elements, n_points, 6); see `stresses`."""
        return np.stack([self.stresses(resultant, at) for resultant in np.eye(6)])

    def points(self, at: Places = "points") -> np.ndarray:
        """Return where `stresses` are given: y, z in mm, shape (n_elements, n_points, 2)."""
        return self.fields.points(at)

    def element_energy(self, resultants: np.ndarray) -> np.ndarray:
        """Return the strain energy per length of every element, shape (n_elements,), N mm per mm."""
        return self.fields.element_energy(moved(self.fields.origin) @ np.asarray(resultants, dtype=float))

    @cached_property
    def _at_centroid(self) -> np.ndarray:
        """Compliance for forces at the centroid."""
        H = moved(-np.array(self.centroid))
        return H.T @ self.compliance @ H

    @cached_property
    def _shear_compliance(self) -> np.ndarray:
        """Compliance (2, 2) of Vy, Vz through the shear centre."""
        H = moved(-np.array(self.shear_centre))
        return (H.T @ self.compliance @ H)[1:3, 1:3]


def moved(shift: np.ndarray) -> np.ndarray:
    """Return H (6, 6): resultants about the point ``shift`` (y, z) are H times those about the origin."""
    y, z = shift
    H = np.eye(6)
    H[3, 1], H[3, 2], H[4, 0], H[5, 0] = z, -y, -z, y
    return H


def _cos_sin(angle_deg: float) -> tuple[float, float]:
    angle = np.radians(angle_deg)
    return float(np.cos(angle)), float(np.sin(angle))


def solve_section(mesh: MeshTri, stiffness: np.ndarray) -> Section:
    """Solve the Saint-Venant problem of a section.

    Parameters
    ----------
    mesh : MeshTri or MeshTri2
        Section plane: first coordinate y, second z, mm. Straight or curved triangles.
    stiffness : ndarray, shape (6, 6) or (n_elements, 6, 6)
        Material stiffness in beam axes, Voigt order xx, yy, zz, yz, xz, xy with engineering shear, MPa. It may
        be singular, as that of a core of parallel lines; elements without any stiffness are void.

    Returns
    -------
    Section
        Tension, torsion and bending are upper bounds for the meshed outline; shear may come from either side.

    Raises
    ------
    InputError
        If a stiffness is not symmetric or would release energy, or the section falls into separate parts.
    SolverError
        If a part can move without strain.

    Examples
    --------
    >>> from fem.material import isotropic
    >>> mesh = MeshTri.init_tensor(np.linspace(-2, 2, 5), np.linspace(-1, 1, 3))
    >>> bar = solve_section(mesh, isotropic(3.0, 0.3))
    >>> round(bar.EA, 9), round(bar.EI_y, 9), round(bar.EI_z, 9)
    (24.0, 8.0, 32.0)
    """
    C = _checked(mesh, stiffness)
    _refuse_parts(mesh, C)
    origin = _middle(mesh)
    basis = WarpingBasis(mesh, origin)
    free = _FreeWarping(basis, C)
    fields = UnitFields(mesh, C, origin, *_unit_fields(basis, C, free))
    strains = [fields.strains(resultant, basis) for resultant in np.eye(6)]
    F = np.empty((6, 6))
    for i, strain in enumerate(strains):
        sig = (strain @ C) * basis.weights[..., None]
        for j in range(i, 6):
            F[i, j] = F[j, i] = np.vdot(sig, strains[j])
    H = moved(origin)
    return Section(H.T @ F @ H, fields, free.dropped)


def _unit_fields(
    basis: WarpingBasis, C: np.ndarray, free: "_FreeWarping"
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Measures (6, 4), warping and slope (6, n_nodes, 3) of the unit resultants."""
    classical = [0, 3, 4, 5]  # N, T, My, Mz
    sig = [basis.strain(q) @ C for q in np.eye(4)]
    W = free.solve(np.stack([-basis.forces_across(s) for s in sig]))
    sig = [basis.strain(q, w) @ C for q, w in zip(np.eye(4), W, strict=True)]
    A = np.stack([basis.resultants(s)[classical] for s in sig], axis=1)
    unit = np.linalg.inv(A)  # column: measures of a unit N, T, My, Mz
    rate = np.stack([-unit[:, 3], unit[:, 2]])  # of q along x under Vy (Mz' = -1) and Vz (My' = 1)
    slope = np.tensordot(rate, W, 1)
    forces = []
    for q, dw in zip(rate, slope, strict=True):
        growing = basis.strain(q, np.tensordot(q, W, 1)) @ C
        forces.append(basis.forces_along(growing) - basis.forces_across(basis.strain(np.zeros(4), dw=dw) @ C))
    flexure = free.solve(np.stack(forces))
    measures, warping, slopes = np.zeros((6, 4)), np.zeros((6, *W.shape[1:])), np.zeros((6, *W.shape[1:]))
    measures[classical] = unit.T
    warping[classical] = np.tensordot(unit.T, W, 1)
    for row, w, dw in zip((1, 2), flexure, slope, strict=True):
        spurious = basis.resultants(basis.strain(np.zeros(4), w, dw) @ C)[classical]
        measures[row] = -unit @ spurious
        warping[row] = w + np.tensordot(measures[row], W, 1)
        slopes[row] = dw
    return measures, warping, slopes


class _FreeWarping:
    """The warping stiffness, factorised without rigid motions and without freedoms that nothing holds."""

    def __init__(self, basis: WarpingBasis, C: np.ndarray) -> None:
        n = basis.n_nodes
        K = basis.stiffness(C)
        largest = np.abs(C).max()
        held, node, whole = _held_directions(K, n, _VOID * largest)
        self._n_nodes, self._held = n, held
        self.dropped = 3 * n - held.shape[1]
        # loads of the warping do no work on rigid motions, so springs that just hold these carry no force
        springs = np.zeros(3 * n)
        springs[_supports(basis.node_points, whole)] = largest
        K = (K + sp.diags_array(springs)).tocsr()
        if self.dropped:
            K = (held.T @ K @ held).tocsr()
        rank = np.empty(n, dtype=np.int64)
        rank[nested_dissection(basis.nodes, basis.points.mean(axis=1), n)] = np.arange(n)
        order = np.argsort(rank[node], kind="stable")
        _, group = connected_components(K, directed=False)
        self._groups = [order[group[order] == g] for g in range(group.max() + 1)]
        self._factors = [_definite(K[part][:, part]) for part in self._groups]

    def solve(self, forces: np.ndarray) -> np.ndarray:
        """Return the warping (n_loads, n_nodes, 3) under nodal forces of the same shape."""
        F = self._held.T @ forces.transpose(2, 1, 0).reshape(3 * self._n_nodes, -1)
        U = np.empty_like(F)
        for part, factor in zip(self._groups, self._factors, strict=True):
            U[part] = factor.solve(F[part])
        return (self._held @ U).reshape(3, self._n_nodes, -1).transpose(2, 1, 0)


def _held_directions(K: sp.csr_matrix, n: int, least: float) -> tuple[sp.csr_matrix, np.ndarray, np.ndarray]:
    """Columns (3 n, m) of the nodal directions with stiffness, their nodes (m,), and which nodes have all three.

    K is positive semi-definite: a direction without stiffness in its node's own 3 x 3 block has none at all.
    """
    own = np.empty((n, 3, 3))
    for a in range(3):
        for b in range(3):
            own[:, a, b] = K.diagonal((b - a) * n)[min(a, b) * n :][:n]
    scale = np.trace(own, axis1=1, axis2=2)
    weak = np.flatnonzero((scale <= least) | (np.linalg.det(own) <= 1e-6 * scale**3))
    strength, direction = np.linalg.eigh(own[weak])
    kept = np.asarray(strength > least)
    full = np.asarray(kept.all(axis=1))
    whole = np.ones(n, dtype=bool)
    whole[weak] = full
    plain = (np.arange(3)[:, None] * n + np.flatnonzero(whole)).ravel()
    node, mode = np.nonzero(kept & ~full[:, None])
    row = np.arange(3)[:, None] * n + weak[node]
    value = direction[node, :, mode].T
    column = len(plain) + np.broadcast_to(np.arange(len(node)), row.shape)
    entries = np.concatenate([np.ones(len(plain)), value.ravel()])
    rows = np.concatenate([plain, row.ravel()])
    columns = np.concatenate([np.arange(len(plain)), column.ravel()])
    held = sp.csr_matrix((entries, (rows, columns)), shape=(3 * n, len(plain) + len(node)))
    held.data[np.abs(held.data) < 1e-12] = 0
    held.eliminate_zeros()
    return held, np.concatenate([plain % n, weak[node]]), whole


def _supports(points: np.ndarray, whole: np.ndarray) -> np.ndarray:
    """Four unknowns that just hold the rigid motions of the slice: three at one node, one at the farthest."""
    nodes, n = np.flatnonzero(whole), len(points)
    if len(nodes) < 2:
        raise SolverError("no material holds the section in all directions: a part can move without strain")
    here = nodes[0]
    arm = points - points[here]
    there = nodes[np.argmax((arm[nodes] ** 2).sum(axis=1))]
    sideways = 2 if abs(arm[there, 0]) > abs(arm[there, 1]) else 1
    return np.array([here, n + here, 2 * n + here, sideways * n + there])


def _definite(K: sp.csr_matrix) -> Factorised:
    """Factorise, and refuse a matrix that lets some motion pass without energy."""
    factor = Factorised(K, ordered=True)
    load = np.random.default_rng(1).standard_normal(K.shape[0])
    motion = factor.solve(load)
    if motion @ load <= 1e-14 * K.diagonal().max() * (motion @ motion):
        raise SolverError(
            "a part of the section can move without strain: its material leaves a shear or a direction free; "
            "give it some stiffness or enclose it by a wall"
        )
    return factor


def _checked(mesh: MeshTri, stiffness: np.ndarray) -> np.ndarray:
    """Stiffness as (n_elements or 1, 6, 6), symmetric, free of round-off couplings."""
    C = np.array(stiffness, dtype=float)
    if C.shape == (6, 6):
        C = C[None]
    elif C.shape != (mesh.nelements, 6, 6):
        raise InputError(f"section stiffness of shape {C.shape}: must be (6, 6) or ({mesh.nelements}, 6, 6)")
    largest = np.abs(C).max()
    if not (np.isfinite(largest) and largest > 0):
        raise InputError(f"section stiffness: largest entry {largest} MPa, must be finite and positive")
    skew = np.abs(C - np.swapaxes(C, 1, 2)).max(axis=(1, 2))
    if skew.max() > 1e-8 * largest:
        raise InputError(f"section stiffness of element {skew.argmax()} is not symmetric")
    C = (C + np.swapaxes(C, 1, 2)) / 2
    try:
        np.linalg.cholesky(C + 1e-9 * largest * np.eye(6))
    except np.linalg.LinAlgError:
        lowest = np.linalg.eigvalsh(C)[:, 0]
        raise InputError(
            f"section stiffness of element {lowest.argmin()} would release energy: "
            f"lowest eigenvalue {lowest.min():.3g} MPa, must not be negative"
        ) from None
    C[np.abs(C) < 1e-12 * largest] = 0  # uncoupled blocks are factorised apart
    return C


def _refuse_parts(mesh: MeshTri, C: np.ndarray) -> None:
    """Refuse a section whose material does not hang together through sides of elements."""
    solid = np.broadcast_to(np.abs(C).max(axis=(1, 2)) > _VOID * np.abs(C).max(), mesh.nelements)
    left, right = mesh.f2t[:, mesh.f2t[1] >= 0]
    joined = solid[left] & solid[right]
    graph = sp.coo_matrix(
        (np.ones(joined.sum()), (left[joined], right[joined])), shape=(mesh.nelements, mesh.nelements)
    )
    _, group = connected_components(graph, directed=False)
    parts, label = np.unique(group[solid], return_inverse=True)
    if len(parts) == 1:
        return
    area = np.abs(mesh.mapping().detDF(np.full((2, 1), 1 / 3)))[solid, 0] / 2
    middle = mesh.p[:, mesh.t[:3, solid]].mean(axis=1) * area
    size = np.bincount(label, area)
    y, z = (np.round(np.bincount(label, part) / size, 6) + 0.0 for part in middle)  # no -0
    largest_first = np.argsort(-size)[:4]
    places = ", ".join(f"{size[k]:.3g} mm2 at ({y[k]:.4g}, {z[k]:.4g})" for k in largest_first)
    raise InputError(
        f"the section falls into {len(parts)} parts that no side of an element joins ({places}"
        f"{', ...' if len(parts) > 4 else ''}); join them, or solve each alone"
    )


def _middle(mesh: MeshTri) -> np.ndarray:
    return (mesh.p.max(axis=1) + mesh.p.min(axis=1)) / 2
