"""What one step of each varied choice changes, read off settings that were computed anyway."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from fem.material.bands import Band
from patterns.errors import InputError
from validation.measured.reconcile import Row
from validation.report.gains import gains
from validation.report.grouping import axis_label, value_text
from validation.report.style import Picture

PANELS = {
    "breaking_force": "breaking force [%]",
    "stiffness": "stiffness [%]",
    "mass": "mass [%]",
    "print_time": "print time [%]",
}


def one_step(rows: Sequence[Row], invented: bool = False) -> Picture:
    """Return bars of the change from a middle setting to each neighbour that differs in one choice.

    Numbers go one value up (one down from the last), words to every other one. Intervals come from the draws that all
    estimates share, so what settings have in common cancels; mass and print time have none.

    Raises
    ------
    InputError
        If the settings hold fewer than two such neighbours.
    """
    base = rows[_middle([row.named.keys for row in rows])]
    steps = [_change(base, row, key) for key, places in _neighbours(base, rows).items() for row in places]
    if len(steps) < 2:
        raise InputError(
            "fewer than two settings differ from the middle one by one step; vary two things in [vary]"
        )
    known = {name: label for name, label in PANELS.items() if any(step[name] is not None for step in steps)}
    first, label = next(iter(known.items()))
    most = max((step for step in steps if step[first] is not None), key=lambda step: abs(step[first]))
    noun = label.partition(" [")[0]
    title = f"From {base.named.label}: {most['step']} changes {noun} most, {most[first]:+.0f} %"
    return gains(steps, known, title, invented)


def _middle(keys: Sequence[Mapping[str, Any]]) -> int:
    """Return the place of the setting nearest to the middle value of every key."""
    values = {key: list(dict.fromkeys(_hashable(one[key]) for one in keys)) for key in keys[0]}

    def distance(one: Mapping[str, Any]) -> float:
        return sum(
            abs(known.index(_hashable(one[key])) - (len(known) - 1) / 2 + 0.1)
            for key, known in values.items()
        )

    return min(range(len(keys)), key=lambda place: distance(keys[place]))


def _neighbours(base: Row, rows: Sequence[Row]) -> dict[str, list[Row]]:
    """Return, by key, the settings that differ from the base in this key alone, a number only by one step."""
    found: dict[str, list[Row]] = {}
    for key, own in base.named.keys.items():
        alone = [
            row
            for row in rows
            if row.named.keys[key] != own
            and all(
                row.named.keys[other] == base.named.keys[other] for other in base.named.keys if other != key
            )
        ]
        if isinstance(own, (int, float)):
            above = sorted(
                (row for row in alone if row.named.keys[key] > own), key=lambda row: row.named.keys[key]
            )
            below = sorted(
                (row for row in alone if row.named.keys[key] < own), key=lambda row: -row.named.keys[key]
            )
            alone = above[:1] or below[:1]
        found[key] = alone
    return found


def _change(base: Row, other: Row, key: str) -> dict[str, Any]:
    label = (
        "" if key == "core.pattern" else axis_label(key).partition(" [")[0].removesuffix(" of the core") + " "
    )
    step = f"{label}{value_text(base.named.keys[key])} to {value_text(other.named.keys[key])}"
    found: dict[str, Any] = {"step": step}
    for name in PANELS:
        one, two = getattr(base.estimate, name), getattr(other.estimate, name)
        found[name] = 100 * (two.best / one.best - 1) if one and two else None
        draws = (base.estimate.draws.get(name), other.estimate.draws.get(name))
        if found[name] is not None and draws[0] is not None and draws[1] is not None:
            band = Band.of(found[name], 100 * (np.asarray(draws[1]) / np.asarray(draws[0]) - 1))
            found |= {f"{name}_low": band.low, f"{name}_high": band.high}
    return found


def _hashable(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value
