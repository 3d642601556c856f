"""A spectral answer for prismatic cells: pixels, fast Fourier transforms and conjugate gradients; no mesh at all.

The gradient is taken at pixel centres from the four corners (the rotated scheme of F. Willot, C. R. Mecanique 343, 232,
2015), which keeps voids free of checkerboards. Pixels cut by an outline get the covered share of the stiffness.
"""

import numpy as np
import shapely

from patterns.cells.cell import PlanCell
from tests.independent.cell_judge import solid

_PLANE, _ANTIPLANE = ((0, 1), (0, 1, 2, 5)), ((2,), (3, 4))  # components, loads


def judge(cell: PlanCell, C: np.ndarray, pixels: int) -> np.ndarray:
    """Return the mean stiffness (6, 6) of a cell of one isotropic material, ``pixels`` along its shorter side."""
    covered, size = _raster(cell, pixels)
    mean = np.zeros((6, 6))
    for components, loads in (_PLANE, _ANTIPLANE):
        mean[:, loads] = _pull(covered, size, C, components, loads)
    return (mean + mean.T) / 2


def _raster(cell: PlanCell, pixels: int) -> tuple[np.ndarray, np.ndarray]:
    """Covered share of every pixel of the period, and the pixel's sides."""
    parts, low, sides = solid(cell)
    n = 2 * np.round(pixels * sides / sides.min() / 2).astype(int)
    size = sides / n
    whole = shapely.MultiPolygon(parts)
    shapely.prepare(whole)
    x, y = np.meshgrid(*(low[k] + size[k] * np.arange(n[k]) for k in (0, 1)), indexing="ij")
    boxes = shapely.box(x, y, x + size[0], y + size[1])
    covered = shapely.contains(whole, boxes).astype(float)
    cut = (covered == 0) & shapely.intersects(whole, boxes)
    covered[cut] = shapely.area(shapely.intersection(boxes[cut], whole)) / size.prod()
    return covered, size


def _pull(covered, size, C, components, loads):
    """Mean stresses (6, loads) under unit mean strains."""
    rows = [0, 1, 5] if len(components) == 2 else [3, 4]  # strains that vary from pixel to pixel
    slopes = np.zeros((2, 6, 3))
    slopes[0, 0, 0] = slopes[0, 5, 1] = slopes[0, 4, 2] = 1
    slopes[1, 1, 1] = slopes[1, 5, 0] = slopes[1, 3, 2] = 1
    n, m = covered.shape
    a = np.exp(2j * np.pi * np.fft.fftfreq(n))[:, None]
    b = np.exp(2j * np.pi * np.fft.rfftfreq(m))[None]
    k = np.array([(a - 1) * (b + 1) / 2 / size[0], (a + 1) * (b - 1) / 2 / size[1]])
    B = np.einsum("iac,ixy->acxy", slopes[:, rows][:, :, list(components)], k)
    stiff = C[np.ix_(rows, rows)]
    uniform = np.einsum("acxy,ab,bdxy->xycd", B.conj(), stiff, B, optimize=True)
    inverse = np.linalg.pinv(uniform, rcond=1e-9, hermitian=True).transpose(2, 3, 0, 1)
    inverse[:, :, np.abs(k).sum(axis=0) < 1e-9] = 0
    back = B.conj().transpose(1, 0, 2, 3)

    def apply(operator, field):
        spectrum = (operator * np.fft.rfft2(field)[None]).sum(axis=1)
        return np.fft.irfft2(spectrum, s=covered.shape)

    def stress(strain):
        return covered * np.tensordot(stiff, strain, axes=1)

    found = []
    for load in loads:
        u = np.zeros((len(components), n, m))
        r = -apply(back, C[rows, load][:, None, None] * covered)
        start, p, old = np.linalg.norm(r), None, 1.0
        while np.linalg.norm(r) > 1e-5 * start:
            z = apply(inverse, r)
            new = np.vdot(r, z)
            p = z if p is None else z + new / old * p
            Kp = apply(back, stress(apply(B, p)))
            step = new / np.vdot(p, Kp)
            u, r, old = u + step * p, r - step * Kp, new
        strain = (covered * apply(B, u)).mean(axis=(1, 2))
        found.append(C[:, load] * covered.mean() + C[:, rows] @ strain)
    return np.array(found).T
