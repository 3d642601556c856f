"""What the beams say of every setting, as a section of the page: measured beside predicted, and the plain rivals."""

from patterns.errors import DataError
from validation.measured.groups import record_lines
from validation.measured.look_again import look_again
from validation.predict.calibrated import Calibrated, calibrate_rows
from validation.predict.prediction import foretell
from validation.predict.rivals import contest_lines, contests
from validation.report.content import Block, Bullets, PageSection, Table, TableCell, Text, number, word
from validation.results.beside import Results
from validation.text.numbers import band_text


def evidence(results: Results) -> PageSection | None:
    """Return the section, None where no measured value has an estimate beside it."""
    try:
        found = calibrate_rows(results.rows)
    except DataError:
        return None
    blocks: list[Block] = []
    doubts = [*look_again(results.rows), *record_lines(results.rows)]
    if doubts:
        blocks.append(Bullets(doubts))
    for calibrated in found:
        blocks += _material(calibrated)
    return PageSection("evidence", "What the beams say", blocks)


def _material(calibrated: Calibrated) -> list[Block]:
    """Return one material: a row per measured setting, the rivals, and what the beams cannot tell."""
    rows: list[list[TableCell]] = []
    for row, answers in zip(calibrated.rows, calibrated.answers, strict=True):
        force = foretell(calibrated, answers).get("breaking_force")
        if force is None or force.measured is None:
            continue
        ends = force.next_beam
        rows.append(
            [
                word(row.named.label),
                number(force.n),
                number(force.measured),
                word(band_text(force.mean.to_dict())),
                word(f"{ends.low:.3g} to {ends.high:.3g}"),
                number(force.lower_bound),
            ]
        )
    columns = ("setting", "n", "measured N", "mean N (95 %)", "next beam N (95 %)", "bound N")
    blocks: list[Block] = []
    if rows:
        blocks.append(Table(f"{calibrated.card.name}: breaking force", columns, rows, words=(3, 4)))
        blocks.append(Text("Bound: with 95 % confidence 9 of 10 beams break above it."))
    cannot = (f"{note[0].upper()}{note[1:]}." for note in calibrated.notes)
    told = [*contest_lines(contests(calibrated)), *cannot]
    return [*blocks, Bullets(told)] if told else blocks
