"""What the beams cannot tell, and which plain way of predicting did as well, as a section of the page."""

from validation.measured.groups import record_lines
from validation.predict.calibrated import CalibratedStudy
from validation.predict.rivals import contest_lines, contests
from validation.report.content import Bullets, PageSection


def evidence(calibrated: CalibratedStudy) -> PageSection | None:
    """Return the section, None where there is nothing to tell."""
    lines = record_lines(calibrated.rows)
    for one in calibrated.calibrations:
        cannot = (f"{note[0].upper()}{note[1:]}." for note in one.notes)
        told = [*contest_lines(contests(one)), *cannot]
        lines += told if len(calibrated.calibrations) == 1 else [f"{one.card.name}: {line}" for line in told]
    if not lines:
        return None
    return PageSection("evidence", "What the beams tell and cannot tell", (Bullets(lines),), folded=True)
