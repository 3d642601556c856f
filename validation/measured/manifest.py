"""The table of runs: tidy CSV, one row per beam, read with every problem named and nothing dropped in silence."""

import csv
import difflib
import hashlib
import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from patterns.errors import DataError
from validation.measured.file_kinds import no_table
from validation.measured.manifest_columns import LARGEST, ManifestColumn, column_of, known_columns
from validation.measured.manifest_text import delimiter_of, file_bytes, filled_rows, holds_data, table_text
from validation.rig.numbers import parse_number
from validation.text.mode_words import codes_told, parse_failure

YES, NO = ("", "1", "yes", "true", "y"), ("0", "no", "false", "n")


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


def read_manifest(path: Path, keys: Sequence[str] = ()) -> Manifest:
    """Read a table of runs.

    Columns carry their unit in the name (``width_mm``, ``breaking_force_kgf``). Comma, semicolon or tab separates;
    with the last two a decimal comma is read too. Lines that begin with ``#`` are comments.

    Parameters
    ----------
    path : Path
        The CSV file.
    keys : sequence of str
        Columns of the study beside the table's own, such as ``set_fill`` or ``core.set_fill``.

    Raises
    ------
    DataError
        If the file is missing or unreadable or any row is wrong: every problem with file and line, one per line.
    """
    manifest, problems = survey(path, keys)
    if problems:
        raise DataError("\n".join(problems))
    return manifest


def survey(path: Path, keys: Sequence[str] = ()) -> tuple[Manifest, list[str]]:
    """Return the table and all its problems, for a reader who has more to say; see `read_manifest`.

    Rows with a problem are left out; with a problem in the header no row is read.
    """
    raw = file_bytes(path)
    if what := no_table(raw, path.suffix):
        raise DataError(f"{path}: {what}; a table of broken beams is wanted here (CSV, one row per beam)")
    text = table_text(raw, path)
    delimiter = delimiter_of(text)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    header = [name.strip() for name in next((row for row in rows if holds_data(row)), [])]
    problems: list[str] = []
    remarks: list[str] = []
    columns = _columns(header, keys, f"{path}:{max(rows.line_num, 1)}", problems, remarks)
    found: list[ManifestRow] = []
    if not problems:
        reader = _RowReader(path, columns, delimiter != ",", problems)
        for cells, line in filled_rows(rows, len(header), path, problems):
            run = reader.read(dict(zip(header, cells, strict=False)), line)
            found += [run] if run else []
        remarks += _own_modes(reader.own_modes, path)
    tested, planned = [run for run in found if run.tested], [run for run in found if not run.tested]
    if header and not tested and not problems:
        waiting = f" ({len(planned)} rows not filled in)" if planned else ""
        problems.append(f"{path}: no row with a broken beam{waiting}")
    problems += _twice(tested, path, remarks)
    remarks += [f"{path}: {len(planned)} rows are not filled in yet"] if planned else []
    taken = {name: column.target for name, column in columns.items()}
    manifest = Manifest(
        path, hashlib.sha256(raw).hexdigest(), taken, tuple(tested), tuple(planned), tuple(remarks)
    )
    return manifest, problems


def _columns(
    header: list[str], keys: Sequence[str], where: str, problems: list[str], remarks: list[str]
) -> dict[str, ManifestColumn]:
    """Return what each column of the file is."""
    columns: dict[str, ManifestColumn] = {}
    taken: dict[str, str] = {}
    for name in header:
        column = column_of(name, keys)
        if column is None:
            near = difflib.get_close_matches(name, known_columns(keys), 1, 0.8)
            if near:
                problems.append(f"{where}: unknown column '{name}'; did you mean '{near[0]}'?")
            elif name:
                remarks.append(f"{where}: column '{name}' is not used")
                columns[name] = ManifestColumn(name, "key")
            continue
        if column.kind == "unit missing":
            problems.append(f"{where}: column '{name}': name its unit, {column.target}")
            continue
        if column.target in taken:
            problems.append(f"{where}: columns '{taken[column.target]}' and '{name}' say the same; keep one")
            continue
        columns[name], taken[column.target] = column, name
    return columns


@dataclass
class _RowReader:
    """Turns cells into runs and collects what is wrong."""

    path: Path
    columns: dict[str, ManifestColumn]
    decimal_comma: bool
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
                keys[column.target] = cell
            else:
                entries[column.target] = cell
        entries["mode"] = self._mode(str(entries.get("mode", "")), line)
        entries["valid"] = self._valid(
            str(entries.get("valid", "")), str(entries.get("exclude_reason", "")), where
        )
        self._file(str(entries.get("file", "")), where)
        return ManifestRow(line, keys, **entries) if len(self.problems) == before else None  # type: ignore[arg-type]

    def _number(self, cell: str, column: ManifestColumn, where: str) -> float | None:
        """Return a positive number in our units."""
        if not cell:
            return None
        comma = self.decimal_comma and "," in cell
        found = parse_number(cell, "," if comma else ".")
        if found is None and _is_float(cell):
            self.problems.append(f"{where}: {cell} must be positive and of a printed beam's size")
            return None
        if found is None or found.grouped:
            hint = (
                "; write a decimal point" if cell.replace(",", ".", 1).replace(".", "", 1).isdigit() else ""
            )
            self.problems.append(f"{where}: '{cell}' is not a number{hint}")
            return None
        value, largest = found.value * column.factor, LARGEST[column.target]
        if value <= 0:
            self.problems.append(f"{where}: {cell} must be positive")
            return None
        if value > largest:
            self.problems.append(
                f"{where}: {cell} is beyond any printed beam (at most {largest:g} in N, mm or g)"
            )
            return None
        return value

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


def _is_float(cell: str) -> bool:
    """Say whether a cell is what programs write for no number, or one beyond all sizes."""
    try:
        float(cell)
    except ValueError:
        return False
    return True


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
    writer.writerows(rows)
    return text.getvalue()
