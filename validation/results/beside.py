"""Estimates with what was measured beside them: plain rows per setting and per beam, and the JSON output's form."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fem.estimation import Estimate
from fem.material.bands import Band
from fem.tables import html_table
from validation.measured.measured import Measured, MeasuredBeam
from validation.measured.reconcile import Row, Sample, mean_error, reconcile
from validation.measured.repeats import Repeats
from validation.results.bulk import bulk_shares, share_columns, with_bulk_shares
from validation.results.columns import MEASURED, PlainRow, column, one_word
from validation.results.estimates import estimate_dict, estimate_row
from validation.results.repeats import repeats_dict
from validation.study.study import Study
from validation.text.mode_words import mode_words
from validation.text.numbers import band_text, mean_text, significant
from validation.text.output import CAUTIONS
from validation.text.quantities import NAMES
from validation.text.remarks import remark_lines

# what a row of a study calls its sample of a quantity
_SAMPLES = {"breaking_force": "force", "stiffness": "stiffness", "mass": "mass"}


@dataclass(frozen=True)
class Results:
    """All settings of a study with what was measured on them; shows itself as a table in a notebook.

    Attributes
    ----------
    rows : tuple of Row
        A setting each, in the study's order: estimate, its beams and the ratios of both.
    excluded : tuple of MeasuredBeam
        Beams that their table marks as not valid, with the reason.
    study : Study or None
    """

    rows: tuple[Row, ...]
    excluded: tuple[MeasuredBeam, ...] = ()
    study: Study | None = None

    @classmethod
    def of(cls, study: Study, estimates: Sequence[Estimate], measured: Measured | None) -> "Results":
        """Put estimates and, where there are any, measurements together in the study's order."""
        if measured is None:
            pairs = zip(study.settings, estimates, strict=True)
            rows = tuple(Row(named, estimate, (), None, None, None) for named, estimate in pairs)
            return cls(rows, (), study)
        excluded = tuple(beam for beam in measured.beams if not beam.valid)
        return cls(tuple(reconcile(study, measured, estimates)), excluded, study)

    @property
    def remarks(self) -> list[str]:
        """Every remark of the estimates once, with the settings it holds for."""
        return remark_lines((row.named.label, row.estimate.warnings) for row in self.rows)

    @property
    def estimates(self) -> tuple[Estimate, ...]:
        """The estimates alone."""
        return tuple(row.estimate for row in self.rows)

    def to_rows(self) -> list[PlainRow]:
        """Return one plain row per setting."""
        shares = bulk_shares([row_dict(row) for row in self.rows])
        return [setting_row(row) | share_columns(share) for row, share in zip(self.rows, shares, strict=True)]

    def beam_rows(self) -> list[PlainRow]:
        """Return one plain row per beam, by setting and line of the table; excluded beams have valid = 0."""
        beams = [(row, beam) for row in self.rows for beam in row.beams]
        beams += [(self.rows[beam.setting], beam) for beam in self.excluded]
        return [beam_row(row, beam) for row, beam in sorted(beams, key=lambda pair: pair[1].line)]

    @property
    def invented(self) -> bool:
        """Whether the study says that its beams are invented."""
        return self.study is not None and self.study.table.invented

    def _repr_html_(self) -> str:
        title = self.study.table.title if self.study else ""
        measured = any(row.beams for row in self.rows)
        headings = ["setting"]
        for quantity in MEASURED:
            name, unit = NAMES[quantity]
            headings += [f"{name} {unit}", *(["measured", "ratio"] if measured else [])]
        told = [_told(row, measured) for row in self.rows]
        notes = ["Estimate: best value (5 % to 95 % point)."]
        notes += [
            "Measured: mean ± half the 95 % interval of the mean; ratio: measured over estimated."
        ] * measured
        notes += ["The measurements are invented."] * (measured and self.invented)
        notes += [f"note: {line}" for line in self.remarks]
        return html_table([*headings, "breaks by"], told, title, [*notes, *CAUTIONS])


def _told(row: Row, measured: bool) -> list[str]:
    """Return the cells of a setting in a notebook's table."""
    cells = [row.named.label]
    for quantity in MEASURED:
        band, sample = getattr(row.estimate, quantity), getattr(row, _SAMPLES[quantity])
        cells.append(band_text(band and band.as_dict()))
        if measured:
            ratio = getattr(row, f"{_SAMPLES[quantity]}_ratio")
            cells += [mean_text(sample and sample.as_dict()), significant(ratio)]
    return [*cells, mode_words(row.estimate.mode)]


def setting_row(row: Row) -> PlainRow:
    """Return one setting with its estimate and the means of what was measured."""
    result = estimate_dict(row.named, row.estimate)
    plain = estimate_row(row.named.label, row.named.keys, result)
    plain |= {
        "solid_bar_stiffness_N_per_mm": result["beam_theory"]["solid_bar_stiffness_N_per_mm"],
        "solid_bar_force_N": result["beam_theory"]["solid_bar_force_N"],
        "core_relative_error": result["core_relative_error"],
        "beams": len(row.beams),
    }
    for quantity in MEASURED:
        plain |= _sample(quantity, getattr(row, _SAMPLES[quantity]))
        plain[f"{quantity}_ratio"] = getattr(row, f"{_SAMPLES[quantity]}_ratio")
    return {
        **plain,
        "solid_bar_force_ratio": row.theory_ratio,
        "mean_force_in_band": row.in_band,
        "measured_force_per_mass_N_per_g": row.strength_to_mass,
        "gravimetric_fill": row.gravimetric_fill,
    }


def row_dict(row: Row) -> dict[str, Any]:
    """Return one setting with estimate and measured means for the JSON output."""
    samples = {quantity: getattr(row, _SAMPLES[quantity]) for quantity in MEASURED}
    return {
        **estimate_dict(row.named, row.estimate),
        "measured": {
            **{column(quantity): sample and sample.as_dict() for quantity, sample in samples.items()},
            "strength_to_mass_N_per_g": row.strength_to_mass,
            "gravimetric_fill": row.gravimetric_fill,
        },
        "measured_over_estimated": {
            quantity: getattr(row, f"{_SAMPLES[quantity]}_ratio") for quantity in MEASURED
        },
        "measured_over_solid_bar_force": row.theory_ratio,
        "mean_force_in_band": row.in_band,
    }


def reconciliation_dict(
    study: Study, rows: Sequence[Row], repeats: Sequence[Repeats], excluded: Sequence[MeasuredBeam]
) -> dict[str, Any]:
    """Return measured beams beside estimates and beam theory for the JSON output."""
    return {
        "study": study.table.title,
        "invented": study.table.invented,
        "settings": with_bulk_shares([row_dict(row) for row in rows]),
        "mean_error": {
            "breaking_force": mean_error(rows, lambda row: row.force_ratio),
            "stiffness": mean_error(rows, lambda row: row.stiffness_ratio),
            "mass": mean_error(rows, lambda row: row.mass_ratio),
            "solid_bar_force": mean_error(rows, lambda row: row.theory_ratio),
        },
        "repeats": {series.quantity: repeats_dict(series) for series in repeats},
        "excluded": [
            {"line": beam.line, "specimen": beam.specimen, "reason": beam.exclude_reason} for beam in excluded
        ],
    }


def beam_row(row: Row, beam: MeasuredBeam) -> PlainRow:
    """Return one beam, with its values over those estimated for its setting."""
    values = {quantity: getattr(beam, quantity) for quantity in MEASURED}
    bands = {quantity: getattr(row.estimate, quantity) for quantity in MEASURED}
    return {
        "specimen": beam.specimen or f"line {beam.line}",
        "setting": row.named.label,
        **{key: one_word(value) for key, value in row.named.keys.items()},
        "set_fill": row.estimate.set_fill,
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
