"""Which columns of a block make a run, where a table has more of them than one run needs."""

from dataclasses import dataclass

import numpy as np

from patterns.errors import DataError
from validation.rig.blocks import Block
from validation.rig.units import FORCE, TIME, TRAVEL

CONNECTED = 0.02
"""A second channel moving less than this part of the largest one of its kind is taken as not connected."""


@dataclass(frozen=True)
class Choice:
    """Positions among the kept columns of a block for one run.

    ``own`` are those of its columns that no other run uses; ``guesses`` say what was not evident.
    """

    force: int
    travel: int | None
    time: int | None
    own: tuple[int, ...] = ()
    label: str = ""
    guesses: tuple[str, ...] = ()


def choose_columns(block: Block) -> list[Choice]:
    """Return the columns of each run that stands in a block, side by side where there are several.

    Raises
    ------
    DataError
        If two columns may both be the force or the travel and nothing tells them apart.
    """
    kept, groups = block.layout.kept, block.layout.groups
    choices = []
    for i, group in enumerate(groups):
        others = {k for j, other in enumerate(groups) if j != i for k in other.columns}
        by_role = {role: [k for k in group.columns if kept[k].role == role] for role in (FORCE, TRAVEL, TIME)}
        if len(groups) > 1 and not np.isfinite(block.values[:, by_role[FORCE]]).any():
            continue
        force, force_guesses = _one_force(block, by_role[FORCE])
        travel, travel_guesses = _one_travel(block, by_role[TRAVEL], force)
        time = _one_time(block, by_role[TIME])
        wanted = tuple(k for k in (force, travel, time) if k is not None and k not in others)
        guesses = [*([group.guess] if group.guess else []), *force_guesses, *travel_guesses]
        choices.append(Choice(force, travel, time, wanted, group.label, tuple(guesses)))
    return choices


def _extent(values: np.ndarray) -> float:
    """Return the range of the finite values, robust against single wild ones; 0 if there are none."""
    finite = values[np.isfinite(values)]
    if len(finite) < 2:
        return 0.0
    if len(finite) < 200:
        return float(np.ptp(finite))
    low, high = np.percentile(finite, [0.05, 99.95])
    return float(high - low)


def _scaled(block: Block, k: int) -> np.ndarray:
    """Return a kept column in N or mm, or as it is where its unit is not known."""
    unit = block.layout.units.get(block.layout.kept[k].index)
    return block.values[:, k] * (unit.factor if unit is not None else 1.0)


def _one_force(block: Block, candidates: list[int]) -> tuple[int, list[str]]:
    """Return the force column."""
    return _single(block, candidates, "force")


def _one_travel(block: Block, candidates: list[int], force: int) -> tuple[int | None, list[str]]:
    """Return the travel column: at the beam before the rig's own, if it follows the load; None if none moves."""
    kept = block.layout.kept
    moving = [k for k in candidates if _extent(block.values[:, k]) > 0]
    if block.n_rows < 2:
        # The last row of a record on a page of its own.
        moving = candidates[:1]
    if len(moving) < 2:
        return (moving[0] if moving else None), []
    advance = {k: _advance(block, k, force) for k in moving}
    most = max(advance.values())
    following = [k for k in moving if advance[k] > CONNECTED * most] or moving
    aside = [kept[k].name for k in moving if k not in following]
    guesses = [f"travel '{name}' does not follow the load and is left aside" for name in aside]
    for rank in sorted({kept[k].rank for k in following}, reverse=True):
        level = [k for k in following if kept[k].rank == rank]
        if len(level) == 1 or _all_same(block, level):
            if len(following) > 1 and not _all_same(block, following):
                others = ", ".join(f"'{kept[k].name}'" for k in following if k != level[0])
                guesses.append(f"travel is '{kept[level[0]].name}', not {others}")
            return level[0], guesses
    raise DataError(_which("travel", block, following))


def _advance(block: Block, k: int, force: int) -> float:
    """Return how far a travel column moves between a tenth of the largest force and that force."""
    load = block.values[:, force] - _middle(block.values[:5, force])
    size = np.where(np.isfinite(load), np.abs(load), 0.0)
    top = int(np.argmax(size))
    low = np.flatnonzero(size[: top + 1] < 0.1 * size[top])
    start = int(low[-1]) if len(low) else 0
    travel = _scaled(block, k)
    return float(
        abs(np.nan_to_num(_middle(travel[max(0, top - 2) : top + 1]) - _middle(travel[start : start + 3])))
    )


def _middle(values: np.ndarray) -> float:
    """Return the median of what is there, NaN where nothing is."""
    there = values[np.isfinite(values)]
    return float(np.median(there)) if len(there) else np.nan


def _single(block: Block, candidates: list[int], what: str) -> tuple[int, list[str]]:
    """Return the one column that varies, is named best and differs from the others."""
    kept = block.layout.kept
    extent = {k: _extent(_scaled(block, k)) for k in candidates}
    if len(candidates) == 1:
        return candidates[0], []
    most = max(extent.values())
    alive = [k for k in candidates if extent[k] > CONNECTED * most] or candidates[:1]
    guesses = [
        f"{what} '{kept[k].name}' hardly varies and is left aside" for k in candidates if k not in alive
    ]
    best = max(kept[k].rank for k in alive)
    level = [k for k in alive if kept[k].rank == best]
    if len(level) == 1 or _all_same(block, level):
        if len(level) > 1 and not _equal(block, level):
            others = ", ".join(f"'{kept[k].name}'" for k in level[1:])
            guesses.append(f"{what} is '{kept[level[0]].name}', not {others}, which is in proportion to it")
        return level[0], guesses
    raise DataError(_which(what, block, level))


def _equal(block: Block, columns: list[int]) -> bool:
    """Say whether columns of known units hold the same quantities; a column without a unit is not judged."""
    layout = block.layout
    if any(layout.units.get(layout.kept[k].index) is None for k in columns):
        return True
    first, *rest = (_scaled(block, k) for k in columns)
    return all(
        np.allclose(first, other, rtol=0.02, atol=0.02 * _extent(first), equal_nan=True) for other in rest
    )


def _all_same(block: Block, columns: list[int]) -> bool:
    """Say whether columns carry the same record, perhaps in other units."""
    first = block.values[:, columns[0]]
    for k in columns[1:]:
        other = block.values[:, k]
        both = np.isfinite(first) & np.isfinite(other)
        if both.sum() < 3 or np.ptp(first[both]) == 0 or np.ptp(other[both]) == 0:
            return False
        if np.corrcoef(first[both], other[both])[0, 1] ** 2 < 0.999999:
            return False
    return True


def _one_time(block: Block, candidates: list[int]) -> int | None:
    """Return the time column with the most distinct values, or None."""
    best, most = None, 1
    for k in candidates:
        values = block.values[:, k]
        distinct = len(np.unique(values[np.isfinite(values)]))
        if distinct > most:
            best, most = k, distinct
    return best


def _which(what: str, block: Block, columns: list[int]) -> str:
    """Return the question which of several columns is meant."""
    kept = block.layout.kept
    names = " or ".join(f"'{kept[k].name}' (column {kept[k].index + 1})" for k in columns)
    return f"{what} may be {names}; say which in a --profile, such as [columns] {what} = {kept[columns[0]].index + 1}"
