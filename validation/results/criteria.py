"""What can break a beam: every criterion looked at, with its place, its force and where its formula comes from."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from fem.estimate import Estimate
from fem.strength.failure import Criterion


def criteria_dicts(estimate: Estimate) -> list[dict[str, Any]]:
    """Return every criterion of an estimate for the JSON output, the weakest first and those without a force last.

    A force is that of the criterion alone, at the best values: where a core fails before walls and faces give way, the
    beam breaks later, in their mode.
    """
    best = {name: np.array([value]) for name, value in estimate.values.items()}
    rows = [_criterion(criterion, best) for criterion in estimate.criteria]
    return sorted(rows, key=lambda row: np.inf if row["force_N"] is None else row["force_N"])


def _criterion(criterion: Criterion, best: dict[str, np.ndarray]) -> dict[str, Any]:
    forces = criterion.forces(best)
    y, z = criterion.place
    return {
        "mode": criterion.mode,
        "what": criterion.what,
        "force_N": None if forces is None else float(forces[0]),
        "y_mm": y,
        "z_mm": z,
        "card_value": criterion.strength,
        "unknown": criterion.missing(best),
        "source": criterion.source,
    }


def governing_dict(mode: str, criteria: Sequence[dict[str, Any]]) -> dict[str, Any] | None:
    """Return the weakest criterion of the governing mode, None where no mode could be evaluated."""
    return next((row for row in criteria if row["mode"] == mode and row["force_N"] is not None), None)


def weakest_by_formula(
    estimates: Sequence[tuple[str, Sequence[dict[str, Any]]]],
) -> list[dict[str, Any]]:
    """Return the weakest criterion of each mode and formula over several settings, with that setting's label.

    Parameters
    ----------
    estimates : sequence of (str, sequence of dict)
        Labels of settings with what `criteria_dicts` gives.

    Returns
    -------
    list of dict
        Criteria with ``setting`` besides, the weakest first.
    """
    rows = [{**row, "setting": label} for label, criteria in estimates for row in criteria]
    rows.sort(key=lambda row: np.inf if row["force_N"] is None else row["force_N"])
    first: dict[tuple[str, str], dict[str, Any]] = {}
    for row in rows:
        first.setdefault((row["mode"], row["source"]), row)
    return list(first.values())
