"""The cell command: its JSON contract, its table, its files and its refusals."""

import json
import math

import meshio
import numpy as np
import pytest

from patterns.catalogue import CATALOGUE
from tests.closed_forms import lattices
from tests.closed_forms.perforated import prismatic_E1, prismatic_G12
from validation.cli import main
from validation.commands.pattern_options import OWN_OPTIONS, flag_of

BEAD = ("--bead-width", "0.45")


def run(capsys, *words):
    """Exit status, standard output and standard error of one command."""
    status = main(["cell", *words])
    out, err = capsys.readouterr()
    return status, out, err


def solved(capsys, *words):
    status, out, err = run(capsys, *words, "--json")
    assert (status, err) == (0, "")
    return json.loads(out)


def test_the_json_object_holds_what_is_promised(capsys):
    found = solved(capsys, "hexagonal", "--set-fill", "0.3", *BEAD, "--young", "2000")
    assert found["schema_version"] == 1
    assert (found["pattern"], found["kind"]) == ("hexagonal", "prismatic")
    assert found["input"]["set_fill"] == 0.3
    assert found["input"]["corner_radius_mm"] == pytest.approx(0.45 / 4)
    assert found["input"]["tolerance"] == 1e-3
    assert found["fill"]["set"] == pytest.approx(0.3, rel=1e-6)
    assert found["pitch_mm"] == pytest.approx(3.0)
    (ax, ay), (bx, by) = found["cell_mm"]
    assert ax * by - ay * bx == pytest.approx(2 / math.sqrt(3) * 9 * 0.75)
    assert np.shape(found["stiffness_mpa"]) == (6, 6)
    names = ["E1_mpa", "E2_mpa", "E3_mpa", "G23_mpa", "G13_mpa", "G12_mpa", "nu12", "nu13", "nu23"]
    assert list(found["engineering"]) == names
    assert list(found["discretisation"]["per_constant"]) == names
    assert 0 < found["discretisation"]["relative_error"] < 1e-3
    assert found["discretisation"]["unknowns"] > 100
    assert found["bounds"]["voigt_E_mpa"] == pytest.approx(2000 * found["fill"]["geometric"])
    assert found["engineering"]["E1_mpa"] < found["bounds"]["hashin_shtrikman_E1_mpa"]
    cases = ["tension_1", "tension_2", "tension_3", "shear_23", "shear_13", "shear_12"]
    assert all(found["concentration"][case] > 1 for case in cases)
    assert found["concentration"]["tension_3"] == pytest.approx(1 / found["fill"]["geometric"])
    assert {"geometry", "mesh", "solve"} <= set(found["seconds"])


@pytest.mark.parametrize("row", lattices.SQUARE[3:5])
def test_published_square_lattices_from_the_command_line(capsys, row):
    wall, phi, E, _, G, _, k, _ = row
    found = solved(
        capsys,
        "square",
        "--pitch",
        "1",
        "--bead-width",
        str(wall),
        "--corner-radius",
        "0",
        "--poisson",
        "0.3",
    )
    got = found["engineering"]
    assert found["fill"]["geometric"] == pytest.approx(phi, rel=1e-6)
    assert got["E1_mpa"] == pytest.approx(prismatic_E1(E, phi, 0.3), rel=1e-3)
    assert got["G12_mpa"] == pytest.approx(prismatic_G12(G, 0.3), rel=1e-3)
    assert got["G13_mpa"] * 2.6 == pytest.approx(k, rel=1e-3)
    assert found["concentration"] is None


def test_fill_and_pitch_lead_to_the_same_cell(capsys):
    by_pitch = solved(capsys, "square", "--pitch", "3", *BEAD)
    by_set = solved(capsys, "square", "--set-fill", "0.3", *BEAD)
    by_area = solved(capsys, "square", "--geometric-fill", repr(by_pitch["fill"]["geometric"]), *BEAD)
    for other in (by_set, by_area):
        assert other["pitch_mm"] == pytest.approx(3.0, rel=1e-6)
        assert other["engineering"]["G12_mpa"] == pytest.approx(by_pitch["engineering"]["G12_mpa"], rel=1e-4)


def test_lines_without_path_across_are_null_and_exactly_zero(capsys):
    found = solved(capsys, "parallel", "--set-fill", "0.3", *BEAD)
    assert found["engineering"]["E2_mpa"] is None
    assert found["engineering"]["G12_mpa"] is None
    assert found["discretisation"]["per_constant"]["E2_mpa"] is None
    assert found["concentration"]["tension_2"] is None
    assert [found["stiffness_mpa"][k] for k in (1, 3, 5)] == [[0.0] * 6] * 3
    assert found["engineering"]["E1_mpa"] == pytest.approx(0.3)
    assert found["concentration"]["tension_1"] == pytest.approx(1 / 0.3)


def test_the_cell_turns_with_its_angle(capsys):
    straight = solved(capsys, "rhombic", "--opening-angle", "40", "--set-fill", "0.3", *BEAD)
    turned = solved(capsys, "rhombic", "--opening-angle", "40", "--set-fill", "0.3", *BEAD, "--angle", "90")
    assert turned["engineering"]["E1_mpa"] == pytest.approx(straight["engineering"]["E2_mpa"], rel=1e-3)
    assert turned["engineering"]["G13_mpa"] == pytest.approx(straight["engineering"]["G23_mpa"], rel=1e-3)
    at = straight["by_direction"]["angle_deg"].index(90)
    assert straight["by_direction"]["E_mpa"][at] == pytest.approx(straight["engineering"]["E2_mpa"])


def test_patterns_with_layers_give_the_same_object(capsys):
    found = solved(capsys, "solid", "--angles", "0", *BEAD)
    assert found["kind"] == "alternating"
    assert found["concentration"] is None
    assert found["bounds"]["hashin_shtrikman_E1_mpa"] is None
    assert found["engineering"]["E1_mpa"] == pytest.approx(found["fill"]["geometric"], rel=1e-3)
    assert found["input"]["tolerance"] == 5e-3


def test_the_table_names_every_constant_and_its_error(capsys):
    status, out, _ = run(capsys, "kagome", "--set-fill", "0.4", *BEAD)
    assert status == 0
    for word in ("E1 MPa", "G23 MPa", "nu12", "numerical error", "shear_12", "Set fill 0.4", "order"):
        assert word in out
    assert "safe" not in out.lower()


def test_a_tolerance_out_of_reach_is_remarked_on(capsys, monkeypatch):
    monkeypatch.setattr("fem.prismatic.homogenise._FINENESS", (1.0,))
    status, out, err = run(
        capsys, "square", "--pitch", "3", *BEAD, "--corner-radius", "0", "--tolerance", "1e-9", "--json"
    )
    assert status == 0
    assert json.loads(out)["discretisation"]["tolerance_met"] is False
    assert "above the tolerance 1e-09" in err


def test_shear_moduli_out_of_the_plane_have_guaranteed_limits(capsys):
    found = solved(capsys, "square", "--set-fill", "0.3", *BEAD)
    low, high = found["bounds"]["G13_mpa"]
    assert low < high == found["engineering"]["G13_mpa"]
    assert low == pytest.approx(high, rel=1e-4)
    assert solved(capsys, "sinusoidal", "--set-fill", "0.3", *BEAD)["bounds"]["G23_mpa"] is None


def test_fields_for_a_viewer(capsys, tmp_path):
    path = tmp_path / "cell.vtu"
    status, _, err = run(capsys, "parallel", "--set-fill", "0.3", *BEAD, "--vtu", str(path))
    assert status == 0
    assert "wrote" in err
    field = meshio.read(path)
    assert field.cells[0].type == "triangle6"
    assert "stress_tension_2" not in field.point_data  # no load path
    stress = field.point_data["stress_tension_1"]
    assert stress[:, 0] == pytest.approx(1 / 0.3)
    moved = field.point_data["displacement_tension_1"]
    assert np.ptp(moved[:, 0]) == pytest.approx(np.ptp(field.points[:, 0]) / 0.3, rel=1e-6)


def test_fields_of_layers_for_a_viewer(capsys, tmp_path):
    # Beads side by side pulled along themselves: bars in uniform tension of 1 / their area share.
    path = tmp_path / "cell.vtu"
    args = ("alternating", "--angles", "0", "--set-fill", "0.3", "--bead-section", "square", *BEAD)
    assert run(capsys, *args, "--vtu", str(path))[0] == 0
    field = meshio.read(path)
    assert field.cells[0].type == "hexahedron"
    assert field.cell_data["stress_tension_1"][0][:, 0] == pytest.approx(1 / 0.3)
    moved = field.point_data["displacement_tension_1"]
    assert np.ptp(moved[:, 0]) == pytest.approx(np.ptp(field.points[:, 0]) / 0.3)
    assert "displacement_tension_2" not in field.point_data  # no load path


def test_fields_of_layers_without_voids_are_refused(capsys, tmp_path):
    status, _, err = run(capsys, "solid", "--bead-section", "square", *BEAD, "--vtu", str(tmp_path / "x.vtu"))
    assert status == 2
    assert "no voids" in err


def test_crossing_beads_have_stress_factors(capsys):
    found = solved(capsys, "alternating", "--angles", "0", "90", "--set-fill", "0.3", *BEAD)["concentration"]
    assert found["tension_1"] == pytest.approx(2 / 0.3)  # every second layer carries, on its area share
    assert found["tension_3"] is None  # the welds carry it
    assert found["shear_12"] > found["tension_1"] / 2
    assert "beam theory" in found["basis"]


def test_first_failure_of_a_bar_is_its_strength_on_its_area(capsys):
    found = solved(capsys, "parallel", "--set-fill", "0.3", *BEAD, "--strengths", "30", "20", "10")
    assert found["first_failure"]["tension_1_mpa"] == pytest.approx(0.3 * 30)
    assert found["first_failure"]["tension_2_mpa"] is None  # no load path
    assert found["first_failure"]["shear_12_mpa"] is None


def test_first_failure_comes_no_earlier_than_the_largest_principal_stress(capsys, tmp_path):
    path = tmp_path / "failure.svg"
    args = ("square", "--set-fill", "0.5", *BEAD, "--strengths", "30", "30", "inf", "--quiet")
    found = solved(capsys, *args, "--failure-picture", str(path))
    for case in ("tension_1", "tension_2", "shear_12"):
        least = 30 / found["concentration"][case]
        assert 0.99 * least < found["first_failure"][f"{case}_mpa"] < 1.2 * least
    assert "First failure of a square cell" in path.read_text()


def test_first_failure_needs_strengths_and_rounded_prismatic_cells(capsys):
    shared = ("--set-fill", "0.5", *BEAD)
    assert run(capsys, "square", *shared, "--failure-picture", "x.svg")[0] == 2
    for words in (("square", *shared, "--corner-radius", "0"), ("alternating", *shared)):
        status, _, err = run(capsys, *words, "--strengths", "30", "20", "10")
        assert (status, err.count("first failure:")) == (2, 1)


@pytest.mark.parametrize("ending", ["png", "svg"])
def test_picture_of_the_stress(capsys, tmp_path, ending):
    path = tmp_path / f"peak.{ending}"
    status, _, _ = run(
        capsys, "square", "--set-fill", "0.5", *BEAD, "--picture", str(path), "--load", "shear_12"
    )
    assert status == 0
    assert path.stat().st_size > 5000
    if ending == "svg":
        text = path.read_text()
        assert "Square cell under shear 12" in text
        assert "The peak" in text


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("concentric", "--set-fill", "0.3"), "has no cell"),
        (("hexagonal", "--set-fill", "30"), "write 0.3"),
        (("hexagonal",), "exactly one of set fill, geometric fill and pitch"),
        (("hexagonl", "--set-fill", "0.3"), "did you mean 'hexagonal'"),
        (("hexagonal", "--set-fill", "0.3", "--opening-angle", "3"), "no option --opening-angle"),
        (("hexagonal", "--set-fill", "0.3", "--angles", "0", "90"), "--angle"),
        (("hexagonal", "--set-fill", "0.3", "--corner-radius", "5"), "corner radius 5 mm"),
        (("hexagonal", "--set-fill", "0.3", "--poisson", "0.5"), "Poisson's ratio 0.5"),
        (("hexagonal", "--set-fill", "0.3", "--young", "-1"), "Young's modulus"),
        (("hexagonal", "--set-fill", "0.3", "--tolerance", "0"), "tolerance 0"),
        (("hexagonal", "--set-fill", "nan"), "set fill is nan"),
        (("square", "--set-fill", "0.3", "--angle", "inf"), "angle inf"),
        (("rhombic", "--set-fill", "0.3", "--opening-angle", "95"), "between 10 and 80"),
        (("square", "--set-fill", "0.3", "--picture", "x.bmp"), ".svg or .png"),
        (("parallel", "--set-fill", "0.3", "--picture", "x.png", "--load", "tension_2"), "no load path"),
    ],
)
def test_impossible_input_ends_in_one_line_and_status_2(capsys, words, part):
    status, _, err = run(capsys, *words, *BEAD)
    assert status == 2
    assert part in err
    assert err.count("\n") == 1


def test_a_missing_bead_width_is_named(capsys):
    status, _, err = run(capsys, "square", "--set-fill", "0.3")
    assert status == 2
    assert "--bead-width is missing" in err


def test_the_written_out_options_are_those_of_the_catalogue():
    flags = {flag_of(option) for pattern in CATALOGUE.values() for option in pattern.options}
    wrong = set(OWN_OPTIONS) ^ flags
    assert not wrong, (
        f"OWN_OPTIONS in validation/commands/pattern_options.py lacks, or has beyond the catalogue: {wrong}"
    )
    for pattern in CATALOGUE.values():
        for option in pattern.options:
            unit, text = OWN_OPTIONS[flag_of(option)]
            assert pattern.slug in text
            assert (unit in ("DEG", "MM")) == bool(option.unit)


def test_help_shows_an_example_and_units(capsys):
    assert main(["cell", "--help"]) == 0
    text = capsys.readouterr().out
    assert "fillbend cell hexagonal --set-fill 0.3 --bead-width 0.45" in text
    for word in ("--bead-width MM", "--angle DEG", "--young MPA", "--tolerance SHARE"):
        assert word in text
