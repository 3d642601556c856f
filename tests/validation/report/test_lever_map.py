"""The map of modes over lever/depth: statics decides where they change, the picture says so."""

from types import SimpleNamespace

import numpy as np
import pytest

from fem.bending.bending import BendTest
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.errors import InputError
from patterns.setting import Core, Printing, Specimen
from tests.validation.report.invented import invented_response
from validation.report.figures import Data
from validation.report.lever_map import governing, lever_map, mode_forces

DEPTH = 10.0


def estimate(test, **forces):
    setting = Setting(
        Specimen("rectangle", 12.0, DEPTH, 300.0),
        Printing("flat", Bead(0.45, 0.2)),
        Core("square", 0.3),
        test,
        shipped_card("PLA"),
    )
    return SimpleNamespace(response=invented_response(setting, forces))


# Bending force F at reach L equals the shear force S at L F/S: here 200 x 50/400 = 25 mm, 2.5 depths.
@pytest.mark.parametrize(
    "test",
    [
        BendTest("cantilever", lever=50.0),
        BendTest("three_point", span=100.0),
        BendTest("four_point", span=130.0, load_span=30.0),
    ],
)
def test_shear_gives_way_to_bending_where_their_forces_meet(test):
    found = estimate(test, face_tension=200.0, core_shear=400.0)
    ratios = np.geomspace(1.5, 20.0, 400)
    forces = mode_forces(found.response, ratios)
    np.testing.assert_allclose(forces["core_shear"], 400.0)
    np.testing.assert_allclose(forces["face_tension"], 200.0 * 50 / (ratios * DEPTH))
    (shear, low, change), (face, again, high) = governing(ratios, forces)
    assert (shear, face) == ("core_shear", "face_tension")
    assert (low, high) == (1.5, 20.0)
    assert change == again == pytest.approx(2.5, rel=0.01)
    picture = lever_map(found, "a beam", invented=True)
    assert "core shear to 2.5" in picture.title
    assert picture.title.endswith("then face tension (invented data)")


def test_the_picture_draws_what_comes_near_and_names_what_does_not():
    picture = lever_map(
        estimate(BendTest("cantilever", lever=50.0), face_tension=100.0, dimpling=9e5), "a beam"
    )
    (ax,) = picture.fig.axes
    labels = [line.get_label() for line in ax.get_lines()]
    assert "face tension" in labels
    assert "dimpling" not in labels
    assert "Not drawn, being far above: dimpling" in picture.description
    assert picture.title == "By the estimate one mode governs at every lever: face tension"
    assert [label.get_text() for label in ax.get_xticklabels()][:3] == ["1.5", "2", "3"]


def test_without_any_strength_there_is_nothing_to_draw():
    with pytest.raises(InputError, match="no failure mode is evaluated"):
        lever_map(estimate(BendTest("cantilever", lever=50.0)), "a beam")


def test_a_table_of_results_has_no_section_to_bend_elsewhere():
    from validation.report.figures import FIGURES

    with pytest.raises(InputError, match="needs a study"):
        FIGURES["levers"].draw(Data([]))
