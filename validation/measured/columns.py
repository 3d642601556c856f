"""What every column of a table of beams is: told by the study, by the table's own names, or by somebody's headings."""

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from validation.measured.headings import meaning
from validation.measured.manifest_columns import ManifestColumn, column_of, known_columns, own_names
from validation.measured.sheet import Sheet
from validation.rig.numbers import read_cell
from validation.rig.units import UNITS, unit_in_name


@dataclass(frozen=True)
class Told:
    """What a study says of its table: own names by heading ("" for a column not to be used), and the decimal sign."""

    columns: Mapping[str, str] = field(default_factory=dict)
    decimal: str = ""


def columns_of(
    sheet: Sheet, keys: Sequence[str], told: Told, where: str, problems: list[str], remarks: list[str]
) -> dict[str, ManifestColumn]:
    """Return what each column of a table is, by its heading; what cannot be known is a problem, and is asked.

    Parameters
    ----------
    sheet : Sheet
        The table.
    keys : sequence of str
        Columns of the study beside the table's own.
    told : Told
        What the study says of it.
    where : str
        File and line of the headings.
    problems, remarks : list of str
        Filled.
    """
    columns: dict[str, ManifestColumn] = {}
    taken: dict[str, str] = {}
    asked = _mistold(sheet, keys, told, where)
    for place, name in enumerate(sheet.headings):
        column = _column(name, place, sheet, keys, told)
        if column is None:
            near = difflib.get_close_matches(name, known_columns(keys), 1, 0.8)
            if near and name not in told.columns:
                problems.append(f"{where}: unknown column '{name}'; did you mean '{near[0]}'?")
            elif name:
                remarks.append(f"{where}: column '{name}' is not used")
                columns[name] = ManifestColumn(name, "key")
            continue
        if column.kind in ("unit missing", "asked"):
            asked.append(f"{where}: column '{name}': {_question(column)}")
        elif column.target in taken and column.kind == "text":
            remarks.append(f"{where}: column '{name}' is not used: '{taken[column.target]}' says the same")
        elif column.target in taken:
            asked.append(f"{where}: columns '{taken[column.target]}' and '{name}' say the same; keep one")
        else:
            columns[name], taken[column.target] = column, name
            if column.note:
                remarks.append(f"{where}: column '{name}': {column.note}")
            if _is_fill(column) and column.factor == 1.0 and unit_in_name(name)[1] is UNITS["%"]:
                remarks.append(f"{where}: column '{name}': nothing in it is above 1: fractions, not percent")
    if asked:
        problems += asked
        problems.append(how_to_tell(sheet.headings, where))
    return columns


def _mistold(sheet: Sheet, keys: Sequence[str], told: Told, where: str) -> list[str]:
    """Return what is wrong in what the study says of its table."""
    found = []
    for name, target in told.columns.items():
        if name not in sheet.headings:
            found.append(f"{where}: [measured] columns names '{name}', which is no heading")
        elif target and ((own := column_of(target, keys)) is None or own.kind == "unit missing"):
            near = difflib.get_close_matches(target, known_columns(keys), 1, 0.6)
            hint = f"; did you mean '{near[0]}'?" if near else ""
            found.append(f"{where}: [measured] columns: '{target}' is none of the table's own names{hint}")
    return found


def how_to_tell(headings: Sequence[str], where: str) -> str:
    """Return the headings of a table and the way to say what they are."""
    found = ", ".join(f"'{name}'" for name in headings if name)
    return (
        f"{where}: headings found: {found}; say what one is under [measured] of the study: "
        'columns = { "HEADING" = "breaking_force_N" }'
    )


def _column(name: str, place: int, sheet: Sheet, keys: Sequence[str], told: Told) -> ManifestColumn | None:
    """Return what a column is, None where nobody knows or it is not to be used."""
    if name in told.columns:
        column = column_of(told.columns[name], keys) if told.columns[name] else None
        percent = column is not None and _is_fill(column) and _above_one(place, sheet)
        return replace(column, factor=0.01) if column is not None and percent else column
    column = meaning(name, keys)
    if column is None or (column_of(name, keys) == column and column.kind != "unit missing"):
        return column
    if _is_fill(column):
        return replace(column, factor=0.01 if _above_one(place, sheet) else 1.0)
    if column.kind == "unit missing" and _all_have_units(place, sheet):
        return replace(column, kind="number", factor=0.0, note="")
    return column


def _question(column: ManifestColumn) -> str:
    return f"{column.note}, {own_names(column.target)}" if column.kind == "unit missing" else column.note


def _is_fill(column: ManifestColumn) -> bool:
    return column.target.rpartition(".")[2] in ("set_fill", "geometric_fill")


def _values(place: int, sheet: Sheet) -> list[float]:
    cells = [cells[place] for _, cells in sheet.rows if place < len(cells)]
    read = [read_cell(cell, sign) for cell in cells for sign in (".", ",")]
    return [cell.value for cell in read if cell.kind == "number"]


def _above_one(place: int, sheet: Sheet) -> bool:
    """Return whether a column of fills goes above 1, so that it is in percent whatever its heading says."""
    return max(_values(place, sheet), default=0.0) > 1


def _all_have_units(place: int, sheet: Sheet) -> bool:
    """Return whether every number of a column has its unit behind it."""
    cells = [cells[place] for _, cells in sheet.rows if place < len(cells) and cells[place]]
    read = [next((one for sign in (".", ",") if (one := read_cell(cell, sign)).kind == "number"), None) for cell in
            cells]  # fmt: skip
    return bool(read) and all(one is not None and one.unit is not None for one in read)
