"""Cells of tables for spreadsheets: text that one would run as a formula is led by an apostrophe, and read back."""

from typing import Any

from validation.text.output import plain

_RUNS = ("=", "+", "-", "@", "\t", "\r")


def guarded(text: str) -> str:
    """Return a text as it is written; one that is a number stays as it is.

    Examples
    --------
    >>> guarded("=1+1"), guarded("-4.5"), guarded("'s"), guarded("plain")
    ("'=1+1", '-4.5', "''s", 'plain')
    """
    if not text.startswith((*_RUNS, "'")):
        return text
    try:
        float(text)
    except ValueError:
        return f"'{text}"
    return text


def unguarded(cell: str) -> str:
    """Return a cell as it was before `guarded`; an apostrophe of somebody's own stays.

    Examples
    --------
    >>> unguarded("'=1+1"), unguarded("''s"), unguarded("'90s")
    ('=1+1', "'s", "'90s")
    """
    return cell[1:] if cell.startswith("'") and cell[1:].startswith((*_RUNS, "'")) else cell


def cell_text(value: Any) -> str:
    """Return a value as the text of a cell, nothing for None."""
    value = plain(value)
    if value is None:
        return ""
    return guarded(value) if isinstance(value, str) else str(value)
