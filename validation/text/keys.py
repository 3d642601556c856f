"""The table of a study's keys, for the screen and for the README."""

from collections.abc import Iterable
from typing import Any, Protocol

from validation.text.screen import print_table

COLUMNS = ("key", "unit", "default", "meaning")


class Key(Protocol):
    """What is told of a key."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def unit(self) -> str: ...  # noqa: D102
    @property
    def default(self) -> str: ...  # noqa: D102
    @property
    def meaning(self) -> str: ...  # noqa: D102


def print_keys(keys: Iterable[Key]) -> None:
    """Print one line per key, each table of the study under its name."""
    tables: dict[str, list[tuple[str, str, str, str]]] = {}
    for key in keys:
        table, _, name = key.name.partition(".")
        tables.setdefault(table if name else "", []).append((name or table, *_row(key)[1:]))
    for number, (table, rows) in enumerate(tables.items()):
        title = f"[{table}]" if table else ""
        print_table(f"\n{title}" if number else title, COLUMNS, rows, words=COLUMNS)


def keys_markdown(keys: Iterable[Key]) -> str:
    """Return the keys as a Markdown table."""
    rows = [COLUMNS, ("---",) * len(COLUMNS), *map(_row, keys)]
    return "\n".join(f"| {' | '.join(cell.replace('|', '/') for cell in row)} |" for row in rows) + "\n"


def _row(key: Any) -> tuple[str, str, str, str]:
    return key.name, key.unit, key.default, key.meaning
