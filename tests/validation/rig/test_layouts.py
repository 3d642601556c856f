"""Known runs in random layouts are read right or refused, never read wrong; one second look sees to that."""

from collections import Counter

import numpy as np
import pytest

from patterns.errors import DataError
from tests.validation.rig.dress import Specimen
from tests.validation.rig.layouts import Layout, draw
from validation.rig.read import read_file
from validation.rig.record import RawRun

TOLD = ("in no run", "in proportion to it", "hardly varies")
"""Words of guesses that speak of forces left out; strict reading refuses these."""


def told(run: RawRun) -> bool:
    """Say whether a run says of itself that forces of the file may be missing from it."""
    return any(words in guess for guess in run.guesses for words in TOLD)


def is_run(run: RawRun, truth: Specimen, layout: Layout) -> bool:
    """Say whether a run holds a specimen's force and travel row by row, in N and mm; written numbers are rounded."""
    force = layout.signs[0] * run.force * run.force_unit.factor
    if len(force) != len(truth.force) or run.travel is None or run.travel_unit is None:
        return False
    travel = layout.signs[1] * run.travel * run.travel_unit.factor
    same_force = np.allclose(force, truth.force, rtol=1e-4, atol=2e-3 * max(truth.force))
    return same_force and np.allclose(travel, truth.travel, rtol=1e-4, atol=2e-3)


def verdict(layout: Layout, path) -> str:
    """Return ``right``, ``refused``, ``told`` or ``wrong``."""
    path.write_bytes(layout.content)
    try:
        runs = read_file(path).runs
    except DataError as error:
        return "refused" if "\n" not in str(error) else "wrong"
    left = list(layout.specimens)
    for run in runs:
        match = next((truth for truth in left if is_run(run, truth, layout)), None)
        if match is not None:
            left.remove(match)
        elif not told(run):
            return "wrong"
    if left and not all(told(run) for run in runs):
        return "wrong"
    return "told" if left else "right"


def verdicts(seeds: range, path) -> Counter[str]:
    """Return how often each verdict falls; a wrong one fails at once with its seed."""
    found: Counter[str] = Counter()
    for seed in seeds:
        layout = draw(seed)
        word = verdict(layout, path)
        assert word != "wrong", f"seed {seed} ({layout.kind}): python -m tests.validation.rig.layouts {seed}"
        found[word] += 1
    return found


def test_layouts_are_read_right_or_refused(tmp_path):
    found = verdicts(range(200), tmp_path / "run.txt")
    assert found["right"] >= 160
    assert found["told"] <= 4


@pytest.mark.slow
def test_two_thousand_layouts_are_read_right_or_refused(tmp_path):
    found = verdicts(range(10_000, 12_000), tmp_path / "run.txt")
    # Refused are quantities in rows and columns of several forces over one travel that nothing tells apart.
    assert found["right"] >= 1700
    assert found["told"] <= 40


def test_layouts_hold_every_arrangement():
    kinds = Counter(draw(seed).kind for seed in range(200))
    assert len(kinds) >= 12
