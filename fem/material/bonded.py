"""Stiffness of bonded beads, and of layers of them stacked on each other."""

from collections.abc import Sequence

import numpy as np


def bonded_beads(E_along: float, E_across: float, E_layers: float, nu: float) -> np.ndarray:
    """Return the stiffness (6, 6), MPa, of bonded beads along axis 1, side by side along 2, stacked along 3.

    Three Young's moduli are known of a print, its shear moduli and the other Poisson's ratios hardly ever. The
    compliance is the isotropic one stretched by 1/sqrt(E) along each axis: S_ij = -nu/sqrt(E_i E_j) and
    G_ij = sqrt(E_i E_j)/(2 (1 + nu)) (Huber's estimate of the shear moduli, 1923), positive definite for every nu that
    an isotropic solid may have.
    """
    E = np.sqrt([E_along, E_across, E_layers])
    S = np.zeros((6, 6))
    S[:3, :3] = ((1 + nu) * np.eye(3) - nu) / np.outer(E, E)
    S[[3, 4, 5], [3, 4, 5]] = 2 * (1 + nu) / np.array([E[1] * E[2], E[0] * E[2], E[0] * E[1]])
    return np.linalg.inv(S)


def laminate(stiffnesses: Sequence[np.ndarray]) -> np.ndarray:
    """Return the stiffness (6, 6) of equally thick layers stacked along axis 3.

    Exact: strains 11, 22, 12 and stresses 33, 23, 13 are the same in all layers (Backus 1962).
    """
    same_strain, same_stress = [0, 1, 5], [2, 3, 4]
    a = np.mean([np.linalg.inv(C[np.ix_(same_stress, same_stress)]) for C in stiffnesses], axis=0)
    b = np.mean(
        [
            C[np.ix_(same_strain, same_stress)] @ np.linalg.inv(C[np.ix_(same_stress, same_stress)])
            for C in stiffnesses
        ],
        axis=0,
    )
    reduced = np.mean(
        [
            C[np.ix_(same_strain, same_strain)]
            - C[np.ix_(same_strain, same_stress)]
            @ np.linalg.inv(C[np.ix_(same_stress, same_stress)])
            @ C[np.ix_(same_stress, same_strain)]
            for C in stiffnesses
        ],
        axis=0,
    )
    inverse = np.linalg.inv(a)
    C = np.zeros((6, 6))
    C[np.ix_(same_stress, same_stress)] = inverse
    C[np.ix_(same_strain, same_stress)] = b @ inverse
    C[np.ix_(same_stress, same_strain)] = (b @ inverse).T
    C[np.ix_(same_strain, same_strain)] = reduced + b @ inverse @ b.T
    return C
