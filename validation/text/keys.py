"""The table of a study's keys, for the screen and for the README."""

from collections.abc import Iterable
from typing import Any, Protocol

from validation.text.output import print_table

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
    """Print one line per key."""
    print_table("", COLUMNS, [_row(key) for key in keys], words=COLUMNS)


def keys_markdown(keys: Iterable[Key]) -> str:
    """Return the keys as a Markdown table."""
    rows = [COLUMNS, ("---",) * len(COLUMNS), *map(_row, keys)]
    return "\n".join(f"| {' | '.join(cell.replace('|', '/') for cell in row)} |" for row in rows) + "\n"


def _row(key: Any) -> tuple[str, str, str, str]:
    return key.name, key.unit, key.default, key.meaning
