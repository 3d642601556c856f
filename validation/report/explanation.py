"""The explanation of a measured series as a section of the page."""

from collections.abc import Sequence

from patterns.errors import DataError
from validation.explain import explain
from validation.explain_output import lines
from validation.reconcile import Row
from validation.report.content import Bullets, Section, Text


def explanation(rows: Sequence[Row], capacity: float | None) -> Section | None:
    """Return what the series show, None where no series is long enough to tell a step from a trend."""
    try:
        found = explain(rows, capacity)
    except DataError:
        return None
    blocks: list[Text | Bullets] = []
    for item in found:
        head, *rest = (line.strip() for line in lines(item))
        blocks += [Text(head), Bullets(rest)]
    return Section("explanation", "Steps and their causes", blocks)
