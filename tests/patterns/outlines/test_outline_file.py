import math

import pytest
from shapely import Polygon

from patterns.errors import InputError
from patterns.outlines.outline_file import read_outline
from patterns.outlines.svg_path import rings

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" viewBox="0 0 80 60">'  # half a millimetre per unit
)


def svg(tmp_path, body, head=HEAD):
    path = tmp_path / "section.svg"
    path.write_text(f"{head}{body}</svg>", encoding="utf-8")
    return path


def table(tmp_path, text):
    path = tmp_path / "section.csv"
    path.write_text(text, encoding="utf-8")
    return path


def area(ring):
    return Polygon(ring).area


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        ("M 1 1 L 5 1 L 5 4 L 1 4 Z", 12),
        ("m1,1 4,0 0,3 -4,0z", 12),  # repeated pairs after m are lines
        ("M1 1H5V4H1z", 12),
        ("M1 1h4v3h-4z", 12),
        ("M1-1l4-.0.0-3-4.-0z", 12),  # numbers set close together: 1 -1, 4 -.0, .0 -3, -4. -0
        # A full circle of radius 3 from two half arcs, and the same with a rotated ellipse frame.
        ("M 2 5 a 3 3 0 0 1 6 0 a 3 3 0 0 1 -6 0 z", math.pi * 9),
        ("M2 5a3 3 0 016 0a3 3 0 01-6 0z", math.pi * 9),  # flags set close together: 0 1 6
        ("M 2 5 a 3 3 30 1 0 6 0 a 3 3 30 1 0 -6 0 z", math.pi * 9),
        # Radii too small for their chord are grown to a half circle on it (SVG 1.1, F.6.6).
        ("M 2 5 a 1 1 0 0 1 6 0 z", math.pi * 9 / 2),
        # An ellipse, half axes 4 and 2.
        ("M 1 5 A 4 2 0 1 1 9 5 A 4 2 0 1 1 1 5 Z", math.pi * 8),
        # Area under a parabola over a chord of 6 with its control point 3 above: 2/3 of 6 x 1.5.
        ("M 0 0 Q 3 3 6 0 Z", 6),
        # The same parabola raised to a cubic: controls at 2/3 of the way to the quadratic's.
        ("M 0 0 C 2 2 4 2 6 0 Z", 6),
        # Two such arches side by side.
        ("M 0 0 Q 3 3 6 0 Q 9 3 12 0 Z", 12),
    ],
)
def test_path_data_encloses_the_area_it_should(data, expected):
    (ring,) = rings(data, 1e-4)
    assert area(ring) == pytest.approx(expected, rel=2e-4)


def test_smooth_curves_go_on_with_the_reflected_control_point():
    (smooth,) = rings("M 0 0 C 0 2 2 3 4 3 S 8 2 8 0 Z", 1e-4)
    (written,) = rings("M 0 0 C 0 2 2 3 4 3 C 6 3 8 2 8 0 Z", 1e-4)
    assert smooth == pytest.approx(written)
    (smooth,) = rings("M 0 0 Q 2 2 4 2 T 8 0 V -1 Z", 1e-4)
    (written,) = rings("M 0 0 Q 2 2 4 2 Q 6 2 8 0 V -1 Z", 1e-4)
    assert smooth == pytest.approx(written)


@pytest.mark.parametrize("tolerance", [0.1, 0.01, 0.001])
def test_curves_stray_no_further_than_told(tolerance):
    (ring,) = rings("M 2 5 a 3 3 0 0 1 6 0 a 3 3 0 0 1 -6 0 z", tolerance)
    middles = (ring + ring.take(range(1, len(ring) + 1), axis=0, mode="wrap")) / 2
    strayed = max(3 - math.hypot(x - 5, y - 5) for x, y in middles)
    assert 0.1 * tolerance < strayed <= tolerance


def test_drawing_is_scaled_and_turned_upright(tmp_path):
    # 40 units are 20 mm; a triangle with its tip at the drawing's top has it at the largest z.
    points, holes = read_outline(svg(tmp_path, '<path d="M 0 40 L 40 40 L 20 0 Z"/>'))
    assert area(points) == pytest.approx(20 * 20 / 2)
    assert max(points, key=lambda point: point[1]) == (10, 0)
    assert holes == ()


def test_rings_of_a_drawing_are_sorted_into_outline_and_holes(tmp_path):
    body = '<g><polygon points="30,30 34,30 34,34"/></g><path d="M0 0H60V50H0Z M5 5 H15 V15 H5 Z"/>'
    points, holes = read_outline(svg(tmp_path, body))
    assert area(points) == pytest.approx(30 * 25)
    assert sorted(map(area, holes)) == pytest.approx([2, 25])


def test_corners_from_a_table(tmp_path):
    path = table(
        tmp_path, "ring, y_mm, z_mm\nout,0,0\nout,10,0\nout,10,8\nout,0,8\nout,0,0\nin,2,2\nin,4,2\nin,4,4\n"
    )
    assert read_outline(path) == (((0, 0), (10, 0), (10, 8), (0, 8)), (((2, 2), (4, 2), (4, 4)),))
    assert read_outline(table(tmp_path, "y_mm,z_mm\n0,0\n1,0\n0,1\n")) == (((0, 0), (1, 0), (0, 1)), ())


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("y,z\n0,0\n", r"section.csv:1: the header must name y_mm and z_mm"),
        ("y_mm,z_mm\n0,0\n1,one\n", r"section.csv:3: 1, one is no corner"),
        ("y_mm,z_mm\n0,0\n1\n", r"section.csv:3: 1, None is no corner"),
        ("y_mm,z_mm\n", "no corners"),
    ],
)
def test_wrong_tables_are_told_with_their_line(tmp_path, text, words):
    with pytest.raises(InputError, match=words):
        read_outline(table(tmp_path, text))


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("<path d='M 0 0 L 1 1 X 3'/>", "'X', which is no SVG path command"),
        ("<path d='M 0 0 L 1 Z'/>", "takes 2 numbers, not 1"),
        ("<path d='L 0 0'/>", "must begin with M"),
        ("<path d='M 0 0 L 1'/>", "takes 2 numbers, not 1"),
        ("<path d='M 0 0 Z 4 4'/>", "where a command should stand"),
        ("<path d='M 0 0 L 1 1 Z'/>", "holds no closed path"),
        ("<rect width='3' height='4'/>", "<rect> is not read; turn it into a path"),
        ("<g transform='scale(2)'><path d='M0 0H1V1Z'/></g>", "has a transform"),
        ("<path", "not XML"),
    ],
)
def test_wrong_drawings_are_told_in_one_line(tmp_path, body, words):
    with pytest.raises(InputError, match=words) as error:
        read_outline(svg(tmp_path, body))
    assert "section.svg" in str(error.value)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    "head", ['<svg viewBox="0 0 8 6">', '<svg width="80" viewBox="0 0 8 6">', '<svg width="8mm">']
)
def test_drawing_without_a_size_is_refused(tmp_path, head):
    with pytest.raises(InputError, match="does not state its size"):
        read_outline(svg(tmp_path, "<path d='M0 0H1V1Z'/>", head))


def test_other_files_are_refused(tmp_path):
    with pytest.raises(InputError, match="no such outline file"):
        read_outline(tmp_path / "none.csv")
    (tmp_path / "section.dxf").write_text("", encoding="utf-8")
    with pytest.raises(InputError, match=r"\.csv or \.svg"):
        read_outline(tmp_path / "section.dxf")
    (tmp_path / "section.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="not UTF-8"):
        read_outline(tmp_path / "section.csv")
