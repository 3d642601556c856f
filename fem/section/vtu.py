"""Fields of a beam section as a VTU file, for any field viewer."""

import tempfile
from pathlib import Path

import meshio
import numpy as np

from fem.section.result import RESULTANTS, Section, moved


def section_vtu(section: Section, zone: np.ndarray | None = None) -> bytes:
    """Return a VTU file of warping and stress under a unit of each resultant.

    The section stands in the plane x = 0. Its six-node triangles share no nodes, so that stress keeps its jumps
    between materials. Warping in mm, along x and in the section; stress in MPa as symmetric tensors xx, yy, zz, xy,
    yz, xz.

    Parameters
    ----------
    section : Section
        Solved section.
    zone : ndarray of int, shape (n_elements,), optional
        Number of the zone of each element, written beside the fields.
    """
    fields = section.fields
    where = section.points("nodes").reshape(-1, 2)
    about_origin = moved(fields.origin)  # unit resultants there, in terms of the fields' own
    data: dict[str, np.ndarray] = {}
    for name, unit in zip(RESULTANTS, np.eye(6), strict=True):
        warping = np.tensordot(about_origin @ unit, fields.warping, 1)
        data[f"warping_{name}"] = warping[fields.nodes].reshape(-1, 3)
        data[f"stress_{name}"] = section.stresses(unit, "nodes").reshape(-1, 6)[:, [0, 1, 2, 5, 3, 4]]
    points = np.column_stack([np.zeros(len(where)), where])
    cells = [("triangle6", np.arange(len(points)).reshape(-1, 6))]
    numbers = {} if zone is None else {"zone": [np.asarray(zone)]}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "section.vtu"  # meshio writes compressed arrays only to a named file
        meshio.write_points_cells(path, points, cells, data, numbers, file_format="vtu")
        return path.read_bytes()
