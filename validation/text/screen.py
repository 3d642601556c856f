"""Tables and lines on a screen of any width: no cell of numbers ever wraps, whatever does not fit goes below.

Signs that nobody sees and a screen or page obeys, since they steer a terminal, turn a line around or break a drawing,
are written out.
"""

import re
import shutil
import textwrap
from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

_GAP = 2
# text is still read well in columns this wide
_TEXT = 22
# control signs but tab and line feed, the other line ends, directions of writing, and bytes of names that are no text
_UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufffe\uffff\ud800-\udfff]"
)
# what no XML may hold, nor any HTML be without a fault
_NO_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff\ud800-\udfff]")


def page_width() -> int:
    """Return the width of the terminal or what COLUMNS says; 80 characters in a file or pipe."""
    return shutil.get_terminal_size((80, 24)).columns


def page() -> "Console":
    """Return standard output as a page of that width."""
    from rich.console import Console

    return Console(width=page_width(), highlight=False, emoji=False, markup=False)


def wrapped(line: str, width: int) -> str:
    """Return a line broken between words, what follows indented under its beginning; long paths stay whole.

    Examples
    --------
    >>> print(wrapped("  one two three", 10))
      one two
        three
    """
    indent = " " * (len(line) - len(line.lstrip()))
    return textwrap.fill(
        line.strip(),
        width,
        initial_indent=indent,
        subsequent_indent=f"{indent}  " if indent else "",
        break_long_words=False,
        break_on_hyphens=False,
    )


def print_lines(lines: Iterable[str]) -> None:
    """Print lines on standard output, none wider than the page."""
    for text in lines:
        for line in text.split("\n"):
            print(wrapped(shown(line), page_width()))


def print_table(
    title: str,
    columns: Sequence[str],
    rows: Iterable[Sequence[str]],
    notes: Sequence[str] = (),
    words: Collection[str] = (),
) -> None:
    """Print a table on standard output; the first column and those in ``words`` are text, the others numbers.

    Where it is wider than the page, names of columns break first, then text; columns that still find no room stand
    in further tables below, under the first column again.
    """
    from rich.text import Text

    console = page()
    cells = [[shown(str(cell)) for cell in row] for row in rows]
    columns = [shown(name) for name in columns]
    if title:
        console.print(Text(shown(title)))
    for number, group in enumerate(_groups(columns, cells, words, console.width)):
        if number:
            console.print()
        console.print(_table(columns, cells, words, group))
    print_lines(notes)


def _groups(
    columns: Sequence[str], cells: Sequence[Sequence[str]], words: Collection[str], page_width: int
) -> list[dict[int, int]]:
    """Return which columns stand together, each with its width."""
    full = {i: max([len(name), *(_longest(row[i]) for row in cells)]) for i, name in enumerate(columns)}
    if _width(full) <= page_width:
        return [full]
    narrow = {
        i: max([_word(name), *(_longest(row[i]) for row in cells)]) if name not in words else full[i]
        for i, name in enumerate(columns)
    }
    if _width(narrow) <= page_width:
        return [_shared(narrow, full, page_width)]
    least = {
        i: min(width, max([_TEXT, _word(columns[i]), *(_word(row[i]) for row in cells)]))
        if columns[i] in words else width
        for i, width in narrow.items()
    }  # fmt: skip
    groups: list[dict[int, int]] = [{0: least[0]}]
    for i in range(1, len(columns)):
        if len(groups[-1]) > 1 and _width(groups[-1] | {i: least[i]}) > page_width:
            groups.append({0: least[0]})
        groups[-1][i] = least[i]
    return [_shared(group, {i: narrow[i] for i in group}, page_width) for group in groups]


def _shared(least: dict[int, int], wanted: dict[int, int], page_width: int) -> dict[int, int]:
    """Return widths with what is left of the page given to the columns that want more, by how much they do."""
    left = page_width - _width(least)
    lack = {i: wanted[i] - least[i] for i in least if wanted[i] > least[i]}
    if left <= 0 or not lack:
        return least
    share = min(1.0, left / sum(lack.values()))
    return {i: width + int(share * lack.get(i, 0)) for i, width in least.items()}


def _width(group: dict[int, int]) -> int:
    return sum(group.values()) + _GAP * (len(group) - 1)


def _longest(cell: str) -> int:
    return max(map(len, cell.splitlines()), default=0)


def _word(text: str) -> int:
    return max(map(len, text.split()), default=0)


def _table(
    columns: Sequence[str], cells: Sequence[Sequence[str]], words: Collection[str], group: dict[int, int]
) -> "Table":
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, _GAP, 0, 0), header_style="bold")
    for i, width in group.items():
        left = i == 0 or columns[i] in words
        table.add_column(
            columns[i], justify="left" if left else "right", overflow="fold", width=width, vertical="top"
        )
    for row in cells:
        table.add_row(*(Text(row[i]) for i in group))
    return table


def shown(text: str) -> str:
    r"""Return a text for a screen: signs that it would obey are written out.

    Examples
    --------
    >>> print(shown("a\x1b[2Jb\u202e"))
    a\x1b[2Jb\u202e
    """
    return _UNSEEN.sub(lambda found: found[0].encode("unicode_escape").decode(), text)


def in_json(text: str) -> str:
    r"""Return JSON with the same signs as escapes of JSON, so that it may be shown on a screen too.

    Examples
    --------
    >>> in_json('"a\x9bb"')
    '"a\\u009bb"'
    """
    return _UNSEEN.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def in_markup(text: str) -> str:
    """Return a drawing or a page whose signs are all allowed there; others become the sign for an unknown one."""
    return _NO_XML.sub("\ufffd", text)
