"""Elastic stiffness as 6 x 6 matrices: MPa, Voigt order 11, 22, 33, 23, 13, 12, engineering shear."""

from dataclasses import asdict, dataclass

import numpy as np

from patterns.errors import InputError

_PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))


@dataclass(frozen=True)
class Engineering:
    """Engineering constants, MPa; None where the structure has no path for that load.

    Poisson's ratio ``nu_ij = -S_ij / S_ii`` is the contraction along j under tension along i.
    """

    E1: float | None
    E2: float | None
    E3: float | None
    G23: float | None
    G13: float | None
    G12: float | None
    nu12: float | None
    nu13: float | None
    nu23: float | None

    def as_dict(self) -> dict[str, float | None]:
        """Return the constants by name."""
        return asdict(self)


def isotropic(E: float, nu: float) -> np.ndarray:
    """Return the stiffness (6, 6) of an isotropic material.

    Parameters
    ----------
    E : float
        Young's modulus, MPa.
    nu : float
        Poisson's ratio.

    Raises
    ------
    InputError
        If E <= 0 or nu is not between -1 and 0.5, where the strain energy would not be positive.

    Examples
    --------
    >>> float(round(isotropic(2.6, 0.3)[3, 3], 12))
    1.0
    """
    if not E > 0:
        raise InputError(f"Young's modulus {E} MPa: must be positive")
    if not -1 < nu < 0.5:
        raise InputError(f"Poisson's ratio {nu}: must lie between -1 and 0.5 (both excluded)")
    G = E / (2 * (1 + nu))
    return transversely_isotropic(E, E, nu, nu, G)


def transversely_isotropic(
    E_along: float, E_across: float, nu_along: float, nu_across: float, G_along: float, axis: int = 1
) -> np.ndarray:
    """Return the stiffness (6, 6) of a material that is isotropic across one axis.

    Parameters
    ----------
    E_along, E_across : float
        Young's moduli along the axis and across it, MPa.
    nu_along : float
        Contraction across the axis under tension along it.
    nu_across : float
        Poisson's ratio in the isotropic plane.
    G_along : float
        Shear modulus in planes that hold the axis, MPa.
    axis : {1, 2, 3}
        The axis of symmetry.

    Raises
    ------
    InputError
        If a modulus is not positive or the strain energy would not be positive.
    """
    for name, value in (("E_along", E_along), ("E_across", E_across), ("G_along", G_along)):
        if not value > 0:
            raise InputError(f"{name} {value} MPa: must be positive")
    if axis not in (1, 2, 3):
        raise InputError(f"axis {axis}: must be 1, 2 or 3")
    S = np.zeros((6, 6))
    S[0, 0], S[1, 1], S[2, 2] = 1 / E_along, 1 / E_across, 1 / E_across
    S[0, 1] = S[1, 0] = S[0, 2] = S[2, 0] = -nu_along / E_along
    S[1, 2] = S[2, 1] = -nu_across / E_across
    S[3, 3], S[4, 4], S[5, 5] = 2 * (1 + nu_across) / E_across, 1 / G_along, 1 / G_along
    limit = (E_along / E_across * (1 - nu_across) / 2) ** 0.5 if nu_across < 1 else 0.0
    if not (-1 < nu_across < 1 and abs(nu_along) < limit):
        raise InputError(
            f"nu_along {nu_along}, nu_across {nu_across}: need |nu_across| < 1 and |nu_along| < {limit:.4g}, "
            "else the strain energy is not positive"
        )
    turn = (axis - 1 + np.arange(3)) % 3  # cyclic: axis 1 of S becomes `axis`
    order = np.concatenate([turn, 3 + turn])
    C = np.empty((6, 6))
    C[np.ix_(order, order)] = np.linalg.inv(S)
    return C


def rotate(C: np.ndarray, R: np.ndarray) -> np.ndarray:
    """Return the stiffness of a material turned by a rotation.

    Parameters
    ----------
    C : ndarray, shape (..., 6, 6)
        Stiffness in the material's own axes.
    R : ndarray, shape (..., 3, 3)
        Rotation whose columns are the material's axes in the new frame: ``v_new = R @ v``.

    Returns
    -------
    ndarray, shape (..., 6, 6)
        ``M C M^T`` with Bond's stress transformation M; leading shapes are broadcast.
    """
    M = stress_transformation(R)
    found: np.ndarray = M @ C @ np.swapaxes(M, -1, -2)
    return found


def stress_transformation(R: np.ndarray) -> np.ndarray:
    """Return Bond's matrix M (..., 6, 6): Voigt stress in the new frame is ``M @ sigma``.

    R (..., 3, 3) turns vectors, ``v_new = R @ v``.

    Engineering strain goes with the inverse transpose of M.
    """
    R = np.asarray(R, dtype=float)
    M = np.empty((*R.shape[:-2], 6, 6))
    for row, (i, j) in enumerate(_PAIRS):
        for column, (k, m) in enumerate(_PAIRS):
            M[..., row, column] = R[..., i, k] * R[..., j, m]
            if k != m:
                M[..., row, column] += R[..., i, m] * R[..., j, k]
    return M


def about_axis_3(angle: float | np.ndarray) -> np.ndarray:
    """Return the rotation (..., 3, 3) by ``angle`` (rad) about axis 3."""
    c, s = np.cos(angle), np.sin(angle)
    R = np.zeros((*np.shape(angle), 3, 3))
    R[..., 0, 0], R[..., 0, 1], R[..., 1, 0], R[..., 1, 1], R[..., 2, 2] = c, -s, s, c, 1
    return R


def powerless(C: np.ndarray, tolerance: float = 1e-10) -> np.ndarray:
    """Return an orthonormal basis (6, k) of the mean strains that meet no stiffness, and so of stresses without path.

    Stiffness below ``tolerance`` times the largest counts as none.
    """
    strengths, modes = np.linalg.eigh((C + C.T) / 2)
    return modes[:, strengths <= tolerance * max(strengths[-1], 0.0)]


def load_paths(C: np.ndarray, tolerance: float = 1e-10) -> np.ndarray:
    """Return, per Voigt component, whether a stress in that component alone can be carried.

    A stress has a path if it lies in the range of C; round-off is judged against the largest entry.

    Parameters
    ----------
    C : ndarray, shape (6, 6)
        Positive semi-definite stiffness, MPa.
    tolerance : float
        Stiffness below this share of the largest counts as none.
    """
    found: np.ndarray = (powerless(C, tolerance) ** 2).sum(axis=1) < 1e-6
    return found


def compliance(C: np.ndarray, tolerance: float = 1e-10) -> np.ndarray:
    """Return the compliance (6, 6), 1/MPa, by pseudo-inverse: meaningful for stresses with a load path."""
    return np.linalg.pinv((C + C.T) / 2, rcond=tolerance, hermitian=True)


def engineering(C: np.ndarray, tolerance: float = 1e-10) -> Engineering:
    """Return the engineering constants of a stiffness matrix.

    Parameters
    ----------
    C : ndarray, shape (6, 6)
        Positive semi-definite stiffness, MPa.
    tolerance : float
        Stiffness below this share of the largest counts as none.

    Returns
    -------
    Engineering
        None where the load has no path.

    Examples
    --------
    >>> round(engineering(isotropic(2.0, 0.25)).nu12, 12)
    0.25
    """
    path, S = load_paths(C, tolerance), compliance(C, tolerance)
    moduli = [1 / float(S[k, k]) if path[k] else None for k in range(6)]
    ratios = [float(-S[i, j] / S[i, i]) if path[i] and path[j] else None for i, j in ((0, 1), (0, 2), (1, 2))]
    return Engineering(*moduli, *ratios)


def check_stiffness(C: np.ndarray, what: str = "the material") -> None:
    """Refuse a stiffness that no material can have.

    Raises
    ------
    InputError
        If C is not a symmetric positive definite 6 x 6 matrix.
    """
    C = np.asarray(C)
    if C.shape != (6, 6):
        raise InputError(f"stiffness of {what}: shape {C.shape}, must be (6, 6)")
    if not np.allclose(C, C.T, rtol=0, atol=1e-9 * np.abs(C).max()):
        raise InputError(f"stiffness of {what} is not symmetric")
    lowest = float(np.linalg.eigvalsh(C)[0])
    if not lowest > 0:
        raise InputError(f"stiffness of {what} is not positive definite: lowest eigenvalue {lowest:.3g} MPa")


def is_isotropic(C: np.ndarray, rtol: float = 1e-10) -> bool:
    """Return whether a stiffness (6, 6) is isotropic."""
    G, lame = C[3, 3], C[0, 1]
    same = np.diag([2 * G] * 3 + [G] * 3).astype(float)
    same[:3, :3] += lame
    return bool(np.allclose(C, same, rtol=0, atol=rtol * np.abs(C).max()))
