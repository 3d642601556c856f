"""The sections of the page that show results: side by side, beam by beam, and the estimate in detail."""

from collections.abc import Mapping, Sequence
from typing import Any

from fem.strength.failure import MODES
from validation.design.choose import JudgedSetting
from validation.measured.fill_notes import fill_notes
from validation.measured.reconcile import Row, Sample
from validation.measured.size_doubts import size_doubts
from validation.measured.unit_doubts import unit_doubts
from validation.predict.prediction import COVERAGE
from validation.report.bulk import bulk_table
from validation.report.content import (
    Block,
    Bullets,
    Download,
    PageSection,
    Table,
    TableCell,
    Text,
    band,
    bound,
    fraction,
    number,
    percent,
    told,
    without_empty,
    word,
)
from validation.report.grouping import spoken
from validation.report.merged_remarks import merged_remarks
from validation.report.tuned import tuned_columns
from validation.results.beside import Results
from validation.results.columns import ROLES
from validation.results.criteria import criteria_dicts
from validation.results.csv_table import to_csv
from validation.study.study import Study
from validation.text.estimates import CRITERIA_COLUMNS, CRITERIA_NOTES, criterion_cells
from validation.text.mode_words import failure_words, mode_words
from validation.text.numbers import half_interval, significant

# above it a page grows past what a mail takes, and nobody reads that many rows
MOST_DETAILED = 100


def numbers_section(study: Study, results: Results, judged: Sequence[JudgedSetting]) -> PageSection:
    """Return measured, tuned and estimated values of every setting side by side, remarks, and all as a file."""
    pairs = list(zip(results.rows, judged, strict=True))
    words = [TUNED_TOLD] if any(choice.told for choice in judged) else []
    notes = [
        *merged_remarks((row.named.label, row.estimate.warnings) for row in results.rows),
        *map(spoken, fill_notes(study.settings, results.estimates)),
        *unit_doubts(results.rows),
        *map(spoken, size_doubts(results.rows)),
    ]
    rows = [{**row, **tuned_columns(choice)} for row, choice in zip(results.to_rows(), judged, strict=True)]
    shares = bulk_table(results.rows)
    blocks: list[Block] = [
        _force_table(pairs),
        _other_table(pairs),
        *([shares] if shares else []),
        Text(" ".join([*words, BAND_TOLD])),
        *([Bullets(notes)] if notes else []),
        Download("results.csv", to_csv(rows), "all settings: measured, tuned, estimated"),
    ]
    return PageSection("numbers", "Numbers", blocks)


TUNED_TOLD = (
    "Tuned: the estimate as the broken beams correct it, with the 95 % interval of the mean of many beams; the next "
    "beam falls in its own, wider one."
)
BAND_TOLD = (
    "Estimate: untuned, best value and 5 % to 95 % points; the band holds the ranges of the material card, the root of "
    "a clamp and, for the print time, the speeds, not the scatter of single beams. Solid bar: handbook theory of the "
    "same outline without voids."
)


def _force_table(pairs: Sequence[tuple[Row, JudgedSetting]]) -> Table:
    """Return all that is known of the breaking force."""
    columns = (
        "setting",
        "beams",
        "measured N",
        "tuned N",
        "next beam N",
        f"{100 * COVERAGE:g} of 100 above N",
        "estimate N",
        "measured / estimate",
        "within its band",
        "measured / solid bar",
        "breaks by (estimate)",
    )
    rows = [_force_row(row, choice) for row, choice in pairs]
    return without_empty(Table("Breaking force", columns, rows, words=(10,)))


def _force_row(row: Row, choice: JudgedSetting) -> list[TableCell]:
    force = choice.told.get("breaking_force")
    inside = {True: "yes", False: "no", None: ""}[row.in_band]
    return [
        word(spoken(row.named.label)),
        number(len(row.beams) or None),
        _mean(row.force),
        told(force.mean if force else None),
        told(force.next_beam if force else None),
        bound(force.lower_bound if force else None),
        band(row.estimate.breaking_force),
        number(row.force_ratio),
        word(inside),
        number(row.theory_ratio),
        word(mode_words(choice.mode)),
    ]


def _other_table(pairs: Sequence[tuple[Row, JudgedSetting]]) -> Table:
    """Return stiffness, mass, force per mass, fills and time."""
    columns = (
        "setting",
        "stiffness measured N/mm",
        "tuned N/mm",
        "estimate N/mm",
        "mass measured g",
        "tuned g",
        "estimate g",
        "force per mass N/g",
        "geometric fill",
        "gravimetric fill",
        "print time min",
    )
    rows = [_other_row(row, choice) for row, choice in pairs]
    return without_empty(Table("Stiffness, mass and print time", columns, rows))


def _other_row(row: Row, choice: JudgedSetting) -> list[TableCell]:
    stiffness, mass = (choice.told.get(quantity) for quantity in ("stiffness", "mass"))
    return [
        word(spoken(row.named.label)),
        _mean(row.stiffness),
        told(stiffness.mean if stiffness else None),
        band(row.estimate.stiffness),
        _mean(row.mass),
        told(mass.mean if mass else None),
        band(row.estimate.mass),
        number(row.strength_to_mass),
        fraction(row.estimate.geometric_fill),
        fraction(row.gravimetric_fill),
        band(row.estimate.print_time),
    ]


def details(results: Results) -> PageSection:
    """Return the section's stiffness, the force of every mode, and every criterion, folded.

    Of more settings than a person reads, the file of all results holds them alone.
    """
    title = "Estimate in detail: section, modes, criteria"
    if len(results.rows) > MOST_DETAILED:
        text = f"With more than {MOST_DETAILED} settings these are in results.csv: EI, GA, GJ, shares, every mode."
        return PageSection("details", title, (Text(text),), folded=True)
    blocks: list[Block] = [_section_table(results)]
    known = [mode for mode in MODES if any(estimate.modes.get(mode) for estimate in results.estimates)]
    if known:
        rows = [
            [word(spoken(row.named.label)), *(band(row.estimate.modes.get(mode)) for mode in known)]
            for row in results.rows
        ]
        names = [f"{mode_words(mode)} N" for mode in known]
        blocks.append(
            Table("Estimated breaking force by failure mode; the smallest governs", ("setting", *names), rows)
        )
        missing = [mode_words(mode) for mode in MODES if mode not in known]
        if missing:
            blocks.append(Text(f"Not evaluated in any setting: {', '.join(missing)}."))
    return PageSection("details", title, [*blocks, *_criteria_table(results)], folded=True)


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
            word(spoken(beam["setting"])),
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
    return PageSection("measurements", "Every measured beam", (table, Text(text), file), folded=True)


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
        rows.append([word(spoken(row.named.label)), *stiffness, *parts])
    return Table(
        "Section: stiffness along the load, and shares of bending (EI) and shear (GA) stiffness",
        columns,
        rows,
    )


_SHARES = [(share, role) for share in ("EI", "GA") for role in ROLES]


def _criteria_table(results: Results) -> list[Block]:
    """Return every criterion of every setting with place and formula; nothing where none was looked at."""
    rows = [
        [word(spoken(row.named.label)), *_criterion_row(criterion)]
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


def _mean(sample: Sample | None) -> TableCell:
    if sample is None:
        return TableCell(None, "–")
    interval = sample.interval
    ends = (interval.low, interval.high) if interval else None
    return TableCell(sample.mean, significant(sample.mean), half_interval(sample.mean, ends))


def _as_number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text
