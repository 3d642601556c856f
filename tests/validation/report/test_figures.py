"""Figures from plain rows of our own invention: what is drawn, what is told, and the file that leaves."""

import re
import xml.etree.ElementTree as ET
from itertools import pairwise, product

import numpy as np
import pytest

from fem.material.direction import Directional, by_direction
from fem.material.stiffness import isotropic
from patterns.errors import InputError
from validation.report.comparison import parity, residuals
from validation.report.core_direction import core_direction
from validation.report.curves import against
from validation.report.figures import ESTIMATED, FIGURES, Data, drawable
from validation.report.gains import gains
from validation.report.grouping import abscissa, axis_label, is_solid, named, series_of
from validation.report.mode_map import mode_map
from validation.report.neighbours import one_step
from validation.report.pareto import pareto
from validation.report.polar import polar
from validation.report.shares import shares
from validation.report.style import FAINT, ROLE_LOOKS, SERIES
from validation.report.tuned import tuned_column
from validation.results.columns import column
from validation.results.csv_table import read_rows, to_csv

from .invented import invented_results, invented_study

SVG = "{http://www.w3.org/2000/svg}"


def row(
    fill=0.2, walls=2, pattern="square", force=100.0, stiffness=10.0, mass=5.0, mode="core_shear", **more
):
    """One setting; bands of -20 % and +10 %, nothing measured."""
    keys = {"core.set_fill": fill, "print.walls": walls, "core.pattern": pattern}
    label = ", ".join(f"{key.split('.')[1]} {value}" for key, value in keys.items())
    found = {"setting": label, **keys, "pattern": pattern, "walls": walls, "set_fill": fill, "mode": mode}
    for quantity, best in (("breaking_force", force), ("stiffness", stiffness), ("mass", mass)):
        ends = (best, 0.8 * best, 1.1 * best) if best is not None else (None,) * 3
        found |= {column(quantity, end): value for end, value in zip(("", "low", "high"), ends, strict=True)}
        found |= {column(quantity, end, measured=True): None for end in ("", "sd", "low", "high")}
    for share in ("EI", "GA", "mass"):
        found |= {f"{share}_share_wall": 0.5, f"{share}_share_face": 0.2, f"{share}_share_core": 0.3}
    return {**found, "geometric_fill": fill - fill**2 / 4, "gravimetric_fill": None, **more}


def beam(of, force, name="B1", build="P1", order="1", stiffness=9.0, **more):
    found = {
        "specimen": name, "setting": of["setting"], "set_fill": of["set_fill"], "build": build, "test_order": order,
        "breaking_force_N": force, "stiffness_N_per_mm": stiffness, "mass_g": 5.1, "mode": "weld_tension", "valid": 1,
        "breaking_force_ratio": force / of["breaking_force_N"], "stiffness_ratio": stiffness / of["stiffness_N_per_mm"],
    }  # fmt: skip
    return {**found, **more}


def curve():
    return [row(fill, force=100 + 200 * fill) for fill in (0.1, 0.3, 0.6)]


def measured(rows, share=0.9):
    """The rows with three beams each at 0.95, 1 and 1.05 of ``share`` x estimate."""
    beams = []
    found = []
    for number, one in enumerate(rows):
        mean = share * one["breaking_force_N"]
        found.append(
            {
                **one,
                "measured_breaking_force_N": mean,
                "measured_breaking_force_low_N": 0.8 * mean,
                "measured_breaking_force_high_N": 1.2 * mean,
            }
        )
        beams += [beam(one, k * mean, f"B{number}{k}", f"P{k}", f"{number}") for k in (0.95, 1.0, 1.05)]
    return found, beams


def directional(E):
    angles = np.linspace(0.0, 180.0, len(E), endpoint=False)
    return Directional(angles, np.asarray(E, dtype=float), np.ones(len(E)), np.zeros(len(E)))


def pictures():
    rows, beams = measured(curve())
    grid = [
        row(f, w, p, force=90 + 50 * f * w)
        for p, w, f in product(("square", "kagome"), (1, 2, 3), (0.1, 0.4))
    ]
    steps = [{"step": "+1 wall", "f": 3.0, "f_low": 2.0, "f_high": 4.0}, {"step": "+1 layer", "f": -1.0}]
    angles = np.arange(0.0, 180.0, 15.0)
    return {
        "curve": against(rows, "breaking_force", beams),
        "panels": against(grid, "stiffness"),
        "shares": shares(grid),
        "pareto": pareto(grid),
        "parity": parity(rows),
        "residuals": residuals(rows, beams),
        "modes": mode_map(grid),
        "gains": gains(steps, {"f": "force per mass [N/g]"}),
        "polar": polar({"square": directional(2 + np.cos(np.radians(4 * angles)))}),
    }


@pytest.fixture(scope="module")
def drawn():
    return {name: (picture, picture.svg(name)) for name, picture in pictures().items()}


def lines(ax, label=""):
    return [line for line in ax.get_lines() if str(line.get_label()).startswith(label)]


def test_every_figure_is_titled_described_svg_of_its_own_ids_without_inline_style(drawn):
    for name, (picture, svg) in drawn.items():
        root = ET.fromstring(svg)
        assert root.tag == f"{SVG}svg"
        assert root.attrib["role"] == "img"
        named_by = root.attrib["aria-labelledby"].split()
        told = {element.attrib.get("id"): element.text for element in root}
        assert [told[i] for i in named_by] == [picture.title, picture.description]
        ids = [element.attrib["id"] for element in root.iter() if "id" in element.attrib]
        assert len(set(ids)) == len(ids)
        assert all(i.startswith(f"{name}-") for i in ids)
        references = re.findall(r'href="#([^"]+)"|url\(#([^)]+)\)', svg)
        assert {a or b for a, b in references} <= set(ids)
        assert not re.search(r"<style|\sstyle=|<script|<image|https?://(?!www\.w3\.org/)", svg)


def test_the_same_rows_give_the_same_bytes(drawn):
    again = pictures()
    assert {name: picture.svg(name) for name, picture in again.items()} == {
        n: svg for n, (_, svg) in drawn.items()
    }


def test_pictures_are_written_by_their_ending_and_others_refused(tmp_path, drawn):
    picture = drawn["gains"][0]
    picture.save(tmp_path / "a.svg")
    picture.save(tmp_path / "a.png")
    assert ET.parse(tmp_path / "a.svg").getroot().tag == f"{SVG}svg"
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG\r\n")
    with pytest.raises(InputError, match=r"a\.jpg: pictures are written as \.svg or \.png"):
        picture.save(tmp_path / "a.jpg")


def test_names_of_users_stay_text_even_with_dollars_tags_and_signs_the_font_lacks():
    evil = "<b>$\\frac{1$ & 壁 %s"
    rows, beams = measured([row(fill, setting=f"{evil} {fill}") for fill in (0.1, 0.3)])
    beams = [{**one, "build": f"{evil}{i % 2}"} for i, one in enumerate(beams)]
    root = ET.fromstring(residuals(rows, beams).svg("x"))
    assert not list(root.iter(f"{SVG}b"))
    picture = pareto(rows)
    title = next(ET.fromstring(picture.svg("y")).iter(f"{SVG}title")).text
    assert evil in title


def test_series_differ_in_colour_marker_and_dash():
    for kind in range(3):
        assert len({str(look[kind]) for look in SERIES}) == len(SERIES)


def test_series_have_the_published_colours():
    # M. Okabe and K. Ito, Color Universal Design (2008): blue, vermilion, bluish green, reddish purple, sky, orange.
    published = [(0, 114, 178), (213, 94, 0), (0, 158, 115), (204, 121, 167), (86, 180, 233), (230, 159, 0)]
    assert [color.lower() for color, _, _ in SERIES] == [
        "#{:02x}{:02x}{:02x}".format(*rgb) for rgb in published
    ]


def test_walls_faces_and_core_stay_apart_in_grey():
    grey = sorted(np.array([0.2126, 0.7152, 0.0722]) @ _linear(color) for color, _ in ROLE_LOOKS.values())
    # Contrast of neighbours by WCAG 2.1, relative luminance; 1.5 : 1 is a visible step of grey.
    assert all((b + 0.05) / (a + 0.05) > 1.5 for a, b in pairwise(grey))


def _linear(color):
    values = np.array([int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)


def test_curve_draws_every_valid_beam_the_mean_and_the_band():
    rows, beams = measured(curve())
    beams[0]["valid"] = 0
    ax = against(rows, "breaking_force", beams).fig.axes[0]
    points = [y for line in lines(ax, "measured beams") for y in line.get_ydata()]
    points += [y for line in ax.get_lines() if line.get_marker() == "o" for y in line.get_ydata()]
    assert sorted(set(points)) == pytest.approx(sorted(one["breaking_force_N"] for one in beams[1:]))
    (best,) = lines(ax, "estimate, best")
    assert list(best.get_xdata()) == [0.1, 0.3, 0.6]
    assert list(best.get_ydata()) == [120, 160, 220]
    band = ax.collections[0].get_paths()[0].get_extents()
    assert (band.ymin, band.ymax) == pytest.approx((0.8 * 120, 1.1 * 220))
    assert ax.get_ylim()[0] == 0


def test_curve_title_states_the_finding():
    assert (
        against(curve(), "breaking_force").title
        == "Estimated breaking force at set fill 0.6 is 1.83 times that at 0.1"
    )
    rows, beams = measured(curve())
    assert against(rows, "breaking_force", beams).title.startswith(
        "Measured breaking force at set fill 0.6 is"
    )
    assert against(curve(), "breaking_force", invented=True).title.endswith("(invented data)")


def test_a_broken_line_leads_to_the_solid_print():
    rows = [*curve(), row(1.0, pattern="solid", force=400.0)]
    ax = against(rows, "breaking_force").fig.axes[0]
    (best,) = lines(ax, "estimate, best")
    assert max(best.get_xdata()) == 0.6
    (solid,) = lines(ax, "solid print")
    assert (solid.get_xdata()[0], solid.get_ydata()[0]) == (1.0, 400.0)
    (leader,) = [line for line in ax.get_lines() if list(line.get_xdata()) == [0.6, 1.0]]
    assert leader.is_dashed()


def test_alternating_lines_at_full_fill_count_as_solid():
    assert is_solid(row(1.0, pattern="alternating"))
    assert not is_solid(row(1.0, pattern="square"))
    assert not is_solid(row(0.99, pattern="alternating"))


def test_many_series_get_a_panel_each_with_the_others_behind():
    rows = [row(fill, walls) for walls in (1, 2, 3) for fill in (0.1, 0.4)]
    axes = [ax for ax in against(rows, "stiffness").fig.axes if ax.get_visible()]
    assert [ax.get_title(loc="left") for ax in axes] == ["walls 1", "walls 2", "walls 3"]
    assert len({ax.get_ylim() for ax in axes}) == 1


def test_the_abscissa_is_the_fill_or_the_number_with_most_values():
    assert abscissa([row(0.1), row(0.2)]) == "set_fill"
    assert abscissa([row(0.1, walls=n) for n in (1, 2)]) == "walls"
    assert abscissa([{**row(), "test.lever_mm": lever} for lever in (40.0, 60.0)]) == "test.lever_mm"
    assert abscissa([row(pattern=p) for p in ("square", "kagome")]) is None
    with pytest.raises(InputError, match="no number varies"):
        against([row()], "stiffness")


def test_labels_carry_units():
    assert axis_label("test.lever_mm") == "lever [mm]"
    assert axis_label("core.angle_deg") == "angle [°]"
    assert axis_label("set_fill") == "set fill of the core"
    assert named("test.span_mm", 110.0) == "span 110 mm"
    assert named("core.angle_deg", 45.0) == "angle 45°"
    assert named("core.pattern", "kagome") == "kagome"


def test_series_keep_apart_what_differs_besides_the_abscissa():
    rows = [row(f, w) for f, w in product((0.4, 0.1), (1, 2))]
    found = series_of(rows, "set_fill")
    assert [one.title for one in found] == ["walls 1", "walls 2"]
    assert [[r["set_fill"] for r in one.rows] for one in found] == [[0.1, 0.4]] * 2


def test_lines_of_equal_ratio_pass_the_origin_and_bear_their_slope():
    rows = [row(mass=m, force=f) for m, f in ((4.0, 80.0), (5.0, 90.0), (6.0, 60.0))]
    picture = pareto(rows)
    assert picture.title.startswith("Most breaking force per mass, estimated: set fill 0.2")
    assert "20.0 N/g" in picture.title
    ax = picture.fig.axes[0]
    told = [float(text.get_text().split()[0]) for text in ax.texts if text.get_text().endswith("N/g")]
    drawn = [
        line.get_ydata()[1] / line.get_xdata()[1]
        for line in ax.get_lines()
        if line.get_xdata()[0] == 0 and line.get_ydata()[0] == 0
    ]
    assert len(told) >= 3
    assert drawn == pytest.approx(told)


def test_pareto_fills_its_frame_shows_measured_means_and_no_label_collides():
    rows = [row(mass=50 + m, force=200 + 3 * m + m % 2) for m in range(40)]
    rows[3] |= {"measured_breaking_force_N": 230.0, "measured_mass_g": 54.0}
    ax = pareto(rows).fig.axes[0]
    assert ax.get_xlim()[0] > 30
    assert ax.get_ylim()[0] > 100
    (rings,) = lines(ax, "measured mean")
    assert (rings.get_xdata()[0], rings.get_ydata()[0]) == (54.0, 230.0)
    fig = ax.figure
    fig.draw_without_rendering()
    boxes = [text.get_window_extent() for text in ax.texts if text.get_text().isdigit()]
    assert len(boxes) > 4
    assert not any(a.overlaps(b) for k, a in enumerate(boxes) for b in boxes[:k])


def test_pareto_of_tuned_rows_stands_on_the_tuned_means():
    rows = [
        row(mass=m, force=f)
        | {
            tuned_column(name, end): share * value
            for name, value in (("breaking_force", 2 * f), ("mass", m))
            for end, share in (("", 1.0), ("low", 0.9), ("high", 1.1))
        }
        for m, f in ((4.0, 80.0), (5.0, 90.0))
    ]
    assert pareto(rows).title.startswith("Most breaking force per mass, tuned: set fill 0.2")
    assert "40.0 N/g" in pareto(rows).title


def test_tuned_band_stands_in_front_and_the_estimate_is_faint():
    rows, beams = measured(curve())
    for one in rows:
        one |= {
            tuned_column("breaking_force", end): s * 100
            for end, s in (("", 1.0), ("low", 0.9), ("high", 1.1))
        }
    ax = against(rows, "breaking_force", beams).fig.axes[0]
    (tuned,) = [line for line in lines(ax, "tuned estimate") if line.get_label() == "tuned estimate"]
    assert list(tuned.get_ydata()) == [100.0] * 3
    (untuned,) = lines(ax, "untuned estimate, best")
    assert untuned.get_color() == FAINT
    assert not lines(ax, "95 % interval of the mean")


def test_an_interval_that_leaves_the_picture_ends_in_an_arrow():
    rows, beams = measured(curve())
    rows[0]["measured_breaking_force_low_N"] = -500.0
    rows[0]["measured_breaking_force_high_N"] = 5000.0
    ax = against(rows, "breaking_force", beams).fig.axes[0]
    arrows = {line.get_marker(): line.get_ydata()[0] for line in ax.get_lines() if line.get_marker() in "v^"}
    assert arrows == pytest.approx({"v": 0.0, "^": ax.get_ylim()[1]})


def test_a_figure_for_the_hand_is_narrow_and_its_upper_labels_keep_apart():
    rows = [row(fill, force=100 + fill) for fill in (0.1, 0.12, 0.14, 0.5)]
    picture = against(rows, "breaking_force", narrow=True)
    assert picture.fig.get_size_inches()[0] < 4.4
    (top,) = picture.fig.axes[0].child_axes
    assert list(top.get_xticks()) == [0.1, 0.5]


def test_parity_tells_error_and_bias_of_what_was_not_calibrated_on():
    rows, _ = measured(curve(), share=0.9)
    # By hand: every ratio is 0.9, so 10 % off and 10 % low.
    assert parity(rows).title.replace("\u00a0", " ") == (
        "Measured breaking force is off the untuned estimate by 10 % on average, bias -10 % (3 settings)"
    )
    assert "setting, estimated" in parity(rows).fig.axes[0].get_legend_handles_labels()[1]
    even, _ = measured(curve(), share=0.999)
    assert "bias 0\u00a0% (3" in parity(even).title
    rows[0] |= {"measured_breaking_force_N": 2 * rows[0]["breaking_force_N"], "calibrated": True}
    picture = parity(rows)
    assert "10\u00a0% on average" in picture.title
    assert {"setting, predicted", "setting, calibrated on"} <= set(
        picture.fig.axes[0].get_legend_handles_labels()[1]
    )
    hollow = [line for line in picture.fig.axes[0].get_lines() if line.get_markerfacecolor() == "white"]
    assert [len(line.get_xdata()) for line in hollow] == [1]
    with pytest.raises(InputError, match="no setting has both"):
        parity(curve())


def test_parity_over_more_than_a_decade_is_logarithmic_and_starts_at_zero_otherwise():
    near, _ = measured(curve())
    far, _ = measured([row(0.1, force=5.0), row(0.3, force=900.0)])
    assert parity(near).fig.axes[0].get_xlim()[0] == 0
    assert parity(far).fig.axes[0].get_xscale() == "log"


def test_residuals_are_drawn_against_what_the_table_tells():
    rows, beams = measured(curve())
    picture = residuals(rows, beams, ("breaking_force",))
    axes = [ax for ax in picture.fig.axes if ax.get_visible()]
    assert [ax.get_xlabel() for ax in axes] == ["set fill of the core", "test order", "build"]
    for ax in axes:
        points = [y for line in lines(ax, "breaking force") for y in line.get_ydata()]
        assert sorted(points) == pytest.approx(sorted([0.855, 0.9, 0.945] * 3))
    assert picture.title == "Mean measured over untuned estimate, 9 beams: breaking force 0.90"


def test_shares_stack_to_the_whole():
    picture = shares(curve())
    for ax in picture.fig.axes:
        tops = [c.get_paths()[0].get_extents().ymax for c in ax.collections]
        assert tops == pytest.approx([50, 70, 100])
    assert picture.title == "Estimated: the core carries 30 % of the bending and 30 % of the shear stiffness"


def test_mode_map_names_mode_force_and_what_was_seen():
    rows = [row(f, w, mode=m, force=f * 100) for f, w, m in ((0.1, 1, "dimpling"), (0.4, 1, "core_shear"))]
    picture = mode_map(rows, [beam(rows[1], 40.0)])
    texts = [text.get_text() for text in picture.fig.axes[0].texts]
    assert texts == ["M 10.0", "S 40.0", "seen 1D"]
    (legend,) = picture.fig.legends
    assert [text.get_text() for text in legend.get_texts()] == [
        "S  core shear",
        "M  dimpling",
        "D  weld between layers (seen)",
    ]
    assert picture.title.startswith("By the estimate 2 modes govern")


def test_mode_map_of_many_settings_holds_letters_alone():
    rows = [row(round(0.1 + 0.02 * i, 2), w, force=100.0 + i) for i in range(25) for w in (1, 2, 3, 4)]
    picture = mode_map(rows, [beam(rows[0], 40.0)])
    assert {text.get_text() for text in picture.fig.axes[0].texts} == {"S"}
    assert "breaking force" not in picture.description


def test_modes_in_words_of_the_writers_own_are_counted_as_others():
    rows = [row(0.1, 1), row(0.4, 1)]
    picture = mode_map(rows, [{**beam(rows[0], 40.0), "mode": "snapped"}])
    assert "seen 1 other" in [text.get_text() for text in picture.fig.axes[0].texts]


def test_mode_map_gives_every_mode_a_look_of_its_own():
    from fem.strength.failure import MODES
    from validation.report.lever_map import LINES
    from validation.report.mode_map import MODE_LOOKS

    unlike = set(MODE_LOOKS) ^ set(MODES)
    assert not unlike, f"in fem.strength.failure.MODES or in mode_map.MODE_LOOKS, but not in both: {unlike}"
    assert len(set(MODE_LOOKS.values())) == len(MODE_LOOKS)
    assert len(LINES) >= len(MODES), "lever_map.LINES needs one more line"


def test_gains_stand_in_order_of_size_with_their_intervals():
    steps = [
        {"step": "small", "f": 1.0, "f_low": 0.5, "f_high": 1.5},
        {"step": "unknown", "f": None},
        {"step": "loss", "f": -4.0, "f_low": -5.0, "f_high": -3.0},
        {"step": "large", "f": 6.0, "f_low": 5.0, "f_high": 7.0},
    ]
    picture = gains(steps, {"f": "force per mass [N/g]"})
    ax = picture.fig.axes[0]
    assert [label.get_text() for label in ax.get_yticklabels()] == ["unknown", "small", "loss", "large"]
    assert [bar.get_width() for bar in ax.patches] == [1.0, -4.0, 6.0]
    assert [list(line.get_xdata()) for line in ax.get_lines()[:3]] == [[0.5, 1.5], [-5, -3], [5, 7]]
    assert picture.title == "large changes force per mass most: 6.00 N/g"


def test_polar_starts_at_zero_closes_the_turn_and_tells_the_ratio():
    lines = np.where(np.arange(36) == 0, 4.0, np.nan)
    even = by_direction(isotropic(3.0, 0.3), np.arange(0.0, 180.0, 5.0))
    picture = polar({"even": even, "lines": directional(lines)})
    ax = picture.fig.axes[0]
    assert ax.get_ylim()[0] == 0
    even, single = ax.get_lines()
    assert even.get_label() == "even (max/min 1.00)"
    assert single.get_label() == "lines (no load path in some directions)"
    assert even.get_ydata() == pytest.approx(np.full(73, 3.0))
    assert np.degrees(even.get_xdata()[[0, -1]]) == pytest.approx([0, 360])
    assert sorted(set(single.get_ydata())) == [0, 4]
    assert picture.title == "Estimated Young's modulus E in the layer plane: most even even"


def test_one_step_from_the_middle_takes_what_settings_share_out_of_the_interval(tmp_path):
    study = invented_study(tmp_path / "kite.toml")
    results, _ = invented_results(study)
    common = np.linspace(0.5, 1.5, 50)
    for found in results.estimates:
        found.draws["breaking_force"] = common * found.breaking_force.best
    picture = one_step(results.rows)
    ax = picture.fig.axes[0]
    labels = [label.get_text() for label in ax.get_yticklabels()]
    # Middle: square, 1 wall, fill 0.4, 100 (1 + 0.4 + 0.4) = 180 N. By hand: 3 walls 260 N, kagome 1.1 times,
    # fill 0.55 195 N.
    assert dict(zip(labels, [bar.get_width() for bar in ax.patches], strict=True)) == pytest.approx(
        {"set fill 0.4 to 0.55": 100 * 15 / 180, "square to kagome": 10, "walls 1 to 3": 100 * 80 / 180}
    )
    for line in ax.get_lines()[:3]:
        assert np.ptp(line.get_xdata()) < 1e-9
    assert picture.title.endswith("walls 1 to 3 changes breaking force most, +44 %")


def test_cores_are_drawn_one_curve_per_pattern(tmp_path):
    study = invented_study(tmp_path / "kite.toml")
    results, _ = invented_results(study)
    picture = core_direction(results.estimates)
    young = study.settings[0].setting.card.young_mpa.best
    for line in picture.fig.axes[0].get_lines():
        assert line.get_ydata() == pytest.approx(np.full(361, 0.2 * young))
    assert len(picture.fig.axes[0].get_lines()) == 2


def test_figures_are_drawn_by_name_where_the_data_allow_and_refused_by_one_line_elsewhere(tmp_path):
    study = invented_study(tmp_path / "kite.toml", vary={"core.set_fill": [0.2, 0.4, 0.5]})
    results, _ = invented_results(study)
    data = Data.of(results)
    names = [name for name, _ in drawable(data, FIGURES)]
    # invented responses have no fibres, so no curve
    assert names == [name for name in ESTIMATED if name not in ("steps", "curve")]
    for name in ("parity-force", "residuals", "steps"):
        with pytest.raises(InputError) as caught:
            FIGURES[name].draw(data)
        assert "\n" not in str(caught.value)
    with pytest.raises(InputError, match="needs a study"):
        FIGURES["steps"].draw(Data(data.rows))


def test_figures_are_drawn_from_a_table_too(tmp_path):
    rows = [row(f, w) for f, w in product((0.1, 0.4), (1, 2))]
    again = read_rows(to_csv(rows))
    assert to_csv(again) == to_csv(rows)
    assert [one["stiffness_N_per_mm"] for one in again] == [10.0] * 4
    names = [name for name, _ in drawable(Data(again), FIGURES)]
    assert names == ["force", "stiffness", "shares", "pareto-force", "pareto-stiffness", "modes"]
    with pytest.raises(InputError, match="no column setting, pattern"):
        read_rows("a,b\n1,2\n")


def test_csv_holds_units_in_names_and_no_formula_that_a_spreadsheet_would_run():
    text = to_csv(
        [{"specimen": "=1+1", "mass_g": -1.5, "valid": True, "note": None}, {"specimen": "a,b", "more": 2}]
    )
    assert text == 'specimen,mass_g,valid,note,more\n\'=1+1,-1.5,1,,\n"a,b",,,,2\n'
