"""Stiffness of an anisotropic beam section, 6 x 6, with the stress fields of its resultants.

The solutions are those of `fem.section.warping`; the compliance is the energy matrix of their stress fields, and its
inverse the section's stiffness.
"""

from dataclasses import replace

import numpy as np
from skfem import MeshTri

from fem.section.basis import WarpingBasis
from fem.section.parts import parts_of, shares
from fem.section.result import Section, moved
from fem.section.stress import UnitFields
from fem.section.warping import FreeWarping, unit_fields
from patterns.errors import InputError


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
        If a stiffness is not symmetric or would release energy, or pieces of the section touch in a point only.
    SolverError
        If a part can move without strain.

    Examples
    --------
    >>> from fem.material.stiffness import isotropic
    >>> mesh = MeshTri.init_tensor(np.linspace(-2, 2, 5), np.linspace(-1, 1, 3))
    >>> bar = solve_section(mesh, isotropic(3.0, 0.3))
    >>> round(bar.EA, 9), round(bar.EI_y, 9), round(bar.EI_z, 9)
    (24.0, 8.0, 32.0)
    """
    C = _checked(mesh, stiffness)
    origin = (mesh.p.max(axis=1) + mesh.p.min(axis=1)) / 2
    parts = parts_of(mesh, C)
    if len(parts) == 1:
        found = _solve_part(mesh, C, origin)
    else:
        found = _shared(mesh, C, parts, [_solve_part(mesh, C, origin, elements) for elements in parts])
    H = moved(origin)
    return replace(found, compliance=H.T @ found.compliance @ H)


def _solve_part(
    mesh: MeshTri, C: np.ndarray, origin: np.ndarray, elements: np.ndarray | None = None
) -> Section:
    """Return the section that the given elements alone would be, about ``origin``."""
    basis = WarpingBasis(mesh, origin, elements=elements)
    own = C if elements is None or len(C) == 1 else C[elements]
    free = FreeWarping(basis, own)
    measures, warping, slope = unit_fields(basis, own, free)
    fields = UnitFields(mesh, C, origin, measures[:, None], warping, slope)
    strains = [basis.strain(*unit) for unit in zip(measures, warping, slope, strict=True)]
    F = np.empty((6, 6))
    for i, strain in enumerate(strains):
        sig = (strain @ own) * basis.weights[..., None]
        for j in range(i, 6):
            F[i, j] = F[j, i] = np.vdot(sig, strains[j])
    return Section(F, fields, free.dropped)


def _shared(mesh: MeshTri, C: np.ndarray, parts: list[np.ndarray], solved: list[Section]) -> Section:
    """Return the section of pieces that each take their share of every resultant, about their common origin."""
    F = np.zeros((6, 6))
    measures = np.zeros((6, mesh.nelements, 4))
    warping, slope = (np.zeros_like(solved[0].fields.warping) for _ in range(2))
    for elements, part, R in zip(parts, solved, shares(solved), strict=True):
        F += R.T @ part.compliance @ R
        measures[:, elements] = np.einsum("ji,jek->iek", R, part.fields.measures)
        warping += np.einsum("ji,jnk->ink", R, part.fields.warping)
        slope += np.einsum("ji,jnk->ink", R, part.fields.slope)
    freedoms = warping[0].size
    held = sum(freedoms - part.dropped for part in solved)
    fields = UnitFields(mesh, C, solved[0].fields.origin, measures, warping, slope)
    return Section(F, fields, freedoms - held, len(parts))


def _checked(mesh: MeshTri, stiffness: np.ndarray) -> np.ndarray:
    """Stiffness as (n_elements or 1, 6, 6), symmetric, free of round-off couplings."""
    C: np.ndarray = np.array(stiffness, dtype=float)
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
