"""A beam described in Python: the study's words, defaults and errors."""

import inspect

import pytest

from fem import Setting
from patterns.errors import InputError
from validation import beam
from validation.notebook.study_of import study_of, tables_of
from validation.study.study import build
from validation.study.study_keys import all_keys

SETTINGS = {
    "flat bar": {"width_mm": 10.0, "depth_mm": 4.0, "set_fill": 0.3},
    "round cantilever": {
        "shape": "round", "width_mm": 16.0, "pattern": "hexagonal", "set_fill": 0.25, "orientation": "upright",
        "test": "cantilever", "lever_mm": 90.0, "clamp_length_mm": 20.0, "root": "elastic",
    },
    "tube": {
        "shape": "tube", "width_mm": 20.0, "inner_mm": 8.0, "set_fill": 0.4, "test": "four_point", "span_mm": 160.0,
        "load_span_mm": 60.0, "walls": 3, "phase": 0.25, "wall_overlap_mm": 0.0,
    },
    "profile": {
        "shape": "polygon", "points_mm": [(0, 0), (16, 0), (16, 10), (4, 12)], "set_fill": 0.5, "pattern": "square",
        "corner_radius_mm": 0.05, "span_mm": 160.0, "load_angle_deg": 90.0, "compliance_mm_per_N": 1e-4,
    },
    "pulled": {
        "width_mm": 10.0, "depth_mm": 4.0, "pattern": "solid", "test": "tension", "gauge_length_mm": 50.0,
        "angles_deg": [0.0, 90.0], "face_layers": {"bottom": 0, "top": 0},
        "material": {"card": "PETG", "young_mpa": 2000.0},
    },
}  # fmt: skip


@pytest.mark.parametrize("keys", SETTINGS.values(), ids=SETTINGS)
def test_tables_of_a_setting_give_it_back(keys):
    setting = beam(**keys)
    assert isinstance(setting, Setting)
    (named,) = build(tables_of(setting), study_of(setting).path).settings
    assert named.setting == setting
    assert study_of(setting).settings[0].setting is setting


def test_a_bar_without_lengths_is_that_of_iso_178():
    """ISO 178:2019: a bar 10 mm wide and 4 mm deep is 80 mm long and lies on supports 64 mm apart (from memory)."""
    bar = beam(width_mm=10.0, depth_mm=4.0, set_fill=0.3)
    assert (bar.specimen.length, bar.test.span) == (80.0, 64.0)


def test_every_key_of_the_four_tables_can_be_given():
    given = set(inspect.signature(beam).parameters) - {"unknown", "material", "test"} | {"kind"}
    tables = ("specimen", "print", "core", "test")
    keys = {key.split(".")[1] for key in all_keys() if key.split(".")[0] in tables}
    assert given == keys


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"set_fill": 30}, "beam: core.set_fill: a fill is a fraction from 0 to 1; for 30 percent write 0.3"),
        ({"width_mm": -1.0}, "beam: specimen.width_mm: input should be greater than 0 (got -1.0)"),
        ({"pattern": "sqare"}, "did you mean 'square'"),
        ({"material": "PLB"}, "did you mean PLA"),
        ({"test": "cantilever"}, "beam: test: a cantilever test: lever_mm is missing"),
        ({"span_mm": 2.0}, "beam theory does not hold"),
        ({"infill": 0.3}, "beam: infill: unknown key; did you mean set_fill?"),
        ({"widht_mm": 3.0}, "beam: widht_mm: unknown key; did you mean width_mm?"),
        ({"zzz": 3.0}, "beam: zzz: unknown key; help(validation.beam) lists the known ones"),
    ],
)
def test_slips_are_told_in_one_line(more, told):
    with pytest.raises(InputError) as caught:
        beam(**{"width_mm": 10.0, "depth_mm": 4.0, "set_fill": 0.3, **more})
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_all_slips_are_told_at_once():
    with pytest.raises(InputError) as caught:
        beam(width_mm=-1.0, depth_mm=4.0, set_fill=30)
    assert len(str(caught.value).splitlines()) == 2


def test_several_settings_are_told_apart_by_their_keys():
    bars = [
        beam(width_mm=10.0, depth_mm=4.0, set_fill=fill, walls=walls, material=card)
        for fill, walls, card in ((0.2, 2, "PLA"), (0.4, 3, "PETG"))
    ]
    study = study_of(bars)
    assert [named.label for named in study.settings] == [
        "walls 2, set_fill 0.2, name PLA",
        "walls 3, set_fill 0.4, name PETG",
    ]
    with pytest.raises(InputError, match="wanted"):
        study_of([])
