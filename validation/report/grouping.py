"""Which settings make one line of a figure, against what, and where the structure changes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Plain = Mapping[str, Any]
# Keys of a study whose meaning a column of every row holds already.
_COLUMN_OF = {"core.set_fill": "set_fill", "core.geometric_fill": "set_fill", "print.walls": "walls"}
_LABELS = {"set_fill": "set fill of the core", "walls": "walls"}
_UNITS = {"mm": "mm", "deg": "°", "mpa": "MPa", "N": "N"}
SOLID_X = 1.0


@dataclass(frozen=True)
class DrawnSeries:
    """Settings that differ in the abscissa only.

    Attributes
    ----------
    title : str
        The other varied keys with their values; "" where there are none.
    rows : tuple
        In the order of the abscissa.
    solid : row or None
        The solid print that belongs to it: another structure, so no line leads there unbroken.
    """

    title: str
    rows: tuple[Plain, ...]
    solid: Plain | None = None


def abscissa(rows: Sequence[Plain]) -> str | None:
    """Return the column to draw against: the fill if it varies, else the number that takes most values, else None."""
    if len({row["set_fill"] for row in rows if not is_solid(row)}) > 1:
        return "set_fill"
    names = varied_numbers(rows)
    return names[0] if names else None


def varied_numbers(rows: Sequence[Plain]) -> list[str]:
    """Return the columns of the numbers that vary, the one with most values first."""
    keys = [key for key in _keys(rows) if all(isinstance(row[key], (int, float)) for row in rows)]
    counts = {_COLUMN_OF.get(key, key): len({row[key] for row in rows}) for key in keys}
    return sorted((name for name, count in counts.items() if count > 1), key=lambda name: -counts[name])


def series_of(rows: Sequence[Plain], x: str) -> list[DrawnSeries]:
    """Return the series of rows against a column; a solid print joins the series with the same other keys."""
    others = [key for key in _keys(rows) if _COLUMN_OF.get(key, key) != x]
    lines: dict[tuple[Any, ...], list[Plain]] = {}
    solids: list[Plain] = []
    for row in rows:
        if x == "set_fill" and is_solid(row):
            solids.append(row)
        else:
            lines.setdefault(tuple(row[key] for key in others), []).append(row)
    alike = [key for key in others if key != "core.pattern"]
    if not lines:
        lines = {tuple(row[key] for key in others): [row] for row in solids}
        solids = []
    told = [key for key in others if len({line[others.index(key)] for line in lines}) > 1]
    found = []
    for values, members in lines.items():
        solid = next((row for row in solids if all(row[key] == members[0][key] for key in alike)), None)
        title = ", ".join(named(key, values[others.index(key)]) for key in told)
        found.append(DrawnSeries(title, tuple(sorted(members, key=lambda row: row[x])), solid))
    return found


def is_solid(row: Plain) -> bool:
    """Return whether a setting is a solid print: a raster, or alternating lines that touch side by side."""
    return bool(row["pattern"] == "solid" or (row["pattern"] == "alternating" and row["set_fill"] > 1 - 1e-9))


def axis_label(x: str) -> str:
    """Return the label of an axis with its unit, from a column or a dotted key."""
    if x in _LABELS:
        return _LABELS[x]
    words = x.split(".")[-1].split("_")
    unit = f" [{_UNITS[words.pop()]}]" if words[-1] in _UNITS else ""
    return " ".join(words) + unit


def named(key: str, value: Any) -> str:
    """Return a varied key with its value as words, as in "walls 3" or "lever 60 mm"."""
    label, _, unit = axis_label(key).partition(" [")
    text = value_text(value)
    if key == "core.pattern":
        return text
    unit = unit.rstrip("]")
    return f"{label} {text}" + (f"{'' if unit == '°' else ' '}{unit}" if unit else "")


def spoken(label: str) -> str:
    """Return a setting's label as it is read aloud.

    Examples
    --------
    >>> spoken("set_fill 0.2, orientation on_edge")
    'set fill 0.2, orientation on edge'
    """
    return label.replace("_", " ")


def value_text(value: Any) -> str:
    """Return a varied value as it is read: numbers without spare digits, words without underscores."""
    if isinstance(value, float):
        return f"{value:.6g}"
    return ", ".join(map(value_text, value)) if isinstance(value, list) else str(value).replace("_", " ")


def _keys(rows: Sequence[Plain]) -> list[str]:
    return [name for name in rows[0] if "." in name] if rows else []
