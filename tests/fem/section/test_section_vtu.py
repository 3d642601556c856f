"""The section's VTU file, read back by meshio."""

import meshio
import numpy as np
import pytest
import shapely

from fem.material.stiffness import isotropic
from fem.section.mesh import section_mesh
from fem.section.result import RESULTANTS
from fem.section.solve import solve_section
from fem.section.vtu import section_vtu


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    core = shapely.box(-2, -1, 2, 1)
    made = section_mesh([shapely.Point(0, 0).buffer(3, quad_segs=32) - core, core], 1.0)
    C = np.stack([isotropic(3.0, 0.3), isotropic(1.0, 0.3)])
    section = solve_section(made.mesh, C[made.zone])
    path = tmp_path_factory.mktemp("vtu") / "section.vtu"
    path.write_bytes(section_vtu(section, made.zone))
    return section, made, meshio.read(path)


def test_file_holds_six_node_triangles_in_the_section_plane(written):
    _, made, read = written
    (block,) = read.cells
    assert block.type == "triangle6"
    assert len(block.data) == made.mesh.nelements
    assert (read.points[:, 0] == 0).all()
    corner, middle = read.points[block.data[:, :2]], read.points[block.data[:, 3]]
    inner = np.linalg.norm(read.points[block.data][:, :3], axis=2).max(axis=1) < 2.5
    assert middle[inner] == pytest.approx(corner[inner].mean(axis=1), abs=1e-12)
    assert np.array_equal(read.cell_data["zone"][0], made.zone)
    assert set(read.point_data) == {f"{kind}_{name}" for kind in ("stress", "warping") for name in RESULTANTS}


def test_stress_is_the_sections_in_the_order_of_the_format(written):
    section, _, read = written
    ours = section.stresses([0, 0, 0, 1, 0, 0], "nodes").reshape(-1, 6)
    theirs = read.point_data["stress_T"]
    assert theirs[:, 3] == pytest.approx(ours[:, 5])  # xy
    assert theirs[:, 5] == pytest.approx(ours[:, 4])  # xz
    axial = read.point_data["stress_N"][:, 0]
    assert axial.max() / axial.min() == pytest.approx(3, rel=1e-2)  # walls three times as stiff as the core


def test_warping_is_continuous(written):
    _, _, read = written
    place = np.round(read.points, 9)
    _, node = np.unique(place, axis=0, return_inverse=True)
    for name in RESULTANTS:
        w = read.point_data[f"warping_{name}"]
        means = (
            np.stack([np.bincount(node.ravel(), part) for part in w.T], axis=1)
            / np.bincount(node.ravel())[:, None]
        )
        assert w == pytest.approx(means[node.ravel()], abs=1e-9)
