"""What can break a beam: every way looked at, with its place, its force and where its formula comes from."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from fem.estimation import Estimate


def criteria_dicts(estimate: Estimate) -> list[dict[str, Any]]:
    """Return every way to break for the JSON output, the weakest first and those without a force last.

    Forces are at the best values. What breaks first without ending the beam has the beam's largest force; what only
    begins there and lets the load shift does not end it.
    """
    rows = [
        {
            "mode": way.mode,
            "what": way.what,
            "force_N": way.force,
            "ends": way.ends,
            "y_mm": way.place[0],
            "z_mm": way.place[1],
            "card_value": way.card_value,
            "unknown": list(way.unknown),
            "source": way.source,
        }
        for way in estimate.response.ways()
    ]
    return sorted(rows, key=lambda row: np.inf if row["force_N"] is None else float(str(row["force_N"])))


def governing_dict(mode: str, criteria: Sequence[dict[str, Any]]) -> dict[str, Any] | None:
    """Return the weakest criterion of the governing mode, None where no mode could be evaluated."""
    return next(
        (row for row in criteria if row["mode"] == mode and row["force_N"] is not None and row["ends"]), None
    )


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
    first: dict[tuple[str, str, bool], dict[str, Any]] = {}
    for row in rows:
        first.setdefault((row["mode"], row["source"], row["ends"]), row)
    return list(first.values())
