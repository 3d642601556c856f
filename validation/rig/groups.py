"""Which columns belong to one specimen, where several stand side by side: judged by names and labels alone."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from validation.rig.columns import Column, fold
from validation.rig.units import FORCE, TIME, TRAVEL, unit_in_name

_SPECIMEN = re.compile(r"\b(specimen|sample|probe|prüfling|éprouvette|eprouvette|probeta|run|test|beam)\b")
_LETTER = re.compile(r"[a-egh]")  # not f, the force


@dataclass(frozen=True)
class Group:
    """Positions among the kept columns of a table that one specimen may use.

    ``label`` is what stands above or in the names; ``guess`` says what was not evident.
    """

    columns: tuple[int, ...]
    label: str = ""
    guess: str = ""


def specimen_groups(kept: Sequence[Column]) -> list[Group]:
    """Return one group per specimen; a single one with all columns where nothing says that they stand side by side.

    Parameters
    ----------
    kept : sequence of Column
        The columns of force, travel and time of a table, in order.

    Examples
    --------
    >>> names = ("Time (s)", "Force (N)", "Travel (mm)") * 2
    >>> roles = (TIME, FORCE, TRAVEL) * 2
    >>> [group.columns for group in specimen_groups([Column(*c) for c in zip(range(6), names, roles)])]
    [(0, 1, 2), (3, 4, 5)]
    """
    forces = _of(kept, range(len(kept)), FORCE)
    single = [Group(tuple(range(len(kept))))]
    n = len(forces)
    if n < 2 or len({_base(kept[k]) for k in forces}) > 1:
        return single
    labels = [kept[k].group for k in forces]
    labelled = len(set(labels) - {""}) == n or (
        all(_SPECIMEN.search(fold(kept[k].name)) for k in forces)
        and len({_mark(kept[k]) for k in forces}) == n
    )
    found = _by_mark(kept, forces) or _by_period(kept, forces) or _by_order(kept, forces)
    if not found or (not labelled and not all(_of(kept, _own(found, i), TRAVEL) for i in range(n))):
        return single
    guess = "" if labelled else f"{n} pairs of force and travel columns read as {n} specimens"
    return [
        Group(tuple(columns), kept[force].group or f"specimen {i + 1}", guess)
        for i, (columns, force) in enumerate(zip(found, forces, strict=True))
    ]


def _own(groups: Sequence[Sequence[int]], i: int) -> list[int]:
    """Return the columns that no other specimen uses."""
    others = {k for j, group in enumerate(groups) if j != i for k in group}
    return [k for k in groups[i] if k not in others]


def _of(kept: Sequence[Column], positions: Sequence[int], role: str) -> list[int]:
    """Return those positions whose column has a role."""
    return [k for k in positions if kept[k].role == role]


def _base(column: Column) -> str:
    """Return a name without its unit, number or specimen."""
    label = fold(column.group).split()
    text = _SPECIMEN.sub(" ", fold(unit_in_name(column.name)[0]))
    words = [word for word in text.split() if word not in label] or text.split()
    bare = [re.sub(r"\d+", "", word) for word in words if len(words) == 1 or not _LETTER.fullmatch(word)]
    return " ".join(word for word in bare if word)


def _mark(column: Column) -> str:
    """Return the label, else the numbers and letters, that tell a column from those of other specimens."""
    if column.group:
        return column.group
    words = fold(unit_in_name(column.name)[0]).split()
    letters = [word for word in words if len(words) > 1 and _LETTER.fullmatch(word)]
    return "".join([*letters, *re.findall(r"\d+", " ".join(words))])


def _by_mark(kept: Sequence[Column], forces: list[int]) -> list[list[int]]:
    """Return groups of columns that carry the same number, letter or label; columns without any are shared."""
    wanted = [_mark(kept[k]) for k in forces]
    if len(set(wanted)) < len(forces) or "" in wanted:
        return []
    groups: list[list[int]] = [[] for _ in forces]
    for k, column in enumerate(kept):
        mark = _mark(column)
        if mark in wanted:
            groups[wanted.index(mark)].append(k)
        elif column.role == FORCE or _base(column) in {_base(kept[j]) for j in range(len(kept)) if j != k}:
            return []
        else:
            for group in groups:
                group.append(k)
    shapes = {tuple(sorted((kept[k].role or "", _base(kept[k])) for k in group)) for group in groups}
    return groups if len(shapes) == 1 else []


def _by_period(kept: Sequence[Column], forces: list[int]) -> list[list[int]]:
    """Return groups where the same columns repeat from left to right, perhaps after shared ones."""
    n = len(forces)
    shapes = [(column.role, _base(column)) for column in kept]
    for lead in range(forces[0] + 1):
        rest = shapes[lead:]
        period = len(rest) // n
        if len(rest) % n or rest != rest[:period] * n:
            continue
        first = range(lead, lead + period)
        shared = [
            k for role in (TIME, TRAVEL) if not _of(kept, first, role) for k in _of(kept, range(lead), role)
        ]
        return [[*shared, *range(lead + i * period, lead + (i + 1) * period)] for i in range(n)]
    return []


def _by_order(kept: Sequence[Column], forces: list[int]) -> list[list[int]]:
    """Return groups of the first force, travel and time, the second ones and so on, in whatever order they stand."""
    n = len(forces)
    travels, times = _of(kept, range(len(kept)), TRAVEL), _of(kept, range(len(kept)), TIME)

    def alike(columns: list[int]) -> bool:
        return len({_base(kept[k]) for k in columns}) == 1

    if len(travels) != n or not alike(travels) or len({_mark(kept[k]) for k in [*forces, *travels]}) > n:
        return []
    own_clock = len(times) == n and alike(times)
    return [
        sorted([force, travels[i], *([times[i]] if own_clock else times[:1])])
        for i, force in enumerate(forces)
    ]
