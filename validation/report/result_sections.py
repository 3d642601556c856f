"""The sections of the page that show results: estimates, measurements, and both side by side."""

from collections.abc import Mapping, Sequence
from typing import Any

from fem.strength.failure import MODES
from validation.measured.fill_notes import fill_notes
from validation.measured.reconcile import Row, Sample
from validation.measured.size_doubts import size_doubts
from validation.measured.unit_doubts import unit_doubts
from validation.report.content import (
    Block,
    Bullets,
    Download,
    Figure,
    PageSection,
    Table,
    TableCell,
    Text,
    band,
    fraction,
    number,
    percent,
    word,
)
from validation.results.beside import Results
from validation.results.columns import ROLES
from validation.results.criteria import criteria_dicts
from validation.results.csv_table import to_csv
from validation.results.estimates import all_warnings
from validation.study.study import Study
from validation.text.estimates import CRITERIA_COLUMNS, CRITERIA_NOTES, criterion_cells
from validation.text.mode_words import failure_words, mode_words
from validation.text.numbers import half_interval, significant


def estimates(study: Study, results: Results, figures: Sequence[Figure]) -> PageSection:
    """Return the estimate of every setting, the force of every mode, and figures."""
    columns = (
        "setting",
        "set fill",
        "geometric fill",
        "stiffness N/mm",
        "breaking force N",
        "mode",
        "mass g",
        "print time min",
    )
    caption = "Estimates: best value and, smaller, its 5 % to 95 % points"
    table = Table(caption, columns, [_estimate_row(row) for row in results.rows], words=(5,))
    blocks: list[Block] = [table, Text(BAND_TOLD), _section_table(results)]
    known = [mode for mode in MODES if any(estimate.modes.get(mode) for estimate in results.estimates)]
    if known:
        rows = [
            [word(row.named.label), *(band(row.estimate.modes.get(mode)) for mode in known)]
            for row in results.rows
        ]
        names = [f"{mode_words(mode)} N" for mode in known]
        blocks.append(
            Table("Breaking force by failure mode; the smallest governs", ("setting", *names), rows)
        )
        missing = [mode_words(mode) for mode in MODES if mode not in known]
        if missing:
            blocks.append(Text(f"Not evaluated in any setting: {', '.join(missing)}."))
    blocks += _criteria_table(results)
    notes = [*all_warnings(study, results.estimates), *fill_notes(study.settings, results.estimates)]
    if notes:
        blocks.append(Bullets(notes))
    blocks += figures
    csv = to_csv(results.to_rows())
    blocks.append(Download("results.csv", csv, "all settings with estimates and measured means"))
    return PageSection("estimates", "Estimates", blocks)


BAND_TOLD = (
    "The band holds the ranges of the material card, the root of a clamp and, for the print time, the speeds; "
    "the scatter of single beams is not part of it."
)


def measurements(results: Results) -> PageSection | None:
    """Return every measured beam, the excluded ones with their reason; None without any."""
    beams = results.beam_rows()
    if not beams:
        return None
    columns = (
        "specimen",
        "setting",
        "build",
        "test order",
        "breaking force N",
        "stiffness N/mm",
        "mass g",
        "mode seen",
        "used",
        "reason and note",
    )
    rows = [
        [
            word(beam["specimen"]),
            word(beam["setting"]),
            word(beam["build"]),
            TableCell(_as_number(beam["test_order"]), beam["test_order"]),
            number(beam["breaking_force_N"], 4),
            number(beam["stiffness_N_per_mm"], 4),
            number(beam["mass_g"], 4),
            word(failure_words(beam["mode"])),
            word("yes" if beam["valid"] else "no"),
            word("; ".join(text for text in (beam["exclude_reason"], beam["note"]) if text)),
        ]
        for beam in beams
    ]
    table = Table("Measured beams", columns, rows, words=(1, 2, 7, 8, 9))
    text = "Excluded beams stay in this table and take no part in any mean."
    file = Download("beams.csv", to_csv(beams), "every measured beam with its ratio to the estimate")
    return PageSection("measurements", "Measurements", (table, Text(text), file))


def reconciliation(results: Results, figures: Sequence[Figure]) -> PageSection | None:
    """Return measured means beside estimates and beam theory; None without measurements."""
    rows = [row for row in results.rows if row.force]
    if not rows:
        return None
    columns = (
        "setting",
        "beams",
        "breaking force N",
        "SD N",
        "over estimate",
        "in band",
        "over solid-bar theory",
        "stiffness N/mm",
        "over estimate",
        "mass g",
        "over estimate",
        "gravimetric fill",
        "force per mass N/g",
    )
    table = Table(
        "Measured means ± half their 95 % interval (Student's t), and over estimated",
        columns,
        [_compared(row) for row in rows],
    )
    text = (
        "Nothing was tuned to these beams: the estimate uses the material card alone. "
        "Ratios are measured over estimated."
    )
    doubts = [*unit_doubts(results.rows), *size_doubts(results.rows)]
    doubt_block = (Bullets(doubts),) if doubts else ()
    return PageSection(
        "reconciliation", "Measured beside estimated", (table, Text(text), *doubt_block, *figures)
    )


def _estimate_row(row: Row) -> list[TableCell]:
    estimate = row.estimate
    return [
        word(row.named.label),
        fraction(estimate.set_fill),
        fraction(estimate.geometric_fill),
        band(estimate.stiffness),
        band(estimate.breaking_force),
        word(mode_words(estimate.mode)),
        band(estimate.mass),
        band(estimate.print_time),
    ]


def _section_table(results: Results) -> Table:
    """Return the stiffness of every section and who carries it."""
    columns = (
        "setting",
        "EI kN mm²",
        "GA kN",
        "GJ kN mm²",
        *(f"{share} of {role}" for share, role in _SHARES),
    )
    rows = []
    for row in results.rows:
        estimate = row.estimate
        stiffness = (band(estimate.EI, 1e-3), band(estimate.GA, 1e-3), band(estimate.GJ, 1e-3))
        parts = [percent(estimate.shares[share].get(role, 0.0)) for share, role in _SHARES]
        rows.append([word(row.named.label), *stiffness, *parts])
    return Table(
        "Section: stiffness along the load, and shares of bending (EI) and shear (GA) stiffness",
        columns,
        rows,
    )


_SHARES = [(share, role) for share in ("EI", "GA") for role in ROLES]


def _criteria_table(results: Results) -> list[Block]:
    """Return every criterion of every setting with place and formula; nothing where none was looked at."""
    rows = [
        [word(row.named.label), *_criterion_row(criterion)]
        for row in results.rows
        for criterion in criteria_dicts(row.estimate)
    ]
    if not rows:
        return []
    table = Table(
        "What breaks each setting, where and by which formula; each part's own force at the best values",
        ("setting", *CRITERIA_COLUMNS),
        rows,
        words=(1, 2, 6),
    )
    return [table, Text(" ".join(CRITERIA_NOTES))]


def _criterion_row(criterion: Mapping[str, Any]) -> list[TableCell]:
    values = (criterion[name] for name in ("mode", "what", "force_N", "y_mm", "z_mm", "source"))
    return [TableCell(value, text) for value, text in zip(values, criterion_cells(criterion), strict=True)]


def _compared(row: Row) -> list[TableCell]:
    return [
        word(row.named.label),
        number(len(row.beams)),
        _mean(row.force),
        number(row.force.sd if row.force else None, 2),
        number(row.force_ratio),
        word({True: "yes", False: "no", None: "–"}[row.in_band]),
        number(row.theory_ratio),
        _mean(row.stiffness),
        number(row.stiffness_ratio),
        _mean(row.mass),
        number(row.mass_ratio),
        fraction(row.gravimetric_fill),
        number(row.strength_to_mass),
    ]


def _mean(sample: Sample | None) -> TableCell:
    if sample is None:
        return TableCell(None, "–")
    ends = sample.as_dict()["mean_interval_95"]
    return TableCell(sample.mean, significant(sample.mean), half_interval(sample.mean, ends))


def _as_number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text
