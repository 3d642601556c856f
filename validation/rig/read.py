"""Read a force-travel file as it comes: scored guesses, each of them told; unclear files are refused."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import chain
from pathlib import Path

import numpy as np

from patterns.errors import DataError
from validation.rig.assemble import assemble_runs
from validation.rig.blocks import Block, Tables
from validation.rig.decode import Encoded, detect_encoding, ends_with_newline, lines_of, sha256_of
from validation.rig.dialect import Dialect, choose_dialect, declared_delimiter, split_row
from validation.rig.labels import read_labels
from validation.rig.profile import Profile
from validation.rig.record import Dropped, RawRun, Reading
from validation.rig.second_look import Claim, judge, look_again
from validation.rig.tables import read_tables

_HEAD = 1 << 16
_SAMPLE_LINES = 160


def read_file(path: Path | str, profile: Profile | None = None, strict: bool = False) -> Reading:
    """Return the runs in a rig file.

    Parameters
    ----------
    path : Path or str
        The file; it is only read.
    profile : Profile, optional
        What is known of the rig's files.
    strict : bool
        Refuse the file if anything had to be guessed.

    Returns
    -------
    Reading
        SHA-256 of the bytes, how they were understood, and one raw run per specimen.

    Raises
    ------
    DataError
        If the file is missing, no text, no table, or can be understood in more than one way; or, with ``strict``, if
        anything was guessed. The message is one line and names the file.
    """
    path = Path(path)
    profile = profile or Profile()
    digest = sha256_of(path)
    try:
        return _read(path, profile, strict, digest)
    except DataError as error:
        message = str(error)
        raise DataError(message if message.startswith(str(path)) else f"{path}: {message}") from None


def _read(path: Path, profile: Profile, strict: bool, digest: str) -> Reading:
    """Read a file whose fingerprint is known."""
    with open(path, "rb") as stream:
        head = stream.read(_HEAD)
    if not head.strip(b"\x00 \t\r\n"):
        raise DataError("is empty; export the record from the rig again")
    encoded = detect_encoding(head, profile.encoding)
    sample = _sample(path, encoded)[profile.skip :]
    declared = declared_delimiter(sample[0]) if sample and not profile.skip else None
    dialect = choose_dialect(
        sample[1:] if declared else sample, profile.delimiter or declared, profile.decimal
    )
    skip = 1 if declared else profile.skip
    tables = read_tables(lines_of(path, encoded), dialect, profile.describe(), profile.numbered(), skip)
    if tables.blocks and not ends_with_newline(path):
        _drop_cut_row(path, encoded, tables)
    read_labels(lines_of(path, encoded), tables.blocks, dialect)
    runs = assemble_runs(tables, profile, dialect)
    runs = _second_look(lines_of(path, encoded), dialect, tables, runs, profile.scale.force)
    if encoded.guess:
        runs = [replace(run, guesses=(encoded.guess, *run.guesses)) for run in runs]
    guesses = list(dict.fromkeys(chain.from_iterable(run.guesses for run in runs)))
    if strict and guesses:
        listed = "; ".join(guesses)
        raise DataError(
            f"strict: {len(guesses)} thing(s) had to be guessed: {listed}; state them in a --profile"
        )
    return Reading(str(path), digest, encoded.name, str(dialect), tuple(runs))


def _second_look(
    batches: Iterable[list[str]], dialect: Dialect, tables: Tables, runs: list[RawRun], scale: float
) -> list[RawRun]:
    """Return the runs with what a second look at the file's columns found missing from them."""
    told = frozenset(one.line for one in tables.results if one.caption is not None)
    claims = []
    kept = np.unique(np.concatenate([run.lines for run in runs]))
    blocks = [block for block in tables.blocks if np.isin(block.lines, kept).any()]
    starts = [_start(block) for block in blocks]
    for block, first, last in zip(blocks, starts, [*starts[1:], math.inf], strict=True):
        columns = {run.force_column: run.force_name for run in runs}
        for column, name in columns.items() if not block.layout.unit_changes else ():
            parts = {
                k: np.flatnonzero((run.lines > first) & (run.lines <= last))
                for k, run in enumerate(runs)
                if run.force_column == column
            }
            parts = {k: rows for k, rows in parts.items() if len(rows)}
            if parts:
                lines = np.concatenate([runs[k].lines[rows] for k, rows in parts.items()])
                force = np.concatenate([runs[k].force[rows] for k, rows in parts.items()]) / scale
                claims.append(Claim(column, name, first, last, np.sort(lines), force, tuple(parts), told))
    look_again(batches, dialect, claims)
    for claim in claims:
        found = judge(claim)
        if found is None:
            continue
        flag, text = found
        for k in claim.runs:
            runs[k] = replace(runs[k], guesses=(*runs[k].guesses, text), flags=(*runs[k].flags, flag))
    return runs


def _start(block: Block) -> int:
    """Return the line of a block's names, or the one before its first row where it has none."""
    named = block.caption.line if block.caption is not None else 0
    return named or int(block.lines[0]) - 1


def _sample(path: Path, encoded: Encoded) -> list[str]:
    """Return lines from the head and, for a long file, from further down."""
    lines: list[str] = []
    batches = lines_of(path, encoded)
    for batch in batches:
        lines = batch[:_SAMPLE_LINES]
        if len(batch) > _SAMPLE_LINES:
            middle = max(len(batch) // 2, _SAMPLE_LINES)
            lines = lines + batch[middle : middle + _SAMPLE_LINES]
        break
    return [line[:4000] for line in lines]


def _drop_cut_row(path: Path, encoded: Encoded, tables: Tables) -> None:
    """Refuse a last row that lacks its line end and has fewer decimals than the rows before: the file was cut there."""
    block = tables.blocks[-1]
    tail = _last_lines(lines_of(path, encoded))
    if len(tail) < 3 or not block.n_rows or len(block.lines) < 3 or block.lines[-1] != tail[-1][0]:
        return
    decimals = [_decimals(text, block.layout.dialect) for _, text in tail[-3:]]
    if decimals[0] == decimals[1] and decimals[2] != decimals[1]:
        tables.dropped.append(Dropped(int(tail[-1][0]), "the file ends inside this row"))
        block.drop_last()


def _last_lines(batches: Iterator[list[str]]) -> list[tuple[int, str]]:
    """Return the last three lines with their numbers."""
    tail: list[tuple[int, str]] = []
    number = 1
    for lines in batches:
        tail = (tail + list(enumerate(lines[-3:], number + len(lines) - len(lines[-3:]))))[-3:]
        number += len(lines)
    return tail


def _decimals(text: str, dialect: Dialect) -> tuple[int, int]:
    """Return the number of cells of a row and the digits after the decimal sign of the last one."""
    cells = split_row(text, dialect.delimiter)
    mantissa, exponent = ([*cells[-1].lower().split("e"), ""] if cells else ["", ""])[:2]
    return len(cells), len(mantissa.partition(dialect.decimal)[2]) + 100 * len(exponent)
