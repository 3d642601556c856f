"""The explanation of a measured series as a section of the page."""

from collections.abc import Sequence

from patterns.errors import DataError
from validation.explain.explain import Jump, explain
from validation.explain.explain_output import (
    IMPLIED,
    findings,
    heading,
    jump_findings,
    jump_shares,
    next_test,
    remarks,
)
from validation.explain.verdict import verdict
from validation.measured.reconcile import Row
from validation.report.content import Block, Bullets, PageSection, Table, Text, number, word

# series told in the verdict; the section has all
_MOST_TOLD = 2


def explanation(rows: Sequence[Row], capacity: float | None) -> tuple[Sequence[str], PageSection | None]:
    """Return what the series show, in a line each and as a section; nothing where none is long enough."""
    try:
        found = explain(rows, capacity)
    except DataError:
        return (), None
    blocks: list[Block] = []
    for item in found:
        blocks += [Text(verdict(item)), Text(heading(item)), Bullets(findings(item))]
        for jump in item.jumps:
            blocks += _jump(jump)
        if item.implied:
            implied = [[word(label), number(value)] for label, value in item.implied.items()]
            blocks.append(Table(IMPLIED[0].upper() + IMPLIED[1:], ("setting", "MPa"), implied))
        if told := remarks(item):
            blocks.append(Bullets(told))
    lines = [_asked(verdict(item)) for item in found[:_MOST_TOLD]]
    return lines, PageSection("explanation", "Steps and their causes", blocks, folded=True)


def _asked(text: str) -> str:
    """Return a verdict of the form "Verdict (walls 2): it jumps" as question and answer."""
    where, _, answer = text.removeprefix("Verdict").partition(": ")
    return f"Is there a jump{where}? {answer[:1].upper()}{answer[1:]}"


def _jump(jump: Jump) -> list[Block]:
    """Return one jump: its size, what it is made of, and every cause that was looked at with its evidence."""
    blocks: list[Block] = [Bullets(jump_findings(jump))]
    if shares := jump_shares(jump):
        rows = [[word(part), word(share)] for part, share in shares.items()]
        blocks.append(Table("Shares of the jump (of its logarithm)", ("part", "share"), rows, words=(1,)))
    causes = [
        [word(each.title), word(each.finding), number(each.score), word("; ".join(each.evidence))]
        for each in jump.verdicts
    ]
    blocks.append(
        Table("Causes and their evidence", ("cause", "finding", "score", "evidence"), causes, words=(1, 3))
    )
    if test := next_test(jump.verdicts):
        blocks.append(Text(f"Cheapest test to tell them apart: {test}."))
    return blocks
