"""Measured specimens: one row per broken beam, tied to the study's settings."""

import csv
import difflib
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from patterns.errors import DataError
from validation.study import NamedSetting, Study

# Factors to N, mm, g, N/mm of the units that a column name may end in.
UNITS = {
    "N": 1.0, "kN": 1000.0, "kgf": 9.80665, "lbf": 4.4482216152605,
    "mm": 1.0, "cm": 10.0, "in": 25.4,
    "g": 1.0, "kg": 1000.0, "mg": 0.001,
    "N_per_mm": 1.0, "kN_per_mm": 1000.0,
}  # fmt: skip
QUANTITIES = {
    "breaking_force": ("N", "kN", "kgf", "lbf"),
    "stiffness": ("N_per_mm", "kN_per_mm"),
    "mass": ("g", "kg", "mg"),
    "width": ("mm", "cm", "in"),
    "depth": ("mm", "cm", "in"),
    "lever": ("mm", "cm", "in"),
    "span": ("mm", "cm", "in"),
}
TEXTS = (
    "specimen", "build", "mode", "exclude_reason", "note", "valid", "test_order", "setting_id", "role", "file",
)  # fmt: skip
# A measured size this far from the nominal one is a slip of unit or column, not a printer's tolerance.
SLIP = 1.5


@dataclass(frozen=True)
class Beam:
    """One broken beam; None where the table has no value. Units N, N/mm, g, mm."""

    line: int
    specimen: str
    setting: int
    breaking_force: float
    stiffness: float | None = None
    mass: float | None = None
    width: float | None = None
    depth: float | None = None
    lever: float | None = None
    span: float | None = None
    valid: bool = True
    exclude_reason: str = ""
    build: str = ""
    test_order: str = ""
    role: str = ""
    file: str = ""
    mode: str = ""
    note: str = ""


@dataclass(frozen=True)
class Measured:
    """All beams of a study, the excluded ones too, and what was noticed on reading."""

    path: Path
    beams: tuple[Beam, ...]
    remarks: tuple[str, ...]

    def of(self, setting: int) -> list[Beam]:
        """Return the valid beams of a setting by its place in the study."""
        return [beam for beam in self.beams if beam.setting == setting and beam.valid]


def read_specimens(study: Study) -> Measured:
    """Read the study's table of specimens.

    Raises
    ------
    DataError
        If the file is missing or unreadable, or any row is wrong: every problem with file and line.
    """
    path = study.specimens_path
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise DataError(f"{path}: no such file; measured.specimens in {study.path} names it") from None
    except UnicodeDecodeError as error:
        raise DataError(f"{path}: not UTF-8 text (byte {error.start}); save it as UTF-8 CSV") from None
    rows = csv.reader(text.splitlines())
    header = [name.strip() for name in next((row for row in rows if _holds_data(row)), [])]
    columns, remarks = _columns(header, study, f"{path}:{max(rows.line_num, 1)}")
    problems: list[str] = []
    beams: list[Beam] = []
    empty = 0
    for row in rows:
        if not _holds_data(row):
            continue
        where = f"{path}:{rows.line_num}"
        if len(row) != len(header):
            problems.append(f"{where}: {len(row)} cells under {len(header)} columns")
            continue
        if not _filled_in(header, row, columns):
            empty += 1
            continue
        beam = _beam(dict(zip(header, row, strict=True)), columns, study, where, rows.line_num, problems)
        if beam:
            beams.append(beam)
    if not beams and not problems:
        problems.append(
            f"{path}: no row with a broken beam" + (f" ({empty} rows not filled in)" if empty else "")
        )
    if problems:
        raise DataError("\n".join(problems))
    twice = {beam.specimen for beam in beams if sum(other.specimen == beam.specimen for other in beams) > 1}
    remarks += [f"{path}: {empty} rows are not filled in yet"] if empty else []
    remarks += [f"{path}: specimen '{name}' stands in more than one row" for name in sorted(twice) if name]
    return Measured(path, tuple(beams), tuple(remarks))


def _holds_data(row: list[str]) -> bool:
    """Return whether a line is neither blank nor a comment."""
    return any(cell.strip() for cell in row) and not row[0].lstrip().startswith("#")


def _filled_in(header: list[str], row: list[str], columns: dict[str, tuple[str, float]]) -> bool:
    """Return whether a planned row holds anything measured or said of the beam."""
    said = (*QUANTITIES, "mode", "exclude_reason", "note")
    return any(
        cell.strip()
        for name, cell in zip(header, row, strict=True)
        if columns.get(name, ("", 1.0))[0] in said
    )


def _columns(header: list[str], study: Study, where: str) -> tuple[dict[str, tuple[str, float]], list[str]]:
    """Return column -> (field or setting key, factor), and remarks on columns that are not used."""
    keys = {key.split(".")[-1]: key for key in study.settings[0].keys} | {
        key: key for key in study.settings[0].keys
    }
    names = [f"{quantity}_{unit}" for quantity, units in QUANTITIES.items() for unit in units]
    known = list(keys) + list(TEXTS) + names
    columns: dict[str, tuple[str, float]] = {}
    problems, remarks = [], []
    for name in header:
        quantity, unit = next(
            ((q, name[len(q) + 1 :]) for q in QUANTITIES if name == q or name.startswith(f"{q}_")), (None, "")
        )
        if name in keys:
            columns[name] = (keys[name], 1.0)
        elif name in TEXTS:
            columns[name] = (name, 1.0)
        elif quantity and unit in QUANTITIES[quantity]:
            columns[name] = (quantity, UNITS[unit])
        elif quantity:
            problems.append(
                f"{where}: column '{name}': name its unit, {quantity}_{' or _'.join(QUANTITIES[quantity])}"
            )
        elif near := difflib.get_close_matches(name, known, 1, 0.8):
            problems.append(f"{where}: unknown column '{name}'; did you mean '{near[0]}'?")
        else:
            remarks.append(f"{where}: column '{name}' is not used")
    found = {target for target, _ in columns.values()}
    if "breaking_force" not in found:
        problems.append(f"{where}: no column breaking_force_N")
    missing = [key for key in study.settings[0].keys if key not in found]
    if missing and "setting_id" not in found:
        problems.append(f"{where}: no column {', '.join(missing)} (the study varies it), and no setting_id")
    if problems:
        raise DataError("\n".join(problems))
    return columns, remarks


def _beam(
    cells: dict[str, str],
    columns: dict[str, tuple[str, float]],
    study: Study,
    where: str,
    line: int,
    problems: list[str],
) -> Beam | None:
    before = len(problems)
    numbers: dict[str, float | None] = {}
    texts: dict[str, str] = {}
    keys: dict[str, str] = {}
    for column, (target, factor) in columns.items():
        cell = cells[column].strip()
        if target in QUANTITIES:
            value = _number(cell, f"{where}: {column}", problems) if cell else None
            numbers[target] = None if value is None else value * factor
        elif target in TEXTS:
            texts[target] = cell
        else:
            keys[target] = cell
    valid = texts.pop("valid", "").lower() not in ("0", "no", "false")
    if not valid and not texts.get("exclude_reason"):
        problems.append(f"{where}: excluded (valid = 0) without an exclude_reason; say why")
    if numbers.get("breaking_force") is None and len(problems) == before:
        problems.append(
            f"{where}: breaking_force is empty; leave the row out or mark the beam valid = 0 with its force"
        )
    place = _place(keys, texts.pop("setting_id", ""), study.settings)
    if place is None:
        told = ", ".join(f"{key} = {value}" for key, value in keys.items()) or "setting_id"
        problems.append(f"{where}: no setting of the study has {told}; add it to [vary] or mend the row")
    if place is None or len(problems) > before:
        return None
    _check_sizes(numbers, study.settings[place], where, problems)
    fields: dict[str, Any] = {"specimen": "", **texts, **numbers}
    return Beam(line=line, setting=place, valid=valid, **fields)


def _number(cell: str, where: str, problems: list[str]) -> float | None:
    try:
        value = float(cell)
    except ValueError:
        hint = "; write a decimal point" if cell.replace(",", ".", 1).replace(".", "", 1).isdigit() else ""
        problems.append(f"{where}: '{cell}' is not a number{hint}")
        return None
    if not math.isfinite(value) or value <= 0:
        problems.append(f"{where}: {cell} must be positive")
        return None
    return value


def _place(keys: dict[str, str], setting_id: str, settings: tuple[NamedSetting, ...]) -> int | None:
    if setting_id and not keys:
        digits = setting_id.lstrip("S")
        place = int(digits) - 1 if digits.isdigit() else -1
        return place if 0 <= place < len(settings) else None
    return next((i for i, named in enumerate(settings) if _same(keys, named.keys)), None)


def _same(cells: dict[str, str], keys: dict[str, Any]) -> bool:
    for key, value in keys.items():
        if key not in cells:
            return False
        try:
            if not math.isclose(float(cells[key]), float(value), rel_tol=1e-6, abs_tol=1e-9):
                return False
        except (TypeError, ValueError):
            if cells[key] != str(value):
                return False
    return True


def _check_sizes(
    numbers: dict[str, float | None], named: NamedSetting, where: str, problems: list[str]
) -> None:
    setting = named.setting
    nominal = {
        "width": setting.specimen.width,
        "depth": setting.specimen.depth,
        "lever": setting.test.lever,
        "span": setting.test.span,
    }
    for name, size in nominal.items():
        value = numbers.get(name)
        if value and size and not 1 / SLIP < value / size < SLIP:
            problems.append(
                f"{where}: {name} {value:g} mm against {size:g} mm in the study: a slip of unit or column?"
            )
