"""The study file: what it means, and how every slip in it is told."""

import re
from pathlib import Path

import pytest

from patterns.errors import DataError, InputError
from validation.study.study import load

GOOD = """
title = "bars"
[specimen]
width_mm = 16.0
depth_mm = 12.0
length_mm = 120.0
[core]
pattern = "square"
set_fill = 0.3
[test]
kind = "three_point"
span_mm = 100.0
"""


def write(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "study.toml"
    path.write_text(text, encoding="utf-8")
    return path


def refused(tmp_path: Path, text: str) -> str:
    with pytest.raises(InputError) as caught:
        load(write(tmp_path, text))
    return str(caught.value)


def test_defaults_and_units(tmp_path):
    study = load(write(tmp_path, GOOD))
    (named,) = study.settings
    setting = named.setting
    assert (setting.specimen.width, setting.specimen.depth) == (16.0, 12.0)
    assert (setting.printing.orientation, setting.printing.walls) == ("flat", 2)
    assert setting.test.moment_per_force == 25.0
    assert setting.card.name == "PLA"


def test_vary_takes_the_product_of_all_lists(tmp_path):
    study = load(write(tmp_path, GOOD + '[vary]\n"core.set_fill" = [0.2, 0.4]\n"print.walls" = [1, 2, 3]\n'))
    assert len(study.settings) == 6
    assert [named.setting.core.set_fill for named in study.settings] == [0.2] * 3 + [0.4] * 3
    assert study.settings[4].label == "set_fill 0.4, walls 2"


def test_changes_replace_what_is_varied(tmp_path):
    path = write(tmp_path, GOOD + '[vary]\n"core.set_fill" = [0.2, 0.4]\n')
    (named,) = load(path, {"core.set_fill": 0.65}).settings
    assert named.setting.core.set_fill == 0.65
    assert named.label == "set_fill 0.65"
    first, second = load(path, {"print.walls": 3}).settings
    assert (first.label, second.label) == ("walls 3, set_fill 0.2", "walls 3, set_fill 0.4")
    assert first.keys == {"core.set_fill": 0.2}


def test_geometric_fill_is_turned_into_set_fill(tmp_path):
    # Crossing lines cover F - F^2/4 and the corner radius r adds (4 - pi) r^2 per void (plane geometry).
    (named,) = load(
        write(tmp_path, GOOD.replace("set_fill = 0.3", "geometric_fill = 0.36\ncorner_radius_mm = 0.0"))
    ).settings
    assert named.setting.core.set_fill == pytest.approx(0.4)


def test_own_material_values_stand_on_the_card(tmp_path):
    (named,) = load(write(tmp_path, GOOD + '[material]\ncard = "PETG"\nyoung_mpa = 2000.0\n')).settings
    young = named.setting.card.young_mpa
    assert (young.low, young.best, young.high) == pytest.approx((1800, 2000, 2200))
    assert young.evidence == "stated in the study; range of ±10 % assumed"
    assert named.setting.card.density_g_cm3.best == 1.27


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("set_fill = 0.3", "set_fill = 30", "for 30 percent write 0.3"),
        (
            "set_fill = 0.3",
            "set_fill = '30%'",
            "core.set_fill: a fill is a fraction from 0 to 1; for 30 percent write 0.3",
        ),
        (
            "[core]",
            "[material]\ncard = 'PLA'\ncolour = 1\n[core]",
            "unknown value; known are young_mpa, poisson",
        ),
        (
            "[core]",
            "heft = 1\n[core]",
            "specimen.heft: unknown key; known are shape, width_mm, depth_mm",
        ),
        (
            "set_fill = 0.3",
            "set_fill = 30%",
            "not TOML: Expected newline or end of document after a statement",
        ),
        ("set_fill = 0.3", "set_fill = 30%", "; for 30 percent write 0.3"),
        ("set_fill = 0.3", "set_fill = 0,3  # thin", "; a decimal comma? write 0.3"),
        ("set_fill = 0.3", "set_fill = '0,3'", "(got '0,3'; write 0.3 with a decimal point)"),
        ("width_mm = 16.0", "width_mm = '16 mm'", "(got '16 mm'; the unit is in the key's name: write 16)"),
        ('"three_point"', '"3 point"', "'four_point' or 'tension' (got '3 point')"),
        ("width_mm = 16.0", "width_mm = 16 mm", "; the unit is in the key's name: write 16"),
        ('kind = "three_point"', "kind = three_point", '; text stands in quotes: "three_point"'),
        ("[test]", "[tests]", "tests: unknown key; did you mean test?"),
        ("[test]", "[tests]", "study.toml: [test] is missing"),
        ("[test]", "[zzz]", "known are title, note, invented, specimen, print, core, test, material"),
        ('title = "bars"', "", "study.toml: title is missing"),
        ("length_mm = 120.0", "", "study.toml: specimen.length_mm is missing"),
        (
            "[core]",
            "[print]\nface_layers = 3\n[core]",
            "print.face_layers: is a count for each side; write { bottom = 3,",
        ),
        ("set_fill = 0.3", "set_fill = -1", "fraction from 0 to 1"),
        ("set_fill = 0.3", "", "set_fill is missing"),
        ("set_fill = 0.3", "set_fil = 0.3", "did you mean core.set_fill?"),
        ('pattern = "square"', 'pattern = "sqare"', "did you mean 'square'"),
        (
            "width_mm = 16.0",
            "width_mm = -16.0",
            "specimen.width_mm: input should be greater than 0 (got -16.0)",
        ),
        ("width_mm = 16.0", 'width_mm = "wide"', "specimen.width_mm"),
        ("width_mm = 16.0", "", "width_mm is missing"),
        ('kind = "three_point"', 'kind = "cantilever"', "lever_mm is missing, span_mm does not belong to it"),
        ("span_mm = 100.0", "span_mm = 200.0", "longer than the beam"),
        (
            "span_mm = 100.0",
            "span_mm = 100.0\nclamp_length_mm = 20.0",
            "clamp_length_mm does not belong to it",
        ),
        (
            'kind = "three_point"\nspan_mm = 100.0',
            'kind = "cantilever"\nlever_mm = 100.0\nclamp_length_mm = 30.0',
            "30 mm in the jaws and a lever of 100 mm are longer than the beam",
        ),
        ("span_mm = 100.0", "span_mm = 20.0", "beam theory does not hold"),
        ('title = "bars"', 'titel = "bars"', "did you mean title?"),
        ('title = "bars"', 'title = "bars', "not TOML"),
        ("[core]", '[print]\norientation = "sideways"\n[core]', "known for this specimen are flat (XYZ)"),
        ("[core]", '[material]\ncard = "PLB"\n[core]', "did you mean PLA"),
        ("[core]", "[material]\nyoung_mpa = -1\n[core]", "density_g_cm3: missing"),
        (
            "[core]",
            "[material]\ncard = 'PLA'\nyoung_mpa = 3.3\n[core]",
            "looks like GPa; if it is, write 3300",
        ),
        ("[core]", '[vary]\n"core.set_fil" = [0.2]\n[core]', "did you mean vary.core.set_fill?"),
        ("[core]", '[vary]\n"core.set_fill" = 0.2\n[core]', "a dotted key and a list"),
        (
            "[core]",
            '[vary]\n"core.set_fill" = [0.2, 0.9]\n[core]\ncorner_radius_mm = 1.0',
            "core.set_fill = 0.9",
        ),
    ],
)
def test_slips_are_told_with_key_and_remedy(tmp_path, old, new, told):
    assert old in GOOD
    text = refused(tmp_path, GOOD.replace(old, new, 1))
    assert told in text
    assert "study.toml" in text


def test_all_problems_are_told_at_once(tmp_path):
    text = refused(
        tmp_path, GOOD.replace("set_fill = 0.3", "set_fill = 30").replace("depth_mm = 12.0", "dept_mm = 12.0")
    )
    assert "write 0.3" in text
    assert "did you mean specimen.depth_mm?" in text


VARIED = '[vary]\n"core.set_fill" = [0.2, 0.4, 0.5]\n"print.walls" = [1, 2]\n'


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        # wrong at every setting
        (
            "width_mm = 16.0",
            "width_mm = -1.0",
            "specimen.width_mm: input should be greater than 0 (got -1.0)",
        ),
        ("span_mm = 100.0", "span_mm = 20.0", "beam theory does not hold"),
        ('pattern = "square"', 'pattern = "sqare"', "did you mean 'square'"),
        # wrong at some: the value they share, or the first and how many
        (
            "[1, 2]",
            "[1, -2]",
            "print.walls: input should be greater than or equal to 0 (got -2) (at print.walls = -2)",
        ),
        ("[0.2, 0.4, 0.5]", "[0.2, 0.4, 1.5]", "for 1.5 percent write 0.015 (at core.set_fill = 1.5)"),
    ],
)
def test_a_mistake_is_told_once_with_the_settings_that_have_it(tmp_path, old, new, told):
    text = refused(tmp_path, (GOOD + VARIED).replace(old, new, 1))
    assert told in text
    assert "\n" not in text
    assert ("(at " in text) == ("(at " in told)


def test_a_mistake_at_settings_that_share_nothing_names_the_first_and_their_number(tmp_path):
    varied = (
        '[vary]\n"core.pattern" = ["square", "solid", "triangle"]\n"test.span_mm" = [100.0, 20.0, 300.0]\n'
    )
    text = refused(tmp_path, GOOD.replace("set_fill = 0.3", "") + varied)
    line = next(line for line in text.splitlines() if "set_fill is missing" in line)
    assert line.endswith("(at core.pattern = square, test.span_mm = 100.0 and 5 more settings)")


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("", "", "is a folder; name the study file in it, such as"),
        ("empty.toml", " \n", "is empty; `fillbend init -o FOLDER` writes a study"),
        ("beams.csv", "set_fill,mass_g\n0.2,3\n", "the study file (.toml) is wanted here"),
    ],
)
def test_what_is_no_study_is_told_with_a_remedy(tmp_path, name, text, told):
    if name:
        (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load(tmp_path / name)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_missing_file_and_missing_measurements(tmp_path):
    with pytest.raises(InputError, match="no such study file"):
        load(tmp_path / "none.toml")
    with pytest.raises(DataError, match="add \\[measured\\]"):
        _ = load(write(tmp_path, GOOD)).specimens_path


@pytest.mark.parametrize(
    ("written", "coefficient"), [('"rigid"', 0.0), ('"elastic"', 4.9956), ("2", 2.0), (None, None)]
)
def test_a_clamps_root_is_stated_or_left_open(tmp_path, written, coefficient):
    clamped = GOOD.replace('"three_point"\nspan_mm', '"cantilever"\nlever_mm')
    (named,) = load(write(tmp_path, clamped + (f"root = {written}\n" if written else ""))).settings
    assert named.setting.test.root == coefficient


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ('root = "stiff"', "test.root: it is 'rigid', 'elastic' or a coefficient of 0 or more, not 'stiff'"),
        ("root = -1", "test.root: it is 'rigid', 'elastic' or a coefficient of 0 or more, not -1"),
        ("root = true", "not True"),
        ('root = "rigid"', "a three_point test: root does not belong to it"),
    ],
)
def test_a_wrong_root_is_told_in_one_line(tmp_path, written, told):
    clamped = GOOD if "rigid" in written else GOOD.replace('"three_point"\nspan_mm', '"cantilever"\nlever_mm')
    problems = refused(tmp_path, f"{clamped}{written}\n")
    assert told in problems
    assert problems.count("\n") == 0


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("density_g_cm3 = 1290", "density_g_cm3: 1290 looks like kg/m3; if it is, write 1.29"),
        ("tension_along_mpa = 38e6", "tension_along_mpa: 3.8e+07 looks like Pa; if it is, write 38"),
        ("shear_mpa = 0.03", "shear_mpa: 0.03 looks like GPa; if it is, write 30"),
        ("young_mpa = 1e12", "young_mpa: 1e+12 is beyond what a print's material has"),
    ],
)
def test_own_values_beyond_belief_name_the_unit(tmp_path, line, message):
    with pytest.raises(InputError, match=re.escape(message)):
        load(write(tmp_path, GOOD + f'[material]\ncard = "PETG"\n{line}\n'))


def test_a_range_that_is_written_out_stays(tmp_path):
    table = "young_mpa = { best = 2000, low = 2000, high = 2000 }"
    (named,) = load(write(tmp_path, GOOD + f'[material]\ncard = "PETG"\n{table}\n')).settings
    assert named.setting.card.young_mpa.low == named.setting.card.young_mpa.high == 2000
    # values of the shipped card keep theirs
    assert "assumed" not in named.setting.card.density_g_cm3.evidence


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("width_mm = 16.0", "diameter_mm = 16.0", "specimen.diameter_mm: unknown key; did you mean specimen.width_mm?"),
        ("depth_mm = 12.0", "height_mm = 12.0", "did you mean specimen.depth_mm?"),
        ("set_fill = 0.3", "infill = 0.3", "core.infill: unknown key; did you mean core.set_fill?"),
        ("set_fill = 0.3", "density = 0.3", "did you mean core.set_fill?"),
        ("[core]", "infill = 0.3\n[core]", "specimen.infill: unknown key; did you mean core.set_fill?"),
        ("[core]", "[print]\nheight = 0.2\n[core]", "did you mean print.layer_height_mm?"),
        ("span_mm = 100.0", "supports = 100.0", "did you mean test.span_mm?"),
        ("[core]", "[material]\nmodulus = 2000\n[core]", "did you mean material.young_mpa?"),
        ('pattern = "square"', 'pattern = "honeycomb"', "did you mean 'hexagonal'?"),
    ],
)  # fmt: skip
def test_another_word_for_a_key_is_understood(tmp_path, old, new, told):
    assert told in refused(tmp_path, GOOD.replace(old, new, 1))


def test_every_mistake_of_every_table_is_told_in_one_run_and_once(tmp_path):
    wrong = GOOD.replace('pattern = "square"', 'pattern = "sqare"').replace(
        "span_mm = 100.0", "span_mm = 300.0"
    )
    wrong = wrong.replace("width_mm = 16.0", "width_mm = 16.0\nheft = 1")
    wrong += '[print]\norientation = "sideways"\nwalls = -1\n[material]\ncard = "PLB"\n'
    wrong += '[vary]\n"core.set_fill" = [0.2, 0.4]\n"core.phse" = [0.1]\n'
    lines = refused(tmp_path, wrong).splitlines()
    told = ["vary.core.phse", "specimen.heft", "print.walls", "known for this specimen are flat"]
    told += ["did you mean 'square'", "test.span_mm: 300 mm is longer than the beam", "no card named 'PLB'"]
    assert [next(one for one in told if one in line) for line in lines] == told


SINGLES = '[[setting]]\ncore.set_fill = 0.5\nprint.walls = 4\n[[setting]]\n"core.pattern" = "triangular"\n'


def test_single_settings_stand_beside_products_and_share_their_keys(tmp_path):
    varied = '[vary]\n"core.set_fill" = [0.2, 0.4]\n"print.walls" = [1, 2]\n'
    study = load(write(tmp_path, GOOD + varied + SINGLES))
    assert [named.label for named in study.settings] == [
        "set_fill 0.2, walls 1, pattern square",
        "set_fill 0.2, walls 2, pattern square",
        "set_fill 0.4, walls 1, pattern square",
        "set_fill 0.4, walls 2, pattern square",
        "set_fill 0.5, walls 4, pattern square",
        "set_fill 0.3, walls 2, pattern triangular",
    ]
    assert study.settings[4].setting.printing.walls == 4
    assert study.settings[5].setting.core.pattern == "triangular"


def test_single_settings_alone_are_all_there_is_and_each_is_there_once(tmp_path):
    study = load(write(tmp_path, GOOD + SINGLES + SINGLES))
    assert [named.label for named in study.settings] == [
        "set_fill 0.5, walls 4, pattern square",
        "set_fill 0.3, walls 2, pattern triangular",
    ]
    changed = load(write(tmp_path, GOOD + SINGLES), {"core.set_fill": 0.6})
    assert [named.setting.core.set_fill for named in changed.settings] == [0.6, 0.6]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[[setting]]\n'core.set_fil' = 0.5\n", "setting.core.set_fil: unknown key; did you mean setting.core"),
        ("[[setting]]\n", "each [[setting]] is a table of dotted keys"),
        ("[setting]\n'core.set_fill' = 0.5\n", "each [[setting]] is a table of dotted keys"),
        ("[[setting]]\nmaterial.young_mpa = 2000\n[[setting]]\nprint.walls = 1\n", "material.young_mpa is missing"),
        ("[[setting]]\ncore.set_fill = 0.5\n[[setting]]\ncore.geometric_fill = 0.3\n", "are both given; keep one"),
        ("[[setting]]\ncore.set_fill = 50\n", "for 50 percent write 0.5"),
    ],
)  # fmt: skip
def test_slips_in_single_settings_are_told(tmp_path, text, told):
    assert told in refused(tmp_path, GOOD + text)
