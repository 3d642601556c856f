"""Results as plain tidy rows: one per setting, one per beam; for figures, CSV, notebooks and the page.

A column's name ends in its unit. The keys that a study varies keep their dotted names ("core.set_fill"), and no other
column's name holds a dot; so a table read back from CSV says by itself what was varied. Ends of a band are
``_low`` and ``_high`` before the unit; what was measured starts with ``measured_``.
"""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from fem.estimate import Estimate
from fem.material.bands import Band
from patterns.errors import InputError
from validation.measured.measured import Beam, Measured
from validation.measured.reconcile import Row, Sample, reconcile
from validation.study.study import NamedSetting, Study
from validation.text.mode_words import mode_words
from validation.text.output import significant

PlainRow = dict[str, Any]
UNITS = {
    "stiffness": "N_per_mm",
    "breaking_force": "N",
    "mass": "g",
    "print_time": "min",
    "EI": "N_mm2",
    "GA": "N",
    "GJ": "N_mm2",
}
MEASURED = {"breaking_force": "force", "stiffness": "stiffness", "mass": "mass"}
ROLES = ("wall", "face", "core")


def column(quantity: str, end: str = "", measured: bool = False) -> str:
    """Return the column of a quantity, as in ``measured_breaking_force_low_N``; ``end`` is low or high.

    Examples
    --------
    >>> column("stiffness", "low")
    'stiffness_low_N_per_mm'
    """
    parts = ("measured" if measured else "", quantity, end, UNITS[quantity])
    return "_".join(part for part in parts if part)


@dataclass(frozen=True)
class Results:
    """All settings of a study with what was measured on them; shows itself as a table in a notebook."""

    rows: tuple[Row, ...]
    excluded: tuple[Beam, ...] = ()

    @classmethod
    def of(cls, study: Study, estimates: Sequence[Estimate], measured: Measured | None) -> "Results":
        """Put estimates and, where there are any, measurements together in the study's order."""
        if measured is None:
            pairs = zip(study.settings, estimates, strict=True)
            return cls(tuple(Row(named, found, (), None, None, None) for named, found in pairs))
        excluded = tuple(beam for beam in measured.beams if not beam.valid)
        return cls(tuple(reconcile(study, measured, estimates)), excluded)

    @property
    def estimates(self) -> tuple[Estimate, ...]:
        """The estimates alone."""
        return tuple(row.estimate for row in self.rows)

    def to_rows(self) -> list[PlainRow]:
        """Return one plain row per setting."""
        return [setting_row(row) for row in self.rows]

    def beam_rows(self) -> list[PlainRow]:
        """Return one plain row per beam, by setting and line of the table; excluded beams have valid = 0."""
        beams = [(row, beam) for row in self.rows for beam in row.beams]
        beams += [(self.rows[beam.setting], beam) for beam in self.excluded]
        return [beam_row(row, beam) for row, beam in sorted(beams, key=lambda pair: pair[1].line)]

    def _repr_html_(self) -> str:
        names = ("setting", *(column(name) for name in ("stiffness", "breaking_force", "mass", "print_time")))
        head = "".join(f"<th>{escape(name)}</th>" for name in (*names, "mode"))
        body = ""
        for row in self.to_rows():
            cells = [significant(row[name]) for name in names[1:]]
            body += (
                "<tr>"
                + "".join(
                    f"<td>{escape(text)}</td>" for text in (row["setting"], *cells, mode_words(row["mode"]))
                )
                + "</tr>"
            )
        return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


def setting_row(row: Row) -> PlainRow:
    """Return one setting with its estimate and the means of what was measured."""
    found, setting = row.estimate, row.named.setting
    plain: PlainRow = {
        **_named(row.named),
        "pattern": setting.core.pattern,
        "orientation": setting.printing.orientation,
        "walls": setting.printing.walls,
        "bottom_layers": setting.printing.bottom_layers,
        "top_layers": setting.printing.top_layers,
        "set_fill": found.set_fill,
        "geometric_fill": found.geometric_fill,
    }
    for quantity in UNITS:
        plain |= _band(quantity, getattr(found, quantity))
    plain["mode"] = found.mode
    plain |= {f"{mode}_N": band.best if band else None for mode, band in found.modes.items()}
    for share in ("EI", "GA", "mass"):
        plain |= {f"{share}_share_{role}": found.shares[share].get(role, 0.0) for role in ROLES}
    plain |= {
        "solid_bar_stiffness_N_per_mm": found.theory_stiffness,
        "solid_bar_force_N": found.theory_force,
        "core_relative_error": found.core.relative_error if found.core else None,
        "beams": len(row.beams),
    }
    for quantity, name in MEASURED.items():
        plain |= _sample(quantity, getattr(row, name))
        plain[f"{quantity}_ratio"] = getattr(row, f"{name}_ratio")
    return {
        **plain,
        "solid_bar_force_ratio": row.theory_ratio,
        "mean_force_in_band": row.in_band,
        "measured_force_per_mass_N_per_g": row.strength_to_mass,
        "gravimetric_fill": row.gravimetric_fill,
    }


def beam_row(row: Row, beam: Beam) -> PlainRow:
    """Return one beam, with its values over those estimated for its setting."""
    found = row.estimate
    values = {quantity: getattr(beam, quantity) for quantity in MEASURED}
    bands = {quantity: getattr(found, quantity) for quantity in MEASURED}
    return {
        "specimen": beam.specimen or f"line {beam.line}",
        **_named(row.named),
        "set_fill": found.set_fill,
        "build": beam.build,
        "test_order": beam.test_order,
        **{column(quantity): value for quantity, value in values.items()},
        "width_mm": beam.width,
        "depth_mm": beam.depth,
        "mode": beam.mode,
        "valid": int(beam.valid),
        "exclude_reason": beam.exclude_reason,
        "note": beam.note,
        **{f"{name}_ratio": _ratio(value, bands[name]) for name, value in values.items()},
    }


def numbers(rows: Iterable[Mapping[str, Any]], name: str) -> list[float]:
    """Return the known numbers of a column."""
    return [row[name] for row in rows if row.get(name) is not None]


def to_csv(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return rows as CSV; text that a spreadsheet would run as a formula is led by an apostrophe."""
    stream = io.StringIO()
    names = list(dict.fromkeys(name for row in rows for name in row))
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([_cell(row.get(name)) for name in names] for row in rows)
    return stream.getvalue()


def read_rows(text: str) -> list[PlainRow]:
    """Return the rows of a table written by `to_csv`, numbers as numbers and empty cells as None.

    Raises
    ------
    InputError
        If the table has no row, lacks the columns of settings, or is one of measured beams.
    """
    lines = [line for line in text.splitlines(keepends=True) if not line.startswith("#")]
    table = csv.DictReader(lines, restkey="beyond the columns", restval="")
    if "specimen" in (table.fieldnames or ()):
        raise InputError("a table of measured beams, not of a sweep or report; give the study")
    found = []
    for row in table:
        if "beyond the columns" in row:
            raise InputError(f"not a table of settings: more cells than columns at line {table.line_num}")
        found.append({name: _value(cell) for name, cell in row.items()})
    missing = [
        name
        for name in ("setting", "pattern", "set_fill", column("mass"))
        if not found or name not in found[0]
    ]
    if missing:
        raise InputError(
            f"not a table of settings: no column {', '.join(missing)}" if found else "no row of a setting"
        )
    return found


def _value(cell: str | None) -> Any:
    if not cell:
        return None
    try:
        return int(cell)
    except ValueError:
        pass
    try:
        return float(cell)
    except ValueError:
        return cell.removeprefix("'")


def _named(named: NamedSetting) -> PlainRow:
    """Return label and varied keys; a list becomes one word."""
    keys = {
        key: "/".join(f"{item}" for item in value) if isinstance(value, list) else value
        for key, value in named.keys.items()
    }
    return {"setting": named.label, **keys}


def _band(quantity: str, band: Band | None) -> PlainRow:
    ends = (band.best, band.low, band.high) if band else (None, None, None)
    return {column(quantity, end): value for end, value in zip(("", "low", "high"), ends, strict=True)}


def _sample(quantity: str, sample: Sample | None) -> PlainRow:
    interval = sample.interval if sample else None
    return {
        column(quantity, measured=True): sample.mean if sample else None,
        column(quantity, "sd", measured=True): sample.sd if sample else None,
        column(quantity, "low", measured=True): interval.low if interval else None,
        column(quantity, "high", measured=True): interval.high if interval else None,
    }


def _ratio(value: float | None, band: Band | None) -> float | None:
    return value / band.best if value is not None and band else None


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(int(value))
    if isinstance(value, float):
        return f"{value:.7g}"
    text = str(value)
    return f"'{text}" if isinstance(value, str) and text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
