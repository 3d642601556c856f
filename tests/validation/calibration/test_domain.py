"""Interpolation told from extrapolation."""

from validation.calibration import beyond


def test_beyond_compares_numbers_and_names():
    measured = [
        {"fill": 0.2, "walls": 2, "pattern": "square"},
        {"fill": 0.8, "walls": 2, "pattern": "kagome"},
    ]
    assert beyond({"fill": 0.5, "walls": 2, "pattern": "kagome"}, measured) == []
    assert beyond({"fill": 0.1, "walls": 3, "pattern": "gyroid"}, measured) == [
        "fill 0.1 below the smallest measured, 0.2",
        "walls 3 above the largest measured, 2",
        "pattern gyroid not measured, only square, kagome",
    ]
