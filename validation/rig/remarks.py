"""What the lines around the numbers say: units, specimen labels, the largest force."""

import re
from collections.abc import Iterable

from validation.rig.columns import describe_column
from validation.rig.dialect import Dialect, split_row
from validation.rig.header import Caption
from validation.rig.numbers import read_cell
from validation.rig.units import FORCE, TRAVEL, Unit, find_unit, unit_in_name

_PEAK = re.compile(r"max|peak|höchst|spitzen|ultimate|最大|极限|maks|макс", re.I)
_NOT_PEAK = re.compile(
    r"limit|capacity|range|preload|pre-load|vorkraft|rated|nominal|nenn|setpoint|stop|threshold|cell|channel|travel|displac|"
    r"deflec|extens|stress|strain|drop|abschalt|grenz|bereich|rate|speed|time|weg|dehnung|scale",
    re.I,
)
_LABEL = re.compile(
    r"\b((?:test[ _-]?)?(?:specimen|sample|probe|prüfling|probekörper|éprouvette|eprouvette|probeta|provino|próbka|"
    r"test piece|test|run|versuch|essai|beam|试样|試験片)"
    r"[\s_:#.,;=\t-]*(?:no\.?|nr\.?|n°|number|id|name)?[\s_:#.,;=\t-]*"
    r"(?P<name>\d+[A-Za-z]?|[A-Z]{1,3}[-_]?\d+|[A-Z])\b)",
    re.I,
)


def label_in(texts: Iterable[str]) -> str:
    """Return the last specimen label in some lines, or an empty string.

    Examples
    --------
    >>> label_in(["Width: 10 mm", "Specimen No. 2"])
    'Specimen No. 2'
    """
    found = ""
    for text in texts:
        match = _LABEL.search(text[:120])
        if match is not None and text[match.end() : match.end() + 1] not in (".", ":", "/"):
            found = " ".join(re.sub(r"[\s:;,=\t\"]+", " ", match.group(1)).split())
    return found


def units_in(texts: Iterable[str], dialect: Dialect) -> dict[str, Unit]:
    """Return units of force and travel stated in lines such as ``Force unit: kN`` or ``Units; N; mm``."""
    found: dict[str, Unit] = {}
    for text in texts:
        if not re.search(r"\bunits?\b|einheit|unité|unidad|unità", text, re.I):
            continue
        cells = [
            part.strip()
            for cell in split_row(text, dialect.delimiter)
            for part in re.split(r"[:=;,\t]", cell)
        ]
        for cell in cells:
            unit = find_unit(cell.strip("\"'() "))
            if unit is not None and unit.dimension in (FORCE, TRAVEL):
                found.setdefault(unit.dimension, unit)
    return found


def peak_in_line(text: str, dialect: Dialect, default: Unit | None) -> float | None:
    """Return the largest force in N that a line states, such as ``Peak load: 512.3 N``; None if it states none.

    A force without a unit takes ``default``.
    """
    cells = [cell for cell in split_row(text, dialect.delimiter) if cell]
    if len(cells) < 2:
        cells = [part.strip() for part in re.split(r"[:=]\s*|\t|\s{2,}", text, maxsplit=2) if part.strip()]
    for j, cell in enumerate(cells[:-1]):
        key, unit = unit_in_name(cell.rstrip(":= "))
        if not _is_peak_force(key, unit):
            continue
        value = read_cell(cells[j + 1].strip('" '), dialect.decimal)
        if value.kind != "number" or abs(value.value) == 0.0:
            continue
        beside = find_unit(cells[j + 2], FORCE) if j + 2 < len(cells) else None
        return _newton(abs(value.value), value.unit or unit or beside or default)
    return None


def peak_in_table(
    caption: Caption, texts: Iterable[str], dialect: Dialect, default: Unit | None
) -> float | None:
    """Return the largest force in N in a row of a table of results, or None."""
    cells = list(texts)
    peaks = []
    for column in caption.columns:
        key, unit = unit_in_name(column.name)
        unit = unit or column.unit
        if column.index < len(cells) and _is_peak_force(key, unit):
            value = read_cell(cells[column.index], dialect.decimal)
            newton = (
                _newton(abs(value.value), value.unit or unit or default) if value.kind == "number" else None
            )
            if newton:
                peaks.append(newton)
    return max(peaks) if peaks else None


def _is_peak_force(key: str, unit: Unit | None) -> bool:
    """Say whether a name is that of the largest force of the record."""
    if len(key) > 48 or not _PEAK.search(key) or _NOT_PEAK.search(key):
        return False
    if unit is not None:
        return unit.dimension == FORCE
    rest = _PEAK.sub(" ", key).strip()
    return rest.lower() == "f" or describe_column(0, rest).role == FORCE


def _newton(value: float, unit: Unit | None) -> float | None:
    """Return a force in N, or None without a unit of force."""
    return value * unit.factor if unit is not None and unit.dimension == FORCE else None
