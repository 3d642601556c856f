"""Beams whose measured width and depth differ from the study's: told, since ratios hold for the study's size."""

from collections.abc import Sequence

import numpy as np

from validation.measured.reconcile import Row

# change of the breaking force by the beams' own size from which on it is told
_LEAST = 0.05


def size_doubts(rows: Sequence[Row]) -> list[str]:
    """Return a line where beams of their measured sizes would carry noticeably more or less than the study's.

    A beam's force goes with width x depth^2 of its section, walls and core swelling alike.
    """
    changes = {row.named.label: change for row in rows if (change := _force_factor(row)) is not None}
    told = {label: change for label, change in changes.items() if abs(change - 1) > _LEAST}
    if not told:
        return []
    worst = max(told, key=lambda label: abs(np.log(told[label])))
    count = f"{len(told)} of {len(changes)} settings" if len(changes) > 1 else "one setting"
    return [
        f"beams of {count} are not of the study's size: their width x depth^2 is up to {told[worst]:.2f} times it "
        f"({worst}); estimates and ratios here hold for the study's size, `fillbend predict` takes each beam at its own"
    ]


def _force_factor(row: Row) -> float | None:
    """Return the mean width x depth^2 of a setting's beams over the study's; None where none was measured."""
    specimen = row.estimate.setting.specimen
    found = [
        (beam.width or specimen.width)
        / specimen.width
        * ((beam.depth or specimen.depth) / specimen.depth) ** 2
        for beam in row.beams
        if beam.width or beam.depth
    ]
    return float(np.mean(found)) if found else None
