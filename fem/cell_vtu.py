"""Fields of a cell as a VTU file, for any field viewer."""

import tempfile
from pathlib import Path

import meshio
import numpy as np

from fem.layered.solid_field import SolidField
from fem.numerics.triangle import shape
from fem.prismatic.concentration import CASES
from fem.prismatic.plan_elements import Places
from fem.prismatic.stress_field import StressField, von_mises

_NODES = np.array([[0, 1, 0, 0.5, 0.5, 0], [0, 0, 1, 0, 0.5, 0.5]])  # of a six-node triangle


def vtu(field: StressField) -> bytes:
    """Return a VTU file of displacement and stress under each unit mean stress (1 MPa) that has a load path.

    Six-node triangles that share no nodes, so that stress keeps its jumps. Displacement in mm, 33 by its mean
    strain only; stress in MPa as symmetric tensors xx, yy, zz, xy, yz, xz.
    """
    elements = np.arange(len(field.period.vertex))
    samples = field.at(elements, _NODES)
    moved = displacement(field, elements, _NODES)
    data: dict[str, np.ndarray] = {}
    for k, case in enumerate(CASES):
        mean = np.eye(6)[k]
        if not field.carries(mean):
            continue
        strain = field.compliance @ mean
        stress = samples.unit @ strain
        data[f"displacement_{case}"] = moved @ strain
        data[f"stress_{case}"] = stress[:, [0, 1, 2, 5, 3, 4]]
        data[f"von_mises_{case}"] = von_mises(stress)
    points = np.column_stack([samples.x, np.zeros(len(samples.x))])
    cells = np.arange(len(points)).reshape(-1, 6)
    return _file(meshio.Mesh(points, [("triangle6", cells)], point_data=data))


def solid_vtu(field: SolidField) -> bytes:
    """Return a VTU file of the piece of a layered cell that was solved, under each unit mean stress (1 MPa).

    Displacement in mm at the nodes; stress in MPa in the middle of every hexahedron, as symmetric tensors xx, yy, zz,
    xy, yz, xz.
    """
    moved: dict[str, np.ndarray] = {}
    stresses: dict[str, list[np.ndarray]] = {}
    for k, case in enumerate(CASES):
        strain = field.unit_strain(k)
        if strain is None:
            continue
        stress = field.stress @ strain
        moved[f"displacement_{case}"] = field.displacement @ strain
        stresses[f"stress_{case}"] = [stress[:, [0, 1, 2, 5, 3, 4]]]
        stresses[f"von_mises_{case}"] = [von_mises(stress)]
    return _file(
        meshio.Mesh(field.points, [("hexahedron", field.cells)], point_data=moved, cell_data=stresses)
    )


def _file(mesh: meshio.Mesh) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cell.vtu"  # meshio writes compressed arrays only to a named file
        mesh.write(path, file_format="vtu")
        return path.read_bytes()


def displacement(field: StressField, elements: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Return displacements (m x q, 3, 6) in mm per unit mean strain at reference points (2, q) of elements (m,).

    The mean part leaves out 33, which moves every layer by its height.
    """
    solution = field.solution
    x = Places(field.period, elements, points, solution.order).x
    values, _ = shape(solution.order, points)
    periodic = np.einsum("aq,ecal->eqcl", values, solution.displacement[elements], optimize=True)
    mean = np.zeros((*x.shape[:2], 3, 6))
    x1, x2 = x[..., 0], x[..., 1]
    mean[..., 0, 0], mean[..., 1, 1] = x1, x2
    mean[..., 0, 5], mean[..., 1, 5] = x2 / 2, x1 / 2
    mean[..., 2, 3], mean[..., 2, 4] = x2, x1
    found: np.ndarray = (periodic + mean).reshape(-1, 3, 6)
    return found
