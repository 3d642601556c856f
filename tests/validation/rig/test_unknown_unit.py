"""A unit nobody knows is refused by name; a label in brackets is none."""

from pathlib import Path

import pytest

from patterns.errors import DataError
from validation.rig.profile import Profile
from validation.rig.reduce import reduce_file

# 14 pounds, exact (international avoirdupois pound, 1959, times standard gravity)
STONE = 14 * 0.45359237 * 9.80665


def record(folder: Path, force: str) -> Path:
    """Write a straight run up to 150 N and a break, under a name of the force column."""
    rows = [f"{0.05 * k:.3f},{3.0 * k if k <= 50 else 5.0:.2f}" for k in range(60)]
    path = folder / "run.csv"
    path.write_text("\n".join([f"deflection (mm),{force}", *rows]) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("name", ["load (stone)", "Load [stone]", "load in stone", "load/stone"])
def test_an_unknown_unit_is_refused_with_unit_column_and_remedy(name, tmp_path):
    with pytest.raises(DataError) as caught:
        reduce_file(record(tmp_path, name))
    told = str(caught.value)
    assert f"column '{name}': 'stone' is no known unit of force (N, kN," in told
    assert "--profile: [units] force" in told
    assert "\n" not in told


def test_the_remedy_gives_newtons(tmp_path):
    profile = Profile.model_validate({"units": {"force": "N"}, "scale": {"force": STONE}})
    (run,) = reduce_file(record(tmp_path, "load (stone)"), profile)
    assert run.peak_force == pytest.approx(150 * STONE, rel=1e-3)


@pytest.mark.parametrize(
    "label", ["(Ch 1)", "(filtered)", "(Ch1)", "(Kraft)", "(left)", "(Fz)", "(x)", "(motor)", "in clamp"]
)
def test_a_label_is_no_unit_and_only_told_as_a_guess(label, tmp_path):
    (run,) = reduce_file(record(tmp_path, f"load {label}"))
    assert run.peak_force == pytest.approx(150, rel=1e-3)
    assert "unit of force stated nowhere, taken as N" in run.guesses


@pytest.mark.parametrize("name", ["load (raw) [N]", "load (stone) [N]", "load (N)"])
def test_a_known_unit_decides(name, tmp_path):
    (run,) = reduce_file(record(tmp_path, name))
    assert not any(guess.startswith("unit of force") for guess in run.guesses)


def test_an_unknown_unit_of_travel_is_refused_too(tmp_path):
    path = record(tmp_path, "load (N)")
    path.write_text(
        path.read_text(encoding="utf-8").replace("deflection (mm)", "deflection (furlong)"), "utf-8"
    )
    with pytest.raises(DataError, match=r"'furlong' is no known unit of travel \(mm, um,"):
        reduce_file(path)
