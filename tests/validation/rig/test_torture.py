"""Every file of the torture folder is read with its known truth, or refused for its known reason."""

import hashlib
import json
from typing import Any

import pytest

from patterns.errors import DataError
from tests.validation.rig.torture_arrangements import FOLDER, INDEX, write
from validation.rig.reduce import reduce_file

EXPECTED: dict[str, dict[str, Any]] = json.loads(INDEX.read_text(encoding="utf-8"))
READ = sorted(name for name, expected in EXPECTED.items() if "refused" not in expected)
REFUSED = sorted(name for name, expected in EXPECTED.items() if "refused" in expected)


def test_folder_is_what_its_makers_make(tmp_path):
    write(tmp_path)
    made = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    there = {path.name: path.read_bytes() for path in FOLDER.iterdir()}
    differ = sorted(name for name in made.keys() | there.keys() if made.get(name) != there.get(name))
    assert not differ, (
        f"{differ}: files of this folder are written by their makers in torture_files.py and "
        "torture_arrangements.py, never by hand: python -m tests.validation.rig.torture_arrangements"
    )


@pytest.mark.parametrize("name", READ)
def test_file_gives_its_truth(name):
    expected = EXPECTED[name]
    before = (FOLDER / name).read_bytes()
    runs = reduce_file(FOLDER / name)
    assert (FOLDER / name).read_bytes() == before
    assert len(runs) == len(expected["runs"])
    for run, truth in zip(runs, expected["runs"], strict=True):
        found = run.to_dict()
        assert found["sha256"] == hashlib.sha256(before).hexdigest()
        assert found["units"] == expected["units"]
        for key, value in truth.items():
            if key == "slope_tolerance":
                continue
            rel = truth.get("slope_tolerance", 2e-3) if key == "slope_N_per_mm" else 2e-3
            wanted = pytest.approx(value, rel=rel, abs=1e-6) if isinstance(value, float) else value
            assert found[key] == wanted, (key, found["steps"], found["warnings"])
    if "dropped" in expected:
        assert [one.line for one in runs[0].dropped] == expected["dropped"]
    if "guesses" in expected:
        assert len(runs[0].guesses) == expected["guesses"], runs[0].guesses
    assert set(expected.get("quality", [])) <= set(runs[0].flags)
    assert not set(expected.get("quality_not", [])) & set(runs[0].flags)


@pytest.mark.parametrize("name", REFUSED)
def test_unclear_file_is_refused_in_one_line(name):
    with pytest.raises(DataError) as caught:
        reduce_file(FOLDER / name)
    message = str(caught.value)
    assert EXPECTED[name]["refused"] in message
    assert name in message
    assert "\n" not in message


@pytest.mark.parametrize("name", READ)
def test_strict_reading_refuses_whatever_was_guessed(name):
    guesses = {guess for run in reduce_file(FOLDER / name) for guess in run.guesses}
    if not guesses:
        assert reduce_file(FOLDER / name, strict=True)
        return
    with pytest.raises(DataError, match="strict"):
        reduce_file(FOLDER / name, strict=True)
