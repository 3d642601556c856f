"""What breaks a beam, as it leaves the program: forces by hand, the weakest first, every formula told once."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from fem.strength.failure import Way
from validation.results.criteria import criteria_dicts, governing_dict, weakest_by_formula

PULLED = Way("face_tension", "face, along the bead", 300.0, (1.0, 4.0), "tension_along_mpa", (), "field")
WELD = Way("weld_tension", "wall, between layers", 60.0, (0.0, -4.0), "weld_tension_mpa", (), "groove")
SHEARED = Way("weld_tension", "wall, sheared", 200.0, (3.0, 0.0), "weld_shear_mpa", (), "webs")
UNKNOWN = Way("crush", "nose", None, (0.0, 4.0), "compression_mpa", ("compression_mpa",), "handbook")
WEAKER = replace(WELD, force=40.0)


def criteria_of(*ways):
    return criteria_dicts(SimpleNamespace(response=SimpleNamespace(ways=lambda: list(ways))))


def test_forces_places_and_formulas_stand_with_the_weakest_first():
    rows = criteria_of(UNKNOWN, PULLED, WELD)
    assert [row["what"] for row in rows] == [one.what for one in (WELD, PULLED, UNKNOWN)]
    assert [row["force_N"] for row in rows] == [pytest.approx(60), pytest.approx(300), None]
    assert [(row["y_mm"], row["z_mm"], row["source"]) for row in rows[:2]] == [
        (0, -4, "groove"),
        (1, 4, "field"),
    ]
    assert [row["unknown"] for row in rows] == [[], [], ["compression_mpa"]]


def test_the_governing_criterion_is_the_weakest_of_its_mode():
    rows = criteria_of(SHEARED, UNKNOWN, WELD, PULLED)
    assert governing_dict("weld_tension", rows)["what"] == WELD.what
    assert governing_dict("crush", rows) is None
    assert governing_dict("", rows) is None


def test_what_only_begins_does_not_govern_and_is_told_beside_what_ends_the_beam():
    begun = replace(WELD, force=20.0, ends=False)
    rows = criteria_of(WELD, begun)
    assert [row["ends"] for row in rows] == [False, True]
    assert governing_dict("weld_tension", rows)["force_N"] == pytest.approx(60)
    assert len(weakest_by_formula([("a", rows)])) == 2


def test_each_formula_is_told_once_at_the_setting_where_it_is_weakest():
    told = weakest_by_formula([("a", criteria_of(PULLED, WELD, SHEARED)), ("b", criteria_of(PULLED, WEAKER))])
    assert [(row["what"], row["setting"], row["force_N"]) for row in told] == [
        (WELD.what, "b", pytest.approx(40)),
        (SHEARED.what, "a", pytest.approx(200)),
        (PULLED.what, "a", pytest.approx(300)),
    ]
