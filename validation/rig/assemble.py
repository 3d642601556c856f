"""From blocks of numbers to runs: which columns, which units, where one specimen ends and the next begins."""

from dataclasses import replace

import numpy as np

from patterns.errors import DataError
from validation.rig.blocks import Block, Tables
from validation.rig.choose import Choice, choose_columns
from validation.rig.columns import Column
from validation.rig.dialect import Dialect
from validation.rig.labels import by_label
from validation.rig.profile import Profile
from validation.rig.record import Dropped, RawRun
from validation.rig.remarks import label_in, peak_in_line, peak_in_table, units_in
from validation.rig.rows import Layout
from validation.rig.split import SHORTEST, Series, continues, split_series
from validation.rig.tables import nameless_message
from validation.rig.units import FORCE, TRAVEL, UNITS, Unit
from validation.rig.unknown_unit import refuse_unknown_unit

_PLAUSIBLE_N = (5.0, 2e4)
_PLAUSIBLE_MM = (0.05, 500.0)


def assemble_runs(tables: Tables, profile: Profile, dialect: Dialect) -> list[RawRun]:
    """Return the runs of all blocks of a file, labelled and with their dropped lines.

    Raises
    ------
    DataError
        If no block is usable, columns or units are unclear, or more lines are refused than kept.
    """
    longest = max(tables.blocks, key=lambda block: block.n_rows, default=None)
    blocks, left_out = [], []
    for block in tables.blocks:
        if longest is not None and _is_record(block, longest):
            blocks.append(block)
            continue
        names = block.caption.names if block.caption is not None else ""
        reason = f"a table of {block.n_rows} row(s) only ({names[:60]})"
        tables.dropped += [Dropped(int(line), reason) for line in block.lines]
        if any(column.role == TRAVEL for column in block.layout.kept):
            left_out.append(f"line {block.lines[0]}: force and travel in no run, {reason}")
    if not blocks:
        raise DataError(_why_nothing(tables))
    for block in blocks:
        if block.nameless and profile.columns.force is None:
            listed = ", ".join(str(j + 1) for j in block.nameless[:8])
            line = block.caption.line if block.caption is not None else 0
            raise DataError(
                f"column(s) {listed} hold numbers, but line {line} gives them no name: part of the record may stand "
                "there; name them, or give [columns] in a --profile"
            )
    runs = [run for block in blocks for run in _runs_of(block, tables, profile, dialect)]
    runs = _joined(runs)
    for run, _ in runs:
        if len(run.lines) < SHORTEST:
            tables.dropped += [
                Dropped(int(line), f"a run of {len(run.lines)} row(s) only") for line in run.lines
            ]
    runs = [
        (replace(run, guesses=(*run.guesses, *left_out)), series)
        for run, series in runs
        if len(run.lines) >= SHORTEST
    ]
    if not runs:
        raise DataError("no run has three rows with both force and travel")
    dropped = sorted([*tables.dropped, *(d for run, _ in runs for d in run.dropped)], key=lambda d: d.line)
    kept = sum(len(run.lines) for run, _ in runs)
    ends = min(run.lines[0] for run, _ in runs), max(run.lines[-1] for run, _ in runs)
    inside = [one for one in dropped if ends[0] <= one.line <= ends[1]]
    if len(inside) > max(kept, 5):
        first = "; ".join(f"line {one.line}: {one.reason}" for one in inside[:2])
        raise DataError(f"{len(inside)} lines do not fit the table and only {kept} do ({first})")
    return _finished([run for run, _ in runs], tables, dialect)


def _is_record(block: Block, longest: Block) -> bool:
    """Say whether a block is (part of) a run: tables of results and settings are short beside the record."""
    rows, most = block.n_rows, longest.n_rows
    same = (
        block.caption is not None
        and longest.caption is not None
        and block.caption.names == longest.caption.names
    )
    # The last page of a record may hold a single row.
    return same or (rows >= SHORTEST and (rows >= 0.1 * most or rows >= max(20, 0.005 * most)))


def _why_nothing(tables: Tables) -> str:
    """Return why no table was usable."""
    if tables.nameless and (
        tables.mismatch or not tables.results or tables.nameless > len(tables.results) // 2
    ):
        return nameless_message(tables)
    for result in tables.results:
        if result.caption is not None:
            names = result.caption.names[:120]
            likely = [
                c for c in result.caption.columns if c.role is None and c.name
            ] or result.caption.columns
            return (
                f"no column of force among: {names}; name it in a --profile, such as "
                f'[columns] force = "{likely[0].name}"'
            )
    if tables.dropped:
        return f"no table of at least {SHORTEST} rows (line {tables.dropped[0].line}: {tables.dropped[0].reason})"
    return "no rows of numbers under names of force and travel; name the columns in a --profile"


def _runs_of(block: Block, tables: Tables, profile: Profile, dialect: Dialect) -> list[tuple[RawRun, Series]]:
    """Return the runs in one block."""
    label = label_in([*(text for _, text in block.remarks)])
    found = []
    choices = choose_columns(block)
    changes = block.layout.unit_changes
    scaled = [f"{changes} row(s) change their unit and were converted"] if changes else []
    for choice in choices:
        series, dropped = _clean(block, choice)
        if not len(series.force):
            tables.dropped += dropped
            continue
        specimens, few, guess = by_label(block, series)
        dropped += few
        shared = [*choice.guesses, *scaled, *([guess] if guess else [])]
        for specimen, rows in specimens:
            for name, part, why in split_series(rows, specimen or choice.label or label):
                guesses = list(shared)
                if why and (specimen or not name):
                    guesses.append(f"a new run is taken to begin at line {part.lines[0]} ({why})")
                run = _raw_run(block, choice, part, name, profile, dialect, guesses)
                found.append((replace(run, dropped=tuple(dropped)), part))
                dropped = []
    return found


def _clean(block: Block, choice: Choice) -> tuple[Series, list[Dropped]]:
    """Return the rows that have what the run needs, and the refused ones with reasons."""
    wanted = [k for k in (choice.force, choice.travel) if k is not None]
    good = np.isfinite(block.values[:, wanted]).all(axis=1)
    rows = np.flatnonzero(good)
    bad = np.flatnonzero(~good)
    if len(block.layout.groups) > 1:
        # Side by side, a shorter specimen just ends: blank cells after its last row are no loss, others are.
        last = rows[-1] if len(rows) else -1
        held = np.isfinite(block.values[:, list(choice.own)]).any(axis=1)
        at_fault = np.isin(block.lines, [line for line, k in block.faults if k == choice.force])
        bad = bad[(bad < last) | held[bad] | at_fault[bad]]
    dropped = [_refused(block, int(row), wanted) for row in bad]
    values = block.values[rows]
    time = None
    if choice.time is not None and 2 * np.isfinite(values[:, choice.time]).sum() > len(values):
        time = values[:, choice.time] * _seconds_per_unit(block.layout, block.layout.kept[choice.time])
    marks: dict[int, tuple[str, ...]] = {}
    for pause in block.pauses:
        at = int(np.searchsorted(rows, pause.row))
        if 0 < at < len(rows):
            marks[at] = marks.get(at, ()) + pause.texts
    travel = None if choice.travel is None else values[:, choice.travel].copy()
    return Series(
        block.lines[rows], values[:, choice.force].copy(), travel, time, tuple(marks.items())
    ), dropped


def _refused(block: Block, row: int, wanted: list[int]) -> Dropped:
    """Return why a row lacks a force or a travel."""
    line = int(block.lines[row])
    k = next(k for k in wanted if not np.isfinite(block.values[row, k]))
    if reason := block.faults.get((line, wanted[0])):
        return Dropped(line, reason)
    column = block.layout.kept[k]
    text = block.holes.get((line, column.index))
    found = "missing" if text is None else f"'{text[:24]}'" if text else "blank"
    return Dropped(line, f"{column.name or column.role} is {found}")


def _seconds_per_unit(layout: Layout, column: Column) -> float:
    """Return the factor from a time column to seconds; without a unit its name may speak of milliseconds."""
    if column.index in layout.clocks:
        return 1.0
    unit = layout.units.get(column.index)
    return unit.factor if unit is not None else 1e-3 if "milli" in column.name.lower() else 1.0


def _raw_run(
    block: Block,
    choice: Choice,
    part: Series,
    label: str,
    profile: Profile,
    dialect: Dialect,
    guesses: list[str],
) -> RawRun:
    """Return one run with its units settled."""
    layout, kept = block.layout, block.layout.kept
    stated = units_in((text for _, text in block.remarks), dialect)
    known = (profile.unit(FORCE), layout.units.get(kept[choice.force].index), stated.get(FORCE))
    force_unit = _unit(known, kept[choice.force], FORCE, part.force, guesses)
    travel, travel_unit, at_beam, travel_name = part.travel, None, False, ""
    flags = ["overload"] if layout.overloads else []
    few = len(part.force) < SHORTEST
    if choice.travel is not None and travel is not None and (few or float(np.ptp(travel)) > 0):
        column = kept[choice.travel]
        known = (profile.unit(TRAVEL), layout.units.get(column.index), stated.get(TRAVEL))
        travel_unit = _unit(known, column, TRAVEL, travel, guesses)
        at_beam = column.rank == 1 if profile.travel_source is None else profile.travel_source == "beam"
        travel_name = column.name
        travel = travel * profile.scale.travel
    else:
        travel = None
        flags.append("force_only")
    if any(text.startswith("unit of") for text in guesses):
        flags.append("units_assumed")
    time_name = kept[choice.time].name if choice.time is not None else ""
    return RawRun(
        label, part.lines, part.force * profile.scale.force, travel, part.time, force_unit, travel_unit,
        kept[choice.force].name, travel_name, time_name, at_beam, None, (), tuple(dict.fromkeys(guesses)), tuple(flags),
        kept[choice.force].index,
    )  # fmt: skip


def _unit(
    known: tuple[Unit | None, ...], column: Column, dimension: str, values: np.ndarray, guesses: list[str]
) -> Unit:
    """Return the first unit known (profile, column, remarks); else N or mm where the numbers are plausible as such."""
    unit = next((unit for unit in known if unit is not None), None)
    if unit is not None:
        if unit.guess and known[0] is None:
            guesses.append(f"{unit.symbol} as a unit of force: {unit.guess}")
        return unit
    refuse_unknown_unit(column, dimension)
    low, high = _PLAUSIBLE_N if dimension == FORCE else _PLAUSIBLE_MM
    symbol = "N" if dimension == FORCE else "mm"
    extent = float(np.ptp(values))
    if not low <= extent <= high:
        raise DataError(
            f"the unit of {dimension} is stated nowhere, and a range of {extent:g} is doubtful in {symbol}; "
            f'give it in a --profile: [units] {dimension} = "{symbol}"'
        )
    guesses.append(f"unit of {dimension} stated nowhere, taken as {symbol}")
    return UNITS[symbol]


def _joined(runs: list[tuple[RawRun, Series]]) -> list[tuple[RawRun, Series]]:
    """Join runs whose rows were only interrupted by repeated names."""
    joined: list[tuple[RawRun, Series]] = []
    for run, series in runs:
        if joined:
            before, earlier = joined[-1]
            same = (
                before.force_name, before.travel_name, before.force_unit, before.travel_unit, before.label,
                before.force_column,
            ) == (
                run.force_name, run.travel_name, run.force_unit, run.travel_unit, run.label, run.force_column,
            )  # fmt: skip
            if same and before.lines[-1] < run.lines[0] and continues(earlier, series):
                joined[-1] = (
                    _append(before, run),
                    Series(
                        np.concatenate([earlier.lines, series.lines]),
                        np.concatenate([earlier.force, series.force]),
                        _both(earlier.travel, series.travel),
                        _both(earlier.time, series.time),
                    ),
                )
                continue
        joined.append((run, series))
    return joined


def _append(first: RawRun, second: RawRun) -> RawRun:
    """Return one run of two parts."""
    time = _both(first.time, second.time)
    if (
        time is not None
        and first.time is not None
        and second.time is not None
        and second.time[0] < first.time[-1]
    ):
        time = np.concatenate([first.time, second.time + first.time[-1] - second.time[0]])
    return replace(
        first,
        lines=np.concatenate([first.lines, second.lines]),
        force=np.concatenate([first.force, second.force]),
        travel=_both(first.travel, second.travel),
        time=time,
        dropped=first.dropped + second.dropped,
        guesses=tuple(dict.fromkeys(first.guesses + second.guesses)),
        flags=tuple(dict.fromkeys(first.flags + second.flags)),
    )


def _both(first: np.ndarray | None, second: np.ndarray | None) -> np.ndarray | None:
    """Join two arrays if both are there."""
    return None if first is None or second is None else np.concatenate([first, second])


def _finished(runs: list[RawRun], tables: Tables, dialect: Dialect) -> list[RawRun]:
    """Give each run its dropped lines, its label and the largest force stated for it."""
    peaks = _stated_peaks(tables, dialect, runs[0].force_unit)
    finished = []
    for k, run in enumerate(runs):
        after = runs[k - 1].lines[-1] if k and runs[k - 1].lines[-1] < run.lines[0] else 0
        until = run.lines[-1] if k + 1 < len(runs) and runs[k + 1].lines[0] > run.lines[-1] else np.inf
        # Rows refused whole are lost to every run that stands there, those refused for one specimen to it alone.
        shared = [d for d in tables.dropped if after < d.line <= until]
        own = tuple(sorted({*shared, *run.dropped}, key=lambda d: d.line))
        stated = [peak for line, peak in peaks if len(runs) == 1 or after < line <= until]
        label = run.label or (f"run {k + 1}" if len(runs) > 1 else "")
        finished.append(replace(run, label=label, dropped=own, header_peak=max(stated, default=None)))
    return finished


def _stated_peaks(tables: Tables, dialect: Dialect, unit: Unit) -> list[tuple[int, float]]:
    """Return (line, N) of each largest force stated outside the record."""
    found = []
    for line, text in tables.remarks:
        peak = peak_in_line(text, dialect, unit)
        if peak is not None:
            found.append((line, peak))
    for result in tables.results:
        if result.caption is not None:
            peak = peak_in_table(result.caption, result.texts, dialect, unit)
            if peak is not None:
                found.append((result.line, peak))
    return found
