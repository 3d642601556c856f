"""Remarks on many settings as one line each: lines that differ in their numbers alone become one with ranges."""

import re
from collections.abc import Iterable, Sequence

from patterns.remark import Remark
from validation.report.grouping import spoken
from validation.text.remarks import remark_words

_NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?![\w.])")
_MOST_NAMED = 6


def merged_remarks(settings: Iterable[tuple[str, Sequence[Remark]]]) -> list[str]:
    """Return one line per kind of remark, with its range of numbers and the settings it holds for.

    Parameters
    ----------
    settings : iterable of (str, sequence of Remark)
        Labels of settings with their remarks.
    """
    kinds: dict[str, tuple[list[str], list[str]]] = {}
    count = 0
    for label, remarks in settings:
        count += 1
        for line in dict.fromkeys(map(remark_words, remarks)):
            lines, labels = kinds.setdefault(_NUMBER.sub("#", line), ([], []))
            lines.append(line)
            if spoken(label) not in labels:
                labels.append(spoken(label))
    return [f"{_spanned(lines)}{_where(labels, count)}" for lines, labels in kinds.values()]


def _spanned(lines: Sequence[str]) -> str:
    """Return the first line with every number that differs between the lines as a range."""
    columns = list(zip(*(_NUMBER.findall(line) for line in lines), strict=True))
    spans = iter(_span(column) for column in columns)
    return _NUMBER.sub(lambda _: next(spans), lines[0])


def _span(texts: Sequence[str]) -> str:
    low, high = min(texts, key=float), max(texts, key=float)
    return low if float(low) == float(high) else f"{low} to {high}"


def _where(labels: Sequence[str], count: int) -> str:
    if len(labels) == count:
        return "" if count == 1 else " (all settings)"
    named = "; ".join(labels[:_MOST_NAMED])
    more = len(labels) - _MOST_NAMED
    return f" ({named}{f' and {more} more' if more > 0 else ''})"
