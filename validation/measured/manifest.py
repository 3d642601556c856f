"""The table of runs: tidy CSV, one row per beam, read with every problem named and nothing dropped in silence."""

import csv
import io
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from patterns.errors import DataError
from validation.measured.columns import Told, columns_of
from validation.measured.headings import factor_of, is_known
from validation.measured.manifest_columns import LARGEST, ManifestColumn
from validation.measured.sheet import Sheet, decimal_sign, read_sheet
from validation.rig.numbers import read_cell
from validation.text.mode_words import codes_told, parse_failure
from validation.text.output import cell_text

NOTHING = ("-", "--", "–", "—", "n/a", "n.a.", "na")
NO_BEAM = "no row with a broken beam"
YES, NO = (
    ("", "1", "yes", "true", "y", "ja", "j", "oui", "sí", "si"),
    ("0", "no", "false", "n", "nein", "non", "nee"),
)


@dataclass(frozen=True)
class ManifestRow:
    """One row of the table; None or "" where it has no entry.

    Attributes
    ----------
    line : int
        Line in the file.
    keys : dict of str to str
        Entries of the study's own columns (fill, walls, pattern) and of columns nobody knows, as written.
    setting_id, specimen, build, replicate, test_order, role, mode, note, series : str
        As written; ``mode`` holds failure codes joined by ``+``, the first event first.
    file, run : str
        Rig file beside the table, and which run in it.
    breaking_force, stiffness, mass, width, depth, lever, span, load_span : float or None
        N, N/mm, g, mm.
    valid : bool
        False for an excluded beam.
    exclude_reason : str
        Why it is excluded.
    """

    line: int
    keys: dict[str, str] = field(default_factory=dict)
    series: str = ""
    setting_id: str = ""
    specimen: str = ""
    build: str = ""
    replicate: str = ""
    test_order: str = ""
    role: str = ""
    mode: str = ""
    note: str = ""
    file: str = ""
    run: str = ""
    breaking_force: float | None = None
    stiffness: float | None = None
    mass: float | None = None
    width: float | None = None
    depth: float | None = None
    lever: float | None = None
    span: float | None = None
    load_span: float | None = None
    valid: bool = True
    exclude_reason: str = ""

    @property
    def tested(self) -> bool:
        """Whether anything was measured or said of the beam; lever and span may stand in a plan already."""
        numbers = (self.breaking_force, self.stiffness, self.mass, self.width, self.depth)
        return bool(self.file or self.mode or self.note or not self.valid) or any(
            number is not None for number in numbers
        )


@dataclass(frozen=True)
class Manifest:
    """A table as read.

    Attributes
    ----------
    path : Path
        The file.
    sha256 : str
        Of its bytes.
    columns : dict of str to str
        Column of the file to the field or study key it was taken for.
    runs : tuple of ManifestRow
        Tested beams, the excluded ones too.
    planned : tuple of ManifestRow
        Rows not filled in yet.
    remarks : tuple of str
        What was noticed, each with its place.
    """

    path: Path
    sha256: str
    columns: dict[str, str]
    runs: tuple[ManifestRow, ...]
    planned: tuple[ManifestRow, ...]
    remarks: tuple[str, ...]

    @property
    def excluded(self) -> tuple[ManifestRow, ...]:
        """Beams that do not count, with their reasons."""
        return tuple(run for run in self.runs if not run.valid)


def read_manifest(path: Path, keys: Sequence[str] = (), told: Told | None = None) -> Manifest:
    """Read a table of runs.

    Columns carry their unit in the name (``width_mm``, ``breaking_force_kgf``) or in a heading of the writer's own
    (``Kraft (N)``). Any encoding, separator and decimal sign is read, and a spreadsheet's own file. Lines that begin
    with ``#`` are comments.

    Parameters
    ----------
    path : Path
        The file.
    keys : sequence of str
        Columns of the study beside the table's own, such as ``set_fill`` or ``core.set_fill``.
    told : Told, optional
        What the study says of the table.

    Raises
    ------
    DataError
        If the file is missing or unreadable or any row is wrong: every problem with file and line, one per line.
    """
    manifest, problems = survey(path, keys, told)
    if problems:
        raise DataError("\n".join(problems))
    return manifest


def survey(path: Path, keys: Sequence[str] = (), told: Told | None = None) -> tuple[Manifest, list[str]]:
    """Return the table and all its problems, for a reader who has more to say; see `read_manifest`.

    Rows with a problem are left out; with a problem in the header no row is read.
    """
    told = told or Told()
    sheet = read_sheet(path, lambda name: name in told.columns or is_known(name, keys))
    problems: list[str] = []
    remarks = [f"{path}: {guess}" for guess in sheet.guesses]
    columns = columns_of(sheet, keys, told, f"{path}:{sheet.line}", problems, remarks)
    found: list[ManifestRow] = []
    if not problems:
        reader = _RowReader(path, columns, _sign(sheet, columns, told, path, problems), problems)
        for cells, line in _rows(sheet, path, problems):
            run = reader.read(dict(zip(sheet.headings, cells, strict=False)), line)
            found += [run] if run else []
        remarks += _own_modes(reader.own_modes, path)
    tested, planned = [run for run in found if run.tested], [run for run in found if not run.tested]
    if not tested and not problems:
        waiting = f" ({len(planned)} rows not filled in)" if planned else ""
        problems.append(f"{path}: {NO_BEAM}{waiting}")
    problems += _twice(tested, path, remarks)
    remarks += [f"{path}: {len(planned)} rows are not filled in yet"] if planned else []
    taken = {name: column.target for name, column in columns.items()}
    return Manifest(path, sheet.sha256, taken, tuple(tested), tuple(planned), tuple(remarks)), problems


def _sign(
    sheet: Sheet, columns: dict[str, ManifestColumn], told: Told, path: Path, problems: list[str]
) -> str:
    """Return the decimal sign of the table; a problem where only its writer knows."""
    if told.decimal:
        return told.decimal
    places = [
        i for i, name in enumerate(sheet.headings) if name in columns and columns[name].kind == "number"
    ]
    sign, open_cell = decimal_sign(cells[i] for _, cells in sheet.rows for i in places if i < len(cells))
    # between commas an unquoted number has a point
    if open_cell and sheet.delimiter and not (sheet.delimiter == "," and "," not in open_cell):
        problems.append(
            f"{path}: '{open_cell}': thousands or a decimal sign? no other number tells; say decimal = \".\" or "
            'decimal = "," under [measured] of the study'
        )
    return sign


def _rows(sheet: Sheet, path: Path, problems: list[str]) -> Iterator[tuple[Sequence[str], int]]:
    """Yield the cells of each row with its line; rows of another length are problems."""
    width = len(sheet.headings)
    for line, cells in sheet.rows:
        if len(cells) < width or any(cells[width:]):
            problems.append(f"{path}:{line}: {len(cells)} cells under {width} columns")
            continue
        yield cells, line


@dataclass
class _RowReader:
    """Turns cells into runs and collects what is wrong."""

    path: Path
    columns: dict[str, ManifestColumn]
    sign: str
    problems: list[str]
    own_modes: dict[str, list[int]] = field(default_factory=dict)

    def read(self, cells: dict[str, str], line: int) -> ManifestRow | None:
        """Return the row as a run, None if anything in it is wrong."""
        before, where = len(self.problems), f"{self.path}:{line}"
        entries: dict[str, object] = {}
        keys: dict[str, str] = {}
        for name, column in self.columns.items():
            cell = cells.get(name, "")
            if column.kind == "number":
                entries[column.target] = self._number(cell, column, f"{where}: {name}")
            elif column.kind == "key":
                keys[column.target] = self._key(cell, column)
            else:
                entries[column.target] = cell
        entries["mode"] = self._mode(str(entries.get("mode", "")), line)
        entries["valid"] = self._valid(
            str(entries.get("valid", "")), str(entries.get("exclude_reason", "")), where
        )
        self._file(str(entries.get("file", "")), where)
        # entries have the types of their columns, checked above one by one
        return ManifestRow(line, keys, **entries) if len(self.problems) == before else None  # type: ignore[arg-type]

    def _number(self, cell: str, column: ManifestColumn, where: str) -> float | None:
        """Return a positive number in our units; a unit in the cell goes before that of its column."""
        read = read_cell(cell, self.sign)
        if read.kind == "empty" or cell.lower() in NOTHING:
            return None
        if read.kind != "number":
            other = read_cell(cell, "," if self.sign == "." else ".").kind == "number"
            hint = f"; the decimal sign of this table is '{self.sign}'" if other else ""
            self.problems.append(
                f"{where}: '{cell}' {'must be positive' if _odd(cell) else f'is not a number{hint}'}"
            )
            return None
        factor = factor_of(column.target, read.unit) if read.unit else column.factor
        if factor is None or not factor:
            asked = f"{read.unit.symbol} is no unit of it" if read.unit else "has no unit"
            self.problems.append(f"{where}: '{cell}': {asked}")
            return None
        if read.value <= 0:
            self.problems.append(f"{where}: {cell} must be positive")
            return None
        if read.value * factor > (largest := LARGEST[column.target]):
            self.problems.append(
                f"{where}: {cell} is beyond any printed beam (at most {largest:g} in N, mm or g)"
            )
            return None
        return read.value * factor

    def _key(self, cell: str, column: ManifestColumn) -> str:
        """Return a cell of the study's own column in the study's unit; text as it is."""
        read = next((one for sign in (self.sign, ".,".replace(self.sign, "")) if (one := read_cell(cell, sign)).kind
                     == "number"), None)  # fmt: skip
        if read is None:
            return cell
        percent = read.unit is not None and read.unit.symbol == "%"
        if read.unit is not None and not percent:
            return cell
        factor = 0.01 if percent else column.factor
        return (
            cell if factor == 1.0 and not read.grouped and "," not in cell else f"{read.value * factor:.12g}"
        )

    def _mode(self, text: str, line: int) -> str:
        """Return the failure codes, or the text as it is where it holds none."""
        codes = parse_failure(text)
        if codes is None:
            self.own_modes.setdefault(text, []).append(line)
            return text
        return "+".join(codes)

    def _valid(self, text: str, reason: str, where: str) -> bool:
        """Return whether the beam counts; an exclusion needs its reason."""
        word = text.lower()
        if word not in (*YES, *NO):
            self.problems.append(f"{where}: valid must be 1 or 0, not '{text}'")
        elif word in NO and not reason:
            self.problems.append(f"{where}: excluded (valid = 0) without an exclude_reason; say why")
        elif word and word in YES and reason:
            self.problems.append(
                f"{where}: valid = {text} and yet an exclude_reason, '{reason}'; which is it?"
            )
        return word not in NO and not reason

    def _file(self, name: str, where: str) -> None:
        """Check that the rig file is there."""
        if name and not (self.path.parent / name).is_file():
            self.problems.append(f"{where}: file '{name}' is not beside the table")


def _odd(cell: str) -> bool:
    """Return whether a cell is a float's word for what is no length or force."""
    try:
        return not math.isfinite(float(cell))
    except ValueError:
        return False


def _own_modes(modes: dict[str, list[int]], path: Path) -> list[str]:
    """Return a remark on modes in words of the writer's own."""
    if not modes:
        return []
    told = ", ".join(f"'{text}' (line {', '.join(map(str, lines))})" for text, lines in modes.items())
    return [f"{path}: modes kept as they are written: {told}; codes that can be compared are {codes_told()}"]


def _twice(runs: Sequence[ManifestRow], path: Path, remarks: list[str]) -> list[str]:
    """Return problems of rig files used twice; specimens named twice are remarked."""
    problems = []
    files: dict[tuple[str, str], int] = {}
    specimens: dict[str, int] = {}
    for run in runs:
        record = (run.file, run.run)
        if run.file and record in files:
            problems.append(
                f"{path}:{run.line}: file '{run.file}' stands in line {files[record]} already; "
                "name the run of each in a column run"
            )
        files.setdefault(record, run.line)
        if run.specimen and run.specimen in specimens:
            remarks.append(f"{path}: specimen '{run.specimen}' stands in more than one row")
        specimens.setdefault(run.specimen, run.line)
    return problems


def write_manifest(rows: Sequence[dict[str, object]], columns: Sequence[str]) -> str:
    """Return the text of a table to fill in.

    Parameters
    ----------
    rows : sequence of dict
        What is known of each beam, by column.
    columns : sequence of str
        All columns in order, those to fill in too.
    """
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, lineterminator="\n", restval="")
    writer.writeheader()
    writer.writerows({name: cell_text(value) for name, value in row.items()} for row in rows)
    return text.getvalue()
